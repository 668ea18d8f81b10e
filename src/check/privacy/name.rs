//! Names: after a title, named as a name, of relatives; initials of a patient; names of colleagues.
//!
//! Let pass: bare names without a title. To find those a program would have to know every name there is.

use super::{Class, Hit, Pattern, Searched, after, always, scan};
use regex::Regex;
use std::sync::LazyLock;

static TITLED: Pattern = Pattern::new(
    r"(?-u:\b)(?:Mr|Mrs|Ms|Miss|Master|Mx|Messrs|Sir|Lady|Shri|Shrimati|Smt|Sri|Thiru|Thirumathi|Selvi|Kumari|Kum|Janab|Begum|Herr|Frau|Mme|Mlle|Monsieur|Madame|Señor|Señora|Sr|Sra|Sig|Signora|Dhr|Mevr|Pan|Pani|Baby\sof|Baby|B/O|S/O|D/O|W/O|C/O|H/O)(?:\.\s?|\s)(?P<id>(?:(?:de|da|di|do|dos|du|del|della|van|von|der|den|ter|ten|la|le|al|el|bin|ibn|ap)[\s-]){0,3}(?:\p{Lu}\.?\s?){0,3}\p{Lu}[\p{L}'’-]+(?:\s\p{Lu}[\p{L}'’-]+){0,2})",
);

/// Records are often kept in capitals.
static CAPITALS: Pattern =
    Pattern::new(r"(?-u:\b)(?:MR|MRS|MS|MISS|MASTER|SMT|SHRI)\.?\s(?P<id>\p{Lu}{3,}(?:\s\p{Lu}{2,}){0,2})(?-u:\b)");

static KEYED: Pattern = Pattern::new(
    r"(?-u:\b)(?i:patient'?’?s?\s(?:full\s)?name|name\sof\s(?:the\s)?(?:patient|pt)|pt\.?\sname|patient\s(?:named|called)|surname|(?:first|last|family|given|maiden|full)\sname|next\sof\skin|n\.?o\.?k|mother'?’?s\s(?:maiden\s)?name|father'?’?s\sname|husband'?’?s\sname|wife'?’?s\sname)(?:\s?(?:is|was))?\s?[:=-]?\s?(?P<id>\p{L}[\p{L}'’-]+)",
);

/// As a form's field, or a heading: two words in capitals.
static FIELD: Pattern = Pattern::new(
    r"(?-u:\b)(?:(?:Patient|Pt|Name|Client)\s?[:=]\s?|[Pp]atient\s)(?P<id>\p{Lu}\p{Ll}[\p{L}'’-]*\s\p{Lu}\p{Ll}[\p{L}'’-]+)",
);

static STAFF: Pattern = Pattern::new(
    r"(?-u:\b)(?:Dr|Drs|Doctor|Prof|Professor|Sister|Staff\s[Nn]urse|Nurse|Matron|Surgeon|Colonel|Col|Major|Capt|Captain)\.?\s(?P<id>(?:\p{Lu}\.?\s?){0,3}\p{Lu}[\p{L}'’-]+)",
);

static INITIALS: Pattern = Pattern::new(
    r"(?-u:\b)(?:[Pp]atient|[Pp]t\.?|[Pp]atient'?’?s?\sinitials:?|[Ii]nitials:?)\s(?P<id>[A-Z]\.\s?[A-Z]\.?(?:\s?[A-Z]\.?)?|[A-Z]{2,3})(?:[\s,.;:)'’]|$)",
);

static RELATIVE: Pattern = Pattern::new(
    r"(?-u:\b)(?:wife|husband|son|daughter|mother|father|brother|sister|nephew|niece|aunt|uncle|carer|neighbour|neighbor|grandson|granddaughter|cousin|partner),?\s(?P<id>\p{Lu}\p{Ll}{2,}(?:\s\p{Lu}\p{Ll}+)?)",
);

/// Words after a title that are no names: products, and things that are called after a title's abbreviation.
const NO_NAMES: &[&str] = &[
    "Excel",
    "Word",
    "Office",
    "Windows",
    "Access",
    "Teams",
    "PowerPoint",
    "Outlook",
    "Class",
    "Chart",
    "Copy",
    "Plan",
    "File",
    "Key",
    "Imaging",
    "Angiography",
    "Scan",
    "Spectroscopy",
    "Venography",
    "Patient",
    "Degree",
    "Student",
];

/// Words of headings after `Patient` that begin no name.
const NO_FIELDS: &[&str] = &[
    "Reported",
    "Safety",
    "Information",
    "Education",
    "Consent",
    "Selection",
    "Positioning",
    "Centred",
    "Centered",
    "Care",
    "Data",
    "Record",
    "Records",
    "Access",
    "Group",
    "Satisfaction",
    "Experience",
    "Choice",
    "Factors",
    "History",
    "Reference",
    "The",
    "This",
    "Health",
    "Related",
    "Outcome",
    "Outcomes",
    "Specific",
    "Voice",
    "Support",
    "Demographics",
];

/// Shouted words that follow MR or MS and are no names.
const NO_CAPITALS: &[&str] =
    &["IMAGING", "ANGIOGRAPHY", "SCAN", "SCANS", "SCANNER", "SPECTROSCOPY", "VENOGRAPHY", "EXCEL", "WORD", "PATIENT"];

/// Abbreviations after "patient" that are no initials.
const NO_INITIALS: &[&str] = &[
    "OD", "OS", "OU", "RE", "LE", "VA", "DM", "HT", "IOP", "UV", "PL", "HM", "CF", "NPL", "LP", "NLP", "IOL", "ACD",
    "OCT", "MRI", "CT", "GA", "LA", "BP", "ECG", "AMD", "RAPD", "PXF", "PEX", "IV", "ID", "NHS", "UK", "US", "USA",
    "PCO", "PCR", "RD", "CMO", "BCVA", "ICU", "ED", "GP", "PROM", "MDT", "NO", "IS", "A", "AS", "IN",
];

/// Surgeons and others whose names the trade gives to things. Common practice, no source.
const EPONYMS: &[&str] = &[
    "Sinskey",
    "Kelman",
    "Utrata",
    "Kuglen",
    "Lester",
    "Cionni",
    "Ahmed",
    "Malyugin",
    "Simcoe",
    "Osher",
    "Koch",
    "Nagahara",
    "Akahoshi",
    "Drysdale",
    "Fine",
    "Thornton",
    "Barrett",
    "Kane",
    "Hoffmann",
    "Holladay",
    "Haigis",
    "Seidel",
    "Fuchs",
    "Marfan",
    "Snellen",
    "Goldmann",
    "Schirmer",
    "Weiss",
    "Yamane",
    "Gills",
    "Little",
    "Brown",
    "Agarwal",
    "Scharioth",
    "Beaver",
    "Vannas",
    "McPherson",
    "Barraquer",
    "Troutman",
    "Castroviejo",
    "Buratto",
];

/// Things that are called after somebody: the name before them is an eponym.
static THING: LazyLock<Regex> = pattern!(
    r"^(?:'s|’s)?[\s-](?:hook|chopper|forceps|test|sign|lens|ring|segment|needle|scissors|cannula|manipulator|speculum|formula|nomogram|syndrome|disease|dystrophy|technique|manoeuvre|maneuver|method|knot|classification|score|scale|chart|spot|line|ring|clamp|retractor|glide|tip|blade|knife|marker|caliper|stain)",
);

/// What this detector looks for.
pub(super) fn patterns() -> Vec<&'static Pattern> {
    vec![&TITLED, &CAPITALS, &KEYED, &FIELD, &STAFF, &INITIALS, &RELATIVE]
}

pub(super) fn find(text: &Searched<'_>, out: &mut Vec<Hit>) {
    let first = |found: &str| found.split([' ', '\n']).next().unwrap_or("").to_owned();
    scan(text, &TITLED, Class::Name, out, |found, captures| {
        !NO_NAMES.contains(&first(found).as_str()) && !THING.is_match(after(text, captures))
    });
    scan(text, &CAPITALS, Class::Name, out, |found, _| !NO_CAPITALS.contains(&first(found).as_str()));
    scan(text, &KEYED, Class::Name, out, |found, _| {
        !matches!(
            first(found).to_lowercase().as_str(),
            "withheld" | "removed" | "not" | "unknown" | "and" | "or" | "of"
        )
    });
    scan(text, &STAFF, Class::Colleague, out, |found, captures| {
        let last = found.rsplit([' ', '.']).next().unwrap_or(found);
        !(EPONYMS.contains(&last) || THING.is_match(after(text, captures)))
    });
    scan(text, &INITIALS, Class::PossibleName, out, |found, _| !NO_INITIALS.contains(&found.trim_end_matches('.')));
    scan(text, &FIELD, Class::PossibleName, out, |found, _| !NO_FIELDS.contains(&first(found).as_str()));
    scan(text, &RELATIVE, Class::PossibleName, out, always);
}
