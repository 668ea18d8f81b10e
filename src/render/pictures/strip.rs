//! The operation strip: the steps along time, or in order where times are missing, with what fell between them.
//!
//! Steps are numbered as in the record, and each number links to its step. Shapes and words tell planned from unplanned,
//! and complications, takeovers, conversions and decisions have signs of their own, so that no colour is needed.

use super::svg::Svg;
use super::{KeyRow, Told};
use crate::model::case::{Arose, Case, Moment};
use crate::model::vocabulary::Vocabulary;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Least distance between two numbers; a circle about one is 30 wide, a diamond 36.
const APART: f64 = 37.0;
/// Width in CSS pixels of a strip of few steps, which fits a phone, and of one that does not unless it needs more. Wider
/// than the page, it scrolls in a region of its own.
const NARROW: f64 = 320.0;
const WIDE: f64 = 640.0;
/// Blank at both ends.
const MARGIN: f64 = 24.0;
/// Height of the strip, and where its signs, numbers, axis and times stand.
const HEIGHT: f64 = 120.0;
const SIGNS: f64 = 20.0;
const NUMBERS: f64 = 48.0;
const AXIS: f64 = 86.0;
const TIMES: f64 = 112.0;

/// The strip and its key.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct Strip {
    /// The drawing, safe HTML.
    pub(crate) svg: String,
    /// What it is.
    pub(crate) caption: String,
    /// Signs that occur in it, with what they stand for.
    pub(crate) key: Vec<KeyRow>,
}

/// The strip of the steps in `shown`. Where others are told before them, it begins at the last of those, which is only
/// marked on the axis. `None` with fewer than two steps, or with nothing new.
pub(crate) fn strip(case: &Case, vocabulary: &Vocabulary, told: &Told, shown: &BTreeSet<usize>) -> Option<Strip> {
    let steps: Vec<usize> = shown.iter().copied().collect();
    let (&first, &last) = (steps.first()?, steps.last()?);
    let before = told.steps.range(..first).next_back().copied();
    let all: Vec<usize> = before.into_iter().chain(steps.iter().copied()).collect();
    if all.len() < 2 {
        return None;
    }
    let times: Option<Vec<f64>> =
        all.iter().map(|&at| case.operation.steps[at].at.as_ref().map(|at| f64::from(at.value.seconds()))).collect();
    let needed = APART * (all.len() - 1) as f64 + 2.0 * MARGIN;
    let width = if needed <= NARROW { NARROW } else { needed.max(WIDE) };
    let real: BTreeMap<usize, f64> = all.iter().copied().zip(places(times.as_deref(), all.len(), width)).collect();
    let wanted: Vec<f64> = steps.iter().map(|step| real[step]).collect();
    let signs = Signs::of(case, told);

    let (from, to) = (first + 1, last + 1);
    let which = if before.is_none() { format!("{to} steps") } else { format!("Steps {from} to {to}") };
    let words = format!("{which} of the operation in order; the record says each in words");
    let mut svg = Svg::with_links("op-strip", (0.0, 0.0, width, HEIGHT), &words);
    svg.line("axis", (MARGIN - 8.0, AXIS), (width - MARGIN + 8.0, AXIS));
    if let Some(before) = before {
        svg.line("before", (real[&before], AXIS - 10.0), (real[&before], AXIS));
    }
    let stand: Vec<(usize, f64)> = steps.iter().copied().zip(spread(&wanted, APART, MARGIN, width - MARGIN)).collect();
    let leads: Vec<_> = stand.iter().map(|&(step, x)| [(x, NUMBERS + 14.0), (real[&step], AXIS)]).collect();
    svg.lines("lead", &leads);
    for (step, x) in stand {
        let entry = &case.operation.steps[step];
        let number = (step + 1).to_string();
        let does = &vocabulary.get(entry.does.value).label.value;
        let here = signs.at(step);
        let mut name = format!("Step {number}: {does}");
        if entry.unplanned {
            name.push_str(", not planned");
        }
        for sign in &here {
            name.push_str("; ");
            name.push_str(sign.words());
        }
        svg.open_link(&format!("#step_{number}"), (x, NUMBERS), &name);
        if entry.unplanned {
            svg.path("", &[(0.0, -17.0), (17.0, 0.0), (0.0, 17.0), (-17.0, 0.0)], true);
        } else {
            svg.circle("", (0.0, 0.0), 14.0);
        }
        svg.text("", (0.0, 5.5), &number);
        svg.close_link();
        if !here.is_empty() {
            let signs: Vec<&str> = here.iter().map(|sign| sign.mark()).collect();
            svg.text("sign", (x, SIGNS), &signs.join(" "));
        }
    }
    if let (Some([begun, .., ended]), Some(left), Some(right)) = (times.as_deref(), all.first(), all.last()) {
        let clock = |seconds: f64| {
            let seconds = libm::round(seconds) as i64;
            format!("{}:{:02}", seconds / 60, seconds % 60)
        };
        svg.text("time", (real[left] - 8.0, TIMES), &clock(*begun));
        svg.text("time end", (real[right] + 8.0, TIMES), &clock(*ended));
    }
    let how = match (times.is_some(), before.is_none()) {
        (true, true) => "The steps along time, numbered as in the record".to_owned(),
        (false, true) => "The steps in order, numbered as in the record; not all their times were recorded".to_owned(),
        (true, false) => "The new steps along time; the short stroke is the step before".to_owned(),
        (false, false) => "The new steps in order; the short stroke is the step before".to_owned(),
    };
    Some(Strip { svg: svg.done(), caption: how, key: signs.key(case, &steps) })
}

/// What a sign above a step says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sign {
    Decision,
    Complication,
    Takeover,
    Conversion,
}

impl Sign {
    /// The sign itself: a letter or a mark, so that no colour is needed.
    fn mark(self) -> &'static str {
        match self {
            Self::Decision => "?",
            Self::Complication => "!",
            Self::Takeover => "T",
            Self::Conversion => "C",
        }
    }

    fn words(self) -> &'static str {
        match self {
            Self::Decision => "a decision",
            Self::Complication => "a complication became known",
            Self::Takeover => "another operator goes on",
            Self::Conversion => "changed to another operation",
        }
    }
}

/// Where signs stand, as places in the list of steps.
struct Signs {
    decisions: BTreeSet<usize>,
    complications: BTreeSet<usize>,
    takeovers: BTreeSet<usize>,
    conversion: Option<usize>,
}

impl Signs {
    fn of(case: &Case, told: &Told) -> Self {
        let operation = &case.operation;
        let of_moment = |moment: &Moment| match moment {
            Moment::Step(id) => operation.step_index(id),
            Moment::Plan | Moment::After(_) => None,
        };
        let complications = told.complications.iter().filter_map(|&at| {
            let complication = case.complications.get(at)?;
            let step = complication.noticed.as_ref().or(match &complication.arose {
                Some(Arose::During(step)) => Some(step),
                _ => None,
            })?;
            operation.step_index(&step.value)
        });
        let takeovers = told.operators.iter().filter_map(|&at| {
            let operator = operation.operators.get(at)?;
            operation.step_index(&operator.from.as_ref()?.value)
        });
        Self {
            decisions: told
                .decisions
                .iter()
                .filter_map(|&at| of_moment(&case.body.decisions.get(at)?.at.value))
                .collect(),
            complications: complications.collect(),
            takeovers: takeovers.collect(),
            conversion: operation
                .converted
                .as_ref()
                .filter(|_| told.conversion)
                .and_then(|converted| operation.step_index(&converted.at.value)),
        }
    }

    /// The signs above a step.
    fn at(&self, step: usize) -> Vec<Sign> {
        [
            (self.decisions.contains(&step), Sign::Decision),
            (self.complications.contains(&step), Sign::Complication),
            (self.takeovers.contains(&step), Sign::Takeover),
            (self.conversion == Some(step), Sign::Conversion),
        ]
        .into_iter()
        .filter_map(|(there, sign)| there.then_some(sign))
        .collect()
    }

    fn key(&self, case: &Case, steps: &[usize]) -> Vec<KeyRow> {
        let unplanned = steps.iter().any(|&step| case.operation.steps[step].unplanned);
        let here: Vec<Sign> = steps.iter().flat_map(|&step| self.at(step)).collect();
        let signs = [Sign::Complication, Sign::Decision, Sign::Takeover, Sign::Conversion];
        let used = signs.into_iter().filter(|sign| here.contains(sign)).map(|sign| (sign.mark(), sign.words()));
        unplanned
            .then_some(("◇", "a step that was not planned"))
            .into_iter()
            .chain(used)
            .map(|(sign, words)| KeyRow { sign: sign.to_owned(), words: words.to_owned() })
            .collect()
    }
}

/// Places along the strip, by time where every step has one, else evenly.
fn places(times: Option<&[f64]>, steps: usize, width: f64) -> Vec<f64> {
    let (left, right) = (MARGIN, width - MARGIN);
    let share: Vec<f64> = match times {
        Some([first, .., last]) if last > first => {
            let times = times.unwrap_or(&[]);
            times.iter().map(|time| (time - first) / (last - first)).collect()
        }
        _ => (0..steps).map(|at| at as f64 / (steps.max(2) - 1) as f64).collect(),
    };
    share.into_iter().map(|share| left + share * (right - left)).collect()
}

/// Moves ascending places apart to a least distance within bounds, keeping their order.
fn spread(places: &[f64], apart: f64, left: f64, right: f64) -> Vec<f64> {
    let mut moved = places.to_vec();
    let room = (right - left) / (places.len().max(2) - 1) as f64;
    let apart = apart.min(room);
    for at in 0..moved.len() {
        let least = if at == 0 { left } else { moved[at - 1] + apart };
        moved[at] = moved[at].max(least);
    }
    for at in (0..moved.len()).rev() {
        let most = if at + 1 == moved.len() { right } else { moved[at + 1] - apart };
        moved[at] = moved[at].min(most);
    }
    moved
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_never_overlap_and_keep_their_order() {
        let crowded = [24.0, 25.0, 26.0, 300.0, 610.0, 611.0, 616.0];
        let moved = spread(&crowded, 34.0, 24.0, 616.0);
        for pair in moved.windows(2) {
            assert!(pair[1] - pair[0] >= 34.0 - 1e-9, "{moved:?}");
        }
        assert!(moved[0] >= 24.0 && *moved.last().expect("a place") <= 616.0);
        assert!((moved[3] - 300.0).abs() < 1e-9, "a number with room stays at its time");
    }

    #[test]
    fn more_steps_than_room_still_fit() {
        let moved = spread(&[24.0; 100], 34.0, 24.0, 616.0);
        assert!(moved.windows(2).all(|pair| pair[1] > pair[0]));
        assert!(*moved.last().expect("a place") <= 616.0 + 1e-9);
    }

    #[test]
    fn places_follow_time() {
        assert_eq!(places(Some(&[0.0, 60.0, 120.0]), 3, 640.0), [24.0, 320.0, 616.0]);
        assert_eq!(places(None, 3, 640.0), [24.0, 320.0, 616.0]);
        assert_eq!(places(Some(&[5.0, 5.0]), 2, 640.0), [24.0, 616.0]);
    }
}
