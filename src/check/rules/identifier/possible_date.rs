//! What may be a date.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "possible-date",
    severity: Severity::Warning,
    what: r"Three numbers in the form of a date with a year of two digits stand here.",
    why: r"It may be a date. It may also be a version or three measures.",
    instead_of: r"Seen 12/03/24",
    write: r"Seen in clinic",
    source: r"US 45 CFR 164.514(b)(2)(i)(C)",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::PossibleDate,
    rule: &RULE,
    what: "what may be a date",
    mend: "say how long before or after surgery, or waive it if it is none",
};
