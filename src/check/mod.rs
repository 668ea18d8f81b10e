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
use crate::model::held::{Held, Open, Shelf};
use crate::model::inputs::{CaseTexts, Inputs, MediaFile};
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
    /// Files under `media/`.
    pub(crate) media: &'a BTreeMap<String, MediaFile>,
    /// For whom the site is made.
    pub(crate) audience: Audience,
    /// The texts.
    pub(crate) sources: &'a Sources,
}

/// What a case may know of another.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Other {
    /// Who may read it.
    pub(crate) audience: Audience,
    /// Whether consent stands.
    pub(crate) consent: ConsentStatus,
}

/// Every case of the library by name.
pub(crate) type Others = BTreeMap<String, Other>;

/// What ties a case to others. It is looked at when all are judged.
#[derive(Debug, Clone)]
pub(crate) struct Ties {
    /// The case's name.
    pub(crate) name: String,
    /// What the others may know of it.
    pub(crate) own: Other,
    /// Every mention of another case, by place and name.
    pub(crate) links: Vec<(Span, String)>,
}

impl Ties {
    fn of(case: &CaseSyntax) -> Self {
        let own = Other { audience: case.audience.value, consent: case.consent.status.value };
        let links = case.case_links().map(|(span, name)| (span, name.to_owned())).collect();
        Self { name: case.name.clone(), own, links }
    }
}

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

/// How the case at a place in [`Inputs::texts`], with these texts, comes to be judged: the judging itself may be done once, or not at all by
/// somebody who remembers how a case was judged that nothing has changed for: neither its texts nor any file of the library
/// that is no case, nor the audience.
pub type Judging<'j> = dyn Fn(usize, CaseTexts<'_>, Judge<'_>) -> Judged + Sync + 'j;

/// The judging of a parsed case.
pub type Judge<'j> = &'j dyn Fn(Arc<Parsed>, Identifiers) -> Judged;

/// Whether identifiers are to be looked for in a case, which takes longer than all other rules together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Identifiers {
    /// They are.
    Sought,
    /// These very texts were looked through before, and there was nothing to say.
    Absent,
}

/// Checks all cases against one another and the vocabulary. Those that are cleared are packed at once if there is
/// a shelf for them.
pub fn check(
    vocabulary: Vocabulary,
    mut library: Library,
    inputs: &Inputs,
    audience: Audience,
    shelf: Option<&Arc<dyn Shelf>>,
    judging: &Judging<'_>,
) -> Checked {
    let mut diagnostics = Vec::new();
    rules::case_name::check(inputs, &mut diagnostics);
    rules::name_clash::check(inputs, &mut diagnostics);
    let misnamed: BTreeSet<String> = diagnostics.iter().map(|diagnostic| diagnostic.path.clone()).collect();
    let context = Context { vocabulary: &vocabulary, media: &inputs.media, sources: &inputs.sources, audience };
    let texts = inputs.texts();
    let judge = |parsed, identifiers| {
        let (case, said) = Arc::unwrap_or_clone(parsed);
        judge(case, said, &context, audience, identifiers)
    };
    // A case that is to be packed is packed here, so that never more than a few are open.
    let judged: Vec<(Judged, Option<Cleared>)> = (0..texts.len())
        .into_par_iter()
        .map(|at| {
            let mut judged = judging(at, texts[at], &judge);
            let cleared = judged.case.take().map(|case| cleared(case, texts[at], inputs, shelf));
            (judged, cleared)
        })
        .collect();
    let others: Others = judged.iter().map(|(judged, _)| (judged.ties.name.clone(), judged.ties.own)).collect();
    let (mut sound, mut faulty, mut withheld) = (Vec::new(), inputs.unread.clone(), 0);
    let mut barred = Vec::new();
    for ((mut judged, cleared), CaseTexts { files, markdown, .. }) in judged.into_iter().zip(texts) {
        let mut said = Vec::new();
        for check in rules::LINK_CHECKS {
            check(&judged.ties, &others, &mut said);
        }
        let faulty_links = said.iter().any(|it| it.severity() == Severity::Error);
        diagnostics.append(&mut said);
        diagnostics.append(&mut judged.diagnostics);
        if judged.barred {
            barred.push(files.name.clone());
        }
        match (judged.faulty || faulty_links, cleared) {
            (false, None) => withheld += 1,
            (false, Some(cleared)) if !misnamed.contains(&markdown.path) => sound.push(cleared),
            _ => faulty.push(markdown.path.clone()),
        }
    }
    library.sessions =
        sessions::build(std::mem::take(&mut library.sessions), &others, &sound, audience, &mut diagnostics);
    let corpus = Corpus::new(&clearance::grant(), library, audience, vocabulary, sound);
    faulty.sort();
    Checked { corpus, diagnostics, faulty, withheld, barred }
}

/// What the corpus holds of a case that was cleared.
fn cleared(case: Arc<Case>, texts: CaseTexts<'_>, inputs: &Inputs, shelf: Option<&Arc<dyn Shelf>>) -> Cleared {
    let review = case.review.as_ref().and_then(|review| review.of.as_ref());
    let CaseTexts { markdown, side, .. } = texts;
    let name = case.name.clone();
    let reviewed = review.is_some_and(|of| of.value == case.content_hash);
    let media = exhibits::of(&case, inputs);
    let open = Open { case, markdown: markdown.text.clone(), side: side.map(|side| side.text.clone()) };
    let held = match shelf {
        Some(shelf) => Held::packed(&open, shelf),
        None => Held::Whole(open),
    };
    Cleared { name, held, path: markdown.path.clone(), side: side.map(|side| side.path.clone()), media, reviewed }
}

/// One case, judged.
#[derive(Debug, Clone)]
pub struct Judged {
    /// The case, if it is sound and may be read; one that is neither this nor faulty is withheld.
    case: Option<Arc<Case>>,
    /// Whether something is wrong with it, its ties aside.
    faulty: bool,
    ties: Ties,
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
        let ties = Ties { links: Vec::new(), ..Ties::of(&case) };
        return Judged { case: None, faulty: false, ties, barred: true, anonymous: false, diagnostics };
    }
    let ties = Ties::of(&case);
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
    let faulty = errors || resolved.is_none();
    let case = resolved.filter(|_| cleared && !errors).map(Arc::new);
    Judged { case, faulty, ties, barred, anonymous, diagnostics }
}
