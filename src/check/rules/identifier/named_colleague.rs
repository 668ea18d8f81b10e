//! A colleague's name.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "named-colleague",
    severity: Severity::Warning,
    what: r"A doctor's or a nurse's name stands here who is not among the authors.",
    why: r"Colleagues have not agreed to be named, and a name narrows down who the patient was.",
    instead_of: r"Dr Lind took over.",
    write: r"The consultant took over.",
    source: r"common practice, no source",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::Colleague,
    rule: &RULE,
    what: "a colleague's name",
    mend: "say the grade: the consultant, the scrub nurse",
};
