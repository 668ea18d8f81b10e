//! Anchors, aliases and merge keys.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::Span;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "yaml-alias",
    severity: Severity::Error,
    what: r"Front matter uses an anchor (&name), an alias (*name), a merge key (<<) or a tag (!name).",
    why: r"They can make a small file unfold into gigabytes, and a reader of the source cannot see what a case says.",
    instead_of: r"absent: &none [glaucoma]",
    write: r"absent: [glaucoma]",
    source: r"",
    quotes: true,
};

/// An anchor, alias, merge key or tag at `span`.
pub(crate) fn found(span: Span, what: &str) -> Diagnostic {
    Diagnostic::at(&RULE, span, format!("{what} cannot be used here"))
        .mend("write the value out where it belongs, or put quotes around it if it is text")
}
