//! A web address outside the known sites.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "unlisted-site",
    severity: Severity::Warning,
    what: r"A web address outside the list of known sites stands here.",
    why: r"A page about a person, such as a newspaper's, gives the person away.",
    instead_of: r"See https://news.example.com/tarn",
    write: r"See doi:10.1136/bjo.2004.046003",
    source: r"US 45 CFR 164.514(b)(2)(i)(N)",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::WebAddress,
    rule: &RULE,
    what: "a web address outside the known sites",
    mend: "cite literature by its DOI; waive it if the page tells nothing of the patient",
};
