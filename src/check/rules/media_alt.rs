//! A picture or film without words.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "missing-alt",
    severity: Severity::Error,
    what: r"A picture or film has no `alt` text.",
    why: r"A reader who cannot see it, and everybody until media are shown, has only these words.",
    instead_of: r"media: [{file: op.mp4, shows: operation}]",
    write: r"media: [{file: op.mp4, shows: operation, alt: The capsule tears towards 4 o'clock as the last fragment is drawn in.}]",
    source: r"WCAG 2.2, success criterion 1.1.1 Non-text Content",
    quotes: true,
};

/// Every picture and film.
pub(crate) fn check(case: &CaseSyntax, _: &Context<'_>, out: &mut Vec<Diagnostic>) {
    for media in case.media.iter().filter(|media| media.alt.is_none() && !media.file.value.is_empty()) {
        out.push(
            Diagnostic::at(
                &RULE,
                media.file.span,
                format!("`{}` has no words for readers who cannot see it", media.file.value),
            )
            .mend("add `alt: …` saying what it shows and why that matters"),
        );
    }
}
