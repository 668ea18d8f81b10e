//! Made-up documents, shaped like write-ups and fed to the index through its own seam. They hang on the seed and their
//! number alone, and make no sense; see `words.rs` for the prose.

use crate::random::{Random, Zipf};
use crate::words::{Lexicon, Writer};
use casewright::discover::discover;
use casewright::files::{Disk, Memory};
use casewright::model::search::{Card, Catalogue, Document, Field, Group, SearchConcept, Value};
use casewright::model::vocabulary::{Kind, Vocabulary};
use casewright::pipeline;
use std::path::Path;

const SEED: u64 = 2026;
/// The kind of random stream for a document's concepts.
const CONCEPTS: u64 = 5;
/// Mean length of a body and its deviation, in words.
const WORDS: (f64, f64) = (900.0, 220.0);
/// Techniques that nearly every operation has.
const ROUTINE: u64 = 11;

const KINDS: [(Kind, Field, bool); 4] = [
    (Kind::Complication, Field::Complications, true),
    (Kind::Technique, Field::Techniques, true),
    (Kind::Finding, Field::Findings, false),
    (Kind::Outcome, Field::Body, true),
];

/// Concepts of one kind: where their values begin, and the concepts, most frequent first.
#[derive(Debug)]
struct Ranked {
    field: Field,
    first: u32,
    concepts: Vec<u32>,
    zipf: Zipf,
}

/// Makes documents.
#[derive(Debug)]
pub(crate) struct Made {
    lexicon: Lexicon,
    kinds: Vec<Ranked>,
    /// What the documents refer to.
    pub(crate) catalogue: Catalogue,
}

impl Made {
    /// From the built-in vocabulary and the demo narratives.
    pub(crate) fn new() -> Self {
        let built_in = discover(&Memory::default()).expect("the built-in vocabulary");
        let (vocabulary, _) = pipeline::vocabulary(&built_in);
        let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("cases");
        let found = discover(&Disk::new(demo, &[])).expect("the demo library");
        let texts = found.cases.iter().filter_map(|case| found.sources.get(case.markdown));
        let narratives: Vec<&str> = texts.map(|source| source.text.splitn(3, "---\n").last().unwrap_or("")).collect();
        Self::of(&vocabulary, narratives)
    }

    fn of<'t>(vocabulary: &'t Vocabulary, mut texts: Vec<&'t str>) -> Self {
        texts.extend(vocabulary.iter().flat_map(|(_, concept)| concept.terms()));
        let concepts = vocabulary.iter().map(|(_, concept)| SearchConcept {
            name: concept.name.value.clone(),
            label: concept.label.value.clone(),
            terms: concept.terms().map(str::to_owned).collect(),
        });
        let mut catalogue = Catalogue { concepts: concepts.collect(), ..Catalogue::default() };
        let mut kinds = Vec::new();
        for (kind, field, telling) in KINDS {
            let group = catalogue.groups.len() as u32;
            let name = kind.word().to_owned();
            catalogue.groups.push(Group { label: format!("{name}s"), name, telling });
            let of_kind = vocabulary.iter().filter(|(_, concept)| concept.kind == kind);
            let concepts: Vec<u32> = of_kind.map(|(id, _)| id.0).collect();
            let first = catalogue.values.len() as u32;
            for &concept in &concepts {
                let concept = &catalogue.concepts[concept as usize];
                let (name, label) = (concept.name.clone(), concept.label.clone());
                catalogue.values.push(Value { group, name, label });
            }
            kinds.push(Ranked { field, first, zipf: Zipf::new(concepts.len()), concepts });
        }
        Self { lexicon: Lexicon::new(SEED, &texts), kinds, catalogue }
    }

    /// The document with this number.
    pub(crate) fn document(&self, number: usize) -> Document {
        let mut random = Random::new(SEED, CONCEPTS, number as u64);
        let mut document = Document::default();
        let mut about = Vec::new();
        let many =
            [*random.one(&[0, 1, 1, 1, 2, 2, 3]), ROUTINE + random.from(2, 6), random.from(2, 5), random.from(1, 4)];
        for (kind, many) in self.kinds.iter().zip(many) {
            for _ in 0..many {
                let place = kind.zipf.place(&mut random);
                let concept = kind.concepts[place];
                document.values.push(kind.first + place as u32);
                document.concepts.push((kind.field, concept));
                let label = self.catalogue.concepts[concept as usize].label.clone();
                document.texts.push((kind.field, label.clone()));
                about.push(label);
            }
        }
        document.values.sort_unstable();
        document.values.dedup();
        let mut prose = Writer::new(&self.lexicon, number as u64, about);
        let title = prose.phrase(3, 7);
        let lessons: Vec<String> = (0..random.from(3, 4)).map(|_| prose.sentence()).collect();
        let words = (WORDS.0 + WORDS.1 * random.normal()).max(250.0) as usize;
        let mut left = words;
        while left > 0 {
            let paragraph = prose.paragraph((random.fraction() * 70.0) as usize + 40);
            left = left.saturating_sub(paragraph.split(' ').count());
            document.texts.push((Field::Body, paragraph));
        }
        document.texts.push((Field::Title, title.clone()));
        document.texts.extend(lessons.iter().map(|lesson| (Field::Lessons, lesson.clone())));
        let ask_title = if random.happens(0.9) { prose.phrase(5, 8) } else { String::new() };
        let asks = !ask_title.is_empty();
        let stated = document.values.clone();
        document.card = Card { name: format!("case-{number:06}"), title, ask_title, asks, lessons, stated };
        document
    }
}
