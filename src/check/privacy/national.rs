//! Numbers that a state or a health service gives to one person, with their check digits.
//!
//! Let pass: numbers of countries that this file does not list, and those typed wrong.

use super::digits::{aadhaar, cpf, digits, letter, luhn, nhs, nir, ssn};
use super::{Class, Hit, Pattern, Searched, always, before, scan};

static NHS: Pattern = Pattern::new(r"(?-u:\b)\d{3}[ -]\d{3}[ -]\d{4}(?-u:\b)");
static AADHAAR: Pattern = Pattern::new(r"(?-u:\b)[2-9]\d{3}[ -]\d{4}[ -]\d{4}(?-u:\b)");
static SSN: Pattern = Pattern::new(r"(?-u:\b)\d{3}-\d{2}-\d{4}(?-u:\b)");
static CPF: Pattern = Pattern::new(r"(?-u:\b)\d{3}\.\d{3}\.\d{3}-\d{2}(?-u:\b)");
static NIR: Pattern = Pattern::new(r"(?-u:\b)[12] ?\d{2} ?\d{2} ?\d{2} ?\d{3} ?\d{3} ?\d{2}(?-u:\b)");
static DNI: Pattern = Pattern::new(r"(?-u:\b)(?P<id>[XYZ]?\d{7,8})-?([A-Z])(?-u:\b)");
static PERSONNUMMER: Pattern =
    Pattern::new(r"(?-u:\b)(?:19|20)?\d{2}(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01])[-+]\d{4}(?-u:\b)");
static HETU: Pattern =
    Pattern::new(r"(?-u:\b)((?:0[1-9]|[12]\d|3[01])(?:0[1-9]|1[0-2])\d{2})[-+A](\d{3})([0-9A-Y])(?-u:\b)");
static PPS: Pattern = Pattern::new(r"(?-u:\b)\d{7}[A-W][A-IW]?(?-u:\b)");
static CODICE: Pattern =
    Pattern::new(r"(?-u:\b)[A-Z]{6}\d{2}[ABCDEHLMPRST](?:[04][1-9]|[1256]\d|[37][01])[A-Z]\d{3}[A-Z](?-u:\b)");
/// National insurance number of the United Kingdom: no check digit, but a form of its own. Source: HMRC, NIM39110.
static INSURANCE: Pattern =
    Pattern::new(r"(?-u:\b)[A-CEGHJ-PR-TW-Z][A-CEGHJ-NPR-TW-Z] ?\d{2} ?\d{2} ?\d{2} ?[A-D](?-u:\b)");
/// Keyed: the name of the number stands before it, so that its form alone need not convince.
static KEYED: Pattern = Pattern::new(
    r"(?i)(?-u:\b)(?:nhs|aadha?ar|uidai?|ssn|social\ssecurity|national\sinsurance|n\.?i|medicare|sin|bsn|pps|pesel|codice\sfiscale|dni|nie|chi|hcn|health\scard|abha|pan|voter\sid|epic)(?:\s?(?:card|no|num|number|id|nr))*\.?(?:\s(?:is|was))?\s?[:#=]?\s?(?-i:(?P<id>[A-Z]{0,5}\d[\dA-Z /-]{6,}[\dA-Z]))",
);

/// What this detector looks for.
pub(super) fn patterns() -> Vec<&'static Pattern> {
    vec![&NHS, &AADHAAR, &SSN, &CPF, &NIR, &DNI, &PERSONNUMMER, &HETU, &PPS, &CODICE, &INSURANCE, &KEYED]
}

pub(super) fn find(text: &Searched<'_>, out: &mut Vec<Hit>) {
    let class = Class::NationalNumber;
    scan(text, &NHS, class, out, |found, _| nhs(&digits(found)));
    scan(text, &AADHAAR, class, out, |found, _| aadhaar(&digits(found)));
    scan(text, &SSN, class, out, |found, _| ssn(&digits(found)));
    scan(text, &CPF, class, out, |found, _| cpf(&digits(found)));
    scan(text, &NIR, class, out, |found, _| nir(&digits(found)));
    scan(text, &DNI, class, out, |_, captures| dni(&captures[1], &captures[2]));
    scan(text, &PERSONNUMMER, class, out, |found, _| {
        let digits = digits(found);
        luhn(&digits[digits.len() - 10..])
    });
    scan(text, &HETU, class, out, |_, captures| {
        let number = format!("{}{}", &captures[1], &captures[2]).parse().unwrap_or(0);
        captures[3].chars().next().is_some_and(|check| letter(number, "0123456789ABCDEFHJKLMNPRSTUVWXY", check))
    });
    scan(text, &PPS, class, out, |found, _| pps(found));
    scan(text, &INSURANCE, class, out, always);
    scan(text, &CODICE, class, out, always);
    scan(text, &KEYED, class, out, |found, captures| {
        // Enough digits, and the key is a word of its own: "PAN" in "span" is none.
        digits(found).len() >= 7 && !before(text, captures, 1).ends_with(char::is_alphanumeric)
    });
}

/// DNI and NIE of Spain. Source: python-stdnum, `stdnum.es.dni` and `stdnum.es.nie`.
fn dni(number: &str, check: &str) -> bool {
    let (series, rest) = match number.as_bytes().first() {
        Some(series @ b'X'..=b'Z') => (u32::from(series - b'X'), &number[1..]),
        _ if number.len() == 8 => (0, number),
        _ => return false,
    };
    let number = series * 10_000_000 + rest.parse().unwrap_or(0);
    rest.len() >= 7 && check.chars().next().is_some_and(|check| letter(number, "TRWAGMYFPDXBNJZSQVHLCKE", check))
}

/// PPS number of Ireland: weights 8 to 2, and 9 for the second letter. Source: python-stdnum, `stdnum.ie.pps`.
fn pps(found: &str) -> bool {
    let digits = digits(found);
    let letters: Vec<u32> =
        found.bytes().filter(u8::is_ascii_uppercase).map(|byte| u32::from(byte - b'A') + 1).collect();
    let sum: u32 = digits.iter().zip((2..=8).rev()).map(|(digit, weight)| digit * weight).sum();
    // W as a second letter counted as nothing in the older form.
    let second = letters.get(1).map_or(0, |second| if *second == 23 { 0 } else { second * 9 });
    (sum + second) % 23 == letters[0] % 23
}
