//! A telephone number.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "telephone-number",
    severity: Severity::Error,
    what: r"A telephone or fax number stands here, and is called one.",
    why: r"It names a household.",
    instead_of: r#"note: "Tel: 01632 960123""#,
    write: r"note: no telephone in the house",
    source: r"US 45 CFR 164.514(b)(2)(i)(D) and (E)",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier =
    Identifier { class: Class::Telephone, rule: &RULE, what: "a telephone number", mend: "leave it out" };
