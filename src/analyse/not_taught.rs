//! Complications that the vocabulary knows and no case shows, with the nearest that have one: what an educator could add.

use super::occurrences::{Found, of_case};
use crate::model::analysis::{NotTaught, Relation, Relations};
use crate::model::corpus::Corpus;
use crate::model::vocabulary::{ConceptId, Kind, Vocabulary};
use std::collections::BTreeSet;

/// Neighbours that are named at most.
const NEAR: usize = 4;

/// Every complication without a case, gravest first, then in order of label.
pub fn not_taught(corpus: &Corpus) -> Vec<NotTaught> {
    let found: Vec<Found> = corpus.cases().iter().map(|cleared| of_case(&cleared.case())).collect();
    among(found.iter(), corpus.vocabulary())
}

/// The same where it is known already what occurs in each case.
pub(super) fn among<'f>(found: impl Iterator<Item = &'f Found>, vocabulary: &Vocabulary) -> Vec<NotTaught> {
    // That it was looked for and absent, or that a question is about it, shows nobody what it is like.
    let shows = |relations: &Relations| relations.any_but(&[Relation::Absent, Relation::Taught]);
    let named: BTreeSet<ConceptId> =
        found.flatten().filter(|(_, relations)| shows(relations)).map(|(id, _)| *id).collect();
    let taught: BTreeSet<ConceptId> = named.into_iter().flat_map(|id| vocabulary.upwards(id)).copied().collect();
    let mut found: Vec<NotTaught> = vocabulary
        .iter()
        .filter(|(id, concept)| concept.kind == Kind::Complication && !taught.contains(id))
        .map(|(id, concept)| {
            let sisters =
                vocabulary.iter().filter(|(_, it)| it.broader.iter().any(|wider| concept.broader.contains(wider)));
            let near: BTreeSet<ConceptId> =
                sisters.map(|(sister, _)| sister).chain(concept.broader.iter().copied()).collect();
            NotTaught {
                concept: id,
                near: near.into_iter().filter(|it| *it != id && taught.contains(it)).take(NEAR).collect(),
            }
        })
        .collect();
    found.sort_by_cached_key(|it| {
        let concept = vocabulary.get(it.concept);
        (std::cmp::Reverse(concept.harm), concept.label.value.to_lowercase())
    });
    found
}
