//! A month and a year.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "month-and-year",
    severity: Severity::Warning,
    what: r"A month and a year stand here.",
    why: r"They narrow down the theatre list to a few names.",
    instead_of: r"In March 2024 she fell.",
    write: r"Three months before surgery she fell.",
    source: r"US 45 CFR 164.514(b)(2)(i)(C): elements of dates except the year",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::MonthAndYear,
    rule: &RULE,
    what: "a month and a year",
    mend: "say how long before or after surgery",
};
