//! What was understood of a narration, before it is written down: the eye, the steps, what went wrong, what became of it.
//!
//! A field that holds one value is a [`Slot`]: all that was said for it decides together, never the first of it alone.

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

/// A field that holds one value. Two different values for it leave it blank; so does one that may not be written.
#[derive(Debug, Clone, Default)]
pub(super) struct Slot {
    /// The first value that was said.
    first: Option<Text>,
    /// The first that differs from it.
    other: Option<Text>,
    left: bool,
}

impl Slot {
    /// Hears a value for the field.
    pub(super) fn say(&mut self, value: impl Into<Text>) {
        let value = value.into();
        match &self.first {
            None => self.first = Some(value),
            Some(first) if self.other.is_none() && !is_same(&first.value, &value.value) => self.other = Some(value),
            Some(_) => {}
        }
    }

    /// Hears something for it that may not be written: whatever else is said, the field stays blank.
    pub(super) fn leave(&mut self) {
        self.left = true;
    }

    /// Takes over what was heard for the same field elsewhere.
    pub(super) fn join(&mut self, other: Self) {
        other.first.into_iter().chain(other.other).for_each(|value| self.say(value));
        self.left |= other.left;
    }

    /// Whether nothing was heard for it.
    pub(super) fn is_unheard(&self) -> bool {
        self.first.is_none() && !self.left
    }

    /// The value, if all that was said for it agrees.
    pub(super) fn value(&self) -> Option<&Text> {
        self.first.as_ref().filter(|_| !self.left && self.other.is_none())
    }

    /// The first value that was said and the first that differs from it.
    pub(super) fn quarrel(&self) -> Option<(&Text, &Text)> {
        self.first.as_ref().zip(self.other.as_ref())
    }
}

/// Whether two values say the same, whatever form their numbers have.
fn is_same(one: &str, other: &str) -> bool {
    let plain = |text: &str| -> Vec<String> {
        let words = text.split(' ').filter(|word| *word != "about");
        words.map(|word| word.parse::<f64>().map_or_else(|_| word.to_owned(), |number| number.to_string())).collect()
    };
    plain(one) == plain(other)
}
/// A concept with its words.
pub(super) type Concept = Held<ConceptId>;

/// A drug as it was given.
#[derive(Debug, Clone)]
pub(super) struct Drug {
    pub(super) substance: Concept,
    pub(super) strength: Slot,
    pub(super) dose: Slot,
    pub(super) route: Option<Text>,
    pub(super) note: Option<Text>,
}

/// A visit before or after.
#[derive(Debug, Clone, Default)]
pub(super) struct Visit {
    /// When, in words before the operation and as a time after it.
    pub(super) when: Option<Text>,
    pub(super) acuity: Vec<(Taken, Slot)>,
    pub(super) refraction: Slot,
    pub(super) iop: Slot,
    pub(super) pupil: Slot,
    pub(super) depth: Slot,
    pub(super) length: Slot,
    pub(super) states: Vec<Concept>,
    pub(super) gives: Vec<Drug>,
    pub(super) notes: Vec<Text>,
}

/// A finding.
#[derive(Debug, Clone)]
pub(super) struct Finding {
    pub(super) is: Concept,
    pub(super) grade: Slot,
}

/// A step.
#[derive(Debug, Clone)]
pub(super) struct Step {
    pub(super) does: Concept,
    pub(super) with: Vec<Concept>,
    pub(super) settings: Vec<(&'static str, Slot)>,
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
    pub(super) extent: Slot,
    pub(super) at: Slot,
    /// What was done, each with its step if it has one.
    pub(super) managed: Vec<(Concept, Option<usize>)>,
}

/// The implant.
#[derive(Debug, Default)]
pub(super) struct Lens {
    pub(super) kind: Option<Concept>,
    pub(super) power: Slot,
    pub(super) place: Slot,
    pub(super) target: Slot,
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
    /// More words, of what stands against them.
    pub(super) also: Option<Range<usize>>,
    /// Why, in words.
    pub(super) why: String,
}

impl Unclear {
    /// Some words, and why nothing was written of them.
    pub(super) fn new(words: Range<usize>, why: impl Into<String>) -> Self {
        Self { words, also: None, why: why.into() }
    }
}

/// Everything that was understood.
#[derive(Debug, Default)]
pub(super) struct Story {
    pub(super) eye: Slot,
    pub(super) age: Slot,
    pub(super) sex: Option<Text>,
    pub(super) findings: Vec<Finding>,
    pub(super) absent: Vec<Concept>,
    pub(super) before: Vec<Visit>,
    pub(super) procedure: Option<Concept>,
    pub(super) anaesthesia: Option<Concept>,
    pub(super) surgeon_at: Slot,
    pub(super) incision_at: Slot,
    pub(super) incision_width: Slot,
    pub(super) sutures: Slot,
    pub(super) ports: Vec<Text>,
    pub(super) steps: Vec<Step>,
    pub(super) lens: Lens,
    pub(super) troubles: Vec<Trouble>,
    pub(super) outcomes: Vec<Visit>,
    pub(super) decisions: Vec<Decision>,
    pub(super) lessons: Vec<Text>,
    pub(super) unclear: Vec<Unclear>,
}

impl Story {
    /// Calls `each` with every field that holds one value, and what it is called in a question.
    pub(super) fn slots(&self, each: &mut dyn FnMut(&str, &Slot)) {
        for (what, slot) in [
            ("eye", &self.eye),
            ("age", &self.age),
            ("seat of the surgeon", &self.surgeon_at),
            ("place of the wound", &self.incision_at),
            ("width of the wound", &self.incision_width),
            ("stitches", &self.sutures),
            ("power of the implant", &self.lens.power),
            ("refraction aimed at", &self.lens.target),
        ] {
            each(what, slot);
        }
        for finding in &self.findings {
            each("grade", &finding.grade);
        }
        for visit in self.before.iter().chain(&self.outcomes) {
            for (what, slot) in [
                ("refraction", &visit.refraction),
                ("pressure", &visit.iop),
                ("pupil", &visit.pupil),
                ("depth of the chamber", &visit.depth),
                ("axial length", &visit.length),
            ] {
                each(what, slot);
            }
            visit.acuity.iter().for_each(|(_, slot)| each("acuity", slot));
        }
        for step in &self.steps {
            step.settings.iter().for_each(|(name, slot)| each(name, slot));
        }
        let given = self.steps.iter().flat_map(|step| &step.gives);
        for drug in given.chain(self.before.iter().chain(&self.outcomes).flat_map(|visit| &visit.gives)) {
            each("strength of a drug", &drug.strength);
            each("dose of a drug", &drug.dose);
        }
        for trouble in &self.troubles {
            each("extent of what went wrong", &trouble.extent);
            each("place of what went wrong", &trouble.at);
        }
    }
}
