//! A serial number or device identifier.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "device-number",
    severity: Severity::Error,
    what: r"The serial number or unique device identifier of one implant or machine stands here.",
    why: r"It leads through the maker's and the hospital's records to one eye.",
    instead_of: r#"note: "Lens S/N 12345678901""#,
    write: r"note: three-piece acrylic lens, 21.0 D",
    source: r"US 45 CFR 164.514(b)(2)(i)(M); GS1 General Specifications",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::DeviceNumber,
    rule: &RULE,
    what: "a serial number or device identifier",
    mend: "name the model, never the single piece",
};
