//! What a reader typed becomes terms of the index, each with a weight.

use crate::model::search::{SearchIndex, Spelling, concept_term, pair_term};
use crate::text::analyser::{american, query_tokens, term};
use std::cmp::Ordering;

/// Weights of the ways in which a word may be found. What is less sure never outweighs what was typed.
const EXACT: u32 = 8;
pub(super) const CONCEPT: u32 = 7;
const BEGUN: u32 = 6;
const ONE_SLIP: u32 = 4;
const TWO_SLIPS: u32 = 2;

/// Most words of a query that are looked at.
const MOST_WORDS: usize = 120;
const MOST_PHRASES: usize = 4;
const MOST_PHRASE_WORDS: usize = 24;
/// A word that is being typed is completed from so many letters on, in at most so many ways.
const BEGUN_LETTERS: usize = 3;
const BEGUN_WAYS: usize = 8;
/// A word typed beyond its stem: the shortest stem that may stand for it, and how many letters may be missing from it.
const SHORTEST_STEM: usize = 4;
const BEYOND: usize = 6;
/// A slip is mended in words from so many letters on; two slips from so many on; in at most so many ways.
const MENDED_LETTERS: usize = 4;
const TWO_SLIPS_LETTERS: usize = 8;
const MENDED_WAYS: usize = 3;
/// In eighths, the binary logarithm of 25, the letters that could stand in the place of one; and of two.
const EASE: usize = 37;
const TWICE: usize = 8;

/// How a term stands for a word.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum How {
    /// As typed.
    Typed,
    /// The word is still being typed.
    Begun,
    /// The word is taken for this one.
    Mended(String),
}

/// A term that may stand for a word.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Alternative {
    /// The term.
    pub term: String,
    /// What its levels are multiplied by.
    pub weight: u32,
    /// How it stands for the word.
    pub how: How,
}

/// A word of a query, stop words left out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unit {
    /// As typed, in lower case.
    pub word: String,
    /// What may stand for it; none if no document has anything like it.
    pub alternatives: Vec<Alternative>,
}

/// Words that are the name of a concept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Named {
    /// The first of its units.
    pub from: usize,
    /// How many units it has.
    pub words: usize,
    /// The concepts, as places in the catalogue.
    pub concepts: Vec<u32>,
}

/// A query, ready to be answered.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Query {
    /// Words, those of phrases last.
    pub units: Vec<Unit>,
    /// Runs of words that name concepts.
    pub named: Vec<Named>,
    /// For each quoted phrase what a document must have: any of the rows has all of its terms.
    pub phrases: Vec<Vec<String>>,
    /// Whether for some pair of a phrase only the words are known, not whether they stand side by side.
    pub loose: bool,
}

impl Query {
    /// Reads what was typed. `plain` leaves concepts out.
    pub fn new(index: &SearchIndex, typed: &str, plain: bool) -> Self {
        let (outside, inside) = split(typed);
        let open = outside.last().is_some_and(|last| last.ends_with(char::is_alphanumeric));
        let words: Vec<String> = outside.iter().flat_map(|part| query_tokens(part)).take(MOST_WORDS).collect();
        let mut query = Self::default();
        let mut stems = Vec::new();
        for (at, word) in words.iter().enumerate() {
            let Some(stem) = term(word) else { continue };
            stems.push(stem);
            let open = open && at + 1 == words.len();
            query.units.push(Unit { word: word.clone(), alternatives: alternatives(index, word, open) });
        }
        if !plain {
            query.name(index, &stems);
        }
        for phrase in inside.iter().take(MOST_PHRASES) {
            let words: Vec<String> = query_tokens(phrase).into_iter().take(MOST_PHRASE_WORDS).collect();
            query.phrase(index, &words);
        }
        query
    }

    /// Finds the names of concepts among the words: the longest from each word on.
    fn name(&mut self, index: &SearchIndex, stems: &[String]) {
        let mut at = 0;
        while at < stems.len() {
            let mut found: Option<Named> = None;
            let mut key = String::new();
            for (more, stem) in stems[at..].iter().enumerate() {
                if more > 0 {
                    key.push(' ');
                }
                key.push_str(stem);
                match index.calls.binary_search_by(|call| call.key.as_str().cmp(&key)) {
                    Ok(call) => {
                        let concepts = index.calls[call].concepts.clone();
                        found = Some(Named { from: at, words: more + 1, concepts });
                    }
                    Err(next) => {
                        let longer = index
                            .calls
                            .get(next)
                            .is_some_and(|call| call.key.strip_prefix(&key).is_some_and(|rest| rest.starts_with(' ')));
                        if !longer {
                            break;
                        }
                    }
                }
            }
            let next = at + found.as_ref().map_or(1, |named| named.words);
            if found.is_some() {
                // What the vocabulary knows is no slip.
                for unit in &mut self.units[at..next] {
                    unit.alternatives.retain(|alternative| !matches!(alternative.how, How::Mended(_)));
                }
            }
            self.named.extend(found);
            at = next;
        }
    }

    fn phrase(&mut self, index: &SearchIndex, words: &[String]) {
        let mut stems = Vec::new();
        for word in words {
            let Some(stem) = term(word) else { continue };
            let typed = Alternative { term: stem.clone(), weight: EXACT, how: How::Typed };
            let known = index.find(&stem).map(|_| typed);
            self.units.push(Unit { word: word.clone(), alternatives: known.into_iter().collect() });
            stems.push(stem);
        }
        if stems.is_empty() {
            return;
        }
        let mut needed = Vec::new();
        for two in stems.windows(2) {
            let pair = pair_term(&two[0], &two[1]);
            if index.all_pairs || index.find(&pair).is_some() {
                needed.push(pair);
            } else {
                self.loose = true;
                needed.extend(two.iter().cloned());
            }
        }
        if needed.is_empty() {
            needed.append(&mut stems);
        }
        self.phrases.push(needed);
    }

    /// Every term that a document may be found by, concepts left out: what is to be marked in its text.
    pub fn marked(&self) -> impl Iterator<Item = &str> {
        self.units.iter().flat_map(|unit| unit.alternatives.iter().map(|alternative| alternative.term.as_str()))
    }

    /// The terms of the concepts of a run of words.
    pub(super) fn concept_terms(named: &Named) -> impl Iterator<Item = String> {
        named.concepts.iter().map(|&concept| concept_term(concept))
    }
}

/// Parts outside and inside quotation marks, in order. A mark that is not closed does not count.
fn split(typed: &str) -> (Vec<String>, Vec<String>) {
    let parts: Vec<&str> = typed.split(['"', '\u{201c}', '\u{201d}', '\u{201e}']).collect();
    let (mut outside, mut inside) = (Vec::new(), Vec::new());
    for (at, part) in parts.iter().enumerate() {
        if at % 2 == 1 && at + 1 < parts.len() {
            inside.push((*part).to_owned());
        } else {
            outside.push((*part).to_owned());
        }
    }
    (outside, inside)
}

/// What may stand for a word; `open` if it is still being typed.
fn alternatives(index: &SearchIndex, word: &str, open: bool) -> Vec<Alternative> {
    let mut found = Vec::new();
    let stem = term(word).unwrap_or_default();
    if index.find(&stem).is_some() {
        found.push(Alternative { term: stem.clone(), weight: EXACT, how: How::Typed });
    }
    let begun = american(word);
    let letters = begun.chars().count();
    if open && letters >= BEGUN_LETTERS {
        let mut ways: Vec<(u32, &str)> = index
            .beginning(&begun)
            .filter(|entry| entry.term != stem)
            .map(|entry| (entry.documents, entry.term.as_str()))
            .collect();
        ways.sort_by(|one, other| other.0.cmp(&one.0).then(one.1.cmp(other.1)));
        let ways = ways.into_iter().take(BEGUN_WAYS);
        found.extend(ways.map(|(_, term)| Alternative { term: term.to_owned(), weight: BEGUN, how: How::Begun }));
        if found.is_empty() && letters > MENDED_LETTERS {
            found = mended(index, word, 1, true);
        }
        if found.is_empty() && begun.is_ascii() {
            let shortest = SHORTEST_STEM.max(letters.saturating_sub(BEYOND));
            let stems = (shortest..letters).rev().map(|end| &begun[..end]);
            found.extend(
                stems
                    .filter(|stem| index.find(stem).is_some())
                    .map(|stem| Alternative { term: stem.to_owned(), weight: BEGUN, how: How::Begun })
                    .take(1),
            );
        }
    }
    if found.is_empty() {
        found = mended(index, word, 2, false);
    }
    found
}

/// The words that somebody may have meant who wrote this one: the nearest that begin with one of its first two letters,
/// which may have changed places. Unless `here_only`, the nearest of all if none of those is one slip away.
fn mended(index: &SearchIndex, word: &str, most: usize, here_only: bool) -> Vec<Alternative> {
    let plain = word.len() >= MENDED_LETTERS && word.bytes().all(|letter| letter.is_ascii_lowercase());
    if !plain {
        return Vec::new();
    }
    // A slip can make a word look British or American; its letters are taken as they stand and in the American way.
    let other_way = american(word);
    let ways = if other_way == word { vec![word] } else { vec![word, &other_way] };
    let most = most.min(if word.len() < TWO_SLIPS_LETTERS { 1 } else { 2 });
    let first_two = &word.as_bytes()[..2];
    let begins = |spelling: &&Spelling| first_two.contains(&spelling.word.as_bytes()[0]);
    let mut near = nearest(index.spellings.iter().filter(begins), &ways, most);
    if !here_only && near.iter().all(|&(slips, _)| slips > 1) {
        near = nearest(index.spellings.iter(), &ways, most);
    }
    let ways = near.into_iter().map(|(slips, spelling)| Alternative {
        term: term(&spelling.word).unwrap_or_default(),
        weight: if slips == 1 { ONE_SLIP } else { TWO_SLIPS },
        how: How::Mended(spelling.word.clone()),
    });
    ways.collect()
}

/// The words at the least distance, likeliest first: how common a word is, and how easily the slip happens, both as binary
/// logarithms in eighths. Source of the model: Kernighan, Church, Gale, COLING 1990;2:205-210, with every slip of a kind alike.
fn nearest<'s>(among: impl Iterator<Item = &'s Spelling>, ways: &[&str], most: usize) -> Vec<(usize, &'s Spelling)> {
    let mut best: Vec<(usize, usize, &Spelling)> = Vec::new();
    let mut most = most;
    for spelling in among {
        let mut likely = None;
        for word in ways {
            if spelling.word.len().abs_diff(word.len()) > most {
                continue;
            }
            let slips = slips(word.as_bytes(), spelling.word.as_bytes(), most);
            if slips <= most {
                let ease = if slips == 1 { ease(word.as_bytes(), spelling.word.as_bytes()) } else { 0 };
                likely = likely.max(Some(ease));
                if slips < most {
                    best.retain(|(known, ..)| *known <= slips);
                    (most, likely) = (slips, Some(ease));
                }
            }
        }
        best.extend(likely.map(|ease| (most, ease + usize::from(spelling.often), spelling)));
    }
    best.sort_by(|one, other| other.1.cmp(&one.1).then_with(|| one.2.word.cmp(&other.2.word)));
    best.truncate(MENDED_WAYS);
    best.into_iter().map(|(slips, _, spelling)| (slips, spelling)).collect()
}

/// How much easier this one slip happens than one that puts a letter there: a letter can be left out or exchanged with the
/// next in one way, but any of 25 others can be typed in its place. Beside its double a letter is left out or put in in two.
fn ease(typed: &[u8], meant: &[u8]) -> usize {
    let apart = typed.iter().zip(meant).filter(|(one, other)| one != other).count();
    let (longer, one_way) = match typed.len().cmp(&meant.len()) {
        Ordering::Less => (meant, EASE),
        Ordering::Equal => return if apart == 2 { EASE } else { 0 },
        Ordering::Greater => (typed, 0),
    };
    // The letter by which they differ is the first at which they part, or a later one of the same kind beside it.
    let at = typed.iter().zip(meant).take_while(|(one, other)| one == other).count();
    one_way + if at > 0 && longer[at - 1] == longer[at] { TWICE } else { 0 }
}

/// How many letters must be changed, left out, put in or exchanged with the next to turn one word into the other, no
/// letter twice; more than `most` is told as one more than that. Source: optimal string alignment, as in Damerau,
/// Commun ACM 1964;7:171-176.
fn slips(one: &[u8], other: &[u8], most: usize) -> usize {
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=other.len()).collect();
    for row in 1..=one.len() {
        let mut this = vec![row; other.len() + 1];
        for at in 1..=other.len() {
            let changed = last[at - 1] + usize::from(one[row - 1] != other[at - 1]);
            let mut least = changed.min(last[at] + 1).min(this[at - 1] + 1);
            if row > 1 && at > 1 && one[row - 1] == other[at - 2] && one[row - 2] == other[at - 1] {
                least = least.min(before[at - 2] + 1);
            }
            this[at] = least;
        }
        if this.iter().min().is_some_and(|least| *least > most) && last.iter().min().is_some_and(|least| *least > most)
        {
            return most + 1;
        }
        before = last;
        last = this;
    }
    last[other.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_are_counted_as_strsim_counts_them() {
        let words = ["rhexis", "hrexis", "rexis", "rhexiss", "rheixs", "sulcus", "", "vitrectmy", "vitrectomy"];
        for one in words {
            for other in words {
                let expected = strsim::osa_distance(one, other);
                for most in [1, 2] {
                    let counted = slips(one.as_bytes(), other.as_bytes(), most);
                    assert!(counted == expected || (counted > most && expected > most), "{one} {other}: {counted}");
                }
            }
        }
    }

    #[test]
    fn quotation_marks_part_a_query() {
        let (outside, inside) = split("pupil “iris prolapse” and \"open");
        assert_eq!(outside, ["pupil ", " and ", "open"]);
        assert_eq!(inside, ["iris prolapse"]);
    }
}
