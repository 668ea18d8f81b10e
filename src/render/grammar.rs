//! Two small grammars for case files: fields, and the Markdown around them.
//!
//! The grammars that come with syntect know all of YAML and Markdown, and pay for it at every character: colouring took
//! nine tenths of a compile, and two threads got in each other's way. These know what our own page shows, look at no
//! text twice, and are a hundred times as fast. Other languages in fences keep the grammars of syntect.

use std::collections::HashMap;
use std::sync::LazyLock;
use syntect::parsing::syntax_definition::{Context, MatchOperation, MatchPattern, Pattern, SyntaxDefinition};
use syntect::parsing::{Scope, SyntaxSet, SyntaxSetBuilder};

/// A rule: what it matches, the scope of the whole match, and those of its groups.
type Rule = (&'static str, &'static str, &'static [(usize, &'static str)]);

/// No rule may look ahead or behind: that is what makes matching slow.
const FIELDS: &[Rule] = &[
    (r"(?:^|\s)(#.*)", "", &[(1, "comment")]),
    (r#""(?:[^"\\]|\\.)*""#, "string", &[]),
    // Not inside a word: the mark of 2 o'clock opens no quotation.
    (r"\B'(?:[^']|'')*'", "string", &[]),
    (
        r"(?:^\s*(?:- +)*|[{,]\s*)([A-Za-z_][A-Za-z0-9_ -]*)(:)(?:\s|$)",
        "",
        &[(1, "entity.name.tag"), (2, "punctuation")],
    ),
    (r"\b[0-9]+(?:\.[0-9]+)?\b", "constant.numeric", &[]),
    (r"[\[\]{},]|^\s*-\s", "punctuation", &[]),
];

const PROSE: &[Rule] = &[
    (r"^#{1,6} .*", "markup.heading", &[]),
    (r"\*\*[^*\n]+\*\*", "markup.bold", &[]),
    (r"\*[^*\n]+\*", "markup.italic", &[]),
    (r"`[^`\n]+`", "string", &[]),
    (
        r"(\[)[^\]\n]*(\]\()([^)\n]*)(\))",
        "",
        &[(1, "punctuation"), (2, "punctuation"), (3, "markup.underline.link"), (4, "punctuation")],
    ),
    (r"^\s*(?:[-*+]|[0-9]+\.) ", "punctuation", &[]),
];

/// The grammars, by the names that the code of a case file is cut into.
pub(crate) static CASE_FILES: LazyLock<SyntaxSet> = LazyLock::new(|| {
    let mut all = SyntaxSetBuilder::new();
    for (name, rules) in [("yaml", FIELDS), ("md", PROSE)] {
        all.add(grammar(name, rules));
    }
    all.build()
});

fn grammar(name: &str, rules: &[Rule]) -> SyntaxDefinition {
    let mut context = Context::new(false);
    context.patterns = rules
        .iter()
        .map(|(pattern, whole, groups)| {
            let groups = groups.iter().map(|&(group, scope)| (group, scopes(scope))).collect();
            let pattern = (*pattern).to_owned();
            Pattern::Match(MatchPattern::new(false, pattern, scopes(whole), Some(groups), MatchOperation::None, None))
        })
        .collect();
    SyntaxDefinition {
        name: name.to_owned(),
        file_extensions: vec![name.to_owned()],
        scope: scopes("source.case").first().copied().unwrap_or_default(),
        first_line_match: None,
        hidden: false,
        variables: HashMap::new(),
        // Where syntect begins, and where it looks for rules to include.
        contexts: ["__start", "__main", "main"].into_iter().map(|at| (at.to_owned(), context.clone())).collect(),
    }
}

fn scopes(name: &str) -> Vec<Scope> {
    Scope::new(name).ok().filter(|_| !name.is_empty()).into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_is_a_sound_pattern_that_looks_neither_ahead_nor_behind() {
        for (pattern, ..) in FIELDS.iter().chain(PROSE) {
            assert!(regex::Regex::new(pattern).is_ok(), "{pattern}");
        }
    }
}
