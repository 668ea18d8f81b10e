//! Numbers as people say them: `twenty-three point four`, `minus half`, `six and a half`, `nought point one`.
//!
//! Only words that are numbers are read. What sounds like one (`to`, `for`, `ate`) is not.

use super::words::{Speech, Stop};
use std::ops::Range;

/// A number and the words that said it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Said {
    /// As a case writes it: digits, a point, a sign before it if one was said.
    pub(super) text: String,
    /// Its words.
    pub(super) words: Range<usize>,
}

impl Said {
    /// Its value.
    pub(super) fn value(&self) -> f64 {
        self.text.parse().unwrap_or(f64::NAN)
    }

    /// Its value if it is a whole number without a sign.
    pub(super) fn whole(&self) -> Option<u32> {
        self.text.parse().ok()
    }
}

const UNITS: [&str; 20] = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
];
const TENS: [&str; 10] = ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];

/// Words behind which a number may begin with `point`.
const BEFORE_POINT: &[&str] = &[
    "mil",
    "mils",
    "ml",
    "millilitre",
    "millilitres",
    "percent",
    "cent",
    "milligram",
    "milligrams",
    "in",
    "of",
    "and",
    "with",
    "about",
    "only",
    "just",
    "is",
    "was",
    "minus",
    "plus",
    "injected",
    "gave",
];

/// A word below twenty.
fn unit(word: &str) -> Option<u32> {
    if word == "nought" || word == "naught" {
        return Some(0);
    }
    UNITS.iter().position(|known| *known == word).and_then(|at| u32::try_from(at).ok())
}

fn ten(word: &str) -> Option<u32> {
    TENS.iter().position(|known| !known.is_empty() && *known == word).and_then(|at| u32::try_from(at * 10).ok())
}

/// The number that begins at a word, as long as it goes.
pub(super) fn number(speech: &Speech<'_>, at: usize) -> Option<Said> {
    let (sign, from) = match speech.low(at) {
        "minus" => ("-", at + 1),
        "plus" => ("+", at + 1),
        _ => ("", at),
    };
    let (text, end) = unsigned(speech, from)?;
    Some(Said { text: format!("{sign}{text}"), words: at..end })
}

fn unsigned(speech: &Speech<'_>, at: usize) -> Option<(String, usize)> {
    let low = speech.low(at);
    if low.starts_with(|first: char| first.is_ascii_digit() || matches!(first, '-' | '+' | '−')) {
        let plain = low.replace('−', "-");
        let sound = plain.trim_start_matches(['-', '+']).bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
        return (sound && plain.matches('.').count() <= 1).then_some((plain, at + 1));
    }
    if let Some((text, end)) = part(speech, at) {
        return Some((text, end));
    }
    // "point two" without the nought before it.
    if low == "point" {
        // "too point two" is a number misheard, not two tenths: only behind a stop or one of these words it begins one.
        let before = at.checked_sub(1).map(|before| &speech.words[before]);
        let begins = before.is_none_or(|word| word.stop != Stop::None || BEFORE_POINT.contains(&word.low.as_str()));
        if !begins {
            return None;
        }
        let (digits, end) = digits(speech, at + 1)?;
        return Some((format!("0.{digits}"), end));
    }
    let (whole, end) = whole(speech, at)?;
    if speech.low(end) == "point" && joined(speech, end) {
        let (digits, end) = digits(speech, end + 1)?;
        return Some((format!("{whole}.{digits}"), end));
    }
    if speech.low(end) == "and"
        && let Some((fraction, end)) = part(speech, end + 1)
    {
        return Some((format!("{whole}{}", &fraction[1..]), end));
    }
    Some((whole.to_string(), end))
}

/// `half`, `a half`, `a quarter`, `three quarters`.
fn part(speech: &Speech<'_>, at: usize) -> Option<(String, usize)> {
    for (phrase, value) in [
        ("three quarters", "0.75"),
        ("a quarter", "0.25"),
        ("one quarter", "0.25"),
        ("quarter", "0.25"),
        ("half a", "0.5"),
        ("a half", "0.5"),
        ("one half", "0.5"),
        ("half", "0.5"),
    ] {
        if speech.says(at, phrase) {
            // "half a milligram": the article belongs to the unit.
            return Some((value.to_owned(), at + phrase.split(' ').count() - usize::from(phrase == "half a")));
        }
    }
    None
}

/// Whether a word and the one before it are not parted by a stop.
fn joined(speech: &Speech<'_>, at: usize) -> bool {
    at > 0 && at < speech.words.len() && speech.words[at - 1].stop == Stop::None
}

/// Digits after a point, one word each: `seven five`, or tens as in `point seventy five`.
fn digits(speech: &Speech<'_>, at: usize) -> Option<(String, usize)> {
    let (mut text, mut end) = (String::new(), at);
    while end == at || joined(speech, end) {
        let low = speech.low(end);
        if let Some(value) = unit(low).filter(|value| *value < 10) {
            text.push_str(&value.to_string());
        } else if matches!(low, "oh" | "o") {
            text.push('0');
        } else if let Some(value) = ten(low).filter(|_| text.is_empty()) {
            let more = unit(speech.low(end + 1)).filter(|more| (1..10).contains(more));
            text.push_str(&(value + more.unwrap_or(0)).to_string());
            end += 1 + usize::from(more.is_some());
            break;
        } else if low.bytes().all(|byte| byte.is_ascii_digit()) && !low.is_empty() && text.is_empty() {
            text.push_str(low);
        } else {
            break;
        }
        end += 1;
    }
    (!text.is_empty()).then_some((text, end))
}

/// `three hundred and fifty`, `fourteen hundred`, `a thousand two hundred`, `seventy two`.
fn whole(speech: &Speech<'_>, at: usize) -> Option<(u32, usize)> {
    let (total, end) = below_thousand(speech, at)?;
    if speech.low(end) != "thousand" || !joined(speech, end) || total >= 1000 {
        return Some((total, end));
    }
    let (rest, end) = rest(speech, end + 1, below_thousand);
    (rest < 1000).then_some((total * 1000 + rest, end))
}

fn below_thousand(speech: &Speech<'_>, at: usize) -> Option<(u32, usize)> {
    let article =
        speech.low(at) == "a" && matches!(speech.low(at + 1), "hundred" | "thousand") && joined(speech, at + 1);
    let (small, end) = if article { (1, at + 1) } else { below_hundred(speech, at)? };
    if speech.low(end) != "hundred" || !joined(speech, end) {
        return Some((small, end));
    }
    let (rest, end) = rest(speech, end + 1, below_hundred);
    Some((small * 100 + rest, end))
}

/// What follows `hundred` or `thousand`, with or without `and`; nought if no number does.
fn rest(speech: &Speech<'_>, at: usize, read: impl Fn(&Speech<'_>, usize) -> Option<(u32, usize)>) -> (u32, usize) {
    let from = if speech.low(at) == "and" { at + 1 } else { at };
    let free = joined(speech, at) && joined(speech, from);
    free.then(|| read(speech, from)).flatten().filter(|(rest, _)| *rest > 0).unwrap_or((0, at))
}

/// Whether a word belongs to numbers, so that a number beside it may be half of a longer one.
fn counts(low: &str) -> bool {
    const MORE: &[&str] = &["hundred", "hundreds", "thousand", "thousands", "million", "dozen", "point", "oh", "half"];
    unit(low).is_some() || ten(low).is_some() || MORE.contains(&low) || low.starts_with(|it: char| it.is_ascii_digit())
}

/// Whether a number is all of what was said: nothing that counts stands before it without a stop, nor behind it up to `end`.
///
/// `a day, one sixteen`: the number of a day or week is told before a value and is no part of it.
pub(super) fn is_entire(speech: &Speech<'_>, words: &Range<usize>, other: impl Fn(usize) -> bool) -> bool {
    let before = |back: usize| words.start.checked_sub(back).filter(|at| speech.words[*at].stop == Stop::None);
    let low = |back: usize| before(back).map_or("", |at| speech.low(at));
    let day = matches!(low(2), "day" | "week" | "month" | "grade");
    let split = low(1) == "and" && matches!(low(2), "hundred" | "thousand" | "point");
    let cut = counts(low(1)) && !day && !before(1).is_some_and(&other);
    let goes_on = joined(speech, words.end) && counts(speech.low(words.end)) && !other(words.end);
    !(split || cut || goes_on)
}

fn below_hundred(speech: &Speech<'_>, at: usize) -> Option<(u32, usize)> {
    let low = speech.low(at);
    if let Some(tens) = ten(low) {
        let more = unit(speech.low(at + 1)).filter(|more| (1..10).contains(more) && joined(speech, at + 1));
        return Some((tens + more.unwrap_or(0), at + 1 + usize::from(more.is_some())));
    }
    unit(low).map(|value| (value, at + 1))
}

/// A number in hundreds said as a pair, `one eighty` or `three twenty five`: two numbers side by side.
pub(super) fn hundreds(speech: &Speech<'_>, at: usize) -> Option<Said> {
    let first = unit(speech.low(at)).filter(|first| (1..10).contains(first))?;
    ten(speech.low(at + 1)).filter(|_| joined(speech, at + 1))?;
    let (rest, end) = below_hundred(speech, at + 1)?;
    Some(Said { text: (first * 100 + rest).to_string(), words: at..end })
}

/// Every number of a range, from left to right, none within another.
pub(super) fn all(speech: &Speech<'_>, range: Range<usize>) -> Vec<Said> {
    let mut found = Vec::new();
    let mut at = range.start;
    while at < range.end {
        match number(speech, at) {
            Some(said) if said.words.end <= range.end => {
                at = said.words.end;
                found.push(said);
            }
            _ => at += 1,
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draft::words::said;

    fn read(words: &str) -> Vec<String> {
        said(words, all).into_iter().map(|it| it.text).collect()
    }

    #[test]
    fn numbers_are_read_as_they_are_said() {
        for (words, numbers) in [
            ("twenty-three point four millimetres", &["23.4"][..]),
            ("nought point one of a millilitre", &["0.1"]),
            ("point two of a mil", &["0.2"]),
            ("two point seven five", &["2.75"]),
            ("three hundred and fifty", &["350"]),
            ("fourteen hundred cells", &["1400"]),
            ("minus half", &["-0.5"]),
            ("minus a quarter", &["-0.25"]),
            ("plus nine", &["+9"]),
            ("minus three quarters", &["-0.75"]),
            ("six and a half", &["6.5"]),
            ("twenty two and a half dioptres", &["22.5"]),
            ("half a milligram", &["0.5"]),
            ("six over thirty-six", &["6", "36"]),
            ("22.0 D and 2.3 mm", &["22.0", "2.3"]),
            ("for clock hours to go", &[]),
            ("3, 4 and 10-0", &["3", "4"]),
            ("a hundred and twenty five", &["125"]),
            ("a hundred", &["100"]),
            ("two thousand three hundred and four", &["2304"]),
            ("a thousand and one", &["1001"]),
            ("nought point oh five", &["0.05"]),
            ("three hundred and flow", &["300"]),
            ("0,1 ml and 1,000", &[]),
        ] {
            assert_eq!(read(words), numbers, "{words}");
        }
    }

    /// A whole number in words, written for this test alone.
    fn spoken(number: u32, and: bool) -> String {
        let joint = if and { " and " } else { " " };
        match number {
            0..20 => UNITS[number as usize].to_owned(),
            20..100 if number.is_multiple_of(10) => TENS[number as usize / 10].to_owned(),
            20..100 => format!("{} {}", TENS[number as usize / 10], UNITS[number as usize % 10]),
            100..1000 => {
                let head = format!("{} hundred", UNITS[number as usize / 100]);
                if number.is_multiple_of(100) { head } else { head + joint + &spoken(number % 100, and) }
            }
            _ => {
                let head = format!("{} thousand", spoken(number / 1000, and));
                let rest = number % 1000;
                let joint = if and && rest < 100 { " and " } else { " " };
                if rest == 0 { head } else { head + joint + &spoken(rest, and) }
            }
        }
    }

    #[test]
    fn every_whole_number_is_read_back_and_no_half_of_it_is_trusted() {
        for number in (0..3000).chain([9_999, 20_000, 43_210, 100_000, 999_999]) {
            for and in [false, true] {
                let words = spoken(number, and);
                assert_eq!(read(&words), [number.to_string()], "{words}");
            }
        }
        for (words, entire) in [
            ("twenty two", true),
            ("couple hundred and five", false),
            ("two and a half thousand", false),
            ("five million", false),
            ("one oh five", false),
            ("twenty twenty", false),
            ("sixteen, twenty", true),
        ] {
            let as_said = |speech: &Speech<'_>, range: Range<usize>| {
                all(speech, range).iter().all(|it| is_entire(speech, &it.words, |_| false) == entire)
            };
            assert!(said(words, as_said), "{words}");
        }
    }
}
