//! What was understood of a narration, before it is written down: the eye, the steps, what went wrong, what became of it.

use super::facts::Value;
use crate::model::measure::Taken;
use crate::model::vocabulary::ConceptId;
use std::ops::Range;

/// How sure something is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sure {
    /// It was said so.
    Certain,
    /// It was misheard, implied, or belongs here by its place in the story.
    Guess,
    /// It could not be read, and its words are quoted.
    Blank,
}

impl Sure {
    /// The word in a case.
    pub fn word(self) -> &'static str {
        match self {
            Self::Certain => "certain",
            Self::Guess => "guess",
            Self::Blank => "blank",
        }
    }
}

/// Something with the words that it rests on.
#[derive(Debug, Clone)]
pub(super) struct Held<T> {
    pub(super) value: T,
    pub(super) words: Range<usize>,
    pub(super) sure: Sure,
}

impl<T> Held<T> {
    pub(super) fn new(value: T, words: Range<usize>, sure: Sure) -> Self {
        Self { value, words, sure }
    }
}

impl From<Value> for Held<String> {
    fn from(value: Value) -> Self {
        let sure = if value.guess { Sure::Guess } else { Sure::Certain };
        Self { value: value.text, words: value.words, sure }
    }
}

/// Text with its words.
pub(super) type Text = Held<String>;
/// A concept with its words.
pub(super) type Concept = Held<ConceptId>;

/// A drug as it was given.
#[derive(Debug, Clone)]
pub(super) struct Drug {
    pub(super) substance: Concept,
    pub(super) strength: Option<Text>,
    pub(super) dose: Option<Text>,
    pub(super) route: Option<Text>,
    pub(super) note: Option<Text>,
}

/// A visit before or after.
#[derive(Debug, Clone, Default)]
pub(super) struct Visit {
    /// When, in words before the operation and as a time after it.
    pub(super) when: Option<Text>,
    pub(super) acuity: Vec<(Taken, Text)>,
    pub(super) refraction: Option<Text>,
    pub(super) iop: Option<Text>,
    pub(super) pupil: Option<Text>,
    pub(super) depth: Option<Text>,
    pub(super) length: Option<Text>,
    pub(super) states: Vec<Concept>,
    pub(super) gives: Vec<Drug>,
    pub(super) notes: Vec<Text>,
}

/// A finding.
#[derive(Debug, Clone)]
pub(super) struct Finding {
    pub(super) is: Concept,
    pub(super) grade: Option<Text>,
}

/// A step.
#[derive(Debug, Clone)]
pub(super) struct Step {
    pub(super) does: Concept,
    pub(super) with: Vec<Concept>,
    pub(super) settings: Vec<(&'static str, Text)>,
    pub(super) gives: Vec<Drug>,
    pub(super) notes: Vec<Text>,
}

/// Something that went wrong.
#[derive(Debug, Clone)]
pub(super) struct Trouble {
    pub(super) is: Concept,
    /// The step in which it arose, by its place.
    pub(super) during: Option<usize>,
    /// Or how long afterwards.
    pub(super) after: Option<Text>,
    pub(super) extent: Option<Text>,
    pub(super) at: Option<Text>,
    /// What was done, each with its step if it has one.
    pub(super) managed: Vec<(Concept, Option<usize>)>,
}

/// The implant.
#[derive(Debug, Default)]
pub(super) struct Lens {
    pub(super) kind: Option<Concept>,
    pub(super) power: Option<Text>,
    pub(super) place: Option<Text>,
    pub(super) target: Option<Text>,
}

/// A question with its answer.
#[derive(Debug, Clone)]
pub(super) struct Decision {
    pub(super) ask: Text,
    pub(super) answer: Option<Text>,
    /// The step that it decides, by its place.
    pub(super) step: Option<usize>,
}

/// A thing that was heard and could not be written down.
#[derive(Debug, Clone)]
pub(super) struct Unclear {
    pub(super) words: Range<usize>,
    /// Why, in words.
    pub(super) why: String,
}

/// Everything that was understood.
#[derive(Debug, Default)]
pub(super) struct Story {
    pub(super) eye: Option<Text>,
    pub(super) age: Option<Text>,
    pub(super) sex: Option<Text>,
    pub(super) findings: Vec<Finding>,
    pub(super) absent: Vec<Concept>,
    pub(super) before: Vec<Visit>,
    pub(super) procedure: Option<Concept>,
    pub(super) anaesthesia: Option<Concept>,
    pub(super) surgeon_at: Option<Text>,
    pub(super) incision_at: Option<Text>,
    pub(super) incision_width: Option<Text>,
    pub(super) sutures: Option<Text>,
    pub(super) ports: Vec<Text>,
    pub(super) steps: Vec<Step>,
    pub(super) lens: Lens,
    pub(super) troubles: Vec<Trouble>,
    pub(super) outcomes: Vec<Visit>,
    pub(super) decisions: Vec<Decision>,
    pub(super) lessons: Vec<Text>,
    pub(super) unclear: Vec<Unclear>,
}
