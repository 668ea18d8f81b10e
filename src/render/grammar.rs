//! Two small grammars for case files: fields, and the Markdown around them.
//!
//! The grammars that come with syntect know all of YAML and Markdown, and pay for it at every character: colouring took
//! nine tenths of a compile, and two threads got in each other's way. These know what our own page shows and look at no
//! text twice: all rules are one pattern. Other languages in fences keep the grammars of syntect.

use regex::Regex;
use std::sync::LazyLock;

/// A rule: what it matches, the class of the whole match, and those of its groups.
type Rule = (&'static str, &'static str, &'static [(usize, &'static str)]);

/// Where two rules match at one place the first of them counts.
const FIELDS: &[Rule] = &[
    (r"(?:^|\s)(#.*)", "", &[(1, "c")]),
    (r#""(?:[^"\\]|\\.)*""#, "s", &[]),
    // Not inside a word: the mark of 2 o'clock opens no quotation.
    (r"\B'(?:[^']|'')*'", "s", &[]),
    (r"(?:^\s*(?:- +)*|[{,]\s*)([A-Za-z_][A-Za-z0-9_ -]*)(:)(?:\s|$)", "", &[(1, "k"), (2, "p")]),
    (r"\b[0-9]+(?:\.[0-9]+)?\b", "n", &[]),
    (r"[\[\]{},]|^\s*-\s", "p", &[]),
];

const PROSE: &[Rule] = &[
    (r"^#{1,6} .*", "h", &[]),
    (r"\*\*[^*\n]+\*\*", "b", &[]),
    (r"\*[^*\n]+\*", "i", &[]),
    (r"`[^`\n]+`", "s", &[]),
    (r"(\[)[^\]\n]*(\]\()([^)\n]*)(\))", "", &[(1, "p"), (2, "p"), (3, "l"), (4, "p")]),
    (r"^\s*(?:[-*+]|[0-9]+\.) ", "p", &[]),
];

/// The fields of a case.
pub(crate) static YAML: LazyLock<Grammar> = LazyLock::new(|| Grammar::new(FIELDS));

/// What stands between them.
pub(crate) static MARKDOWN: LazyLock<Grammar> = LazyLock::new(|| Grammar::new(PROSE));

/// Rules that are looked for all at once, a line at a time.
#[derive(Debug)]
pub(crate) struct Grammar {
    /// Each rule is a group, and has its own groups in it.
    pattern: Regex,
    rules: Vec<Numbered>,
}

/// A rule among the others.
#[derive(Debug)]
struct Numbered {
    group: usize,
    /// The class of the whole match.
    whole: &'static str,
    /// The groups that have a class of their own.
    groups: Vec<(usize, &'static str)>,
}

impl Grammar {
    fn new(rules: &[Rule]) -> Self {
        let mut group = 1;
        let mut numbered = Vec::new();
        for (pattern, whole, groups) in rules {
            let inner = groups.iter().map(|(at, class)| (group + at, *class)).collect();
            numbered.push(Numbered { group, whole, groups: inner });
            group += groups.len() + 1;
            debug_assert!(Regex::new(pattern).is_ok_and(|it| it.captures_len() == groups.len() + 1), "{pattern}");
        }
        let all: Vec<String> = rules.iter().map(|(pattern, ..)| format!("({pattern})")).collect();
        Self { pattern: Regex::new(&all.join("|")).expect("the rules are sound"), rules: numbered }
    }

    /// Hands the pieces of a line to `put` in order, each with its class; an empty one leaves the text as it is.
    pub(crate) fn line<'l>(&self, line: &'l str, mut put: impl FnMut(&'l str, &'static str)) {
        let mut from = 0;
        for found in self.pattern.captures_iter(line) {
            let matched = |rule: &'_ Numbered| found.get(rule.group).map(|it| it.range());
            let Some((rule, range)) = self.rules.iter().find_map(|rule| Some((rule, matched(rule)?))) else { continue };
            put(&line[from..range.start], "");
            from = range.start;
            for (group, class) in &rule.groups {
                let Some(inner) = found.get(*group) else { continue };
                put(&line[from..inner.start()], rule.whole);
                put(inner.as_str(), class);
                from = inner.end();
            }
            put(&line[from..range.end], rule.whole);
            from = range.end;
        }
        put(&line[from..], "");
    }
}
