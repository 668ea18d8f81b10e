//! Marks that a word processor puts where YAML needs plain ones.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::Span;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "word-processor-mark",
    severity: Severity::Error,
    what: r"A typographic quote, a no-break space or a tab stands where YAML needs a plain quote or blanks.",
    why: r"YAML takes a curly quote for a letter: the value silently begins and ends with it, or the file does not parse at all.",
    instead_of: r"title: “A quiet eye”",
    write: r#"title: "A quiet eye""#,
    source: r"",
    quotes: true,
};

/// A curly quote at `span` where a plain one is needed.
pub(crate) fn quote(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "this is a word processor's quote, which YAML takes for a letter")
        .mend("type a plain quote \" or ' instead")
}

/// A tab used as indentation at `span`.
pub(crate) fn tab(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "this line is indented with a tab, which YAML does not allow").mend("use blanks")
}

/// A no-break space used as indentation at `span`.
pub(crate) fn space(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "a no-break space stands here where YAML needs a plain blank")
        .mend("type a plain blank")
}
