//! Reading a library: from a disk, or from memory in tests.

mod disk;
mod memory;

pub use disk::Disk;
pub use memory::Memory;

use crate::media::Source;
use std::path::PathBuf;

/// How many folders deep a library is read.
pub const MAX_DEPTH: usize = 16;

/// What stands at a path of a library.
#[derive(Debug, Clone)]
pub struct Entry {
    /// Path relative to the library, `/` between parts.
    pub path: String,
    /// What it is.
    pub kind: EntryKind,
}

/// What an entry is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum EntryKind {
    /// A plain file of so many bytes.
    File(u64),
    /// A link that leads out of the library, in a circle or nowhere; it is not followed.
    BadLink,
    /// Something that could not be looked at, and why.
    Unreadable(String),
    /// A folder too deep down to be looked into.
    TooDeep,
    /// A name that is not Unicode, shown as well as it can be.
    OddName,
}

/// A library to read. Two implementers: a folder on disk, and a map in memory.
pub trait Files: Sync {
    /// Every file in order of path. Hidden files and folders are left out.
    ///
    /// # Errors
    /// If the library itself cannot be opened; the text has path and verb.
    fn list(&self) -> Result<Vec<Entry>, String>;

    /// The bytes of a file.
    ///
    /// # Errors
    /// If it cannot be read; the text has path and verb.
    fn read(&self, path: &str) -> Result<Vec<u8>, String>;

    /// A file to read and seek in, for what is too large for memory.
    ///
    /// # Errors
    /// If it cannot be opened; the text has path and verb.
    fn open(&self, path: &str) -> Result<Box<dyn Source>, String>;

    /// Where the file lies on disk, for copying media.
    fn locate(&self, path: &str) -> PathBuf;
}
