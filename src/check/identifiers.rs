//! Looks for what may identify a person in every text that a case or a library brings: fields, comments, narrative,
//! captions, names of files. What a waiver covers is passed over.

use super::Context;
use super::privacy::{Class, Normal, find};
use super::rules::identifier::{self, Identifier};
use super::rules::idle_waiver;
use crate::diag::Diagnostic;
use crate::media::Cues;
use crate::model::case::CaseSyntax;
use crate::model::inputs::{Inputs, Written};
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
/// Endings of a theme's files that hold text.
const TEXTS: &[&str] = &[".html", ".css", ".js", ".txt", ".md", ".svg", ".json"];
const PEOPLE: &[Class] = &[Class::Name, Class::Colleague, Class::PossibleName];
const HASHES: &[Class] = &[Class::LongNumber, Class::NationalNumber, Class::PossibleTelephone, Class::Date];

/// Everything that belongs to one case.
pub(crate) fn check(case: &CaseSyntax, context: &Context<'_>, out: &mut Vec<Diagnostic>) {
    let mut search = Search {
        case,
        allowed: allowed(case),
        authors: case.authors.iter().map(|author| words_of_name(&author.name.value)).collect(),
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
        if let Some(captions) = &media.captions
            && let Some(source) = context.media.get(&captions.value).and_then(|file| context.sources.get(file.text()?))
        {
            search.captions(source, captions.span);
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

/// `library.yaml`, the library's own vocabulary, models and sessions, and the texts of its theme. Nothing here can be waived.
pub fn library(written: &[Written], theme: &[(&str, &[u8])], inputs: &Inputs) -> Vec<Diagnostic> {
    let mut out = Vec::new();
    for file in written {
        let Some(source) = inputs.sources.get(file.file) else { continue };
        // An edition is a month and a year.
        let edition = inputs.library == Some(file.file);
        let may_stand = |class: Class, span: Span| {
            let cited = |it: &Span| it.start <= span.start && span.end <= it.end;
            edition && class == Class::MonthAndYear || LITERATURE.contains(&class) && file.literature.iter().any(cited)
        };
        let mut found = BTreeSet::new();
        let normal = Normal::of(&source.text);
        for hit in find(&normal.text) {
            let range = normal.source(hit.range);
            let span = Span::new(source.id, range.start, range.end);
            if !may_stand(hit.class, span) && found.insert((span, hit.class)) {
                out.extend(identifier::of(hit.class).map(|it| at(it, span)));
            }
        }
        for value in &file.escaped {
            for hit in find(&Normal::of(&value.value).text) {
                let seen = found.iter().any(|(span, class)| {
                    *class == hit.class && value.span.start <= span.start && span.end <= value.span.end
                });
                if !seen && !may_stand(hit.class, value.span) && found.insert((value.span, hit.class)) {
                    out.extend(identifier::of(hit.class).map(|it| at(it, value.span)));
                }
            }
        }
        for it in of_path(&source.path).into_iter().filter_map(identifier::of) {
            out.push(in_path(&source.path, it));
        }
    }
    for (path, bytes) in theme {
        let allowed = if path.ends_with(".html") { &[][..] } else { LITERATURE };
        let Some(text) = TEXTS.iter().any(|ending| path.ends_with(ending)).then(|| String::from_utf8_lossy(bytes))
        else {
            continue;
        };
        let mut classes = of_path(path);
        classes.extend(find(&Normal::of(&text).text).into_iter().map(|hit| hit.class));
        for it in classes.into_iter().filter(|class| !allowed.contains(class)).filter_map(identifier::of) {
            let message = format!("{} stands in this file of the theme", it.what);
            out.push(Diagnostic::file(it.rule, format!("theme/{path}"), message).mend(it.mend));
        }
    }
    out
}

/// What may stand in the path of a file.
fn of_path(path: &str) -> BTreeSet<Class> {
    let mut classes: BTreeSet<Class> =
        find(&Normal::of(&as_words(path)).text).into_iter().map(|hit| hit.class).collect();
    // The names of files are in small letters, and names of people begin with large ones.
    let titled = find(&Normal::of(&as_titled(path)).text);
    classes.extend(titled.into_iter().map(|hit| hit.class).filter(|class| *class == Class::Name));
    classes
}

fn in_path(path: &str, it: &Identifier) -> Diagnostic {
    Diagnostic::file(it.rule, path, format!("the file's name or folder holds {}", it.what)).mend("rename it")
}

struct Search<'a, 'o> {
    case: &'a CaseSyntax,
    allowed: Vec<Allowed>,
    /// The words of every author's name, without a title.
    authors: Vec<Vec<String>>,
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

    /// What is read when captions follow one another: a name may be parted by the end of a cue, or by a tag in it. What stands
    /// whole in the file was found there.
    fn captions(&mut self, source: &Source, span: Span) {
        let whole = Normal::of(&source.text);
        let there: BTreeSet<(Class, &str)> =
            find(&whole.text).into_iter().map(|hit| (hit.class, &whole.text[hit.range])).collect();
        let cues = Cues::read(&source.text);
        let words: Vec<&str> = cues.cues.iter().map(|cue| cue.words.as_str()).collect();
        let words = words.join(" ");
        let read = Normal::of(&words);
        for hit in find(&read.text) {
            let text = &read.text[hit.range.clone()];
            let line = read.line(hit.range.start);
            if !there.contains(&(hit.class, text))
                && !self.may_stand(hit.class, span, text)
                && !self.waived(hit.class, line)
                && self.found.insert((span, hit.class))
            {
                let line = line_hash(&self.case.name, hit.class, line);
                self.out.extend(identifier::of(hit.class).map(|it| waivable(at(it, span), it, &line)));
            }
        }
    }

    /// The path of a file.
    fn name(&mut self, source: &Source) {
        let words = as_words(&source.path);
        for class in of_path(&source.path) {
            if !self.waived(class, &words)
                && let Some(it) = identifier::of(class)
            {
                let line = line_hash(&self.case.name, class, &words);
                self.out.push(waivable(in_path(&source.path, it), it, &line));
            }
        }
    }

    fn may_stand(&self, class: Class, span: Span, text: &str) -> bool {
        let words: Vec<&str> = text.split([' ', '.', '\n']).filter(|word| !word.is_empty()).collect();
        let by_name = |author: &Vec<String>| match class {
            // An author among the colleagues: the last word of a name is enough.
            Class::Colleague => words.last().is_some_and(|last| author.iter().any(|word| word == last)),
            // Patients share surnames with authors, so a name after a title has to be the author's whole.
            Class::Name => words.len() > 1 && author.iter().map(String::as_str).eq(words.iter().copied()),
            _ => false,
        };
        if self.authors.iter().any(by_name) {
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

/// The words of a person's name without a title before it.
fn words_of_name(name: &str) -> Vec<String> {
    const TITLES: &[&str] = &["Mr", "Mrs", "Ms", "Miss", "Dr", "Prof", "Professor", "Sir", "Dame"];
    let normal = Normal::of(name);
    let words = normal.text.split([' ', '.']).filter(|word| !word.is_empty());
    words.skip_while(|word| TITLES.contains(word)).map(str::to_owned).collect()
}

/// Parts of a path as words. Between digits an underscore is a hyphen, as in a date.
fn as_words(path: &str) -> String {
    let stem = path.rsplit_once('.').map_or(path, |(stem, _)| stem);
    let letters: Vec<char> = stem.chars().collect();
    let digit = |at: Option<usize>| at.and_then(|at| letters.get(at)).is_some_and(char::is_ascii_digit);
    let words = letters.iter().enumerate().map(|(at, letter)| match letter {
        '_' if digit(at.checked_sub(1)) && digit(Some(at + 1)) => '-',
        '_' | '/' => ' ',
        letter => *letter,
    });
    words.collect()
}

/// The same with every word beginning with a capital: `mr-smith` is `Mr Smith`. Only for titles that are no other words.
fn as_titled(path: &str) -> String {
    const TITLES: &[&str] = &["Mr", "Mrs", "Ms", "Miss", "Smt", "Shri"];
    let mut out = String::new();
    let words = as_words(path).replace('-', " ");
    let capital = |word: &str| crate::text::capitalised(word);
    let words: Vec<String> = words.split(' ').map(capital).collect();
    for (at, word) in words.iter().enumerate() {
        let titled = TITLES.contains(&word.as_str()) || at > 0 && TITLES.contains(&words[at - 1].as_str());
        if titled {
            out.push_str(word);
            out.push(' ');
        } else {
            out.push_str("- ");
        }
    }
    out
}
