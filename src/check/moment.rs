//! The order of moments: what comes before what on the way from the first visit to the last.

use crate::model::case::{Moment, Operation};
use crate::model::measure::After;
use std::collections::BTreeMap;

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

/// The steps of an operation by name, each with its place. Of two of one name the first counts.
pub(crate) fn places<T>(operation: &Operation<T>) -> BTreeMap<&str, usize> {
    let mut places = BTreeMap::new();
    for (at, step) in operation.steps.iter().enumerate() {
        places.entry(step.id.value.as_str()).or_insert(at);
    }
    places
}

/// The rank of a moment; `None` if it names a step that does not exist.
pub(crate) fn rank(moment: &Moment, steps: &BTreeMap<&str, usize>) -> Option<Rank> {
    match moment {
        Moment::Plan => Some(Rank::Plan),
        Moment::Step(step) => steps.get(step.as_str()).copied().map(Rank::Step),
        Moment::After(after) => Some(Rank::After(*after)),
    }
}
