//! What an acuity means: logMAR, decimals, letters, nominal lines, and the World Health Organization's categories.
//!
//! Definitions: decimal = test distance / letter size = 1 / minimum angle of resolution; logMAR = -log10(decimal)
//! (michaelbach.de/sci/acuity.html). Logarithms come from `libm`.

use super::Acuity;
use super::number::Number;
use serde::{Deserialize, Serialize};

/// LogMAR of one letter on a chart of five letters a line (Bach, michaelbach.de/sci/acuity.html).
const LETTER: f64 = 0.02;
/// LogMAR at which a chart of 100 letters has none left (Beck 2003, Am J Ophthalmol; the same line as Gregori 2010,
/// Retina: 85 + 50 log10 of the fraction).
const NO_LETTERS: f64 = 1.7;
/// One foot in metres, exactly (the international foot).
const FOOT_M: f64 = 0.3048;
/// Slack of a comparison with a threshold: acuities are printed with two decimals, so 0.48 logMAR is 6/18 (0.4771).
const TWO_DECIMALS: f64 = 0.005;

/// The lines of a 6-metre chart, largest first, and how many letters each holds.
///
/// The counts are those under which the interpolation of Charles & Frost 2022 (Eye 36:1709, PMC9307581) gives its
/// printed extremes, 0.01 and 0.11 logMAR a letter.
const CHART: [(i32, u8); 8] = [(60, 1), (36, 2), (24, 3), (18, 4), (12, 5), (9, 6), (6, 7), (5, 8)];

/// LogMAR of the line alone, letters left out; `None` for the words below the chart.
pub(super) fn line_logmar(acuity: &Acuity) -> Option<f64> {
    match acuity {
        Acuity::Snellen { num, den, .. } => Some(libm::log10(den.value() / num.value())),
        Acuity::LogMar(number) => Some(number.value()),
        Acuity::Decimal(number) => Some(positive_zero(-libm::log10(number.value()))),
        Acuity::CountingFingers { .. }
        | Acuity::HandMovements { .. }
        | Acuity::LightPerception { .. }
        | Acuity::NoLightPerception => None,
    }
}

/// Zero without a sign.
fn positive_zero(value: f64) -> f64 {
    if value == 0.0 { 0.0 } else { value }
}

impl Acuity {
    /// LogMAR; `None` for counting fingers and below.
    ///
    /// Letters beyond or missed on a line of the 6-metre chart (60, 36, 24, 18, 12, 9, 6, 5) are interpolated between
    /// the two lines, never past the further one (Charles & Frost 2022, Eye 36:1709). Where the chart has no second
    /// line, and on every other chart, a letter counts 0.02.
    pub fn logmar(&self) -> Option<f64> {
        let line = line_logmar(self)?;
        let Self::Snellen { num, den, letters } = self else { return Some(line) };
        Some(interpolated(*num, *den, *letters).unwrap_or(line - LETTER * f64::from(*letters)))
    }

    /// LogMAR with 0.02 for each letter whatever the chart (the rule of Tiew and others, as told by Charles & Frost
    /// 2022); `None` for counting fingers and below. It can pass the next line.
    pub fn logmar_by_letters(&self) -> Option<f64> {
        let letters = if let Self::Snellen { letters, .. } = self { *letters } else { 0 };
        line_logmar(self).map(|line| line - LETTER * f64::from(letters))
    }

    /// Decimal acuity; `None` for counting fingers and below.
    pub fn decimal(&self) -> Option<f64> {
        match self {
            Self::Snellen { num, den, letters: 0 } => Some(num.value() / den.value()),
            Self::Decimal(number) => Some(number.value()),
            _ => self.logmar().map(decimal_from_logmar),
        }
    }

    /// Letters on a chart of 100 letters, not rounded and never below nought; `None` for counting fingers and below.
    pub fn letters(&self) -> Option<f64> {
        self.logmar().map(letters_from_logmar)
    }

    /// A number for the words below the chart, by a scheme that must be named wherever the number is shown: the
    /// schemes differ by more than half a logMAR. `None` where the scheme has no number, and for an acuity on the
    /// chart.
    pub fn off_chart_logmar(&self, scheme: OffChart) -> Option<f64> {
        let [fingers, hand, light, none] = scheme.table();
        match self {
            Self::CountingFingers { distance_m: Some(metres) } => match scheme {
                // Counting fingers at d feet is d/200, a hand at d feet d/2000.
                OffChart::HolladayDistance => Some(-libm::log10(metres.value() / FOOT_M / 200.0)),
                OffChart::Raab if *metres == Number::whole(1) => Some(RAAB_ONE_METRE),
                _ => fingers,
            },
            Self::HandMovements { distance_m: Some(metres) } => match scheme {
                OffChart::HolladayDistance => Some(-libm::log10(metres.value() / FOOT_M / 2000.0)),
                _ => hand,
            },
            Self::CountingFingers { distance_m: None } => fingers,
            Self::HandMovements { distance_m: None } => hand,
            Self::LightPerception { .. } => light,
            Self::NoLightPerception => none,
            Self::Snellen { .. } | Self::LogMar(_) | Self::Decimal(_) => None,
        }
    }

    /// LogMAR for comparing with a threshold: words stand where the World Health Organization puts them.
    ///
    /// Counting fingers at d metres is d/60 (ICD-10: 1/60 is counting fingers at 1 metre); without a distance it is
    /// taken as below 3/60 (common practice, no source), like everything under it.
    fn for_threshold(&self) -> f64 {
        match self {
            Self::CountingFingers { distance_m: Some(metres) } => libm::log10(60.0 / metres.value()),
            _ => self.logmar().unwrap_or(f64::INFINITY),
        }
    }

    /// Category of visual impairment by ICD-11 9D90 and the World Health Organization's fact sheet, for this eye; the
    /// limits are meant for the presenting acuity.
    pub fn impairment(&self, convention: Convention) -> Impairment {
        let logmar = self.for_threshold();
        let mild = match convention {
            Convention::Fraction => fraction(6, 18),
            Convention::LogMarChart => fraction(6, 19),
        };
        let worse = |limit: f64| logmar > limit + TWO_DECIMALS;
        if worse(fraction(3, 60)) {
            Impairment::Blindness
        } else if worse(fraction(6, 60)) {
            Impairment::Severe
        } else if worse(mild) {
            Impairment::Moderate
        } else if worse(fraction(6, 12)) {
            Impairment::Mild
        } else {
            Impairment::None
        }
    }

    /// Grade of the result of a cataract operation by presenting acuity: poor is worse than 6/60 (Ramke 2017, PLoS ONE
    /// 0172342); where good begins has moved and must be said.
    pub fn cataract_outcome(&self, good: GoodFrom) -> CataractOutcome {
        let logmar = self.for_threshold();
        let good = match good {
            GoodFrom::SixEighteen => fraction(6, 18),
            GoodFrom::SixTwelve => fraction(6, 12),
        };
        if logmar <= good + TWO_DECIMALS {
            CataractOutcome::Good
        } else if logmar <= fraction(6, 60) + TWO_DECIMALS {
            CataractOutcome::Borderline
        } else {
            CataractOutcome::Poor
        }
    }
}

/// LogMAR of a fraction.
fn fraction(num: i32, den: i32) -> f64 {
    libm::log10(f64::from(den) / f64::from(num))
}

/// LogMAR of a line with letters, between two lines of the chart; `None` when the line or its neighbour is not on it.
fn interpolated(num: Number, den: Number, letters: i8) -> Option<f64> {
    let at = CHART.iter().position(|line| num == Number::whole(6) && den == Number::whole(line.0))?;
    let (smaller, larger) = if letters > 0 { (at + 1, at) } else { (at, at.checked_sub(1)?) };
    let (small, count) = CHART.get(smaller)?;
    let (large, _) = CHART.get(larger)?;
    let (from, size) = (fraction(6, CHART[at].0), fraction(6, *large) - fraction(6, *small));
    let share = f64::from(letters.unsigned_abs().min(*count)) / f64::from(*count);
    Some(if letters > 0 { from - size * share } else { from + size * share })
}

/// Decimal acuity of a logMAR.
pub fn decimal_from_logmar(logmar: f64) -> f64 {
    libm::exp10(-logmar)
}

/// Letter size of a fraction with this test distance: exact, not the printed label.
pub fn snellen_denominator(distance: f64, logmar: f64) -> f64 {
    distance * libm::exp10(logmar)
}

/// Letters of a logMAR on a chart of 100 letters, 85 + 50 log10 of the fraction (Gregori 2010, Retina), not rounded.
/// Below about 20/1000 the formula would fall under nought, which is not a number of letters: it is held at 0.
pub fn letters_from_logmar(logmar: f64) -> f64 {
    ((NO_LETTERS - logmar) / LETTER).max(0.0)
}

/// LogMAR of a number of letters: 1.7 less 0.02 for each (Beck 2003, Am J Ophthalmol).
pub fn logmar_from_letters(letters: f64) -> f64 {
    NO_LETTERS - LETTER * letters
}

/// One printed line of a logMAR chart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Line {
    /// LogMAR in tenths.
    pub tenths: i8,
    /// Denominator printed under 6.
    pub six: &'static str,
    /// Denominator printed under 20.
    pub twenty: &'static str,
    /// Decimal printed.
    pub decimal: &'static str,
}

const fn line(tenths: i8, six: &'static str, twenty: &'static str, decimal: &'static str) -> Line {
    Line { tenths, six, twenty, decimal }
}

/// The printed labels from logMAR -0.3 to 1.7 (conversion chart after Holladay 2004; michaelbach.de/sci/acuity.html);
/// where charts differ, the commoner label.
const LINES: [Line; 21] = [
    line(-3, "3", "10", "2.0"),
    line(-2, "3.8", "12.5", "1.6"),
    line(-1, "4.8", "16", "1.25"),
    line(0, "6", "20", "1.0"),
    line(1, "7.5", "25", "0.8"),
    line(2, "9.5", "32", "0.63"),
    line(3, "12", "40", "0.5"),
    line(4, "15", "50", "0.4"),
    line(5, "19", "63", "0.32"),
    line(6, "24", "80", "0.25"),
    line(7, "30", "100", "0.2"),
    line(8, "38", "125", "0.16"),
    line(9, "48", "160", "0.125"),
    line(10, "60", "200", "0.1"),
    line(11, "75", "250", "0.08"),
    line(12, "95", "320", "0.063"),
    line(13, "120", "400", "0.05"),
    line(14, "150", "500", "0.04"),
    line(15, "190", "630", "0.032"),
    line(16, "240", "800", "0.025"),
    line(17, "300", "1000", "0.02"),
];

/// The printed line nearest to a logMAR; `None` beyond the chart.
pub fn nominal_line(logmar: f64) -> Option<Line> {
    let tenths = libm::round(logmar * 10.0);
    LINES.into_iter().find(|line| f64::from(line.tenths) == tenths)
}

/// A scheme that gives numbers to the words below the chart. They disagree; none is right, so each use names its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum OffChart {
    /// Measured in 6 and 12 eyes (Schulze-Bonsel 2006, Invest Ophthalmol Vis Sci 47:1236); fingers at 30 cm.
    SchulzeBonsel2006,
    /// Measured means (Lange 2009, Graefes Arch Clin Exp Ophthalmol 247:137); light could not be quantified.
    Lange2009,
    /// Bach's table (michaelbach.de/sci/acuity.html): fingers at 30 cm; light and no light imputed.
    Bach,
    /// By distance, fingers at d feet d/200 and a hand at d feet d/2000 (footnote of the chart after Holladay 2004);
    /// without a distance 2 feet, as in that footnote.
    HolladayDistance,
    /// The mapping 2.1, 2.4, 2.7, 3.0 usual in large databases of cataract surgery (common practice, no source).
    Conventional,
    /// The survey scripts of rapid assessment (epidemiology.tech, RAAB and ICD-11): 1/60, so fingers at 1 m, is 1.8.
    Raab,
}

/// LogMAR of counting fingers at 1 metre (1/60) in the RAAB scheme.
const RAAB_ONE_METRE: f64 = 1.8;

impl OffChart {
    /// Every scheme.
    pub const ALL: [Self; 6] =
        [Self::SchulzeBonsel2006, Self::Lange2009, Self::Bach, Self::HolladayDistance, Self::Conventional, Self::Raab];

    /// The name to show beside a number of the scheme.
    pub fn name(self) -> &'static str {
        match self {
            Self::SchulzeBonsel2006 => "Schulze-Bonsel 2006",
            Self::Lange2009 => "Lange 2009",
            Self::Bach => "Bach",
            Self::HolladayDistance => "Holladay, by distance",
            Self::Conventional => "conventional mapping",
            Self::Raab => "RAAB",
        }
    }

    /// LogMAR of counting fingers, hand movements, light and no light, the distance unknown.
    fn table(self) -> [Option<f64>; 4] {
        match self {
            // 0.014 and 0.005 decimal.
            Self::SchulzeBonsel2006 => [Some(1.854), Some(2.301), None, None],
            Self::Lange2009 => [Some(1.98), Some(2.28), None, None],
            Self::Bach => [Some(1.9), Some(2.3), Some(2.7), Some(3.0)],
            Self::HolladayDistance => [Some(2.0), Some(3.0), None, None],
            Self::Conventional => [Some(2.1), Some(2.4), Some(2.7), Some(3.0)],
            Self::Raab => [None, None, Some(3.0), Some(4.0)],
        }
    }
}

/// How 6/18, the limit of mild impairment, is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Convention {
    /// As a fraction: 6/19 is worse than 6/18.
    Fraction,
    /// As on a logMAR chart, which has no 6/18: its line 6/19 stands for it (epidemiology.tech, RAAB and ICD-11).
    LogMarChart,
}

/// Category of visual impairment, presenting acuity (World Health Organization; ICD-11 9D90).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Impairment {
    /// 6/12 or better.
    None,
    /// Worse than 6/12, down to 6/18.
    Mild,
    /// Worse than 6/18, down to 6/60.
    Moderate,
    /// Worse than 6/60, down to 3/60.
    Severe,
    /// Worse than 3/60.
    Blindness,
}

impl Impairment {
    /// The category in one word.
    pub fn name(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Mild => "mild",
            Self::Moderate => "moderate",
            Self::Severe => "severe",
            Self::Blindness => "blindness",
        }
    }
}

/// Where a good result of a cataract operation begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum GoodFrom {
    /// 6/18 or better (Ramke 2017, PLoS ONE 0172342).
    SixEighteen,
    /// 6/12 or better (from memory: the later definition, since about 2022).
    SixTwelve,
}

/// Result of a cataract operation, presenting acuity.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum CataractOutcome {
    /// At or above the threshold chosen.
    Good,
    /// Between good and poor.
    Borderline,
    /// Worse than 6/60.
    Poor,
}

impl CataractOutcome {
    /// The grade in one word.
    pub fn name(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::Borderline => "borderline",
            Self::Poor => "poor",
        }
    }
}
