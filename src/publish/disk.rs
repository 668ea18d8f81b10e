//! Operations on disk: each one counted, each failure with its verb and path.
//!
//! Nothing here follows a symbolic link inside a site, and nothing is written in place: a file is made where none
//! stood, and comes to its name by a rename.
#![expect(clippy::disallowed_methods, reason = "publishing is writing to disk")]

use super::error::PublishError;
use super::manifest::Entry;
use crate::media;
use crate::model::digest::Digester;
use crate::model::site::{CopyOf, SmallerOf};
use std::cell::Cell;
use std::collections::BTreeMap;
use std::fs::{self, File, Metadata, OpenOptions, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

/// How often, and how long each time, a run waits for another that publishes into the same folder: 30 s in all.
/// Long enough for a site of ordinary size; short enough that a scheduled run says so before the next one starts.
const WAITS: u32 = 600;
const WAIT: Duration = Duration::from_millis(50);

/// An operation that is about to change the disk.
#[derive(Debug, Clone, Copy)]
pub struct Operation<'a> {
    /// Its number in this run, from 1.
    pub number: usize,
    /// What is done: create, write, link, copy, rename, exchange, remove, sync, set the permissions of.
    pub verb: &'static str,
    /// To what.
    pub path: &'a Path,
}

/// What befalls an operation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// The run stops as if the machine had been switched off: neither this operation nor any after it happens.
    Stop,
    /// This operation fails as the system would have it fail; the run deals with that as it does in earnest.
    Fail(io::ErrorKind),
}

/// Called before each operation that changes the disk. Tests use it to stop a run at a chosen operation.
pub type FaultHook<'a> = dyn Fn(&Operation<'_>) -> Option<Fault> + Sync + 'a;

/// The disk as one run sees it.
pub(super) struct Disk<'a> {
    faults: Option<&'a FaultHook<'a>>,
    count: Cell<usize>,
    stopped: Cell<bool>,
}

/// What stands at a path, seen without following a link.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    File,
    Folder,
    Link,
    Other,
}

/// What a scan found at a path, and enough to see later whether somebody changed it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Found {
    pub(super) kind: Kind,
    pub(super) size: u64,
    modified: Option<SystemTime>,
}

impl From<&Metadata> for Found {
    fn from(data: &Metadata) -> Self {
        let kind = match data.file_type() {
            kind if kind.is_file() => Kind::File,
            kind if kind.is_dir() => Kind::Folder,
            kind if kind.is_symlink() => Kind::Link,
            _ => Kind::Other,
        };
        // A folder's size and time change with its content, which the scan lists anyway.
        let folder = kind == Kind::Folder;
        Self { kind, size: if folder { 0 } else { data.len() }, modified: data.modified().ok().filter(|_| !folder) }
    }
}

/// Everything beneath a folder, by relative path. The children of a path follow it directly.
pub(super) type Tree = BTreeMap<PathBuf, Found>;

impl<'a> Disk<'a> {
    pub(super) fn new(faults: Option<&'a FaultHook<'a>>) -> Self {
        Self { faults, count: Cell::new(0), stopped: Cell::new(false) }
    }

    /// Whether a fault stopped the run, so that not even tidying up may happen.
    pub(super) fn is_stopped(&self) -> bool {
        self.stopped.get()
    }

    /// The one door to the disk for everything that changes it.
    fn run<T>(
        &self,
        verb: &'static str,
        path: &Path,
        operation: impl FnOnce() -> io::Result<T>,
    ) -> Result<T, PublishError> {
        let stop = || Err(io::Error::other("the run was stopped"));
        let result = if self.stopped.get() {
            stop()
        } else {
            let number = self.count.get() + 1;
            self.count.set(number);
            match self.faults.and_then(|hook| hook(&Operation { number, verb, path })) {
                Some(Fault::Stop) => {
                    self.stopped.set(true);
                    stop()
                }
                Some(Fault::Fail(kind)) => Err(kind.into()),
                None => operation(),
            }
        };
        result.map_err(failed(verb, path))
    }

    /// The target without links in its own path, so that "beside it" is where it really lies. Folders that
    /// should hold it are made.
    pub(super) fn resolve(&self, target: &Path) -> Result<PathBuf, PublishError> {
        if look(target)?.is_some() {
            return fs::canonicalize(target).map_err(failed("resolve", target));
        }
        let Some(name) = target.file_name() else {
            return Err(PublishError::NotAFolder { path: target.to_owned() });
        };
        let parent = match target.parent() {
            Some(parent) if parent != Path::new("") => parent,
            _ => Path::new("."),
        };
        self.create_folders(parent)?;
        let parent = fs::canonicalize(parent).map_err(failed("resolve", parent))?;
        match look(&parent)? {
            Some(found) if found.kind == Kind::Folder => Ok(parent.join(name)),
            _ => Err(PublishError::NotAFolder { path: parent }),
        }
    }

    /// Waits until no other run publishes beside `folder`'s content, and keeps others out until the file is
    /// dropped. Where the system cannot lock a folder there is no lock: shares differ too much to insist.
    pub(super) fn lock(&self, folder: &Path) -> Result<Option<File>, PublishError> {
        let Ok(file) = File::open(folder) else { return Ok(None) };
        for _ in 0..WAITS {
            match file.try_lock() {
                Ok(()) => return Ok(Some(file)),
                Err(TryLockError::WouldBlock) => std::thread::sleep(WAIT),
                Err(TryLockError::Error(_)) => return Ok(None),
            }
        }
        Err(PublishError::Busy { path: folder.to_owned() })
    }

    pub(super) fn create_folder(&self, path: &Path) -> Result<(), PublishError> {
        self.run("create", path, || fs::create_dir(path))
    }

    /// Makes a folder and those above it, where they do not stand yet.
    pub(super) fn create_folders(&self, path: &Path) -> Result<(), PublishError> {
        if path == Path::new("") || look(path)?.is_some() {
            return Ok(());
        }
        if let Some(parent) = path.parent() {
            self.create_folders(parent)?;
        }
        self.create_folder(path)
    }

    /// Makes a file where none stands, with the folders above it.
    fn create(&self, path: &Path) -> Result<File, PublishError> {
        if let Some(parent) = path.parent() {
            self.create_folders(parent)?;
        }
        self.run("create", path, || OpenOptions::new().write(true).create_new(true).open(path))
    }

    /// Writes a new file.
    pub(super) fn write(&self, path: &Path, bytes: &[u8]) -> Result<(), PublishError> {
        let mut file = self.create(path)?;
        self.run("write", path, || file.write_all(bytes))
    }

    /// Writes a new file as a copy of another, a piece at a time, and says what was written.
    pub(super) fn write_copy(&self, copy: &CopyOf, to: &Path) -> Result<Entry, PublishError> {
        let mut source = File::open(&copy.from).map_err(failed("read", &copy.from))?;
        let mut sink = Sink { file: self.create(to)?, disk: self, to, digester: Digester::default(), failed: None };
        if let Err(error) = media::copy(&mut source, &copy.recipe, &mut sink) {
            // An original that became shorter was changed meanwhile; what could not be written has said so itself.
            let shorter = error.kind() == io::ErrorKind::UnexpectedEof;
            let unsteady = || PublishError::Unsteady { path: copy.from.clone() };
            let unread = || failed("read", &copy.from)(error);
            return Err(sink.failed.unwrap_or_else(|| if shorter { unsteady() } else { unread() }));
        }
        let (size, hash) = sink.digester.finish();
        Ok(Entry { size, hash })
    }

    /// Makes `to` a second name of the file `from`, or a copy where the disk cannot link.
    pub(super) fn link_or_copy(&self, from: &Path, to: &Path) -> Result<(), PublishError> {
        if let Some(parent) = to.parent() {
            self.create_folders(parent)?;
        }
        match self.run("link", to, || fs::hard_link(from, to)) {
            Err(_) if !self.is_stopped() => self.run("copy", to, || fs::copy(from, to).map(drop)),
            result => result,
        }
    }

    /// Carries something that is not ours over as it is. A link stays a link.
    pub(super) fn carry(&self, kind: Kind, from: &Path, to: &Path) -> Result<(), PublishError> {
        if let Some(parent) = to.parent() {
            self.create_folders(parent)?;
        }
        match kind {
            Kind::File => self.link_or_copy(from, to),
            Kind::Folder => self.create_folders(to),
            Kind::Link => self.run("link", to, || carry_link(from, to)),
            // A pipe or socket can be linked but not copied: reading it could wait for ever.
            Kind::Other => self.run("link", to, || fs::hard_link(from, to)),
        }
    }

    /// Gives the folder `to` the permissions of the folder `from`, where they differ.
    pub(super) fn like(&self, from: &Path, to: &Path) -> Result<(), PublishError> {
        let of = |path: &Path| fs::metadata(path).map(|data| data.permissions()).map_err(failed("look at", path));
        let permissions = of(from)?;
        if permissions == of(to)? {
            return Ok(());
        }
        self.run("set the permissions of", to, || fs::set_permissions(to, permissions))
    }

    pub(super) fn rename(&self, from: &Path, to: &Path) -> Result<(), PublishError> {
        self.run("rename", from, || fs::rename(from, to))
    }

    /// Exchanges two folders in one step.
    pub(super) fn exchange(&self, one: &Path, other: &Path) -> Result<(), PublishError> {
        self.run("exchange", other, || exchange_names(one, other))
    }

    pub(super) fn remove_file(&self, path: &Path) -> Result<(), PublishError> {
        self.run("remove", path, || fs::remove_file(path))
    }

    /// Removes a folder if it stands there and is empty; says whether a folder with content stands there.
    pub(super) fn remove_if_empty(&self, path: &Path) -> Result<bool, PublishError> {
        if fs::read_dir(path).map_err(failed("list", path))?.next().is_some() {
            return Ok(true);
        }
        self.run("remove", path, || fs::remove_dir(path)).map(|()| false)
    }

    /// Removes a stage with all it holds, if there is one.
    pub(super) fn clear(&self, stage: &Path) -> Result<(), PublishError> {
        match look(stage)? {
            None => Ok(()),
            Some(found) if found.kind == Kind::Folder => self.remove_tree(stage),
            Some(_) => Err(PublishError::Obstructed { path: stage.to_owned() }),
        }
    }

    fn remove_tree(&self, folder: &Path) -> Result<(), PublishError> {
        for (path, found) in list(folder)? {
            match found.kind {
                Kind::Folder => self.remove_tree(&path)?,
                _ => self.remove_file(&path)?,
            }
        }
        self.run("remove", folder, || fs::remove_dir(folder))
    }

    /// Brings all files beneath a folder, and the folder, safely to the disk.
    pub(super) fn sync_tree(&self, folder: &Path) -> Result<(), PublishError> {
        self.run("sync", folder, || sync_beneath(folder))
    }

    /// Brings the names in a folder safely to the disk.
    pub(super) fn sync_folder(&self, folder: &Path) -> Result<(), PublishError> {
        self.run("sync", folder, || sync_names(folder))
    }
}

/// A file that is being written, hashed on the way.
struct Sink<'d, 'f> {
    file: File,
    disk: &'d Disk<'f>,
    to: &'d Path,
    digester: Digester,
    failed: Option<PublishError>,
}

impl Write for Sink<'_, '_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let file = &mut self.file;
        match self.disk.run("write", self.to, || file.write_all(bytes)) {
            Ok(()) => self.digester.write(bytes),
            Err(error) => {
                self.failed = Some(error);
                Err(io::Error::other("the copy could not be written"))
            }
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// Turns a system error into ours.
fn failed(verb: &'static str, path: &Path) -> impl FnOnce(io::Error) -> PublishError {
    move |source| PublishError::Disk { verb, path: path.to_owned(), source }
}

/// What stands at a path, if anything. The last part is not followed if it is a link.
pub(super) fn look(path: &Path) -> Result<Option<Found>, PublishError> {
    match fs::symlink_metadata(path) {
        Ok(data) => Ok(Some(Found::from(&data))),
        Err(error) if matches!(error.kind(), io::ErrorKind::NotFound | io::ErrorKind::NotADirectory) => Ok(None),
        Err(error) => Err(failed("look at", path)(error)),
    }
}

/// What stands at a path beneath a folder, with no link followed on the way.
///
/// # Errors
/// Something other than a folder stands above it.
pub(super) fn look_beneath(root: &Path, path: &Path) -> Result<Option<Found>, PublishError> {
    let mut above = root.to_owned();
    for part in path.parent().into_iter().flat_map(Path::components) {
        above.push(part);
        match look(&above)? {
            None => return Ok(None),
            Some(found) if found.kind == Kind::Folder => {}
            Some(_) => return Err(PublishError::Obstructed { path: above }),
        }
    }
    look(&root.join(path))
}

/// What stands directly in a folder, in the order of the names.
fn list(folder: &Path) -> Result<Tree, PublishError> {
    let mut tree = Tree::new();
    for item in fs::read_dir(folder).map_err(failed("list", folder))? {
        let path = item.map_err(failed("list", folder))?.path();
        if let Some(found) = look(&path)? {
            tree.insert(path, found);
        }
    }
    Ok(tree)
}

/// Everything beneath a folder, by path relative to it, with no link followed; what `skip` names at its root is
/// passed over.
pub(super) fn scan(root: &Path, skip: &[&str]) -> Result<Tree, PublishError> {
    let mut tree = Tree::new();
    let mut folders = vec![root.to_owned()];
    while let Some(folder) = folders.pop() {
        for (path, found) in list(&folder)? {
            let Ok(relative) = path.strip_prefix(root) else { continue };
            if skip.iter().any(|name| relative == Path::new(name)) {
                continue;
            }
            tree.insert(relative.to_owned(), found.clone());
            if found.kind == Kind::Folder {
                folders.push(path);
            }
        }
    }
    Ok(tree)
}

/// The bytes of a file.
pub(super) fn read(path: &Path) -> Result<Vec<u8>, PublishError> {
    fs::read(path).map_err(failed("read", path))
}

/// Whether the original of a copy is there, and long enough for it.
pub(super) fn admits_copy(copy: &CopyOf) -> Result<(), PublishError> {
    let file = File::open(&copy.from).map_err(failed("read", &copy.from))?;
    let size = file.metadata().map_err(failed("read", &copy.from))?.len();
    if size < copy.recipe.needs() {
        return Err(PublishError::Unsteady { path: copy.from.clone() });
    }
    Ok(())
}

/// A smaller version of a picture, or the published copy where there can be no smaller one.
///
/// # Errors
/// The original cannot be read, or is another file by now.
pub fn smaller(smaller: &SmallerOf) -> Result<Vec<u8>, PublishError> {
    let copy = &smaller.of;
    let unsteady = || PublishError::Unsteady { path: copy.from.clone() };
    let mut source = File::open(&copy.from).map_err(failed("read", &copy.from))?;
    let mut bytes = Vec::new();
    media::copy(&mut source, &copy.recipe, &mut bytes).map_err(|error| match error.kind() {
        io::ErrorKind::UnexpectedEof => unsteady(),
        _ => failed("read", &copy.from)(error),
    })?;
    if Entry::of(&bytes) != (Entry { size: copy.size, hash: copy.hash }) {
        return Err(unsteady());
    }
    Ok(media::smaller(&bytes, smaller.form, smaller.width).unwrap_or(bytes))
}

/// Size and hash of a file, read a piece at a time.
pub(super) fn entry_of(path: &Path) -> Result<Entry, PublishError> {
    let mut file = File::open(path).map_err(failed("read", path))?;
    let mut digester = Digester::default();
    io::copy(&mut file, &mut digester).map_err(failed("read", path))?;
    let (size, hash) = digester.finish();
    Ok(Entry { size, hash })
}

/// Whether two folders lie on one device: across a mount point nothing can be renamed.
#[cfg(unix)]
pub(super) fn on_one_device(one: &Path, other: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let device = |path| fs::metadata(path).map(|data: Metadata| data.dev()).ok();
    device(one) == device(other)
}

#[cfg(not(unix))]
pub(super) fn on_one_device(_one: &Path, _other: &Path) -> bool {
    true
}

#[cfg(any(target_os = "linux", target_os = "android", target_vendor = "apple"))]
fn exchange_names(one: &Path, other: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    Ok(renameat_with(CWD, one, CWD, other, RenameFlags::EXCHANGE)?)
}

#[cfg(not(any(target_os = "linux", target_os = "android", target_vendor = "apple")))]
fn exchange_names(_one: &Path, _other: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

/// One call for the whole file system: for thousands of small files far faster than one call each.
#[cfg(any(target_os = "linux", target_os = "android"))]
fn sync_beneath(folder: &Path) -> io::Result<()> {
    Ok(rustix::fs::syncfs(File::open(folder)?)?)
}

#[cfg(not(any(target_os = "linux", target_os = "android")))]
fn sync_beneath(folder: &Path) -> io::Result<()> {
    for item in fs::read_dir(folder)? {
        let item = item?;
        let kind = item.file_type()?;
        if kind.is_dir() {
            sync_beneath(&item.path())?;
        } else if kind.is_file() {
            // What cannot be opened for writing is not ours: we wrote nothing there that could be lost.
            if let Ok(file) = OpenOptions::new().write(true).open(item.path()) {
                file.sync_all()?;
            }
        }
    }
    sync_names(folder)
}

#[cfg(unix)]
fn sync_names(folder: &Path) -> io::Result<()> {
    File::open(folder)?.sync_all()
}

/// Elsewhere a folder cannot be opened to be synced; the system looks after names itself.
#[cfg(not(unix))]
fn sync_names(_folder: &Path) -> io::Result<()> {
    Ok(())
}

#[cfg(unix)]
fn carry_link(from: &Path, to: &Path) -> io::Result<()> {
    std::os::unix::fs::symlink(fs::read_link(from)?, to)
}

#[cfg(not(unix))]
fn carry_link(_from: &Path, _to: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}
