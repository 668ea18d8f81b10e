//! Drafting from narrations: how well it hears, that it invents nothing, and what it does with hostile files.
#![expect(clippy::print_stdout, reason = "the figures are read by people")]

mod doubts;
mod gold;
mod hostile;
mod never;
mod noise;
mod score;
mod second;

mod support;

use crate::support::{library, root};
use casewright::discover::{discover, lone_text};
use casewright::draft::{Draft, Drafter};
use casewright::model::inputs::Inputs;
use casewright::model::narration::Narration;
use casewright::model::vocabulary::Vocabulary;
use casewright::{parse, pipeline};
use std::sync::LazyLock;

/// The built-in vocabulary.
fn vocabulary() -> &'static Vocabulary {
    static VOCABULARY: LazyLock<Vocabulary> =
        LazyLock::new(|| pipeline::vocabulary(&discover(&library()).expect("a library")).0);
    &VOCABULARY
}

/// One drafter with that vocabulary: putting it together takes longer than drafting with it.
fn drafter() -> &'static Drafter<'static> {
    static DRAFTER: LazyLock<Drafter<'static>> = LazyLock::new(|| Drafter::new(vocabulary()));
    &DRAFTER
}

/// A narration of `tests/narrations`, read; nothing may be wrong with it.
fn narration(file: &str) -> Narration {
    let bytes = std::fs::read(root().join("tests/narrations").join(file)).unwrap_or_else(|why| panic!("{file}: {why}"));
    let mut inputs = Inputs::default();
    let id = lone_text(file, bytes, &mut inputs).expect("UTF-8");
    let (narration, said) = parse::narration(inputs.sources.get(id).expect("the source"));
    assert!(said.is_empty(), "{file}: {said:?}");
    narration
}

/// The draft of a narration of `tests/narrations`.
fn drafted(file: &str) -> Draft {
    drafter().draft(&narration(file), false)
}
