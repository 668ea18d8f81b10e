//! Where somebody lives.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "place-of-residence",
    severity: Severity::Advice,
    what: r"Where somebody lives or comes from stands here.",
    why: r"A village has few people with this eye.",
    instead_of: r"She lives in Overtarn.",
    write: r"She lives an hour away.",
    source: r"US 45 CFR 164.514(b)(2)(i)(B)",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::Home,
    rule: &RULE,
    what: "where somebody lives",
    mend: "say what matters for teaching: how far away, on an island",
};
