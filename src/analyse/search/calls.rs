//! How concepts are called: every term of a vocabulary as a sequence of stems, and the search for them in a text.

use super::Map;
use crate::model::search::{Call, SearchConcept};
use crate::text::analyser::{query_tokens, terms, tokens};
use std::collections::BTreeMap;

/// Longest all-capital term that must stand in capitals in a text: below it collides with words (ICE and ice).
const ABBREVIATION: usize = 4;

/// A word of a text as the search for calls sees it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Heard {
    /// Its number among the stems of calls; none if it stands in no call.
    pub(super) word: Option<u32>,
    /// Whether it is written in capitals.
    pub(super) capitals: bool,
    /// Whether a sentence begins before it.
    pub(super) parted: bool,
}

/// The terms of all concepts as a tree of stems.
#[derive(Debug, Default)]
pub(super) struct Calls {
    /// Stem → its number, for stems that stand in a term.
    words: Map<String, u32>,
    /// Node and stem → node. Node 0 is the root.
    steps: Map<(u32, u32), u32>,
    /// For each node the concepts called so, and whether the call must stand in capitals.
    ends: Vec<Vec<(u32, bool)>>,
    /// Key → concepts.
    keys: BTreeMap<String, Vec<u32>>,
}

impl Calls {
    pub(super) fn new(concepts: &[SearchConcept]) -> Self {
        let mut calls = Self { ends: vec![Vec::new()], ..Self::default() };
        for (concept, number) in concepts.iter().zip(0u32..) {
            for term in &concept.terms {
                calls.add(term, number);
            }
        }
        calls
    }

    fn add(&mut self, term: &str, concept: u32) {
        let stems = terms(term);
        // A term that is one word without its stop words means something else without them: `after-cataract`.
        if stems.is_empty() || stems.len() == 1 && query_tokens(term).len() > 1 {
            return;
        }
        let mut node = 0;
        for stem in &stems {
            let fresh = self.words.len() as u32;
            let word = *self.words.entry(stem.clone()).or_insert(fresh);
            let next = self.ends.len() as u32;
            node = *self.steps.entry((node, word)).or_insert(next);
            if node == next {
                self.ends.push(Vec::new());
            }
        }
        let mut first = None;
        tokens(term, |token| first = first.or(Some(token.capitals)));
        let capitals = stems.len() == 1 && term.chars().count() <= ABBREVIATION && first == Some(true);
        let ends = &mut self.ends[node as usize];
        match ends.iter_mut().find(|(known, _)| *known == concept) {
            Some((_, known)) => *known &= capitals,
            None => ends.push((concept, capitals)),
        }
        let known = self.keys.entry(stems.join(" ")).or_default();
        if !known.contains(&concept) {
            known.push(concept);
        }
    }

    /// The number of a stem that stands in a term.
    pub(super) fn word(&self, stem: &str) -> Option<u32> {
        self.words.get(stem).copied()
    }

    /// Calls `each` with every concept whose longest call begins at the first of these words.
    pub(super) fn at(&self, words: &[Heard], mut each: impl FnMut(u32)) {
        let (mut node, mut found) = (0, 0);
        for (at, heard) in words.iter().enumerate() {
            let word = heard.word.filter(|_| at == 0 || !heard.parted);
            let Some(&next) = word.and_then(|word| self.steps.get(&(node, word))) else { break };
            node = next;
            if !self.ends[node as usize].is_empty() {
                found = node;
            }
        }
        let capitals = words.first().is_some_and(|heard| heard.capitals);
        self.ends[found as usize].iter().filter(|(_, must)| capitals || !must).for_each(|(concept, _)| each(*concept));
    }

    /// Every pair of stems that stand side by side in a term, in order.
    pub(super) fn pairs(&self) -> impl Iterator<Item = (&str, &str)> {
        self.keys.keys().flat_map(|key| key.split(' ').zip(key.split(' ').skip(1)))
    }

    /// The calls of concepts that occur, in order of key.
    pub(super) fn occurring(&self, occurs: impl Fn(u32) -> bool) -> Vec<Call> {
        let calls = self.keys.iter().map(|(key, concepts)| Call {
            key: key.clone(),
            concepts: concepts.iter().copied().filter(|&concept| occurs(concept)).collect(),
        });
        calls.filter(|call| !call.concepts.is_empty()).collect()
    }
}
