//! Files whose ending keeps them from being read.

use crate::diag::{Diagnostic, Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "stray-file",
    severity: Severity::Warning,
    what: r"A file looks like a case or a vocabulary but would not be read: its ending is .yml, .markdown or in capitals, it is a .yaml file without its .md, or a session whose name no page could have.",
    why: r"A case that is left out in silence is missed by nobody.",
    instead_of: r"cases/plaque.yml",
    write: r"cases/plaque.yaml beside cases/plaque.md",
    source: r"",
    quotes: true,
};

/// The file at `path` ends in `ending`.
pub(crate) fn ending(path: &str, ending: &str) -> Diagnostic {
    let right = if ending.eq_ignore_ascii_case("yml") || ending.eq_ignore_ascii_case("yaml") { "yaml" } else { "md" };
    Diagnostic::file(&RULE, path, format!("a file ending in .{ending} is not read"))
        .mend(format!("let its name end in .{right}"))
}

/// A session whose name no page could have.
pub(crate) fn session(path: &str) -> Diagnostic {
    Diagnostic::file(&RULE, path, "this session is not read: pages cannot be named so").mend(
        "give it at most 40 lower-case letters, digits and hyphens, straight in sessions/, and not -tutor or a number at the end",
    )
}

/// A side file without its Markdown.
pub(crate) fn lone_side(path: &str) -> Diagnostic {
    Diagnostic::file(&RULE, path, "this file holds fields, and there is no narrative of the same name beside it")
        .mend("add the .md file, or move it to vocabulary/, models/ or sessions/ if it belongs there")
}
