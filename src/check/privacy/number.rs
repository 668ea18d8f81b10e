//! Numbers under which a hospital or an insurer keeps a person, and long numbers of any kind.
//!
//! Let pass: numbers of up to six digits that nothing calls a record number.

use super::{Class, Hit, Pattern, Searched, after, before, scan};

static KEYED: Pattern = Pattern::new(
    r"(?i)(?-u:\b)(?:(?:MRN|MRD|UHID|UMR|CHI)(?:\s?(?:no|num(?:ber)?|id|#))?|(?:hosp(?:ital)?|patient|pt|case|nhs|accession|episode|encounter|registration|regn?|reg|file|folder|chart|medical\srecord|record|account|acct|insurance|policy|membership|member|claim|passport|licen[cs]e|driving\slicen[cs]e|pathology|specimen|IP|OP|CR|OPD|IPD|unit|study|hospital\spatient)\.?(?:\s|\s?-\s?)?(?:no|nos|num(?:ber)?|nr|id|#)(?-u:\b)?)\.?(?:\s(?:is|was))?\s?[:#=]?\s?(?P<id>[A-Z]{0,4}[-/ ]?\d[\dA-Z/-]{3,})",
);

static LONG: Pattern = Pattern::new(r"(?-u:\b)(?:\d{7,}|\d{4}[ -]\d{4}[ -]\d{4}(?:[ -]\d{4})?)(?-u:\b)");

/// What this detector looks for.
pub(super) fn patterns() -> Vec<&'static Pattern> {
    vec![&KEYED, &LONG]
}

pub(super) fn find(text: &Searched<'_>, out: &mut Vec<Hit>) {
    scan(text, &KEYED, Class::RecordNumber, out, |found, _| {
        let digits = found.bytes().filter(u8::is_ascii_digit).count();
        // "case no 2-3 days", "study number 2004-2009": a span of years is no record.
        let years = found.split(['-', '/']).count() == 2
            && found
                .split(['-', '/'])
                .all(|part| part.len() == 4 && (part.starts_with("19") || part.starts_with("20")));
        digits >= 3 && !years
    });
    scan(text, &LONG, Class::LongNumber, out, |_, captures| {
        let (before, after) = (before(text, captures, 2), after(text, captures));
        // The digits behind a point are a fraction, those of a longer word a hash, and 1:1000000 is a dilution.
        let digit = |text: &str| text.starts_with(|letter: char| letter.is_ascii_digit());
        let goes_on = after.starts_with(['.', '-']) && digit(&after[1..]);
        let dilution = before.ends_with(':') && digit(before);
        !before.ends_with(['.', '-', '/', '#', '_']) && !dilution && !goes_on
    });
}
