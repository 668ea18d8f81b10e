//! Narrowing a list: which of its items a reader can ask for with one link.
//!
//! An item carries marks; a link for each mark leaves only the items that carry it. The style sheet does that by itself, so
//! it works without a script and the list keeps its place; a script adds a field for words.

use crate::model::index::DifficultyBand;
use crate::model::vocabulary::{Harm, Kind, Level, Period};
use serde::Serialize;
use std::collections::BTreeMap;

/// What an item of a list can be asked for by. The style sheet has a rule for every name.
pub(crate) type Mark = &'static str;

/// A grade of operator, a degree of harm, … as it stands in an address and in the style sheet.
pub(crate) fn name(mark: Mark) -> String {
    mark.replace(' ', "-")
}

/// Every mark, in the order in which the links stand.
pub(crate) fn all() -> impl Iterator<Item = Mark> {
    let grades = crate::model::format::GRADES.iter().rev().copied();
    let words = ["with decisions", "read by a second surgeon"];
    let levels = Level::ALL.into_iter().map(Level::word);
    let harms = Harm::ALL.into_iter().map(Harm::word);
    let periods = Period::ALL.into_iter().map(Period::word);
    let bands = DifficultyBand::ALL.into_iter().map(DifficultyBand::word);
    bands
        .chain(grades)
        .chain(words)
        .chain(levels)
        .chain(harms)
        .chain(periods)
        .chain(Kind::ALL.into_iter().map(Kind::word))
}

/// The links above a list.
#[derive(Debug, Serialize)]
pub(crate) struct NarrowView {
    pub(crate) marks: Vec<MarkView>,
    /// How many items the list holds on this page.
    pub(crate) of: usize,
}

/// A link that narrows the list.
#[derive(Debug, Serialize)]
pub(crate) struct MarkView {
    pub(crate) name: String,
    pub(crate) label: Mark,
    pub(crate) count: usize,
}

impl NarrowView {
    /// The links for items with these marks. A mark that all items carry, or none, would narrow nothing.
    pub(crate) fn new<'a>(items: impl Iterator<Item = &'a [Mark]>) -> Self {
        let (mut counts, mut of) = (BTreeMap::<Mark, usize>::new(), 0);
        for marks in items {
            of += 1;
            for mark in marks {
                *counts.entry(mark).or_default() += 1;
            }
        }
        let marks = all().filter_map(|label| {
            let count = counts.get(label).copied().filter(|&count| count < of)?;
            Some(MarkView { name: name(label), label, count })
        });
        Self { marks: marks.collect(), of }
    }
}

/// Marks as an item carries them in the page.
pub(crate) fn carried(marks: &[Mark]) -> String {
    marks.iter().map(|mark| name(mark)).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_style_sheet_narrows_by_every_mark() {
        let style = include_str!("../../../themes/default/assets/style.css");
        for mark in all().map(name) {
            let rule = format!("main:has(#only-{mark}:target) :is([data-marks]:not([data-marks~=\"{mark}\"])");
            assert!(style.contains(&rule), "no rule for {mark}");
        }
    }

    #[test]
    fn only_marks_that_narrow_are_offered() {
        let items: [&[Mark]; 3] = [&["consultant", "with decisions"], &["consultant"], &["consultant", "fellow"]];
        let view = NarrowView::new(items.into_iter());
        let offered: Vec<_> = view.marks.iter().map(|mark| (mark.name.as_str(), mark.count)).collect();
        assert_eq!((offered, view.of), (vec![("fellow", 1), ("with-decisions", 1)], 3));
    }
}
