//! A waiver that waives nothing.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::Span;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "idle-waiver",
    severity: Severity::Warning,
    what: r"A waiver names a rule that no waiver can quiet, or a line that is no longer there or has changed.",
    why: r"A waiver holds for the words somebody looked at. Once they change, somebody must look again.",
    instead_of: r"waivers: [{rule: long-number, of: 0123456789abcdef, because: …}]",
    write: r"Take the waiver out, or put in the hash that proofread tells.",
    source: r"",
    quotes: true,
};

/// A waiver that names a rule which cannot be waived.
pub(crate) fn rule(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "no finding of this rule can be waived")
        .mend("take the waiver out and mend what the rule finds")
}

/// A waiver whose line is not there, or not found fault with.
pub(crate) fn line(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "this waives nothing: the line changed, or the rule finds nothing in it")
        .mend("take the waiver out, or look at the line again and put in the hash that proofread tells")
}
