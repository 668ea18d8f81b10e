//! What an earlier run remembers for the next one: which file came of what a page leans on, and in which texts
//! nothing was said of identifiers.
//!
//! Nothing of a case is kept, only hashes. A page is taken over if what it leans on gave a file before, and if this very file
//! still stands in the site; otherwise it is made anew. So a memory that is lost, old or damaged costs time and nothing else.
//! It is a file in the user's cache folder, of which the name tells library, site and audience, and it holds for one program
//! only: another build may make other pages of the same.
#![expect(clippy::disallowed_methods, reason = "the cache folder is read and written here")]

use super::manifest::Entry;
use crate::model::digest::Digest;
use crate::model::site::Leaning;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// The first line of the file; another layout gets another number.
const HEAD: &[u8; 20] = b"casewright recall 2\n";
/// Bytes of an entry: its kind, what was leaned on, size and hash of the file that came of it, and a checksum of them all.
const LINE: usize = 1 + 32 + 8 + 32 + CHECK;
/// The kind of an entry that tells of a page.
const PAGE: u8 = 1;
/// The kind of an entry that tells of texts in which nothing was said of identifiers; it has no file.
const ANONYMOUS: u8 = 2;
/// Bytes of a checksum.
const CHECK: usize = 8;

/// The memory of one library that is published into one folder.
#[derive(Debug)]
pub struct Recall {
    file: PathBuf,
    program: Leaning,
    before: Kept,
    now: Mutex<Kept>,
}

/// What is kept: the file that came of what a page leans on, and the hashes of texts without identifiers.
#[derive(Debug, Default)]
struct Kept {
    pages: BTreeMap<Leaning, Entry>,
    anonymous: BTreeSet<Leaning>,
}

impl Recall {
    /// What is remembered in this folder under this name, as far as it was written by the same program and is undamaged.
    pub fn open(folder: &Path, name: &str, program: Leaning) -> Self {
        let file = folder.join(name);
        let before = fs::read(file).map(|bytes| entries(&bytes, &program)).unwrap_or_default();
        Self { before, ..Self::unknowing(folder, name, program) }
    }

    /// One that knows nothing, and takes the place of what was remembered once it is saved.
    pub fn unknowing(folder: &Path, name: &str, program: Leaning) -> Self {
        Self { file: folder.join(name), program, before: Kept::default(), now: Mutex::default() }
    }

    /// The file that came of this before.
    pub(super) fn entry(&self, leaning: &Leaning) -> Option<Entry> {
        self.before.pages.get(leaning).copied()
    }

    /// Keeps what came of this, for the next run. What no run keeps is forgotten.
    pub(super) fn keep(&self, leaning: Leaning, entry: Entry) {
        self.now.lock().unwrap_or_else(PoisonError::into_inner).pages.insert(leaning, entry);
    }

    /// Whether nothing was said of identifiers in the texts of this hash.
    pub fn was_anonymous(&self, texts: &Leaning) -> bool {
        self.before.anonymous.contains(texts)
    }

    /// Keeps that nothing was said of identifiers in the texts of this hash.
    pub fn keep_anonymous(&self, texts: Leaning) {
        self.now.lock().unwrap_or_else(PoisonError::into_inner).anonymous.insert(texts);
    }

    /// Writes what this run kept, in a folder that only its user may look into.
    ///
    /// # Errors
    /// The folder cannot be made or written. Nothing is lost but time.
    pub fn save(self) -> io::Result<()> {
        let mut bytes = HEAD.to_vec();
        bytes.extend(self.program);
        let now = self.now.into_inner().unwrap_or_else(PoisonError::into_inner);
        let none = Entry { size: 0, hash: Digest::from_bytes([0; 32]) };
        let anonymous = now.anonymous.into_iter().map(|leaning| (ANONYMOUS, leaning, none));
        for (kind, leaning, entry) in now.pages.into_iter().map(|(leaning, it)| (PAGE, leaning, it)).chain(anonymous) {
            let mut line = vec![kind];
            line.extend(leaning);
            line.extend(entry.size.to_le_bytes());
            line.extend(entry.hash.bytes());
            bytes.extend(&line);
            bytes.extend(check(&line));
        }
        let folder = self.file.parent().unwrap_or(Path::new("."));
        private_folder(folder)?;
        // Two runs at once each write a whole file; the later one stays.
        let beside = self.file.with_extension(format!("{}.new", std::process::id()));
        let written = private_file(&beside).and_then(|mut file| file.write_all(&bytes));
        written.and_then(|()| fs::rename(&beside, &self.file)).inspect_err(|_| {
            let _ = fs::remove_file(&beside);
        })
    }
}

/// The entries of a file that this program wrote; those that are damaged are left out.
fn entries(bytes: &[u8], program: &Leaning) -> Kept {
    let mut kept = Kept::default();
    let Some(rest) = bytes.strip_prefix(HEAD).and_then(|rest| rest.strip_prefix(program)) else { return kept };
    for line in rest.chunks_exact(LINE) {
        let (line, sum) = line.split_at(LINE - CHECK);
        let (Ok(leaning), Ok(size), Ok(hash)) =
            (line[1..33].try_into(), line[33..41].try_into(), line[41..].try_into())
        else {
            continue;
        };
        if sum != check(line) {
            continue;
        }
        match line[0] {
            PAGE => {
                kept.pages.insert(leaning, Entry { size: u64::from_le_bytes(size), hash: Digest::from_bytes(hash) });
            }
            ANONYMOUS => {
                kept.anonymous.insert(leaning);
            }
            _ => {}
        }
    }
    kept
}

fn check(line: &[u8]) -> [u8; CHECK] {
    let mut sum = [0; CHECK];
    sum.copy_from_slice(&blake3::hash(line).as_bytes()[..CHECK]);
    sum
}

/// Makes a folder, and those above it, that nobody else may look into.
#[cfg(unix)]
fn private_folder(folder: &Path) -> io::Result<()> {
    use std::os::unix::fs::{DirBuilderExt, PermissionsExt};
    fs::DirBuilder::new().recursive(true).mode(0o700).create(folder)?;
    // It may have stood there already.
    fs::set_permissions(folder, fs::Permissions::from_mode(0o700))
}

#[cfg(not(unix))]
fn private_folder(folder: &Path) -> io::Result<()> {
    fs::create_dir_all(folder)
}

fn private_file(path: &Path) -> io::Result<fs::File> {
    let mut options = fs::OpenOptions::new();
    options.write(true).create(true).truncate(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    const PROGRAM: Leaning = [1; 32];

    fn entry(size: u64) -> Entry {
        Entry { size, hash: Digest::of(&size.to_le_bytes()) }
    }

    fn count(kept: &Kept) -> usize {
        kept.pages.len() + kept.anonymous.len()
    }

    /// Whether all that is left was kept.
    fn is_of(left: &Kept, known: &Kept) -> bool {
        left.pages.iter().all(|(leaning, entry)| known.pages.get(leaning) == Some(entry))
            && left.anonymous.is_subset(&known.anonymous)
    }

    fn written(folder: &Path) -> Vec<u8> {
        let recall = Recall::open(folder, "it", PROGRAM);
        (0..9).for_each(|size| recall.keep([u8::try_from(size).expect("small"); 32], entry(size)));
        (20..23).for_each(|of| recall.keep_anonymous([of; 32]));
        recall.save().expect("it is written");
        fs::read(folder.join("it")).expect("it stands there")
    }

    #[test]
    fn what_was_kept_is_known_to_the_same_program_alone() {
        let folder = tempfile::tempdir().expect("a folder");
        written(folder.path());
        let recall = Recall::open(folder.path(), "it", PROGRAM);
        assert_eq!((count(&recall.before), recall.entry(&[3; 32])), (12, Some(entry(3))));
        assert!(
            recall.was_anonymous(&[21; 32]) && !recall.was_anonymous(&[3; 32]) && recall.entry(&[21; 32]).is_none()
        );
        assert_eq!(count(&Recall::open(folder.path(), "it", [2; 32]).before), 0);
        assert_eq!(count(&Recall::open(folder.path(), "other", PROGRAM).before), 0);
        assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 1, "nothing is left beside it");
    }

    #[cfg(unix)]
    #[test]
    fn nobody_else_may_look_into_it() {
        use std::os::unix::fs::PermissionsExt;
        let outer = tempfile::tempdir().expect("a folder");
        let folder = outer.path().join("one").join("two");
        written(&folder);
        let mode = |path: &Path| fs::metadata(path).expect("it stands there").permissions().mode() & 0o777;
        assert_eq!((mode(&folder), mode(&folder.join("it"))), (0o700, 0o600));
    }

    #[test]
    fn a_flipped_bit_loses_what_it_strikes_and_never_changes_it() {
        let folder = tempfile::tempdir().expect("a folder");
        let sound = written(folder.path());
        let known = entries(&sound, &PROGRAM);
        for at in 0..sound.len() {
            let mut flipped = sound.clone();
            flipped[at] ^= 1 << (at % 8);
            let left = entries(&flipped, &PROGRAM);
            assert!(count(&left) < count(&known), "byte {at}");
            assert!(is_of(&left, &known), "byte {at}");
        }
        for len in 0..sound.len() {
            let left = entries(&sound[..len], &PROGRAM);
            assert!(is_of(&left, &known), "{len} bytes");
        }
    }
}
