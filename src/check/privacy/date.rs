//! Dates of the calendar. Three parts are asked for, so that 6/12, 20/40 and 10-0 do not match.
//!
//! Let pass: bare years, names of feasts and days of the week, dates in words ("the third of May").

use super::{Class, Hit, Pattern, Searched, after, always, before, scan};
use regex::Regex;
use std::sync::LazyLock;

/// Names of months in English, French, German, Spanish, Italian, Portuguese and Dutch, and their usual short forms.
const MONTHS: &str = "(?:January|February|March|April|May|June|July|August|September|October|November|December|\
    Jan|Feb|Mar|Apr|Jun|Jul|Aug|Sept|Sep|Oct|Nov|Dec|\
    janvier|février|mars|avril|mai|juin|juillet|août|septembre|octobre|novembre|décembre|\
    Januar|Jänner|Februar|März|Juni|Juli|Oktober|Dezember|\
    enero|febrero|marzo|abril|mayo|junio|julio|agosto|septiembre|octubre|noviembre|diciembre|\
    gennaio|febbraio|aprile|maggio|giugno|luglio|settembre|ottobre|dicembre|\
    janeiro|fevereiro|março|maio|junho|julho|setembro|outubro|novembro|dezembro|\
    januari|februari|maart|augustus)";

/// Months whose English names are no other words at the start of a sentence.
const PLAIN: &str = "(?:January|February|March|April|May|June|July|August|September|October|November|December|\
    Jan|Feb|Apr|Jun|Jul|Aug|Sept|Sep|Oct|Nov|Dec)";

static NUMBERS: LazyLock<[Pattern; 4]> = LazyLock::new(|| {
    [
        r"(?-u:\b)(?:19|20)\d{2} ?[-/.] ?(?:0?[1-9]|1[0-2]) ?[-/.] ?(?:0?[1-9]|[12]\d|3[01])(?-u:\b)",
        r"(?-u:\b)(?:0?[1-9]|[12]\d|3[01]) ?[-/.] ?(?:0?[1-9]|[12]\d|3[01]) ?[-/.] ?(?:19|20)\d{2}(?-u:\b)",
        // As a camera names its files.
        r"(?:^|[^0-9A-Za-z.])(?P<id>(?:19|20)\d{2}(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01]))(?:[T_-]?\d{4,9})?(?:[^0-9]|$)",
        r"(?i)(?-u:\b)(?:IMG|VID|DSC|MOV|PXL|WP|Screenshot|video|photo)[-_ ]?(?P<id>(?:19|20)\d{2}[-_]?(?:0[1-9]|1[0-2])[-_]?(?:0[1-9]|[12]\d|3[01]))",
    ]
    .map(Pattern::new)
});

static WORDS: LazyLock<[Pattern; 5]> = LazyLock::new(|| {
    [
        format!(
            r"(?i)(?-u:\b)(?:0?[1-9]|[12]\d|3[01])(?:st|nd|rd|th|er|\.)?[\s-]+(?:of\s|de\s)?{MONTHS}\.?,?[\s-]+(?:de\s)?(?:(?:19|20)\d{{2}}|'\d{{2}})(?-u:\b)"
        ),
        format!(
            r"(?i)(?-u:\b){MONTHS}\.?[\s-](?:0?[1-9]|[12]\d|3[01])(?:st|nd|rd|th)?,?[\s-](?:19|20)\d{{2}}(?-u:\b)"
        ),
        // As a spreadsheet writes it.
        r"(?i)(?-u:\b)(?:0?[1-9]|[12]\d|3[01])[-/](?:jan|feb|mar|apr|may|jun|jul|aug|sept|sep|oct|nov|dec)[-/](?:\d{2}|\d{4})(?-u:\b)"
            .to_owned(),
        // Without a year the month begins with a capital: "may 12 mm" is no date.
        format!(r"(?-u:\b)(?:0?[1-9]|[12]\d|3[01])(?:st|nd|rd|th)?[\s-](?:of\s)?{PLAIN}(?-u:\b)"),
        format!(r"(?-u:\b){PLAIN}\.?\s(?:0?[1-9]|[12]\d|3[01])(?:st|nd|rd|th)?(?-u:\b)"),
    ]
    .map(Pattern::made)
});

static BIRTH: Pattern = Pattern::new(
    r"(?i)(?-u:\b)(?:d\.o\.b\.?|dob|date\sof\sbirth|birth\s?date|geburtsdatum|né\(?e?\)?\sle)\s?[:=-]?\s?(?:\d|is(?-u:\b)|was(?-u:\b))|(?-u:\b)born\son\s(?:the\s)?\d",
);

static SHORT: Pattern = Pattern::new(
    r"(?-u:\b)(?:(?:0?[1-9]|[12]\d|3[01])[-/.](?:0?[1-9]|1[0-2])|(?:0?[1-9]|1[0-2])[-/.](?:0?[1-9]|[12]\d|3[01]))[-/.]\d{2}(?-u:\b)",
);

static MONTH: LazyLock<Pattern> =
    LazyLock::new(|| Pattern::made(format!(r"(?i)(?-u:\b){MONTHS}\.?,?\s(?:of\s|de\s)?(?:19|20)\d{{2}}(?-u:\b)")));

static NUMERIC_MONTH: Pattern =
    Pattern::new(r"(?-u:\b)(?:(?:0[1-9]|1[0-2])[/.-](?:19|20)\d{2}|(?:19|20)\d{2}[-/](?:0[1-9]|1[0-2]))(?-u:\b)");

/// What follows a measure: three numbers with signs between them are then no date.
static UNIT: LazyLock<Regex> = pattern!(
    r"^\s?(?:mm|cm|µm|um|D(?-u:\b)|%|mL|ml|mg|rule|method|procedure|G(?-u:\b)|gauge|clock|o'clock|months|weeks|days|nylon)"
);

/// What this detector looks for.
pub(super) fn patterns() -> Vec<&'static Pattern> {
    [&BIRTH, &SHORT, &*MONTH, &NUMERIC_MONTH].into_iter().chain(&*NUMBERS).chain(&*WORDS).collect()
}

pub(super) fn find(text: &Searched<'_>, out: &mut Vec<Hit>) {
    if text.bytes().any(|byte| byte.is_ascii_digit()) {
        for (at, date) in NUMBERS.iter().enumerate() {
            scan(text, date, Class::Date, out, |_, captures| {
                at >= 2 || !continues(before(text, captures, 2), after(text, captures))
            });
        }
        for (at, date) in WORDS.iter().enumerate() {
            scan(text, date, Class::Date, out, |found, captures| {
                // "12 May" at a line's end may go on as a verb; "Mar" and "Sep" need what follows to be no letter.
                let rest = after(text, captures);
                at < 3 || !(UNIT.is_match(rest) || found.starts_with("May") && rest.starts_with(" of "))
            });
        }
        scan(text, &SHORT, Class::PossibleDate, out, |found, captures| {
            let (before, after) = (before(text, captures, 12), after(text, captures));
            let version = before.trim_end().to_lowercase();
            let version = ["v", "version", "release", "section", "firmware"].iter().any(|word| version.ends_with(word))
                || before.ends_with('v');
            let signs: Vec<char> = found.chars().filter(char::is_ascii_punctuation).collect();
            signs[0] == signs[1] && !version && !UNIT.is_match(after) && !continues(before, after)
        });
        scan(text, &MONTH, Class::MonthAndYear, out, always);
        scan(text, &NUMERIC_MONTH, Class::MonthAndYear, out, |_, captures| {
            !continues(before(text, captures, 2), after(text, captures))
        });
    }
    scan(text, &BIRTH, Class::Date, out, always);
}

/// Whether digits with a sign go on before or after: then it is a piece of something longer.
fn continues(before: &str, after: &str) -> bool {
    let joint = |letter: char| matches!(letter, '-' | '/' | '.' | ':' | ';');
    let mut next = after.chars();
    let piece = before.ends_with(joint) && before.starts_with(|first: char| first.is_ascii_digit());
    piece || next.next().is_some_and(|first| joint(first) && next.next().is_some_and(|second| second.is_ascii_digit()))
}
