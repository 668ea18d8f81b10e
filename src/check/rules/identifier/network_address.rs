//! The address of a machine.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "network-address",
    severity: Severity::Warning,
    what: r"The address of a machine stands here.",
    why: r"It belongs to somebody's computer or to the hospital's.",
    instead_of: r"on 198.51.100.23",
    write: r"on the recorder",
    source: r"US 45 CFR 164.514(b)(2)(i)(O)",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier =
    Identifier { class: Class::NetworkAddress, rule: &RULE, what: "the address of a machine", mend: "leave it out" };
