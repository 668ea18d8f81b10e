//! The stages of a case: what may be known before each decision.
//!
//! Every part of a case has a moment. A decision covers its own moment and everything later, so a stage holds what
//! lies before its decision and after the one before. What has no moment of its own is told at the end.

use crate::model::analysis::Stage;
use crate::model::case::{Arose, Case};
use crate::model::measure::After;
use crate::model::moment::{Rank, Steps};
use crate::text::Spanned;

/// The stages of a case, one more than it has decisions.
pub(crate) fn of_case(case: &Case) -> Vec<Stage> {
    let operation = &case.operation;
    let steps = Steps::of(operation);
    let step = |id: &str| steps.step(id).unwrap_or(Rank::Closed);
    let after = |after: &After| Rank::After(after.minutes());
    // Where each decision cuts. A later decision never cuts before an earlier one.
    let mut cuts: Vec<Rank> = Vec::new();
    for decision in &case.body.decisions {
        let cut = steps.rank(&decision.at.value).unwrap_or(Rank::Closed);
        let last = cuts.last().copied().unwrap_or(Rank::Plan);
        cuts.push(cut.max(last));
    }
    let mut stages: Vec<Stage> =
        (0..=cuts.len()).map(|at| Stage { decision: (at < cuts.len()).then_some(at), ..Stage::default() }).collect();
    // The stage of a moment: after as many decisions as cut at or before it.
    let stage_of = |rank: Rank| cuts.iter().take_while(|cut| **cut <= rank).count();

    stages[stage_of(Rank::Plan)].plan = true;
    // What is not said to come later was done at the outset.
    let made = |id: Option<&Spanned<String>>| stage_of(id.map_or(Rank::Step(0), |id| step(&id.value)));
    stages[stage_of(Rank::Step(0))].seat = true;
    if let Some(incision) = &operation.incision {
        stages[made(incision.step.as_ref())].incision = true;
    }
    for (at, port) in operation.ports.iter().enumerate() {
        stages[made(port.step.as_ref())].ports.push(at);
    }
    for at in 0..operation.steps.len() {
        stages[stage_of(Rank::Step(at))].steps.push(at);
    }
    for (at, device) in operation.devices.iter().enumerate() {
        let rank = device.step.as_ref().map_or(Rank::Closed, |id| step(&id.value));
        stages[stage_of(rank)].devices.push(at);
    }
    for (at, operator) in operation.operators.iter().enumerate() {
        let rank = operator.from.as_ref().map_or(Rank::Plan, |id| step(&id.value));
        stages[stage_of(rank)].operators.push(at);
    }
    if let Some(converted) = &operation.converted {
        stages[stage_of(step(&converted.at.value))].conversion = true;
    }
    stages[stage_of(Rank::Closed)].lens = true;
    for (at, complication) in case.complications.iter().enumerate() {
        let rank = match (&complication.noticed, &complication.arose) {
            (Some(id), _) | (None, Some(Arose::During(id))) => step(&id.value),
            (None, Some(Arose::After(time))) => after(&time.value),
            (None, None) => Rank::Closed,
        };
        let known = stage_of(rank);
        stages[known].complications.push(at);
        for (nth, managed) in complication.managed.iter().enumerate() {
            // What was done without a step of its own is told when the operation is over, or with a late complication's end.
            let rank = match (&managed.step, rank) {
                (Some(id), _) => step(&id.value),
                (None, Rank::After(_)) => Rank::After(i64::MAX),
                (None, _) => Rank::Closed,
            };
            stages[stage_of(rank).max(known)].managed.push((at, nth));
        }
    }
    for (at, outcome) in case.outcomes.iter().enumerate() {
        stages[stage_of(after(&outcome.after.value))].outcomes.push(at);
    }
    for (at, later) in case.later.iter().enumerate() {
        stages[stage_of(after(&later.after.value))].later.push(at);
    }
    for (at, media) in case.media.iter().enumerate() {
        let before = media.shows.as_ref().is_some_and(|shows| matches!(shows.value.as_str(), "eye before" | "imaging"));
        let stage = match &media.at {
            Some(id) => stage_of(step(&id.value)),
            None if before => 0,
            None => stages.len() - 1,
        };
        stages[stage].media.push(at);
    }
    stages
}
