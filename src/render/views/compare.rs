//! Two cases against each other: both eyes, both operations step beside step, a question, and only then what it teaches.

use super::difficulty::{MarkedView, marked};
use super::record::{ComplicationView, whole};
use super::{Desk, Link, Pager, shown};
use crate::model::analysis::{ChosenBy, Pair};
use crate::model::case::Case;
use crate::model::corpus::Cleared;
use crate::model::vocabulary::ConceptId;
use crate::render::places::Term;
use serde::Serialize;
use std::collections::BTreeSet;

/// Two cases.
#[derive(Debug, Serialize)]
pub(crate) struct CompareView {
    pub(crate) one: SideView,
    pub(crate) other: SideView,
    /// Findings that both eyes had.
    pub(crate) shared: Vec<Term>,
    pub(crate) rows: Vec<RowView>,
    /// How they differ, in words that give neither away.
    pub(crate) differ: String,
    /// What their authors wrote that the pair teaches.
    pub(crate) principles: Vec<PrincipleView>,
    /// Whether it was found by computation.
    pub(crate) found: bool,
}

/// One of the two.
#[derive(Debug, Serialize)]
pub(crate) struct SideView {
    /// The title that gives nothing away.
    pub(crate) title: String,
    /// The title of the straight reading.
    pub(crate) straight_title: String,
    pub(crate) straight: String,
    /// Empty if the case has no decisions.
    pub(crate) ask: String,
    pub(crate) eye: String,
    pub(crate) patient: String,
    pub(crate) procedure: Term,
    pub(crate) difficulty: MarkedView,
    /// Findings that only this eye had.
    pub(crate) alone: Vec<Term>,
    pub(crate) complications: Vec<ComplicationView>,
    /// The acuity of the last visit that has one, and the states of the last visit.
    pub(crate) acuity: String,
    pub(crate) ended: Vec<Term>,
    pub(crate) later: Vec<Term>,
    pub(crate) lessons: Vec<String>,
}

/// Steps beside each other.
#[derive(Debug, Serialize)]
pub(crate) struct RowView {
    pub(crate) one: Option<CellView>,
    pub(crate) other: Option<CellView>,
    /// Whether they part here, and whether it is the first place.
    pub(crate) apart: bool,
    pub(crate) first: bool,
}

/// A step.
#[derive(Debug, Serialize)]
pub(crate) struct CellView {
    pub(crate) number: usize,
    pub(crate) at: String,
    pub(crate) does: Term,
    pub(crate) unplanned: bool,
}

/// What an author wrote.
#[derive(Debug, Serialize)]
pub(crate) struct PrincipleView {
    pub(crate) text: String,
    /// The case in which it is written.
    pub(crate) from: String,
}

/// The list of all pairs.
#[derive(Debug, Serialize)]
pub(crate) struct PairsView {
    pub(crate) count: usize,
    pub(crate) pairs: Vec<PairLink>,
    pub(crate) pager: Pager,
}

/// A pair in a list.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct PairLink {
    pub(crate) link: Link,
    /// Who chose it, in words.
    pub(crate) chosen: &'static str,
    pub(crate) differ: String,
}

impl PairLink {
    /// About how many bytes it takes on a page.
    pub(crate) fn size(&self) -> usize {
        200 + self.link.label.len() + self.link.href.len() + self.differ.len()
    }
}

impl Desk<'_> {
    /// A pair as a link; beside a case only the other is named.
    pub(crate) fn pair_link(&self, pair: &Pair, beside: Option<usize>) -> PairLink {
        let (one, other) = (self.places.title(pair.one, true), self.places.title(pair.other, true));
        let label = match beside {
            Some(case) if case == pair.one => other.to_owned(),
            Some(_) => one.to_owned(),
            None => format!("{one} / {other}"),
        };
        PairLink {
            link: Link { label, href: self.href(&self.places.compare(pair.one, pair.other)) },
            chosen: match pair.by {
                ChosenBy::Author => "chosen by an author",
                ChosenBy::Session => "from a teaching session",
                ChosenBy::Likeness => "alike before surgery",
            },
            differ: pair.differ.join(", "),
        }
    }

    /// Two cases against each other.
    pub(crate) fn compare(&self, cases: &[Cleared], pair: &Pair) -> CompareView {
        let (one, other) = (cases[pair.one].case(), cases[pair.other].case());
        let findings =
            |case: &Case| -> BTreeSet<ConceptId> { case.findings.iter().map(|finding| finding.is.value).collect() };
        let (here, there) = (findings(&one), findings(&other));
        let terms = |ids: Vec<&ConceptId>| ids.into_iter().map(|&id| self.places.term(id, self.root)).collect();
        let mut first = true;
        let rows = pair.rows.iter().map(|row| {
            let apart = !row.same;
            let begins = apart && std::mem::take(&mut first);
            let cell = |case: &Case, at: usize| {
                let step = &case.operation.steps[at];
                CellView {
                    number: at + 1,
                    at: super::text(step.at.as_ref()),
                    does: self.term(&step.does),
                    unplanned: step.unplanned,
                }
            };
            RowView {
                one: row.one.map(|at| cell(&one, at)),
                other: row.other.map(|at| cell(&other, at)),
                apart,
                first: begins,
            }
        });
        let principles = pair.principles.iter().map(|&(case, at)| {
            let case = if case == pair.one { &one } else { &other };
            PrincipleView { text: shown(&case.contrast[at].principle), from: shown(&case.title) }
        });
        CompareView {
            rows: rows.collect(),
            one: self.side(&cases[pair.one], pair.one, terms(here.difference(&there).collect())),
            other: self.side(&cases[pair.other], pair.other, terms(there.difference(&here).collect())),
            shared: terms(here.intersection(&there).collect()),
            differ: pair.differ.join(", "),
            principles: principles.collect(),
            found: pair.by == ChosenBy::Likeness,
        }
    }

    fn side(&self, cleared: &Cleared, at: usize, alone: Vec<Term>) -> SideView {
        let case = &*cleared.case();
        SideView {
            title: self.places.title(at, true).to_owned(),
            straight_title: shown(&case.title),
            straight: self.href(&self.places.case(at)),
            ask: self.places.ask(at).map(|path| self.href(&path)).unwrap_or_default(),
            eye: case.eye.value.word().to_owned(),
            patient: super::patient(cleared),
            procedure: self.term(&case.planned.procedure),
            difficulty: marked(&self.places.analysis().indices[at]),
            alone,
            complications: self.record(cleared, &whole(case)).complications,
            acuity: super::questions::in_words(self.places.analysis().gists[at].after),
            ended: case.outcomes.last().map(|last| self.terms(&last.is)).unwrap_or_default(),
            later: case.later.iter().map(|later| self.term(&later.procedure)).collect(),
            lessons: super::texts(&case.lessons),
        }
    }
}
