//! A national or health-service number.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "national-number",
    severity: Severity::Error,
    what: r"A number that a state or a health service gives to one person stands in the fields, the narrative or the captions: NHS, Aadhaar, social security and others, with their check digits.",
    why: r"It is the person, in digits.",
    instead_of: r"note: NHS number 943 476 5870",
    write: r"note: referred by her practice",
    source: r"US 45 CFR 164.514(b)(2)(i)(G) and (I); check digits as the issuing bodies publish them",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::NationalNumber,
    rule: &RULE,
    what: "a national or health-service number",
    mend: "leave it out",
};
