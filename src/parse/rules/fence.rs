//! Front matter that does not begin or end as it must.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::Span;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "unclosed-front-matter",
    severity: Severity::Error,
    what: r"A case file does not begin with a line of three hyphens, or its front matter is not closed by another.",
    why: r"Without the closing line the front matter would be taken for narrative, and private fields would be printed on the page.",
    instead_of: r"---
title: A case

The eye was …",
    write: r"---
title: A case
---
The eye was …",
    source: r"",
    quotes: true,
};

/// The file has no opening fence.
pub(crate) fn missing(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "a case begins with a line of three hyphens, and this file does not")
        .mend("begin the file with `---`, then the fields, then `---` again; or put the fields into a file of the same name ending in .yaml")
}

/// The opening fence at `span` is never closed.
pub(crate) fn unclosed(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "the front matter begins here and is never closed")
        .mend("write a line of three hyphens `---` after the last field, before the narrative")
}

/// A file with its own front matter has a side file too.
pub(crate) fn twice(span: Span, side: &str) -> Diagnostic {
    Diagnostic::at(&RULE, span, format!("this case has front matter here and in `{side}` as well"))
        .mend("keep the fields in one of the two places")
}
