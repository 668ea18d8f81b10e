//! Times: how long after surgery, and the clock of the operation. Both are relative; a calendar date is refused.

use serde::{Deserialize, Serialize};
use std::fmt;

use super::Fault;
use super::number::Number;
use super::scan::{Cursor, body, judged, looks_like_date, plain, quoted};

/// What a time after surgery may be, for messages.
const AFTERS: &str = "a time after surgery such as `1 day`, `6 weeks` or `about 3 months`";
/// The longest time after surgery, in minutes: 120 years of 365.25 days.
const LONGEST_MINUTES: i64 = 120 * 525_960;

/// A unit of time after surgery.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Period {
    /// Minutes.
    Minute,
    /// Hours.
    Hour,
    /// Days.
    Day,
    /// Weeks of 7 days.
    Week,
    /// Months, counted as a twelfth of a year.
    Month,
    /// Years, counted as 365.25 days.
    Year,
}

impl Period {
    /// Every unit, with the units' other spellings.
    const TABLE: [(Self, &'static str, &'static [&'static str], i64); 6] = [
        (Self::Minute, "minute", &["min", "mins", "minutes"], 1),
        (Self::Hour, "hour", &["h", "hr", "hrs", "hours"], 60),
        (Self::Day, "day", &["d", "days"], 1440),
        (Self::Week, "week", &["wk", "wks", "weeks"], 10_080),
        (Self::Month, "month", &["mo", "mth", "mths", "months"], 43_830),
        (Self::Year, "year", &["y", "yr", "yrs", "years"], 525_960),
    ];

    fn named(words: &str) -> Option<Self> {
        Self::TABLE.iter().find(|row| row.1 == words || row.2.contains(&words)).map(|row| row.0)
    }

    fn name(self) -> &'static str {
        Self::TABLE.iter().find(|row| row.0 == self).map_or("day", |row| row.1)
    }

    /// Minutes in one: a month is a twelfth of 365.25 days.
    pub fn minutes(self) -> i64 {
        Self::TABLE.iter().find(|row| row.0 == self).map_or(1440, |row| row.3)
    }
}

/// A time after surgery: `2 hours`, `1 day`, `about 10 days`, `6 weeks`, `3 months`.
///
/// Ordered by length; equal lengths in different units by unit, the exact before the rough.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct After {
    amount: Number,
    period: Period,
    about: bool,
}

impl After {
    /// Reads a time after surgery; `day 1` is read as `1 day`, `same day` as `0 days`.
    ///
    /// # Errors
    /// A fault when the words are no such time. A calendar date is not repeated in the message.
    pub fn parse(text: &str) -> Result<Self, Fault> {
        judged(text, AFTERS, read_after)
    }

    /// The number of units.
    pub fn amount(&self) -> Number {
        self.amount
    }

    /// The unit.
    pub fn period(&self) -> Period {
        self.period
    }

    /// Whether the author wrote that the time is not exact.
    pub fn about(&self) -> bool {
        self.about
    }

    /// The length in whole minutes.
    pub fn minutes(&self) -> i64 {
        minutes(self.amount, self.period).unwrap_or(LONGEST_MINUTES)
    }

    /// The length in days.
    pub fn days(&self) -> f64 {
        self.minutes() as f64 / 1440.0
    }
}

/// Whole minutes of so many units; `None` when longer than anybody is followed.
fn minutes(amount: Number, period: Period) -> Option<i64> {
    let whole = i128::from(amount.micro()) * i128::from(period.minutes()) / 1_000_000;
    i64::try_from(whole).ok().filter(|minutes| (0..=LONGEST_MINUTES).contains(minutes))
}

fn read_after(text: &str) -> Result<After, Fault> {
    let part = body(text);
    if looks_like_date(text) {
        return Err(Fault::new(format!("a calendar date does not belong here; allowed is {AFTERS}"), part));
    }
    if ["same day", "on the day", "the same day", "on the same day"].contains(&plain(text).as_str()) {
        return Ok(After { amount: Number::whole(0), period: Period::Day, about: false });
    }
    let unclear = || Fault::new(format!("{} is not understood; allowed is {AFTERS}", quoted(text)), body(text));
    let mut cursor = Cursor::new(text);
    cursor.any_word(&["after"]);
    let about = cursor.about();
    // `day 1`, `week 6`, also with `post-op` or `postoperative` before it.
    let mut turned = cursor;
    turned.any_word(&["postoperative", "post-operative", "post-op", "postop"]);
    if let Some(period) = [Period::Day, Period::Week, Period::Month].into_iter().find(|unit| turned.word(unit.name())) {
        turned.spaces();
        let number = turned.number()?.filter(|number| !number.signed);
        return match number {
            Some(number) if turned.done() => checked(text, number.number, period, about),
            _ => Err(unclear()),
        };
    }
    let amount = match cursor.number()? {
        Some(number) if number.signed => return Err(unclear()),
        Some(number) => number.number,
        None => number_word(&mut cursor).ok_or_else(unclear)?,
    };
    cursor.spaces();
    if let Some(fault) = shorthand(text, cursor, amount) {
        return Err(fault);
    }
    if cursor.range_sign().is_some() {
        return Err(Fault::new(
            format!("{} is a range; one time is allowed, with `about` when it is not exact", quoted(text)),
            part,
        ));
    }
    let words = plain(cursor.rest());
    let hedge = if about { "about " } else { "" };
    if words.is_empty() {
        let fault = Fault::new(format!("{} has no unit; allowed is {AFTERS}", quoted(text)), part);
        let mend = |period| format!("{hedge}{}", After { amount, period, about: false });
        return Err(fault.or_any([Period::Day, Period::Week, Period::Month].map(mend)));
    }
    let words = ["later", "after surgery", "after", "post op", "postop", "postoperatively"]
        .iter()
        .find_map(|tail| words.strip_suffix(tail))
        .unwrap_or(&words);
    match Period::named(words.trim()) {
        Some(period) => checked(text, amount, period, about),
        None => {
            let near = crate::text::nearest(words, ["minutes", "hours", "days", "weeks", "months", "years"]);
            let part = cursor.rest_part();
            Err(Fault::new(
                format!(
                    "{} is not a unit of time here; minutes, hours, days, weeks, months or years are allowed",
                    quoted(cursor.rest())
                ),
                part,
            )
            .or_any(near.map(|unit| format!("{hedge}{amount} {unit}"))))
        }
    }
}

fn checked(text: &str, amount: Number, period: Period, about: bool) -> Result<After, Fault> {
    match minutes(amount, period) {
        Some(_) => Ok(After { amount, period, about }),
        None => Err(Fault::new(
            format!("{} is longer than anybody can be followed; at most 120 years are allowed", quoted(text)),
            body(text),
        )),
    }
}

/// `one` to `twelve` as a word.
fn number_word(cursor: &mut Cursor<'_>) -> Option<Number> {
    const WORDS: [&str; 12] =
        ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    let found = (1..).zip(WORDS).find(|(_, word)| cursor.word(word))?;
    Some(Number::whole(found.0))
}

/// The fault of the clinic's shorthand (`6/52` for six weeks), when it stands here.
fn shorthand(text: &str, mut cursor: Cursor<'_>, amount: Number) -> Option<Fault> {
    cursor.eat(&['/'])?;
    let period = match cursor.digits() {
        "7" => Period::Day,
        "52" => Period::Week,
        "12" => Period::Month,
        _ => return None,
    };
    cursor.done().then(|| {
        Fault::new(format!("{} is shorthand; the unit is written out", quoted(text)), body(text)).or(After {
            amount,
            period,
            about: false,
        }
        .to_string())
    })
}

impl fmt::Display for After {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let hedge = if self.about { "about " } else { "" };
        let ending = if self.amount == Number::whole(1) { "" } else { "s" };
        write!(out, "{hedge}{} {}{ending}", self.amount, self.period.name())
    }
}

/// What the clock of the operation may show, for messages.
const CLOCKS: &str = "a time on the operation's clock such as `2:30` (m:ss) or `1:02:30` (h:mm:ss)";
/// Seconds in a day: no operation in a case lasts longer.
const DAY_SECONDS: u32 = 86_400;

/// Time since the operation's clock was started, in whole seconds, less than a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Clock {
    seconds: u32,
}

impl Clock {
    /// Reads `m:ss` or `h:mm:ss`.
    ///
    /// # Errors
    /// A fault when the text is no such time.
    pub fn parse(text: &str) -> Result<Self, Fault> {
        judged(text, CLOCKS, read_clock)
    }

    /// Seconds since the start.
    pub fn seconds(self) -> u32 {
        self.seconds
    }
}

fn read_clock(text: &str) -> Result<Clock, Fault> {
    let part = body(text);
    let written = text[part.clone()].replace('∶', ":");
    let fields: Vec<&str> = written.split(':').collect();
    let fault = || Fault::new(format!("{} is not understood; allowed is {CLOCKS}", quoted(text)), part.clone());
    let digits =
        |field: &&str| !field.is_empty() && field.len() <= 4 && field.bytes().all(|byte| byte.is_ascii_digit());
    if !fields.iter().all(|field| digits(&field.trim())) {
        return Err(fault());
    }
    let numbers: Vec<u32> = fields.iter().filter_map(|field| field.trim().parse().ok()).collect();
    let two_wide = |field: &str| field.trim().len() == 2;
    let (hours, minutes, seconds, wide) = match (numbers.as_slice(), fields.as_slice()) {
        ([minutes], _) => return Err(fault().or(format!("{minutes}:00"))),
        ([minutes, seconds], [_, b]) => (0, *minutes, *seconds, two_wide(b)),
        ([hours, minutes, seconds], [_, b, c]) => (*hours, *minutes, *seconds, two_wide(b) && two_wide(c)),
        _ => return Err(fault()),
    };
    let over = seconds > 59 || (numbers.len() == 3 && minutes > 59);
    let total = hours * 3600 + minutes * 60 + seconds;
    if over || total >= DAY_SECONDS {
        let message = format!("{} runs past the hour or the day; allowed is {CLOCKS}", quoted(text));
        return Err(Fault::new(message, part.clone()));
    }
    let clock = Clock { seconds: total };
    if !wide {
        let message = format!("in {} each field after the first needs two digits", quoted(text));
        return Err(Fault::new(message, part.clone()).or(clock.to_string()));
    }
    Ok(clock)
}

impl fmt::Display for Clock {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (hours, minutes, seconds) = (self.seconds / 3600, self.seconds / 60 % 60, self.seconds % 60);
        if hours > 0 { write!(out, "{hours}:{minutes:02}:{seconds:02}") } else { write!(out, "{minutes}:{seconds:02}") }
    }
}
