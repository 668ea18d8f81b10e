//! Watches the library's folder, and gathers what happens at once into one round.
//!
//! A round reads the folder as it stands; what the watcher says is only that something happened, and where files must be
//! read again whatever their times say. So no order of events, no lost one of many and no half-saved file can leave a
//! wrong page standing: whatever comes later begins another round.

use super::world;
use notify::event::{AccessKind, AccessMode, CreateKind, EventKind, RemoveKind};
use notify::{Event, RecommendedWatcher, RecursiveMode, Watcher as _};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::time::Duration;

/// Nothing must have happened for so long before a round begins: an editor saves in several steps a few milliseconds
/// apart.
const QUIET: Duration = Duration::from_millis(15);

/// Even if it never gets quiet, a round begins after so long.
const MOST: Duration = Duration::from_millis(400);

/// After a folder came or went, the library is looked at once more: what was written into it before the watcher knew it
/// was seen by nobody.
const SECOND_LOOK: Duration = Duration::from_millis(250);

/// How often a library that cannot be opened is looked for.
const LOOK_FOR: Duration = Duration::from_secs(1);

/// With more paths than this, everything is read again.
const MANY: usize = 2_000;

/// What the watcher's thread hands on.
enum Seen {
    /// Something happened to these paths.
    Paths(Vec<PathBuf>, bool),
    /// Nobody knows what happened.
    Something,
    /// The preview stops.
    Stop,
}

/// What happened since the last round.
#[derive(Debug, Default)]
pub(super) struct Happened {
    /// Paths in the library, with `/` between parts.
    pub(super) paths: BTreeSet<String>,
    /// Whether anything may have happened besides.
    pub(super) anything: bool,
    folders: bool,
    /// Whether it happened to the library's folder itself, in whose place there may be another now.
    itself: bool,
}

/// A folder that is watched.
pub(super) struct Watch {
    library: PathBuf,
    /// The folder with all links resolved.
    root: PathBuf,
    watcher: Option<RecommendedWatcher>,
    tell: mpsc::Sender<Seen>,
    told: mpsc::Receiver<Seen>,
    again: Option<Duration>,
}

/// Ends a [`Watch`] from another thread.
pub(super) struct Stop(mpsc::Sender<Seen>);

impl Stop {
    /// The next wait of the watch is its last.
    pub(super) fn stop(&self) {
        // If nobody waits any more, it has ended already.
        let _ = self.0.send(Seen::Stop);
    }
}

impl Watch {
    /// Begins to watch.
    ///
    /// # Errors
    /// If the folder cannot be watched; the text says why.
    pub(super) fn begin(library: &Path) -> Result<Self, String> {
        let (tell, told) = mpsc::channel();
        let mut watch =
            Self { library: library.to_owned(), root: library.to_owned(), watcher: None, tell, told, again: None };
        watch.attach()?;
        Ok(watch)
    }

    /// How to end it.
    pub(super) fn stop(&self) -> Stop {
        Stop(self.tell.clone())
    }

    /// Watches the folder that now stands at the library's path.
    fn attach(&mut self) -> Result<(), String> {
        let shown = self.library.display();
        self.root = world::real(&self.library).ok_or_else(|| format!("could not open the library `{shown}`"))?;
        let tell = self.tell.clone();
        let mut watcher = notify::recommended_watcher(move |event| {
            // Once nobody listens the preview is about to end.
            let _ = tell.send(seen(event));
        })
        .map_err(|error| format!("could not watch the library `{shown}`: {error}"))?;
        watcher
            .watch(&self.root, RecursiveMode::Recursive)
            .map_err(|error| format!("could not watch the library `{shown}`: {error}"))?;
        self.watcher = Some(watcher);
        Ok(())
    }

    /// The library could not be opened: its folder may have been moved away, and another may come in its place.
    pub(super) fn lost(&mut self) {
        self.watcher = None;
    }

    /// Waits until something has happened and it is quiet again; `None` when the preview stops.
    pub(super) fn wait(&mut self) -> Option<Happened> {
        let mut happened = Happened::default();
        loop {
            let patience = if self.watcher.is_none() { Some(LOOK_FOR) } else { self.again.take() };
            let first = match patience {
                None => self.told.recv().ok()?,
                Some(patience) => match self.told.recv_timeout(patience) {
                    Ok(seen) => seen,
                    Err(RecvTimeoutError::Disconnected) => return None,
                    Err(RecvTimeoutError::Timeout) => {
                        if self.watcher.is_none() {
                            if self.attach().is_err() {
                                continue;
                            }
                            happened.anything = true;
                        }
                        return Some(happened);
                    }
                },
            };
            self.add(&mut happened, first)?;
            let begun = world::now();
            while begun.elapsed() < MOST {
                match self.told.recv_timeout(QUIET) {
                    Ok(seen) => self.add(&mut happened, seen)?,
                    Err(RecvTimeoutError::Timeout) => break,
                    Err(RecvTimeoutError::Disconnected) => return None,
                }
            }
            if happened.itself && self.attach().is_err() {
                self.lost();
            }
            if happened.anything || !happened.paths.is_empty() {
                self.again = happened.folders.then_some(SECOND_LOOK);
                return Some(happened);
            }
        }
    }

    /// Adds what was seen; `None` if the preview stops.
    fn add(&self, happened: &mut Happened, seen: Seen) -> Option<()> {
        match seen {
            Seen::Stop => return None,
            Seen::Something => happened.anything = true,
            Seen::Paths(paths, folder) => {
                for path in paths {
                    let Some(inside) = self.inside(&path) else { continue };
                    happened.folders |= folder || world::is_folder(&path);
                    happened.itself |= inside.is_empty();
                    if inside.is_empty() || happened.paths.len() >= MANY {
                        happened.anything = true;
                    } else {
                        happened.paths.insert(inside);
                    }
                }
            }
        }
        Some(())
    }

    /// A path relative to the library, with `/` between parts; `None` for what is hidden.
    fn inside(&self, path: &Path) -> Option<String> {
        let Ok(inside) = path.strip_prefix(&self.root) else { return Some(String::new()) };
        let parts: Vec<_> = inside.iter().map(|part| part.to_string_lossy()).collect();
        if parts.iter().any(|part| part.starts_with('.')) { None } else { Some(parts.join("/")) }
    }
}

/// What an event tells. Reading a file is one as well, and we do that ourselves.
fn seen(event: notify::Result<Event>) -> Seen {
    let Ok(event) = event else { return Seen::Something };
    if event.need_rescan() {
        return Seen::Something;
    }
    let folder = match event.kind {
        EventKind::Access(AccessKind::Close(AccessMode::Write)) => false,
        EventKind::Access(_) => return Seen::Paths(Vec::new(), false),
        EventKind::Create(CreateKind::Folder) | EventKind::Remove(RemoveKind::Folder) => true,
        _ => false,
    };
    Seen::Paths(event.paths, folder)
}
