//! Files that cannot be read.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::files::MAX_DEPTH;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "unreadable-file",
    severity: Severity::Error,
    what: r"A file of the library cannot be opened, has a name that is not Unicode, lies too many folders deep, or is larger than 4 MB although it is text.",
    why: r"What cannot be read cannot be checked, and nothing unchecked is published.",
    instead_of: r"",
    write: r"",
    source: r"",
    quotes: true,
};

/// The file at `path`, and why it could not be read.
pub(crate) fn found(path: &str, why: &str) -> Diagnostic {
    Diagnostic::file(&RULE, path, format!("this file cannot be read: {why}"))
        .mend("check who may read it, or delete it")
}

/// A name that is not Unicode.
pub(crate) fn odd_name(path: &str) -> Diagnostic {
    Diagnostic::file(&RULE, path, "the name of this file is not Unicode").mend("rename it with plain letters")
}

/// A folder too deep down.
pub(crate) fn deep(path: &str) -> Diagnostic {
    let what = format!("this folder is {MAX_DEPTH} deep in the library, and nothing in it is read");
    Diagnostic::file(&RULE, path, what).mend("move it further up, or out of the library")
}

/// A text of `size` bytes.
pub(crate) fn large(path: &str, size: u64) -> Diagnostic {
    Diagnostic::file(&RULE, path, format!("this text has {size} bytes; at most 4194304 are read"))
        .mend("keep pictures and films in media/, and long tables out of the case")
}
