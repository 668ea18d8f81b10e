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
        self.pieces
            .iter()
            .map(|piece| match piece {
                Piece::Keep(range) => range.end - range.start,
                Piece::Zeros(count) => *count,
                Piece::Put(bytes) => bytes.len() as u64,
            })
            .sum()
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
