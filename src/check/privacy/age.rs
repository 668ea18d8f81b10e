//! Ages of 90 and over. They are told as `90+`, and so is everything that gives such an age away.
//!
//! Let pass: "in her nineties", which says no more than `90+`, and a bare number after a comma.

use super::{Class, Hit, Pattern, Searched, after, before, scan};
use regex::Regex;
use std::sync::LazyLock;

static AGE: Pattern = Pattern::new(
    r"(?i)(?-u:\b)(?:9\d|1[01]\d)[\s-]?(?:(?:years?|yrs?)(?:[\s-]?old)?|y/?o)(?-u:\b)|(?-u:\b)(?:9\d|1[01]\d)[\s-]?y\.\s?o\.|(?-u:\b)age[ds]?(?:[\s:=]|\sof\s|\sis\s)\s?(?:about\s)?(?:9\d|1[01]\d)(?-u:\b)|(?-u:\b)(?:9\d|1[01]\d)[\s-]?(?:year|yr)(?-u:\b)|(?-u:\b)(?:nonagenarian|centenarian|supercentenarian)s?(?-u:\b)|(?-u:\b)ninety(?:[\s-](?:one|two|three|four|five|six|seven|eight|nine))?[\s-]years?(?:[\s-]old)?(?-u:\b)|(?-u:\b)(?:a|one)\shundred(?:\sand\s(?:one|two|three|four|five))?[\s-]years?[\s-]old(?-u:\b)|(?-u:\b)(?:her|his|their)\s(?:9\d(?:st|nd|rd|th)|1[01]\d(?:st|nd|rd|th)|ninetieth|hundredth)\sbirthday(?-u:\b)",
);

/// What makes a number of years no age, after it.
static NO_AGE: LazyLock<Regex> = pattern!(
    r"(?i)^(?:\s?(?:ago|later|of\s(?:experience|service|history|follow|data)|(?:and|or)\s(?:over|older|above|more)|tissue|sections?|percent|per\scent|%|degrees?|°|cells?|eyes|cases|patients|minutes|seconds|mmHg|D(?-u:\b)|mm)|\+|\.\d|\s?or\s(?:over|older))",
);

/// What this detector looks for.
pub(super) fn patterns() -> Vec<&'static Pattern> {
    vec![&AGE]
}

pub(super) fn find(text: &Searched<'_>, out: &mut Vec<Hit>) {
    scan(text, &AGE, Class::Age, out, |found, captures| {
        let (before, after) = (before(text, captures, 3), after(text, captures));
        // "10.95 years", "1990 years" and "£95" end in digits that are no age.
        let piece = before.ends_with(|letter: char| letter.is_ascii_digit() || matches!(letter, '.' | ',' | '/'))
            && found.starts_with(|letter: char| letter.is_ascii_digit());
        !piece && !NO_AGE.is_match(after)
    });
}
