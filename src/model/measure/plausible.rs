//! Which numbers can be right: for each named measure a band outside which it is impossible, and one outside which
//! it is unusual.
//!
//! An impossible number is an error, an unusual one only advice to look again. The bands catch slips of the pen and
//! the wrong unit; they are no normal ranges and decide nothing about an eye.

use super::number::Number;
use super::{Quantity, Unit};

/// The bands of one measure.
#[derive(Debug, Clone, Copy)]
pub struct Plausible {
    /// The measure as it is named in a case.
    pub measure: &'static str,
    /// The unit of the bands.
    pub unit: Unit,
    /// Least and greatest number that can be right, both included.
    pub possible: (f64, f64),
    /// Least and greatest number that calls for no second look, both included.
    pub usual: (f64, f64),
    /// Where the bands come from.
    pub source: &'static str,
}

/// What the bands say about a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Nothing to say.
    Usual,
    /// It can be right, and deserves a second look.
    Unusual,
    /// It cannot be right.
    Impossible,
}

/// The source of a row without a published range.
const PRACTICE: &str = "common practice, no source";

/// All bands, one row for each measure.
pub const PLAUSIBLE: &[Plausible] = &[
    row(
        "iop",
        Unit::Mmhg,
        (0.0, 80.0),
        (5.0, 45.0),
        "usual: common practice, no source (10 to 21 mmHg is the normal range; surgery moves the pressure, so the band is wider)",
    ),
    row(
        "pupil",
        Unit::Mm,
        (0.5, 10.0),
        (2.0, 9.0),
        "small after dilation is under 6 mm (Halkiadakis 2017, doi:10.4103/ojo.OJO_102_2016); the bands: common practice, no source",
    ),
    row(
        "anterior chamber depth",
        Unit::Mm,
        (0.5, 7.0),
        (1.67, 4.37),
        "usual: mean 3.02, SD 0.45, three SD either side (28,709 eyes, PMC8045194); possible: common practice, no source",
    ),
    row(
        "axial length",
        Unit::Mm,
        (14.0, 40.0),
        (16.76, 31.58),
        "usual: mean 24.17, SD 2.47, three SD either side (28,709 eyes, PMC8045194); possible: common practice, no source",
    ),
    row("lens thickness", Unit::Mm, (2.0, 8.0), (3.0, 6.0), PRACTICE),
    row(
        "white to white",
        Unit::Mm,
        (7.0, 15.0),
        (10.26, 13.02),
        "usual: mean 11.64, SD 0.46, three SD either side (28,709 eyes, PMC8045194), which holds 10.70 to 12.58 (Rufer 2005, PMID 15778595) and 10.8 to 12.8 (PMC4877715); possible: common practice, no source",
    ),
    row("corneal thickness", Unit::Um, (300.0, 1200.0), (440.0, 660.0), PRACTICE),
    row(
        "endothelial cell count",
        Unit::CellsPerMm2,
        (200.0, 5000.0),
        (1000.0, 4000.0),
        "under 1000 is markedly low (Chen 2021, PMC8197237); seen 1904 to 3802, mean 2732 (PMC5161821); the upper bands and the least possible: common practice, no source",
    ),
    row("keratometry", Unit::Dioptre, (25.0, 65.0), (38.0, 50.0), PRACTICE),
    row("steep axis", Unit::Degree, (0.0, 180.0), (0.0, 180.0), "geometry: a meridian lies between 0 and 180 degrees"),
    row("lens power", Unit::Dioptre, (-20.0, 50.0), (5.0, 32.0), PRACTICE),
    row("lens cylinder", Unit::Dioptre, (0.0, 20.0), (0.0, 6.0), PRACTICE),
    row("lens axis", Unit::Degree, (0.0, 180.0), (0.0, 180.0), "geometry: a meridian lies between 0 and 180 degrees"),
    row("lens target", Unit::Dioptre, (-20.0, 5.0), (-4.0, 1.0), PRACTICE),
    row("sphere", Unit::Dioptre, (-40.0, 25.0), (-15.0, 12.0), PRACTICE),
    row("cylinder", Unit::Dioptre, (-20.0, 20.0), (-6.0, 6.0), PRACTICE),
    row("incision width", Unit::Mm, (0.6, 14.0), (1.0, 12.0), PRACTICE),
    row(
        "vacuum",
        Unit::Mmhg,
        (0.0, 760.0),
        (5.0, 700.0),
        "possible: atmospheric pressure at sea level; usual: common practice, no source",
    ),
    row("flow", Unit::MlPerMin, (0.0, 100.0), (5.0, 60.0), PRACTICE),
    row("bottle height", Unit::Cm, (0.0, 200.0), (15.0, 150.0), PRACTICE),
    row("power", Unit::Percent, (0.0, 100.0), (0.0, 100.0), "a share of the greatest power lies between 0 and 100 %"),
    row("cut rate", Unit::CutsPerMin, (0.0, 30_000.0), (100.0, 20_000.0), PRACTICE),
];

const fn row(
    measure: &'static str,
    unit: Unit,
    possible: (f64, f64),
    usual: (f64, f64),
    source: &'static str,
) -> Plausible {
    Plausible { measure, unit, possible, usual, source }
}

/// The bands of a measure by its name in a case.
pub fn plausible(measure: &str) -> Option<&'static Plausible> {
    PLAUSIBLE.iter().find(|row| row.measure == measure)
}

impl Plausible {
    /// Judges a quantity by both its ends; `None` when its unit measures something else.
    pub fn judge(&self, quantity: &Quantity) -> Option<Verdict> {
        let (low, high) = quantity.bounds_in(self.unit)?;
        Some(self.judge_range(low, high))
    }

    /// Judges a bare number in the unit of the bands, such as the sphere of a refraction.
    pub fn judge_number(&self, number: Number) -> Verdict {
        self.judge_range(number.value(), number.value())
    }

    fn judge_range(&self, low: f64, high: f64) -> Verdict {
        let holds = |band: (f64, f64)| low >= band.0 && high <= band.1;
        match (holds(self.possible), holds(self.usual)) {
            (false, _) => Verdict::Impossible,
            (true, false) => Verdict::Unusual,
            (true, true) => Verdict::Usual,
        }
    }
}
