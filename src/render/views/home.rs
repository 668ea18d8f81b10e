//! The first page and the page on methods.

use super::difficulty::RiskMethodsView;
use super::{Desk, Link, typeset};
use crate::model::corpus::Corpus;
use crate::model::index::DifficultyBand;
use crate::model::measure::PLAUSIBLE;
use crate::model::vocabulary::{ConceptId, Kind};
use crate::render::places::{Term, list_page, numbered};
use crate::text::capitalised;
use serde::Serialize;

/// Most concepts behind one door of the first page; the list page has all.
const MOST_BEHIND_A_DOOR: usize = 18;

/// The first page.
#[derive(Debug, Serialize)]
pub(crate) struct HomeView {
    pub(crate) description: String,
    pub(crate) cases: usize,
    pub(crate) decisions: usize,
    pub(crate) reviewed: usize,
    pub(crate) complications: Door,
    pub(crate) techniques: Door,
    pub(crate) bands: Vec<BandDoor>,
    /// The list by eye difficulty.
    pub(crate) ranked: String,
    pub(crate) kinds: Vec<KindLink>,
    pub(crate) selection: String,
    pub(crate) contact: String,
}

/// A way into the cases.
#[derive(Debug, Serialize)]
pub(crate) struct Door {
    pub(crate) concepts: Vec<Counted>,
    /// How many there are, also beyond those shown.
    pub(crate) count: usize,
    pub(crate) href: String,
}

/// A concept with the number of its cases.
#[derive(Debug, Serialize)]
pub(crate) struct Counted {
    pub(crate) term: Term,
    pub(crate) cases: usize,
}

/// The cases of one band of eye difficulty.
#[derive(Debug, Serialize)]
pub(crate) struct BandDoor {
    pub(crate) signs: String,
    pub(crate) words: String,
    pub(crate) cases: usize,
    pub(crate) href: String,
}

/// A list page with the number of concepts that occur.
#[derive(Debug, Serialize)]
pub(crate) struct KindLink {
    pub(crate) kind: String,
    pub(crate) link: Link,
    pub(crate) occur: usize,
}

impl Desk<'_> {
    fn door(&self, concepts: &[ConceptId], href: String) -> Door {
        let shown = concepts.iter().take(MOST_BEHIND_A_DOOR);
        Door {
            concepts: shown
                .map(|&id| Counted {
                    term: self.places.term(id, self.root),
                    cases: self.places.analysis().cases_with(id),
                })
                .collect(),
            count: concepts.len(),
            href,
        }
    }

    /// Concepts of a kind that a case has, in order of label.
    fn occurring(&self, kind: Kind) -> Vec<ConceptId> {
        let mut found = self.listed(kind);
        found.retain(|&id| self.places.analysis().cases_with(id) > 0);
        found
    }

    /// The first page.
    pub(crate) fn home(&self, corpus: &Corpus) -> HomeView {
        let library = corpus.library();
        let cases = corpus.cases();
        let vocabulary = self.places.vocabulary();
        // Wide techniques are the doors; the list page leads on to the narrow ones.
        let mut wide = self.occurring(Kind::Technique);
        wide.retain(|&id| vocabulary.get(id).broader.is_empty());
        let ranked = self.href(&numbered("cases-by-difficulty", 1));
        let indices = &self.places.analysis().indices;
        let bands = DifficultyBand::ALL.into_iter().filter_map(|band| {
            let of_band = indices.iter().filter(|it| DifficultyBand::of(it.difficulty.value) == band).count();
            (of_band > 0).then(|| BandDoor {
                signs: band.signs().to_owned(),
                words: band.word().to_owned(),
                cases: of_band,
                href: if of_band == indices.len() { ranked.clone() } else { format!("{ranked}#only-{}", band.mark()) },
            })
        });
        HomeView {
            description: library.description.clone().unwrap_or_default(),
            cases: cases.len(),
            decisions: self.places.analysis().practice.questions.len(),
            reviewed: cases.iter().filter(|cleared| cleared.reviewed).count(),
            complications: self.door(&self.occurring(Kind::Complication), self.href(&list_page(Kind::Complication, 1))),
            techniques: self.door(&wide, self.href(&list_page(Kind::Technique, 1))),
            bands: bands.collect(),
            ranked,
            kinds: Kind::ALL
                .into_iter()
                .map(|kind| KindLink {
                    kind: kind.word().to_owned(),
                    link: Link { label: format!("{}s", kind.word()), href: self.href(&list_page(kind, 1)) },
                    occur: self.occurring(kind).len(),
                })
                .collect(),
            selection: library.selection.clone().unwrap_or_default(),
            contact: library.contact.clone().unwrap_or_default(),
        }
    }
}

/// The page on methods.
#[derive(Debug, Serialize)]
pub(crate) struct MethodsView {
    pub(crate) cases: usize,
    pub(crate) decisions: usize,
    pub(crate) concepts: usize,
    pub(crate) selection: String,
    pub(crate) contact: String,
    pub(crate) audience: String,
    pub(crate) ranges: Vec<RangeView>,
    pub(crate) risk: RiskMethodsView,
    /// A case file to show, if there is a case.
    pub(crate) example: String,
}

/// The plausible range of a measure.
#[derive(Debug, Serialize)]
pub(crate) struct RangeView {
    pub(crate) measure: String,
    pub(crate) unit: String,
    pub(crate) possible: String,
    pub(crate) usual: String,
    pub(crate) source: String,
}

impl Desk<'_> {
    /// The page on methods.
    pub(crate) fn methods(&self, corpus: &Corpus) -> MethodsView {
        let library = corpus.library();
        let range = |(low, high): (f64, f64)| typeset(&format!("{low} to {high}"));
        MethodsView {
            cases: corpus.cases().len(),
            decisions: self.places.analysis().practice.questions.len(),
            concepts: corpus.vocabulary().len(),
            selection: library.selection.clone().unwrap_or_default(),
            contact: library.contact.clone().unwrap_or_default(),
            audience: corpus.audience().word().to_owned(),
            ranges: PLAUSIBLE
                .iter()
                .map(|plausible| RangeView {
                    measure: capitalised(if plausible.measure == "iop" { "pressure" } else { plausible.measure }),
                    // A number before it tells a micrometre from a word.
                    unit: typeset(&format!("0 {}", plausible.unit.plural()))
                        .trim_start_matches(['0', ' ', '\u{a0}'])
                        .to_owned(),
                    possible: range(plausible.possible),
                    usual: range(plausible.usual),
                    source: plausible.source.to_owned(),
                })
                .collect(),
            risk: self.risk_methods(corpus),
            example: if corpus.cases().is_empty() { String::new() } else { self.href(&self.places.source(0)) },
        }
    }
}
