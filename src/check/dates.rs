//! Calendar dates in running text.

use regex::Regex;
use std::ops::Range;
use std::sync::LazyLock;

/// Full dates: ISO, day-month-year with a year of four digits, and with the month in words.
///
/// Three parts are asked for, so that 6/12, 20/40 and 10-0 do not match.
static DATES: LazyLock<Vec<Regex>> = LazyLock::new(|| {
    const MONTH: &str = "(?:January|February|March|April|May|June|July|August|September|October|November|December|Jan|Feb|Mar|Apr|Jun|Jul|Aug|Sept?|Oct|Nov|Dec)";
    [
        r"\b(?:19|20)\d{2}[-/.](?:0?[1-9]|1[0-2])[-/.](?:0?[1-9]|[12]\d|3[01])\b".to_owned(),
        r"\b(?:0?[1-9]|[12]\d|3[01])[-/.](?:0?[1-9]|[12]\d|3[01])[-/.](?:19|20)\d{2}\b".to_owned(),
        format!(r"\b(?:0?[1-9]|[12]\d|3[01])(?:st|nd|rd|th)?\s+(?:of\s+)?{MONTH}\.?,?\s+(?:19|20)\d{{2}}\b"),
        format!(r"\b{MONTH}\.?\s+(?:0?[1-9]|[12]\d|3[01])(?:st|nd|rd|th)?,?\s+(?:19|20)\d{{2}}\b"),
    ]
    .iter()
    .filter_map(|pattern| Regex::new(pattern).ok())
    .collect()
});

/// Where full dates stand in a text, as byte ranges in order.
pub(crate) fn find(text: &str) -> Vec<Range<usize>> {
    // Every pattern needs a year; most texts have none.
    if !text.contains("19") && !text.contains("20") {
        return Vec::new();
    }
    let mut found: Vec<Range<usize>> =
        DATES.iter().flat_map(|date| date.find_iter(text).map(|found| found.range())).collect();
    found.sort_by_key(|range| (range.start, range.end));
    found.dedup_by(|later, earlier| later.start < earlier.end);
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pattern_compiles() {
        assert_eq!(DATES.len(), 4);
    }

    #[test]
    fn dates_are_found_and_fractions_are_not() {
        for date in [
            "2024-03-12",
            "12/03/2024",
            "12.3.2024",
            "12 March 2024",
            "3rd of May 2023",
            "March 12, 2024",
            "Sept. 3 2019",
        ] {
            assert_eq!(find(&format!("seen on {date} in clinic")).len(), 1, "{date}");
        }
        for other in [
            "6/12",
            "20/40",
            "10-0 nylon",
            "2004;88:1242",
            "doi:10.1136/bjo.2004.046003",
            "may 12 mm",
            "in 2019 we",
            "2026-05",
        ] {
            assert!(find(other).is_empty(), "{other}");
        }
    }
}
