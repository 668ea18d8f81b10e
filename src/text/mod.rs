//! Text as authors write it: sources with positions, spans into them, and helpers for wording.
//!
//! Nothing here knows what a case is.

pub mod analyser;
mod fold;
mod source;
mod word_map;
mod words;

pub use fold::{fold_term, fold_word};
pub use source::{FileId, Position, Source, Sources, Span, Spanned};
pub use word_map::{KnownWords, Map, WordMap};
pub use words::{any_of, capitalised, count, escape, list, nearest, slug};
