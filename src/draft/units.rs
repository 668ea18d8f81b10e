//! Numbers with their units: what is measured in running speech, and how surely it was said.

use super::acuity::{acuities, acuity_at};
use super::doubt::{self, Standing};
use super::numbers::{Said, all, hundreds, is_entire};
use super::words::{Speech, Stop};
use std::ops::Range;

/// Units by how they are said, longest first.
const UNITS: &[(&str, &str)] = &[
    ("millimetres of mercury", "mmHg"),
    ("millimeters of mercury", "mmHg"),
    ("mm of mercury", "mmHg"),
    ("grams per kilogram", "g/kg"),
    ("gram per kilogram", "g/kg"),
    ("grams per kilo", "g/kg"),
    ("gram per kilo", "g/kg"),
    ("milligrams per millilitre", "mg/mL"),
    ("milligrams per mil", "mg/mL"),
    ("micrograms per millilitre", "ug/mL"),
    ("micrograms per mil", "ug/mL"),
    ("millilitres per minute", "mL/min"),
    ("milliliters per minute", "mL/min"),
    ("cc per minute", "mL/min"),
    ("of a microgram", "ug"),
    ("centimetres of water", "cmH2O"),
    ("centimeters of water", "cmH2O"),
    ("mils per minute", "mL/min"),
    ("mils a minute", "mL/min"),
    ("ml a minute", "mL/min"),
    ("ml per minute", "mL/min"),
    ("of a millilitre", "mL"),
    ("of a milliliter", "mL"),
    ("of a mil", "mL"),
    ("of a milligram", "mg"),
    ("a milligram", "mg"),
    ("clock hours", "clock hours"),
    ("clock hour", "clock hours"),
    ("per cent", "%"),
    ("of a dioptre", "D"),
    ("a dioptre", "D"),
    ("o clock", "o'clock"),
    ("cuts per minute", "cuts/min"),
    ("cuts a minute", "cuts/min"),
    // As it is typed: the stroke parts two words.
    ("ml min", "mL/min"),
    ("cc min", "mL/min"),
    ("mg ml", "mg/mL"),
    ("g kg", "g/kg"),
    ("milli metres", "mm"),
    ("milli metre", "mm"),
    ("milli grams", "mg"),
    ("milli gram", "mg"),
    ("centi metres", "cm"),
    ("micro grams", "ug"),
    ("mmhg", "mmHg"),
    ("millimetres", "mm"),
    ("millimetre", "mm"),
    ("millimeters", "mm"),
    ("millimeter", "mm"),
    ("mm", "mm"),
    ("centimetres", "cm"),
    ("centimetre", "cm"),
    ("centimeters", "cm"),
    ("cm", "cm"),
    ("micrograms", "ug"),
    ("microgram", "ug"),
    ("mcg", "ug"),
    ("µg", "ug"),
    ("μg", "ug"),
    ("microns", "um"),
    ("micron", "um"),
    ("micrometres", "um"),
    ("micrometers", "um"),
    ("microlitres", "uL"),
    ("microliters", "uL"),
    ("grams", "g"),
    ("gram", "g"),
    ("units", "units"),
    ("cc", "mL"),
    ("milligrams", "mg"),
    ("milligram", "mg"),
    ("mg", "mg"),
    ("millilitres", "mL"),
    ("millilitre", "mL"),
    ("milliliters", "mL"),
    ("mils", "mL"),
    ("mil", "mL"),
    ("ml", "mL"),
    ("percent", "%"),
    ("%", "%"),
    ("dioptres", "D"),
    ("di opters", "D"),
    ("dioptre", "D"),
    ("diopters", "D"),
    ("diopter", "D"),
    ("d", "D"),
    ("o'clock", "o'clock"),
    ("oclock", "o'clock"),
    ("degrees", "degrees"),
    ("degree", "degrees"),
    ("hours", "time"),
    ("hour", "time"),
    ("minutes", "time"),
    ("minute", "time"),
    ("seconds", "time"),
    ("days", "time"),
    ("day", "time"),
    ("weeks", "time"),
    ("week", "time"),
    ("months", "time"),
    ("month", "time"),
    ("years", "time"),
    ("year", "time"),
];

/// The unit said after a number, and where it ends.
pub(super) fn unit(speech: &Speech<'_>, at: usize) -> Option<(&'static str, usize)> {
    if at == 0 || speech.words.get(at - 1).is_some_and(|word| word.stop != Stop::None) {
        return None;
    }
    UNITS.iter().find(|(said, _)| speech.says(at, said)).map(|(said, unit)| (*unit, at + said.split(' ').count()))
}

/// A number of a range with its unit, if one was said; the words take in the unit, and both numbers of a range.
pub(super) struct Measured {
    pub(super) number: Said,
    /// The upper end of a range.
    pub(super) upper: Option<Said>,
    pub(super) unit: Option<&'static str>,
    pub(super) words: Range<usize>,
    pub(super) standing: Standing,
}

impl Measured {
    /// Why what these words say may not be written as an exact amount, if it may not.
    pub(super) fn standing_of(speech: &Speech<'_>, words: &Range<usize>) -> Option<&'static str> {
        match doubt::standing(speech, words) {
            Standing::Exact => None,
            Standing::About => Some(doubt::LOOSE),
            Standing::Doubtful(why) => Some(why),
        }
    }

    /// In the notation of a case, with this unit.
    pub(super) fn written(&self, unit: &str) -> String {
        let about = if self.standing == Standing::About { "about " } else { "" };
        match &self.upper {
            Some(upper) => format!("{about}{} to {} {unit}", self.number.text, upper.text),
            None => format!("{about}{} {unit}", self.number.text),
        }
    }

    /// Why it may not be written, if it may not. `exact` is for what was given or put in: of that there is one amount.
    pub(super) fn doubt(&self, exact: bool) -> Option<&'static str> {
        match self.standing {
            Standing::Doubtful(why) => Some(why),
            Standing::About if exact => Some(doubt::LOOSE),
            _ if exact && self.upper.is_some() => Some(doubt::LOOSE),
            _ => None,
        }
    }
}

/// Whether another thing than the rest of a number begins or ends at a word: an acuity, or the number of days and weeks.
fn is_other(speech: &Speech<'_>, at: usize) -> bool {
    acuity_at(speech, at).is_some()
        || super::numbers::number(speech, at)
            .and_then(|said| unit(speech, said.words.end))
            .is_some_and(|(unit, _)| unit == "time")
        || (at.saturating_sub(3)..=at).any(|from| acuity_at(speech, from).is_some_and(|it| it.words.end == at + 1))
}

/// Every number of a range that is not part of an acuity.
pub(super) fn measured(speech: &Speech<'_>, range: Range<usize>) -> Vec<Measured> {
    let taken = acuities(speech, range.clone());
    let mut found: Vec<Measured> = Vec::new();
    for mut number in all(speech, range.clone()) {
        let mut pair = false;
        if let Some(both) = hundreds(speech, number.words.start) {
            // "this one fifty milligrams": the pronoun is no hundred.
            pair = true;
            number = both;
        }
        if taken.iter().any(|(value, _)| value.words.start < number.words.end && number.words.start < value.words.end) {
            continue;
        }
        // The second half of a pair was taken with the first.
        if found.last().is_some_and(|last| last.words.end > number.words.start) {
            continue;
        }
        let unit = unit(speech, number.words.end);
        let words = number.words.start..unit.map_or(number.words.end, |(_, end)| end);
        let unit = unit.map(|(unit, _)| unit);
        let before = speech.low(words.start.wrapping_sub(1));
        let pronoun =
            speech.low(words.start) == "one" && matches!(before, "this" | "that" | "the" | "other" | "which" | "a");
        let hundreds_fit = matches!(unit, None | Some("mmHg" | "mg" | "ug" | "mL" | "mL/min"));
        let odd = pair && (pronoun || !hundreds_fit);
        let standing = if odd || !is_entire(speech, &number.words, |at| is_other(speech, at)) {
            Standing::Doubtful(doubt::PART)
        } else {
            doubt::standing(speech, &words)
        };
        found.push(Measured { unit, words, number, upper: None, standing });
    }
    let mut found = ranges(speech, found);
    rivals(speech, &mut found);
    found
}

/// Words that tell of what the number behind them is: two numbers parted by one of them are two things.
pub(super) const NAMES: &[&str] = &[
    "grade",
    "vision",
    "acuity",
    "pressure",
    "iop",
    "axial",
    "length",
    "pupil",
    "wound",
    "incision",
    "port",
    "ports",
    "vacuum",
    "flow",
    "bottle",
    "height",
    "power",
    "lens",
    "day",
    "week",
    "month",
    "year",
    "old",
    "count",
    "cells",
    "unaided",
    "corrected",
    "at",
    "and",
    "by",
    "with",
    "in",
    "of",
    "for",
    "on",
    "hooks",
    "sutures",
    "stitches",
    "axis",
    "target",
    "aiming",
    "woman",
    "man",
    "aged",
    "piece",
    "quadrants",
    "times",
    "cuts",
    "blade",
    "gauge",
];

/// Two numbers of one kind with nothing between them that names the second: whatever the words between mean, one is not so.
fn rivals(speech: &Speech<'_>, found: &mut [Measured]) {
    for at in 1..found.len() {
        let (one, other) = (&found[at - 1], &found[at]);
        let between = one.words.end..other.words.start;
        let kind = one.unit == other.unit || one.unit.is_none() && other.unit != Some("o'clock");
        let signed = other.number.text.starts_with(['-', '+']);
        let time = |unit: Option<&str>| matches!(unit, Some("time" | "o'clock"));
        let hour = speech.low(one.words.start.wrapping_sub(1)) == "at" || one.number.text == "1";
        // A pressure needs no unit, and is no dose.
        let pressure = (one.words.start.saturating_sub(4)..one.words.start)
            .any(|at| matches!(speech.low(at), "pressure" | "pressure's" | "iop"));
        let kind = kind && !(pressure && one.unit.is_none() && !matches!(other.unit, None | Some("mmHg")));
        let near = !(hour && one.unit.is_none())
            && (1..=5).contains(&between.len())
            && !between.clone().any(|at| NAMES.contains(&speech.low(at)));
        if near && kind && !signed && !time(one.unit) && !time(other.unit) && one.number.text != other.number.text {
            for it in &mut found[at - 1..=at] {
                if matches!(it.standing, Standing::Exact | Standing::About) {
                    it.standing = Standing::Doubtful(doubt::CORRECTED);
                }
            }
        }
    }
}

/// Joins two numbers with `to`, `or` or `between … and` between them.
fn ranges(speech: &Speech<'_>, found: Vec<Measured>) -> Vec<Measured> {
    let mut joined: Vec<Measured> = Vec::with_capacity(found.len());
    for next in found {
        let link = joined.last().and_then(|last| link(speech, last, &next));
        match (link, joined.last_mut()) {
            (Some(linked), Some(last)) => *last = linked,
            _ => joined.push(next),
        }
    }
    joined
}

/// Two numbers as one range, if that is how they were said.
fn link(speech: &Speech<'_>, low: &Measured, high: &Measured) -> Option<Measured> {
    const JOINTS: &[&str] =
        &["to", "or", "and", "maybe", "perhaps", "even", "possibly", "rather", "probably", "if", "not"];
    let between = low.words.end..high.words.start;
    let only = !between.is_empty() && between.len() <= 3 && between.clone().all(|at| JOINTS.contains(&speech.low(at)));
    let first = low.words.start.checked_sub(1).map_or("", |at| speech.low(at));
    let both = first == "between" && speech.low(between.start) == "and";
    let lone_and = between.clone().all(|at| speech.low(at) == "and") && !both;
    let units = low.unit.is_none() || low.unit == high.unit;
    if !only || lone_and || !units || high.unit == Some("time") || high.unit == Some("o'clock") {
        return None;
    }
    // "Up from three hundred to four hundred" is a change and no range.
    let plain = both || first != "from" && between.len() == 1 && matches!(speech.low(between.start), "to" | "or");
    let sound = |it: &Measured| matches!(it.standing, Standing::Exact | Standing::About);
    // The word between them makes each doubtful by itself; what else there is of doubt stays.
    let corrected = [low, high].iter().any(|it| it.standing == Standing::Doubtful(doubt::CORRECTED));
    let low_sound = sound(low) || both && low.standing == Standing::Doubtful(doubt::LOOSE);
    let range = plain && low_sound && sound(high) && low.number.value() < high.number.value();
    let standing = match (range, corrected) {
        (true, _) if low.standing == Standing::About => Standing::About,
        (true, _) => Standing::Exact,
        (false, true) => Standing::Doubtful(doubt::CORRECTED),
        (false, false) => Standing::Doubtful(doubt::LOOSE),
    };
    Some(Measured {
        number: low.number.clone(),
        upper: Some(high.number.clone()),
        unit: high.unit,
        words: low.words.start..high.words.end,
        standing,
    })
}
