//! Where packed cases lie: in a file without a name, which only this run can open and which is gone when it ends.

use crate::model::held::{Place, Shelf};
use std::fs::File;
use std::io::{Read, Seek, SeekFrom, Write};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// A shelf in a file among the system's temporary ones. Such a file is read and written by nobody else, and on nearly all
/// systems it never has a name. Where there is none, or no room for it, what is put away stays in memory.
#[derive(Debug)]
pub struct Temporary(Mutex<Shelved>);

#[derive(Debug, Default)]
struct Shelved {
    file: Option<File>,
    /// Bytes in the file.
    end: u64,
    /// What found no room in it.
    beside: Vec<Box<[u8]>>,
}

impl Temporary {
    /// An empty one.
    pub fn open() -> Self {
        Self::on(tempfile::tempfile().ok())
    }

    fn on(file: Option<File>) -> Self {
        Self(Mutex::new(Shelved { file, ..Shelved::default() }))
    }

    fn lock(&self) -> MutexGuard<'_, Shelved> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Shelf for Temporary {
    fn put(&self, bytes: &[u8]) -> Place {
        let mut shelved = self.lock();
        let at = shelved.end;
        if let Some(file) = &mut shelved.file {
            // A write that failed half-way is written over by the next one.
            let written = file.seek(SeekFrom::Start(at)).and_then(|_| file.write_all(bytes));
            if written.is_ok() {
                shelved.end = at + bytes.len() as u64;
                return Place::InFile { at, length: bytes.len() };
            }
        }
        shelved.beside.push(bytes.into());
        Place::Beside(shelved.beside.len() - 1)
    }

    fn get(&self, place: Place) -> Vec<u8> {
        let mut shelved = self.lock();
        match place {
            Place::Beside(at) => shelved.beside[at].to_vec(),
            Place::InFile { at, length } => {
                let mut bytes = vec![0; length];
                let file = shelved.file.as_mut().expect("what lies in it was put there");
                let read = file.seek(SeekFrom::Start(at)).and_then(|_| file.read_exact(&mut bytes));
                // Publishing takes it for an error, as that of a disk; until then nothing was written.
                read.unwrap_or_else(|error| panic!("the temporary file of this compile cannot be read: {error}"));
                bytes
            }
        }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::disallowed_methods, reason = "a file that cannot be written has to be opened")]

    use super::*;

    #[test]
    fn what_is_put_away_is_found_again_with_a_file_and_without() {
        // One that can only be read stands for one on a full disk.
        let full = Some(File::open(concat!(env!("CARGO_MANIFEST_DIR"), "/Cargo.toml")).expect("it is there"));
        for (shelf, in_file) in [(Temporary::open(), true), (Temporary::on(None), false), (Temporary::on(full), false)]
        {
            let places: Vec<Place> = (0..40u8).map(|at| shelf.put(&vec![at; usize::from(at) * 3])).collect();
            for (at, place) in (0..40u8).zip(&places).rev() {
                assert_eq!(shelf.get(*place), vec![at; usize::from(at) * 3]);
                assert!(at == 0 || matches!(place, Place::InFile { .. }) == in_file, "{place:?}");
            }
        }
    }
}
