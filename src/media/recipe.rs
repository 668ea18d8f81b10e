//! How a file is copied: a list of pieces in the order of the copy.

use super::window::Source;
use std::io::{self, Read, SeekFrom, Write};
use std::ops::Range;

/// How much is in memory at once.
const CHUNK: usize = 1 << 18;

/// A piece of a copy.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece {
    /// These bytes of the original.
    Keep(Range<u64>),
    /// So many zeros.
    Zeros(u64),
    /// These bytes.
    Put(Vec<u8>),
}

impl Piece {
    /// How many bytes of the copy it makes.
    fn len(&self) -> u64 {
        match self {
            Self::Keep(range) => range.end - range.start,
            Self::Zeros(count) => *count,
            Self::Put(bytes) => bytes.len() as u64,
        }
    }
}

/// All pieces of a copy.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Recipe {
    pieces: Vec<Piece>,
}

impl Recipe {
    /// The whole of a file of so many bytes.
    pub fn whole(size: u64) -> Self {
        let mut recipe = Self::default();
        recipe.keep(0..size);
        recipe
    }

    /// Keeps a range of the original; one that follows on the last kept one makes it longer.
    pub(super) fn keep(&mut self, range: Range<u64>) {
        if range.is_empty() {
            return;
        }
        match self.pieces.last_mut() {
            Some(Piece::Keep(last)) if last.end == range.start => last.end = range.end,
            _ => self.pieces.push(Piece::Keep(range)),
        }
    }

    pub(super) fn zeros(&mut self, count: u64) {
        match self.pieces.last_mut() {
            _ if count == 0 => {}
            Some(Piece::Zeros(last)) => *last += count,
            _ => self.pieces.push(Piece::Zeros(count)),
        }
    }

    pub(super) fn put(&mut self, bytes: Vec<u8>) {
        match self.pieces.last_mut() {
            _ if bytes.is_empty() => {}
            Some(Piece::Put(last)) => last.extend(bytes),
            _ => self.pieces.push(Piece::Put(bytes)),
        }
    }

    /// Puts bytes in before byte `at` of the original, which is kept.
    pub(super) fn insert(&mut self, at: u64, bytes: Vec<u8>) {
        let pieces = std::mem::take(&mut self.pieces);
        let mut bytes = Some(bytes);
        for piece in pieces {
            match piece {
                Piece::Keep(range) if bytes.is_some() && range.contains(&at) => {
                    self.keep(range.start..at);
                    self.put(bytes.take().unwrap_or_default());
                    self.keep(at..range.end);
                }
                piece => self.pieces.push(piece),
            }
        }
    }

    /// Adds the pieces of another recipe of the same original.
    pub(super) fn append(&mut self, other: Self) {
        for piece in other.pieces {
            match piece {
                Piece::Keep(range) => self.keep(range),
                Piece::Zeros(count) => self.zeros(count),
                Piece::Put(bytes) => self.put(bytes),
            }
        }
    }

    /// The recipe of a part of the copy: its bytes `range`, as far as there are any.
    #[must_use]
    pub fn part(&self, range: Range<u64>) -> Self {
        let mut part = Self::default();
        let mut at = 0;
        for piece in &self.pieces {
            let len = piece.len();
            // What is wanted of this piece, counted from its own beginning.
            let from = range.start.saturating_sub(at).min(len);
            let to = range.end.saturating_sub(at).min(len);
            at += len;
            if from >= to {
                continue;
            }
            match piece {
                Piece::Keep(kept) => part.keep(kept.start + from..kept.start + to),
                Piece::Zeros(_) => part.zeros(to - from),
                Piece::Put(bytes) => {
                    let place = |at: u64| usize::try_from(at).unwrap_or(usize::MAX).min(bytes.len());
                    part.put(bytes[place(from)..place(to)].to_vec());
                }
            }
        }
        part
    }

    /// The pieces in order.
    pub fn pieces(&self) -> &[Piece] {
        &self.pieces
    }

    /// How long the original must at least be.
    pub fn needs(&self) -> u64 {
        let ends = self.pieces.iter().map(|piece| if let Piece::Keep(range) = piece { range.end } else { 0 });
        ends.max().unwrap_or(0)
    }

    /// The size of the copy in bytes.
    pub fn size(&self) -> u64 {
        self.pieces.iter().map(Piece::len).sum()
    }
}

/// Writes the copy, a piece at a time.
///
/// # Errors
/// The original cannot be read, is shorter than it was, or the copy cannot be written.
pub fn copy(source: &mut dyn Source, recipe: &Recipe, sink: &mut dyn Write) -> io::Result<()> {
    let mut room = vec![0; CHUNK];
    for piece in &recipe.pieces {
        match piece {
            Piece::Put(bytes) => sink.write_all(bytes)?,
            Piece::Zeros(count) => io::copy(&mut io::repeat(0).take(*count), sink).map(drop)?,
            Piece::Keep(range) => {
                source.seek(SeekFrom::Start(range.start))?;
                let mut left = range.end - range.start;
                while left > 0 {
                    let part = usize::try_from(left).unwrap_or(CHUNK).min(CHUNK);
                    source.read_exact(&mut room[..part])?;
                    sink.write_all(&room[..part])?;
                    left -= part as u64;
                }
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_is_the_slice_of_the_whole() {
        let original: Vec<u8> = (0..40).collect();
        let mut recipe = Recipe::default();
        recipe.keep(3..9);
        recipe.zeros(4);
        recipe.put(vec![200, 201, 202]);
        recipe.keep(20..31);
        let made = |recipe: &Recipe| {
            let mut out = Vec::new();
            copy(&mut io::Cursor::new(&original), recipe, &mut out).expect("it is all there");
            out
        };
        let whole = made(&recipe);
        assert_eq!(whole.len() as u64, recipe.size());
        for from in 0..=whole.len() {
            for to in from..=whole.len() {
                let part = recipe.part(from as u64..to as u64);
                assert_eq!(made(&part), whole[from..to], "{from}..{to}");
                assert_eq!(part.size(), (to - from) as u64);
            }
        }
        assert_eq!(made(&recipe.part(20..900)), whole[20..]);
    }
}
