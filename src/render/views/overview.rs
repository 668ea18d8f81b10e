//! The whole library at a glance: steps across and complications down, and what is not yet taught.

use super::Desk;
use super::questions::CaseLink;
use crate::model::case::Arose;
use crate::model::corpus::Cleared;
use crate::model::vocabulary::{ConceptId, Kind};
use crate::render::places::Term;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

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
        for (at, cleared) in cases.iter().enumerate() {
            let steps = &cleared.case.operation.steps;
            for complication in &cleared.case.complications {
                let when = match &complication.arose {
                    Some(Arose::During(step)) => {
                        cleared.case.operation.step_index(&step.value).map_or(When::Other, |nth| {
                            let (count, places) = often.entry(steps[nth].does.value).or_default();
                            *count += 1;
                            // In thousandths of the operation, to put columns in the order of operations.
                            *places += nth * 1000 / steps.len();
                            When::Step(steps[nth].does.value)
                        })
                    }
                    Some(Arose::After(_)) => When::After,
                    None => When::Unknown,
                };
                let cell = found.entry(complication.is.value).or_default().entry(when).or_default();
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
                        let cell = &mut cells[column];
                        if cell.cases.len() < most {
                            cell.cases.push(self.case_link(&cases[at], at));
                        } else {
                            cell.more += 1;
                        }
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
        }
    }

    /// Complications of the vocabulary that no case shows, each with relatives that have one.
    pub(crate) fn coverage(&self) -> CoverageView {
        let vocabulary = self.places.vocabulary();
        let analysis = self.places.analysis();
        let listed = self.listed(Kind::Complication);
        let taught = listed.iter().filter(|&&id| analysis.cases_with(id) > 0).count();
        let missing = listed.into_iter().filter(|&id| analysis.cases_with(id) == 0).map(|id| {
            let concept = vocabulary.get(id);
            let sisters = concept.broader.iter().flat_map(|wider| {
                analysis.narrower.get(wider.0 as usize).into_iter().flatten().chain(std::iter::once(wider))
            });
            let near: BTreeSet<ConceptId> =
                sisters.copied().filter(|&other| other != id && analysis.cases_with(other) > 0).collect();
            MissingView {
                term: self.places.term(id, self.root),
                harm: concept.harm.map(crate::model::vocabulary::Harm::word).unwrap_or_default().to_owned(),
                near: near.into_iter().take(4).map(|id| self.places.term(id, self.root)).collect(),
            }
        });
        CoverageView { taught, missing: missing.collect() }
    }
}
