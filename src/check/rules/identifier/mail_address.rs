//! An e-mail address.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "e-mail-address",
    severity: Severity::Error,
    what: r"An e-mail address stands here.",
    why: r"It names a person, and a published one is harvested.",
    instead_of: r"contact: anna.lind@example.org",
    write: r"contact: the unit's teaching lead",
    source: r"US 45 CFR 164.514(b)(2)(i)(F)",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::Mail,
    rule: &RULE,
    what: "an e-mail address",
    mend: "leave it out; readers write to the library's `contact`, which is a role",
};
