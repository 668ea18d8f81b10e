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
use crate::model::case::Case;
use crate::model::corpus::Corpus;
use crate::model::index::Indices;
use crate::model::search::SearchIndex;
use crate::model::vocabulary::ConceptId;
pub use not_taught::not_taught;
use rayon::prelude::*;
pub use singled_out::{SingledOut, singled_out};
use std::sync::Arc;

/// Analyses a corpus.
pub fn analyse(corpus: &Corpus) -> Analysis {
    with_search(corpus, without_search(corpus, &|_| None))
}

/// Adds the index of the search to an analysis of the same corpus.
pub fn with_search(corpus: &Corpus, mut analysis: Analysis) -> Analysis {
    let (catalogue, document) = search::of_corpus(corpus, &analysis.occurrences, &analysis.indices);
    analysis.search = search::build(corpus.cases().len(), catalogue, document);
    analysis
}

/// What is known of a case from an earlier analysis with the same vocabulary and the same models.
pub type Known<'k> = dyn Fn(&Arc<Case>) -> Option<Indices> + Sync + 'k;

/// Analyses a corpus for all but the search, whose index stays empty.
pub fn without_search(corpus: &Corpus, known: &Known<'_>) -> Analysis {
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
    let ((found, robustness), pairs) = rayon::join(|| indices::of_corpus(corpus, known), || pairs::of_corpus(corpus));
    let reading = indices::reading(corpus, &found);
    let stages: Vec<_> = corpus.cases().par_iter().map(|cleared| stages::of_case(&cleared.case)).collect();
    let (related, (ladders, practice)) = rayon::join(
        || related::offered(&per_case, vocabulary),
        || {
            rayon::join(
                || ladders::of_corpus(corpus, &per_case, &occurrences, &found, &reading, &stages),
                || practice::of_corpus(corpus, &reading),
            )
        },
    );
    Analysis {
        search: SearchIndex::default(),
        pairs_of: pairs::by_case(&pairs, corpus.cases().len()),
        pairs,
        not_taught: not_taught::among(&per_case, vocabulary),
        ladders,
        practice,
        reading,
        indices: found,
        robustness,
        occurrences,
        narrower,
        related,
        concepts_of: per_case.into_iter().map(|found| found.into_keys().collect()).collect(),
        stages,
    }
}
