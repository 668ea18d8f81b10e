//! The weaker way, for mount points and shares that cannot exchange two folders: everything is staged inside the
//! target, a journal names what has to be done, and then it is done file by file.
//!
//! Every step may be repeated. So whatever stops a run, the next one finds the journal and does the rest.

use super::disk::{self, Disk, Found, Kind};
use super::error::PublishError;
use super::manifest::{MANIFEST, Manifest, SUMS, Written, to_json, to_site_path};
use super::pages::{self, Staged, Unchanged};
use super::standing::Standing;
use super::{Job, Published, Way};
use crate::model::site::{Site, SitePath};
use serde::{Deserialize, Serialize};
use std::path::Path;

/// The journal's file name in the target.
pub(super) const JOURNAL: &str = ".casewright-journal.json";

/// The folder in the target where new files wait.
pub(super) const STAGE: &str = ".casewright-stage";

/// The name of the journal in the stage, before it counts.
const DRAFT: &str = ".journal";

/// The version of the file's layout.
const VERSION: u32 = 1;

/// What turns the old site into the new one, in the order in which it is done.
#[derive(Debug, Clone)]
pub(super) struct Journal {
    /// Files that go before anything new comes.
    withdraw: Vec<SitePath>,
    /// Files that come from the stage, what others lean on first.
    place: Vec<SitePath>,
    /// Files that old pages lean on: they go when no old page is left.
    orphans: Vec<SitePath>,
    /// What the folder holds at the end.
    pub(super) manifest: Manifest,
}

/// The journal as it stands in a file.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenJournal<M> {
    version: u32,
    withdraw: Vec<String>,
    place: Vec<String>,
    orphans: Vec<String>,
    manifest: M,
}

impl Journal {
    fn new(job: &Job<'_>, mut staged: Staged) -> Self {
        staged.written.sort();
        let gone = job.standing.withdrawn(job.site);
        let (orphans, mut withdraw): (Vec<_>, Vec<_>) =
            gone.into_iter().partition(|path| serves_pages(path) && !is_in_the_way(path, job.site));
        // A script may be search data, and hold the words of what is withdrawn: it must not outlive it. Without
        // scripts the old pages can still be read, for the moment they are still there.
        let (scripts, orphans) = if withdraw.is_empty() {
            (Vec::new(), orphans)
        } else {
            orphans.into_iter().partition(|path| path.as_str().ends_with(".js"))
        };
        withdraw.extend(scripts);
        let place = staged.written.into_iter().map(|(_, path)| path).collect();
        Self { withdraw, place, orphans, manifest: staged.manifest }
    }

    fn to_bytes(&self) -> Vec<u8> {
        let words = |paths: &[SitePath]| paths.iter().map(SitePath::to_string).collect();
        let written = WrittenJournal {
            version: VERSION,
            withdraw: words(&self.withdraw),
            place: words(&self.place),
            orphans: words(&self.orphans),
            manifest: self.manifest.to_written(),
        };
        to_json(&written, 0)
    }

    pub(super) fn from_bytes(bytes: &[u8]) -> Result<Self, String> {
        let written: WrittenJournal<Written> = serde_json::from_slice(bytes).map_err(|error| error.to_string())?;
        if written.version != VERSION {
            return Err(format!("it has version {}, and this casewright reads version {VERSION}", written.version));
        }
        let paths = |words: Vec<String>| words.into_iter().map(to_site_path).collect::<Result<Vec<_>, _>>();
        Ok(Self {
            withdraw: paths(written.withdraw)?,
            place: paths(written.place)?,
            orphans: paths(written.orphans)?,
            manifest: Manifest::from_written(written.manifest)?,
        })
    }
}

/// Whether this is a file that pages lean on to look and work as they should.
fn serves_pages(path: &SitePath) -> bool {
    [".css", ".js", ".woff2"].iter().any(|end| path.as_str().ends_with(end))
}

/// Whether a file stands where the new site has a folder, or beneath what is a file there.
fn is_in_the_way(path: &SitePath, site: &Site<'_>) -> bool {
    let path = Path::new(path.as_str());
    site.pages.keys().map(|page| Path::new(page.as_str())).any(|page| page.starts_with(path) || path.starts_with(page))
}

/// Publishes file by file. Until the journal stands in the target the old site is only read.
pub(super) fn publish(job: &Job<'_>) -> Result<Published, PublishError> {
    let disk = &job.disk;
    let prepared = prepare(job).inspect_err(|_| {
        // What is left if this fails too goes with the next run; why the first thing failed matters more.
        let _ = disk.clear(&job.target.join(STAGE));
        if !job.standing.exists && disk::look(&job.target).is_ok_and(|found| found.is_some()) {
            let _ = disk.remove_if_empty(&job.target);
        }
    });
    let (published, journal) = prepared?;
    if let Some(journal) = journal {
        disk.rename(&job.target.join(STAGE).join(DRAFT), &job.target.join(JOURNAL))?;
        disk.sync_folder(&job.target)?;
        carry_out(disk, &job.target, &journal)?;
    }
    Ok(published)
}

/// Stages what is new and writes the journal where it does not count yet. There is none where the same site
/// stands already.
fn prepare(job: &Job<'_>) -> Result<(Published, Option<Journal>), PublishError> {
    let stage = job.target.join(STAGE);
    let staged = pages::stage(job, &stage, Unchanged::Leave)?;
    let published = staged.counts(job, Way::Journal);
    if staged.is_standing(job) {
        return Ok((published, None));
    }
    let journal = Journal::new(job, staged);
    job.disk.write(&stage.join(DRAFT), &journal.to_bytes())?;
    job.disk.sync_tree(&stage)?;
    Ok((published, Some(journal)))
}

/// Does the rest of what a stopped run had to do, as far as the present site still wants it.
///
/// A page that the present site no longer has is withdrawn, never placed: it may have been withdrawn since. And
/// where the stopped run was for another audience, nothing of it is placed: what it had placed is only taken
/// into the manifest, so that the present run can replace it.
pub(super) fn roll_forward(
    disk: &Disk<'_>,
    target: &Path,
    standing: &Standing,
    site: &Site<'_>,
) -> Result<(), PublishError> {
    let Some(mut rest) = standing.journal.clone() else { return Ok(()) };
    let is_wanted = |path: &SitePath| site.pages.contains_key(path);
    rest.withdraw.extend(rest.manifest.files.keys().filter(|path| !is_wanted(path)).cloned());
    if rest.manifest.audience == site.audience {
        rest.place.retain(is_wanted);
    } else {
        rest.place.clear();
        for (path, entry) in standing.manifest.iter().flat_map(|old| &old.files) {
            rest.manifest.files.entry(path.clone()).or_insert(*entry);
        }
    }
    rest.manifest.files.retain(|path, _| is_wanted(path));
    carry_out(disk, target, &rest)
}

/// Carries a journal out, from whatever point an earlier run came to.
fn carry_out(disk: &Disk<'_>, target: &Path, journal: &Journal) -> Result<(), PublishError> {
    let stage = target.join(STAGE);
    for path in &journal.withdraw {
        remove(disk, target, path)?;
    }
    for path in &journal.place {
        place(disk, target, path)?;
    }
    let lists = [(SUMS, journal.manifest.sums()), (MANIFEST, journal.manifest.to_bytes())];
    for (name, bytes) in &lists {
        let waiting = stage.join(name);
        if disk::look(&waiting)?.is_some() {
            disk.remove_file(&waiting)?;
        }
        disk.write(&waiting, bytes)?;
    }
    disk.sync_tree(target)?;
    for (name, _) in &lists {
        disk.rename(&stage.join(name), &target.join(name))?;
    }
    for path in &journal.orphans {
        remove(disk, target, path)?;
    }
    disk.sync_tree(target)?;
    disk.clear(&stage)?;
    disk.remove_file(&target.join(JOURNAL))?;
    disk.sync_folder(target)
}

/// Removes a file of ours if it is still there, and the folders it leaves empty.
fn remove(disk: &Disk<'_>, target: &Path, path: &SitePath) -> Result<(), PublishError> {
    let path = Path::new(path.as_str());
    if reachable(target, path)?.is_some_and(|found| found.kind == Kind::File) {
        disk.remove_file(&target.join(path))?;
    }
    for folder in path.ancestors().skip(1).filter(|folder| *folder != Path::new("")) {
        let is_folder = reachable(target, folder)?.is_some_and(|found| found.kind == Kind::Folder);
        if is_folder && disk.remove_if_empty(&target.join(folder))? {
            break;
        }
    }
    Ok(())
}

/// What stands at a path, where only folders lead to it: what lies behind a link is not ours.
fn reachable(target: &Path, path: &Path) -> Result<Option<Found>, PublishError> {
    match disk::look_beneath(target, path) {
        Err(PublishError::Obstructed { .. }) => Ok(None),
        found => found,
    }
}

/// Moves a file from the stage to its place, unless an earlier run has done so.
fn place(disk: &Disk<'_>, target: &Path, path: &SitePath) -> Result<(), PublishError> {
    let from = target.join(STAGE).join(path.as_str());
    let to = target.join(path.as_str());
    if disk::look(&from)?.is_none() {
        return Ok(());
    }
    match disk::look_beneath(target, Path::new(path.as_str()))? {
        Some(found) if found.kind != Kind::File => Err(PublishError::Obstructed { path: to }),
        _ => {
            if let Some(folder) = to.parent() {
                disk.create_folders(folder)?;
            }
            disk.rename(&from, &to)
        }
    }
}
