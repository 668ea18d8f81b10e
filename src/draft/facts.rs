//! Quantities in running speech: what is measured, in which unit, and of what.
//!
//! A number stands for something only if its unit was said, or if the trade never says one: pressures of the eye are told in
//! mmHg, as every tonometer reads (ISO 8612), acuities as a fraction, clock hours after `at`. Every other bare number is asked back.

use super::acuity::acuity_at;
use super::doubt;
use super::numbers::{Said, all, is_entire, number};
use super::units::{Measured, measured, unit};
use super::words::{Speech, Stop};
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
    /// A trouble, by the first word of its mention.
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
    /// Why it must not be written, if it must not: its words are quoted and asked back.
    pub(super) doubt: Option<&'static str>,
}

impl Value {
    pub(super) fn new(text: impl Into<String>, words: Range<usize>) -> Self {
        Self { text: text.into(), words, guess: false, doubt: None }
    }

    /// The same, in doubt where somebody corrects, limits or denies it; an estimate is no exact value either.
    pub(super) fn checked(self, speech: &Speech<'_>) -> Self {
        let doubt = Measured::standing_of(speech, &self.words);
        Self { doubt: self.doubt.or(doubt), ..self }
    }
}

/// Words that may stand between `pressure` and its number, right before the number.
const LEADS_TO: &[&str] = &[
    "of",
    "was",
    "is",
    "were",
    "to",
    "at",
    "about",
    "just",
    "only",
    "around",
    "from",
    "between",
    "reads",
    "measured",
    "applanation",
    "goldmann",
    "tonometer",
];

/// Words before `pressure` that make of it another one than that which is measured at a visit.
const OTHER_PRESSURES: &[&str] = &[
    "positive",
    "vitreous",
    "blood",
    "posterior",
    "infusion",
    "arterial",
    "venous",
    "systolic",
    "air",
    "gas",
    "bottle",
    "pump",
    "line",
    "irrigation",
    "suction",
    "aspiration",
    "vacuum",
    "set",
    "target",
    "high",
    "external",
    "finger",
    "digital",
    "gentle",
    "some",
    "firm",
    "no",
    "any",
    "more",
    "less",
    "orbital",
    "back",
    "cuff",
    "water",
    "oxygen",
    "vented",
];

/// Every pressure of the eye in a range; `open` says that one was spoken of just before.
pub(super) fn pressures(speech: &Speech<'_>, range: Range<usize>, open: bool) -> (Vec<Value>, bool) {
    let mut found = Vec::new();
    let mut open = open;
    let measured = measured(speech, range.clone());
    let mut at = range.start;
    while at < range.end {
        let low = speech.low(at);
        let low = low.strip_suffix("'s").unwrap_or(low);
        let named = matches!(low, "pressure" | "pressures" | "iop")
            && !(at > 0 && OTHER_PRESSURES.contains(&speech.low(at - 1)))
            && !matches!(speech.low(at + 1), "cuff" | "patch" | "pad" | "dressing" | "bandage" | "infusion" | "bottle");
        // "Infusion pressure is at fifty", and "it was" behind it: no pressure of the eye is spoken of any more.
        if matches!(low, "pressure" | "pressures") && !named {
            open = false;
        }
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
            .find(|&first| number(speech, first).is_some() && acuity_at(speech, first).is_none())
            .filter(|&first| joins(first));
        let blocked = |to: usize| (at + 1..to).any(|at| acuity_at(speech, at).is_some());
        let value = first.filter(|&first| !blocked(first)).and_then(|first| pressure(&measured, first));
        match value {
            Some(mut value) => {
                value.guess = !named;
                value.words.start = at;
                at = value.words.end.max(at + 1);
                found.push(value);
            }
            None => at += 1,
        }
    }
    (found, open)
}

/// A number that can be a pressure, or two with `to` between them.
fn pressure(measured: &[Measured], at: usize) -> Option<Value> {
    let it = measured.iter().find(|it| it.words.contains(&at))?;
    let fits = |said: &Said| (0.0..=90.0).contains(&said.value()) && !said.text.starts_with(['-', '+']);
    if !matches!(it.unit, None | Some("mmHg")) || !fits(&it.number) || !it.upper.as_ref().is_none_or(fits) {
        return None;
    }
    Some(Value { doubt: it.doubt(false), ..Value::new(it.written("mmHg"), it.words.clone()) })
}

/// A time after surgery: `the next day`, `at six weeks`, `two months later`, `day one`.
pub(super) fn time_after(speech: &Speech<'_>, range: Range<usize>) -> Option<Value> {
    for at in range.clone() {
        for phrase in [
            "the next day",
            "next day",
            "the next morning",
            "next morning",
            "the following day",
            "the following morning",
            "first morning",
            "the morning after",
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
        // "Day three it was nineteen."
        let day = (speech.low(at) == "day").then(|| number(speech, at + 1)).flatten();
        if let Some(day) = day.filter(|day| day.whole().is_some_and(|day| (2..=14).contains(&day)))
            && (at == range.start || matches!(speech.low(at - 1), "on" | "by" | "and" | "then"))
            && unit(speech, day.words.end).is_none()
        {
            let value = Value::new(format!("{} days", day.text), at..day.words.end).checked(speech);
            let loose = matches!(speech.low(day.words.end), "or" | "to").then_some(doubt::LOOSE);
            return Some(Value { doubt: value.doubt.or(loose), ..value });
        }
        let said = number(speech, at);
        let later = matches!(speech.low(at), "day" | "week" | "month") && speech.low(at + 1) == "later";
        if later && (at == range.start || speech.low(at - 1) == "a") {
            return Some(Value::new(format!("1 {}", speech.low(at)), at..at + 2));
        }
        // "At a month", "after a week", "a week on it's six six".
        let one = speech.low(at) == "a"
            && if at > range.start { matches!(speech.low(at - 1), "at" | "after") } else { speech.low(at + 2) == "on" };
        let (count, end) = match said {
            Some(said) => (said.text, said.words.end),
            None if one => ("1".to_owned(), at + 1),
            None => continue,
        };
        let period = match speech.low(end) {
            "day" | "days" => "day",
            "week" | "weeks" => "week",
            "month" | "months" => "month",
            _ => continue,
        };
        let before = speech.low(at.wrapping_sub(1));
        let after = speech.low(end + 1);
        let first = at == range.start || at == range.start + 1 && matches!(before, "and" | "then");
        if after == "ago" || matches!(before, "for" | "within" | "in" | "every" | "of" | "about") {
            continue;
        }
        // "By one week it was gone", and not "put off by one week".
        let by = before == "by"
            && (at == range.start + 1
                || speech.low(at.wrapping_sub(2)) == "and"
                || matches!(after, "it" | "he" | "she" | "the"));
        // "A week on it's six six", and not "six months on tamsulosin".
        let goes_on = || {
            speech.words[end + 1].stop != Stop::None
                || matches!(speech.low(end + 2), "it" | "it's" | "he" | "he's" | "she" | "she's" | "the" | "six")
        };
        let first = first && (after != "on" || goes_on());
        if matches!(before, "at" | "after" | "or") || by || after == "later" || first {
            let whole = count != "1";
            let plural = if whole { "s" } else { "" };
            let words = at..end + 1 + usize::from(after == "later" || first && after == "on");
            let one_of_two = matches!(before, "or" | "to") || matches!(speech.low(end + 1), "or" | "to");
            let value = Value::new(format!("{count} {period}{plural}"), words).checked(speech);
            let whole = is_entire(speech, &(at..end), |_| false);
            let doubt = if one_of_two { Some(doubt::LOOSE) } else { (!whole).then_some(doubt::PART) };
            return Some(Value { doubt: value.doubt.or(doubt), ..value });
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
        let text = format!("{} {} x {}", two(sphere), two(cylinder), axis.text);
        return Some(Value::new(text, sphere.words.start..axis.words.end).checked(speech));
    }
    // A second signed number that makes no cylinder: which of the two is the sphere was not said.
    let more = numbers[at + 1..].iter().any(signed).then_some(doubt::LOOSE);
    Some(Value { doubt: more, ..Value::new(format!("{} D", two(sphere)), sphere.words.clone()) }.checked(speech))
}

/// Every age in whole years of a range.
pub(super) fn ages(speech: &Speech<'_>, range: Range<usize>, early: bool) -> Vec<Value> {
    let mut found = Vec::new();
    for it in measured(speech, range.clone()) {
        let said = &it.number;
        let Some(years) = said.whole().filter(|years| (1..=115).contains(years)) else { continue };
        let (start, end) = (said.words.start, it.upper.as_ref().map_or(said.words.end, |upper| upper.words.end));
        let old = speech.says(end, "year old") || speech.says(end, "years old") || speech.says(end, "years of age");
        let before = speech.low(start.wrapping_sub(1));
        // "She is one of our patients" is no age.
        let is = !(speech.low(start) == "one" && speech.low(end) == "of")
            && matches!(before, "he's" | "she's" | "is" | "aged" | "was")
            && (before == "aged"
                || matches!(before, "he's" | "she's")
                || matches!(
                    speech.low(start.wrapping_sub(2)),
                    "he" | "she"
                        | "boy"
                        | "girl"
                        | "man"
                        | "woman"
                        | "lady"
                        | "gentleman"
                        | "fella"
                        | "chap"
                        | "patient"
                ));
        // "This fella's sixty-nine", "female patient seventy two years".
        let is = is
            || matches!(before, "fella's" | "man's" | "lady's" | "chap's" | "woman's" | "boy's" | "girl's")
            || matches!(before, "patient" | "female" | "male") && speech.low(end) == "years"
            || matches!(before, "woman" | "man" | "lady" | "girl" | "boy" | "chap") && end >= range.end;
        let of = before == "of"
            && matches!(speech.low(start.wrapping_sub(2)), "woman" | "man" | "lady" | "gentleman" | "girl" | "boy");
        // "Right eye, man, 74" and "He's a farmer, forty-four": between two stops, behind the person.
        let person = start > range.start
            && speech.any(
                &(range.start..start),
                &[
                    "woman",
                    "man",
                    "lady",
                    "gentleman",
                    "girl",
                    "boy",
                    "male",
                    "female",
                    "he's a",
                    "she's a",
                    "he is a",
                    "she is a",
                ],
            )
            && start - range.start <= 6
            && speech.words[start - 1].stop == Stop::Comma
            && speech.words[end - 1].stop != Stop::None;
        let alone = range.len() == said.words.len() || person;
        let free =
            (unit(speech, end).is_none() || (of || is) && speech.low(end) == "years") && speech.low(end) != "point";
        // "He was sixty when the other eye was done": another time.
        let behind = speech.low(if old { end + 2 } else { end });
        let then = before == "was" && matches!(behind, "when" | "then" | "at" | "and")
            || speech.any(&(range.start.max(start.saturating_sub(3))..start), &["when he was", "when she was"]);
        if !then && (old || (early && free && (is || of || alone))) {
            let text = if years >= 90 { "90+".to_owned() } else { said.text.clone() };
            let words = start..if old { end + 2 } else { end };
            found.push(Value { doubt: it.doubt(true), ..Value::new(text, words) });
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draft::words::said;

    #[test]
    fn pressures_times_and_refractions() {
        let texts = |words: &str| {
            said(words, |speech, range| pressures(speech, range, false).0)
                .into_iter()
                .map(|it| it.text)
                .collect::<Vec<_>>()
        };
        assert_eq!(texts("the pressure was twelve to fourteen"), ["12 to 14 mmHg"]);
        assert_eq!(texts("pressure under the anaesthetic was twelve"), ["12 mmHg"]);
        assert_eq!(texts("positive pressure six nine"), [] as [&str; 0]);
        assert_eq!(texts("pressure twenty four and an hour later it was sixteen"), ["24 mmHg", "16 mmHg"]);
        let after = |words: &str| said(words, time_after).map(|it| it.text);
        assert_eq!(after("two months later she saw").as_deref(), Some("2 months"));
        assert_eq!(after("eight weeks ago"), None);
        assert_eq!(after("on the third day").as_deref(), Some("3 days"));
        let refraction = |words: &str| said(words, refraction).map(|it| it.text);
        assert_eq!(refraction("minus one, minus two at ninety").as_deref(), Some("-1.00 -2.00 x 90"));
    }
}
