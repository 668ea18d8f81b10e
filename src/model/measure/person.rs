//! The patient, as little of one as a case may tell.

use serde::{Deserialize, Serialize};
use std::fmt;

use super::Fault;
use super::scan::{Cursor, body, judged, looks_like_date, plain, quoted};

/// What an age may be, for messages.
const AGES: &str = "whole years up to 89, months for an infant (`4 months`), or `90+`";
/// The greatest age that is told: ages above it could point to one person (45 CFR 164.514(b)(2)(i)(C)).
const OLDEST: u32 = 89;
/// The greatest age in months; from two years on an age is told in years (common practice, no source).
const MOST_MONTHS: u32 = 23;

/// An age, never finer than whole years after infancy and never above 89.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Age {
    /// Whole months, 0 to 23.
    Months(u8),
    /// Whole years, 0 to 89.
    Years(u8),
    /// 90 years or more.
    NinetyAndOver,
}

impl Age {
    /// Reads an age.
    ///
    /// # Errors
    /// A fault when the words are no age that may be told. The message never repeats an age of 90 or over, nor a date.
    pub fn parse(text: &str) -> Result<Self, Fault> {
        judged(text, AGES, read_age)
    }

    /// The age in whole years, the least it can be.
    pub fn at_least_years(self) -> u8 {
        match self {
            Self::Months(months) => months / 12,
            Self::Years(years) => years,
            Self::NinetyAndOver => 90,
        }
    }
}

fn read_age(text: &str) -> Result<Age, Fault> {
    let part = body(text);
    if looks_like_date(text) {
        return Err(Fault::new(format!("a date does not belong here; allowed is {AGES}"), part));
    }
    let words = plain(text);
    if ["90+", "90 +", "90 and over", "90 or over", "over 89", "> 89", ">89", "≥90"].contains(&words.as_str()) {
        return Ok(Age::NinetyAndOver);
    }
    let unclear = || Fault::new(format!("{} is not an age; allowed is {AGES}", quoted(text)), body(text));
    let mut cursor = Cursor::new(text);
    let digits = cursor.digits();
    if digits.is_empty() {
        return Err(unclear());
    }
    // More digits than fit are in any case too old.
    let number = digits.parse::<u32>().unwrap_or(u32::MAX);
    let unit = plain(cursor.rest());
    match unit.as_str() {
        "" | "y" | "yr" | "yrs" | "year" | "years" | "years old" | "year old" => match u8::try_from(number) {
            Ok(years) if number <= OLDEST => Ok(Age::Years(years)),
            _ => {
                Err(Fault::new("an age of 90 and over could point to one person; it is written `90+`", part).or("90+"))
            }
        },
        "month" | "months" | "mo" | "mths" | "mth" | "months old" | "month old" => match u8::try_from(number) {
            Ok(months) if number <= MOST_MONTHS => Ok(Age::Months(months)),
            _ => {
                let fault = Fault::new(format!("from 24 months on an age is told in years; allowed is {AGES}"), part);
                Err(if number / 12 <= OLDEST { fault.or((number / 12).to_string()) } else { fault })
            }
        },
        "+" if number > OLDEST => Err(Fault::new("ages of 90 and over are written `90+`", part).or("90+")),
        "day" | "days" | "week" | "weeks" => {
            // Days and weeks in a month, rounded down: good enough for the whole months of an infant.
            let months = number / if unit.starts_with('d') { 30 } else { 4 };
            let mend = u8::try_from(months).ok().map(|months| Age::Months(months).to_string());
            Err(Fault::new(format!("days and weeks of age are not told; allowed is {AGES}"), part).or_any(mend))
        }
        _ if number > OLDEST => Err(Fault::new(format!("this is not an age; allowed is {AGES}"), part)),
        _ => Err(unclear()),
    }
}

impl fmt::Display for Age {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Months(1) => out.write_str("1 month"),
            Self::Months(months) => write!(out, "{months} months"),
            Self::Years(years) => write!(out, "{years}"),
            Self::NinetyAndOver => out.write_str("90+"),
        }
    }
}

/// The sex of the patient, as far as the case needs it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Sex {
    /// Female.
    Female,
    /// Male.
    Male,
    /// Neither, or not to be told.
    Other,
}

impl Sex {
    /// Every sex.
    pub const ALL: [Self; 3] = [Self::Female, Self::Male, Self::Other];

    /// Reads `female`, `male` or `other`.
    ///
    /// # Errors
    /// A fault when the word is another.
    pub fn parse(text: &str) -> Result<Self, Fault> {
        judged(text, "female, male or other", |text| match plain(text).as_str() {
            "female" | "f" | "woman" | "girl" => Ok(Self::Female),
            "male" | "m" | "man" | "boy" => Ok(Self::Male),
            "other" => Ok(Self::Other),
            words => {
                let near = crate::text::nearest(words, ["female", "male", "other"]);
                Err(Fault::new(format!("{} is not female, male or other", quoted(text)), body(text))
                    .or_any(near.map(str::to_owned)))
            }
        })
    }
}

impl fmt::Display for Sex {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Female => "female",
            Self::Male => "male",
            Self::Other => "other",
        })
    }
}
