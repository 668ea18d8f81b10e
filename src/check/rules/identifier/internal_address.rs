//! An address inside a network.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "internal-address",
    severity: Severity::Error,
    what: r"The address of a page or a machine inside a hospital stands here.",
    why: r"It tells outsiders how the hospital's systems are named, and often leads to one patient's study.",
    instead_of: r"See http://pacs.local/study/44",
    write: r"See the scan below",
    source: r"US 45 CFR 164.514(b)(2)(i)(N); RFC 1918, RFC 6762",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::InternalAddress,
    rule: &RULE,
    what: "an address inside a network",
    mend: "leave it out; put the picture into `media`",
};
