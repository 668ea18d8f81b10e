//! Quantities in running speech: what is measured, in which unit, and of what.
//!
//! A number stands for something only if its unit was said, or if the trade never says one: pressures of the eye are told in
//! mmHg, as every tonometer reads (ISO 8612), acuities as a fraction, clock hours after `at`. Every other bare number is asked back.

use super::numbers::{Said, all, hundreds, number};
use super::words::{Speech, Stop};
use crate::model::measure::{Acuity, Taken};
use std::ops::Range;

/// What a number belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Anchor {
    /// The main wound.
    Wound,
    /// A side port.
    Port,
    /// The surgeon's seat.
    Surgeon,
    /// The opening of the capsule.
    Rhexis,
    /// The pupil.
    Pupil,
    /// The length of the eye.
    AxialLength,
    /// The depth of the chamber.
    Chamber,
    /// A trouble, by its number among the mentions.
    Trouble(usize),
    /// Something whose place or size no field holds.
    Other,
}

/// A value, the words that said it, and whether one link of the chain is a guess.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Value {
    /// In the notation of a case.
    pub(super) text: String,
    /// The words.
    pub(super) words: Range<usize>,
    /// Whether to what it belongs is a guess; the value itself never is.
    pub(super) guess: bool,
}

impl Value {
    fn new(text: impl Into<String>, words: Range<usize>) -> Self {
        Self { text: text.into(), words, guess: false }
    }
}

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
    ("millilitres per minute", "mL/min"),
    ("mils per minute", "mL/min"),
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

/// A number of a range with its unit, if one was said; the words take in the unit.
pub(super) struct Measured {
    pub(super) number: Said,
    pub(super) unit: Option<&'static str>,
    pub(super) words: Range<usize>,
}

/// Every number of a range that is not part of an acuity.
pub(super) fn measured(speech: &Speech<'_>, range: Range<usize>) -> Vec<Measured> {
    let taken = acuities(speech, range.clone());
    let mut found = Vec::new();
    for mut number in all(speech, range) {
        if let Some(pair) = hundreds(speech, number.words.start) {
            number = pair;
        }
        if taken.iter().any(|(value, _)| value.words.start < number.words.end && number.words.start < value.words.end) {
            continue;
        }
        // The second half of a pair was taken with the first.
        if found.last().is_some_and(|last: &Measured| last.words.end > number.words.start) {
            continue;
        }
        let unit = unit(speech, number.words.end);
        let words = number.words.start..unit.map_or(number.words.end, |(_, end)| end);
        found.push(Measured { unit: unit.map(|(unit, _)| unit), words, number });
    }
    found
}

/// Lower numbers of acuity lines. Source: the lines of British and American Snellen charts.
const LINES: &[&str] = &[
    "4", "5", "6", "7.5", "9", "12", "15", "18", "20", "24", "25", "30", "32", "36", "40", "50", "60", "63", "80",
    "100", "200",
];
/// Lower numbers that are said right after `six`, without a word between.
const AFTER_SIX: &[&str] = &["5", "6", "9", "12", "18", "24", "36", "60"];

/// Every acuity of a range with how it was taken, if that was said.
pub(super) fn acuities(speech: &Speech<'_>, range: Range<usize>) -> Vec<(Value, Option<Taken>)> {
    let mut found: Vec<Value> = Vec::new();
    let mut at = range.start;
    while at < range.end {
        match acuity(speech, at).filter(|value| value.words.end <= range.end) {
            Some(value) => {
                at = value.words.end;
                found.push(value);
            }
            None => at += 1,
        }
    }
    let places: Vec<Range<usize>> = found.iter().map(|value| value.words.clone()).collect();
    found.into_iter().map(|value| (value.clone(), taken(speech, &value.words, &places, &range))).collect()
}

fn acuity(speech: &Speech<'_>, at: usize) -> Option<Value> {
    for (said, text) in [
        ("no light perception", "NPL"),
        ("no perception of light", "NPL"),
        ("light perception with good projection", "PL with projection"),
        ("light perception with projection", "PL with projection"),
        ("perception of light with good projection", "PL with projection"),
        ("light perception", "PL"),
        ("perception of light", "PL"),
        ("counting fingers", "CF"),
        ("count fingers", "CF"),
        ("counted fingers", "CF"),
        ("hand movements", "HM"),
        ("hand motions", "HM"),
        ("hand movement", "HM"),
    ] {
        if speech.says(at, said) {
            return Some(Value::new(text, at..at + said.split(' ').count()));
        }
    }
    let low = speech.low(at);
    if low.contains('/') {
        let sound = Acuity::parse(low).is_ok() && low.split_once('/').is_some_and(|(_, line)| LINES.contains(&line));
        return sound.then(|| Value::new(low, at..at + 1));
    }
    if at > 0 && matches!(speech.low(at - 1), "point" | "minus" | "plus") {
        return None;
    }
    let distance = match low {
        "six" | "6" => "6",
        "twenty" | "20" => "20",
        "three" | "3" => "3",
        "one" | "1" => "1",
        "two" | "2" => "2",
        _ => return None,
    };
    if speech.words[at].stop != Stop::None {
        return None;
    }
    let between = matches!(speech.low(at + 1), "by" | "over" | "slash");
    let line = number(speech, at + 1 + usize::from(between))?;
    let allowed = if between { LINES } else { AFTER_SIX };
    let fits = allowed.contains(&line.text.as_str()) && (between || distance == "6");
    let end = line.words.end;
    if !fits || unit(speech, end).is_some() {
        return None;
    }
    Some(Value::new(format!("{distance}/{}", line.text), at..end))
}

/// How an acuity was taken: by the words of its own clause, the nearer ones first.
fn taken(speech: &Speech<'_>, words: &Range<usize>, others: &[Range<usize>], range: &Range<usize>) -> Option<Taken> {
    const MARKS: &[(&str, Taken)] = &[
        ("best corrected", Taken::BestCorrected),
        ("best correction", Taken::BestCorrected),
        ("corrected", Taken::BestCorrected),
        ("unaided", Taken::Unaided),
        ("un aided", Taken::Unaided),
        ("uncorrected", Taken::Unaided),
        ("without glasses", Taken::Unaided),
        ("pinhole", Taken::Pinhole),
        ("pin hole", Taken::Pinhole),
        ("with his glasses", Taken::Presenting),
        ("with her glasses", Taken::Presenting),
        ("with their glasses", Taken::Presenting),
    ];
    let stands = |at: usize| MARKS.iter().find(|(said, _)| speech.says(at, said)).map(|(_, taken)| *taken);
    let other = |at: usize| others.iter().any(|other| other != words && other.contains(&at));
    for at in words.end..range.end.min(words.end + 4) {
        if speech.words[at - 1].stop != Stop::None || other(at) {
            break;
        }
        if let Some(taken) = stands(at) {
            return Some(taken);
        }
    }
    for at in (range.start.max(words.start.saturating_sub(7))..words.start).rev() {
        if speech.words[at].stop != Stop::None || other(at) {
            break;
        }
        if let Some(taken) = stands(at) {
            return Some(taken);
        }
    }
    None
}

/// Words that may stand between `pressure` and its number, right before the number.
const LEADS_TO: &[&str] =
    &["of", "was", "is", "were", "to", "at", "about", "just", "only", "around", "from", "reads", "measured"];

/// Every pressure of the eye in a range; `open` says that one was spoken of just before.
pub(super) fn pressures(speech: &Speech<'_>, range: Range<usize>, open: bool) -> (Vec<Value>, bool) {
    let mut found = Vec::new();
    let mut open = open;
    let mut at = range.start;
    while at < range.end {
        let low = speech.low(at);
        let named = matches!(low, "pressure" | "pressures" | "iop")
            && !(at > 0
                && matches!(speech.low(at - 1), "positive" | "vitreous" | "blood" | "posterior" | "the infusion"));
        let referred =
            open && (speech.says(at, "it was") || speech.says(at, "down to") || speech.says(at, "came down to"));
        if named {
            open = true;
        }
        if !(named || referred) {
            at += 1;
            continue;
        }
        let skip = if named { 1 } else { speech.find(at..range.end.min(at + 4), "to").map_or(2, |to| to + 1 - at) };
        let near = at + skip..range.end.min(at + skip + if named { 6 } else { 1 });
        let joins = |first: usize| first == at + skip || LEADS_TO.contains(&speech.low(first - 1));
        let first = near
            .clone()
            .find(|&first| number(speech, first).is_some() && acuity(speech, first).is_none())
            .filter(|&first| joins(first));
        let blocked = |to: usize| (at + 1..to).any(|at| acuity(speech, at).is_some());
        let value = first.filter(|&first| !blocked(first)).and_then(|first| pressure(speech, first, range.end));
        match value {
            Some(mut value) => {
                value.guess = !named;
                value.words.start = at;
                at = value.words.end;
                found.push(value);
            }
            None => at += 1,
        }
    }
    (found, open)
}

/// A number that can be a pressure, or two with `to` between them.
fn pressure(speech: &Speech<'_>, at: usize, end: usize) -> Option<Value> {
    let low = number(speech, at)?;
    if low.words.end > end || !(0.0..=90.0).contains(&low.value()) || low.text.starts_with(['-', '+']) {
        return None;
    }
    if let Some((unit, after)) = unit(speech, low.words.end) {
        return (unit == "mmHg").then(|| Value::new(format!("{} mmHg", low.text), at..after));
    }
    if speech.low(low.words.end) == "to"
        && let Some(high) =
            number(speech, low.words.end + 1).filter(|high| high.value() > low.value() && high.value() <= 90.0)
        && high.words.end <= end
    {
        return Some(Value::new(format!("{} to {} mmHg", low.text, high.text), at..high.words.end));
    }
    Some(Value::new(format!("{} mmHg", low.text), at..low.words.end))
}

/// Every clock hour or stretch of clock hours in a range.
pub(super) fn hours(speech: &Speech<'_>, range: Range<usize>) -> Vec<Value> {
    let mut found: Vec<Value> = Vec::new();
    let numbers = all(speech, range);
    let hour = |said: &Said| said.whole().filter(|hour| (1..=12).contains(hour));
    let mut clocked: Vec<bool> = numbers
        .iter()
        .map(|said| hour(said).is_some() && unit(speech, said.words.end).is_some_and(|(unit, _)| unit == "o'clock"))
        .collect();
    // The word is said once for two: "at two and ten o'clock", "one at two o'clock and one at eight".
    for at in 0..numbers.len() {
        let free = hour(&numbers[at]).is_some() && unit(speech, numbers[at].words.end).is_none();
        if clocked[at] || !free {
            continue;
        }
        let end = numbers[at].words.end;
        let follows = numbers.get(at + 1).is_some_and(|next| {
            clocked[at + 1] && next.words.start <= end + 2 && matches!(speech.low(end), "and" | "to" | "or")
        });
        let behind_at = speech.low(numbers[at].words.start.wrapping_sub(1)) == "at"
            && speech.words[end - 1].stop != Stop::None
            || speech.low(numbers[at].words.start.wrapping_sub(1)) == "at"
                && speech.words.get(end).is_none_or(|_| number(speech, end).is_none());
        clocked[at] = follows || behind_at;
    }
    let mut at = 0;
    while at < numbers.len() {
        if !clocked[at] {
            at += 1;
            continue;
        }
        let (start, end) = (numbers[at].words.start, numbers[at].words.end);
        let last = |said: &Said| {
            unit(speech, said.words.end).filter(|(unit, _)| *unit == "o'clock").map_or(said.words.end, |(_, end)| end)
        };
        let stretch = numbers.get(at + 1).filter(|next| {
            clocked[at + 1]
                && speech.low(end) == "to"
                && next.words.start == end + 1
                && speech.low(start.wrapping_sub(1)) != "at"
        });
        match stretch {
            Some(next) => {
                found.push(Value::new(format!("{} to {} o'clock", numbers[at].text, next.text), start..last(next)));
                at += 2;
            }
            None => {
                found.push(Value::new(format!("{} o'clock", numbers[at].text), start..last(&numbers[at])));
                at += 1;
            }
        }
    }
    found
}

/// Sides of the eye by how they are said.
const SIDES: &[(&str, &str)] = &[
    ("superonasal", "superonasal"),
    ("superonasally", "superonasal"),
    ("superotemporal", "superotemporal"),
    ("superotemporally", "superotemporal"),
    ("inferonasal", "inferonasal"),
    ("inferonasally", "inferonasal"),
    ("inferotemporal", "inferotemporal"),
    ("inferotemporally", "inferotemporal"),
    ("superior", "superior"),
    ("superiorly", "superior"),
    ("inferior", "inferior"),
    ("inferiorly", "inferior"),
    ("temporal", "temporal"),
    ("temporally", "temporal"),
    ("nasal", "nasal"),
    ("nasally", "nasal"),
];

/// The first side of the eye that is named in a range.
pub(super) fn side(speech: &Speech<'_>, mut range: Range<usize>) -> Option<Value> {
    range.find_map(|at| {
        let side = SIDES.iter().find(|(said, _)| speech.low(at) == *said)?;
        Some(Value::new(side.1, at..at + 1))
    })
}

/// A time after surgery: `the next day`, `at six weeks`, `two months later`, `day one`.
pub(super) fn time_after(speech: &Speech<'_>, range: Range<usize>) -> Option<Value> {
    for at in range.clone() {
        for phrase in [
            "the next day",
            "next day",
            "on the first day",
            "the first day",
            "first day",
            "day one",
            "day 1",
            "one day later",
            "the day after",
        ] {
            if speech.says(at, phrase) && at + phrase.split(' ').count() <= range.end {
                return Some(Value::new("1 day", at..at + phrase.split(' ').count()));
            }
        }
        const ORDINALS: &[(&str, &str)] = &[
            ("second", "2"),
            ("third", "3"),
            ("fourth", "4"),
            ("fifth", "5"),
            ("sixth", "6"),
            ("seventh", "7"),
            ("tenth", "10"),
        ];
        if let Some((_, number)) = ORDINALS.iter().find(|(said, _)| speech.says(at, &format!("the {said} day"))) {
            return Some(Value::new(format!("{number} days"), at..at + 3));
        }
        let Some(said) = number(speech, at) else { continue };
        let (count, end) = (said.text, said.words.end);
        let period = match speech.low(end) {
            "day" | "days" => "day",
            "week" | "weeks" => "week",
            "month" | "months" => "month",
            _ => continue,
        };
        let before = speech.low(at.wrapping_sub(1));
        let after = speech.low(end + 1);
        let first = at == range.start || at == range.start + 1 && matches!(before, "and" | "then");
        if after == "ago" || matches!(before, "for" | "within" | "by" | "in" | "every" | "of" | "about") {
            continue;
        }
        if matches!(before, "at" | "after") || after == "later" || first {
            let whole = count != "1";
            let plural = if whole { "s" } else { "" };
            return Some(Value::new(format!("{count} {period}{plural}"), at..end + 1 + usize::from(after == "later")));
        }
    }
    None
}

/// A refraction: `minus half`, `minus one, minus two at ninety`.
pub(super) fn refraction(speech: &Speech<'_>, range: Range<usize>) -> Option<Value> {
    let numbers = all(speech, range);
    let signed = |said: &Said| said.text.starts_with(['-', '+']);
    let at = numbers.iter().position(signed)?;
    let sphere = &numbers[at];
    if let Some((unit, _)) = unit(speech, sphere.words.end).filter(|(unit, _)| *unit != "D") {
        return (unit == "D").then(|| Value::new("", 0..0));
    }
    let two = |said: &Said| format!("{}{:.2}", if said.value() < 0.0 { '-' } else { '+' }, said.value().abs());
    if let (Some(cylinder), Some(axis)) = (numbers.get(at + 1), numbers.get(at + 2))
        && signed(cylinder)
        && cylinder.words.start <= sphere.words.end + 1
        && axis.whole().is_some_and(|axis| axis <= 180)
        && matches!(speech.low(cylinder.words.end), "at" | "axis" | "by" | "x")
    {
        return Some(Value::new(
            format!("{} {} x {}", two(sphere), two(cylinder), axis.text),
            sphere.words.start..axis.words.end,
        ));
    }
    Some(Value::new(format!("{} D", two(sphere)), sphere.words.clone()))
}

/// An age in whole years.
pub(super) fn age(speech: &Speech<'_>, range: Range<usize>, early: bool) -> Option<Value> {
    for said in all(speech, range.clone()) {
        let Some(years) = said.whole().filter(|years| (1..=115).contains(years)) else { continue };
        let (start, end) = (said.words.start, said.words.end);
        let old = speech.says(end, "year old") || speech.says(end, "years old") || speech.says(end, "years of age");
        let before = speech.low(start.wrapping_sub(1));
        let is = matches!(before, "he's" | "she's" | "is" | "aged" | "was")
            && (before == "aged"
                || matches!(before, "he's" | "she's")
                || matches!(speech.low(start.wrapping_sub(2)), "he" | "she"));
        let of = before == "of"
            && matches!(speech.low(start.wrapping_sub(2)), "woman" | "man" | "lady" | "gentleman" | "girl" | "boy");
        let alone = range.len() == said.words.len();
        let free = unit(speech, end).is_none() && speech.low(end) != "point";
        if old || (early && free && (is || of || alone)) {
            let text = if years >= 90 { "90+".to_owned() } else { said.text };
            return Some(Value::new(text, start..if old { end + 2 } else { end }));
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::narration::{Cue, Narration};
    use crate::text::{FileId, Span};

    fn with<T>(words: &str, run: impl Fn(&Speech<'_>, Range<usize>) -> T) -> T {
        let cue = Cue { from: 0.0, to: None, words: words.to_owned(), span: Span::new(FileId(0), 0, 0) };
        let narration = Narration { cues: vec![cue] };
        let speech = Speech::new(&narration);
        run(&speech, 0..speech.words.len())
    }

    #[test]
    fn acuities_are_read_with_how_they_were_taken() {
        for (words, expected) in [
            ("six by nine unaided", vec![("6/9", Some(Taken::Unaided))]),
            ("best corrected six over eighteen", vec![("6/18", Some(Taken::BestCorrected))]),
            (
                "six sixty unaided, six thirty-six with pinhole",
                vec![("6/60", Some(Taken::Unaided)), ("6/36", Some(Taken::Pinhole))],
            ),
            (
                "glasses gave him six twelve, unaided he counted fingers",
                vec![("6/12", None), ("CF", Some(Taken::Unaided))],
            ),
            ("six weeks and six millimetres at six o'clock", vec![]),
            ("at 20/40 and 6/7", vec![("20/40", None)]),
        ] {
            let found = with(words, acuities);
            let found: Vec<(&str, Option<Taken>)> =
                found.iter().map(|(value, taken)| (value.text.as_str(), *taken)).collect();
            assert_eq!(found, expected, "{words}");
        }
    }

    #[test]
    fn clock_hours_are_read_and_never_guessed() {
        for (words, expected) in [
            ("ports at two and ten o'clock", vec!["2 o'clock", "10 o'clock"]),
            ("one at two o'clock and one at eight", vec!["2 o'clock", "8 o'clock"]),
            ("from four to seven o'clock", vec!["4 to 7 o'clock"]),
            ("for to seven a clock", vec![]),
            ("at four weeks and at sixty-five", vec![]),
        ] {
            let found: Vec<String> = with(words, hours).into_iter().map(|it| it.text).collect();
            assert_eq!(found, expected, "{words}");
        }
    }

    #[test]
    fn pressures_times_and_refractions() {
        let texts = |words: &str| {
            with(words, |speech, range| pressures(speech, range, false).0)
                .into_iter()
                .map(|it| it.text)
                .collect::<Vec<_>>()
        };
        assert_eq!(texts("the pressure was twelve to fourteen"), ["12 to 14 mmHg"]);
        assert_eq!(texts("pressure under the anaesthetic was twelve"), ["12 mmHg"]);
        assert_eq!(texts("positive pressure six nine"), [] as [&str; 0]);
        assert_eq!(texts("pressure twenty four and an hour later it was sixteen"), ["24 mmHg", "16 mmHg"]);
        let after = |words: &str| with(words, time_after).map(|it| it.text);
        assert_eq!(after("two months later she saw").as_deref(), Some("2 months"));
        assert_eq!(after("eight weeks ago"), None);
        assert_eq!(after("on the third day").as_deref(), Some("3 days"));
        let refraction = |words: &str| with(words, refraction).map(|it| it.text);
        assert_eq!(refraction("minus one, minus two at ninety").as_deref(), Some("-1.00 -2.00 x 90"));
    }
}
