//! Quantities: a number or a range of numbers with its unit.

use serde::{Deserialize, Serialize};
use std::fmt;
use std::ops::Range;

use super::number::Number;
use super::scan::{Cursor, RangeSign, body, judged, quoted};
use super::{Dimension, Fault, Unit};

/// A number with its unit, or a range of numbers: `24 mmHg`, `48 to 52 mmHg`, `about 3.5 mm`, `1:1000`.
///
/// The lower end is never above the upper end; only dioptres are ever below nought.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Quantity {
    low: Number,
    high: Number,
    about: bool,
    unit: Unit,
}

impl Quantity {
    /// Reads what was written where `dimension` is wanted.
    ///
    /// # Errors
    /// A fault when the words are no such quantity.
    pub fn parse(text: &str, dimension: Dimension) -> Result<Self, Fault> {
        let allowed = format!("{} with {}", dimension.words(), dimension.allowed());
        judged(text, &allowed, |text| read(text, dimension))
    }

    /// The number, or the lower end of the range, in the unit written.
    pub fn low(&self) -> Number {
        self.low
    }

    /// The number, or the upper end of the range, in the unit written.
    pub fn high(&self) -> Number {
        self.high
    }

    /// Whether the author wrote that the number is not exact.
    pub fn about(&self) -> bool {
        self.about
    }

    /// The unit written.
    pub fn unit(&self) -> Unit {
        self.unit
    }

    /// Whether two different ends were written.
    pub fn is_range(&self) -> bool {
        self.low != self.high
    }

    /// Lower and upper end in another unit of the same kind; `None` when the units measure different things.
    ///
    /// Strengths are turned by weight in volume: 1 % is 10 mg/mL, 1:1000 is 1 mg/mL. A clock hour is 30 degrees.
    pub fn bounds_in(&self, unit: Unit) -> Option<(f64, f64)> {
        if !self.unit.converts_to(unit) {
            return None;
        }
        if self.unit == unit {
            return Some((self.low.value(), self.high.value()));
        }
        let turn = |number: Number| {
            let small = match self.unit {
                Unit::OneIn => self.unit.size() / number.value(),
                _ => number.value() * self.unit.size(),
            };
            if unit == Unit::OneIn { unit.size() / small } else { small / unit.size() }
        };
        let (low, high) = (turn(self.low), turn(self.high));
        // A ratio turns the order round: 1:1000 is stronger than 1:10000.
        Some(if low <= high { (low, high) } else { (high, low) })
    }

    /// Lower and upper end of what may be meant: `about` leaves half of the last place written on either side, so that
    /// `about 26 mm` lies neither surely below 26 mm nor surely at or above it. Common practice, no source.
    pub fn meant_in(&self, unit: Unit) -> Option<(f64, f64)> {
        if !self.about || self.unit == Unit::OneIn {
            return self.bounds_in(unit);
        }
        let by = self.low.half_last().max(self.high.half_last());
        Self { low: self.low.moved(-by), high: self.high.moved(by), ..*self }.bounds_in(unit)
    }

    /// The middle of the quantity in another unit of the same kind.
    pub fn middle_in(&self, unit: Unit) -> Option<f64> {
        self.bounds_in(unit).map(|(low, high)| (low + high) / 2.0)
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.about {
            out.write_str("about ")?;
        }
        if self.unit == Unit::OneIn {
            return write!(out, "1:{}", self.high);
        }
        if self.is_range() {
            return write!(out, "{} to {} {}", self.low, self.high, self.unit.plural());
        }
        let unit = if self.low == Number::whole(1) { self.unit.singular() } else { self.unit.plural() };
        write!(out, "{} {unit}", self.low)
    }
}

fn read(text: &str, dimension: Dimension) -> Result<Quantity, Fault> {
    let mut cursor = Cursor::new(text);
    let about = cursor.about();
    let Some(first) = cursor.number()? else {
        let rest = cursor.rest_part();
        return Err(Fault::new(
            format!(
                "{} does not begin with a number; {} is a number or a range (`to`), with {}",
                quoted(&text[rest.clone()]),
                dimension.words(),
                dimension.allowed()
            ),
            rest,
        ));
    };
    if dimension.units().contains(&Unit::OneIn)
        && !first.signed
        && first.number == Number::whole(1)
        && let Some(ratio) = read_ratio(text, cursor, about)?
    {
        return Ok(ratio);
    }
    let mut second = None;
    let mut first_unit = None;
    if let Some(sign) = cursor.range_sign() {
        let like_minus = match sign {
            RangeSign::To | RangeSign::Dash => false,
            RangeSign::Hyphen => first.signed,
            RangeSign::LikeMinus => first.signed || dimension == Dimension::Power,
        };
        if like_minus {
            let part = body(text);
            return Err(Fault::new(
                format!("in {} a hyphen may be a minus; write the range with `to`", quoted(text)),
                part,
            ));
        }
        second = cursor.number()?;
    } else if let Some((unit, after)) = unit_before_range(&cursor) {
        cursor = after;
        first_unit = Some(unit);
        second = cursor.number()?;
    }
    cursor.spaces();
    let numbers = first.part.start..second.as_ref().map_or(first.part.end, |second| second.part.end);
    let amount = match &second {
        Some(second) => format!("{} to {}", first.number, second.number),
        None => first.number.to_string(),
    };
    let hedge = if about { "about " } else { "" };
    let unit = unit_of(&cursor, dimension, &numbers, text, &format!("{hedge}{amount}"))?;
    if first_unit.is_some_and(|first_unit| first_unit != unit) {
        let part = body(text);
        return Err(Fault::new(
            format!("the ends of {} have different units; one unit is allowed", quoted(text)),
            part,
        ));
    }
    let (low, high) = (first.number, second.map_or(first.number, |second| second.number));
    if (low.is_negative() || high.is_negative()) && unit != Unit::Dioptre {
        return Err(Fault::new(
            format!("{} is below nought, and {} never is", quoted(&text[numbers.clone()]), dimension.words()),
            numbers,
        ));
    }
    if low > high {
        return Err(Fault::new(
            format!("the range {} runs downwards; the smaller number comes first", quoted(&text[numbers.clone()])),
            numbers,
        )
        .or(format!("{hedge}{high} to {low} {unit}")));
    }
    Ok(Quantity { low, high, about, unit })
}

/// A strength written `1:1000` or `1 in 1000`, when the cursor stands behind its 1.
fn read_ratio(text: &str, mut cursor: Cursor<'_>, about: bool) -> Result<Option<Quantity>, Fault> {
    cursor.spaces();
    if cursor.eat(&[':', '∶']).is_none() && !cursor.word("in") {
        return Ok(None);
    }
    cursor.spaces();
    let whole = cursor.number()?.filter(|parts| {
        !parts.signed
            && !text[parts.part.clone()].contains('.')
            && parts.number.as_whole().is_some_and(|parts| parts > 1)
    });
    match whole {
        Some(parts) if cursor.done() => {
            let parts = Number::from_micro(parts.number.micro());
            Ok(Some(Quantity { low: parts, high: parts, about, unit: Unit::OneIn }))
        }
        _ => Err(Fault::new(
            format!("{} is not a strength; one part in a whole number is written like `1:1000`", quoted(text)),
            body(text),
        )),
    }
}

/// The unit between the cursor and a second number, as in `48 mmHg to 52 mmHg`, and the place of that number.
fn unit_before_range<'a>(cursor: &Cursor<'a>) -> Option<(Unit, Cursor<'a>)> {
    let mut ahead = *cursor;
    while ahead.peek().is_some() {
        let end = ahead.at();
        let mut after = ahead;
        if after.range_sign().is_some() {
            let words = &cursor.rest()[..end.saturating_sub(cursor.at())];
            return Unit::named(words).map(|unit| (unit, after));
        }
        ahead.step();
    }
    None
}

/// The unit in the rest of the text.
fn unit_of(
    cursor: &Cursor<'_>,
    dimension: Dimension,
    numbers: &Range<usize>,
    text: &str,
    amount: &str,
) -> Result<Unit, Fault> {
    let words = cursor.rest();
    let part = cursor.rest_part();
    if words.is_empty() {
        if dimension == Dimension::Angle {
            return Ok(Unit::Degree);
        }
        let written = quoted(&text[numbers.clone()]);
        let fault = Fault::new(format!("{written} has no unit; write {}", dimension.allowed()), numbers.clone());
        if dimension == Dimension::Setting {
            return Err(fault);
        }
        return Err(fault.or_any(dimension.units().iter().take(3).map(|unit| format!("{amount} {unit}"))));
    }
    if let Some(unit) = Unit::named(words) {
        if dimension.units().contains(&unit) {
            return Ok(unit);
        }
        let fault = Fault::new(
            format!("{} is not a unit of {}; write {}", quoted(words), dimension.words(), dimension.allowed()),
            part,
        );
        // `4 hours` of a circle can only be clock hours.
        let hours = dimension == Dimension::Extent && unit == Unit::Hour;
        return Err(if hours { fault.or(format!("{amount} {}", Unit::ClockHour)) } else { fault });
    }
    if let Some((unit, extra)) = known_head(words).filter(|(unit, _)| dimension.units().contains(unit)) {
        let part = (part.end - extra.len())..part.end;
        return Err(Fault::new(
            format!(
                "{} after the unit is not understood; the number ends with its unit, all else is a note",
                quoted(extra)
            ),
            part,
        )
        .or(format!("{amount} {unit}")));
    }
    let known: Vec<&str> = dimension.units().iter().map(|unit| unit.plural()).collect();
    let near = crate::text::nearest(words, known.iter().copied());
    Err(Fault::new(
        format!("{} is not a unit known here; {} has {}", quoted(words), dimension.words(), dimension.allowed()),
        part,
    )
    .or_any(near.map(|unit| format!("{amount} {unit}"))))
}

/// The longest beginning of the words that is a unit, and what follows it, when the two are parted by a sign or space.
fn known_head(words: &str) -> Option<(Unit, &str)> {
    words
        .char_indices()
        .rev()
        .filter(|(at, letter)| *at > 0 && !letter.is_alphanumeric())
        .find_map(|(at, _)| Unit::named(&words[..at]).map(|unit| (unit, words[at..].trim_start())))
}
