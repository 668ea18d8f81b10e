//! A folder that is not a library.

use crate::diag::{Diagnostic, Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "no-library",
    severity: Severity::Error,
    what: r"The folder has no `library.yaml`.",
    why: r"Its title, unit, edition and selection stand on every page.",
    instead_of: r"cases/plaque.md alone",
    write: r"cases/plaque.md and library.yaml",
    source: r"",
    quotes: true,
};

/// There is no `library.yaml`.
pub(crate) fn found() -> Diagnostic {
    Diagnostic::file(&RULE, "library.yaml", "this folder has no library.yaml, so it is not a library")
        .mend("name the library's folder, or lay out a new one with `casewright start DIR`")
}
