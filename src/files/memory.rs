//! A library in memory.

use super::{Entry, EntryKind, Files};
use crate::media::Source;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Files by path.
#[derive(Debug, Clone, Default)]
pub struct Memory {
    /// Path, with `/` between parts, and bytes.
    pub files: BTreeMap<String, Vec<u8>>,
}

impl Memory {
    /// Adds or replaces a file.
    #[must_use]
    pub fn with(mut self, path: &str, bytes: impl AsRef<[u8]>) -> Self {
        self.files.insert(path.to_owned(), bytes.as_ref().to_vec());
        self
    }
}

impl Files for Memory {
    fn list(&self) -> Result<Vec<Entry>, String> {
        let entry = |(path, bytes): (&String, &Vec<u8>)| Entry {
            path: path.clone(),
            kind: EntryKind::File(bytes.len() as u64),
        };
        Ok(self.files.iter().map(entry).collect())
    }

    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        self.files.get(path).cloned().ok_or_else(|| format!("could not read `{path}`: no such file"))
    }

    fn open(&self, path: &str) -> Result<Box<dyn Source>, String> {
        Ok(Box::new(std::io::Cursor::new(self.read(path)?)))
    }

    fn locate(&self, path: &str) -> PathBuf {
        PathBuf::from(path)
    }
}
