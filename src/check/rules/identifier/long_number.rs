//! A long number.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "long-number",
    severity: Severity::Warning,
    what: r"A number of seven digits or more stands here.",
    why: r"It may be a record number. Numbers of papers and trials are let pass.",
    instead_of: r"The sticker read 44718223.",
    write: r"The sticker was kept.",
    source: r"US 45 CFR 164.514(b)(2)(i)(H) and (R)",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::LongNumber,
    rule: &RULE,
    what: "a long number",
    mend: "leave it out, or waive it if it counts something",
};
