//! Which Markdown a narrative may use: one place, so that checking and rendering read the same text.

use pulldown_cmark::{Options, Parser};

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
