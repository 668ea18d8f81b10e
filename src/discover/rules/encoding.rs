//! Texts that are not UTF-8.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::{FileId, Span};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "not-utf-8",
    severity: Severity::Error,
    what: r"A text is not UTF-8: it was saved in an older encoding or as UTF-16, or it holds zero bytes.",
    why: r"Accents, degree signs and minus signs would come out wrong or not at all.",
    instead_of: r"a file saved as Windows-1252",
    write: r"the same file saved as UTF-8",
    source: r"",
    quotes: true,
};

/// The first byte that is not UTF-8, at `at`, where the decoded text has a replacement character.
pub(crate) fn not_unicode(file: FileId, at: usize) -> Diagnostic {
    Diagnostic::at(&RULE, Span::new(file, at, at + '\u{fffd}'.len_utf8()), "from here on this file is not UTF-8")
        .mend("open it in an editor and save it with the encoding UTF-8")
}

/// A file that begins as UTF-16.
pub(crate) fn sixteen_bit(path: &str) -> Diagnostic {
    Diagnostic::file(&RULE, path, "this file is saved as UTF-16")
        .mend("open it in an editor and save it with the encoding UTF-8")
}

/// A zero byte at `at`.
pub(crate) fn control(file: FileId, at: usize) -> Diagnostic {
    Diagnostic::at(&RULE, Span::new(file, at, at + 1), "a zero byte stands here; this is not a text")
        .mend("save the file again as plain UTF-8 text, or delete it")
}
