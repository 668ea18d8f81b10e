//! A record number.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "record-number",
    severity: Severity::Error,
    what: r"A number under which a hospital, an insurer or an authority keeps the patient stands here.",
    why: r"Everybody who may search the records finds the patient.",
    instead_of: r"note: MRN 4471822",
    write: r"note: seen in our clinic since 2019",
    source: r"US 45 CFR 164.514(b)(2)(i)(H) to (K)",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::RecordNumber,
    rule: &RULE,
    what: "a record number",
    mend: "leave it out; a case has its file's name",
};
