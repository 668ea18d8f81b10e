//! The little that the preview asks of disk and clock.
#![expect(
    clippy::disallowed_methods,
    reason = "the preview is told apart from the site: nothing of this reaches a page"
)]

use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant, SystemTime};

/// How long a file must have been left alone before its times are trusted: the coarsest clock of a disk in use ticks
/// every two seconds (FAT; Microsoft, "File Times").
const REST: Duration = Duration::from_millis(2_500);

/// By what a file is recognised without reading it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stamp {
    size: u64,
    modified: Option<SystemTime>,
    /// When anything about it changed last, and its number on the disk, where the system tells them.
    number: (i64, i64, u64),
    /// Whether it had been left alone for a while when the stamp was taken.
    pub(super) at_rest: bool,
}

impl PartialEq for Stamp {
    fn eq(&self, other: &Self) -> bool {
        (self.size, self.modified, self.number) == (other.size, other.modified, other.number)
    }
}

/// The stamp of a file, if there is one that can be looked at.
pub(super) fn stamp(path: &Path) -> Option<Stamp> {
    let data = std::fs::metadata(path).ok()?;
    let modified = data.modified().ok();
    let age = modified.and_then(|at| SystemTime::now().duration_since(at).ok());
    Some(Stamp { size: data.len(), modified, number: number(&data), at_rest: age.is_some_and(|age| age > REST) })
}

#[cfg(unix)]
fn number(data: &std::fs::Metadata) -> (i64, i64, u64) {
    use std::os::unix::fs::MetadataExt as _;
    (data.ctime(), data.ctime_nsec(), data.ino())
}

#[cfg(not(unix))]
fn number(_: &std::fs::Metadata) -> (i64, i64, u64) {
    (0, 0, 0)
}

/// Now, to tell how long something took.
pub(super) fn now() -> Instant {
    Instant::now()
}

/// A file to read pieces of, if it is as long as it must be.
pub(super) fn open(path: &Path, needs: u64) -> io::Result<File> {
    let file = File::open(path)?;
    if file.metadata()?.len() < needs {
        return Err(io::Error::new(io::ErrorKind::UnexpectedEof, "it became shorter"));
    }
    Ok(file)
}

/// The folder itself, links and all resolved: what the watcher's paths begin with.
pub(super) fn real(path: &Path) -> Option<PathBuf> {
    path.canonicalize().ok()
}

/// Whether there is a folder at this path.
pub(super) fn is_folder(path: &Path) -> bool {
    std::fs::metadata(path).is_ok_and(|data| data.is_dir())
}
