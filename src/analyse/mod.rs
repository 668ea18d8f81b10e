//! Analysis: what a corpus says as a whole. Pure and total: it reads nothing but the corpus and cannot fail.

pub mod indices;
pub mod ladders;
mod not_taught;
pub mod occurrences;
pub mod pairs;
mod practice;
pub mod related;
pub mod search;
mod singled_out;
mod stages;

use crate::model::analysis::Analysis;
use crate::model::corpus::Corpus;
use crate::model::vocabulary::ConceptId;
pub use not_taught::not_taught;
use rayon::prelude::*;
pub use singled_out::{SingledOut, singled_out};

/// Analyses a corpus.
pub fn analyse(corpus: &Corpus) -> Analysis {
    let vocabulary = corpus.vocabulary();
    let per_case: Vec<_> = corpus.cases().par_iter().map(|cleared| occurrences::of_case(&cleared.case)).collect();
    let mut narrower: Vec<Vec<ConceptId>> = vec![Vec::new(); vocabulary.len()];
    for (id, concept) in vocabulary.iter() {
        for wider in &concept.broader {
            narrower[wider.0 as usize].push(id);
        }
    }
    for list in &mut narrower {
        list.sort_by(|&one, &other| {
            let key = |id| vocabulary.get(id).label.value.to_lowercase();
            key(one).cmp(&key(other)).then(one.cmp(&other))
        });
    }
    let occurrences = occurrences::by_concept(&per_case, vocabulary);
    let (found, robustness) = indices::of_corpus(corpus);
    let (catalogue, document) = search::of_corpus(corpus, &occurrences, &found);
    let pairs = pairs::of_corpus(corpus);
    let reading = indices::reading(corpus, &found);
    let stages: Vec<_> = corpus.cases().par_iter().map(|cleared| stages::of_case(&cleared.case)).collect();
    Analysis {
        pairs_of: pairs::by_case(&pairs, corpus.cases().len()),
        pairs,
        not_taught: not_taught(corpus),
        search: search::build(corpus.cases().len(), catalogue, document),
        ladders: ladders::of_corpus(corpus, &per_case, &occurrences, &found, &reading, &stages),
        practice: practice::of_corpus(corpus, &reading),
        reading,
        indices: found,
        robustness,
        occurrences,
        narrower,
        related: related::offered(&per_case, vocabulary),
        concepts_of: per_case.into_iter().map(|found| found.into_keys().collect()).collect(),
        stages,
    }
}
