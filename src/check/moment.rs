//! The order of moments: what comes before what on the way from the first visit to the last.

use crate::model::case::{Moment, Operation};
use crate::model::measure::After;

/// A moment as a place in order: the plan, then the steps, then times after surgery.
#[derive(Debug, Clone, PartialEq, PartialOrd)]
pub(crate) enum Rank {
    /// Before the plan was made.
    Plan,
    /// A step, by its place.
    Step(usize),
    /// So long after surgery.
    After(After),
}

/// The rank of a moment; `None` if it names a step that does not exist.
pub(crate) fn rank<T>(moment: &Moment, operation: &Operation<T>) -> Option<Rank> {
    match moment {
        Moment::Plan => Some(Rank::Plan),
        Moment::Step(step) => operation.step_index(step).map(Rank::Step),
        Moment::After(after) => Some(Rank::After(*after)),
    }
}
