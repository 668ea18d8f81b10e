//! Complications that the vocabulary knows and no case shows, with the nearest that have one: what an educator could add.

use super::occurrences::of_case;
use crate::model::analysis::{NotTaught, Relation};
use crate::model::corpus::Corpus;
use crate::model::vocabulary::{ConceptId, Kind};
use std::collections::BTreeSet;

/// Neighbours that are named at most.
const NEAR: usize = 4;

/// Every complication without a case, gravest first, then in order of label.
pub fn not_taught(corpus: &Corpus) -> Vec<NotTaught> {
    let vocabulary = corpus.vocabulary();
    let mut taught: BTreeSet<ConceptId> = BTreeSet::new();
    for cleared in corpus.cases() {
        for (id, relations) in of_case(&cleared.case) {
            // That it was looked for and absent, or that a question is about it, shows nobody what it is like.
            if relations.iter().any(|how| !matches!(how, Relation::Absent | Relation::Taught)) {
                taught.extend(vocabulary.upwards(id));
            }
        }
    }
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
