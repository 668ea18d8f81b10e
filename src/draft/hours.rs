//! Clock hours and sides of the eye in running speech.

use super::doubt;
use super::facts::Value;
use super::numbers::{Said, all, is_entire};
use super::units::{NAMES, unit};
use super::words::Speech;
use std::ops::Range;

/// Words of the clock on the wall.
const WALL_CLOCK: &[&str] = &[
    "afternoon",
    "morning",
    "evening",
    "tonight",
    "night",
    "sharp",
    "lunch",
    "past",
    "noon",
    "clock says",
    "half past",
    "quarter past",
    "quarter to",
];
/// Words that say when and not where.
const UNTIL: &[&str] =
    &["is", "it's", "until", "till", "since", "by", "before", "after", "past", "was", "nearly", "already", "now"];

/// Whether an hour is one of the clock on the wall.
fn is_time_of_day(speech: &Speech<'_>, words: &Range<usize>) -> bool {
    let sentence = &speech.sentences[speech.sentence_of(words.start)].words;
    let near = sentence.start.max(words.start.saturating_sub(4))..sentence.end.min(words.end + 4);
    let low = |back: usize| words.start.checked_sub(back).map_or("", |at| speech.low(at));
    let it =
        matches!(low(2), "it" | "nearly" | "already" | "now") || matches!(low(1), "it's" | "until" | "since" | "till");
    speech.any(&near, WALL_CLOCK) || it && UNTIL.contains(&low(1))
}

/// Whether a number may be an hour for which no `o'clock` was said: it stands after `at`, or in a list of such.
pub(super) fn bare_hours(speech: &Speech<'_>, range: Range<usize>) -> Vec<Range<usize>> {
    let mut found: Vec<Range<usize>> = Vec::new();
    for said in all(speech, range) {
        let fits = said.whole().is_some_and(|hour| (1..=12).contains(&hour)) && unit(speech, said.words.end).is_none();
        let before = speech.low(said.words.start.wrapping_sub(1));
        let joins = before == "and" && found.last().is_some_and(|last| last.end + 1 == said.words.start);
        if fits && (before == "at" || joins) {
            found.push(said.words);
        }
    }
    found
}

/// Every clock hour or stretch of clock hours in a range: said with `o'clock`, or in one list with such an hour.
pub(super) fn hours(speech: &Speech<'_>, range: Range<usize>) -> Vec<Value> {
    let mut found: Vec<Value> = Vec::new();
    let numbers = all(speech, range);
    let hour = |said: &Said| said.whole().is_some_and(|hour| (1..=12).contains(&hour));
    let clock = |said: &Said| unit(speech, said.words.end).filter(|(unit, _)| *unit == "o'clock").map(|(_, end)| end);
    let mut clocked: Vec<bool> = numbers.iter().map(|said| hour(said) && clock(said).is_some()).collect();
    // The word is said once for two: "at two and ten o'clock", "one at two o'clock and one at eight".
    const BETWEEN: &[&str] = &[
        "and", "to", "or", "one", "at", "the", "other", "another", "a", "second", "port", "o'clock", "o", "clock",
        "oclock",
    ];
    let listed = |one: &Said, next: &Said| {
        let between = one.words.end..next.words.start;
        between.len() <= 6 && between.clone().all(|at| BETWEEN.contains(&speech.low(at)))
    };
    for at in (0..numbers.len()).rev() {
        let free = hour(&numbers[at]) && unit(speech, numbers[at].words.end).is_none();
        let joined = |next: &Said| {
            let between = numbers[at].words.end..next.words.start;
            between.len() <= 1 && between.clone().all(|at| matches!(speech.low(at), "and" | "to" | "or"))
        };
        clocked[at] |= free && at + 1 < numbers.len() && clocked[at + 1] && joined(&numbers[at + 1]);
    }
    for at in 1..numbers.len() {
        let free = hour(&numbers[at]) && unit(speech, numbers[at].words.end).is_none();
        // "And one at eight": the pronoun is no hour.
        let pronoun = speech.low(numbers[at].words.start) == "one" && speech.low(numbers[at].words.end) == "at";
        let behind = matches!(speech.low(numbers[at].words.start - 1), "at" | "and" | "to") && !pronoun;
        let last = (0..at).rev().find(|&before| clocked[before]);
        clocked[at] |= free && behind && last.is_some_and(|last| listed(&numbers[last], &numbers[at]));
    }
    let mut at = 0;
    while at < numbers.len() {
        let said = &numbers[at];
        at += 1;
        if !clocked[at - 1] {
            continue;
        }
        let (start, end) = (said.words.start, said.words.end);
        let last = |said: &Said| clock(said).unwrap_or(said.words.end);
        let words = start..last(said);
        if is_time_of_day(speech, &words) {
            continue;
        }
        let next = numbers.get(at).filter(|next| clocked[at] && next.words.start == words.end + 1);
        let joint = speech.low(words.end);
        match next {
            Some(next) if joint == "to" && speech.low(start.wrapping_sub(1)) != "at" => {
                let words = start..last(next);
                let text = format!("{} to {} o'clock", said.text, next.text);
                found.push(Value::new(text, words).checked(speech));
                at += 1;
            }
            // "At two or three o'clock": two for one.
            Some(next) if matches!(joint, "to" | "or") => {
                let words = start..last(next);
                let text = format!("{} o'clock", said.text);
                found.push(Value { doubt: Some(doubt::LOOSE), ..Value::new(text, words) });
                at += 1;
            }
            _ => {
                let mut value = Value::new(format!("{} o'clock", said.text), words).checked(speech);
                let whole = is_entire(speech, &(start..end), |_| false);
                value.doubt = value.doubt.or((!whole).then_some(doubt::PART));
                // "Ten, perhaps, eleven o'clock": a number before it that nothing names may be the first of two hours.
                let rival = at.checked_sub(2).map(|before| &numbers[before]).filter(|_| !clocked[at - 2]).is_some_and(
                    |before| {
                        let between = before.words.end..start;
                        hour(before)
                            && unit(speech, before.words.end).is_none()
                            && (1..=4).contains(&between.len())
                            && !between.clone().any(|at| NAMES.contains(&speech.low(at)))
                    },
                );
                value.doubt = value.doubt.or(rival.then_some(doubt::LOOSE));
                found.push(value);
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
    ("temple", "temporal"),
    ("nasal", "nasal"),
    ("nasally", "nasal"),
];

/// The side of the eye that is named in a range, in doubt if two are.
pub(super) fn side(speech: &Speech<'_>, range: Range<usize>) -> Option<Value> {
    let mut found: Option<Value> = None;
    for at in range {
        let Some((_, side)) = SIDES.iter().find(|(said, _)| speech.low(at) == *said) else { continue };
        match &mut found {
            None => found = Some(Value::new(*side, at..at + 1).checked(speech)),
            Some(first) if first.text != *side => first.doubt = first.doubt.or(Some(doubt::LOOSE)),
            Some(_) => {}
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draft::words::said;

    fn read(words: &str) -> Vec<String> {
        said(words, hours).into_iter().map(|it| it.text).collect()
    }

    #[test]
    fn clock_hours_are_read_and_never_guessed() {
        for (words, expected) in [
            ("ports at two and ten o'clock", vec!["2 o'clock", "10 o'clock"]),
            ("one at two o'clock and one at eight", vec!["2 o'clock", "8 o'clock"]),
            ("from four to seven o'clock", vec!["4 to 7 o'clock"]),
            ("for to seven a clock", vec![]),
            ("side port at two o'clock flow at ten", vec!["2 o'clock"]),
            ("it is nearly four o'clock in the afternoon", vec![]),
            ("ports at eleven and seven", vec![]),
            ("at four weeks and at sixty-five", vec![]),
        ] {
            assert_eq!(read(words), expected, "{words}");
        }
    }
}
