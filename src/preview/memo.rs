//! What one round of the preview remembers for the next: files that have not changed are neither read, nor looked into,
//! nor parsed again.
//!
//! A file is taken for unchanged if size, times and number on the disk are what they were, and if it had been at rest for
//! a while when it was read: within one tick of the disk's clock a file may be written twice and keep its times. What the
//! watcher names is read again in any case.

use super::world::{self, Stamp};
use crate::check::Parsed;
use crate::files::{Disk, Entry, Files};
use crate::media::Source as Readable;
use crate::model::inputs::{Inputs, MediaContent};
use crate::model::site::PageError;
use crate::parse;
use crate::publish::MANIFEST;
use crate::render::Theme;
use crate::text::{FileId, Source};
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// A hash of a content.
pub(super) type Hash = [u8; 32];

/// The theme's own files, and what became of them.
type Themed = (BTreeMap<String, Vec<u8>>, Result<Arc<Theme>, Vec<PageError>>);

/// All that is remembered.
#[derive(Debug, Default)]
pub(super) struct Memo {
    texts: Mutex<BTreeMap<String, (Stamp, Vec<u8>)>>,
    media: Mutex<BTreeMap<String, (Stamp, MediaContent)>>,
    parsed: Mutex<BTreeMap<Key, Arc<Parsed>>>,
    theme: Mutex<Option<Themed>>,
}

/// What the parse of a case depends on: its name, its texts, and their numbers, which stand in every span.
type Key = (String, (FileId, Hash), Option<(FileId, Hash)>);

/// Holds the lock even where a thread that held it panicked: a memo holds whole entries at any moment.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Memo {
    /// Forgets what was read of these paths of the library, and of all that lies under them.
    pub(super) fn forget(&self, paths: &BTreeSet<String>) {
        let touched =
            |path: &str| paths.contains(path) || path.match_indices('/').any(|(at, _)| paths.contains(&path[..at]));
        lock(&self.texts).retain(|path, _| !touched(path));
        lock(&self.media).retain(|name, _| !touched(&format!("media/{name}")));
    }

    /// Forgets everything that was read from the disk.
    pub(super) fn forget_files(&self) {
        lock(&self.texts).clear();
        lock(&self.media).clear();
    }

    /// Parses a case, or remembers what parsing it gave.
    pub(super) fn parse(&self, turn: &Turn, name: &str, markdown: &Source, side: Option<&Source>) -> Parsed {
        let of = |source: &Source| (source.id, hash(source.text.as_bytes()));
        let key = (name.to_owned(), of(markdown), side.map(of));
        let known = lock(&self.parsed).get(&key).cloned();
        let parsed = known.unwrap_or_else(|| {
            turn.parsed.fetch_add(1, Ordering::Relaxed);
            Arc::new(parse::case(name, markdown, side))
        });
        lock(&turn.kept).insert(key, Arc::clone(&parsed));
        Parsed::clone(&parsed)
    }

    /// The end of a round: what it did not use is dropped, so that memory does not grow. Gives how many cases were parsed.
    pub(super) fn finish(&self, turn: Turn) -> usize {
        *lock(&self.parsed) = turn.kept.into_inner().unwrap_or_else(PoisonError::into_inner);
        turn.parsed.into_inner()
    }

    /// The theme with these files of the library.
    pub(super) fn theme(&self, own: &BTreeMap<String, Vec<u8>>) -> Result<Arc<Theme>, Vec<PageError>> {
        let mut theme = lock(&self.theme);
        match &*theme {
            Some((files, made)) if files == own => made.clone(),
            _ => {
                let made = Theme::new(own).map(Arc::new);
                *theme = Some((own.clone(), made.clone()));
                made
            }
        }
    }
}

/// One round's use of the memo.
#[derive(Debug, Default)]
pub(super) struct Turn {
    kept: Mutex<BTreeMap<Key, Arc<Parsed>>>,
    parsed: AtomicUsize,
}

/// The hash of a content.
pub(super) fn hash(bytes: &[u8]) -> Hash {
    *blake3::hash(bytes).as_bytes()
}

/// A library on disk of which files that are as they were are not read again. Sites that were published into it are no
/// part of it.
pub(super) struct Remembering<'m> {
    disk: Disk,
    memo: &'m Memo,
    /// The media as they were listed, before anybody looked into them.
    media: Mutex<BTreeMap<String, Stamp>>,
}

impl<'m> Remembering<'m> {
    /// This library, with this memo of it.
    pub(super) fn new(disk: Disk, memo: &'m Memo) -> Self {
        Self { disk, memo, media: Mutex::default() }
    }

    /// What a file under `media/` holds, by path relative to it, if it is as it was.
    pub(super) fn known(&self, name: &str) -> Option<MediaContent> {
        let now = *lock(&self.media).get(name)?;
        let (before, content) = lock(&self.memo.media).get(name)?.clone();
        (before.at_rest && before == now).then_some(content)
    }

    /// Keeps what was found out about media.
    pub(super) fn keep(&self, inputs: &Inputs) {
        let stamps = lock(&self.media);
        let sure = |content: &MediaContent| matches!(content, MediaContent::Shown(_) | MediaContent::Refused(_));
        let files = inputs.media.iter().filter(|(_, file)| sure(&file.content));
        *lock(&self.memo.media) =
            files.filter_map(|(name, file)| Some((name.clone(), (*stamps.get(name)?, file.content.clone())))).collect();
    }
}

impl Files for Remembering<'_> {
    fn list(&self) -> Result<Vec<Entry>, String> {
        let mut entries = self.disk.list()?;
        let sites: Vec<String> = entries
            .iter()
            .filter_map(|entry| entry.path.strip_suffix(MANIFEST).filter(|folder| folder.ends_with('/')))
            .map(str::to_owned)
            .collect();
        entries.retain(|entry| !sites.iter().any(|site| entry.path.starts_with(site)));
        let there: BTreeSet<&str> = entries.iter().map(|entry| entry.path.as_str()).collect();
        lock(&self.memo.texts).retain(|path, _| there.contains(path.as_str()));
        let media = there.iter().filter_map(|path| path.strip_prefix("media/"));
        *lock(&self.media) = media
            .filter_map(|name| Some((name.to_owned(), world::stamp(&self.disk.locate(&format!("media/{name}")))?)))
            .collect();
        Ok(entries)
    }

    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        let stamp = world::stamp(&self.disk.locate(path));
        if let (Some(stamp), Some((before, bytes))) = (stamp, lock(&self.memo.texts).get(path))
            && before.at_rest
            && stamp == *before
        {
            return Ok(bytes.clone());
        }
        let bytes = self.disk.read(path)?;
        if let Some(stamp) = stamp {
            lock(&self.memo.texts).insert(path.to_owned(), (stamp, bytes.clone()));
        }
        Ok(bytes)
    }

    fn open(&self, path: &str) -> Result<Box<dyn Readable>, String> {
        self.disk.open(path)
    }

    fn locate(&self, path: &str) -> PathBuf {
        self.disk.locate(path)
    }
}
