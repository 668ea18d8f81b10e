//! Conditions of a model, as they are written: `pupil below 3 mm or finding small-pupil`, `age from 60 to 69`.

use crate::model::format::{GRADES, MEASURES};
use crate::model::measure::{Dimension, Fault, Quantity, Sex, Unit};

/// What can be measured before surgery.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Measured {
    /// Age in years. 90 and over counts as 90.
    Age,
    /// A place in [`MEASURES`], in the base unit of its dimension (mm, mmHg, cells/mm²).
    Quantity(usize),
    /// The spherical equivalent of the refraction without its sign, dioptres: the one number that is the same whichever
    /// way a lens is written. Common practice, no source; the papers do not say which dioptres they mean.
    Ametropia,
}

/// A comparison with published limits, strict or not exactly as published.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Comparison {
    /// Less than this.
    Below(f64),
    /// More than this.
    Above(f64),
    /// This or more.
    AtLeast(f64),
    /// From one to the other, both included.
    Between(f64, f64),
}

impl Comparison {
    /// Whether every value from `low` to `high` fulfils it, or none; nothing if some do.
    pub fn of(self, low: f64, high: f64) -> Option<bool> {
        let (all, none) = match self {
            Self::Below(limit) => (high < limit, low >= limit),
            Self::Above(limit) => (low > limit, high <= limit),
            Self::AtLeast(limit) => (low >= limit, high < limit),
            Self::Between(from, to) => (low >= from && high <= to, high < from || low > to),
        };
        if all {
            Some(true)
        } else if none {
            Some(false)
        } else {
            None
        }
    }

    /// The limits.
    pub fn limits(self) -> Vec<f64> {
        match self {
            Self::Below(limit) | Self::Above(limit) | Self::AtLeast(limit) => vec![limit],
            Self::Between(from, to) => vec![from, to],
        }
    }
}

/// One test of one fact.
#[derive(Debug, Clone, PartialEq)]
pub enum Test<C> {
    /// A finding, or a narrower one.
    Finding(C),
    /// The grade of a finding, as a number.
    Grade(C, Comparison),
    /// The extent of a finding, clock hours.
    Extent(C, Comparison),
    /// A measure.
    Measure(Measured, Comparison),
    /// The patient's sex.
    Sex(Sex),
    /// A complication of the fellow eye's operation.
    FellowComplication,
    /// A fellow eye without useful sight.
    FellowLost,
    /// The grade of the first operator, a place in [`GRADES`].
    Operator(usize),
}

/// A test, and the finding that decides where the measure is not recorded.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition<C> {
    /// The test.
    pub test: Test<C>,
    /// The finding that decides in its stead.
    pub otherwise: Option<C>,
}

impl<C> Condition<C> {
    /// The same condition with its concepts looked up.
    ///
    /// # Errors
    /// The first that `look` does not know.
    pub fn map<D, E>(&self, mut look: impl FnMut(&C) -> Result<D, E>) -> Result<Condition<D>, E> {
        let test = match &self.test {
            Test::Finding(concept) => Test::Finding(look(concept)?),
            Test::Grade(concept, comparison) => Test::Grade(look(concept)?, *comparison),
            Test::Extent(concept, comparison) => Test::Extent(look(concept)?, *comparison),
            Test::Measure(measured, comparison) => Test::Measure(*measured, *comparison),
            Test::Sex(sex) => Test::Sex(*sex),
            Test::FellowComplication => Test::FellowComplication,
            Test::FellowLost => Test::FellowLost,
            Test::Operator(grade) => Test::Operator(*grade),
        };
        let otherwise = self.otherwise.as_ref().map(&mut look).transpose()?;
        Ok(Condition { test, otherwise })
    }
}

const ALLOWED: &str = "`finding NAME`, `pupil below 3 mm or finding NAME`, `age from 60 to 69`, `sex male`, `grade of NAME below 4`, \
     `extent of NAME above 3 clock hours`, `ametropia above 6 D`, `fellow eye complication`, `fellow eye lost` or `operator GRADE`";

fn fault(text: &str, part: &str, message: &str) -> Fault {
    // `part` is always a piece of `text`.
    let start = part.as_ptr() as usize - text.as_ptr() as usize;
    Fault { message: message.to_owned(), part: start..start + part.len(), mends: Vec::new() }
}

impl Condition<String> {
    /// Reads a condition.
    ///
    /// # Errors
    /// What cannot be read, with its place.
    pub fn parse(text: &str) -> Result<Self, Fault> {
        if let Some((left, right)) = text.split_once(" or finding ") {
            let test = Self::parse(left)?;
            if !matches!(test.test, Test::Measure(..)) {
                return Err(fault(text, left, "only a measure can be followed by `or finding`; write two conditions"));
            }
            return Ok(Self { otherwise: Some(name(text, right)?), ..test });
        }
        let plain = |test| Ok(Self { test, otherwise: None });
        if let Some(rest) = text.strip_prefix("finding ") {
            return plain(Test::Finding(name(text, rest)?));
        }
        for (start, with_hours) in [("grade of ", false), ("extent of ", true)] {
            let Some(rest) = text.strip_prefix(start) else { continue };
            let Some((concept, rest)) = rest.split_once(' ') else {
                return Err(fault(text, rest, "a comparison must follow, such as `below 4`"));
            };
            let concept = name(text, concept)?;
            let unit = with_hours.then_some((Unit::ClockHour, Dimension::Extent));
            let comparison = comparison(text, rest, unit)?;
            return plain(if with_hours {
                Test::Extent(concept, comparison)
            } else {
                Test::Grade(concept, comparison)
            });
        }
        if let Some(rest) = text.strip_prefix("age ") {
            return plain(Test::Measure(Measured::Age, comparison(text, rest, None)?));
        }
        if let Some(rest) = text.strip_prefix("ametropia ") {
            return plain(Test::Measure(
                Measured::Ametropia,
                comparison(text, rest, Some((Unit::Dioptre, Dimension::Power)))?,
            ));
        }
        if let Some(rest) = text.strip_prefix("sex ") {
            return plain(Test::Sex(
                Sex::parse(rest).map_err(|_| fault(text, rest, "`male` or `female` was expected"))?,
            ));
        }
        match text {
            "fellow eye complication" => return plain(Test::FellowComplication),
            "fellow eye lost" => return plain(Test::FellowLost),
            _ => {}
        }
        if let Some(rest) = text.strip_prefix("operator ") {
            let grade = GRADES.iter().position(|grade| *grade == rest);
            let said = || fault(text, rest, &format!("a grade is one of {}", crate::text::list(GRADES, "and")));
            return plain(Test::Operator(grade.ok_or_else(said)?));
        }
        for (at, (measure, dimension)) in MEASURES.iter().enumerate() {
            if let Some(rest) = text.strip_prefix(measure).and_then(|rest| rest.strip_prefix(' ')) {
                return plain(Test::Measure(
                    Measured::Quantity(at),
                    comparison(text, rest, Some((base(*dimension), *dimension)))?,
                ));
            }
        }
        Err(fault(text, text, &format!("`{text}` is no condition; conditions are {ALLOWED}")))
    }
}

/// The unit in which a measure is compared.
pub(crate) fn base(dimension: Dimension) -> Unit {
    match dimension {
        Dimension::Pressure => Unit::Mmhg,
        Dimension::CellDensity => Unit::CellsPerMm2,
        _ => Unit::Mm,
    }
}

fn name(text: &str, part: &str) -> Result<String, Fault> {
    let sound = !part.is_empty() && part.bytes().all(|byte| matches!(byte, b'a'..=b'z' | b'0'..=b'9' | b'-'));
    if sound { Ok(part.to_owned()) } else { Err(fault(text, part, &format!("`{part}` is no name of a concept"))) }
}

fn comparison(text: &str, rest: &str, unit: Option<(Unit, Dimension)>) -> Result<Comparison, Fault> {
    let one = |part: &str| number(text, part, unit);
    if let Some(part) = rest.strip_prefix("below ") {
        Ok(Comparison::Below(one(part)?))
    } else if let Some(part) = rest.strip_prefix("above ") {
        Ok(Comparison::Above(one(part)?))
    } else if let Some(part) = rest.strip_prefix("at least ") {
        Ok(Comparison::AtLeast(one(part)?))
    } else if let Some((from, to)) = rest.strip_prefix("from ").and_then(|rest| rest.split_once(" to ")) {
        let (from, to) = (one(from)?, one(to)?);
        if from > to {
            Err(fault(text, rest, "the lower limit comes first"))
        } else {
            Ok(Comparison::Between(from, to))
        }
    } else {
        Err(fault(text, rest, "a comparison is `below`, `above`, `at least` or `from … to …`"))
    }
}

/// A number, with its unit if one is needed.
fn number(text: &str, part: &str, unit: Option<(Unit, Dimension)>) -> Result<f64, Fault> {
    let Some((unit, dimension)) = unit else {
        let read = part.parse::<f64>().ok().filter(|number| number.is_finite() && *number >= 0.0);
        return read.ok_or_else(|| fault(text, part, &format!("`{part}` is no number")));
    };
    let quantity = Quantity::parse(part, dimension).map_err(|inner| fault(text, part, &inner.message))?;
    let bounds = quantity.bounds_in(unit).filter(|(low, high)| low == high && !quantity.about());
    bounds.map(|(low, _)| low).ok_or_else(|| fault(text, part, "a limit is one exact number with its unit"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn conditions_are_read_with_limits_as_published() {
        let read = |text: &str| Condition::parse(text).unwrap_or_else(|fault| panic!("{text}: {}", fault.message));
        assert_eq!(
            read("pupil below 3 mm or finding small-pupil"),
            Condition {
                test: Test::Measure(Measured::Quantity(1), Comparison::Below(3.0)),
                otherwise: Some("small-pupil".to_owned())
            }
        );
        assert_eq!(read("age from 60 to 69").test, Test::Measure(Measured::Age, Comparison::Between(60.0, 69.0)));
        assert_eq!(
            read("extent of zonular-loss above 3 clock hours").test,
            Test::Extent("zonular-loss".to_owned(), Comparison::Above(3.0))
        );
        assert_eq!(read("operator fellow").test, Test::Operator(3));
    }

    #[test]
    fn what_cannot_be_read_is_shown_at_its_place() {
        for (text, part) in [
            ("pupil under 3 mm", "under 3 mm"),
            ("pupil below 3", "3"),
            ("pupil below 3 D", "3 D"),
            ("age above old", "old"),
            ("finding Small Pupil", "Small Pupil"),
            ("operator professor", "professor"),
            ("age from 70 to 60", "from 70 to 60"),
            ("the pupil", "the pupil"),
            ("sex male or finding small-pupil", "sex male"),
        ] {
            let fault = Condition::parse(text).expect_err(text);
            assert_eq!(&text[fault.part.clone()], part, "{text}: {}", fault.message);
        }
    }

    #[test]
    fn limits_are_strict_or_not_as_written() {
        assert_eq!(Comparison::Below(3.0).of(3.0, 3.0), Some(false));
        assert_eq!(Comparison::Below(3.0).of(2.99, 2.99), Some(true));
        assert_eq!(Comparison::Below(3.0).of(2.8, 3.2), None);
        assert_eq!(Comparison::Above(88.0).of(88.0, 88.0), Some(false));
        assert_eq!(Comparison::AtLeast(26.0).of(26.0, 26.0), Some(true));
        assert_eq!(Comparison::Between(60.0, 69.0).of(69.0, 69.0), Some(true));
        assert_eq!(Comparison::Between(60.0, 69.0).of(70.0, 70.0), Some(false));
    }
}
