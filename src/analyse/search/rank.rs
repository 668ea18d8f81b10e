//! A query is answered: integers only, so that every machine gives the same list.

use super::query::{CONCEPT, Query};
use crate::model::search::SearchIndex;
use crate::model::search::codec::unpack;

/// How many of the best documents lift their neighbours, and how a document's own score counts against theirs: with
/// likeness in fifteenths a neighbour adds at most a fifth of its score.
const SEEDS: usize = 10;
const OWN: u32 = 75;

/// A document in a list of results.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hit {
    /// Its place in the index.
    pub document: u32,
    /// How well it fits; comparable within one answer only.
    pub score: u32,
    /// Whether it has every word that any document has.
    pub whole: bool,
}

/// What was chosen besides words: values that a document must have.
pub type Choice = [u32];

/// The answer to a query.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Answer {
    /// The best documents.
    pub hits: Vec<Hit>,
    /// How many documents have every word.
    pub whole: usize,
    /// How many have at least one.
    pub all: usize,
    /// For each value of the catalogue how many of the documents with every word have it, or of all if none has every word.
    pub counts: Vec<u32>,
}

/// Answers a query with the `most` best documents, among those that have every value of `choice`.
///
/// Documents with all words come first, then by score, then by place. Without words all documents come, by place.
pub fn answer(index: &SearchIndex, query: &Query, choice: &Choice, most: usize) -> Answer {
    let documents = index.cards.len();
    let mut allowed = vec![true; documents];
    let chosen = choice.iter().map(|&value| index.lists[value as usize].as_slice());
    let phrased = query.phrases.iter().flatten().map(|term| index.find(term).map_or(&[][..], |entry| &entry.list));
    for list in chosen.chain(phrased) {
        let mut has = vec![false; documents];
        if !list.is_empty() {
            unpack(list, |document, _| has[document as usize] = true);
        }
        allowed.iter_mut().zip(has).for_each(|(allowed, has)| *allowed &= has);
    }
    let Sums { mut score, matched, needed } = Sums::of(index, query);
    let asked = !query.units.is_empty();
    let fits = |document: usize| allowed[document] && (!asked || matched[document] > 0);
    let whole = |document: usize| !asked || (needed > 0 && u32::from(matched[document]) == needed);
    let order = |score: &[u32], most: usize| {
        let mut hits: Vec<Hit> = (0..documents)
            .filter(|&document| fits(document))
            .map(|document| Hit { document: document as u32, score: score[document], whole: whole(document) })
            .collect();
        hits.sort_by_key(|hit| (!hit.whole, u32::MAX - hit.score, hit.document));
        hits.truncate(most);
        hits
    };
    if !index.near.is_empty() && asked {
        let seeds = order(&score, SEEDS);
        let own = score.clone();
        score.iter_mut().for_each(|score| *score *= OWN);
        for seed in seeds {
            for &(near, likeness) in &index.near[seed.document as usize] {
                score[near as usize] += u32::from(likeness) * own[seed.document as usize];
            }
        }
    }
    let (mut all, mut with_all) = (0, 0);
    for document in (0..documents).filter(|&document| fits(document)) {
        all += 1;
        with_all += usize::from(whole(document));
    }
    let counted = |document: usize| fits(document) && (with_all == 0 || whole(document));
    let count = |list: &Vec<u8>| {
        let mut count = 0;
        if !list.is_empty() {
            unpack(list, |document, _| count += u32::from(counted(document as usize)));
        }
        count
    };
    Answer { hits: order(&score, most), whole: with_all, all, counts: index.lists.iter().map(count).collect() }
}

/// What the words add up to.
struct Sums {
    score: Vec<u32>,
    /// How many words each document has.
    matched: Vec<u8>,
    /// How many words any document has.
    needed: u32,
}

impl Sums {
    fn of(index: &SearchIndex, query: &Query) -> Self {
        let documents = index.cards.len();
        let mut sums = Self { score: vec![0; documents], matched: vec![0; documents], needed: 0 };
        let mut best = vec![0u32; documents];
        let mut at = 0;
        while at < query.units.len() {
            let named = query.named.iter().find(|named| named.from == at);
            let words = named.map_or(1, |named| named.words);
            let known = query.units[at..at + words].iter().filter(|unit| !unit.alternatives.is_empty()).count();
            sums.needed += if named.is_some() { words } else { known } as u32;
            // The words one by one.
            let (mut score, mut matched) = (vec![0u32; documents], vec![0u8; documents]);
            for unit in &query.units[at..at + words] {
                best.fill(0);
                for alternative in &unit.alternatives {
                    let Some(entry) = index.find(&alternative.term) else { continue };
                    unpack(&entry.list, |document, level| {
                        let best = &mut best[document as usize];
                        *best = (*best).max(alternative.weight * level);
                    });
                }
                for document in 0..documents {
                    score[document] += best[document];
                    matched[document] += u8::from(best[document] > 0);
                }
            }
            // Or all of them together, as the name of a concept.
            if let Some(named) = named {
                best.fill(0);
                for term in Query::concept_terms(named) {
                    let Some(entry) = index.find(&term) else { continue };
                    unpack(&entry.list, |document, level| {
                        let best = &mut best[document as usize];
                        *best = (*best).max(CONCEPT * words as u32 * level);
                    });
                }
                for document in (0..documents).filter(|&document| best[document] > 0) {
                    score[document] = score[document].max(best[document]);
                    matched[document] = words as u8;
                }
            }
            for document in 0..documents {
                sums.score[document] += score[document];
                sums.matched[document] += matched[document];
            }
            at += words;
        }
        sums
    }
}
