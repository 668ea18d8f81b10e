//! Acuity and pressure from the first visit to the last.
//!
//! Visits stand side by side in order, not along time: a day and a year would not share a scale. Acuity runs on a logMAR
//! scale labelled as Snellen fractions, and what cannot be read off a chart keeps its words on lines of their own below it.

use super::svg::Svg;
use super::{KeyRow, Told};
use crate::model::case::{Case, Measures};
use crate::model::measure::{Acuity, Taken, Unit};
use serde::Serialize;

/// Lines of the scale, as test distance and letter size: logMAR is the decimal logarithm of size over distance.
const LINES: [(f64, f64); 6] = [(6.0, 6.0), (6.0, 12.0), (6.0, 24.0), (6.0, 60.0), (3.0, 60.0), (1.0, 60.0)];
/// Words that are off the chart, best first.
const WORDS: [&str; 4] = ["CF", "HM", "PL", "NPL"];
/// The usual band of pressure in mmHg: two standard deviations, 2.57, about the mean of 15.5 in 10,000 healthy eyes
/// (Leydhecker, Akiyama and Neumann 1958, Klin Monbl Augenheilkd 133:662; from memory), rounded as reference texts do.
const NORMAL: (f64, f64) = (10.0, 21.0);

const WIDTH: f64 = 360.0;
const LEFT: f64 = 52.0;
const RIGHT: f64 = 340.0;
/// Where both scales begin.
const TOP: f64 = 16.0;
/// Height of one logMAR.
const PER_LOGMAR: f64 = 84.0;
/// What the acuity scale shows at least, in logMAR.
const CHART: (f64, f64) = (-0.2, 1.4);
/// Distance between lines of words.
const WORD_STEP: f64 = 20.0;
/// Height of the pressure scale, and the pressure it reaches at least.
const PRESSURE_HEIGHT: f64 = 120.0;
const PRESSURE_TOP: f64 = 30.0;
/// Width of a letter of a visit's name, widely reckoned.
const LETTER: f64 = 7.2;

/// The drawing of the course.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct Course {
    /// Acuity; empty if fewer than two visits have one.
    pub(crate) acuity: String,
    /// Signs of the acuity drawing: how it was taken.
    pub(crate) taken: Vec<KeyRow>,
    /// Pressure; empty if fewer than two visits have one.
    pub(crate) pressure: String,
    /// Whether a later operation stands in a drawing.
    pub(crate) later: bool,
}

/// A visit on the way.
struct Stop<'a> {
    /// Its name beneath the drawing.
    label: String,
    /// Its name in full.
    said: String,
    measures: &'a Measures,
    /// Minutes after surgery; `None` before it.
    after: Option<i64>,
}

/// The course as far as it is told; `None` if there is nothing to draw.
pub(crate) fn course(case: &Case, told: &Told) -> Option<Course> {
    let before = case.before.iter().map(|visit| Stop {
        label: before_label(&visit.when.value),
        said: visit.when.value.clone(),
        measures: &visit.measures,
        after: None,
    });
    let after = told.outcomes.iter().filter_map(|&at| case.outcomes.get(at)).map(|outcome| Stop {
        label: short(&outcome.after.value.to_string()),
        said: format!("after {}", outcome.after.value),
        measures: &outcome.measures,
        after: Some(outcome.after.value.minutes()),
    });
    let stops: Vec<Stop<'_>> = before.chain(after).collect();
    if !stops.iter().any(|stop| stop.after.is_some()) {
        return None;
    }
    let later: Vec<i64> =
        told.later.iter().filter_map(|&at| case.later.get(at)).map(|later| later.after.value.minutes()).collect();
    let (acuity, taken) = acuity(&stops, &later);
    let pressure = pressure(&stops, &later);
    let any = acuity.contains(LATER) || pressure.contains(LATER);
    (!acuity.is_empty() || !pressure.is_empty()).then_some(Course { acuity, taken, pressure, later: any })
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
        (" minutes", " min"),
    ];
    let found =
        pairs.iter().find_map(|(long, short)| after.strip_suffix(long).map(|number| format!("{number}{short}")));
    found.unwrap_or_else(|| after.to_owned()).replace("about ", "~")
}

/// The name of a visit before surgery: `1 h before` where its time is told so, else only that it was before.
fn before_label(when: &str) -> String {
    let time = when.strip_suffix(" before surgery").or_else(|| when.strip_suffix(" before"));
    match time.filter(|time| time.starts_with(|first: char| first.is_ascii_digit()) && time.len() < 12) {
        Some(time) => format!("{} before", short(time)),
        None => "before".to_owned(),
    }
}

fn across(at: usize, of: usize) -> f64 {
    if of < 2 {
        f64::midpoint(LEFT + 16.0, RIGHT - 16.0)
    } else {
        LEFT + 16.0 + (RIGHT - LEFT - 32.0) * at as f64 / (of - 1) as f64
    }
}

/// The acuity scale: best and worst logMAR on it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scale(f64, f64);

impl Scale {
    /// A scale on which all these stand.
    pub(super) fn of<'a>(acuities: impl Iterator<Item = &'a Acuity>) -> Self {
        acuities.filter_map(Acuity::logmar).fold(Self(CHART.0, CHART.1), |scale, logmar| {
            let tenths = logmar * 10.0;
            Self(scale.0.min(libm::floor(tenths) / 10.0), scale.1.max(libm::ceil(tenths) / 10.0))
        })
    }

    /// The height of a logMAR.
    pub(super) fn on_chart(self, logmar: f64) -> f64 {
        TOP + (logmar - self.0) * PER_LOGMAR
    }

    /// The line of the word so many places down.
    fn word(self, nth: usize) -> f64 {
        self.on_chart(self.1) + WORD_STEP * (nth as f64 + 0.6)
    }

    /// The height of an acuity: on the chart by logMAR, below it by its word.
    pub(super) fn height(self, acuity: &Acuity) -> f64 {
        match (acuity.logmar(), acuity) {
            (Some(logmar), _) => self.on_chart(logmar),
            (None, Acuity::CountingFingers { .. }) => self.word(0),
            (None, Acuity::HandMovements { .. }) => self.word(1),
            (None, Acuity::LightPerception { .. }) => self.word(2),
            (None, _) => self.word(3),
        }
    }
}

/// The lines of a chart with these acuities and the words below it, each at its height, and where it ends.
pub(super) fn chart<'a>(scale: Scale, mut all: impl Iterator<Item = &'a Acuity>) -> (Lines, Lines, f64) {
    let words: &[&str] = if all.any(|acuity| acuity.logmar().is_none()) { &WORDS } else { &[] };
    let lines = LINES
        .iter()
        .map(|(distance, size)| (libm::log10(size / distance), format!("{distance}/{size}")))
        .filter(|(logmar, _)| *logmar <= scale.1)
        .map(|(logmar, label)| (scale.on_chart(logmar), label));
    let below = words.iter().enumerate().map(|(nth, word)| (scale.word(nth), (*word).to_owned()));
    let end = if words.is_empty() { scale.on_chart(scale.1) } else { scale.word(WORDS.len()) };
    (lines.collect(), below.collect(), end)
}

/// Labels with their heights.
type Lines = Vec<(f64, String)>;

fn acuity(stops: &[Stop<'_>], later: &[i64]) -> (String, Vec<KeyRow>) {
    let seen: Vec<&Stop<'_>> = stops.iter().filter(|stop| !stop.measures.acuity.is_empty()).collect();
    if seen.len() < 2 {
        return (String::new(), Vec::new());
    }
    let all = || seen.iter().flat_map(|stop| &stop.measures.acuity).map(|(_, acuity)| &acuity.value);
    let scale = Scale::of(all());
    let (lines, below, end) = chart(scale, all());
    let feet = Feet::of(&seen);
    let mut svg = Svg::new("course", (0.0, 0.0, WIDTH, end + feet.height()), &acuity_in_words(&seen));
    grid(&mut svg, "grid", &lines);
    grid(&mut svg, "grid words", &below);
    feet.draw(&mut svg, &seen, later, end);
    let key = draw_taken(&mut svg, &seen, scale);
    (svg.done(), key)
}

/// Every value with its visit, for those who cannot see the drawing.
fn acuity_in_words(seen: &[&Stop<'_>]) -> String {
    let ways = Taken::ALL.into_iter().filter_map(|taken| {
        let values: Vec<String> = seen
            .iter()
            .filter_map(|stop| {
                let (_, acuity) = stop.measures.acuity.iter().find(|(how, _)| *how == taken)?;
                Some(format!("{} {}", stop.said, acuity.value))
            })
            .collect();
        (!values.is_empty()).then(|| format!("{taken}: {}", values.join(", ")))
    });
    format!("Acuity, {}", ways.collect::<Vec<_>>().join("; "))
}

/// Lines across with what they stand for.
fn grid(svg: &mut Svg, class: &str, lines: &[(f64, String)]) {
    if lines.is_empty() {
        return;
    }
    svg.lines(class, &lines.iter().map(|(y, _)| [(LEFT, *y), (RIGHT, *y)]).collect::<Vec<_>>());
    for (y, label) in lines {
        svg.text("scale", (LEFT - 8.0, y + 4.5), label);
    }
}

/// The points of each way in which acuity was taken, joined in order, each way with a sign of its own.
fn draw_taken(svg: &mut Svg, seen: &[&Stop<'_>], scale: Scale) -> Vec<KeyRow> {
    let mut key = Vec::new();
    for taken in Taken::ALL {
        let points: Vec<(f64, f64)> = seen
            .iter()
            .enumerate()
            .filter_map(|(at, stop)| {
                let (_, acuity) = stop.measures.acuity.iter().find(|(how, _)| *how == taken)?;
                Some((across(at, seen.len()), scale.height(&acuity.value)))
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
                Taken::Unaided => svg.circle("hollow", (x, y), 6.0),
                Taken::Presenting => svg.rect("hollow", (x - 6.0, y - 6.0), (12.0, 12.0)),
                Taken::Pinhole => svg.path("hollow", &[(x, y - 8.0), (x + 8.0, y + 6.0), (x - 8.0, y + 6.0)], true),
                // Small enough to leave another sign about it in sight.
                Taken::BestCorrected => svg.circle("full", (x, y), 4.0),
            }
        }
        key.push(KeyRow { sign: sign.to_owned(), words: taken.to_string() });
    }
    key
}

fn pressure(stops: &[Stop<'_>], later: &[i64]) -> String {
    let measured = |stop: &Stop<'_>| stop.measures.quantity("iop").and_then(|iop| iop.value.bounds_in(Unit::Mmhg));
    let (seen, bounds): (Vec<&Stop<'_>>, Vec<(f64, f64)>) =
        stops.iter().filter_map(|stop| Some((stop, measured(stop)?))).unzip();
    if seen.len() < 2 {
        return String::new();
    }
    let highest = bounds.iter().map(|(_, high)| *high).fold(PRESSURE_TOP, f64::max);
    let top_value = libm::ceil(highest / 10.0) * 10.0;
    let bottom = TOP + PRESSURE_HEIGHT;
    let at = |value: f64| bottom - PRESSURE_HEIGHT * value.max(0.0) / top_value;
    let said = seen.iter().filter_map(|stop| Some(format!("{} {}", stop.said, stop.measures.quantity("iop")?.value)));
    let words = format!("Pressure: {}", said.collect::<Vec<_>>().join(", "));
    let feet = Feet::of(&seen);
    let mut svg = Svg::new("course", (0.0, 0.0, WIDTH, bottom + feet.height()), &words);
    svg.rect("normal", (LEFT, at(NORMAL.1)), (RIGHT - LEFT, at(NORMAL.0) - at(NORMAL.1)));
    let lines: Vec<(f64, String)> =
        [0.0, NORMAL.0, NORMAL.1, top_value].iter().map(|&value| (at(value), super::svg::num(value))).collect();
    grid(&mut svg, "grid", &lines);
    feet.draw(&mut svg, &seen, later, bottom);
    let points: Vec<(f64, f64)> = bounds
        .iter()
        .enumerate()
        .map(|(nth, (low, high))| (across(nth, seen.len()), at(f64::midpoint(*low, *high))))
        .collect();
    svg.path("join", &points, false);
    for (&(x, y), &(low, high)) in points.iter().zip(&bounds) {
        if high > low {
            let cap = |y: f64| [(x - 5.0, y), (x + 5.0, y)];
            svg.lines("range", &[[(x, at(low)), (x, at(high))], cap(at(low)), cap(at(high))]);
        } else {
            svg.circle("full", (x, y), 4.5);
        }
    }
    svg.done()
}

/// Class of the line where a later operation stood.
const LATER: &str = "operation later";

/// The names of the visits; where they crowd, every second one stands a row lower.
struct Feet {
    rows: usize,
}

impl Feet {
    fn of(stops: &[&Stop<'_>]) -> Self {
        let width = |at: usize| stops[at].label.chars().count() as f64 * LETTER;
        let room = |at: usize| across(at + 1, stops.len()) - across(at, stops.len());
        let crowded = (0..stops.len().saturating_sub(1)).any(|at| f64::midpoint(width(at), width(at + 1)) > room(at));
        Self { rows: if crowded { 2 } else { 1 } }
    }

    fn height(&self) -> f64 {
        14.0 + 16.0 * self.rows as f64
    }

    /// Draws the names and the lines where operations stood.
    fn draw(&self, svg: &mut Svg, stops: &[&Stop<'_>], later: &[i64], bottom: f64) {
        for (at, stop) in stops.iter().enumerate() {
            let y = bottom + 20.0 + 16.0 * (at % self.rows) as f64;
            svg.text("visit", (across(at, stops.len()), y), &stop.label);
        }
        let between = |first: usize| f64::midpoint(across(first - 1, stops.len()), across(first, stops.len()));
        if let Some(first) = stops.iter().position(|stop| stop.after.is_some()).filter(|&first| first > 0) {
            svg.line("operation", (between(first), 4.0), (between(first), bottom));
        }
        for time in later {
            let first = stops.iter().position(|stop| stop.after.is_some_and(|after| after > *time));
            if let Some(first) = first.filter(|&first| first > 0 && stops[first - 1].after.is_some()) {
                svg.line(LATER, (between(first), 4.0), (between(first), bottom));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SCALE: Scale = Scale(CHART.0, CHART.1);

    #[test]
    fn better_acuity_stands_higher_and_words_below_the_chart() {
        let order = ["6/5", "6/6", "6/9", "6/24", "6/60", "3/60", "CF", "HM", "PL", "NPL"];
        let heights: Vec<f64> =
            order.iter().map(|text| SCALE.height(&Acuity::parse(text).expect("an acuity"))).collect();
        assert!(heights.windows(2).all(|pair| pair[1] > pair[0]), "{heights:?}");
    }

    #[test]
    fn the_scale_is_linear_in_logmar() {
        let at = |text: &str| SCALE.height(&Acuity::parse(text).expect("an acuity"));
        // 6/6 to 6/12 and 6/12 to 6/24 are both a factor of two: log10(2) each.
        assert!((at("6/12") - at("6/6") - (at("6/24") - at("6/12"))).abs() < 1e-9);
        assert!((at("6/60") - at("6/6") - PER_LOGMAR).abs() < 1e-9);
    }

    #[test]
    fn the_scale_grows_with_what_must_stand_on_it() {
        let acuities = ["6/3", "1/60", "HM"].map(|text| Acuity::parse(text).expect("an acuity"));
        let scale = Scale::of(acuities.iter());
        assert!((scale.0 - -0.4).abs() < 1e-9 && (scale.1 - 1.8).abs() < 1e-9, "{scale:?}");
        assert!(scale.height(&acuities[0]) >= TOP && scale.height(&acuities[1]) < scale.height(&acuities[2]));
    }

    #[test]
    fn labels_are_short() {
        assert_eq!(
            (short("6 weeks").as_str(), short("1 day").as_str(), short("about 10 days").as_str()),
            ("6 wk", "1 d", "~10 d")
        );
        assert_eq!(before_label("1 hour before surgery"), "1 h before");
        assert_eq!(before_label("in clinic, the day before"), "before");
    }
}
