//! What is computed of a case before anybody reads it: risks, difficulty, and its place in the reading order.

use super::packed::Packed;
use serde::{Deserialize, Serialize};

/// A value, and the range that unrecorded facts leave.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Interval {
    /// The lowest value that fits what was recorded.
    pub low: f64,
    /// The value with everything unrecorded taken as not there.
    pub value: f64,
    /// The highest value that fits what was recorded.
    pub high: f64,
}

impl Interval {
    /// An exact value.
    pub fn exact(value: f64) -> Self {
        Self { low: value, value, high: value }
    }

    /// Whether nothing is left open.
    pub fn is_exact(self) -> bool {
        self.low == self.high
    }

    /// The same turned by a function that never falls.
    pub fn map(self, turn: impl Fn(f64) -> f64) -> Self {
        Self { low: turn(self.low), value: turn(self.value), high: turn(self.high) }
    }
}

/// What a factor of a model counts in a case.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Weighed {
    /// The band that holds, a place in its bands; none if none is recorded to hold.
    pub band: Option<usize>,
    /// Whether what was recorded leaves open which band holds.
    pub open: bool,
    /// Points or a ratio of odds. Where facts are not recorded, the least and the greatest may differ.
    pub weight: Interval,
}

/// A model reckoned for a case.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Reckoned {
    /// Why the model does not apply; empty if it does.
    pub barred: Vec<String>,
    /// Whether it only stands in the place of models that apply: then there is nothing to tell of it.
    pub replaced: bool,
    /// What each factor counts, in the model's order.
    pub factors: Vec<Weighed>,
    /// Points of the eye, or the product of its ratios. The surgeon's are left out.
    pub eye: Interval,
    /// Of odds: the probability with the surgeon of the reference.
    pub risk: Option<Interval>,
    /// Of odds: the probability with the surgeon of this case, and the ratio that the grade counts.
    pub with_surgeon: Option<(Interval, f64)>,
}

/// A part of an index: what it is, how much it counts, its value from 0 to 1.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// What it is called.
    pub label: &'static str,
    /// Its share of the whole, 0 to 1.
    pub share: f64,
    /// Its value.
    pub value: Interval,
}

/// A part of eye difficulty: the model that it comes of, and the values that count as 0 and as 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartOf {
    /// The name of the model. A library may put its own model of this name in its place.
    pub model: &'static str,
    /// What the part is called.
    pub label: &'static str,
    /// Whether the model is one of odds, which are compared by their logarithm; otherwise it is one of points.
    pub odds: bool,
    /// What counts as 0, and what is below it.
    pub none: f64,
    /// What counts as 1, and what is above it.
    pub full: f64,
}

impl PartOf {
    /// A value between the anchors, 0 to 1.
    pub fn normalised(&self, value: f64) -> f64 {
        let share = if self.odds {
            libm::log(value / self.none) / libm::log(self.full / self.none)
        } else {
            (value - self.none) / (self.full - self.none)
        };
        share.clamp(0.0, 1.0)
    }
}

/// The parts of eye difficulty. The last stands in the place of all others where no published model applies.
///
/// Anchors are common practice, no source. Odds: none, and fifty times those of the reference eye (a predicted 27 %).
/// Potential difficulty: a soft nucleus alone, and eight points. Burden: nothing, and three things at once, or
/// six of the whole list.
pub const PARTS: [PartOf; 4] = [
    PartOf { model: "narendran-2009", label: "odds of rupture", odds: true, none: 1.0, full: 50.0 },
    PartOf { model: "habib-2006", label: "potential difficulty", odds: false, none: 1.0, full: 8.0 },
    PartOf { model: "eye-burden", label: "eye burden", odds: false, none: 0.0, full: 3.0 },
    PartOf { model: "whole-burden", label: "eye burden, whole list", odds: false, none: 0.0, full: 6.0 },
];

/// The place of the whole list among [`PARTS`].
pub const WHOLE: usize = 3;

/// What is computed of a case.
#[derive(Debug, Clone, PartialEq)]
pub struct Indices {
    /// Each model of the library, in its order.
    pub models: Packed<Vec<Reckoned>>,
    /// Eye difficulty, 0 to 100, from facts known before the first cut.
    pub difficulty: Interval,
    /// Its parts.
    pub parts: Vec<Part>,
    /// Demand of the operation as it went, 0 to 100.
    pub demand: f64,
    /// Its parts.
    pub demand_parts: Vec<Part>,
    /// Judgement that its decisions ask for, 0 to 100.
    pub judgement: f64,
    /// Its parts.
    pub judgement_parts: Vec<Part>,
    /// Where it stands in the reading order: less first.
    pub order: f64,
}

/// Where a case stands among the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Standing {
    /// Rank by eye difficulty from 1, easiest first. No two cases share one.
    pub rank: usize,
    /// The lowest rank in which nine of ten variations leave it.
    pub low: usize,
    /// The highest.
    pub high: usize,
}

/// A band of eye difficulty, in words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct DifficultyBand(pub usize);

impl DifficultyBand {
    /// All bands, easiest first.
    pub const ALL: [Self; 4] = [Self(0), Self(1), Self(2), Self(3)];

    /// The band of a value from 0 to 100: fixed limits at 10, 25 and 45, so that no other case moves it.
    pub fn of(value: f64) -> Self {
        Self(LIMITS.iter().filter(|limit| value >= **limit).count())
    }

    /// What it is called.
    pub fn word(self) -> &'static str {
        ["ordinary eye", "some difficulty", "difficult eye", "very difficult eye"][self.0]
    }

    /// The mark in addresses and lists.
    pub fn mark(self) -> &'static str {
        ["ordinary-eye", "some-difficulty", "difficult-eye", "very-difficult-eye"][self.0]
    }

    /// Signs that stand for it without colour.
    pub fn signs(self) -> &'static str {
        ["▮▯▯▯", "▮▮▯▯", "▮▮▮▯", "▮▮▮▮"][self.0]
    }
}

/// Limits between bands. Common practice, no source.
pub const LIMITS: [f64; 3] = [10.0, 25.0, 45.0];

/// How steady the order is when weights and unrecorded facts are varied.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Robustness {
    /// How many variations were drawn.
    pub draws: u32,
    /// For each pair of neighbours in order of eye difficulty: how many draws turned them round.
    pub turned: Vec<(usize, usize, u32)>,
}

/// The 97.5 % point of the standard normal distribution.
const Z: f64 = 1.959_963_984_540_054;

/// The 95 % interval of a proportion by Wilson's score, without continuity correction. Source: Wilson 1927, J Am Stat Assoc
/// 22:209-212; method 3 of Newcombe 1998, Stat Med 17:857-872.
pub fn wilson(events: u32, of: u32) -> (f64, f64) {
    if of == 0 {
        return (0.0, 1.0);
    }
    let (events, of) = (f64::from(events), f64::from(of));
    let share = events / of;
    let centre = share + Z * Z / (2.0 * of);
    let half = Z * libm::sqrt(share * (1.0 - share) / of + Z * Z / (4.0 * of * of));
    let whole = 1.0 + Z * Z / of;
    // At the ends the square root does not always come out whole.
    let low = if events == 0.0 { 0.0 } else { (centre - half) / whole };
    let high = if events == of { 1.0 } else { (centre + half) / whole };
    (low.max(0.0), high.min(1.0))
}

/// A number with one significant figure, as pages show it: more would promise what the models cannot keep.
pub fn one_figure(value: f64) -> String {
    if value <= 0.0 {
        return "0".to_owned();
    }
    // Nothing that a page shows means anything below a thousandth.
    if value < 0.001 {
        return "under 0.001".to_owned();
    }
    let size = libm::pow(10.0, libm::floor(libm::log10(value)));
    let rounded = libm::round(value / size) * size;
    if rounded >= 1.0 {
        format!("{rounded:.0}")
    } else {
        format!("{rounded:.*}", (-libm::floor(libm::log10(rounded))) as usize)
    }
}
