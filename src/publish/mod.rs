//! Publish: a [`Site`] becomes a folder.
//!
//! Where two folders can change places in one rename, a reader sees the old site or the new one, never half of
//! either, and so does the next run after a power cut. Where they cannot (mount points, many file shares) a journal
//! makes a weaker promise: whatever stops a run, the next one completes it, what is withdrawn goes first, and no
//! new page stands before what it leans on. In both ways a file is never written in place, what was not published
//! is kept and listed, links are not followed, and nothing changes until every page has been made.

mod disk;
mod error;
mod exchange;
mod journal;
mod manifest;
mod pages;
mod recall;
mod standing;
mod verify;

pub use disk::{Fault, FaultHook, Operation, smaller};
pub use error::PublishError;
pub use manifest::{Entry, MANIFEST, Manifest, SUMS};
pub use recall::Recall;
pub use verify::{Verified, verify};

use crate::model::site::{Audience, Site};
use disk::{Disk, Kind, Tree};
use exchange::Refusal;
use standing::Standing;
use std::path::{Path, PathBuf};

/// How the new site takes the place of the old one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Way {
    /// By exchange where that can be done, otherwise by journal.
    #[default]
    Auto,
    /// The two folders change places in one rename.
    Exchange,
    /// File by file, with a journal from which the next run goes on.
    Journal,
}

/// How to publish.
#[derive(Default, Clone, Copy)]
pub struct Options<'a> {
    /// The way to take.
    pub way: Way,
    /// Whether a site for one audience may replace a site for another.
    pub change_audience: bool,
    /// What an earlier run remembers, so that pages which cannot have changed are not made.
    pub recall: Option<&'a Recall>,
    /// What may befall each disk operation; nothing, outside tests.
    pub faults: Option<&'a FaultHook<'a>>,
}

/// What was done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Published {
    /// For whom the site is.
    pub audience: Audience,
    /// The way that was taken; never [`Way::Auto`].
    pub way: Way,
    /// How many files were written.
    pub written: usize,
    /// How many files stood there already, byte for byte.
    pub unchanged: usize,
    /// The files of the old site that the new one has no longer, in order: copies of them elsewhere are not ours to remove.
    pub removed: Vec<String>,
    /// The size of the site in bytes, without its manifest.
    pub bytes: u64,
    /// What lies in the folder and was not published, in order; a folder that holds nothing ends in `/`.
    pub foreign: Vec<String>,
    /// Whether an earlier run had stopped half-way, and its journal was dealt with first.
    pub rolled_forward: bool,
}

/// The manifest of the site in this folder, if there is one that can be read.
pub fn standing(target: &Path) -> Option<Manifest> {
    Manifest::from_bytes(&disk::read(&target.join(MANIFEST)).ok()?).ok()
}

/// All that the two ways need to know.
struct Job<'a> {
    site: &'a Site<'a>,
    disk: Disk<'a>,
    /// Where the site goes.
    target: PathBuf,
    /// The folder that holds the target.
    parent: PathBuf,
    /// Where a whole site is staged: beside the target.
    beside: PathBuf,
    standing: Standing,
    foreign: Tree,
    rolled_forward: bool,
    recall: Option<&'a Recall>,
}

/// Publishes a site into a folder, which is made if it does not exist.
///
/// An earlier run that stopped at any point is tidied up first. The same site again writes nothing. Only one run
/// at a time publishes beside a given folder; another waits for it.
///
/// # Errors
/// See [`PublishError`]. A page that cannot be made, a target that is not ours and an audience that was not to
/// change leave the target as it was.
///
/// # Panics
/// The site has a page where its manifest belongs.
pub fn publish(site: &Site<'_>, target: &Path, options: &Options<'_>) -> Result<Published, PublishError> {
    assert!(site.pages.keys().all(|path| path.as_str() != MANIFEST), "a page stands where the manifest belongs");
    let disk = Disk::new(options.faults);
    let target = disk.resolve(target)?;
    let (Some(parent), Some(name)) = (target.parent(), target.file_name()) else {
        return Err(PublishError::NotOurs { path: target });
    };
    let parent = parent.to_owned();
    let beside = parent.join(format!(".{}.casewright-stage", name.to_string_lossy()));
    let _lock = disk.lock(&parent)?;

    let mut standing = Standing::read(&target)?;
    standing.admits(&target, site.audience, options.change_audience)?;
    disk.clear(&beside)?;
    let rolled_forward = standing.journal.is_some();
    if rolled_forward {
        journal::roll_forward(&disk, &target, &standing, site)?;
        standing = Standing::read(&target)?;
    } else {
        disk.clear(&target.join(journal::STAGE))?;
    }
    let foreign = standing.foreign();
    standing::has_room(site, &foreign, &target)?;

    let job = Job { site, disk, target, parent, beside, standing, foreign, rolled_forward, recall: options.recall };
    match options.way {
        Way::Journal => journal::publish(&job),
        way => match exchange::publish(&job) {
            Ok(published) => Ok(published),
            Err(Refusal::CannotExchange(_)) if way == Way::Auto && !job.disk.is_stopped() => journal::publish(&job),
            Err(Refusal::CannotExchange(error) | Refusal::Failed(error)) => Err(error),
        },
    }
}

/// Paths for people: `/` between the parts, and after an empty folder.
fn names(tree: &Tree) -> Vec<String> {
    let name = |path: &Path| path.iter().map(|part| part.to_string_lossy()).collect::<Vec<_>>().join("/");
    let end = |kind| if kind == Kind::Folder { "/" } else { "" };
    tree.iter().map(|(path, found)| name(path) + end(found.kind)).collect()
}
