//! The library as tables. Every table has a key; a column that names a row of another table says so.

mod cases;
mod decisions;
mod indices;
mod operation;
mod visits;
mod vocabulary;

use super::questions::Question;
use super::table::{Cell, Table};
use crate::model::analysis::Analysis;
use crate::model::case::Meant;
use crate::model::corpus::Corpus;
use crate::model::vocabulary::Vocabulary;
use crate::text::Spanned;

/// Every table, in the order in which a reader needs them.
pub(super) fn all(corpus: &Corpus, analysis: &Analysis, questions: &[Question]) -> Vec<Table> {
    let mut tables = cases::tables(corpus);
    tables.extend(visits::tables(corpus));
    tables.extend(operation::tables(corpus));
    tables.extend(decisions::tables(corpus, questions));
    tables.extend(indices::tables(corpus, analysis));
    tables.extend(vocabulary::tables(corpus.vocabulary()));
    tables
}

/// The key of a concept.
fn concept(vocabulary: &Vocabulary, meant: &Meant) -> Cell {
    (&vocabulary.get(meant.value).name).into()
}

/// The key of a concept that may not be named.
fn concept_if(vocabulary: &Vocabulary, meant: Option<&Meant>) -> Cell {
    meant.map_or(Cell::Empty, |meant| concept(vocabulary, meant))
}

/// The key of something that has a name within its case: a step, a decision.
fn within(case: &str, name: &str) -> String {
    format!("{case}/{name}")
}

/// The key of a step that may not be named.
fn step_if(case: &str, step: Option<&Spanned<String>>) -> Cell {
    step.map_or(Cell::Empty, |step| within(case, &step.value).into())
}

/// Places from 1 beside what stands there.
fn placed<T>(items: impl IntoIterator<Item = T>) -> impl Iterator<Item = (usize, T)> {
    (1..).zip(items)
}
