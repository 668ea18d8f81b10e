//! The search page, and the terms from A to Z for readers without scripts.

use super::{Desk, Pager, shown};
use crate::render::places::{Term, numbered};
use crate::text::slug;
use serde::Serialize;
use std::ops::Range;

/// The search page.
#[derive(Debug, Serialize)]
pub(crate) struct SearchView {
    /// Its script.
    pub(crate) script: String,
    /// The script that tells where the index is.
    pub(crate) pointer: &'static str,
    pub(crate) letters: Vec<Letter>,
}

/// A page of the terms from A to Z.
#[derive(Debug, Serialize)]
pub(crate) struct TermsView {
    pub(crate) letters: Vec<Letter>,
    pub(crate) groups: Vec<LetterGroup>,
    pub(crate) pager: Pager,
}

/// A letter with the place where its terms begin.
#[derive(Debug, Serialize)]
pub(crate) struct Letter {
    pub(crate) label: String,
    pub(crate) href: String,
}

/// The terms of a letter on one page.
#[derive(Debug, Serialize)]
pub(crate) struct LetterGroup {
    pub(crate) label: String,
    /// Its name for links.
    pub(crate) anchor: String,
    pub(crate) terms: Vec<TermRow>,
}

/// A term that cases have.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct TermRow {
    /// The term as people say it.
    pub(crate) said: String,
    /// The concept and where to read of it.
    pub(crate) means: Term,
    /// Whether the term is the concept's usual one.
    pub(crate) usual: bool,
    /// How many cases have it.
    pub(crate) cases: usize,
}

impl TermRow {
    /// About how many bytes it takes on a page.
    pub(crate) fn size(&self) -> usize {
        100 + self.said.len() + self.means.label.len() + self.means.href.len()
    }

    /// The letter under which it stands; digits stand together.
    fn letter(&self) -> String {
        match slug(&self.said).chars().next() {
            Some(letter) if letter.is_ascii_lowercase() => letter.to_ascii_uppercase().to_string(),
            _ => "0".to_owned(),
        }
    }
}

impl Desk<'_> {
    /// Every term of a concept that a case has, in order.
    pub(crate) fn every_term(&self) -> Vec<TermRow> {
        let analysis = self.places.analysis();
        let mut rows = Vec::new();
        for (id, concept) in self.places.vocabulary().iter().filter(|(id, _)| analysis.cases_with(*id) > 0) {
            let (means, cases) = (self.places.term(id, self.root), analysis.cases_with(id));
            for (at, said) in std::iter::once(&concept.label).chain(&concept.aliases).enumerate() {
                rows.push(TermRow { said: shown(said), means: means.clone(), usual: at == 0, cases });
            }
        }
        rows.sort_by_cached_key(|row| (row.letter(), slug(&row.said), row.said.clone(), row.means.href.clone()));
        rows
    }
}

/// The terms of a page under their letters.
pub(crate) fn groups(terms: &[TermRow]) -> Vec<LetterGroup> {
    let parts = terms.chunk_by(|one, other| one.letter() == other.letter());
    parts
        .map(|part| {
            let label = part[0].letter();
            let anchor = format!("_{}", label.to_ascii_lowercase());
            LetterGroup { label: if label == "0" { "0–9".to_owned() } else { label }, anchor, terms: part.to_vec() }
        })
        .collect()
}

/// Every letter that has terms, with the page where it begins.
pub(crate) fn letters(terms: &[TermRow], pages: &[Range<usize>]) -> Vec<Letter> {
    let mut letters: Vec<Letter> = Vec::new();
    for (number, range) in (1..).zip(pages) {
        for group in groups(&terms[range.clone()]) {
            if letters.iter().all(|letter| letter.label != group.label) {
                let href = format!("{}#{}", numbered("terms", number), group.anchor);
                letters.push(Letter { label: group.label, href });
            }
        }
    }
    letters
}
