//! A stretch of documents, counted by itself: stretches are counted side by side and put together in order.

use super::Map;
use super::calls::{Calls, Heard};
use crate::model::search::{Document, Field};
use crate::text::analyser::{american, term_of, tokens};
use crate::text::{KnownWords, WordMap};
use std::ops::Range;
use std::sync::Arc;

/// What one document holds. Terms are numbers within the stretch.
#[derive(Debug, Default)]
pub(super) struct Counted {
    /// Term and weight, each once.
    pub(super) terms: Vec<(u32, u32)>,
    /// Concept and weight, each once.
    pub(super) concepts: Vec<(u32, u32)>,
    /// Sum of the weights of its words.
    pub(super) length: u64,
    /// How many words it has, stop words included.
    pub(super) words: usize,
    /// Neighbouring terms, in order, each once.
    pub(super) pairs: Vec<(u32, u32)>,
}

/// A stretch of documents.
#[derive(Debug, Default)]
pub(super) struct Chunk {
    /// Terms by number.
    pub(super) names: Vec<Arc<str>>,
    /// Words as written, with the number of documents that have them.
    pub(super) spellings: Vec<(Arc<str>, u32)>,
    /// What each document holds.
    pub(super) counted: Vec<Counted>,
    /// The documents without their texts.
    pub(super) documents: Vec<Document>,
}

/// What is known of a word.
#[derive(Debug, Clone, Copy)]
struct Known {
    /// Its term; none for a stop word.
    term: Option<u32>,
    /// Its place in the list of spellings; none if slips are not mended towards it.
    spelling: Option<u32>,
}

/// What words come to, for all stretches together: its term, and its spelling if slips may be mended towards it.
pub(super) type Lexicon = KnownWords<(Option<Arc<str>>, Option<Arc<str>>)>;

/// Numbers that are added up for one document at a time.
#[derive(Debug, Default)]
struct Sums {
    sums: Vec<u32>,
    touched: Vec<u32>,
}

impl Sums {
    fn add(&mut self, at: u32, weight: u32) {
        let place = at as usize;
        if self.sums.len() <= place {
            self.sums.resize(place + 1, 0);
        }
        if self.sums[place] == 0 {
            self.touched.push(at);
        }
        self.sums[place] += weight;
    }

    fn take(&mut self) -> Vec<(u32, u32)> {
        let taken = std::mem::take(&mut self.touched);
        taken.into_iter().map(|at| (at, std::mem::take(&mut self.sums[at as usize]))).collect()
    }
}

/// Counts a stretch.
pub(super) struct Counter<'c> {
    calls: &'c Calls,
    lexicon: &'c Lexicon,
    chunk: Chunk,
    words: WordMap<Known>,
    numbers: Map<Arc<str>, u32>,
    spelt: Map<Arc<str>, u32>,
    /// For each term its number among the words of calls.
    called: Vec<Option<u32>>,
    terms: Sums,
    concepts: Sums,
    written: Sums,
}

impl<'c> Counter<'c> {
    /// Counts the documents of a range.
    pub(super) fn count(
        calls: &'c Calls,
        lexicon: &'c Lexicon,
        range: Range<usize>,
        document: &impl Fn(usize) -> Document,
    ) -> Chunk {
        let mut counter = Self {
            calls,
            lexicon,
            chunk: Chunk::default(),
            words: WordMap::default(),
            numbers: Map::default(),
            spelt: Map::default(),
            called: Vec::new(),
            terms: Sums::default(),
            concepts: Sums::default(),
            written: Sums::default(),
        };
        for at in range {
            counter.one(document(at));
        }
        counter.chunk
    }

    fn one(&mut self, mut document: Document) {
        let mut counted = Counted::default();
        for (field, text) in std::mem::take(&mut document.texts) {
            self.text(field, &text, &mut counted);
        }
        for (field, concept) in std::mem::take(&mut document.concepts) {
            self.concepts.add(concept, field.weight());
        }
        counted.terms = self.terms.take();
        counted.concepts = self.concepts.take();
        for (spelling, _) in self.written.take() {
            self.chunk.spellings[spelling as usize].1 += 1;
        }
        counted.pairs.sort_unstable();
        counted.pairs.dedup();
        self.chunk.counted.push(counted);
        self.chunk.documents.push(document);
    }

    fn text(&mut self, field: Field, text: &str, counted: &mut Counted) {
        let weight = field.weight();
        let (mut row, mut heard): (Vec<u32>, Vec<Heard>) = (Vec::new(), Vec::new());
        let mut parted = true;
        tokens(text, |token| {
            counted.words += usize::from(!token.part);
            parted |= token.parted;
            let known = self.known(token.word);
            let Some(term) = known.term else { return };
            if let Some(spelling) = known.spelling {
                self.written.add(spelling, 1);
            }
            self.terms.add(term, weight);
            counted.length += u64::from(weight);
            if !token.part {
                row.push(term);
                heard.push(Heard { word: self.called[term as usize], capitals: token.capitals, parted });
                parted = false;
            }
        });
        for at in 0..row.len() {
            if heard[at].word.is_some() {
                self.calls.at(&heard[at..], |concept| self.concepts.add(concept, weight));
            }
            if heard.get(at + 1).is_some_and(|next| !next.parted) {
                counted.pairs.push((row[at], row[at + 1]));
            }
        }
    }

    fn known(&mut self, word: &str) -> Known {
        if let Some(&known) = self.words.get(word) {
            return known;
        }
        let (term, spelt) = self.lexicon.of(word, || {
            let spelt = american(word);
            let term = term_of(word, &spelt);
            let plain = term.is_some() && spelt.len() >= 4 && spelt.bytes().all(|letter| letter.is_ascii_lowercase());
            (term.map(Arc::from), plain.then(|| Arc::from(spelt)))
        });
        let number = term.map(|name| self.number(name));
        let spelling = spelt.map(|spelt| {
            let fresh = self.chunk.spellings.len() as u32;
            let at = *self.spelt.entry(Arc::clone(&spelt)).or_insert(fresh);
            if at == fresh {
                self.chunk.spellings.push((spelt, 0));
            }
            at
        });
        let known = Known { term: number, spelling };
        self.words.insert(word, known);
        known
    }

    fn number(&mut self, name: Arc<str>) -> u32 {
        let fresh = self.chunk.names.len() as u32;
        let number = *self.numbers.entry(Arc::clone(&name)).or_insert(fresh);
        if number == fresh {
            self.called.push(self.calls.word(&name));
            self.chunk.names.push(name);
        }
        number
    }
}
