//! Two cases of one name.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::inputs::Inputs;
use std::collections::BTreeMap;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "name-clash",
    severity: Severity::Error,
    what: r"Two case files have the same name, or names that differ only by upper and lower case.",
    why: r"Their pages would overwrite one another; on Windows a.md and A.md are one file.",
    instead_of: r"cases/2024/plaque.md and cases/2025/plaque.md",
    write: r"cases/2024/plaque.md and cases/2025/second-plaque.md",
    source: r"",
    quotes: true,
};

/// The names of all cases against one another.
pub(crate) fn check(inputs: &Inputs, out: &mut Vec<Diagnostic>) {
    let mut seen: BTreeMap<String, &str> = BTreeMap::new();
    for case in &inputs.cases {
        let path = inputs.sources.get(case.markdown).map_or("", |source| source.path.as_str());
        match seen.get(&case.name.to_lowercase()) {
            // Both are named, so that neither is published as the one that was meant.
            Some(first) => out.extend([(path, *first), (*first, path)].map(|(this, other)| {
                Diagnostic::file(&RULE, this, format!("the name `{}` is also the name of {other}", case.name))
                    .mend("give one of the two another file name, whatever folders they lie in")
            })),
            None => {
                seen.insert(case.name.to_lowercase(), path);
            }
        }
    }
}
