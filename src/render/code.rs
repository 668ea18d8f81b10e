//! Colouring of code: short class names, whose colours the style sheet gives for light and for dark.
//!
//! Outside [`super::narrative`] this is the only place in Rust that writes markup.

use super::grammar::{Grammar, line, markdown, yaml};
use crate::text::escape;
use std::sync::LazyLock;
use syntect::parsing::{ParseState, Scope, ScopeStack, SyntaxReference, SyntaxSet};
use syntect::util::LinesWithEndings;

/// The grammars. Unpacking them takes a moment, so that happens only when a page needs them.
static GRAMMARS: LazyLock<SyntaxSet> = LazyLock::new(SyntaxSet::load_defaults_newlines);

/// Which scope gets which class; the innermost scope with an entry decides. An empty class leaves the text as it is.
static CLASSES: LazyLock<Vec<(Scope, &'static str)>> = LazyLock::new(|| {
    [
        ("comment", "c"),
        ("punctuation.definition.comment", "c"),
        ("punctuation.definition.string", "s"),
        ("punctuation.definition.heading", "h"),
        ("entity.name.tag", "k"),
        ("keyword", "k"),
        ("storage", "k"),
        ("entity.name.section", "h"),
        ("markup.heading", "h"),
        ("entity.name", "k"),
        ("constant", "n"),
        ("string", "s"),
        ("markup.bold", "b"),
        ("markup.italic", "i"),
        ("markup.underline.link", "l"),
        ("punctuation", "p"),
    ]
    .into_iter()
    .filter_map(|(name, class)| Some((Scope::new(name).ok()?, class)))
    .collect()
});

/// Most bytes of a block and of one of its lines that are coloured.
const LONGEST_CODE: usize = 64 * 1024;
const LONGEST_LINE: usize = 1000;

/// Code with coloured parts, escaped; a language without a grammar stays plain.
pub(crate) fn coloured(code: &str, language: &str) -> String {
    // A grammar may look at a long line again for each of its letters.
    if code.len() > LONGEST_CODE || code.lines().any(|line| line.len() > LONGEST_LINE) {
        return escape(code).into_owned();
    }
    match GRAMMARS.find_syntax_by_token(language) {
        Some(grammar) => spans(code, grammar, &GRAMMARS).unwrap_or_else(|| escape(code).into_owned()),
        None => escape(code).into_owned(),
    }
}

/// `None` if the grammar itself is at fault.
fn spans(code: &str, grammar: &SyntaxReference, grammars: &SyntaxSet) -> Option<String> {
    let mut parser = ParseState::new(grammar);
    let mut scopes = ScopeStack::new();
    let mut out = Spans::new(code);
    for line in LinesWithEndings::from(code) {
        let mut from = 0;
        for (at, change) in parser.parse_line(line, grammars).ok()? {
            if at > from {
                out.put(&line[from..at], class(&scopes));
                from = at;
            }
            scopes.apply(&change).ok()?;
        }
        out.put(&line[from..], class(&scopes));
    }
    Some(out.finish())
}

/// Markup as it grows.
struct Spans {
    out: String,
    open: &'static str,
}

impl Spans {
    fn new(code: &str) -> Self {
        Self { out: String::with_capacity(code.len() * 2), open: "" }
    }

    fn put(&mut self, text: &str, class: &'static str) {
        // White space needs no colour; keeping it in the open span makes the page smaller.
        if class != self.open && !text.trim().is_empty() {
            if !self.open.is_empty() {
                self.out.push_str("</span>");
            }
            if !class.is_empty() {
                self.out.push_str("<span class=\"");
                self.out.push_str(class);
                self.out.push_str("\">");
            }
            self.open = class;
        }
        self.out.push_str(&escape(text));
    }

    fn finish(mut self) -> String {
        if !self.open.is_empty() {
            self.out.push_str("</span>");
        }
        self.out
    }
}

fn class(scopes: &ScopeStack) -> &'static str {
    let known = |scope: &Scope| CLASSES.iter().find(|(prefix, _)| prefix.is_prefix_of(*scope));
    scopes.as_slice().iter().rev().find_map(known).map_or("", |(_, class)| *class)
}

/// A case file with its fields and decisions coloured as YAML and the rest as Markdown.
pub(crate) fn case_file(text: &str) -> String {
    let mut out = String::new();
    for (part, language) in parts(text) {
        match language {
            "yaml" => out.push_str(&own(part, yaml)),
            "md" => out.push_str(&own(part, markdown)),
            // The lines of a fence stay plain.
            _ => out.push_str(&escape(part)),
        }
    }
    out
}

/// The fields of a case, coloured.
pub(crate) fn fields(text: &str) -> String {
    own(text, yaml)
}

/// A part of a case file, coloured by one of our own small grammars.
fn own(text: &str, grammar: Grammar) -> String {
    let mut out = Spans::new(text);
    for each in LinesWithEndings::from(text) {
        line(grammar, each, &mut |piece, class| out.put(piece, class));
    }
    out.finish()
}

/// Cuts a case file into its front matter, its decision blocks and the Markdown between them.
fn parts(text: &str) -> Vec<(&str, &'static str)> {
    let mut parts = Vec::new();
    let (mut start, mut at) = (0, 0);
    let mut inside = "md";
    for line in LinesWithEndings::from(text) {
        let bare = line.trim_end();
        let end = at + line.len();
        let next = match (inside, bare) {
            ("md", "---") if at == 0 => Some("yaml"),
            ("md", fence) if fence.starts_with("```decision") => Some("decision"),
            ("yaml", "---") if at > 0 => Some("md"),
            ("decision", "```") => Some("md"),
            _ => None,
        };
        if let Some(next) = next {
            // The line that opens or closes a part belongs to neither: it is a fence.
            parts.push((&text[start..at], if inside == "md" { "md" } else { "yaml" }));
            parts.push((&text[at..end], "fence"));
            start = end;
            inside = next;
        }
        at = end;
    }
    parts.push((&text[start..], if inside == "md" { "md" } else { "yaml" }));
    parts.retain(|(part, _)| !part.is_empty());
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_and_decisions_are_yaml_and_the_rest_is_markdown() {
        let text = "---\ntitle: A\n---\n\n## One\n\n```decision\nid: d1\n```\nEnd.\n";
        let cut: Vec<(&str, &str)> = parts(text);
        assert_eq!(
            cut,
            vec![
                ("---\n", "fence"),
                ("title: A\n", "yaml"),
                ("---\n", "fence"),
                ("\n## One\n\n", "md"),
                ("```decision\n", "fence"),
                ("id: d1\n", "yaml"),
                ("```\n", "fence"),
                ("End.\n", "md"),
            ]
        );
    }

    #[test]
    fn code_is_escaped_and_keeps_every_letter() {
        let code = "a: <b> & 'c' # note\n";
        let html = coloured(code, "yaml");
        assert!(html.contains("&lt;b&gt; &amp;") && !html.contains("<b>"), "{html}");
        assert!(html.contains("<span class=\"c\"># note"), "{html}");
        let mut plain = html.replace("</span>", "");
        while let Some(from) = plain.find("<span") {
            let to = from + plain[from..].find('>').expect("closed");
            plain.replace_range(from..=to, "");
        }
        assert_eq!(plain, escape(code));
    }

    #[test]
    fn a_language_nobody_knows_stays_plain() {
        assert_eq!(coloured("if a < b", "no-such-language"), "if a &lt; b");
    }

    #[test]
    fn an_apostrophe_in_a_word_opens_no_quotation() {
        let plain = fields("ports: [11 o'clock, 7 o'clock]\n");
        assert_eq!(plain.matches(" o&#39;clock<span").count(), 2, "{plain}");
        let quoted = fields("note: 'a quiet eye'\n");
        assert!(quoted.contains("<span class=\"s\">&#39;a quiet eye&#39;"), "{quoted}");
    }
}
