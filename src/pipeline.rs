//! The phases in order, once. This is the whole compiler as one readable function.

use crate::check::{self, Checked};
use crate::diag::{Diagnostic, Report};
use crate::model::inputs::Inputs;
use crate::model::library::Library;
use crate::model::site::Audience;
use crate::model::vocabulary::Vocabulary;
use crate::parse;
use rayon::prelude::*;

/// A library, parsed and checked.
#[derive(Debug)]
pub struct Prepared {
    /// What was read; its sources word the diagnostics.
    pub inputs: Inputs,
    /// The cleared corpus and what is missing from it.
    pub checked: Checked,
    /// Everything that was said, in canonical order.
    pub diagnostics: Vec<Diagnostic>,
}

/// Parses and checks what discovery found. It cannot fail; what is wrong is in the diagnostics.
pub fn prepare(mut inputs: Inputs, audience: Audience) -> Prepared {
    let mut report = Report::default();
    report.extend(std::mem::take(&mut inputs.diagnostics));

    let library = library(&inputs, &mut report);
    let (vocabulary, said) = vocabulary(&inputs);
    report.extend(said);

    let parsed: Vec<check::Parsed> = inputs
        .cases
        .par_iter()
        .filter_map(|files| {
            let markdown = inputs.sources.get(files.markdown)?;
            let side = files.side.and_then(|side| inputs.sources.get(side));
            Some(parse::case(&files.name, markdown, side))
        })
        .collect();

    let mut checked = check::check(parsed, vocabulary, library, &inputs, audience);
    report.extend(std::mem::take(&mut checked.diagnostics));
    let diagnostics = report.finish(&inputs.sources);
    Prepared { inputs, checked, diagnostics }
}

/// The vocabulary of a library: the built-in files and its own.
pub fn vocabulary(inputs: &Inputs) -> (Vocabulary, Vec<Diagnostic>) {
    let mut said = Vec::new();
    let entries: Vec<_> = inputs
        .vocabulary
        .iter()
        .filter_map(|&file| inputs.sources.get(file))
        .flat_map(|source| parse::vocabulary(source, &mut said))
        .collect();
    let (vocabulary, more) = check::vocabulary(&entries);
    said.extend(more);
    (vocabulary, said)
}

fn library(inputs: &Inputs, report: &mut Report) -> Library {
    let mut said = Vec::new();
    let library = inputs
        .library
        .and_then(|file| inputs.sources.get(file))
        .map_or_else(Library::default, |source| parse::library(source, &mut said));
    report.extend(said);
    library
}
