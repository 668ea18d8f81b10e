//! A calendar date.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "calendar-date",
    severity: Severity::Error,
    what: r"A calendar date, or a day and a month, stands in the fields, the narrative, the captions or a file's name.",
    why: r"A date of surgery helps to find the patient. Times are told from the operation on: after 1 day, 6 weeks.",
    instead_of: r"when: 12 March 2024",
    write: r"when: in clinic",
    source: r"US 45 CFR 164.514(b)(2)(i)(C): elements of dates except the year",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::Date,
    rule: &RULE,
    what: "a calendar date",
    mend: "say how long before or after surgery: in clinic, after 6 weeks",
};
