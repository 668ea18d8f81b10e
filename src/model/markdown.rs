//! Which Markdown a narrative may use: one place, so that checking and rendering read the same text.

use crate::text::slug;
use pulldown_cmark::{Options, Parser};
use std::collections::BTreeMap;

/// A parser with the extensions of a narrative: tables, footnotes, strike-through and typographic punctuation.
pub fn parser(text: &str) -> Parser<'_> {
    Parser::new_ext(
        text,
        Options::ENABLE_TABLES
            | Options::ENABLE_FOOTNOTES
            | Options::ENABLE_STRIKETHROUGH
            | Options::ENABLE_SMART_PUNCTUATION,
    )
}

/// Whether a fence's info string marks a decision block.
pub fn is_decision(info: &str) -> bool {
    info.split_whitespace().next() == Some("decision")
}

/// The names by which a page's headings can be linked to, in order; two headings of the same words get different ones.
#[derive(Debug, Default)]
pub struct Anchors(BTreeMap<String, usize>);

impl Anchors {
    /// The name of the next heading, whose words these are.
    pub fn next(&mut self, words: &str) -> String {
        let name = slug(words);
        let base = if name.is_empty() { "section".to_owned() } else { name };
        loop {
            let count = self.0.entry(base.clone()).or_insert(0);
            *count += 1;
            let id = if *count == 1 { base.clone() } else { format!("{base}-{count}") };
            // `a-2` may be the words of another heading.
            if *count == 1 || self.0.insert(id.clone(), 1).is_none() {
                return id;
            }
        }
    }
}

/// Whether a fenced block, as it stands in the text, ends with a fence that closes it.
pub fn is_closed(block: &str) -> bool {
    let bare = |line: &'_ str| line.trim_matches([' ', '\t', '>', '\r', '\n']).to_owned();
    let mut lines = block.lines();
    let first = bare(lines.next().unwrap_or(""));
    let Some(mark) = first.chars().next() else { return false };
    let width = first.chars().take_while(|letter| *letter == mark).count();
    let last = lines.next_back().map(bare).unwrap_or_default();
    last.chars().count() >= width && last.chars().all(|letter| letter == mark)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_headings_get_different_names_and_no_name_twice() {
        let mut anchors = Anchors::default();
        let names: Vec<String> = ["A", "A", "a 2", "A", "!", "A-2"].iter().map(|words| anchors.next(words)).collect();
        assert_eq!(names, ["a", "a-2", "a-2-2", "a-3", "section", "a-2-3"]);
    }

    #[test]
    fn a_fence_is_closed_by_one_as_wide() {
        assert!(is_closed("```yaml\na: 1\n```\n") && is_closed("~~~\n~~~~") && is_closed("```\n> a\n> ```"));
        assert!(
            !is_closed("```yaml\na: 1\n") && !is_closed("````\na\n```\n") && !is_closed("```\n") && !is_closed("```")
        );
    }
}
