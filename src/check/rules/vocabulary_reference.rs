//! A concept that names one which does not exist.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::vocabulary::Kind;
use crate::text::{Spanned, nearest};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "unknown-concept",
    severity: Severity::Error,
    what: r"`broader`, `needs` or `answers` names a concept that does not exist or is of the wrong kind.",
    why: r"The page would lack the link.",
    instead_of: r"broader: vitrectmy",
    write: r"broader: vitrectomy",
    source: r"",
    quotes: true,
};

/// `name` under `field` should be a concept of `kind`; `names` are those that exist.
pub(crate) fn found<'a>(
    name: &Spanned<String>,
    field: &str,
    kind: Kind,
    names: impl Iterator<Item = &'a str>,
) -> Diagnostic {
    let diagnostic = Diagnostic::at(
        &RULE,
        name.span,
        format!("`{field}` takes the name of a {}, and `{}` is none", kind.word(), name.value),
    );
    match nearest(&name.value, names) {
        Some(near) => diagnostic.mend(format!("write `{near}`")),
        None => diagnostic.mend("use the `name` of a concept, not its label"),
    }
}
