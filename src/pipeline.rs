//! The phases in order, once. This is the whole compiler as one readable function.

use crate::check::{self, Checked, Judge, Judged, Others, Parsed, Rules};
use crate::diag::{Diagnostic, Report};
use crate::model::digest::Parts;
use crate::model::inputs::{Inputs, MediaContent};
use crate::model::library::Library;
use crate::model::risk::Models;
use crate::model::session::Session;
use crate::model::site::Audience;
use crate::model::vocabulary::Vocabulary;
use crate::parse;
use crate::render::is_built_in;
use crate::text::{FileId, Source};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::sync::Arc;

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

/// Somebody who may remember what became of a case.
pub trait Memory: Sync {
    /// The case parsed: what [`parse::case`] gives.
    fn parsed(&self, name: &str, markdown: &Source, side: Option<&Source>) -> Arc<Parsed>;

    /// The vocabulary: what [`vocabulary`] gives.
    fn vocabulary(&self, inputs: &Inputs) -> (Vocabulary, Vec<Diagnostic>);

    /// The case judged: what `judge` gives; see [`check::Judging`].
    fn judged(&self, at: usize, others: &Others, judge: Judge<'_>) -> Judged;
}

/// Remembers nothing.
#[derive(Debug, Clone, Copy)]
pub struct Afresh;

impl Memory for Afresh {
    fn parsed(&self, name: &str, markdown: &Source, side: Option<&Source>) -> Arc<Parsed> {
        Arc::new(parse::case(name, markdown, side))
    }

    fn vocabulary(&self, inputs: &Inputs) -> (Vocabulary, Vec<Diagnostic>) {
        vocabulary(inputs)
    }

    fn judged(&self, _: usize, _: &Others, judge: Judge<'_>) -> Judged {
        judge(Rules::Asked)
    }
}

/// A hash of all that a judgement, and what a case is by itself, lean on besides the case itself and the others: every other
/// text with its number, the media, the audience.
pub fn around(inputs: &Inputs, audience: Audience) -> [u8; 32] {
    let of_cases: BTreeSet<FileId> =
        inputs.cases.iter().flat_map(|case| [Some(case.markdown), case.side]).flatten().collect();
    let mut parts = Parts::default();
    parts.add(audience.word());
    for source in inputs.sources.iter().filter(|source| !of_cases.contains(&source.id)) {
        parts.add(format!("{:?} {}", source.id, source.path));
        parts.add(source.text.as_bytes());
    }
    for (name, file) in &inputs.media {
        parts.add(name);
        match &file.content {
            MediaContent::Shown(shown) => parts.add(shown.original.as_bytes()),
            other => parts.add(format!("{} {other:?}", file.size)),
        }
    }
    *parts.hash().as_bytes()
}

/// A hash of what a case may know of the others.
pub fn of_others(others: &Others) -> [u8; 32] {
    let mut parts = Parts::default();
    for (name, other) in others {
        parts.add(name);
        parts.add(format!("{other:?}"));
    }
    *parts.hash().as_bytes()
}

/// Parses and checks what discovery found. It cannot fail; what is wrong is in the diagnostics.
pub fn prepare(inputs: Inputs, audience: Audience) -> Prepared {
    prepare_with(inputs, audience, &Afresh)
}

/// The same with the help of a memory.
pub fn prepare_with(mut inputs: Inputs, audience: Audience, memory: &dyn Memory) -> Prepared {
    let mut report = Report::default();
    report.extend(std::mem::take(&mut inputs.diagnostics));

    let mut library = library(&inputs, &mut report);
    let (vocabulary, said) = memory.vocabulary(&inputs);
    report.extend(said);
    let (models, said) = models(&inputs, &vocabulary);
    library.models = models;
    library.sessions = sessions(&inputs, &mut report);
    report.extend(said);

    let parsed: Vec<Arc<Parsed>> = inputs
        .cases
        .par_iter()
        .filter_map(|files| {
            let markdown = inputs.sources.get(files.markdown)?;
            let side = files.side.and_then(|side| inputs.sources.get(side));
            Some(memory.parsed(&files.name, markdown, side))
        })
        .collect();

    report.extend(identifiers(&inputs));
    let mut checked = check::check(parsed, vocabulary, library, &inputs, audience, &|at, others, judge| {
        memory.judged(at, others, judge)
    });
    report.extend(std::mem::take(&mut checked.diagnostics));
    let diagnostics = report.finish(&inputs.sources);
    Prepared { inputs, checked, diagnostics }
}

/// What may identify a person in the library's own files besides its cases and their media.
fn identifiers(inputs: &Inputs) -> Vec<Diagnostic> {
    let own = |files: &[FileId], folder: &str| -> Vec<FileId> {
        let path = |file: &FileId| inputs.sources.get(*file).is_some_and(|source| source.path.starts_with(folder));
        files.iter().copied().filter(path).collect()
    };
    let sessions = inputs.sessions.iter().map(|(_, file)| *file);
    let files =
        own(&inputs.vocabulary, "vocabulary/").into_iter().chain(own(&inputs.models, "models/")).chain(sessions);
    let files = inputs.library.into_iter().chain(files);
    let written: Vec<_> = files.filter_map(|file| Some(parse::written(inputs.sources.get(file)?))).collect();
    let theme = inputs.theme.iter().filter(|(path, bytes)| !is_built_in(path, bytes));
    let theme: Vec<_> = theme.map(|(path, bytes)| (path.as_str(), bytes.as_slice())).collect();
    check::identifiers_of_library(&written, &theme, inputs)
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

/// The models of a library: the built-in files and its own.
pub fn models(inputs: &Inputs, vocabulary: &Vocabulary) -> (Models, Vec<Diagnostic>) {
    let mut said = Vec::new();
    let files = inputs.models.iter().filter_map(|&file| inputs.sources.get(file));
    let read: Vec<_> = files.filter_map(|source| parse::model(source, &mut said)).collect();
    let (models, more) = check::models(&read, vocabulary);
    said.extend(more);
    (models, said)
}

/// The teaching sessions of a library.
fn sessions(inputs: &Inputs, report: &mut Report) -> Vec<Session> {
    let mut said = Vec::new();
    let read =
        inputs.sessions.iter().filter_map(|(name, file)| parse::session(name, inputs.sources.get(*file)?, &mut said));
    let read = read.collect();
    report.extend(said);
    read
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

#[cfg(test)]
mod tests {
    use crate::model::index::PARTS;
    use crate::render::ANCHORS;

    #[test]
    fn methods_tells_the_anchors_that_are_used() {
        let told = ANCHORS.map(|(label, none, full)| (label.to_lowercase(), none.to_owned(), full.to_owned()));
        for (part, (label, none, full)) in PARTS.iter().zip(told) {
            assert!(label.starts_with(part.label), "{label}");
            assert!(full.contains(&part.full.to_string()), "{label}: {full}");
            assert!(none.contains(&part.none.to_string()) || part.odds && none.contains("those"), "{label}: {none}");
        }
        assert_eq!(PARTS.len(), ANCHORS.len());
    }
}
