//! The index of a library: counted in stretches side by side, put together in order, the same for any number of threads.

use super::Map;
use super::calls::Calls;
use super::chunk::{Chunk, Counted, Counter, Lexicon};
use super::compact::{Pairs, Weights};
use super::{near, pairs};
use crate::model::search::codec::{LEVELS, pack};
use crate::model::search::{Catalogue, Document, Entry, SearchIndex, Spelling, concept_term};
use rayon::prelude::*;
use std::sync::Arc;

/// Fewest and most documents that are counted together. Each stretch gathers its words anew, so that fewer are better.
const STRETCH: (usize, usize) = (64, 1024);

/// How fast a word's weight levels off as it is repeated; k₁ of BM25. Chosen on three published collections.
const K1: f64 = 1.5;
/// How much the length of a document counts; b of BM25. The usual value.
const B: f64 = 0.75;

/// From so many documents on a list of results shows only a part of the lessons, so that its data stay small.
const MANY: usize = 5_000;
/// Bytes of lessons that a document shows then, and before.
const LESSONS: (usize, usize) = (120, 2_400);

/// Everything counted, before impacts are known.
pub(super) struct Whole {
    /// Terms by number.
    pub(super) names: Vec<Arc<str>>,
    /// For each term its documents.
    pub(super) terms: Vec<Weights>,
    /// For each concept its documents.
    pub(super) concepts: Vec<Weights>,
    /// For each document what follows from its length: k₁(1 − b + b·length/mean).
    pub(super) damping: Vec<f64>,
    /// For each document its pairs, as numbers of terms.
    pub(super) pairs: Vec<Pairs>,
    /// Words a document has on average, stop words included.
    pub(super) mean_words: f64,
}

impl Whole {
    /// How much a term says about a document: BM25F. Source: Robertson, Zaragoza and Taylor, "Simple BM25 extension to
    /// multiple weighted fields", CIKM 2004; the logarithm as in Lucene, which is never negative.
    pub(super) fn impact(&self, documents: usize, (document, weight): (u32, u32)) -> f64 {
        let (all, with) = (self.damping.len() as f64, documents as f64);
        let rarity = libm::log(1.0 + (all - with + 0.5) / (with + 0.5));
        let weight = f64::from(weight) / 2.0;
        rarity * weight * (K1 + 1.0) / (weight + self.damping[document as usize])
    }
}

/// Builds the index of so many documents.
pub fn build(count: usize, catalogue: Catalogue, document: impl Fn(usize) -> Document + Sync) -> SearchIndex {
    let calls = Calls::new(&catalogue.concepts);
    let lexicon = Lexicon::default();
    let at_once = 2 * rayon::current_num_threads();
    let stretch = count.div_ceil(at_once).clamp(STRETCH.0, STRETCH.1);
    let stretches: Vec<usize> = (0..count).step_by(stretch).collect();
    let room = if count < MANY { LESSONS.1 } else { LESSONS.0 };
    let slim = |at: usize| {
        let mut document = document(at);
        document.card.lessons = cut(std::mem::take(&mut document.card.lessons), room);
        document
    };
    let mut together = Together::new(catalogue.concepts.len());
    // Some at a time, so that what was counted need not be held twice for the whole of a large library.
    for some in stretches.chunks(at_once) {
        let counted: Vec<Chunk> = some
            .into_par_iter()
            .map(|&from| Counter::count(&calls, &lexicon, from..(from + stretch).min(count), &slim))
            .collect();
        counted.into_iter().for_each(|chunk| together.add(chunk));
    }
    let (mut whole, spellings, documents) = together.finish();
    let highest = whole
        .terms
        .par_iter()
        .chain(&whole.concepts)
        .map(|list| list.iter().map(|it| whole.impact(list.len(), it)).fold(0.0, f64::max))
        .reduce(|| 0.0, f64::max);
    let entry = |term: String, list: &Weights| {
        let level = |it: (u32, u32)| {
            let share = whole.impact(list.len(), it) / highest;
            (it.0, ((share * f64::from(LEVELS)).round() as u8).clamp(1, LEVELS))
        };
        let packed = pack(&list.iter().map(level).collect::<Vec<_>>());
        Entry { term, documents: list.len() as u32, list: packed }
    };
    let mut entries: Vec<Entry> =
        whole.names.par_iter().zip(&whole.terms).map(|(name, list)| entry(name.to_string(), list)).collect();
    let concepts = (0u32..).zip(&whole.concepts).filter(|(_, list)| !list.is_empty());
    entries.extend(concepts.map(|(concept, list)| entry(concept_term(concept), list)));
    let (paired, all_pairs) = pairs::entries(&whole, &calls);
    whole.pairs = Vec::new();
    entries.extend(paired);
    entries.par_sort_unstable_by(|one, other| one.term.cmp(&other.term));

    let mut of_value: Vec<Vec<(u32, u8)>> = vec![Vec::new(); catalogue.values.len()];
    for (document, at) in documents.iter().zip(0u32..) {
        document.values.iter().for_each(|&value| of_value[value as usize].push((at, LEVELS)));
    }
    SearchIndex {
        entries,
        spellings,
        calls: calls.occurring(|concept| !whole.concepts[concept as usize].is_empty()),
        counts: of_value.iter().map(|list| list.len() as u32).collect(),
        lists: of_value.iter().map(|list| if list.is_empty() { Vec::new() } else { pack(list) }).collect(),
        near: near::nearest(&whole),
        all_pairs,
        cards: documents.into_iter().map(|document| document.card).collect(),
        catalogue,
    }
}

/// As many whole lessons as there is room for; the first is cut at a word if it alone is too long.
fn cut(lessons: Vec<String>, room: usize) -> Vec<String> {
    let mut kept: Vec<String> = Vec::new();
    let mut left = room;
    for mut lesson in lessons {
        if lesson.len() > left {
            if kept.is_empty() {
                let end = (0..=left).rev().find(|&at| lesson.is_char_boundary(at) && lesson[at..].starts_with(' '));
                lesson.truncate(end.unwrap_or(0));
                kept.push(lesson + " …");
            }
            break;
        }
        left -= lesson.len();
        kept.push(lesson);
    }
    kept
}

/// Stretches put together in order. Terms get numbers in the order in which they first occur.
struct Together {
    numbers: Map<Arc<str>, u32>,
    places: Map<Arc<str>, usize>,
    spelt: Vec<(Arc<str>, u32)>,
    whole: Whole,
    lengths: Vec<u64>,
    words: usize,
    documents: Vec<Document>,
}

impl Together {
    fn new(concepts: usize) -> Self {
        Self {
            numbers: Map::default(),
            places: Map::default(),
            spelt: Vec::new(),
            whole: Whole {
                names: Vec::new(),
                terms: Vec::new(),
                concepts: vec![Weights::default(); concepts],
                damping: Vec::new(),
                pairs: Vec::new(),
                mean_words: 0.0,
            },
            lengths: Vec::new(),
            words: 0,
            documents: Vec::new(),
        }
    }

    /// Adds the next stretch.
    fn add(&mut self, chunk: Chunk) {
        let whole = &mut self.whole;
        let mut global = Vec::with_capacity(chunk.names.len());
        for name in chunk.names {
            let fresh = whole.names.len() as u32;
            let number = *self.numbers.entry(Arc::clone(&name)).or_insert(fresh);
            if number == fresh {
                whole.names.push(name);
                whole.terms.push(Weights::default());
            }
            global.push(number);
        }
        for (word, often) in chunk.spellings {
            let fresh = self.spelt.len();
            let at = *self.places.entry(Arc::clone(&word)).or_insert(fresh);
            if at == fresh {
                self.spelt.push((word, 0));
            }
            self.spelt[at].1 += often;
        }
        for Counted { terms, concepts, length, words: has, pairs } in chunk.counted {
            let document = self.lengths.len() as u32;
            for (term, weight) in terms {
                whole.terms[global[term as usize] as usize].push(document, weight);
            }
            for (concept, weight) in concepts {
                whole.concepts[concept as usize].push(document, weight);
            }
            let pairs = pairs.into_iter().map(|(one, other)| (global[one as usize], global[other as usize]));
            let mut pairs: Vec<_> = pairs.collect();
            // Their order hung on the stretch until now, and a stretch hangs on the number of threads.
            pairs.sort_unstable();
            whole.pairs.push(Pairs::new(&pairs));
            self.lengths.push(length);
            self.words += has;
        }
        self.documents.extend(chunk.documents);
    }

    /// What was put together, the spellings that slips may be mended towards, and the documents without their texts.
    fn finish(self) -> (Whole, Vec<Spelling>, Vec<Document>) {
        let Self { mut spelt, mut whole, lengths, words, documents, .. } = self;
        let count = lengths.len().max(1) as f64;
        let mean = lengths.iter().sum::<u64>() as f64 / count;
        let mean = if mean > 0.0 { mean } else { 1.0 };
        whole.damping = lengths.iter().map(|&length| K1 * (1.0 - B + B * length as f64 / mean)).collect();
        whole.mean_words = words as f64 / count;
        // In a large library a word that hardly anybody wrote is more often a slip than a word.
        let least = if lengths.len() >= 20_000 {
            5
        } else if lengths.len() >= 3_000 {
            3
        } else {
            1
        };
        spelt.retain(|(_, often)| *often >= least);
        spelt.sort_unstable();
        let eighths = |often: u32| (8.0 * libm::log2(f64::from(often))).round() as u8;
        let spellings =
            spelt.into_iter().map(|(word, often)| Spelling { word: word.to_string(), often: eighths(often) });
        (whole, spellings.collect(), documents)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::search::Field;

    #[test]
    fn the_index_does_not_hang_on_the_number_of_threads() {
        let document = |words: u64| {
            move |at: usize| {
                let mut state = at as u64 + 1;
                let mut text = String::new();
                for _ in 0..words {
                    state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                    let word = (state >> 33) % 700;
                    // Some words stand together more often than chance would have it.
                    text.push_str(&if word < 90 { format!("one{word}x other{word}x ") } else { format!("w{word}x ") });
                }
                Document { texts: vec![(Field::Body, text)], ..Document::default() }
            }
        };
        for (words, all_pairs) in [(60, true), (420, false)] {
            let with = |threads| {
                let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
                pool.install(|| build(300, Catalogue::default(), document(words)))
            };
            let (one, four) = (with(1), with(4));
            assert_eq!(one.all_pairs, all_pairs);
            assert!(one.entries.len() > 850, "words and pairs of them: {}", one.entries.len());
            assert_eq!(format!("{one:?}"), format!("{four:?}"));
        }
    }

    #[test]
    fn lessons_are_cut_at_words_and_only_where_there_is_no_room() {
        let lessons = || vec!["Refill before you withdraw.".to_owned(), "Stop.".to_owned()];
        assert_eq!(cut(lessons(), 100), lessons());
        assert_eq!(cut(lessons(), 28), ["Refill before you withdraw."]);
        assert_eq!(cut(lessons(), 15), ["Refill before …"]);
        assert_eq!(cut(Vec::new(), 15), Vec::<String>::new());
    }
}
