//! Demand and judgement: what the operation asked of its surgeon as it went, and what its decisions ask of a reader.
//!
//! Both know how the case went on. They are never part of eye difficulty, which does not.

use crate::model::case::{Case, Verdict};
use crate::model::index::{Interval, Part};
use crate::model::vocabulary::{Harm, Level, Vocabulary};

/// Unplanned steps, and decisions, from which on more of them count no more. Common practice, no source.
const MANY: f64 = 4.0;

fn part(label: &'static str, share: f64, value: f64) -> Part {
    Part { label, share, value: Interval::exact(value.clamp(0.0, 1.0)) }
}

/// The parts of demand: the most demanding technique, the gravest complication, unplanned steps, takeover or conversion.
pub(super) fn demand(case: &Case, vocabulary: &Vocabulary) -> Vec<Part> {
    let steps = case.operation.steps.iter().map(|step| step.does.value);
    let answers = case.complications.iter().flat_map(|it| it.managed.iter().map(|managed| managed.does.value));
    let level = steps.chain(answers).filter_map(|id| vocabulary.get(id).level).max();
    let level = level.map_or(0.0, |level| match level {
        Level::Foundation => 0.0,
        Level::Intermediate => 0.5,
        Level::Advanced => 1.0,
    });
    let harm = case.complications.iter().filter_map(|it| vocabulary.get(it.is.value).harm).max();
    let place = harm.and_then(|harm| Harm::ALL.iter().position(|known| *known == harm));
    let harm = place.map_or(0.0, |place| (place + 1) as f64 / Harm::ALL.len() as f64);
    let unplanned = case.operation.steps.iter().filter(|step| step.unplanned).count() as f64;
    let operation = &case.operation;
    let changed = operation.converted.is_some() || operation.operators.iter().any(|operator| operator.takeover);
    vec![
        part("most demanding technique", 0.35, level),
        part("gravest complication", 0.35, harm),
        part("unplanned steps", 0.2, unplanned / MANY),
        part("takeover or conversion", 0.1, f64::from(u8::from(changed))),
    ]
}

/// The parts of judgement: how many decisions, and how many of them are close.
pub(super) fn judgement(case: &Case) -> Vec<Part> {
    let decisions = &case.body.decisions;
    let close = decisions.iter().filter(|decision| {
        let good = |verdict: Verdict| matches!(verdict, Verdict::Best | Verdict::Acceptable);
        decision.options.iter().filter(|option| good(option.verdict.value)).count() > 1
    });
    let share = if decisions.is_empty() { 0.0 } else { close.count() as f64 / decisions.len() as f64 };
    vec![
        part("decisions", 0.5, decisions.len() as f64 / MANY),
        part("decisions with a second defensible choice", 0.5, share),
    ]
}

/// The whole of some parts, 0 to 100.
pub(super) fn whole(parts: &[Part]) -> f64 {
    100.0 * parts.iter().map(|part| part.share * part.value.value).sum::<f64>()
}
