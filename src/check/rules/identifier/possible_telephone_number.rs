//! Digits in the form of a telephone number.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "possible-telephone-number",
    severity: Severity::Warning,
    what: r"Digits in the form of a telephone number stand here.",
    why: r"It may name a household.",
    instead_of: r"She answers on 01632 960001.",
    write: r"She answers in the evening.",
    source: r"US 45 CFR 164.514(b)(2)(i)(D); ITU-T E.164 and national numbering plans",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::PossibleTelephone,
    rule: &RULE,
    what: "digits in the form of a telephone number",
    mend: "leave them out, or waive them if they are a measure",
};
