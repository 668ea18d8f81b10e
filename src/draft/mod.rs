//! From a timed narration to a drafted case: it writes what was said, says how sure it is, and invents nothing.
//!
//! The way: words and sentences (`words`), what is spoken of (`lexicon`, `frames`, `sound`, `recognise`), whether it is so (`stance`),
//! numbers (`numbers`, `units`, `facts`), what makes them doubtful (`doubt`), what they belong to (`person`, `measures`,
//! `given`, `drugs`), the story (`understand`, `story`), the file (`tree`, `write`), what is missing (`ask`).
//!
//! Never repaired and never guessed: sides, negations, numbers and units, names and strengths of drugs, powers of implants,
//! clock hours. They stand in the draft as they were heard, or are left blank, quoted and asked back.

mod acuity;
mod ask;
mod doubt;
mod drugs;
mod facts;
mod frames;
mod given;
mod hours;
mod lessons;
mod lexicon;
mod measures;
mod numbers;
mod others;
mod person;
mod phases;
mod phrases;
mod questions;
mod recognise;
mod sound;
mod stance;
mod story;
mod tree;
mod troubles;
mod understand;
mod units;
mod words;
mod write;

use crate::check::privacy;
use crate::model::narration::Narration;
use crate::model::vocabulary::Vocabulary;
use lexicon::Lexicon;
use recognise::Found;
pub use story::Sure;
use words::Speech;

/// A value of the draft with what it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Where it stands in the case.
    pub place: String,
    /// The value.
    pub value: String,
    /// When its words were said, in seconds.
    pub at: f64,
    /// The words as heard.
    pub heard: String,
    /// How sure it is.
    pub sure: Sure,
}

/// Something to ask the author.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// The question.
    pub what: String,
    /// The item of the reporting guideline that wants it.
    pub item: &'static str,
    /// When it was heard, in seconds, if it was.
    pub at: Option<f64>,
    /// The words as heard.
    pub heard: Option<String>,
}

/// A mishearing that was mended, for the library to learn.
#[derive(Debug, Clone, PartialEq)]
pub struct Repair {
    /// The concept's kind.
    pub kind: &'static str,
    /// The concept's name.
    pub concept: String,
    /// Its usual term.
    pub label: String,
    /// When it was heard, in seconds.
    pub at: f64,
    /// The words as heard.
    pub heard: String,
    /// The likeness of the two, from 0 to 1.
    pub likeness: f64,
}

/// A place of the narration that may identify a person.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Identifying {
    /// When it was said, in seconds.
    pub at: f64,
    /// The rule that found it.
    pub rule: &'static str,
}

/// A drafted case.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    /// The case file.
    pub text: String,
    /// Every value in it, in the order in which they stand.
    pub entries: Vec<Entry>,
    /// What to ask the author, in the order in which it matters.
    pub asks: Vec<Ask>,
    /// What was mended.
    pub repairs: Vec<Repair>,
    /// What may identify a person.
    pub identifying: Vec<Identifying>,
}

/// Drafts cases by one vocabulary: what it knows of how surgeons speak is put together once.
#[derive(Debug)]
pub struct Drafter<'v> {
    lexicon: Lexicon<'v>,
}

impl<'v> Drafter<'v> {
    /// Makes ready for narrations that speak of what this vocabulary names.
    pub fn new(vocabulary: &'v Vocabulary) -> Self {
        Self { lexicon: Lexicon::new(vocabulary) }
    }

    /// Drafts a case from a narration. With `transcript` the words themselves are kept in the narrative.
    pub fn draft(&self, narration: &Narration, transcript: bool) -> Draft {
        let (lexicon, vocabulary) = (&self.lexicon, self.lexicon.vocabulary);
        let mut identifying: Vec<Identifying> = narration
            .cues
            .iter()
            .flat_map(|cue| {
                privacy::find_written(&cue.words)
                    .into_iter()
                    .map(|hit| Identifying { at: cue.from, rule: hit.class.rule() })
            })
            .collect();
        let mut speech = Speech::new(narration);
        identifying.extend(hide_names(&mut speech, lexicon));
        identifying.sort_by(|one: &Identifying, other| one.at.total_cmp(&other.at).then(one.rule.cmp(other.rule)));
        identifying.dedup();
        let (story, meant) = understand::understand(&speech, lexicon);
        let (text, entries) = write::write(&story, &speech, vocabulary, transcript);
        let repairs = meant
            .iter()
            .filter_map(|it| {
                let Found::Repaired(likeness) = it.found else { return None };
                let concept = vocabulary.get(it.concept);
                Some(Repair {
                    kind: it.kind.word(),
                    concept: concept.name.value.clone(),
                    label: concept.label.value.clone(),
                    at: speech.time(it.words.start),
                    heard: speech.heard(it.words.clone()),
                    likeness,
                })
            })
            .collect();
        let asks = ask::asks(&story, &speech, vocabulary);
        Draft { text, entries, asks, repairs, identifying }
    }
}

/// Titles as they are spoken, in letters that a recogniser need not make large.
const TITLES: &[&str] =
    &["mister", "mr", "missus", "misses", "mrs", "miss", "ms", "doctor", "dr", "professor", "sister", "nurse"];

/// Hides the word after a spoken title, unless it is an everyday word: recognisers write names without capitals, which the
/// detectors for written text do not see.
fn hide_names(speech: &mut Speech<'_>, lexicon: &Lexicon<'_>) -> Vec<Identifying> {
    let mut found = Vec::new();
    for at in 1..speech.words.len() {
        let everyday = lexicon.plain.contains(&speech.words[at].key)
            || lexicon.known.contains(&speech.words[at].key)
            || lexicon::is_measure(speech.low(at));
        if TITLES.contains(&speech.low(at - 1)) && !everyday && !speech.words[at].hidden {
            speech.words[at].hidden = true;
            found.push(Identifying { at: speech.time(at), rule: privacy::Class::Name.rule() });
        }
    }
    found
}
