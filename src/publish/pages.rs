//! Makes the pages, some at a time, and stages those that differ from what stands in the target.

use super::disk::{self, Disk};
use super::error::PublishError;
use super::manifest::{Entry, Manifest};
use super::standing::Standing;
use super::{Job, Published, Recall, Way, names};
use crate::model::site::{CopyOf, Leans, Page, SitePath, Turn};
use rayon::prelude::*;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

/// How many pages are in memory at once. No page is over 300 KB, so about 40 MB at the most; enough of them to
/// keep every core busy between two turns at the disk.
const BATCH: usize = 128;

/// What is done with a page that stands in the target already.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Unchanged {
    /// It gets a second name in the stage, which becomes the site.
    Link,
    /// It stays where it is.
    Leave,
}

/// A stage with every page that has to be written.
pub(super) struct Staged {
    /// What the new site holds.
    pub(super) manifest: Manifest,
    /// What was written into the stage.
    pub(super) written: Vec<(Turn, SitePath)>,
}

/// The bytes of a page, or where they lie.
enum Body<'a> {
    Bytes(Cow<'a, [u8]>),
    File(&'a CopyOf),
}

struct Made<'a> {
    body: Body<'a>,
    entry: Entry,
    unchanged: bool,
}

/// Makes every page and stages it.
///
/// Pages are made by many threads and written by this one in the order of their paths, so neither the bytes nor
/// the order of the operations depends on the number of threads; of several faulty pages the first is reported.
pub(super) fn stage(job: &Job<'_>, stage: &Path, unchanged: Unchanged) -> Result<Staged, PublishError> {
    let mut manifest = Manifest { audience: job.site.audience, files: BTreeMap::new() };
    let pages: Vec<_> = job.site.pages.iter().collect();
    let mut written = Vec::with_capacity(pages.len());
    let before = Before { standing: &job.standing, target: &job.target, recall: job.recall, leans: &job.site.leans };
    for batch in pages.chunks(BATCH) {
        let made: Vec<_> = batch.par_iter().map(|(path, (_, page))| made(path, page, before)).collect();
        for ((path, (turn, _)), made) in batch.iter().zip(made) {
            let made = made?;
            manifest.files.insert((*path).clone(), made.entry);
            if !made.unchanged {
                write(&job.disk, &made, &stage.join(path.as_str()))?;
                written.push((*turn, (*path).clone()));
            } else if unchanged == Unchanged::Link {
                job.disk.link_or_copy(&job.target.join(path.as_str()), &stage.join(path.as_str()))?;
            }
        }
    }
    Ok(Staged { manifest, written })
}

/// What may spare a page from being made: what stands in the target, and what an earlier run remembers.
#[derive(Clone, Copy)]
struct Before<'b> {
    standing: &'b Standing,
    target: &'b Path,
    recall: Option<&'b Recall>,
    leans: &'b BTreeMap<SitePath, Leans<'b>>,
}

/// The page made. Where that breaks off it is an error like others, after which nothing is left in the target.
fn made<'a>(path: &SitePath, page: &'a Page<'_>, before: Before<'_>) -> Result<Made<'a>, PublishError> {
    catch_unwind(AssertUnwindSafe(|| make(path, page, before))).unwrap_or_else(|said| {
        let why = said.downcast_ref::<String>().cloned();
        let why = why.or_else(|| said.downcast_ref::<&str>().map(|why| (*why).to_owned()));
        Err(PublishError::BrokeOff { page: path.clone(), why: why.unwrap_or_else(|| "it broke off".to_owned()) })
    })
}

fn make<'a>(path: &SitePath, page: &'a Page<'_>, before: Before<'_>) -> Result<Made<'a>, PublishError> {
    let Before { standing, target, .. } = before;
    let as_it_stands = |entry| Made { body: Body::Bytes(Cow::Borrowed(&[])), entry, unchanged: true };
    let (body, entry) = match page {
        Page::Ready(bytes) => (Body::Bytes(Cow::Borrowed(bytes)), Entry::of(bytes)),
        Page::Made(maker) => {
            let remembered = before.recall.zip(before.leans.get(path)).map(|(recall, leans)| (recall, leans.0()));
            if let Some((recall, leaning)) = &remembered
                && let Some(entry) = recall.entry(leaning)
                && stands(path, &entry, standing, target)?
            {
                recall.keep(*leaning, entry);
                return Ok(as_it_stands(entry));
            }
            let bytes = maker().map_err(PublishError::Page)?;
            let entry = Entry::of(&bytes);
            if let Some((recall, leaning)) = remembered {
                recall.keep(leaning, entry);
            }
            (Body::Bytes(Cow::Owned(bytes)), entry)
        }
        // A name that stands already tells what is in it; making it anew would cost far more than reading it.
        Page::Smaller(smaller) => {
            let known = standing.manifest.as_ref().and_then(|manifest| manifest.files.get(path));
            if let Some(entry) = known
                && stands(path, entry, standing, target)?
            {
                return Ok(as_it_stands(*entry));
            }
            let bytes = disk::smaller(smaller)?;
            let entry = Entry::of(&bytes);
            (Body::Bytes(Cow::Owned(bytes)), entry)
        }
        // Whether the original is still byte for byte the one that was looked at shows when it is copied.
        Page::Copied(copy) => {
            disk::admits_copy(copy)?;
            (Body::File(copy), Entry { size: copy.size, hash: copy.hash })
        }
    };
    let unchanged = stands(path, &entry, standing, target)?;
    Ok(Made { body, entry, unchanged })
}

/// Whether this very file stands in the target. The manifest's word is not enough: the bytes are read.
fn stands(path: &SitePath, entry: &Entry, standing: &Standing, target: &Path) -> Result<bool, PublishError> {
    let known = standing.manifest.as_ref().and_then(|manifest| manifest.files.get(path));
    let size = standing.found.get(Path::new(path.as_str())).map(|found| found.size);
    if known != Some(entry) || size != Some(entry.size) || !standing.is_ours(path) {
        return Ok(false);
    }
    Ok(disk::entry_of(&target.join(path.as_str()))? == *entry)
}

fn write(disk: &Disk<'_>, made: &Made<'_>, to: &Path) -> Result<(), PublishError> {
    match &made.body {
        Body::Bytes(bytes) => disk.write(to, bytes),
        Body::File(copy) if disk.write_copy(copy, to)? == made.entry => Ok(()),
        Body::File(copy) => Err(PublishError::Unsteady { path: copy.from.clone() }),
    }
}

impl Staged {
    /// Whether the target holds this very site already.
    pub(super) fn is_standing(&self, job: &Job<'_>) -> bool {
        let lists = job.standing.manifest.as_ref() == Some(&self.manifest)
            && job.standing.sums.as_ref() == Some(&self.manifest.sums());
        self.written.is_empty() && lists
    }

    /// What is reported of it.
    pub(super) fn counts(&self, job: &Job<'_>, way: Way) -> Published {
        Published {
            audience: self.manifest.audience,
            way,
            written: self.written.len(),
            unchanged: self.manifest.files.len() - self.written.len(),
            removed: job.standing.withdrawn(job.site).iter().map(SitePath::to_string).collect(),
            bytes: self.manifest.files.values().map(|entry| entry.size).sum(),
            foreign: names(&job.foreign),
            rolled_forward: job.rolled_forward,
        }
    }
}
