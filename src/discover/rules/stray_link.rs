//! Links that lead out of the library.

use crate::diag::{Diagnostic, Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "stray-link",
    severity: Severity::Error,
    what: r"A symbolic link leads out of the library, to a folder, in a circle, or nowhere.",
    why: r"Only what lies in the library is read, and once; a link could pull in any file of the machine.",
    instead_of: r"cases/notes.md linked to a file elsewhere",
    write: r"the file itself",
    source: r"",
    quotes: true,
};

/// The link at `path`.
pub(crate) fn found(path: &str) -> Diagnostic {
    Diagnostic::file(
        &RULE,
        path,
        "this link leads out of the library, to a folder, in a circle, or nowhere; it was not followed",
    )
    .mend("put the file itself into the library, or delete the link")
}
