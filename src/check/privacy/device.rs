//! Numbers of one implant or machine: serial numbers, unique device identifiers, lots. Model names are no such numbers.

use super::{Class, Hit, Pattern, Searched, always, scan};

/// Unique device identifiers in the forms of GS1, HIBCC and ICCBBA. Source: FDA, "UDI formats by FDA-accredited issuing agency".
static UDI: Pattern = Pattern::new(
    r"\(01\)\s?\d{14}(?:\s?\((?:10|11|17|21)\)\s?[A-Za-z0-9./-]{1,20})*|\((?:10|21)\)\s?[A-Za-z0-9./-]{4,20}|(?:^|[\s:])(?P<id>\+[A-Z][0-9A-Z]{3}[0-9A-Z]{1,18}\d[A-Z0-9]?/\$?[$A-Z0-9+]{4,})|=[A-Z0-9]{5}[0-9A-Z]{6,}=[,]\d{6}",
);

static SERIAL: Pattern = Pattern::new(
    r"(?i)(?-u:\b)(?:serial(?:\s?(?:no|nr|num|number|#))?|s\s?/\s?n|ser\.?\s?no|udi(?:-di|-pi)?|device\sid(?:entifier)?|ref\.?\s?/\s?sn)(?-u:\b)\.?(?:\s(?:is|was|of\sthe\slens))?\s?[:#=]*\s?(?P<id>[A-Z0-9][A-Z0-9.-]{3,})",
);

static LOT: Pattern = Pattern::new(
    r"(?i)(?-u:\b)(?:lot|batch)(?:\s?(?:no|nr|num|number|#|code))?(?-u:\b)\.?\s?[:#=]*\s?(?P<id>[A-Z0-9][A-Z0-9-]{3,})",
);

/// What this detector looks for.
pub(super) fn patterns() -> Vec<&'static Pattern> {
    vec![&UDI, &SERIAL, &LOT]
}

pub(super) fn find(text: &Searched<'_>, out: &mut Vec<Hit>) {
    scan(text, &UDI, Class::DeviceNumber, out, always);
    // "serial examinations", "a lot more": a number has digits, at least three of them.
    let numbered = |found: &str| found.bytes().filter(u8::is_ascii_digit).count() >= 3;
    scan(text, &SERIAL, Class::DeviceNumber, out, |found, _| numbered(found));
    scan(text, &LOT, Class::LotNumber, out, |found, _| numbered(found));
}
