//! A personal name.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "personal-name",
    severity: Severity::Error,
    what: r"A name stands here after a title, or is called a name.",
    why: r"It names the patient or somebody close. Names without a title no rule can find.",
    instead_of: r"Mrs Brandt was anxious.",
    write: r"She was anxious.",
    source: r"US 45 CFR 164.514(b)(2)(i)(A); ICMJE Recommendations, Protection of Research Participants",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::Name,
    rule: &RULE,
    what: "a name",
    mend: "say who it was to the patient: she, his daughter, the general practitioner",
};
