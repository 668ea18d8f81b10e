//! Every way to say a concept: terms of the vocabulary, sayings of the trade, and what the library has learnt to mishear.

use super::frames::Frames;
use super::sound;
use super::words::keys;
use crate::model::vocabulary::{ConceptId, Kind, Vocabulary};
use std::collections::{BTreeMap, BTreeSet};

/// Sayings, implications and everyday words.
static SPEECH: &str = include_str!("../data/speech.yaml");
/// Words of general English; their source stands at the head of the file.
static ENGLISH: &str = include_str!("../data/english.txt");

/// Roots of what is put into the eye or held there and is no drug: only these materials are ever repaired.
const DEVICES: &[&str] = &[
    "viscoelastic",
    "intraocular-lens",
    "capsular-tension-ring",
    "capsular-tension-segment",
    "iris-hook",
    "capsule-hook",
    "pupil-expansion-ring",
    "artificial-iris",
    "bandage-lens",
    "eye-shield",
    "sponge-spear",
    "lens-glide",
    "dye",
];

/// Fewest letters of a term that is looked for across broken and joined words.
const JOINED: usize = 6;
/// Fewest letters of a term that is looked for by its sound.
const SOUNDED: usize = 5;

/// A saying with a gap: its words before and after, and what it means.
#[derive(Debug)]
pub(super) struct Gapped {
    /// Words before the gap.
    pub(super) before: Vec<String>,
    /// Words after the gap.
    pub(super) after: Vec<String>,
    /// What it means.
    pub(super) concept: ConceptId,
}

/// All ways to say the concepts of a vocabulary.
#[derive(Debug)]
pub(super) struct Lexicon<'v> {
    /// The vocabulary itself.
    pub(super) vocabulary: &'v Vocabulary,
    /// Folded words joined by blanks.
    pub(super) exact: BTreeMap<String, Vec<ConceptId>>,
    /// Short forms in capitals: in running speech their letters are often another word.
    pub(super) capitals: BTreeSet<String>,
    /// The letters alone.
    pub(super) joined: BTreeMap<String, Vec<ConceptId>>,
    /// Sayings with a gap by their first word.
    pub(super) gapped: BTreeMap<String, Vec<Gapped>>,
    /// Names of what is done, by the roots of their words.
    pub(super) frames: Frames,
    /// What the library has learnt: folded words as they are misheard.
    pub(super) learnt: BTreeMap<String, Vec<ConceptId>>,
    /// Terms by how they sound.
    pub(super) sounds: sound::Index,
    /// Techniques that somebody speaks of when naming a drug or device.
    pub(super) implied: BTreeMap<ConceptId, Vec<ConceptId>>,
    /// Folded words that any term has.
    pub(super) known: BTreeSet<String>,
    /// Techniques of the time after the operation.
    pub(super) later: BTreeSet<ConceptId>,
    /// Folded everyday words of the trade's own talk.
    pub(super) plain: BTreeSet<String>,
    /// Words of general English in order, without the forms that an ending makes of them.
    english: Vec<&'static str>,
    /// Most words of any term.
    pub(super) longest: usize,
}

impl<'v> Lexicon<'v> {
    /// Every way to say the concepts of this vocabulary.
    pub(super) fn new(vocabulary: &'v Vocabulary) -> Self {
        let mut lexicon = Self {
            vocabulary,
            exact: BTreeMap::new(),
            capitals: BTreeSet::new(),
            joined: BTreeMap::new(),
            gapped: BTreeMap::new(),
            frames: Frames::default(),
            learnt: BTreeMap::new(),
            sounds: sound::Index::default(),
            implied: BTreeMap::new(),
            known: BTreeSet::new(),
            later: BTreeSet::new(),
            plain: BTreeSet::new(),
            english: ENGLISH.lines().filter(|line| !line.starts_with('#')).flat_map(|line| line.split(' ')).collect(),
            longest: 0,
        };
        for (id, concept) in vocabulary.iter() {
            for term in concept.terms() {
                lexicon.term(term, id);
            }
            // A name of a drug is never repaired, not even as somebody has learnt it.
            if lexicon.may_be_repaired(id) {
                for heard in &concept.misheard {
                    add(&mut lexicon.learnt, keys(&heard.value).join(" "), id);
                }
            }
        }
        for line in SPEECH.lines().filter(|line| !line.starts_with('#')) {
            lexicon.line(line);
        }
        lexicon
    }

    /// Whether a word, heard in lower case and folded to `key`, is one of everyday speech or of the vocabulary itself: it was
    /// hardly misheard.
    pub(super) fn is_word(&self, low: &str, key: &str) -> bool {
        self.plain.contains(key) || self.known.contains(key) || self.is_english(low)
    }

    /// Whether a word is one of general English, as it stands or with an ending.
    fn is_english(&self, low: &str) -> bool {
        let low = low.strip_suffix("'s").unwrap_or(low);
        let stands = |word: &str| self.english.binary_search(&word).is_ok();
        let with = |stem: &str| {
            let doubled = stem.len() > 3 && stem.as_bytes()[stem.len() - 1] == stem.as_bytes()[stem.len() - 2];
            stands(stem)
                || stands(&format!("{stem}e"))
                || stem.strip_suffix('i').is_some_and(|stem| stands(&format!("{stem}y")))
                || doubled && stands(&stem[..stem.len() - 1])
        };
        low.is_ascii()
            && (stands(low)
                || ["s", "es", "ed", "d", "ing", "ings", "ly", "er", "ers", "ness"]
                    .iter()
                    .filter_map(|ending| low.strip_suffix(ending))
                    .any(|stem| stem.len() >= 3 && with(stem)))
    }

    /// Whether a concept may be proposed for words that only sound like it: never a drug, nor what holds a number.
    pub(super) fn may_be_repaired(&self, id: ConceptId) -> bool {
        let concept = self.vocabulary.get(id);
        concept.kind != Kind::Material
            || self
                .vocabulary
                .upwards(id)
                .iter()
                .any(|id| DEVICES.contains(&self.vocabulary.get(*id).name.value.as_str()))
    }

    /// Whether a concept is a drug or fluid.
    pub(super) fn is_drug(&self, id: ConceptId) -> bool {
        let name = self.vocabulary.get(id).name.value.as_str();
        self.vocabulary.get(id).kind == Kind::Material
            && !self.may_be_repaired(id)
            && !self.is_under(id, "suture")
            && !["air", "eye-pad", "surgical-drape", "fibrin-glue", "cyanoacrylate-glue"].contains(&name)
    }

    /// Whether a concept is the one of this name or narrower.
    pub(super) fn is_under(&self, id: ConceptId, name: &str) -> bool {
        self.vocabulary.by_name(name).is_some_and(|root| self.vocabulary.upwards(id).contains(&root))
    }

    /// One line of the data file.
    fn line(&mut self, line: &'static str) {
        let Some((name, list)) = line.split_once(": ") else { return };
        let items = list.trim().trim_matches(['[', ']']).split(", ");
        if name == "plain" {
            self.plain = items.flat_map(keys).collect();
            return;
        }
        if name == "nothing" {
            for item in items {
                let keys = keys(item);
                self.longest = self.longest.max(keys.len());
                self.exact.entry(keys.join(" ")).or_default();
            }
            return;
        }
        if name == "later" {
            self.later = items.filter_map(|item| self.vocabulary.by_name(item)).collect();
            return;
        }
        let (name, implies) = name.strip_suffix(" implies").map_or((name, false), |name| (name, true));
        // A library may take a built-in concept away; its sayings then mean nothing.
        let Some(id) = self.vocabulary.by_name(name) else { return };
        if implies {
            self.implied.insert(id, items.filter_map(|item| self.vocabulary.by_name(item)).collect());
            return;
        }
        for item in items {
            match item.split_once('…') {
                Some((before, after)) => {
                    let (before, after) = (keys(before), keys(after));
                    let first = before.first().cloned().unwrap_or_default();
                    self.gapped.entry(first).or_default().push(Gapped { before, after, concept: id });
                }
                None => self.term(item, id),
            }
        }
    }

    fn term(&mut self, term: &str, id: ConceptId) {
        let keys = keys(term);
        if keys.is_empty() {
            return;
        }
        self.longest = self.longest.max(keys.len());
        if matches!(self.vocabulary.get(id).kind, Kind::Technique | Kind::Finding) {
            self.frames.add(term, id);
        }
        let short = term.chars().filter(|letter| letter.is_alphabetic()).count() <= 4;
        if short && !term.chars().any(char::is_lowercase) {
            self.capitals.insert(keys.join(" "));
        }
        let whole: String = keys.concat();
        if whole.len() >= JOINED && !whole.bytes().any(|byte| byte.is_ascii_digit()) {
            add(&mut self.joined, letters(&keys), id);
        }
        // A term that denies, counts or names a side is never what was meant by words that only sound like it.
        let plain: String = term.chars().filter(|letter| letter.is_alphabetic()).flat_map(char::to_lowercase).collect();
        let fixed =
            term.to_lowercase().split(|letter: char| !letter.is_alphabetic()).any(|word| !may_be_misheard(word));
        if plain.len() >= SOUNDED
            && plain.len() == term.chars().filter(|letter| letter.is_alphanumeric()).count()
            && !fixed
        {
            self.sounds.add(&plain, id);
        }
        self.known.extend(keys.iter().cloned());
        add(&mut self.exact, keys.join(" "), id);
    }
}

/// Words of sides, negations, numbers, units and times.
pub(super) fn is_measure(low: &str) -> bool {
    const MEASURES: &[&str] = &[
        "left",
        "right",
        "no",
        "not",
        "never",
        "none",
        "without",
        "nor",
        "neither",
        "minus",
        "plus",
        "point",
        "half",
        "quarter",
        "hundred",
        "percent",
        "milligram",
        "milligrams",
        "millilitre",
        "millilitres",
        "millimetre",
        "millimetres",
        "mm",
        "ml",
        "mg",
        "mil",
        "dioptre",
        "dioptres",
        "diopters",
        "o'clock",
        "oclock",
        "hours",
        "day",
        "days",
        "week",
        "weeks",
        "month",
        "months",
        "zero",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
        "thirteen",
        "fourteen",
        "fifteen",
        "sixteen",
        "seventeen",
        "eighteen",
        "nineteen",
        "twenty",
        "thirty",
        "forty",
        "fifty",
        "sixty",
        "seventy",
        "eighty",
        "ninety",
        "nought",
    ];
    MEASURES.contains(&low)
}

/// Sides, negations, numbers and units are never taken for a misheard term.
pub(super) fn may_be_misheard(low: &str) -> bool {
    !is_measure(low) && !low.ends_with("n't") && !low.bytes().any(|byte| byte.is_ascii_digit())
}

/// The letters of some words without blanks, folded as one word.
pub(super) fn letters<S: AsRef<str>>(words: &[S]) -> String {
    let whole: String = words.iter().flat_map(|word| word.as_ref().chars()).filter(|letter| *letter != '\'').collect();
    crate::text::fold_word(&whole)
}

fn add(map: &mut BTreeMap<String, Vec<ConceptId>>, key: String, id: ConceptId) {
    let known = map.entry(key).or_default();
    if !known.contains(&id) {
        known.push(id);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::discover::discover;
    use crate::files::Memory;
    use crate::pipeline;

    #[test]
    fn every_saying_names_a_concept_and_is_written_once() {
        let inputs = discover(&Memory::default().with("library.yaml", "title: t\n")).expect("a library");
        let (vocabulary, _) = pipeline::vocabulary(&inputs);
        let mut seen = BTreeSet::new();
        for line in SPEECH.lines().filter(|line| !line.starts_with('#') && !line.is_empty()) {
            let (name, list) = line.split_once(": [").unwrap_or_else(|| panic!("not a list: {line}"));
            assert!(list.ends_with(']'), "{line}");
            assert!(seen.insert(name), "{name} stands twice");
            if name == "plain" || name == "nothing" {
                continue;
            }
            if name == "later" {
                for item in list.trim_end_matches(']').split(", ") {
                    assert!(vocabulary.by_name(item).is_some(), "{item} is no concept");
                }
                continue;
            }
            let base = name.strip_suffix(" implies").unwrap_or(name);
            assert!(vocabulary.by_name(base).is_some(), "{base} is no concept");
            if base != name {
                for item in list.trim_end_matches(']').split(", ") {
                    assert!(vocabulary.by_name(item).is_some(), "{item} is no concept");
                }
            }
        }
    }
}
