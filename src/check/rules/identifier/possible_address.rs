//! What may be an address.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "possible-address",
    severity: Severity::Warning,
    what: r"A street with its number, or a code in the form of a postcode, stands here.",
    why: r"It may be where the patient lives. Names of implant models are let pass.",
    instead_of: r"near 12 Mill Lane",
    write: r"in the old part of town",
    source: r"US 45 CFR 164.514(b)(2)(i)(B); BS 7666, USPS Publication 28",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::PossibleAddress,
    rule: &RULE,
    what: "what may be an address",
    mend: "leave it out, or waive it if it is no address",
};
