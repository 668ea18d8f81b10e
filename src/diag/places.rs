//! Lines and columns for a whole report: each text is walked once, however many findings it has.
//!
//! Counting from the top of the file for every finding would take hours for a file of a few megabytes that is wrong throughout.

use crate::text::{FileId, Position, Source, Sources, Span};
use std::cell::OnceCell;

/// How many bytes lie between two places that are remembered.
const STRIDE: usize = 1024;

/// The texts of a run with places remembered on the way through each.
pub(super) struct Places<'a> {
    sources: &'a Sources,
    remembered: Vec<OnceCell<Vec<(usize, Position)>>>,
}

/// Where a span begins.
pub(super) struct Spot<'a> {
    /// The text.
    pub(super) source: &'a Source,
    /// Byte offset in it, between two characters.
    pub(super) offset: usize,
    /// The same as an editor counts.
    pub(super) position: Position,
}

impl<'a> Places<'a> {
    /// No text is walked before it is asked about.
    pub(super) fn new(sources: &'a Sources) -> Self {
        Self { sources, remembered: sources.iter().map(|_| OnceCell::new()).collect() }
    }

    /// Where a span begins; `None` if it belongs to no text.
    pub(super) fn start(&self, span: Span) -> Option<Spot<'a>> {
        self.spot(span.file, span.start as usize)
    }

    /// Where a span ends; `None` if it belongs to no text.
    pub(super) fn end(&self, span: Span) -> Option<Spot<'a>> {
        self.spot(span.file, span.end as usize)
    }

    fn spot(&self, file: FileId, offset: usize) -> Option<Spot<'a>> {
        let source = self.sources.get(file)?;
        let remembered = self.remembered.get(file.0 as usize)?.get_or_init(|| remember(&source.text));
        let offset = offset.min(source.text.len());
        let (from, mut position) =
            *remembered.get(remembered.partition_point(|(at, _)| *at <= offset).checked_sub(1)?)?;
        let mut at = from;
        for letter in source.text[from..].chars() {
            // An offset inside a character means the character.
            if at + letter.len_utf8() > offset {
                break;
            }
            step(&mut position, letter);
            at += letter.len_utf8();
        }
        Some(Spot { source, offset: at, position })
    }
}

/// A place at the start and after about each [`STRIDE`] bytes.
fn remember(text: &str) -> Vec<(usize, Position)> {
    let mut remembered = Vec::with_capacity(text.len() / STRIDE + 1);
    let mut position = Position { line: 1, column: 1 };
    remembered.push((0, position));
    let mut next = STRIDE;
    for (at, letter) in text.char_indices() {
        if at >= next {
            remembered.push((at, position));
            next = at + STRIDE;
        }
        step(&mut position, letter);
    }
    remembered
}

fn step(position: &mut Position, letter: char) {
    if letter == '\n' {
        *position = Position { line: position.line + 1, column: 1 };
    } else {
        position.column += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_place_is_where_counting_from_the_top_finds_it() {
        let texts = ["", "a", "é\n\n", "\r\nab\r\n", &"aé\nlonger 日本 line\n".repeat(300), &"é".repeat(5000)];
        let mut sources = Sources::default();
        let files: Vec<FileId> = texts.iter().map(|text| sources.add("a.md", *text)).collect();
        let places = Places::new(&sources);
        for (file, text) in files.into_iter().zip(texts) {
            for offset in (0..text.len() + 3).step_by(7).chain([text.len()]) {
                let spot = places.start(Span::new(file, offset, offset)).expect("a known text");
                assert_eq!(spot.position, spot.source.position(offset), "{offset}");
                assert!(text.is_char_boundary(spot.offset));
            }
        }
        assert!(places.start(Span::new(FileId(99), 0, 1)).is_none());
    }
}
