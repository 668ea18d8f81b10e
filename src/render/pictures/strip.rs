//! The operation strip: the steps along time, or in order where times are missing, with what fell between them.
//!
//! Steps are numbered as in the record, and each number links to its step. Shapes and words tell planned from unplanned,
//! and complications, takeovers, conversions and decisions have signs of their own, so that no colour is needed.

use super::svg::Svg;
use super::{KeyRow, Told};
use crate::model::case::{Arose, Case, Moment};
use crate::model::vocabulary::Vocabulary;
use serde::Serialize;
use std::collections::BTreeSet;

/// Least distance between two numbers; a two-figure number is about 24 wide.
const APART: f64 = 34.0;
/// Narrowest and widest strip. Wider than the page, it scrolls in a region of its own.
const WIDTH: (f64, f64) = (640.0, 1600.0);
/// Blank at both ends.
const MARGIN: f64 = 24.0;

/// The strip and its key.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct Strip {
    /// The drawing, safe HTML.
    pub(crate) svg: String,
    /// How many steps it shows.
    pub(crate) steps: usize,
    /// What it is.
    pub(crate) caption: String,
    /// Signs that occur in it, with what they stand for.
    pub(crate) key: Vec<KeyRow>,
}

/// The strip of the steps that are told; `None` with fewer than two.
pub(crate) fn strip(case: &Case, vocabulary: &Vocabulary, told: &Told) -> Option<Strip> {
    let steps: Vec<usize> = told.steps.iter().copied().collect();
    if steps.len() < 2 {
        return None;
    }
    let times: Option<Vec<f64>> =
        steps.iter().map(|&at| case.operation.steps[at].at.as_ref().map(|at| f64::from(at.value.seconds()))).collect();
    let width = (APART * steps.len() as f64 + 2.0 * MARGIN).clamp(WIDTH.0, WIDTH.1);
    let true_places = places(times.as_deref(), steps.len(), width);
    let shown_places = spread(&true_places, APART, MARGIN, width - MARGIN);

    let marks = Marks::of(case, told);
    let words = |at: usize| vocabulary.get(case.operation.steps[at].does.value).label.value.clone();
    let name = format!("{} steps of the operation in order; the record below says each in words", steps.len());
    let mut svg = Svg::with_links("op-strip", (0.0, 0.0, width, 132.0), &name);
    svg.line("axis", (MARGIN - 8.0, 96.0), (width - MARGIN + 8.0, 96.0));
    for ((&step, &shown), &real) in steps.iter().zip(&shown_places).zip(&true_places) {
        let entry = &case.operation.steps[step];
        svg.line("lead", (real, 96.0), (shown, 72.0));
        let number = (step + 1).to_string();
        svg.open_link(&format!("#step_{number}"));
        svg.title(&format!("Step {number}: {}{}", words(step), if entry.unplanned { ", not planned" } else { "" }));
        if entry.unplanned {
            svg.path("unplanned", &[(shown, 42.0), (shown + 17.0, 59.0), (shown, 76.0), (shown - 17.0, 59.0)], true);
        } else {
            svg.circle("planned", (shown, 59.0), 14.5);
        }
        svg.text("number", (shown, 65.0), &number);
        svg.close_link();
        let above: Vec<&str> = [
            (marks.decisions.contains(&step), "?"),
            (marks.complications.contains(&step), "!"),
            (marks.takeovers.contains(&step), "T"),
            (marks.conversion == Some(step), "C"),
        ]
        .into_iter()
        .filter_map(|(there, sign)| there.then_some(sign))
        .collect();
        if !above.is_empty() {
            svg.text("sign", (shown, 28.0), &above.join(" "));
        }
    }
    let timed = times.is_some();
    if let (Some(times), Some(&first), Some(&last)) = (&times, true_places.first(), true_places.last()) {
        let clock = |seconds: f64| {
            let seconds = libm::round(seconds) as i64;
            format!("{}:{:02}", seconds / 60, seconds % 60)
        };
        svg.text("time start", (first - 8.0, 122.0), &clock(times[0]));
        svg.text("time end", (last + 8.0, 122.0), &clock(*times.last().unwrap_or(&0.0)));
    }
    Some(Strip {
        svg: svg.done(),
        steps: steps.len(),
        caption: if timed {
            "The steps along time, numbered as in the record".to_owned()
        } else {
            "The steps in order, numbered as in the record; their times were not recorded".to_owned()
        },
        key: marks.key(case, &steps),
    })
}

/// Where signs stand, as places in the list of steps.
struct Marks {
    decisions: BTreeSet<usize>,
    complications: BTreeSet<usize>,
    takeovers: BTreeSet<usize>,
    conversion: Option<usize>,
}

impl Marks {
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

    fn key(&self, case: &Case, steps: &[usize]) -> Vec<KeyRow> {
        let shown = |set: &BTreeSet<usize>| steps.iter().any(|step| set.contains(step));
        let unplanned = steps.iter().any(|&step| case.operation.steps[step].unplanned);
        [
            (unplanned, "◇", "a step that was not planned"),
            (shown(&self.complications), "!", "a complication became known"),
            (shown(&self.decisions), "?", "a decision"),
            (shown(&self.takeovers), "T", "another operator goes on"),
            (self.conversion.is_some_and(|step| steps.contains(&step)), "C", "changed to another operation"),
        ]
        .into_iter()
        .filter(|(there, ..)| *there)
        .map(|(_, sign, words)| KeyRow { sign: sign.to_owned(), words: words.to_owned() })
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
