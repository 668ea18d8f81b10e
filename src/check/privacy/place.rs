//! Where somebody lives: addresses that are called so, streets, postcodes of several countries, homes.
//!
//! Let pass: bare names of villages and towns.

use super::{Class, Hit, Pattern, Searched, always, before, scan};

static KEYED: Pattern = Pattern::new(
    r"(?i)(?-u:\b)(?:(?:home|postal|permanent|present|current|residential)\s)?address(?:\sis)?\s?[:=]\s?(?P<id>[\p{L}\d][^\n;]{3,60})|(?-u:\b)(?:pin\s?code|postcode|post\scode|zip(?:\scode)?)(?:\sis)?\s?[:=-]?\s(?P<id2>[A-Z0-9][A-Z0-9 -]{2,8}\d[A-Z0-9]*)|(?-u:\b)PIN\s?[:=-]\s?(?P<id3>\d{3}\s?\d{3})(?-u:\b)|(?-u:\b)lives\sat\s(?P<id4>\d[^\n.;]{3,40})",
);

static STREET: Pattern = Pattern::new(
    r"(?-u:\b)\d{1,4}[A-Za-z]?,?\s(?:\p{Lu}[\p{L}'’-]+\s){1,3}(?:Street|St|Road|Rd|Lane|Ln|Avenue|Ave|Drive|Dr|Close|Court|Crescent|Terrace|Gardens|Way|Place|Square|Boulevard|Blvd|Hill|Mews|Row|Walk|Grove|Park|Nagar|Marg|Salai|Colony|Street)(?-u:\b)|(?-u:\b)\p{Lu}[\p{L}-]+(?:straße|strasse|weg|platz|gasse)\s\d{1,4}[a-z]?(?-u:\b)|(?-u:\b)\d{1,4},?\s(?:rue|avenue|boulevard|place|chemin|impasse)\s(?:de\s|du\s|des\s|la\s|le\s|l'|l’)*\p{Lu}[\p{L}'’-]+",
);

/// Source: UK Government Data Standards Catalogue, British Standard BS 7666.
static UK: Pattern = Pattern::new(
    r"(?-u:\b)(?:GIR ?0AA|(?:[A-PR-UWYZ]\d{1,2}|[A-PR-UWYZ][A-HK-Y]\d{1,2}|[A-PR-UWYZ]\d[A-HJKPSTUW]|[A-PR-UWYZ][A-HK-Y]\d[ABEHMNPRVWXY]) ?\d[ABD-HJLNP-UW-Z]{2})(?-u:\b)",
);

/// Source: USPS Publication 28, appendix B.
static US: Pattern = Pattern::new(
    r"(?-u:\b)(?:A[KLRZ]|C[AOT]|D[CE]|FL|GA|HI|I[ADLN]|K[SY]|LA|M[ADEINOST]|N[CDEHJMVY]|O[HKR]|P[AR]|RI|S[CD]|T[NX]|UT|V[AIT]|W[AIVY]),?\s\d{5}(?:-\d{4})?(?-u:\b)",
);

/// A town with a code of six digits, as in India, and the codes of Canada and the Netherlands.
static OTHER: Pattern = Pattern::new(
    r"(?-u:\b)\p{Lu}\p{Ll}+\s?[-–]\s?[1-9]\d{2}\s?\d{3}(?-u:\b)|(?-u:\b)[ABCEGHJ-NPRSTVXY]\d[ABCEGHJ-NPRSTV-Z] \d[ABCEGHJ-NPRSTV-Z]\d(?-u:\b)|(?-u:\b)[DAFI]-\d{4,5}\s\p{Lu}\p{Ll}+",
);

static HOME: Pattern = Pattern::new(
    r"(?-u:\b)(?:lives|living|lived|resides|residing|resident|native|comes|came|hails|travelled|travels|referred)\s(?:alone\s)?(?:in|of|from|at|near)\s(?:the\s)?(?:village\sof\s|town\sof\s|island\sof\s)?(?P<id>\p{Lu}\p{Ll}{2,}(?:-\p{L}+|\s\p{Lu}\p{Ll}+)*)|(?-u:\b)(?:village|hamlet|town|island|parish)\s(?:of|called)\s(?P<id2>\p{Lu}\p{Ll}{2,})",
);

/// What this detector looks for.
pub(super) fn patterns() -> Vec<&'static Pattern> {
    vec![&KEYED, &STREET, &UK, &US, &OTHER, &HOME]
}

pub(super) fn find(text: &Searched<'_>, out: &mut Vec<Hit>) {
    for captures in text.captures(&KEYED).into_iter().flatten() {
        if let Some(found) = ["id", "id2", "id3", "id4"].iter().find_map(|group| captures.name(group)) {
            out.push(Hit { class: Class::Address, range: found.range() });
        }
    }
    scan(text, &STREET, Class::PossibleAddress, out, always);
    scan(text, &UK, Class::PossibleAddress, out, |found, captures| {
        !(is_implant(found) || is_scale(found, before(text, captures, 16)))
    });
    scan(text, &US, Class::PossibleAddress, out, always);
    scan(text, &OTHER, Class::PossibleAddress, out, always);
    for captures in text.captures(&HOME).into_iter().flatten() {
        if let Some(found) = ["id", "id2"].iter().find_map(|group| captures.name(group)) {
            out.push(Hit { class: Class::Home, range: found.range() });
        }
    }
}

/// Models of implants have the form of a postcode without its blank: SN60WF, SA60AT. Source: makers' catalogues, from memory.
fn is_implant(found: &str) -> bool {
    let bytes = found.as_bytes();
    bytes.len() == 6
        && bytes[0].is_ascii_uppercase()
        && bytes[1].is_ascii_uppercase()
        && bytes[2..4].iter().all(u8::is_ascii_digit)
        && ["SA", "SN", "MA", "MN", "SY", "MC", "CZ", "AR", "LI"].contains(&&found[..2])
}

/// Grades of a lens written together, such as N3 4NC, or an ultrasonic needle's name.
fn is_scale(found: &str, before: &str) -> bool {
    let before = before.to_lowercase();
    found.contains(' ') && ["locs", "grade", "grading", "nuclear"].iter().any(|word| before.contains(word))
}
