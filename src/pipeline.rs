//! The phases in order, once. This is the whole compiler as one readable function.

use crate::check::{self, Checked, Identifiers, Judge, Judged, Others, Parsed};
use crate::diag::{Diagnostic, Report};
use crate::model::digest::Parts;
use crate::model::inputs::{CaseFile, Inputs};
use crate::model::library::Library;
use crate::model::risk::Models;
use crate::model::session::Session;
use crate::model::site::Audience;
use crate::model::vocabulary::Vocabulary;
use crate::parse;
use crate::publish::Recall;
use crate::render::is_built_in;
use crate::text::{FileId, Source};
use rayon::prelude::*;
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
        judge(Identifiers::Sought)
    }
}

/// Prepares with the help of what an earlier compile kept: in which texts nothing was said of identifiers. Only hashes are
/// kept, so that no word of a case lies in a cache; where something was said it is looked for again, and said again.
#[derive(Debug)]
pub struct Recalling<'r> {
    recall: &'r Recall,
    /// What is looked through for each case, in the order in which cases are judged.
    cases: Vec<[u8; 32]>,
}

impl<'r> Recalling<'r> {
    /// For the cases of these inputs.
    pub fn new(recall: &'r Recall, inputs: &Inputs) -> Self {
        let media = inputs.media_hash();
        let of = |case: &CaseFile| {
            let mut parts = Parts::default();
            parts.add("identifiers");
            parts.add(media);
            parts.add(&case.name);
            let texts = [Some(case.markdown), case.side].into_iter().flatten();
            for source in texts.filter_map(|file| inputs.sources.get(file)) {
                parts.add(&source.path);
                parts.add(source.text.as_bytes());
            }
            *parts.hash().as_bytes()
        };
        // A case of which there is no text is not judged.
        let there = inputs.cases.par_iter().filter(|case| inputs.sources.get(case.markdown).is_some());
        Self { recall, cases: there.map(of).collect() }
    }
}

impl Memory for Recalling<'_> {
    fn parsed(&self, name: &str, markdown: &Source, side: Option<&Source>) -> Arc<Parsed> {
        Afresh.parsed(name, markdown, side)
    }

    fn vocabulary(&self, inputs: &Inputs) -> (Vocabulary, Vec<Diagnostic>) {
        Afresh.vocabulary(inputs)
    }

    fn judged(&self, at: usize, others: &Others, judge: Judge<'_>) -> Judged {
        let Some(case) = self.cases.get(at) else { return Afresh.judged(at, others, judge) };
        let known = self.recall.was_anonymous(case);
        let judged = judge(if known { Identifiers::Absent } else { Identifiers::Sought });
        if judged.is_anonymous() {
            self.recall.keep_anonymous(*case);
        }
        judged
    }
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
