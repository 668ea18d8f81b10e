//! Checking: all syntax and the vocabulary become one corpus, or diagnostics that say why not.
//!
//! It cannot fail. Consent and audience are applied here, before a [`Corpus`] exists.

mod clearance;
mod exhibits;
mod identifiers;
mod models;
pub mod privacy;
mod resolve;
mod rules;
mod sessions;
mod vocabulary;

use crate::diag::{Diagnostic, Severity};
use crate::model::case::{Case, CaseSyntax, ConsentStatus};
use crate::model::corpus::{Cleared, Corpus};
use crate::model::inputs::{Inputs, MediaFile};
use crate::model::library::Library;
use crate::model::risk::{ModelFile, Models};
use crate::model::site::Audience;
use crate::model::vocabulary::{Entry, Vocabulary};
use crate::text::{Sources, Span};
pub use identifiers::library as identifiers_of_library;
use rayon::prelude::*;
pub use rules::RULES;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// What the rules may look at besides the case itself.
pub(crate) struct Context<'a> {
    /// The resolved vocabulary.
    pub(crate) vocabulary: &'a Vocabulary,
    /// Every case of the library by name.
    pub(crate) cases: Others,
    /// Files under `media/`.
    pub(crate) media: &'a BTreeMap<String, MediaFile>,
    /// For whom the site is made.
    pub(crate) audience: Audience,
    /// The texts.
    pub(crate) sources: &'a Sources,
}

/// What a case may know of another.
#[derive(Debug, Clone, Copy)]
pub struct Other {
    /// Who may read it.
    pub audience: Audience,
    /// Whether consent stands.
    pub consent: ConsentStatus,
}

/// Every case of the library by name.
pub type Others = BTreeMap<String, Other>;

/// A parsed case with what parsing said of it.
pub type Parsed = (CaseSyntax, Vec<Diagnostic>);

/// The vocabulary from entries as written, built-in ones first, and everything wrong with them.
pub fn vocabulary(entries: &[Entry]) -> (Vocabulary, Vec<Diagnostic>) {
    let mut out = Vec::new();
    let vocabulary = vocabulary::build(entries, &mut out);
    (vocabulary, out)
}

/// The models from files as written, built-in ones first, and everything wrong with them.
pub fn models(files: &[ModelFile], vocabulary: &Vocabulary) -> (Models, Vec<Diagnostic>) {
    let mut out = Vec::new();
    let models = models::build(files, vocabulary, &mut out);
    (models, out)
}

/// What checking gives.
#[derive(Debug)]
pub struct Checked {
    /// The sound and cleared cases.
    pub corpus: Corpus,
    /// Everything that was said, parsing included; not yet sorted.
    pub diagnostics: Vec<Diagnostic>,
    /// Paths of cases that have errors, in order.
    pub faulty: Vec<String>,
    /// How many sound cases are withheld from this audience.
    pub withheld: usize,
    /// Names of all cases, sound or not, that by their own words may not be read by this audience, in order of path.
    pub barred: Vec<String>,
}

/// How a case comes to be judged: its place in `inputs.cases`, what it may know of the others, and the judging itself, which
/// may be done once, or not at all by somebody who remembers how a case was judged that nothing has changed for: neither
/// its texts nor any other file of the library, nor what it may know of the others, nor the audience.
pub type Judging<'j> = dyn Fn(usize, &Others, Judge<'_>) -> Judged + Sync + 'j;

/// The judging of one case, still to be done.
pub type Judge<'j> = Box<dyn FnOnce(Identifiers) -> Judged + 'j>;

/// Whether identifiers are to be looked for in a case, which takes longer than all other rules together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Identifiers {
    /// They are.
    Sought,
    /// These very texts were looked through before, and there was nothing to say.
    Absent,
}

/// Checks all cases against one another and the vocabulary. `parsed` stands in the order of `inputs.cases`.
pub fn check(
    parsed: Vec<Arc<Parsed>>,
    vocabulary: Vocabulary,
    mut library: Library,
    inputs: &Inputs,
    audience: Audience,
    judging: &Judging<'_>,
) -> Checked {
    let mut diagnostics = Vec::new();
    rules::case_name::check(inputs, &mut diagnostics);
    rules::name_clash::check(inputs, &mut diagnostics);
    let misnamed: BTreeSet<String> = diagnostics.iter().map(|diagnostic| diagnostic.path.clone()).collect();
    let cases = parsed
        .iter()
        .map(|parsed| {
            let case = &parsed.0;
            let other = Other { audience: case.audience.value, consent: case.consent.status.value };
            (case.name.clone(), other)
        })
        .collect();
    let context = Context { vocabulary: &vocabulary, cases, media: &inputs.media, sources: &inputs.sources, audience };
    let judged: Vec<Judged> = parsed
        .into_par_iter()
        .enumerate()
        .map(|(at, parsed)| {
            let judge = |identifiers| {
                let (case, said) = Arc::unwrap_or_clone(parsed);
                judge(case, said, &context, audience, identifiers)
            };
            judging(at, &context.cases, Box::new(judge))
        })
        .collect();
    let (mut sound, mut faulty, mut withheld) = (Vec::new(), inputs.unread.clone(), 0);
    let mut barred = Vec::new();
    for (mut judged, files) in judged.into_iter().zip(&inputs.cases) {
        diagnostics.append(&mut judged.diagnostics);
        let Some(markdown) = inputs.sources.get(files.markdown) else { continue };
        if judged.barred {
            barred.push(files.name.clone());
        }
        match judged.verdict {
            Verdict::Withheld => withheld += 1,
            _ if misnamed.contains(&markdown.path) => faulty.push(markdown.path.clone()),
            Verdict::Faulty => faulty.push(markdown.path.clone()),
            Verdict::Cleared(case) => sound.push(Cleared {
                reviewed: case
                    .review
                    .as_ref()
                    .and_then(|review| review.of.as_ref())
                    .is_some_and(|of| of.value == case.content_hash),
                markdown: markdown.text.clone(),
                path: markdown.path.clone(),
                side: files
                    .side
                    .and_then(|side| inputs.sources.get(side))
                    .map(|side| (side.path.clone(), side.text.clone())),
                media: exhibits::of(&case, inputs),
                case,
            }),
        }
    }
    library.sessions =
        sessions::build(std::mem::take(&mut library.sessions), &context.cases, &sound, audience, &mut diagnostics);
    let corpus = Corpus::new(&clearance::grant(), library, audience, vocabulary, sound);
    faulty.sort();
    Checked { corpus, diagnostics, faulty, withheld, barred }
}

/// One case, judged.
#[derive(Debug, Clone)]
pub struct Judged {
    verdict: Verdict,
    /// Whether the author's own words keep it from this audience, whatever else is wrong with it.
    barred: bool,
    /// Whether nothing was said of identifiers in it.
    anonymous: bool,
    diagnostics: Vec<Diagnostic>,
}

impl Judged {
    /// Whether nothing was said of identifiers in the case, now or before.
    pub fn is_anonymous(&self) -> bool {
        self.anonymous
    }
}

#[derive(Debug, Clone)]
enum Verdict {
    Cleared(Arc<Case>),
    Withheld,
    Faulty,
}

fn judge(
    case: CaseSyntax,
    mut diagnostics: Vec<Diagnostic>,
    context: &Context<'_>,
    audience: Audience,
    identifiers: Identifiers,
) -> Judged {
    if case.consent.status.value == ConsentStatus::Withdrawn {
        // It leaves the site whatever else is wrong with it, and a withdrawal never waits for a typo.
        diagnostics.clear();
        rules::withdrawn::check(&case, context, &mut diagnostics);
        return Judged { verdict: Verdict::Withheld, barred: true, anonymous: false, diagnostics };
    }
    for check in rules::CASE_CHECKS {
        check(&case, context, &mut diagnostics);
    }
    let before = diagnostics.len();
    if identifiers == Identifiers::Sought {
        identifiers::check(&case, context, &mut diagnostics);
    }
    let anonymous = diagnostics.len() == before;
    let cleared = clearance::may_read(&case, audience);
    // Where a slip hides what the author meant, a neutral value stands in at a place that is not its own.
    let said = case.consent.status.span != case.span && case.audience.span != Span::default();
    let barred = said && !cleared;
    let resolved = resolve::resolve(case, context.vocabulary, &mut diagnostics);
    let errors = diagnostics.iter().any(|diagnostic| diagnostic.severity() == Severity::Error);
    let verdict = match (resolved, cleared) {
        (Some(case), true) if !errors => Verdict::Cleared(Arc::new(case)),
        (Some(_), false) if !errors => Verdict::Withheld,
        _ => Verdict::Faulty,
    };
    Judged { verdict, barred, anonymous, diagnostics }
}
