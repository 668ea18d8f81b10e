//! Analysis: what a corpus says as a whole. Pure and total: it reads nothing but the corpus and cannot fail.

mod alone;
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
use crate::model::search::SearchIndex;
use crate::model::vocabulary::ConceptId;
pub use alone::Alone;
pub use not_taught::not_taught;
use rayon::prelude::*;
pub use singled_out::{SingledOut, singled_out};
use std::sync::Arc;

/// What belongs to each concept, in the order in which it comes. Counted first: lists that grow hold half as much again as
/// they need.
fn grouped<T>(all: impl Iterator<Item = (ConceptId, T)> + Clone, concepts: usize) -> Vec<Vec<T>> {
    let mut counts = vec![0; concepts];
    all.clone().for_each(|(id, _)| counts[id.0 as usize] += 1);
    let mut of: Vec<Vec<T>> = counts.into_iter().map(Vec::with_capacity).collect();
    all.for_each(|(id, it)| of[id.0 as usize].push(it));
    of
}

/// Analyses a corpus.
pub fn analyse(corpus: &Corpus) -> Analysis {
    with_search(corpus, without_search(corpus))
}

/// Adds the index of the search to an analysis of the same corpus.
pub fn with_search(corpus: &Corpus, mut analysis: Analysis) -> Analysis {
    let (catalogue, document) = search::of_corpus(corpus, &analysis);
    analysis.search = search::build(corpus.cases().len(), catalogue, document);
    analysis
}

/// What is known of a case from an earlier analysis with the same vocabulary, models and library.
pub type Known<'k> = dyn Fn(&Arc<Case>) -> Option<Arc<Alone>> + Sync + 'k;

/// Analyses a corpus for all but the search, whose index stays empty.
pub fn without_search(corpus: &Corpus) -> Analysis {
    together(corpus, &alone(corpus, &|_| None))
}

/// What each case of a corpus is by itself.
pub fn alone(corpus: &Corpus, known: &Known<'_>) -> Vec<Arc<Alone>> {
    let of = |case: &Arc<Case>| {
        known(case).unwrap_or_else(|| Arc::new(Alone::of(case, corpus.library(), corpus.vocabulary())))
    };
    corpus.cases().par_iter().map(|cleared| of(&cleared.case())).collect()
}

/// What the cases of a corpus are together, the search left out, from what each is by itself.
pub fn together(corpus: &Corpus, alone: &[Arc<Alone>]) -> Analysis {
    let vocabulary = corpus.vocabulary();
    let mut narrower: Vec<Vec<ConceptId>> = vec![Vec::new(); vocabulary.len()];
    for (id, concept) in vocabulary.iter() {
        for wider in &concept.broader {
            narrower[wider.0 as usize].push(id);
        }
    }
    for list in &mut narrower {
        list.sort_by_cached_key(|&id| (vocabulary.get(id).label.value.to_lowercase(), id));
    }
    let occurrences = occurrences::by_concept(alone.iter().map(|case| &case.rolled), vocabulary.len());
    let indices: Vec<_> = alone.iter().map(|case| Arc::clone(&case.indices)).collect();
    let names: Vec<&str> = corpus.cases().iter().map(|cleared| cleared.name.as_str()).collect();
    let reading = indices::reading(corpus, &indices);
    let ((pairs, (standings, robustness)), (related, (ladders, practice))) = rayon::join(
        || rayon::join(|| pairs::of_corpus(corpus, alone), || indices::vary(&indices, &names)),
        || {
            let ladders = || ladders::of_corpus(vocabulary, alone, &occurrences, &reading);
            rayon::join(
                || related::kindred(alone, vocabulary.len()),
                || rayon::join(ladders, || practice::of_corpus(corpus, alone, &reading)),
            )
        },
    );
    Analysis {
        search: SearchIndex::default(),
        pairs_of: pairs::by_case(&pairs, alone.len()),
        pairs,
        not_taught: not_taught::among(alone.iter().map(|case| &case.found), vocabulary),
        ladders,
        practice,
        reading,
        indices,
        standings,
        robustness,
        occurrences,
        narrower,
        gists: alone.iter().map(|case| Arc::clone(&case.gist)).collect(),
        related,
        concepts_of: alone.iter().map(|case| case.found.keys().copied().collect()).collect(),
        stages: alone.iter().map(|case| case.stages.clone()).collect(),
    }
}
