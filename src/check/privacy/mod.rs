//! Finds what may identify a person in a text: names, numbers, places, dates. Pure: text in, places out.
//!
//! No pattern finds a bare name, a village or a story that the whole town knows. What each detector looks for, and what it
//! lets pass, stands in its file; the vectors are in `tests/data/identifiers.csv`.

/// A pattern of what stands beside a find, compiled when it is first needed.
macro_rules! pattern {
    ($pattern:expr $(,)?) => {
        std::sync::LazyLock::new(|| regex::Regex::new($pattern).expect("the pattern is sound"))
    };
}

mod age;
mod contact;
mod date;
mod device;
mod digits;
mod name;
mod national;
mod network;
mod normal;
mod number;
mod pattern;
mod place;

pub use network::is_known_site;
pub use normal::Normal;
use pattern::{Pattern, Searched};
use regex::{Captures, Regex};
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::LazyLock;

/// What a place in a text may give away. Where two hits overlap the first of this order stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// A number that a state or health service gives to one person.
    NationalNumber,
    /// A serial number or unique device identifier of an implant or machine.
    DeviceNumber,
    /// A number under which the hospital keeps the patient.
    RecordNumber,
    /// An e-mail address.
    Mail,
    /// An address of a machine or a page inside the hospital.
    InternalAddress,
    /// A path that names a user or a server.
    UserPath,
    /// A telephone number that is called one.
    Telephone,
    /// A full date, or a day and a month.
    Date,
    /// An age of 90 and over.
    Age,
    /// A name after a title, or named as a name.
    Name,
    /// An address that is called one.
    Address,
    /// A page outside the list of known sites.
    WebAddress,
    /// A lot or batch number.
    LotNumber,
    /// Digits in the form of a telephone number.
    PossibleTelephone,
    /// Digits in the form of a date with a year of two digits.
    PossibleDate,
    /// A month and a year.
    MonthAndYear,
    /// An address of a machine.
    NetworkAddress,
    /// A street with its number, or a postcode.
    PossibleAddress,
    /// Seven digits or more.
    LongNumber,
    /// A doctor's or a nurse's name.
    Colleague,
    /// Initials of a patient, or a relative's name.
    PossibleName,
    /// Where somebody lives or comes from.
    Home,
}

/// Something found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hit {
    /// What it may be.
    pub class: Class,
    /// Where it stands: bytes of the text that was searched.
    pub range: Range<usize>,
}

/// A detector: what it looks for, and how.
struct Detector {
    patterns: fn() -> Vec<&'static Pattern>,
    find: fn(&Searched<'_>, &mut Vec<Hit>),
}

/// A detector from its module.
macro_rules! detector {
    ($module:ident) => {
        Detector { patterns: $module::patterns, find: $module::find }
    };
}

static DETECTORS: [Detector; 9] = [
    detector!(national),
    detector!(device),
    detector!(number),
    detector!(contact),
    detector!(network),
    detector!(date),
    detector!(age),
    detector!(name),
    detector!(place),
];

/// Everything found in a text of one form, in order; no two overlap.
pub fn find(text: &str) -> Vec<Hit> {
    find_in(&Searched::of(text))
}

fn find_in(text: &Searched<'_>) -> Vec<Hit> {
    let mut found = Vec::new();
    for detector in &DETECTORS {
        (detector.find)(text, &mut found);
    }
    if found.is_empty() {
        return found;
    }
    let literature = literature(text);
    let cited = |range: &Range<usize>| {
        let next = literature.partition_point(|cited| cited.end <= range.start);
        literature.get(next).is_some_and(|cited| cited.start < range.end)
    };
    found.retain(|hit| !(hit.class.is_digits() && cited(&hit.range)));
    found.sort_by_key(|hit| (hit.class, hit.range.start, std::cmp::Reverse(hit.range.end)));
    // What stands, by where it begins: a text may hold tens of thousands.
    let mut kept: BTreeMap<usize, Hit> = BTreeMap::new();
    for hit in found {
        let before =
            kept.range(..=hit.range.start).next_back().is_some_and(|(_, other)| other.range.end > hit.range.start);
        let after = kept.range(hit.range.start..).next().is_some_and(|(start, _)| *start < hit.range.end);
        if !before && !after {
            kept.insert(hit.range.start, hit);
        }
    }
    kept.into_values().collect()
}

/// Everything found in a text as its author wrote it: places are bytes of that text.
pub fn find_written(text: &str) -> Vec<Hit> {
    let normal = Normal::of(text);
    find(&normal.text).into_iter().map(|hit| Hit { range: normal.source(hit.range), ..hit }).collect()
}

impl Class {
    /// The name of the rule that speaks of it.
    pub fn rule(self) -> &'static str {
        match self {
            Self::NationalNumber => "national-number",
            Self::DeviceNumber => "device-number",
            Self::RecordNumber => "record-number",
            Self::Mail => "e-mail-address",
            Self::InternalAddress => "internal-address",
            Self::UserPath => "user-path",
            Self::Telephone => "telephone-number",
            Self::Date => "calendar-date",
            Self::Age => "age-over-89",
            Self::Name => "personal-name",
            Self::Address => "postal-address",
            Self::WebAddress => "unlisted-site",
            Self::LotNumber => "lot-number",
            Self::PossibleTelephone => "possible-telephone-number",
            Self::PossibleDate => "possible-date",
            Self::MonthAndYear => "month-and-year",
            Self::NetworkAddress => "network-address",
            Self::PossibleAddress => "possible-address",
            Self::LongNumber => "long-number",
            Self::Colleague => "named-colleague",
            Self::PossibleName => "possible-name",
            Self::Home => "place-of-residence",
        }
    }

    /// Whether digits alone make it, so that the numbers of literature could be taken for it.
    fn is_digits(self) -> bool {
        matches!(
            self,
            Self::NationalNumber
                | Self::Telephone
                | Self::PossibleTelephone
                | Self::Date
                | Self::PossibleDate
                | Self::MonthAndYear
                | Self::LongNumber
                | Self::PossibleAddress
        )
    }
}

/// Numbers of literature, standards and trials, and counts: they name a paper, not a person.
fn literature(text: &str) -> Vec<Range<usize>> {
    static NUMBERS: LazyLock<Regex> = pattern!(
        r"(?i)(?-u:\b)(?:10\.\d{4,9}/[^\s,;\x22\]}]+|(?:PMID|PMCID|PMC|NCT|ISRCTN|CRD|ISSN|ISBN(?:-1[03])?|ISO(?:/IEC)?|IEC|EN|CPT|ORCID(?:\sid)?)\s?:?\s?[\d-]+X?|n\s?=\s?\d+)",
    );
    NUMBERS.find_iter(text).map(|found| found.range()).collect()
}

/// Adds every match that `keep` lets stand. The group `id`, where there is one, is what was found.
fn scan(
    text: &Searched<'_>,
    pattern: &Pattern,
    class: Class,
    out: &mut Vec<Hit>,
    keep: impl Fn(&str, &Captures<'_>) -> bool,
) {
    for captures in text.captures(pattern).into_iter().flatten() {
        let Some(found) = captures.name("id").or_else(|| captures.get(0)) else { continue };
        if keep(found.as_str(), &captures) {
            out.push(Hit { class, range: found.range() });
        }
    }
}

/// Every match stands.
fn always(_: &str, _: &Captures<'_>) -> bool {
    true
}

/// What stands before the match, at most so many bytes.
fn before<'t>(text: &'t str, captures: &Captures<'_>, most: usize) -> &'t str {
    let end = captures.get(0).map_or(0, |whole| whole.start());
    let mut start = end.saturating_sub(most);
    while !text.is_char_boundary(start) {
        start += 1;
    }
    &text[start..end]
}

/// What stands after the match.
fn after<'t>(text: &'t str, captures: &Captures<'_>) -> &'t str {
    &text[captures.get(0).map_or(0, |whole| whole.end())..]
}
