//! Source texts, places in them, and values that remember where they were written.

use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// Number of a source text within one run; valid only with the [`Sources`] that issued it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub struct FileId(pub u32);

/// A range of bytes in one source text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub struct Span {
    /// The text the range lies in.
    pub file: FileId,
    /// First byte, counted from 0.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// The range `start..end` of `file`. Offsets beyond 4 GiB cannot occur: sources are capped far below.
    pub fn new(file: FileId, start: usize, end: usize) -> Self {
        let clip = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        Self { file, start: clip(start), end: clip(end.max(start)) }
    }

    /// The bytes as a range for slicing.
    pub fn range(self) -> std::ops::Range<usize> {
        self.start as usize..self.end as usize
    }

    /// A part of this span: `from..to` counted in bytes from its start, kept inside it.
    pub fn part(self, from: usize, to: usize) -> Self {
        let len = (self.end - self.start) as usize;
        let (from, to) = (from.min(len), to.min(len));
        Self::new(self.file, self.start as usize + from, self.start as usize + to.max(from))
    }
}

/// A value with the place where its author wrote it.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Spanned<T> {
    /// The value.
    pub value: T,
    /// Where it was written.
    pub span: Span,
}

impl<T> Spanned<T> {
    /// A value and its place.
    pub fn new(value: T, span: Span) -> Self {
        Self { value, span }
    }

    /// The same place with another value.
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Spanned<U> {
        Spanned { value: change(self.value), span: self.span }
    }
}

impl<T> std::ops::Deref for Spanned<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.value
    }
}

/// Line and column as an editor counts them: both from 1, columns in characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Position {
    /// Line, from 1.
    pub line: usize,
    /// Column in Unicode characters, from 1.
    pub column: usize,
}

/// One text file of a library, already decoded.
#[derive(Debug, Clone)]
pub struct Source {
    /// Its number in this run.
    pub id: FileId,
    /// Path relative to the library, with `/` between parts.
    pub path: String,
    /// The text, without a byte order mark.
    pub text: Arc<str>,
}

impl Source {
    /// The line and column of a byte offset; an offset past the end gives the end.
    pub fn position(&self, offset: usize) -> Position {
        let offset = floor_boundary(&self.text, offset);
        let before = &self.text[..offset];
        let line_start = before.rfind('\n').map_or(0, |at| at + 1);
        Position {
            line: before.bytes().filter(|&byte| byte == b'\n').count() + 1,
            column: before[line_start..].chars().count() + 1,
        }
    }

    /// The words under a span; empty if the span does not fit the text.
    pub fn slice(&self, span: Span) -> &str {
        self.text.get(span.range()).unwrap_or("")
    }
}

fn floor_boundary(text: &str, offset: usize) -> usize {
    let mut at = offset.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// All source texts of one run, by number.
#[derive(Debug, Clone, Default)]
pub struct Sources {
    files: Vec<Source>,
}

impl Sources {
    /// Adds a text and gives its number.
    pub fn add(&mut self, path: impl Into<String>, text: impl Into<Arc<str>>) -> FileId {
        let id = FileId(u32::try_from(self.files.len()).unwrap_or(u32::MAX));
        self.files.push(Source { id, path: path.into(), text: text.into() });
        id
    }

    /// Lets go a text of which nobody will ask any more; its path stays.
    pub fn let_go(&mut self, id: FileId) {
        if let Some(source) = self.files.get_mut(id.0 as usize) {
            source.text = Arc::from("");
        }
    }

    /// The text with this number, if it was issued here.
    pub fn get(&self, id: FileId) -> Option<&Source> {
        self.files.get(id.0 as usize)
    }

    /// Every text, in order of number.
    pub fn iter(&self) -> impl Iterator<Item = &Source> {
        self.files.iter()
    }
}
