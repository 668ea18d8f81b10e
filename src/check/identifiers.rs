//! Looks for what may identify a person in every text that a case or a library brings: fields, comments, narrative,
//! captions, names of files. What a waiver covers is passed over.

use super::Context;
use super::privacy::{Class, Normal, find};
use super::rules::identifier::{self, Identifier};
use super::rules::idle_waiver;
use crate::diag::Diagnostic;
use crate::model::case::CaseSyntax;
use crate::model::inputs::Inputs;
use crate::text::{FileId, Source, Span};
use std::collections::{BTreeMap, BTreeSet};

/// What may stand at a place though it has the form of an identifier.
struct Allowed {
    span: Span,
    classes: &'static [Class],
}

/// Literature: names, dates and numbers of papers.
const LITERATURE: &[Class] = &[
    Class::Date,
    Class::PossibleDate,
    Class::MonthAndYear,
    Class::LongNumber,
    Class::PossibleTelephone,
    Class::PossibleAddress,
    Class::Colleague,
    Class::WebAddress,
];
const DATES: &[Class] = &[Class::Date, Class::PossibleDate, Class::MonthAndYear];
const PEOPLE: &[Class] = &[Class::Name, Class::Colleague, Class::PossibleName];
const HASHES: &[Class] = &[Class::LongNumber, Class::NationalNumber, Class::PossibleTelephone, Class::Date];

/// Everything that belongs to one case.
pub(crate) fn check(case: &CaseSyntax, context: &Context<'_>, out: &mut Vec<Diagnostic>) {
    let mut search = Search {
        case,
        allowed: allowed(case),
        authors: case
            .authors
            .iter()
            .flat_map(|author| Normal::of(&author.name.value).text.split(' ').map(str::to_owned).collect::<Vec<_>>())
            .collect(),
        waivers: case
            .waivers
            .iter()
            .enumerate()
            .map(|(at, waiver)| ((waiver.rule.value.as_str(), waiver.of.value.as_str()), at))
            .collect(),
        used: BTreeSet::new(),
        found: BTreeSet::new(),
        out,
    };
    let captions = case.media.iter().filter_map(|media| context.media.get(&media.captions.as_ref()?.value)?.text());
    let files: BTreeSet<FileId> = [case.body.span.file, case.span.file].into_iter().chain(captions).collect();
    for source in files.into_iter().filter_map(|file| context.sources.get(file)) {
        search.text(source);
        search.name(source);
    }
    for value in &case.body.escaped {
        search.value(&value.value, value.span);
    }
    for media in &case.media {
        for file in [Some(&media.file), media.captions.as_ref(), media.poster.as_ref()].into_iter().flatten() {
            search.value(&as_words(&file.value), file.span);
            for words in
                context.media.get(&file.value).and_then(|file| file.shown()).map_or(&[][..], |it| &it.facts.words)
            {
                search.value(words, file.span);
            }
        }
    }
    let used = search.used;
    for (at, waiver) in case.waivers.iter().enumerate() {
        if !identifier::ALL.iter().any(|identifier| identifier.rule.name == waiver.rule.value) {
            out.push(idle_waiver::rule(waiver.rule.span));
        } else if !used.contains(&at) {
            out.push(idle_waiver::line(waiver.of.span));
        }
    }
}

/// `library.yaml`, the library's own vocabulary, models and sessions, and its templates. Nothing here can be waived.
pub(crate) fn library(inputs: &Inputs, out: &mut Vec<Diagnostic>) {
    let own = inputs.vocabulary.iter().filter_map(|file| inputs.sources.get(*file));
    let own = own.filter(|source| source.path.starts_with("vocabulary/")).map(|source| (source, LITERATURE));
    let models = inputs.models.iter().filter_map(|file| inputs.sources.get(*file));
    let models = models.filter(|source| source.path.starts_with("models/")).map(|source| (source, LITERATURE));
    let sessions = inputs.sessions.iter().filter_map(|(_, file)| inputs.sources.get(*file));
    let own = own.chain(models).chain(sessions.map(|source| (source, &[][..])));
    let library = inputs.library.and_then(|file| inputs.sources.get(file));
    // An edition is a month and a year.
    let library = library.map(|source| (source, &[Class::MonthAndYear][..]));
    for (source, allowed) in library.into_iter().chain(own) {
        let normal = Normal::of(&source.text);
        for hit in find(&normal.text).into_iter().filter(|hit| !allowed.contains(&hit.class)) {
            let range = normal.source(hit.range);
            out.extend(identifier::of(hit.class).map(|it| at(it, Span::new(source.id, range.start, range.end))));
        }
    }
    for (path, bytes) in inputs.theme.iter().filter(|(path, _)| path.ends_with(".html")) {
        let text = String::from_utf8_lossy(bytes);
        let classes: BTreeSet<Class> = find(&Normal::of(&text).text).into_iter().map(|hit| hit.class).collect();
        for it in classes.into_iter().filter_map(identifier::of) {
            let message = format!("{} stands in this template", it.what);
            out.push(Diagnostic::file(it.rule, format!("theme/{path}"), message).mend(it.mend));
        }
    }
}

struct Search<'a, 'o> {
    case: &'a CaseSyntax,
    allowed: Vec<Allowed>,
    /// Every word of an author's name.
    authors: BTreeSet<String>,
    /// Waivers by rule and hash.
    waivers: BTreeMap<(&'a str, &'a str), usize>,
    /// Waivers that covered something.
    used: BTreeSet<usize>,
    /// What was reported already: a value with escapes is looked at twice.
    found: BTreeSet<(Span, Class)>,
    out: &'o mut Vec<Diagnostic>,
}

impl Search<'_, '_> {
    /// The whole text of a file, comments included: it is published as the source.
    fn text(&mut self, source: &Source) {
        let normal = Normal::of(&source.text);
        for hit in find(&normal.text) {
            let range = normal.source(hit.range.clone());
            let span = Span::new(source.id, range.start, range.end);
            if !self.may_stand(hit.class, span, &normal.text[hit.range.clone()])
                && !self.waived(hit.class, normal.line(hit.range.start))
                && self.found.insert((span, hit.class))
            {
                let line = line_hash(&self.case.name, hit.class, normal.line(hit.range.start));
                self.out.extend(identifier::of(hit.class).map(|it| waivable(at(it, span), it, &line)));
            }
        }
    }

    /// A value that its file writes in another way than it reads.
    fn value(&mut self, value: &str, span: Span) {
        let normal = Normal::of(value);
        for hit in find(&normal.text) {
            let from = (Span { end: 0, ..span }, Class::NationalNumber);
            let to = (Span { start: span.end, end: 0, ..span }, Class::NationalNumber);
            let seen = self.found.range(from..to).any(|(_, class)| *class == hit.class);
            let covered = self.may_stand(hit.class, span, &normal.text[hit.range.clone()]);
            if !seen && !covered && !self.waived(hit.class, normal.line(hit.range.start)) {
                self.found.insert((span, hit.class));
                let line = line_hash(&self.case.name, hit.class, normal.line(hit.range.start));
                self.out.extend(identifier::of(hit.class).map(|it| waivable(at(it, span), it, &line)));
            }
        }
    }

    /// The path of a file.
    fn name(&mut self, source: &Source) {
        let normal = Normal::of(&as_words(&source.path));
        for hit in find(&normal.text) {
            if !self.waived(hit.class, &normal.text)
                && let Some(it) = identifier::of(hit.class)
            {
                let message = format!("the file's name or folder holds {}", it.what);
                let line = line_hash(&self.case.name, hit.class, &normal.text);
                let found = Diagnostic::file(it.rule, &source.path, message).mend("rename it");
                self.out.push(waivable(found, it, &line));
            }
        }
    }

    fn may_stand(&self, class: Class, span: Span, text: &str) -> bool {
        let last = text.rsplit([' ', '.']).next().unwrap_or(text);
        if PEOPLE.contains(&class) && self.authors.contains(last) {
            return true;
        }
        // The places do not overlap, so only the last that begins before the span can hold it.
        let next = self.allowed.partition_point(|it| (it.span.file, it.span.start) <= (span.file, span.start));
        let around = next.checked_sub(1).map(|at| &self.allowed[at]);
        around.is_some_and(|it| it.span.file == span.file && span.end <= it.span.end && it.classes.contains(&class))
    }

    fn waived(&mut self, class: Class, line: &str) -> bool {
        if self.waivers.is_empty() {
            return false;
        }
        let hash = line_hash(&self.case.name, class, line);
        let waiver = self.waivers.get(&(class.rule(), hash.as_str())).copied();
        self.used.extend(waiver);
        waiver.is_some()
    }
}

/// The places at which a form is expected.
fn allowed(case: &CaseSyntax) -> Vec<Allowed> {
    let options = case.body.decisions.iter().flat_map(|decision| &decision.options);
    let literature = case.references.iter().chain(options.filter_map(|option| option.source.as_ref()));
    let dates = case.review.iter().filter_map(|review| review.on.as_ref()).chain(&case.consent.policy);
    let attested = case.media.iter().filter_map(|media| media.looked_at.as_ref());
    let months = attested.clone().filter_map(|it| it.on.as_ref());
    let people = case.authors.iter().flat_map(|author| std::iter::once(&author.name).chain(&author.role));
    let people = people.chain(case.review.iter().map(|review| &review.by)).chain(attested.clone().map(|it| &it.by));
    let hashes = case.review.iter().filter_map(|review| review.of.as_ref());
    let hashes = hashes.chain(case.waivers.iter().map(|waiver| &waiver.of)).chain(attested.map(|it| &it.of));
    let all = |classes| move |text: &crate::model::case::Text| Allowed { span: text.span, classes };
    let mut places: Vec<Allowed> = literature
        .map(all(LITERATURE))
        .chain(dates.chain(months).map(all(DATES)))
        .chain(people.map(all(PEOPLE)))
        .chain(hashes.map(all(HASHES)))
        .collect();
    places.sort_by_key(|it| it.span);
    places
}

fn at(identifier: &Identifier, span: Span) -> Diagnostic {
    Diagnostic::at(identifier.rule, span, format!("{} stands here", identifier.what)).mend(identifier.mend)
}

fn waivable(diagnostic: Diagnostic, identifier: &Identifier, line: &str) -> Diagnostic {
    diagnostic.mend(format!(
        "or, if it identifies nobody, add to `waivers`: {{rule: {}, of: {line}, because: …}}",
        identifier.rule.name
    ))
}

/// Binds a waiver to the whole line, in this case, for this rule. The hash of the words alone could be guessed from a log.
fn line_hash(case: &str, class: Class, line: &str) -> String {
    let text = format!("{case}\n{}\n{}", class.rule(), line.trim());
    blake3::hash(text.as_bytes()).to_hex()[..16].to_owned()
}

/// Parts of a path as words.
fn as_words(path: &str) -> String {
    let stem = path.rsplit_once('.').map_or(path, |(stem, _)| stem);
    stem.replace(['_', '/'], " ")
}
