//! A library in a folder.
#![expect(clippy::disallowed_methods, reason = "this is the one place that reads a library from disk")]

use super::{Entry, EntryKind, Files, MAX_DEPTH};
use crate::media::Source;
use std::path::{Path, PathBuf};
use walkdir::WalkDir;

/// A folder on disk.
#[derive(Debug, Clone)]
pub struct Disk {
    root: PathBuf,
    /// Paths, absolute, that are not part of the library: the site, if it lies inside.
    leave_out: Vec<PathBuf>,
}

impl Disk {
    /// The library in this folder; folders of `leave_out` inside it are not looked into.
    pub fn new(root: impl Into<PathBuf>, leave_out: &[PathBuf]) -> Self {
        let absolute = |path: &PathBuf| path.canonicalize().unwrap_or_else(|_| path.clone());
        Self { root: root.into(), leave_out: leave_out.iter().map(absolute).collect() }
    }
}

impl Files for Disk {
    fn list(&self) -> Result<Vec<Entry>, String> {
        let shown = self.root.display();
        let root =
            self.root.canonicalize().map_err(|error| format!("could not open the library `{shown}`: {error}"))?;
        if !root.is_dir() {
            return Err(format!("could not open the library `{shown}`: it is not a folder"));
        }
        if self.leave_out.contains(&root) {
            return Err(format!("could not use `{shown}`: a site cannot be written over its own library"));
        }
        let mut entries = Vec::new();
        let visible = |entry: &walkdir::DirEntry| {
            let hidden = entry.file_name().to_string_lossy().starts_with('.');
            entry.depth() == 0 || !hidden && !self.leave_out.iter().any(|path| entry.path() == path)
        };
        // No link to a folder is followed: what lies in the library is read where it lies, and a few links that
        // lead to one another would make more paths than can be walked.
        for entry in WalkDir::new(&root).max_depth(MAX_DEPTH).sort_by_file_name().into_iter().filter_entry(visible) {
            match entry {
                Ok(entry) if entry.file_type().is_dir() && entry.depth() < MAX_DEPTH => {}
                Ok(entry) => {
                    entries.push(Entry { path: relative(entry.path(), &root), kind: kind(&entry, &root) });
                }
                Err(error) => {
                    let path = error.path().map_or_else(String::new, |path| relative(path, &root));
                    let why = error.io_error().map_or_else(|| error.to_string(), ToString::to_string);
                    entries.push(Entry { path, kind: EntryKind::Unreadable(why) });
                }
            }
        }
        entries.sort_by(|one, other| one.path.cmp(&other.path));
        Ok(entries)
    }

    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        std::fs::read(self.root.join(path)).map_err(|error| format!("could not read `{path}`: {error}"))
    }

    fn open(&self, path: &str) -> Result<Box<dyn Source>, String> {
        match std::fs::File::open(self.root.join(path)) {
            Ok(file) => Ok(Box::new(file)),
            Err(error) => Err(format!("could not open `{path}`: {error}")),
        }
    }

    fn locate(&self, path: &str) -> PathBuf {
        self.root.join(path)
    }
}

/// What an entry is; a link to a file of the library counts as that file.
fn kind(entry: &walkdir::DirEntry, root: &Path) -> EntryKind {
    if entry.file_name().to_str().is_none() {
        return EntryKind::OddName;
    }
    if entry.file_type().is_dir() {
        return EntryKind::TooDeep;
    }
    // What is no link itself lies where it was found: links to folders are not followed on the way.
    let inside = !entry.path_is_symlink() || entry.path().canonicalize().is_ok_and(|real| real.starts_with(root));
    match std::fs::metadata(entry.path()) {
        Ok(data) if data.is_file() && inside => EntryKind::File(data.len()),
        _ if entry.path_is_symlink() => EntryKind::BadLink,
        Ok(_) => EntryKind::Unreadable("it is neither a file nor a folder".to_owned()),
        Err(error) => EntryKind::Unreadable(error.to_string()),
    }
}

fn relative(path: &Path, root: &Path) -> String {
    let inside = path.strip_prefix(root).unwrap_or(path);
    inside.iter().map(|part| part.to_string_lossy()).collect::<Vec<_>>().join("/")
}
