//! A file seen through a small window.

use std::fmt;
use std::io::{Read, Seek, SeekFrom};

/// What can be read and sought in.
pub trait Source: Read + Seek + Send {}
impl<T: Read + Seek + Send> Source for T {}

/// Why a walk could not be finished.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fault {
    /// The system would not read.
    Unreadable(String),
    /// The file is not what it says it is; in words.
    Damaged(&'static str),
}

impl fmt::Display for Fault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unreadable(why) => write!(out, "it cannot be read: {why}"),
            Self::Damaged(why) => write!(out, "it is damaged: {why}"),
        }
    }
}

/// The longest piece that is ever taken into memory: a table of a film of many hours.
const LONGEST: u64 = 64 * 1024 * 1024;

/// A file and its length.
pub(super) struct Window<'s> {
    source: &'s mut dyn Source,
    pub(super) size: u64,
}

impl<'s> Window<'s> {
    pub(super) fn new(source: &'s mut dyn Source, size: u64) -> Self {
        Self { source, size }
    }

    /// The bytes `at..at + len`.
    pub(super) fn bytes(&mut self, at: u64, len: u64) -> Result<Vec<u8>, Fault> {
        if at.checked_add(len).is_none_or(|end| end > self.size) {
            return Err(Fault::Damaged("a part of it reaches beyond its end"));
        }
        if len > LONGEST {
            return Err(Fault::Damaged("a table in it is larger than any film needs"));
        }
        let mut bytes = vec![0; usize::try_from(len).map_err(|_| Fault::Damaged("a part of it is too large"))?];
        self.source.seek(SeekFrom::Start(at)).map_err(unreadable)?;
        self.source.read_exact(&mut bytes).map_err(unreadable)?;
        Ok(bytes)
    }

    /// So many bytes, or as many as there are.
    pub(super) fn up_to(&mut self, at: u64, len: u64) -> Result<Vec<u8>, Fault> {
        self.bytes(at, len.min(self.size.saturating_sub(at)))
    }

    /// The first bytes, as many as there are.
    pub(super) fn head(&mut self, len: u64) -> Result<Vec<u8>, Fault> {
        self.up_to(0, len)
    }
}

fn unreadable(error: std::io::Error) -> Fault {
    Fault::Unreadable(error.to_string())
}

/// A big-endian number of up to eight bytes; 0 past the end.
pub(super) fn big(bytes: &[u8], at: usize, len: usize) -> u64 {
    bytes.get(at..at + len).unwrap_or(&[]).iter().fold(0, |number, byte| number << 8 | u64::from(*byte))
}

/// A little-endian number of up to eight bytes; 0 past the end.
pub(super) fn little(bytes: &[u8], at: usize, len: usize) -> u64 {
    bytes.get(at..at + len).unwrap_or(&[]).iter().rev().fold(0, |number, byte| number << 8 | u64::from(*byte))
}
