//! Every drug that a case names, wherever it was given.

use crate::model::case::{CaseOf, Drug};

/// All drugs: before, in steps, against complications, afterwards.
pub(crate) fn every_drug<T>(case: &CaseOf<T>) -> impl Iterator<Item = &Drug<T>> {
    let before = case.before.iter().flat_map(|visit| &visit.gives);
    let steps = case.operation.steps.iter().flat_map(|step| &step.gives);
    let managed = case.complications.iter().flat_map(|it| &it.managed).flat_map(|it| &it.gives);
    before.chain(steps).chain(managed).chain(case.outcomes.iter().flat_map(|visit| &visit.gives))
}
