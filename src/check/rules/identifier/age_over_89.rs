//! An age of 90 or over.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "age-over-89",
    severity: Severity::Error,
    what: r"An age of 90 or over stands in running text.",
    why: r"So few people reach that age that it helps to find this one.",
    instead_of: r"A 94-year-old woman",
    write: r"A woman of over 90",
    source: r"US 45 CFR 164.514(b)(2)(i)(C): ages over 89",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::Age,
    rule: &RULE,
    what: "an age of 90 or over",
    mend: "write `90+`, or `over 90` in prose",
};
