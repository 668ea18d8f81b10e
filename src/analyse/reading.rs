//! The order in which the cases of a library are best read: those that ask least of the reader first.

use crate::model::case::Case;
use crate::model::corpus::Corpus;
use crate::model::vocabulary::{Level, Vocabulary};

/// The rank of every case in reading order, from 0, in order of the corpus. No two cases share a rank.
pub(crate) fn ranks(corpus: &Corpus) -> Vec<usize> {
    let cases = corpus.cases();
    let keys: Vec<_> = cases.iter().map(|cleared| asks(&cleared.case, corpus.vocabulary())).collect();
    let mut order: Vec<usize> = (0..cases.len()).collect();
    order.sort_by_key(|&at| (keys[at], at));
    let mut ranks = vec![0; cases.len()];
    for (rank, at) in order.into_iter().enumerate() {
        ranks[at] = rank;
    }
    ranks
}

/// What a case asks of its reader: the most demanding technique of the operation, then how much went wrong.
fn asks(case: &Case, vocabulary: &Vocabulary) -> (Option<Level>, usize) {
    let steps = case.operation.steps.iter().map(|step| &step.does);
    let answers = case.complications.iter().flat_map(|it| it.managed.iter().map(|managed| &managed.does));
    let level = steps.chain(answers).filter_map(|term| vocabulary.get(term.value).level).max();
    (level, case.complications.len())
}
