//! The vocabulary: concepts of six kinds, and how a written term finds its concept.

use crate::text::{Span, Spanned, fold_term};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What sort of thing a concept is. The field of a case decides which kinds it takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// The eye or the patient before surgery.
    Finding,
    /// What was done.
    Technique,
    /// What went wrong.
    Complication,
    /// How it ended.
    Outcome,
    /// Dye, viscoelastic, implant, device, drug.
    Material,
    /// A tool in the hand.
    Instrument,
}

impl Kind {
    /// All kinds in the order in which pages list them.
    pub const ALL: [Self; 6] =
        [Self::Complication, Self::Technique, Self::Finding, Self::Outcome, Self::Material, Self::Instrument];

    /// The word for one concept of the kind, as data files write it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Finding => "finding",
            Self::Technique => "technique",
            Self::Complication => "complication",
            Self::Outcome => "outcome",
            Self::Material => "material",
            Self::Instrument => "instrument",
        }
    }

    /// The kind with this word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// How demanding a technique is to learn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Part of every operation; learnt first.
    Foundation,
    /// Needs the foundation techniques to be safe.
    Intermediate,
    /// For difficult eyes and rescues.
    Advanced,
}

impl Level {
    /// All levels, easiest first.
    pub const ALL: [Self; 3] = [Self::Foundation, Self::Intermediate, Self::Advanced];

    /// The word in data files and on pages.
    pub fn word(self) -> &'static str {
        match self {
            Self::Foundation => "foundation",
            Self::Intermediate => "intermediate",
            Self::Advanced => "advanced",
        }
    }
}

/// How much a complication threatens the eye.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Harm {
    /// Settles by itself or with drops.
    Minor,
    /// Changes the operation or the recovery.
    Moderate,
    /// Needs another procedure or costs sight if handled badly.
    Serious,
    /// Sight is lost unless it is met at once, and sometimes even then.
    SightThreatening,
}

impl Harm {
    /// All degrees, mildest first.
    pub const ALL: [Self; 4] = [Self::Minor, Self::Moderate, Self::Serious, Self::SightThreatening];

    /// The word in data files and on pages.
    pub fn word(self) -> &'static str {
        match self {
            Self::Minor => "minor",
            Self::Moderate => "moderate",
            Self::Serious => "serious",
            Self::SightThreatening => "sight-threatening",
        }
    }
}

/// When a complication arises.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Period {
    /// While the eye is made numb or the patient asleep.
    Anaesthesia,
    /// Between the first cut and the last stitch.
    DuringSurgery,
    /// In the first weeks.
    EarlyAfter,
    /// Months or years later.
    LateAfter,
}

impl Period {
    /// All periods in order of time.
    pub const ALL: [Self; 4] = [Self::Anaesthesia, Self::DuringSurgery, Self::EarlyAfter, Self::LateAfter];

    /// The words in data files and on pages.
    pub fn word(self) -> &'static str {
        match self {
            Self::Anaesthesia => "anaesthesia",
            Self::DuringSurgery => "during surgery",
            Self::EarlyAfter => "early after",
            Self::LateAfter => "late after",
        }
    }
}

/// A concept's number within one run's vocabulary: its place in order of name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct ConceptId(pub u32);

/// One resolved entry of the vocabulary.
#[derive(Debug, Clone)]
pub struct Concept {
    /// What sort of thing it is.
    pub kind: Kind,
    /// Stable name: in links and file names.
    pub name: Spanned<String>,
    /// The usual term.
    pub label: Spanned<String>,
    /// Other terms for it.
    pub aliases: Vec<Spanned<String>>,
    /// Wider concepts of the same kind.
    pub broader: Vec<ConceptId>,
    /// One or two sentences.
    pub definition: Spanned<String>,
    /// What to beware of.
    pub cautions: Vec<Spanned<String>>,
    /// Where the definition or caution comes from.
    pub sources: Vec<Spanned<String>>,
    /// Techniques: how demanding.
    pub level: Option<Level>,
    /// Techniques: what to learn first.
    pub needs: Vec<ConceptId>,
    /// Techniques: the complications it treats.
    pub answers: Vec<ConceptId>,
    /// Complications: how grave.
    pub harm: Option<Harm>,
    /// Complications: when they arise.
    pub periods: Vec<Period>,
    /// Complications: to whom to send the patient, where no technique answers it.
    pub refer: Option<Spanned<String>>,
    /// How a recogniser of speech writes it down.
    pub misheard: Vec<Spanned<String>>,
}

/// One entry as written: fields that are absent change nothing when a library extends a built-in concept.
#[derive(Debug, Clone)]
pub struct Entry {
    /// The kind of the file it stands in.
    pub kind: Kind,
    /// The whole entry.
    pub span: Span,
    /// Its stable name.
    pub name: Spanned<String>,
    /// Label, aliases and so on, as written.
    pub label: Option<Spanned<String>>,
    /// Other terms.
    pub aliases: Vec<Spanned<String>>,
    /// Wider concepts by name.
    pub broader: Vec<Spanned<String>>,
    /// One or two sentences.
    pub definition: Option<Spanned<String>>,
    /// What to beware of.
    pub cautions: Vec<Spanned<String>>,
    /// Sources.
    pub sources: Vec<Spanned<String>>,
    /// How demanding a technique is.
    pub level: Option<Level>,
    /// What to learn first, by name.
    pub needs: Vec<Spanned<String>>,
    /// Complications treated, by name.
    pub answers: Vec<Spanned<String>>,
    /// How grave a complication is.
    pub harm: Option<Harm>,
    /// When it arises.
    pub periods: Vec<Period>,
    /// Where to send the patient.
    pub refer: Option<Spanned<String>>,
    /// How a recogniser of speech writes it down.
    pub misheard: Vec<Spanned<String>>,
}

/// The resolved vocabulary of one run.
#[derive(Debug, Clone, Default)]
pub struct Vocabulary {
    concepts: Vec<Concept>,
    names: BTreeMap<String, ConceptId>,
    terms: BTreeMap<String, Vec<ConceptId>>,
    /// For each concept itself and all wider ones.
    above: Vec<Vec<ConceptId>>,
}

impl Vocabulary {
    /// A vocabulary of concepts already sorted by name, whose references are places in that order.
    pub fn new(concepts: Vec<Concept>) -> Self {
        let mut vocabulary = Self::default();
        for (at, concept) in concepts.iter().enumerate() {
            let id = ConceptId(u32::try_from(at).unwrap_or(u32::MAX));
            vocabulary.names.insert(concept.name.value.clone(), id);
            for term in concept.terms() {
                let known = vocabulary.terms.entry(fold_term(term)).or_default();
                if !known.contains(&id) {
                    known.push(id);
                }
            }
        }
        let ids = (0..concepts.len()).map(|at| ConceptId(u32::try_from(at).unwrap_or(u32::MAX)));
        vocabulary.above = ids.map(|id| above(&concepts, id)).collect();
        vocabulary.concepts = concepts;
        vocabulary
    }

    /// The concept with this number. Numbers come only from this vocabulary.
    pub fn get(&self, id: ConceptId) -> &Concept {
        &self.concepts[id.0 as usize]
    }

    /// Every concept with its number, in order of name.
    pub fn iter(&self) -> impl Iterator<Item = (ConceptId, &Concept)> {
        (0u32..).map(ConceptId).zip(&self.concepts)
    }

    /// How many concepts there are.
    pub fn len(&self) -> usize {
        self.concepts.len()
    }

    /// Whether there is no concept at all.
    pub fn is_empty(&self) -> bool {
        self.concepts.is_empty()
    }

    /// The concept with this stable name.
    pub fn by_name(&self, name: &str) -> Option<ConceptId> {
        self.names.get(name).copied()
    }

    /// All concepts that a written term may mean, of any kind.
    pub fn by_term(&self, term: &str) -> &[ConceptId] {
        self.by_key(&fold_term(term))
    }

    /// All concepts with a term of this folded form.
    pub fn by_key(&self, key: &str) -> &[ConceptId] {
        self.terms.get(key).map_or(&[], Vec::as_slice)
    }

    /// Every folded term with what it may mean, in order.
    pub fn keys(&self) -> impl Iterator<Item = (&str, &[ConceptId])> {
        self.terms.iter().map(|(key, ids)| (key.as_str(), ids.as_slice()))
    }

    /// The concept and all wider ones, itself first, each once.
    pub fn upwards(&self, id: ConceptId) -> &[ConceptId] {
        &self.above[id.0 as usize]
    }
}

/// A concept and all wider ones, itself first, each once.
fn above(concepts: &[Concept], id: ConceptId) -> Vec<ConceptId> {
    let mut seen = vec![id];
    let mut at = 0;
    while at < seen.len() {
        for &wider in &concepts[seen[at].0 as usize].broader {
            if !seen.contains(&wider) {
                seen.push(wider);
            }
        }
        at += 1;
    }
    seen
}

impl Concept {
    /// The label and all aliases.
    pub fn terms(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.label.value.as_str()).chain(self.aliases.iter().map(|alias| alias.value.as_str()))
    }

    /// Where the entry begins.
    pub fn span(&self) -> Span {
        self.name.span
    }
}
