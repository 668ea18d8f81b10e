//! Terms in prose: which words of a text name a concept that has a page.

use crate::model::analysis::Analysis;
use crate::model::vocabulary::{ConceptId, Vocabulary};
use crate::text::{KnownWords, Map, fold_word};
use std::collections::BTreeSet;
use std::ops::Range;

/// Finds terms in the prose of one case.
#[derive(Debug)]
pub(crate) struct Mentions<'a> {
    terms: &'a Terms<'a>,
    analysis: &'a Analysis,
    /// The concepts that occur in the case, in order of number: they decide what an ambiguous term means.
    here: &'a [ConceptId],
    /// What is linked already in this section.
    seen: BTreeSet<ConceptId>,
}

/// A word of a text: its place, and its number among the words of terms.
struct Word {
    range: Range<usize>,
    number: Option<u32>,
}

/// The terms of a vocabulary word by word, so that a text is looked through once.
#[derive(Debug)]
pub(crate) struct Terms<'v> {
    words: Words<'v>,
    /// Node and word lead to a node. Node 0 stands before any word.
    steps: Map<(u32, u32), u32>,
    /// For each node, what the words so far mean if they are a whole term.
    ends: Vec<Option<&'v [ConceptId]>>,
}

impl<'v> Terms<'v> {
    /// The terms of this vocabulary.
    pub(crate) fn new(vocabulary: &'v Vocabulary) -> Self {
        let mut terms = Self { words: Words::default(), steps: Map::default(), ends: vec![None] };
        for (key, concepts) in vocabulary.keys() {
            let mut at = 0;
            for word in key.split(' ') {
                let word = terms.words.add(word);
                let fresh = terms.ends.len() as u32;
                at = *terms.steps.entry((at, word)).or_insert(fresh);
                if at == fresh {
                    terms.ends.push(None);
                }
            }
            terms.ends[at as usize] = Some(concepts);
        }
        terms
    }
}

/// The words of terms, by number, and which of them a word as written is.
#[derive(Debug, Default)]
struct Words<'v> {
    /// Key of a word → its number.
    numbers: Map<&'v str, u32>,
    written: KnownWords<Option<u32>>,
}

impl<'v> Words<'v> {
    /// The number of a word of a term.
    fn add(&mut self, key: &'v str) -> u32 {
        let fresh = self.numbers.len() as u32;
        *self.numbers.entry(key).or_insert(fresh)
    }

    /// Which word of a term this word of a text is, if it is one.
    fn number(&self, written: &str) -> Option<u32> {
        self.written.of(written, || self.numbers.get(fold_word(written).as_str()).copied())
    }
}

impl<'a> Mentions<'a> {
    /// For a case in which the concepts `here` occur.
    pub(crate) fn new(terms: &'a Terms<'a>, analysis: &'a Analysis, here: &'a [ConceptId]) -> Self {
        Self { terms, analysis, here, seen: BTreeSet::new() }
    }

    /// A new section begins: terms link again.
    pub(crate) fn new_section(&mut self) {
        self.seen.clear();
    }

    /// The concept is linked by the author's own hand; it needs no further link in this section.
    pub(crate) fn is_linked(&mut self, concept: ConceptId) {
        self.seen.insert(concept);
    }

    /// The places of `text` to link, in order, each with its concept.
    pub(crate) fn find(&mut self, text: &str) -> Vec<(Range<usize>, ConceptId)> {
        let words = self.words(text);
        let mut found = Vec::new();
        let mut at = 0;
        while at < words.len() {
            let Some((count, concepts)) = self.longest_at(text, &words[at..]) else {
                at += 1;
                continue;
            };
            let range = words[at].range.start..words[at + count - 1].range.end;
            // A term that may not be linked still hides the shorter terms in it: they would mislead.
            at += count;
            if count == 1 && is_too_short(&text[range.clone()]) {
                continue;
            }
            if let Some(concept) = self.meant(concepts).filter(|&concept| self.analysis.has_page(concept))
                && self.seen.insert(concept)
            {
                found.push((range, concept));
            }
        }
        found
    }

    /// Words as [`crate::text::fold_term`] cuts them.
    fn words(&self, text: &str) -> Vec<Word> {
        let is_letter = |letter: char| letter.is_alphanumeric() || letter == '.' || letter == '%';
        let mut words = Vec::with_capacity(text.len() / 6);
        let mut start = None;
        for (at, letter) in text.char_indices().chain([(text.len(), ' ')]) {
            match (start, is_letter(letter)) {
                (None, true) => start = Some(at),
                (Some(from), false) => {
                    let run = &text[from..at];
                    let word = run.trim_matches('.');
                    if !word.is_empty() {
                        let from = from + (run.len() - run.trim_start_matches('.').len());
                        words.push(Word { range: from..from + word.len(), number: self.terms.words.number(word) });
                    }
                    start = None;
                }
                _ => {}
            }
        }
        words
    }

    /// The longest term at the beginning of `words`: how many words it takes, and what it may mean.
    fn longest_at(&self, text: &str, words: &[Word]) -> Option<(usize, &'a [ConceptId])> {
        let mut node = 0;
        let mut best = None;
        for (at, word) in words.iter().enumerate() {
            if at > 0 {
                let gap = &text[words[at - 1].range.end..word.range.start];
                if !is_joint(gap) {
                    break;
                }
                // The `s` of a possessive is no word of a term: `Little's manoeuvre`.
                if matches!(&text[word.range.clone()], "s" | "S") && gap.contains(['\'', '’']) {
                    continue;
                }
            }
            // Where no term goes on so, more words will not help.
            let Some(&next) = word.number.and_then(|number| self.terms.steps.get(&(node, number))) else { break };
            node = next;
            if let Some(concepts) = self.terms.ends[node as usize] {
                best = Some((at + 1, concepts));
            }
        }
        best
    }

    /// The one concept meant, if that is clear.
    fn meant(&self, concepts: &[ConceptId]) -> Option<ConceptId> {
        if let [only] = concepts {
            return Some(*only);
        }
        let mut here = concepts.iter().filter(|concept| self.here.binary_search(concept).is_ok());
        match (here.next(), here.next()) {
            (Some(one), None) => Some(*one),
            _ => None,
        }
    }
}

/// Whether what stands between two words can stand inside a term.
fn is_joint(gap: &str) -> bool {
    matches!(gap, " " | "\n" | "-" | "‑" | "–" | "/" | "'" | "’" | "' " | "’ " | "\u{a0}")
}

/// Words of fewer than four letters say too little, unless they are abbreviations in capitals.
fn is_too_short(word: &str) -> bool {
    word.chars().count() < 4 && !word.chars().all(|letter| letter.is_uppercase() || letter.is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::sample;

    fn found(text: &str, here: &[&str]) -> Vec<(String, String)> {
        let (vocabulary, analysis) = sample::vocabulary();
        let mut here: Vec<ConceptId> = here.iter().filter_map(|name| vocabulary.by_name(name)).collect();
        here.sort();
        let terms = Terms::new(&vocabulary);
        let mut mentions = Mentions::new(&terms, &analysis, &here);
        mentions
            .find(text)
            .into_iter()
            .map(|(range, concept)| (text[range].to_owned(), vocabulary.get(concept).name.value.clone()))
            .collect()
    }

    fn pairs(list: &[(&str, &str)]) -> Vec<(String, String)> {
        list.iter().map(|(one, two)| ((*one).to_owned(), (*two).to_owned())).collect()
    }

    #[test]
    fn the_longest_term_wins_in_any_spelling_and_once() {
        assert_eq!(
            found("A Posterior-capsule\nruptures; then posterior capsule rupture again.", &[]),
            pairs(&[("Posterior-capsule\nruptures", "posterior-capsule-rupture")])
        );
    }

    #[test]
    fn a_sentence_break_ends_a_term() {
        assert_eq!(found("It was posterior. Capsule rupture came after.", &[]), pairs(&[]));
    }

    #[test]
    fn an_ambiguous_term_links_only_where_one_of_its_concepts_occurs() {
        assert_eq!(found("A bleed came.", &[]), pairs(&[]));
        assert_eq!(found("A bleed came.", &["hyphaema"]), pairs(&[("bleed", "hyphaema")]));
        assert_eq!(found("A bleed came.", &["hyphaema", "old-bleed"]), pairs(&[]));
    }

    #[test]
    fn a_concept_without_a_page_is_not_linked_and_hides_what_is_inside_it() {
        assert_eq!(found("He used an iris hook there.", &[]), pairs(&[]));
        assert_eq!(found("The iris prolapse was small.", &[]), pairs(&[("iris prolapse", "iris-prolapse")]));
    }

    #[test]
    fn short_words_link_only_as_abbreviations() {
        assert_eq!(found("PCR is bad, pcr is a word.", &[]), pairs(&[("PCR", "posterior-capsule-rupture")]));
        assert_eq!(found("a pcr", &[]), pairs(&[]));
    }

    #[test]
    fn a_possessive_does_not_part_a_term() {
        assert_eq!(found("By Little’s manoeuvre we", &[]), pairs(&[("Little’s manoeuvre", "littles-manoeuvre")]));
    }
}
