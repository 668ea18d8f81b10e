//! Acuity and pressure from the first visit to the last.
//!
//! Visits stand side by side in order, not along time: a day and a year would not share a scale. Acuity runs on a logMAR
//! scale labelled as Snellen fractions, and what cannot be read off a chart keeps its words on lines of their own below it.

use super::Told;
use super::svg::Svg;
use crate::model::case::{Case, Measures};
use crate::model::measure::{Acuity, Taken, Unit};
use serde::Serialize;

/// Lines of the scale: logMAR and label. Labels as in the Holladay conversion chart (J Refract Surg 1997;13:388–391, seen as a copy).
const LINES: &[(f64, &str)] = &[(0.0, "6/6"), (0.3, "6/12"), (0.6, "6/24"), (1.0, "6/60"), (1.3, "3/60")];
/// Words that are off the chart, best first.
const WORDS: [&str; 4] = ["CF", "HM", "PL", "NPL"];
/// The usual band of pressure in mmHg. Source: 10 to 21 mmHg is two standard deviations about a mean of 15.5 to 15.8 (reference texts; common practice).
const NORMAL: (f64, f64) = (10.0, 21.0);

const WIDTH: f64 = 360.0;
const LEFT: f64 = 52.0;
const RIGHT: f64 = 340.0;
/// Top of the acuity scale (logMAR −0.2) and height of one logMAR.
const TOP: f64 = 26.0;
const PER_LOGMAR: f64 = 84.0;
const CHART_END: f64 = 1.5;
/// Distance between lines of words.
const WORD_STEP: f64 = 20.0;

/// The drawing of the course.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct Course {
    /// Acuity; empty if fewer than two visits have one.
    pub(crate) acuity: String,
    /// Signs of the acuity drawing: how it was taken.
    pub(crate) taken: Vec<super::KeyRow>,
    /// Pressure; empty if fewer than two visits have one.
    pub(crate) pressure: String,
}

/// A visit on the way.
struct Stop<'a> {
    label: String,
    measures: &'a Measures,
    after: bool,
}

/// The course as far as it is told; `None` if there is nothing to draw.
pub(crate) fn course(case: &Case, told: &Told) -> Option<Course> {
    let before =
        case.before.iter().map(|visit| Stop { label: "before".to_owned(), measures: &visit.measures, after: false });
    let after = told.outcomes.iter().filter_map(|&at| case.outcomes.get(at)).map(|outcome| Stop {
        label: short(&outcome.after.value.to_string()),
        measures: &outcome.measures,
        after: true,
    });
    let stops: Vec<Stop<'_>> = before.chain(after).collect();
    if !stops.iter().any(|stop| stop.after) {
        return None;
    }
    let (acuity, taken) = acuity(&stops);
    let pressure = pressure(&stops);
    (!acuity.is_empty() || !pressure.is_empty()).then_some(Course { acuity, taken, pressure })
}

/// `6 weeks` as `6 wk`: the labels stand close together.
fn short(after: &str) -> String {
    let pairs = [
        (" weeks", " wk"),
        (" week", " wk"),
        (" months", " mo"),
        (" month", " mo"),
        (" days", " d"),
        (" day", " d"),
        (" years", " yr"),
        (" year", " yr"),
        (" hours", " h"),
        (" hour", " h"),
    ];
    let found =
        pairs.iter().find_map(|(long, short)| after.strip_suffix(long).map(|number| format!("{number}{short}")));
    found.unwrap_or_else(|| after.to_owned()).replace("about ", "~")
}

fn across(at: usize, of: usize) -> f64 {
    if of < 2 {
        f64::midpoint(LEFT + 16.0, RIGHT - 16.0)
    } else {
        LEFT + 16.0 + (RIGHT - LEFT - 32.0) * at as f64 / (of - 1) as f64
    }
}

/// The height of an acuity: on the chart by logMAR, below it by its word.
fn height(acuity: &Acuity) -> f64 {
    let word = |nth: usize| TOP + (CHART_END + 0.2) * PER_LOGMAR + WORD_STEP * (nth as f64 + 0.6);
    match acuity {
        Acuity::CountingFingers { .. } => word(0),
        Acuity::HandMovements { .. } => word(1),
        Acuity::LightPerception { .. } => word(2),
        Acuity::NoLightPerception => word(3),
        _ => {
            let logmar = acuity.logmar().unwrap_or(CHART_END).clamp(-0.2, CHART_END);
            TOP + (logmar + 0.2) * PER_LOGMAR
        }
    }
}

fn acuity(stops: &[Stop<'_>]) -> (String, Vec<super::KeyRow>) {
    let seen: Vec<&Stop<'_>> = stops.iter().filter(|stop| !stop.measures.acuity.is_empty()).collect();
    if seen.len() < 2 {
        return (String::new(), Vec::new());
    }
    let off_chart =
        seen.iter().flat_map(|stop| &stop.measures.acuity).any(|(_, acuity)| acuity.value.logmar().is_none());
    let bottom = TOP + (CHART_END + 0.2) * PER_LOGMAR;
    let end = if off_chart { bottom + WORD_STEP * 4.6 } else { bottom };
    let mut svg =
        Svg::new("course", (0.0, 0.0, WIDTH, end + 34.0), "Acuity at each visit; the table below gives the values");
    for (logmar, label) in LINES {
        let y = TOP + (logmar + 0.2) * PER_LOGMAR;
        svg.line("grid", (LEFT, y), (RIGHT, y));
        svg.text("scale", (LEFT - 8.0, y + 4.5), label);
    }
    if off_chart {
        for (nth, word) in WORDS.iter().enumerate() {
            let y = bottom + WORD_STEP * (nth as f64 + 0.6);
            svg.line("grid words", (LEFT, y), (RIGHT, y));
            svg.text("scale", (LEFT - 8.0, y + 4.5), word);
        }
    }
    let key = draw_taken(&mut svg, &seen);
    feet(&mut svg, &seen, end);
    (svg.done(), key)
}

/// The points of each way in which acuity was taken, joined in order, each way with a sign of its own.
fn draw_taken(svg: &mut Svg, seen: &[&Stop<'_>]) -> Vec<super::KeyRow> {
    let mut key = Vec::new();
    for taken in Taken::ALL {
        let points: Vec<(f64, f64)> = seen
            .iter()
            .enumerate()
            .filter_map(|(at, stop)| {
                let (_, acuity) = stop.measures.acuity.iter().find(|(how, _)| *how == taken)?;
                Some((across(at, seen.len()), height(&acuity.value)))
            })
            .collect();
        if points.is_empty() {
            continue;
        }
        if points.len() > 1 {
            svg.path("join", &points, false);
        }
        let sign = match taken {
            Taken::Unaided => "○",
            Taken::Presenting => "□",
            Taken::Pinhole => "△",
            Taken::BestCorrected => "●",
        };
        for &(x, y) in &points {
            match taken {
                Taken::Unaided => svg.circle("hollow", (x, y), 5.0),
                Taken::Presenting => svg.rect("hollow", (x - 5.0, y - 5.0), (10.0, 10.0)),
                Taken::Pinhole => svg.path("hollow", &[(x, y - 6.0), (x + 6.0, y + 5.0), (x - 6.0, y + 5.0)], true),
                Taken::BestCorrected => svg.circle("full", (x, y), 5.0),
            }
        }
        key.push(super::KeyRow { sign: sign.to_owned(), words: taken.to_string() });
    }
    key
}

fn pressure(stops: &[Stop<'_>]) -> String {
    let seen: Vec<(&Stop<'_>, (f64, f64))> = stops
        .iter()
        .filter_map(|stop| Some((stop, stop.measures.quantity("iop")?.value.bounds_in(Unit::Mmhg)?)))
        .collect();
    if seen.len() < 2 {
        return String::new();
    }
    let highest = seen.iter().map(|(_, (_, high))| *high).fold(30.0, f64::max);
    let top_value = libm::ceil(highest / 10.0) * 10.0;
    let (top, bottom) = (14.0, 134.0);
    let at = |value: f64| bottom - (bottom - top) * value.clamp(0.0, top_value) / top_value;
    let mut svg = Svg::new(
        "course",
        (0.0, 0.0, WIDTH, bottom + 34.0),
        "Pressure at each visit; the table below gives the values",
    );
    svg.rect("normal", (LEFT, at(NORMAL.1)), (RIGHT - LEFT, at(NORMAL.0) - at(NORMAL.1)));
    for value in [0.0, 10.0, 21.0, top_value] {
        svg.line("grid", (LEFT, at(value)), (RIGHT, at(value)));
        svg.text("scale", (LEFT - 8.0, at(value) + 4.5), &super::svg::num(value));
    }
    let points: Vec<(f64, f64)> = seen
        .iter()
        .enumerate()
        .map(|(nth, (_, (low, high)))| (across(nth, seen.len()), at(f64::midpoint(*low, *high))))
        .collect();
    svg.path("join", &points, false);
    for (&(x, y), (_, (low, high))) in points.iter().zip(&seen) {
        if high > low {
            svg.line("range", (x, at(*low)), (x, at(*high)));
        }
        svg.circle("full", (x, y), 4.5);
    }
    let stops: Vec<&Stop<'_>> = seen.iter().map(|(stop, _)| *stop).collect();
    feet(&mut svg, &stops, bottom);
    svg.done()
}

/// The names of the visits, and the line where the operation stood. Where they crowd, every second one is named.
fn feet(svg: &mut Svg, stops: &[&Stop<'_>], bottom: f64) {
    let every = if stops.len() > 7 { 2 } else { 1 };
    for (at, stop) in stops.iter().enumerate() {
        if at % every == 0 || at + 1 == stops.len() {
            svg.text("visit", (across(at, stops.len()), bottom + 22.0), &stop.label);
        }
    }
    if let Some(first) = stops.iter().position(|stop| stop.after).filter(|&first| first > 0) {
        let x = f64::midpoint(across(first - 1, stops.len()), across(first, stops.len()));
        svg.line("operation", (x, 8.0), (x, bottom));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn better_acuity_stands_higher_and_words_below_the_chart() {
        let order = ["6/5", "6/6", "6/9", "6/24", "6/60", "3/60", "CF", "HM", "PL", "NPL"];
        let heights: Vec<f64> = order.iter().map(|text| height(&Acuity::parse(text).expect("an acuity"))).collect();
        assert!(heights.windows(2).all(|pair| pair[1] > pair[0]), "{heights:?}");
    }

    #[test]
    fn the_scale_is_linear_in_logmar() {
        let at = |text: &str| height(&Acuity::parse(text).expect("an acuity"));
        // 6/6 to 6/12 and 6/12 to 6/24 are both a factor of two: log10(2) each.
        assert!((at("6/12") - at("6/6") - (at("6/24") - at("6/12"))).abs() < 1e-9);
        assert!((at("6/60") - at("6/6") - PER_LOGMAR).abs() < 1e-9);
    }

    #[test]
    fn labels_are_short() {
        assert_eq!(
            (short("6 weeks").as_str(), short("1 day").as_str(), short("about 10 days").as_str()),
            ("6 wk", "1 d", "~10 d")
        );
    }
}
