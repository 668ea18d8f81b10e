//! Code blocks that are not closed.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::Span;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "unclosed-fence",
    severity: Severity::Error,
    what: r"A block that begins with a fence of backticks or tildes is not closed by a fence as wide, or it swallows a decision block.",
    why: r"Everything after it is shown as code, decisions with their answers too.",
    instead_of: r"```yaml
iop: 15 mmHg

The eye was …",
    write: r"```yaml
iop: 15 mmHg
```

The eye was …",
    source: r"",
    quotes: true,
};

/// The fence at `span` opens a block that is not closed where it should be.
pub(crate) fn unclosed(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "the block that begins here is not closed, or only after a decision that it swallows")
        .mend("close it with a fence of the same width on a line of its own")
}
