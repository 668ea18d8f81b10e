//! E-mail addresses and telephone numbers.
//!
//! Let pass: numbers in national forms that this file does not list, and numbers in words.

use super::{Class, Hit, Pattern, Searched, always, before, scan};
use std::sync::LazyLock;

static MAIL: Pattern = Pattern::new(
    r"(?i)[\p{L}\d._%+-]+@[\p{L}\d-]+(?:\.[\p{L}\d-]+)*\.\p{L}{2,}|(?-u:\b)[a-z0-9._%+-]+\s?[\[({]\s?at\s?[\])}]\s?[a-z0-9-]+(?:\s?(?:\.|[\[({]\s?dot\s?[\])}])\s?[a-z0-9-]+)+",
);

static KEYED: Pattern = Pattern::new(
    r"(?i)(?-u:\b)(?:tel|telephone|phone|ph|mob|mobile|cell|cellphone|fax|bleep|pager|whatsapp|landline|ring|call|helpline)(?-u:\b)\.?(?:\s?(?:no|num|number|nr))?\.?(?:\s(?:is|was|on|at))?\s?[:#=]?\s?(?P<id>\+?\(?\d[\d\s().-]{4,}\d)",
);

/// International form: a plus or two noughts, the country, and six to fourteen digits. Source: ITU-T E.164.
static INTERNATIONAL: Pattern =
    Pattern::new(r"(?P<id>(?:\+|(?-u:\b)00)[1-9]\d{0,2}[\s.-]?(?:\(?\d{1,5}\)?[\s.-]?){1,5}\d{2,4})(?-u:\b)");

/// National forms of several countries, each with its shape: United States, India, United Kingdom, France, Germany, Australia.
static NATIONAL: LazyLock<[Pattern; 6]> = LazyLock::new(|| {
    [
        r"(?:^|[^\d-])(?P<id>\(?[2-9]\d{2}\)?[-. ]\s?[2-9]\d{2}[-. ]\d{4})(?-u:\b)",
        r"(?:^|[^\d.-])(?P<id>0?[6-9]\d{4}[ -]?\d{5})(?-u:\b)",
        r"(?:^|[^\d.-])(?P<id>\(?0[1-37]\d{1,4}\)?[ -]?\d{3,4}[ -]?\d{3,4})(?-u:\b)",
        r"(?:^|[^\d.-])(?P<id>0[1-9](?:[ .-]\d{2}){4})(?-u:\b)",
        r"(?:^|[^\d.-])(?P<id>0\d{2,4}[ /-]{1,3}\d{3,4}[ -]?\d{2,5})(?-u:\b)",
        r"(?:^|[^\d.-])(?P<id>\(?0[2-478]\)?\s\d{4}\s\d{4})(?-u:\b)",
    ]
    .map(Pattern::new)
});

/// What this detector looks for.
pub(super) fn patterns() -> Vec<&'static Pattern> {
    [&MAIL, &KEYED, &INTERNATIONAL].into_iter().chain(&*NATIONAL).collect()
}

pub(super) fn find(text: &Searched<'_>, out: &mut Vec<Hit>) {
    if text.contains('@') || text.contains(['[', '(', '{']) {
        scan(text, &MAIL, Class::Mail, out, always);
    }
    let count = |found: &str| found.bytes().filter(u8::is_ascii_digit).count();
    scan(text, &KEYED, Class::Telephone, out, |found, _| (6..=15).contains(&count(found)) && !is_list(found));
    scan(text, &INTERNATIONAL, Class::PossibleTelephone, out, |found, captures| {
        // "+0.50 +1.25" are powers and "+21.5" one: a full stop before two digits at the end is a decimal.
        let decimal = found.rsplit_once('.').is_some_and(|(_, end)| end.len() <= 2);
        let before = before(text, captures, 1);
        let goes_on =
            before.ends_with(char::is_alphanumeric) || found.starts_with('0') && before.ends_with(['.', '-', '/']);
        (8..=15).contains(&count(found)) && !decimal && !goes_on
    });
    for form in NATIONAL.iter() {
        scan(text, form, Class::PossibleTelephone, out, |found, _| (9..=11).contains(&count(found)));
    }
}

/// Several numbers in a row that only look like one: times or measures with one digit each.
fn is_list(found: &str) -> bool {
    found.split([' ', '\n']).filter(|part| !part.is_empty()).all(|part| part.len() == 1)
}
