//! A cue of a narration whose times make no sense beside each other or beside the next cue's.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::Span;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "odd-cue",
    severity: Severity::Warning,
    what: r"A cue of a narration has no end, ends before it begins, overlaps the one before it, or stands out of order.",
    why: r"The draft is made all the same, by the times at which the cues begin; but something made these times badly, and steps may stand at the wrong moment.",
    instead_of: r"00:00:08,000 --> 00:00:05,000",
    write: r"00:00:05,000 --> 00:00:08,000",
    source: r"",
    quotes: true,
};

/// No end is given.
pub(crate) fn no_end(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "this cue does not say when it ends").mend("write its end after the arrow")
}

/// The end comes first.
pub(crate) fn backwards(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "this cue ends before it begins; its beginning was taken")
        .mend("look both times up again")
}

/// It begins while another is still to be heard.
pub(crate) fn overlap(span: Span, before: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "this cue begins before the one above it has ended")
        .also(before, "the one above")
        .mend("let the first end where the second begins, or join the two")
}

/// It stands after one that begins later.
pub(crate) fn out_of_order(span: Span, before: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "this cue begins earlier than the one above it; it was put in its place by time")
        .also(before, "the one above")
        .mend("put the cues in the order of their times")
}
