//! A lot or batch number.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "lot-number",
    severity: Severity::Warning,
    what: r"A lot or batch number stands here.",
    why: r"Together with the month it leads to the few who had this lot.",
    instead_of: r#"note: "Lot: 23F118""#,
    write: r"note: from one batch, later recalled",
    source: r"US 45 CFR 164.514(b)(2)(i)(M)",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier =
    Identifier { class: Class::LotNumber, rule: &RULE, what: "a lot or batch number", mend: "leave it out" };
