//! What the pages of concepts tell of each of their cases, in few bytes: a case stands on some eighty of these pages, and to
//! look at the whole of it for each would take longer than all else once cases are packed.

use super::case::{Arose, Case, Measures, Text};
use super::format::{GRADES, WORKED};
use super::measure::{Acuity, After, Taken};
use super::site::Audience;
use super::vocabulary::ConceptId;
use crate::text::Spanned;

/// What a case comes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gist {
    /// Who may read it.
    pub audience: Audience,
    /// What was planned.
    pub procedure: ConceptId,
    /// Whether the plan may be told to everybody: it is not where the first decision asks for it.
    pub plan_told: bool,
    /// Who operated, in order, each of [`GRADES`].
    pub operators: Box<[&'static str]>,
    /// Findings, in the order written.
    pub findings: Box<[ConceptId]>,
    /// What went wrong.
    pub troubles: Box<[Trouble]>,
    /// For each step what was done, and whether that was not part of the plan.
    pub steps: Box<[(ConceptId, bool)]>,
    /// Every instrument, material and substance of a step, with what was done in the step.
    pub used: Box<[(ConceptId, ConceptId)]>,
    /// The state of the eye at the last visit.
    pub ended: Box<[ConceptId]>,
    /// The last acuity before the operation.
    pub before: Option<(Taken, Acuity)>,
    /// The last acuity afterwards.
    pub after: Option<(Taken, Acuity)>,
}

/// A complication.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trouble {
    /// Which.
    pub is: ConceptId,
    /// Where it arose.
    pub arose: Whence,
    /// What was done about it and whether it worked, one of [`WORKED`].
    pub managed: Box<[(ConceptId, &'static str)]>,
}

/// Where a complication arose.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whence {
    /// In this step, a place in [`Gist::steps`].
    During(usize),
    /// In a step that the case does not have.
    Operation,
    /// So long after surgery.
    After(After),
    /// Nobody wrote it down.
    Unknown,
}

impl Gist {
    /// The gist of a case, of which is known whether its plan may be told.
    pub fn of(case: &Case, plan_told: bool) -> Self {
        let steps = &case.operation.steps;
        let used = steps.iter().flat_map(|step| {
            let things = step.with.iter().chain(step.gives.iter().map(|drug| &drug.substance));
            things.map(|thing| (thing.value, step.does.value))
        });
        let arose = |arose: Option<&Arose>| match arose {
            None => Whence::Unknown,
            Some(Arose::After(after)) => Whence::After(after.value),
            Some(Arose::During(step)) => {
                case.operation.step_index(&step.value).map_or(Whence::Operation, Whence::During)
            }
        };
        let troubles = case.complications.iter().map(|it| Trouble {
            is: it.is.value,
            arose: arose(it.arose.as_ref()),
            managed: it.managed.iter().map(|managed| (managed.does.value, word_of(WORKED, &managed.worked))).collect(),
        });
        Self {
            audience: case.audience.value,
            plan_told,
            procedure: case.planned.procedure.value,
            operators: case.operation.operators.iter().map(|it| word_of(GRADES, &it.grade)).collect(),
            findings: case.findings.iter().map(|finding| finding.is.value).collect(),
            troubles: troubles.collect(),
            steps: steps.iter().map(|step| (step.does.value, step.unplanned)).collect(),
            used: used.collect(),
            ended: case.outcomes.last().iter().flat_map(|visit| &visit.is).map(|state| state.value).collect(),
            before: case.before.iter().rev().find_map(|visit| quoted(&visit.measures)),
            after: case.outcomes.iter().rev().find_map(|visit| quoted(&visit.measures)),
        }
    }
}

/// The word as the format has it. Parsing takes no other.
fn word_of(all: &[&'static str], written: &Text) -> &'static str {
    all.iter().copied().find(|word| *word == written.value).unwrap_or("")
}

/// The acuity that a clinician would quote of a visit: the best that was found, by the best way of taking it.
fn quoted(measures: &Measures) -> Option<(Taken, Acuity)> {
    let of = |way: Taken| measures.acuity.iter().find(|(taken, _)| *taken == way);
    let ways = [Taken::BestCorrected, Taken::Pinhole, Taken::Presenting, Taken::Unaided];
    ways.into_iter().find_map(of).map(|(taken, Spanned { value, .. })| (*taken, *value))
}
