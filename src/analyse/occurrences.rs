//! In which cases a concept occurs, and why.

use super::grouped;
use crate::model::analysis::{Occurrence, Relation, Relations};
use crate::model::case::{Case, FellowHistory, Lens, Meant};
use crate::model::vocabulary::{ConceptId, Vocabulary};
use std::collections::BTreeMap;

/// The concepts of one case with every relation in which they stand to it.
pub type Found = BTreeMap<ConceptId, Relations>;

/// The same with the wider ones, and the narrower one through which each came, if not itself.
pub(super) type Rolled = BTreeMap<ConceptId, (Relations, Option<ConceptId>)>;

/// Every concept that a case names in a field.
pub fn of_case(case: &Case) -> Found {
    let mut found = Found::new();
    let mut add = |term: &Meant, relation: Relation| {
        found.entry(term.value).or_default().insert(relation);
    };
    for finding in &case.findings {
        add(&finding.is, Relation::Present);
    }
    for absent in &case.absent {
        add(absent, Relation::Absent);
    }
    if let Some(FellowHistory::Had(term)) = case.fellow_eye.as_ref().and_then(|eye| eye.complication.as_ref()) {
        add(term, Relation::Fellow);
    }
    let plan = &case.planned;
    for technique in [&plan.procedure].into_iter().chain(&plan.with).chain(&plan.combined).chain(&plan.anaesthesia) {
        add(technique, Relation::Planned);
    }
    let operation = &case.operation;
    for device in &operation.devices {
        add(&device.is, Relation::Handled);
    }
    for step in &operation.steps {
        add(&step.does, Relation::Used);
        step.with.iter().for_each(|tool| add(tool, Relation::Handled));
    }
    if let Some(converted) = &operation.converted {
        add(&converted.to, Relation::Planned);
        add(&converted.to, Relation::Used);
    }
    for complication in &case.complications {
        add(&complication.is, Relation::Arose);
        for managed in &complication.managed {
            add(&managed.does, Relation::Answered);
            managed.with.iter().for_each(|tool| add(tool, Relation::Handled));
        }
    }
    for outcome in &case.outcomes {
        outcome.is.iter().for_each(|state| add(state, Relation::Ended));
    }
    for later in &case.later {
        add(&later.procedure, Relation::Later);
    }
    for decision in &case.body.decisions {
        decision.teaches.iter().for_each(|concept| add(concept, Relation::Taught));
    }
    case.drugs().for_each(|drug| add(&drug.substance, Relation::Handled));
    // The implant that was put in, and those of later operations; the planned one only if none was put in.
    let implanted = operation.lens.as_ref().or(plan.lens.as_ref());
    let later = case.later.iter().filter_map(|later| later.lens.as_ref());
    implanted.into_iter().chain(later).filter_map(|lens: &Lens<Meant>| lens.kind.as_ref()).for_each(|kind| {
        add(kind, Relation::Handled);
    });
    found
}

/// The cases of each concept, its narrower concepts included. Absence is not inherited: a narrower finding that is
/// absent says nothing of the wider one.
pub(super) fn by_concept<'r>(
    rolled: impl Iterator<Item = &'r Rolled> + Clone,
    concepts: usize,
) -> Vec<Vec<Occurrence>> {
    let all = rolled.enumerate().flat_map(|(case, rolled)| {
        rolled.iter().map(move |(&id, &(relations, through))| (id, Occurrence { case, relations, through }))
    });
    grouped(all, concepts)
}

/// The concepts of a case with the wider ones.
pub(super) fn upwards(found: &Found, vocabulary: &Vocabulary) -> Rolled {
    let mut rolled: Rolled = found.iter().map(|(&id, &relations)| (id, (relations, None))).collect();
    for (&id, relations) in found {
        let passed = relations.without(Relation::Absent);
        if passed.is_empty() {
            continue;
        }
        for &wider in vocabulary.upwards(id).iter().skip(1) {
            match rolled.get_mut(&wider) {
                Some((known, _)) => known.extend(passed),
                None => {
                    rolled.insert(wider, (passed, Some(id)));
                }
            }
        }
    }
    rolled
}
