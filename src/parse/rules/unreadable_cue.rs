//! A cue of a narration whose time cannot be read.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::Span;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "unreadable-cue",
    severity: Severity::Error,
    what: r"A narration has words without a time, or a time that cannot be read.",
    why: r"A draft says of every value when it was heard. Words without a time would stand nowhere, so nothing is drafted until they have one.",
    instead_of: r"00:00:5x,000 --> 00:00:08,000",
    write: r"00:00:05,000 --> 00:00:08,000, or before a line of plain text [0:05]",
    source: r"W3C, WebVTT: The Web Video Text Tracks Format; for SubRip and plain text common practice",
    quotes: true,
};

/// `written` is no time.
pub(crate) fn time(span: Span, written: &str) -> Diagnostic {
    let shown: String = written.chars().take(40).collect();
    Diagnostic::at(&RULE, span, format!("`{shown}` is not a time"))
        .mend("write minutes and seconds, 1:05, or 00:01:05,000 --> 00:01:08,000")
}

/// Words stand here without a time.
pub(crate) fn no_time(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "these words have no time")
        .mend("put a time before them: 00:01:05,000 --> 00:01:08,000 on a line of its own, or [1:05] in plain text")
}

/// Nothing was said at all.
pub(crate) fn nothing(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "this file holds no words with a time")
        .mend("a narration is WebVTT, SRT, or plain text with a time before each line: [0:05] This is a left eye.")
}
