//! An address.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "postal-address",
    severity: Severity::Error,
    what: r"An address or a postcode stands here, and is called one.",
    why: r"It is the patient's door.",
    instead_of: r#"note: "Address: 4 Mill Lane, Over Tarn""#,
    write: r"note: lives alone, an hour away",
    source: r"US 45 CFR 164.514(b)(2)(i)(B)",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::Address,
    rule: &RULE,
    what: "an address",
    mend: "say what matters for teaching: how far away, alone or not",
};
