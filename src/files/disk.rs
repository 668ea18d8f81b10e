//! A library in a folder.
#![expect(clippy::disallowed_methods, reason = "this is the one place that reads a library from disk")]

use super::{Entry, EntryKind, Files, MAX_DEPTH};
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
        let mut entries = Vec::new();
        let walk = WalkDir::new(&root).follow_links(true).max_depth(MAX_DEPTH).sort_by_file_name().into_iter();
        let visible = |entry: &walkdir::DirEntry| {
            let hidden = entry.depth() > 0 && entry.file_name().to_string_lossy().starts_with('.');
            // A linked folder outside is reported by its own entry below and must not be entered.
            let strays =
                entry.path_is_symlink() && entry.path().canonicalize().map_or(true, |real| !real.starts_with(&root));
            let left_out = self.leave_out.iter().any(|path| entry.path() == path);
            !hidden && !left_out && (!strays || !entry.file_type().is_dir())
        };
        for link in stray_folders(&root) {
            entries.push(Entry { path: relative(&link, &root), kind: EntryKind::BadLink });
        }
        for entry in walk.filter_entry(visible) {
            match entry {
                Ok(entry) if entry.file_type().is_dir() && entry.depth() < MAX_DEPTH => {}
                Ok(entry) if entry.file_type().is_dir() => {
                    entries.push(Entry { path: relative(entry.path(), &root), kind: EntryKind::TooDeep });
                }
                Ok(entry) => {
                    let path = relative(entry.path(), &root);
                    let inside = entry.path().canonicalize().is_ok_and(|real| real.starts_with(&root));
                    let kind = if entry.file_name().to_str().is_none() {
                        EntryKind::OddName
                    } else if !inside {
                        EntryKind::BadLink
                    } else if entry.file_type().is_file() {
                        EntryKind::File(entry.metadata().map_or(0, |data| data.len()))
                    } else {
                        EntryKind::Unreadable("it is neither a file nor a folder".to_owned())
                    };
                    entries.push(Entry { path, kind });
                }
                Err(error) => {
                    let path = error.path().map_or_else(String::new, |path| relative(path, &root));
                    let link = error.path().is_some_and(Path::is_symlink);
                    let kind = if link || error.loop_ancestor().is_some() {
                        EntryKind::BadLink
                    } else {
                        EntryKind::Unreadable(error.io_error().map_or_else(|| error.to_string(), ToString::to_string))
                    };
                    entries.push(Entry { path, kind });
                }
            }
        }
        entries.sort_by(|one, other| one.path.cmp(&other.path));
        entries.dedup_by(|one, other| one.path == other.path);
        Ok(entries)
    }

    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        std::fs::read(self.root.join(path)).map_err(|error| format!("could not read `{path}`: {error}"))
    }

    fn locate(&self, path: &str) -> PathBuf {
        self.root.join(path)
    }
}

/// Links to folders outside the library, found without following any.
fn stray_folders(root: &Path) -> Vec<PathBuf> {
    WalkDir::new(root)
        .max_depth(MAX_DEPTH)
        .into_iter()
        .filter_entry(|entry| entry.depth() == 0 || !entry.file_name().to_string_lossy().starts_with('.'))
        .filter_map(Result::ok)
        .filter(|entry| entry.path_is_symlink())
        .map(walkdir::DirEntry::into_path)
        .filter(|path| path.canonicalize().is_ok_and(|real| real.is_dir() && !real.starts_with(root)))
        .collect()
}

fn relative(path: &Path, root: &Path) -> String {
    let inside = path.strip_prefix(root).unwrap_or(path);
    inside.iter().map(|part| part.to_string_lossy()).collect::<Vec<_>>().join("/")
}
