//! The phases in order, once. This is the whole compiler as one readable function.

mod shelf;

use crate::check::{self, Checked, Identifiers, Judge, Judged, Parsed};
use crate::diag::{Diagnostic, Report};
use crate::model::digest::Parts;
use crate::model::held::Shelf;
use crate::model::inputs::{CaseFile, CaseTexts, Inputs};
use crate::model::library::Library;
use crate::model::risk::Models;
use crate::model::session::Session;
use crate::model::site::Audience;
use crate::model::vocabulary::Vocabulary;
use crate::parse;
use crate::publish::Recall;
use crate::render::is_built_in;
use crate::text::FileId;
use rayon::prelude::*;
pub use shelf::Temporary;
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

/// Most cases that are held as they are. So many take some 150 MB.
const WHOLE: usize = 2_000;

/// Somebody who may remember what became of a case.
pub trait Memory: Sync {
    /// The vocabulary: what [`vocabulary`] gives.
    fn vocabulary(&self, inputs: &Inputs) -> (Vocabulary, Vec<Diagnostic>) {
        vocabulary(inputs)
    }

    /// Where so many cases are put away once they are cleared; none where they are held as they are.
    fn shelf(&self, cases: usize) -> Option<Arc<dyn Shelf>> {
        (cases > WHOLE).then(|| Arc::new(Temporary::open()) as Arc<dyn Shelf>)
    }

    /// The case at a place in [`Inputs::texts`] parsed by `parse` and judged by `judge`; see [`check::Judging`].
    fn judged(&self, at: usize, parse: &dyn Fn() -> Parsed, judge: Judge<'_>) -> Judged;
}

/// Remembers nothing.
#[derive(Debug, Clone, Copy)]
pub struct Afresh;

impl Memory for Afresh {
    fn judged(&self, _: usize, parse: &dyn Fn() -> Parsed, judge: Judge<'_>) -> Judged {
        judge(Arc::new(parse()), Identifiers::Sought)
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
        let of = |case: &CaseTexts<'_>| {
            let mut parts = Parts::default();
            parts.add("identifiers");
            parts.add(media);
            parts.add(&case.files.name);
            for source in [Some(case.markdown), case.side].into_iter().flatten() {
                parts.add(&source.path);
                parts.add(source.text.as_bytes());
            }
            *parts.hash().as_bytes()
        };
        Self { recall, cases: inputs.texts().par_iter().map(of).collect() }
    }
}

impl Memory for Recalling<'_> {
    fn judged(&self, at: usize, parse: &dyn Fn() -> Parsed, judge: Judge<'_>) -> Judged {
        let Some(case) = self.cases.get(at) else { return Afresh.judged(at, parse, judge) };
        let known = self.recall.was_anonymous(case);
        let judged = judge(Arc::new(parse()), if known { Identifiers::Absent } else { Identifiers::Sought });
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

    report.extend(identifiers(&inputs));
    let shelf = memory.shelf(inputs.cases.len());
    let judging = |at: usize, texts: CaseTexts<'_>, judge: Judge<'_>| {
        let CaseTexts { files, markdown, side } = texts;
        memory.judged(at, &|| parse::case(&files.name, markdown, side), judge)
    };
    let mut checked = check::check(vocabulary, library, &inputs, audience, shelf.as_ref(), &judging);
    report.extend(std::mem::take(&mut checked.diagnostics));
    let diagnostics = report.finish(&inputs.sources);
    if shelf.is_some() {
        let_go(&mut inputs, &diagnostics);
    }
    Prepared { inputs, checked, diagnostics }
}

/// Lets go the texts of cases of which there is nothing to say: what the pages need of them is packed with the case.
fn let_go(inputs: &mut Inputs, diagnostics: &[Diagnostic]) {
    let spans = diagnostics.iter().flat_map(|it| it.span.into_iter().chain(it.also.iter().map(|(span, _)| *span)));
    let told: BTreeSet<FileId> = spans.map(|span| span.file).collect();
    for file in inputs.cases.iter().flat_map(CaseFile::files) {
        if !told.contains(&file) {
            inputs.sources.let_go(file);
        }
    }
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
