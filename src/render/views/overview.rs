//! The whole library at a glance: steps across and complications down, and what is not yet taught.

use super::Desk;
use super::questions::CaseLink;
use crate::model::corpus::Cleared;
use crate::model::gist::Whence;
use crate::model::index::DifficultyBand;
use crate::model::vocabulary::{ConceptId, Harm, Kind};
use crate::render::pictures::Picture;
use crate::render::pictures::spread::{ACROSS, UP, spread};
use crate::render::places::Term;
use serde::Serialize;
use std::collections::BTreeMap;

/// Columns of steps that are told apart; the rest are one.
const MOST_STEPS: usize = 9;
/// Cases that are named in a cell, of a small library and of a large one, whose map would grow beyond a page; beyond that
/// the cell leads to the complication's page.
const MOST_IN_CELL: (usize, usize) = (8, 1);
/// A library of more cases is large.
const LARGE: usize = 300;

/// The map of the library.
#[derive(Debug, Serialize)]
pub(crate) struct MapView {
    pub(crate) columns: Vec<String>,
    pub(crate) rows: Vec<MapRow>,
    pub(crate) cases: usize,
    /// Eye difficulty against how much went wrong.
    pub(crate) spread: Option<Picture>,
    /// The same in words: for each number of complications the cases of each band.
    pub(crate) bands: Vec<String>,
    pub(crate) by_band: Vec<SpreadRow>,
}

/// The cases with one number of complications.
#[derive(Debug, Serialize)]
pub(crate) struct SpreadRow {
    pub(crate) head: String,
    pub(crate) cells: Vec<MapCell>,
}

/// A complication.
#[derive(Debug, Serialize)]
pub(crate) struct MapRow {
    pub(crate) complication: Term,
    pub(crate) cells: Vec<MapCell>,
}

/// Where a complication arose in a step.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct MapCell {
    pub(crate) cases: Vec<CaseLink>,
    /// Cases beyond those named.
    pub(crate) more: usize,
}

impl MapCell {
    fn add(&mut self, case: CaseLink, most: usize) {
        if self.cases.len() < most {
            self.cases.push(case);
        } else {
            self.more += 1;
        }
    }
}

/// What the vocabulary knows and no case shows.
#[derive(Debug, Serialize)]
pub(crate) struct CoverageView {
    pub(crate) taught: usize,
    pub(crate) missing: Vec<MissingView>,
}

/// A complication without a case, and its neighbours that have some.
#[derive(Debug, Serialize)]
pub(crate) struct MissingView {
    pub(crate) term: Term,
    pub(crate) harm: String,
    pub(crate) near: Vec<Term>,
}

/// When a complication arose, as a column: a technique, or a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum When {
    Step(ConceptId),
    Other,
    After,
    Unknown,
}

impl Desk<'_> {
    /// The map: where in the operation each complication arose, and in which cases.
    pub(crate) fn map(&self, cases: &[Cleared]) -> MapView {
        let vocabulary = self.places.vocabulary();
        let most = if cases.len() > LARGE { MOST_IN_CELL.1 } else { MOST_IN_CELL.0 };
        let mut often: BTreeMap<ConceptId, (usize, usize)> = BTreeMap::new();
        let mut found: BTreeMap<ConceptId, BTreeMap<When, Vec<usize>>> = BTreeMap::new();
        for (at, case) in self.places.analysis().gists.iter().enumerate() {
            for trouble in &case.troubles {
                let when = match trouble.arose {
                    Whence::During(nth) => {
                        let step = case.steps[nth].0;
                        let (count, places) = often.entry(step).or_default();
                        *count += 1;
                        // In thousandths of the operation, to put columns in the order of operations.
                        *places += nth * 1000 / case.steps.len();
                        When::Step(step)
                    }
                    Whence::Operation => When::Other,
                    Whence::After(_) => When::After,
                    Whence::Unknown => When::Unknown,
                };
                let cell = found.entry(trouble.is).or_default().entry(when).or_default();
                if cell.last() != Some(&at) {
                    cell.push(at);
                }
            }
        }
        let mut common: Vec<(ConceptId, (usize, usize))> = often.into_iter().collect();
        common.sort_by_key(|(id, (count, _))| (std::cmp::Reverse(*count), *id));
        common.truncate(MOST_STEPS);
        common.sort_by_key(|(id, (count, places))| (places / count, *id));
        let steps: Vec<ConceptId> = common.into_iter().map(|(id, _)| id).collect();
        let mut columns: Vec<String> = steps.iter().map(|&id| vocabulary.get(id).label.value.clone()).collect();
        columns.extend(["another step", "after surgery", "not recorded"].map(str::to_owned));
        let mut rows: Vec<MapRow> = found
            .into_iter()
            .map(|(complication, by_when)| {
                let mut cells = vec![MapCell::default(); columns.len()];
                for (when, places) in by_when {
                    let column = match when {
                        When::Step(id) => steps.iter().position(|step| *step == id).unwrap_or(steps.len()),
                        When::Other => steps.len(),
                        When::After => steps.len() + 1,
                        When::Unknown => steps.len() + 2,
                    };
                    for at in places {
                        cells[column].add(self.case_link(&cases[at], at), most);
                    }
                }
                MapRow { complication: self.places.term(complication, self.root), cells }
            })
            .collect();
        rows.sort_by_cached_key(|row| row.complication.label.to_lowercase());
        let used: Vec<bool> =
            (0..columns.len()).map(|at| rows.iter().any(|row| !row.cells[at].cases.is_empty())).collect();
        let keep = |at: &usize| used[*at];
        for row in &mut rows {
            row.cells = (0..columns.len()).filter(keep).map(|at| row.cells[at].clone()).collect();
        }
        MapView {
            columns: (0..columns.len()).filter(keep).map(|at| columns[at].clone()).collect(),
            rows,
            cases: cases.len(),
            spread: self.spread(),
            bands: DifficultyBand::ALL.into_iter().map(|band| band.word().to_owned()).collect(),
            by_band: self.by_band(cases, most),
        }
    }

    fn spread(&self) -> Option<Picture> {
        let mut counts = [[0; ACROSS]; UP];
        let analysis = self.places.analysis();
        for (case, indices) in analysis.gists.iter().zip(&analysis.indices) {
            let across = (indices.difficulty.value / 10.0) as usize;
            counts[case.troubles.len().min(UP - 1)][across.min(ACROSS - 1)] += 1;
        }
        spread(&counts)
    }

    fn by_band(&self, cases: &[Cleared], most: usize) -> Vec<SpreadRow> {
        let mut rows = vec![vec![MapCell::default(); DifficultyBand::ALL.len()]; UP];
        for (at, (cleared, indices)) in cases.iter().zip(&self.places.analysis().indices).enumerate() {
            let band = DifficultyBand::of(indices.difficulty.value);
            let column = DifficultyBand::ALL.iter().position(|it| *it == band).unwrap_or(0);
            rows[self.places.analysis().gists[at].troubles.len().min(UP - 1)][column]
                .add(self.case_link(cleared, at), most);
        }
        let head = |count: usize| match count {
            0 => "none".to_owned(),
            it if it == UP - 1 => format!("{it} or more"),
            it => it.to_string(),
        };
        let filled = rows.into_iter().enumerate().filter(|(_, cells)| cells.iter().any(|cell| !cell.cases.is_empty()));
        filled.map(|(count, cells)| SpreadRow { head: head(count), cells }).collect()
    }

    /// Complications of the vocabulary that no case shows, each with relatives that have one.
    pub(crate) fn coverage(&self) -> CoverageView {
        let vocabulary = self.places.vocabulary();
        let not_taught = &self.places.analysis().not_taught;
        let missing = not_taught.iter().map(|it| {
            let harm = vocabulary.get(it.concept).harm.map(Harm::word).unwrap_or_default();
            MissingView {
                term: self.places.term(it.concept, self.root),
                harm: harm.to_owned(),
                near: it.near.iter().map(|&id| self.places.term(id, self.root)).collect(),
            }
        });
        CoverageView { taught: self.listed(Kind::Complication).len() - not_taught.len(), missing: missing.collect() }
    }
}
