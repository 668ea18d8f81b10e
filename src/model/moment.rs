//! The order of moments: what comes before what on the way from the first visit to the last.

use super::case::{Moment, Operation};
use std::collections::BTreeMap;

/// A moment as a place in order. Times are compared by their length: 42 days and six weeks are one moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rank {
    /// The plan.
    Plan,
    /// A step, by its place.
    Step(usize),
    /// The operation is over.
    Closed,
    /// So many minutes after surgery.
    After(i64),
}

/// The steps of an operation by name, each with its place.
#[derive(Debug)]
pub struct Steps<'a>(BTreeMap<&'a str, usize>);

impl<'a> Steps<'a> {
    /// The steps of this operation. Of two of one name the first counts.
    pub fn of<T>(operation: &'a Operation<T>) -> Self {
        let mut places = BTreeMap::new();
        for (at, step) in operation.steps.iter().enumerate() {
            places.entry(step.id.value.as_str()).or_insert(at);
        }
        Self(places)
    }

    /// The rank of a step; `None` if there is no such step.
    pub fn step(&self, id: &str) -> Option<Rank> {
        self.0.get(id).copied().map(Rank::Step)
    }

    /// The rank of a moment; `None` if it names a step that does not exist.
    pub fn rank(&self, moment: &Moment) -> Option<Rank> {
        match moment {
            Moment::Plan => Some(Rank::Plan),
            Moment::Step(id) => self.step(id),
            Moment::After(after) => Some(Rank::After(after.minutes())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::measure::After;

    #[test]
    fn equal_times_in_other_units_are_one_moment() {
        let steps = Steps(BTreeMap::from([("s1", 0)]));
        let after = |text| steps.rank(&Moment::After(After::parse(text).expect("a time")));
        assert_eq!(after("42 days"), after("6 weeks"));
        assert!(after("41 days") < after("6 weeks"));
        assert!(steps.step("s1") < Some(Rank::Closed) && Some(Rank::Closed) < after("1 minute"));
        assert_eq!(steps.step("s2"), None);
    }
}
