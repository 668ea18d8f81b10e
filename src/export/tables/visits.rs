//! Visits before and after surgery: when, what was measured, what was seen.

use super::{concept, placed, within};
use crate::export::table::{Cell, Table, maybe, number, of_case, place, row, text};
use crate::model::case::Measures;
use crate::model::corpus::{Cleared, Corpus};
use crate::model::format::MEASURES;
use crate::model::measure::{Dimension, Number, Quantity, Taken, Unit};
use crate::text::Spanned;

/// The key of a visit: visits before surgery are `b1`, `b2`, …, those afterwards `a1`, `a2`, ….
pub(super) fn visit(case: &str, before: bool, n: usize) -> String {
    within(case, &format!("{}{n}", if before { 'b' } else { 'a' }))
}

/// The unit in which a measured quantity is told.
fn unit_of(dimension: Dimension) -> Unit {
    dimension.units()[0]
}

/// Every measure with its unit, in the order of the pages; `1` is a number without a unit.
fn measures() -> Vec<(String, &'static str)> {
    let mut all: Vec<(String, &'static str)> =
        Taken::ALL.iter().map(|taken| (format!("acuity, {taken}"), "logMAR")).collect();
    all.extend(["sphere", "cylinder"].map(|part| (format!("refraction, {part}"), "D")));
    all.push(("refraction, axis".to_owned(), "degrees"));
    all.extend(MEASURES.iter().map(|(name, dimension)| ((*name).to_owned(), unit_of(*dimension).plural())));
    all.extend(["flat", "steep"].map(|part| (format!("keratometry, {part}"), "D")));
    all.push(("keratometry, steep axis".to_owned(), "degrees"));
    all
}

/// The tables of this module.
pub(super) fn tables(corpus: &Corpus) -> [Table; 3] {
    let mut visits = Table::new(
        "visits",
        "Visits before and after surgery.",
        &["visit"],
        vec![
            text("visit", "The case and the visit.").must(),
            of_case(),
            place(),
            text("side", "Before or after surgery.").must().one_of(["before", "after"]),
            text("when", "When, as it was written.").must(),
            number("days_after", "days", "Time after surgery; a month counts as a twelfth of 365.25 days."),
            text("note", "Anything else."),
        ],
    )
    .refers("case", "cases", "case");
    let units: Vec<String> = measures().iter().map(|(name, unit)| format!("{name}: {unit}")).collect();
    let mut measurements = Table::new(
        "measurements",
        "What was measured at the visits, each measure always in one unit.",
        &["visit", "measure"],
        vec![
            text("visit", "The visit.").must(),
            text("measure", format!("What was measured. Its unit: {}.", units.join("; ")))
                .must()
                .one_of(measures().into_iter().map(|(name, _)| name)),
            number(
                "low",
                "1",
                "The number, or the lower end of a range, in the unit. Acuities below the chart (CF, HM, PL, NPL) have no number.",
            ),
            number("high", "1", "The number, or the upper end of a range, in the unit."),
            text("unit", "The unit.").must(),
            text("written", "As it was written."),
        ],
    )
    .refers("visit", "visits", "visit");
    let mut states = Table::new(
        "eye_states",
        "The state of the eye at visits after surgery.",
        &["visit", "n"],
        vec![text("visit", "The visit.").must(), place(), text("state", "The state: a concept.").must()],
    )
    .refers("visit", "visits", "visit")
    .refers("state", "concepts", "concept");
    for case in corpus.cases().iter().map(Cleared::case) {
        for (n, before) in placed(&case.before) {
            let key = visit(&case.name, true, n);
            visits.row(row![&key, &case.name, n, "before", &before.when, Cell::Empty, before.note.as_ref()]);
            measured(&mut measurements, &key, &before.measures);
        }
        for (n, outcome) in placed(&case.outcomes) {
            let key = visit(&case.name, false, n);
            let days = outcome.after.value.days();
            visits.row(row![&key, &case.name, n, "after", &outcome.after, days, outcome.note.as_ref()]);
            measured(&mut measurements, &key, &outcome.measures);
            for (n, state) in placed(&outcome.is) {
                states.row(row![&key, n, concept(corpus.vocabulary(), state)]);
            }
        }
    }
    [visits, measurements, states]
}

fn measured(table: &mut Table, visit: &str, measures: &Measures) {
    for (taken, acuity) in &measures.acuity {
        let logmar = acuity.value.logmar();
        table.row(row![visit, format!("acuity, {taken}"), maybe(logmar), maybe(logmar), "logMAR", acuity]);
    }
    if let Some(refraction) = &measures.refraction {
        let mut part = |name: &str, value: Number, unit: &str| {
            table.row(row![visit, format!("refraction, {name}"), value, value, unit, refraction]);
        };
        part("sphere", refraction.value.sphere(), "D");
        part("cylinder", refraction.value.cylinder(), "D");
        if let Some(axis) = refraction.value.axis() {
            part("axis", Number::whole(i32::from(axis)), "degrees");
        }
    }
    for (name, value) in &measures.quantities {
        let dimension = MEASURES.iter().find(|(known, _)| known == name).map(|(_, dimension)| *dimension);
        if let Some(dimension) = dimension {
            quantity(table, visit, (*name).to_owned(), value, unit_of(dimension));
        }
    }
    if let Some(corneal) = &measures.keratometry {
        let parts = [("flat", &corneal.flat), ("steep", &corneal.steep), ("steep axis", &corneal.steep_axis)];
        for (name, value) in parts {
            if let Some(value) = value {
                let unit = if name == "steep axis" { Unit::Degree } else { Unit::Dioptre };
                quantity(table, visit, format!("keratometry, {name}"), value, unit);
            }
        }
    }
}

fn quantity(table: &mut Table, visit: &str, name: String, value: &Spanned<Quantity>, unit: Unit) {
    let bounds = value.value.bounds_in(unit);
    let (low, high) = (maybe(bounds.map(|(low, _)| low)), maybe(bounds.map(|(_, high)| high)));
    table.row(row![visit, name, low, high, unit.plural(), value]);
}
