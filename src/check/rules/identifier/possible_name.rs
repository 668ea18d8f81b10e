//! Initials or a relative's name.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "possible-name",
    severity: Severity::Warning,
    what: r"Initials of a patient, or the name of a relative, stand here.",
    why: r"Initials are no disguise: with the eye and the month the list has one line left.",
    instead_of: r"Patient J.S. was anxious.",
    write: r"The patient was anxious.",
    source: r"US 45 CFR 164.514(b)(2)(i)(A); ICMJE Recommendations on initials",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::PossibleName,
    rule: &RULE,
    what: "initials or a relative's name",
    mend: "leave them out",
};
