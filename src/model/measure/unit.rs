//! Units of measure, the names people give them, and which of them a field allows.

use serde::{Deserialize, Serialize};
use std::fmt;

/// Pascals in one millimetre of mercury (the conventional millimetre of mercury, ISO 80000-4).
const PASCALS_PER_MMHG: f64 = 133.322_387_415;
/// Pascals in one centimetre of water (the conventional centimetre of water: 1 cm, 1000 kg/m3, 9.806 65 m/s2).
const PASCALS_PER_CMH2O: f64 = 98.0665;

/// A unit of measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Unit {
    /// Millimetre of mercury.
    Mmhg,
    /// Kilopascal.
    Kpa,
    /// Centimetre of water, as some machines show the height of the bottle.
    CmH2o,
    /// Micrometre.
    Um,
    /// Millimetre.
    Mm,
    /// Centimetre.
    Cm,
    /// Dioptre, one over metre.
    Dioptre,
    /// Endothelial cells in one square millimetre.
    CellsPerMm2,
    /// Hundredth part; as a strength, grams in 100 mL.
    Percent,
    /// Millilitre (cubic centimetre) each minute.
    MlPerMin,
    /// Microlitre.
    Ul,
    /// Millilitre.
    Ml,
    /// One drop from a bottle; its volume is not fixed.
    Drop,
    /// Microgram.
    Ug,
    /// Milligram.
    Mg,
    /// Gram.
    G,
    /// Milligram for each kilogram of body weight.
    MgPerKg,
    /// Gram for each kilogram of body weight.
    GPerKg,
    /// Microgram in one millilitre.
    UgPerMl,
    /// Milligram in one millilitre.
    MgPerMl,
    /// Gram in one litre.
    GPerL,
    /// Strength written 1:1000; the number is the parts of solvent, one gram in so many millilitres.
    OneIn,
    /// International units in one millilitre.
    IuPerMl,
    /// International unit.
    Iu,
    /// Millisecond.
    Ms,
    /// Second.
    Second,
    /// Minute.
    Minute,
    /// Hour.
    Hour,
    /// Twelfth part of a circle, 30 degrees.
    ClockHour,
    /// Degree of angle.
    Degree,
    /// Vitrector cuts each minute.
    CutsPerMin,
    /// Pulses each second.
    PulsesPerS,
    /// Hertz.
    Hz,
    /// Kilohertz.
    Khz,
}

/// What is known of one unit.
struct Row {
    unit: Unit,
    singular: &'static str,
    plural: &'static str,
    /// Other spellings, squeezed: lower case, no spaces or hyphens, `µ` as `u`, `²` as `2`.
    others: &'static [&'static str],
    kind: Kind,
    /// How many of the kind's smallest unit it holds.
    size: f64,
}

/// Every unit.
const UNITS: &[Row] = &[
    row(Unit::Mmhg, "mmHg", "mmHg", &["torr"], Kind::Pressure, PASCALS_PER_MMHG),
    row(Unit::Kpa, "kPa", "kPa", &["kilopascal", "kilopascals"], Kind::Pressure, 1000.0),
    row(Unit::CmH2o, "cmH2O", "cmH2O", &["cmwater", "cmofwater"], Kind::Pressure, PASCALS_PER_CMH2O),
    row(
        Unit::Um,
        "um",
        "um",
        &["micron", "microns", "micrometre", "micrometres", "micrometer", "micrometers"],
        Kind::Length,
        1.0,
    ),
    row(Unit::Mm, "mm", "mm", &["millimetre", "millimetres", "millimeter", "millimeters"], Kind::Length, 1000.0),
    row(Unit::Cm, "cm", "cm", &["centimetre", "centimetres", "centimeter", "centimeters"], Kind::Length, 10_000.0),
    row(Unit::Dioptre, "D", "D", &["dioptre", "dioptres", "diopter", "diopters", "ds", "dc"], Kind::Power, 1.0),
    row(
        Unit::CellsPerMm2,
        "cells/mm2",
        "cells/mm2",
        &["cells/mm^2", "/mm2", "cellspermm2", "cells/sqmm", "cellspersquaremillimetre", "cellspersquaremm"],
        Kind::CellDensity,
        1.0,
    ),
    row(Unit::Percent, "%", "%", &["percent", "percentage", "%w/v"], Kind::Strength, 10_000.0),
    row(
        Unit::MlPerMin,
        "mL/min",
        "mL/min",
        &["cc/min", "ml/minute", "cc/minute", "mlpermin", "ccpermin", "mlperminute", "ccperminute", "cm3/min"],
        Kind::Flow,
        1.0,
    ),
    row(Unit::Ul, "uL", "uL", &["microlitre", "microlitres", "microliter", "microliters", "mcl"], Kind::Volume, 1.0),
    row(
        Unit::Ml,
        "mL",
        "mL",
        &["cc", "millilitre", "millilitres", "milliliter", "milliliters", "cm3"],
        Kind::Volume,
        1000.0,
    ),
    row(Unit::Drop, "drop", "drops", &["gtt"], Kind::Drops, 1.0),
    row(Unit::Ug, "ug", "ug", &["mcg", "microgram", "micrograms"], Kind::Mass, 1.0),
    row(Unit::Mg, "mg", "mg", &["milligram", "milligrams"], Kind::Mass, 1000.0),
    row(Unit::G, "g", "g", &["gram", "grams"], Kind::Mass, 1_000_000.0),
    row(Unit::MgPerKg, "mg/kg", "mg/kg", &["mgperkg"], Kind::MassPerKg, 1.0),
    row(Unit::GPerKg, "g/kg", "g/kg", &["gperkg"], Kind::MassPerKg, 1000.0),
    row(Unit::UgPerMl, "ug/mL", "ug/mL", &["mcg/ml", "ugperml", "micrograms/ml"], Kind::Strength, 1.0),
    row(Unit::MgPerMl, "mg/mL", "mg/mL", &["mgperml", "mg/cc"], Kind::Strength, 1000.0),
    row(Unit::GPerL, "g/L", "g/L", &["gperl"], Kind::Strength, 1000.0),
    // One gram in N millilitres: the number divides instead of multiplying, see `Quantity::bounds_in`.
    row(Unit::OneIn, "1:", "1:", &[], Kind::Strength, 1_000_000.0),
    row(Unit::IuPerMl, "IU/mL", "IU/mL", &["units/ml", "iuperml", "unitsperml"], Kind::UnitStrength, 1.0),
    row(Unit::Iu, "IU", "IU", &["unit", "units", "internationalunit", "internationalunits"], Kind::Units, 1.0),
    row(Unit::Ms, "ms", "ms", &["millisecond", "milliseconds", "msec"], Kind::Time, 1.0),
    row(Unit::Second, "s", "s", &["sec", "secs", "second", "seconds"], Kind::Time, 1000.0),
    row(Unit::Minute, "min", "min", &["mins", "minute", "minutes"], Kind::Time, 60_000.0),
    row(Unit::Hour, "h", "h", &["hr", "hrs", "hour", "hours"], Kind::Time, 3_600_000.0),
    row(
        Unit::ClockHour,
        "clock hour",
        "clock hours",
        &["clockhr", "clockhrs", "o'clockhour", "o'clockhours"],
        Kind::Angle,
        30.0,
    ),
    row(Unit::Degree, "degree", "degrees", &["°", "º", "deg", "degs"], Kind::Angle, 1.0),
    row(
        Unit::CutsPerMin,
        "cuts/min",
        "cuts/min",
        &["cpm", "cutsperminute", "cutspermin", "cuts/minute"],
        Kind::Frequency,
        1.0,
    ),
    row(
        Unit::PulsesPerS,
        "pulses/s",
        "pulses/s",
        &["pps", "pulses/sec", "pulsespersecond", "pulses/second"],
        Kind::Frequency,
        60.0,
    ),
    row(Unit::Hz, "Hz", "Hz", &["hertz"], Kind::Frequency, 60.0),
    row(Unit::Khz, "kHz", "kHz", &["kilohertz"], Kind::Frequency, 60_000.0),
];

const fn row(
    unit: Unit,
    singular: &'static str,
    plural: &'static str,
    others: &'static [&'static str],
    kind: Kind,
    size: f64,
) -> Row {
    Row { unit, singular, plural, others, kind, size }
}

/// What a unit measures: units of one kind can be turned into one another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// In pascals.
    Pressure,
    /// In micrometres.
    Length,
    /// In dioptres.
    Power,
    /// In cells per square millimetre.
    CellDensity,
    /// In micrograms per millilitre.
    Strength,
    /// In millilitres per minute.
    Flow,
    /// In microlitres.
    Volume,
    /// In drops.
    Drops,
    /// In micrograms.
    Mass,
    /// In milligrams per kilogram.
    MassPerKg,
    /// In international units per millilitre.
    UnitStrength,
    /// In international units.
    Units,
    /// In milliseconds.
    Time,
    /// In degrees.
    Angle,
    /// In events per minute.
    Frequency,
}

impl Unit {
    fn row(self) -> &'static Row {
        // Every unit has a row (a test holds it); the first row stands in so that nothing can panic.
        UNITS.iter().find(|row| row.unit == self).unwrap_or(&UNITS[0])
    }

    /// Every unit in order of the table.
    pub fn all() -> impl Iterator<Item = Self> {
        UNITS.iter().map(|row| row.unit)
    }

    /// How the unit is written after one of it.
    pub fn singular(self) -> &'static str {
        self.row().singular
    }

    /// How the unit is written after several of it.
    pub fn plural(self) -> &'static str {
        self.row().plural
    }

    /// Whether values in this unit can be turned into the other.
    pub fn converts_to(self, other: Self) -> bool {
        self.row().kind == other.row().kind
    }

    /// How many of the smallest unit of its kind this unit holds.
    pub(super) fn size(self) -> f64 {
        self.row().size
    }

    /// The unit of these words, in any of the spellings people use.
    pub(super) fn named(words: &str) -> Option<Self> {
        let words = squeezed(words);
        UNITS
            .iter()
            .filter(|row| row.unit != Self::OneIn)
            .find(|row| {
                squeezed(row.singular) == words || squeezed(row.plural) == words || row.others.contains(&words.as_str())
            })
            .map(|row| row.unit)
    }
}

/// Lower case without spaces, hyphens and closing full stop; micro, square and apostrophe signs made plain.
fn squeezed(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for letter in words.trim().trim_end_matches('.').chars().flat_map(char::to_lowercase) {
        match letter {
            'µ' | 'μ' => out.push('u'),
            '²' => out.push('2'),
            '³' => out.push('3'),
            '\u{2018}' | '\u{2019}' => out.push('\''),
            '\u{2044}' | '\u{2215}' => out.push('/'),
            other if other.is_whitespace() || other == '-' => {}
            other => out.push(other),
        }
    }
    out
}

impl fmt::Display for Unit {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(self.plural())
    }
}

/// What a field of a case measures, hence the units it allows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// A pressure, such as that in the eye.
    Pressure,
    /// A length.
    Length,
    /// The power of a lens or cornea; dioptres alone may be below nought.
    Power,
    /// A density of endothelial cells.
    CellDensity,
    /// A share of the whole.
    Percent,
    /// A flow of fluid.
    Flow,
    /// A volume given.
    Volume,
    /// A mass given.
    Mass,
    /// A mass for each kilogram of body weight.
    MassPerKg,
    /// The strength of a drug.
    Concentration,
    /// An amount in international units.
    Units,
    /// The dose of a drug: a mass, a mass for each kilogram, a volume, drops, or international units.
    Dose,
    /// A length of time.
    Time,
    /// How far something reaches: a length or a part of the circle.
    Extent,
    /// An angle or axis; a bare number is read as degrees.
    Angle,
    /// A rate of repetition.
    Frequency,
    /// The setting of a machine: any unit of the others.
    Setting,
}

impl Dimension {
    /// Every dimension.
    pub const ALL: [Self; 17] = [
        Self::Pressure,
        Self::Length,
        Self::Power,
        Self::CellDensity,
        Self::Percent,
        Self::Flow,
        Self::Volume,
        Self::Mass,
        Self::MassPerKg,
        Self::Concentration,
        Self::Units,
        Self::Dose,
        Self::Time,
        Self::Extent,
        Self::Angle,
        Self::Frequency,
        Self::Setting,
    ];

    /// The dimension in words, with its article.
    pub fn words(self) -> &'static str {
        match self {
            Self::Pressure => "a pressure",
            Self::Length => "a length",
            Self::Power => "a lens power",
            Self::CellDensity => "a cell count",
            Self::Percent => "a percentage",
            Self::Flow => "a flow",
            Self::Volume => "a volume",
            Self::Mass => "a mass",
            Self::MassPerKg => "a mass for each kilogram",
            Self::Concentration => "a strength",
            Self::Units => "an amount in units",
            Self::Dose => "a dose",
            Self::Time => "a length of time",
            Self::Extent => "an extent",
            Self::Angle => "an angle",
            Self::Frequency => "a rate",
            Self::Setting => "a setting",
        }
    }

    /// The units allowed, the commonest first.
    pub fn units(self) -> &'static [Unit] {
        match self {
            Self::Pressure => &[Unit::Mmhg, Unit::Kpa],
            Self::Length => &[Unit::Mm, Unit::Cm, Unit::Um],
            Self::Power => &[Unit::Dioptre],
            Self::CellDensity => &[Unit::CellsPerMm2],
            Self::Percent => &[Unit::Percent],
            Self::Flow => &[Unit::MlPerMin],
            Self::Volume => &[Unit::Ml, Unit::Ul, Unit::Drop],
            Self::Mass => &[Unit::Mg, Unit::G, Unit::Ug],
            Self::MassPerKg => &[Unit::GPerKg, Unit::MgPerKg],
            Self::Concentration => {
                &[Unit::Percent, Unit::MgPerMl, Unit::UgPerMl, Unit::GPerL, Unit::IuPerMl, Unit::OneIn]
            }
            Self::Units => &[Unit::Iu],
            Self::Dose => {
                &[Unit::Mg, Unit::Ml, Unit::Ug, Unit::G, Unit::GPerKg, Unit::MgPerKg, Unit::Ul, Unit::Drop, Unit::Iu]
            }
            Self::Time => &[Unit::Second, Unit::Minute, Unit::Hour, Unit::Ms],
            Self::Extent => &[Unit::Mm, Unit::ClockHour, Unit::Degree],
            Self::Angle => &[Unit::Degree],
            Self::Frequency => &[Unit::CutsPerMin, Unit::Hz, Unit::Khz, Unit::PulsesPerS],
            Self::Setting => &[
                Unit::Mmhg,
                Unit::MlPerMin,
                Unit::Percent,
                Unit::Cm,
                Unit::CutsPerMin,
                Unit::Ms,
                Unit::Second,
                Unit::Minute,
                Unit::Hour,
                Unit::Mm,
                Unit::Um,
                Unit::Kpa,
                Unit::CmH2o,
                Unit::Hz,
                Unit::Khz,
                Unit::PulsesPerS,
                Unit::Degree,
                Unit::ClockHour,
                Unit::Dioptre,
                Unit::CellsPerMm2,
                Unit::Ml,
                Unit::Ul,
                Unit::Drop,
                Unit::Ug,
                Unit::Mg,
                Unit::G,
                Unit::MgPerKg,
                Unit::GPerKg,
                Unit::UgPerMl,
                Unit::MgPerMl,
                Unit::GPerL,
                Unit::OneIn,
                Unit::IuPerMl,
                Unit::Iu,
            ],
        }
    }

    /// The units allowed, in words: `mmHg or kPa`.
    pub fn allowed(self) -> String {
        if self == Self::Setting {
            return "a unit such as mmHg, mL/min, %, cm or cuts/min".to_owned();
        }
        let names: Vec<&str> = self
            .units()
            .iter()
            .map(|unit| if *unit == Unit::OneIn { "a ratio such as 1:1000" } else { unit.plural() })
            .collect();
        crate::text::any_of(&names)
    }
}
