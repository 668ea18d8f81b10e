//! Two concepts of one kind with the same term.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::Spanned;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "shared-term",
    severity: Severity::Error,
    what: r"Two concepts of one kind share a term, when case, hyphens, plural and spelling do not count.",
    why: r"The field decides the kind of a term; within a kind the term must decide the concept.",
    instead_of: r"aliases: [PC tear] at two complications",
    write: r"aliases: [PC tear] at one of them",
    source: r"",
    quotes: true,
};

/// `term` already belongs to the concept whose term stands at `first`.
pub(crate) fn found(term: &Spanned<String>, first: &Spanned<String>, other: &str) -> Diagnostic {
    Diagnostic::at(&RULE, term.span, format!("`{}` is already a term of `{other}`", term.value))
        .also(first.span, "it stands there as")
        .mend("leave it with the one that surgeons mean by it")
}

/// `name` is the name of another concept already.
pub(crate) fn name_taken(name: &Spanned<String>, first: &Spanned<String>) -> Diagnostic {
    Diagnostic::at(&RULE, name.span, format!("another concept has the name `{}`", name.value))
        .also(first.span, "it stands at")
        .mend("give this one a name of its own; to extend a built-in concept, keep its kind")
}
