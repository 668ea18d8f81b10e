//! What one round of the preview remembers for the next: files that have not changed are neither read, nor looked into,
//! nor parsed again.
//!
//! A file is taken for unchanged if size, times and number on the disk are what they were, and if it had been at rest for
//! a while when it was read: within one tick of the disk's clock a file may be written twice and keep its times. What the
//! watcher names is read again in any case.

use super::edition::Held;
use super::world::{self, Stamp};
use crate::analyse::Alone;
use crate::check::{Identifiers, Judge, Judged, Parsed};
use crate::diag::Diagnostic;
use crate::files::{Disk, Entry, Files};
use crate::media::Source as Readable;
use crate::model::case as model;
use crate::model::corpus::{Cleared, Corpus};
use crate::model::digest::Parts;
use crate::model::held::Shelf;
use crate::model::inputs::{CaseFile, CaseTexts, Inputs, MediaContent};
use crate::model::site::{Audience, PageError};
use crate::model::vocabulary::Vocabulary;
use crate::pipeline::{self, Afresh, Memory};
use crate::publish::MANIFEST;
use crate::render::Theme;
use crate::text::{FileId, Source};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// A hash of a content.
pub(super) type Hash = [u8; 32];

/// The vocabulary, and what was said of it, with a hash of all that it was made of.
type Terms = (Hash, Vocabulary, Vec<Diagnostic>);

/// The theme's own files, and what became of them.
type Themed = (BTreeMap<String, Vec<u8>>, Result<Arc<Theme>, Vec<PageError>>);

/// All that is remembered.
#[derive(Debug, Default)]
pub(super) struct Memo {
    texts: Mutex<BTreeMap<String, (Stamp, Vec<u8>)>>,
    media: Mutex<BTreeMap<String, (Stamp, MediaContent)>>,
    cases: Mutex<Arc<Cases>>,
    vocabulary: Mutex<Option<Terms>>,
    theme: Mutex<Option<Themed>>,
}

/// What the parse of a case depends on: its name, its texts, and their numbers, which stand in every span.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Key {
    name: String,
    markdown: (FileId, Hash),
    side: Option<(FileId, Hash)>,
}

/// What became of a case.
#[derive(Debug)]
struct Case {
    parsed: Arc<Parsed>,
    judged: Judged,
}

/// What became of all cases in the round before.
#[derive(Debug, Default)]
struct Cases {
    around: Hash,
    cases: BTreeMap<Key, Case>,
    /// What cases are by themselves, by name, with the very case that it was computed of.
    alone: BTreeMap<String, (Arc<model::Case>, Arc<Alone>)>,
}

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

    /// Begins a round over these inputs.
    pub(super) fn turn(&self, inputs: &Inputs, held: &Held, audience: Audience) -> Turn<'_> {
        let of = |source: &Source| (source.id, held.of_text(source));
        let key = |case: &CaseTexts<'_>| Key {
            name: case.files.name.clone(),
            markdown: of(case.markdown),
            side: case.side.map(of),
        };
        let keys: Vec<Key> = inputs.texts().par_iter().map(key).collect();
        Turn {
            memo: self,
            before: lock(&self.cases).clone(),
            around: around(inputs, audience),
            keys,
            now: Mutex::default(),
            parsed: AtomicUsize::new(0),
        }
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

/// A hash of all that a judgement, and what a case is by itself, lean on besides the case itself: every other
/// text with its number, the media, the audience.
fn around(inputs: &Inputs, audience: Audience) -> Hash {
    let of_cases: BTreeSet<FileId> = inputs.cases.iter().flat_map(CaseFile::files).collect();
    let mut parts = Parts::default();
    parts.add(audience.word());
    for source in inputs.sources.iter().filter(|source| !of_cases.contains(&source.id)) {
        parts.add(format!("{:?} {}", source.id, source.path));
        parts.add(source.text.as_bytes());
    }
    parts.add(inputs.media_hash());
    *parts.hash().as_bytes()
}

/// One round's use of the memo.
pub(super) struct Turn<'m> {
    memo: &'m Memo,
    before: Arc<Cases>,
    around: Hash,
    /// By place in [`Inputs::texts`].
    keys: Vec<Key>,
    now: Mutex<BTreeMap<Key, Case>>,
    parsed: AtomicUsize,
}

impl Turn<'_> {
    /// What was computed of a case in the round before, if it still holds.
    pub(super) fn alone(&self, case: &Arc<model::Case>) -> Option<Arc<Alone>> {
        let (of, alone) = self.before.alone.get(case.name.as_str())?;
        (self.before.around == self.around && Arc::ptr_eq(of, case)).then(|| Arc::clone(alone))
    }

    /// The end of a round: what it did not use is dropped, so that memory does not grow. `analysed` is what was computed, if
    /// the round came so far.
    pub(super) fn finish(self, analysed: Option<(&Corpus, &[Arc<Alone>])>) {
        let alone = match analysed {
            Some((corpus, alone)) => {
                let pair = |(cleared, alone): (&Cleared, &Arc<Alone>)| {
                    (cleared.name.clone(), (cleared.case(), Arc::clone(alone)))
                };
                corpus.cases().iter().zip(alone).map(pair).collect()
            }
            None if self.before.around == self.around => self.before.alone.clone(),
            None => BTreeMap::new(),
        };
        *lock(&self.memo.cases) = Arc::new(Cases {
            around: self.around,
            cases: self.now.into_inner().unwrap_or_else(PoisonError::into_inner),
            alone,
        });
    }

    /// How many cases were parsed so far.
    pub(super) fn parsed(&self) -> usize {
        self.parsed.load(Ordering::Relaxed)
    }
}

impl Memory for Turn<'_> {
    /// What was cleared is kept from round to round, and looked at again at once.
    fn shelf(&self, _: usize) -> Option<Arc<dyn Shelf>> {
        None
    }

    fn vocabulary(&self, inputs: &Inputs) -> (Vocabulary, Vec<Diagnostic>) {
        let mut parts = Parts::default();
        for source in inputs.vocabulary.iter().filter_map(|&file| inputs.sources.get(file)) {
            parts.add(format!("{:?} {}", source.id, source.path));
            parts.add(source.text.as_bytes());
        }
        let now = *parts.hash().as_bytes();
        let mut known = lock(&self.memo.vocabulary);
        match &*known {
            Some((before, vocabulary, said)) if *before == now => (vocabulary.clone(), said.clone()),
            _ => {
                let (vocabulary, said) = pipeline::vocabulary(inputs);
                *known = Some((now, vocabulary.clone(), said.clone()));
                (vocabulary, said)
            }
        }
    }

    fn judged(&self, at: usize, parse: &dyn Fn() -> Parsed, judge: Judge<'_>) -> Judged {
        let Some(key) = self.keys.get(at) else { return Afresh.judged(at, parse, judge) };
        let known = self.before.cases.get(key);
        let parsed = known.map(|case| Arc::clone(&case.parsed)).unwrap_or_else(|| {
            self.parsed.fetch_add(1, Ordering::Relaxed);
            Arc::new(parse())
        });
        let same = known.filter(|_| self.before.around == self.around).map(|case| case.judged.clone());
        let judged = same.unwrap_or_else(|| judge(Arc::clone(&parsed), Identifiers::Sought));
        let (key, case) = (key.clone(), Case { parsed, judged: judged.clone() });
        lock(&self.now).insert(key, case);
        judged
    }
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
