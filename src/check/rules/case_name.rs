//! File names that a share or a link cannot carry.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::inputs::Inputs;
use crate::model::site::is_reserved_name;
use crate::text::slug;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "unsuitable-name",
    severity: Severity::Error,
    what: r"A case file has a name that a file share, a server or a link cannot carry: other characters than lower-case letters, digits and hyphens, more than 40 of them, a name that Windows reserves, or an ending that the site uses itself.",
    why: r"The page could not be opened from the department's share.",
    instead_of: r"cases/Con.md",
    write: r"cases/fellow-eye.md",
    source: r"Microsoft, Naming Files, Paths, and Namespaces",
    quotes: true,
};

/// The names of all cases.
pub(crate) fn check(inputs: &Inputs, out: &mut Vec<Diagnostic>) {
    for case in &inputs.cases {
        let name = &case.name;
        let sound = (1..=40).contains(&name.len())
            && name.bytes().all(|byte| matches!(byte, b'a'..=b'z' | b'0'..=b'9' | b'-'))
            && !name.starts_with('-')
            && !name.ends_with('-');
        let why = if !sound {
            "a case's file name has at most 40 lower-case letters, digits and hyphens"
        } else if is_reserved_name(name) {
            "Windows reserves this name, so the page could not be stored on its shares"
        } else if name.ends_with("-ask") || name.ends_with("-source") {
            "the site itself makes pages that end in -ask and -source"
        } else {
            continue;
        };
        let path = inputs.sources.get(case.markdown).map_or("", |source| source.path.as_str());
        let proposal = if sound { format!("{name}-eye") } else { slug(name) };
        let diagnostic = Diagnostic::file(&RULE, path, format!("the name `{name}` cannot be used: {why}"));
        out.push(if proposal.is_empty() || is_reserved_name(&proposal) {
            diagnostic.mend("rename the file")
        } else {
            diagnostic.mend(format!("rename the file, for example to `{proposal}.md`"))
        });
    }
}
