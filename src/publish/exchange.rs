//! The strong way: the whole new site is built beside the old one, and the two change places in one rename.

use super::disk::{self, Kind};
use super::error::PublishError;
use super::manifest::{MANIFEST, SUMS};
use super::pages::{self, Unchanged};
use super::standing::{Standing, site_path};
use super::{Job, Published, Way};
use std::io;

/// Why the folders did not change places.
pub(super) enum Refusal {
    /// They cannot here: the journal may serve.
    CannotExchange(PublishError),
    /// Something else went wrong.
    Failed(PublishError),
}

impl From<PublishError> for Refusal {
    fn from(error: PublishError) -> Self {
        Self::Failed(error)
    }
}

/// Publishes by exchange. Until the two folders change places the old site is only read.
pub(super) fn publish(job: &Job<'_>) -> Result<Published, Refusal> {
    let (published, exchanged) = build_and_exchange(job).inspect_err(|_| {
        // What is left beside the site if this fails too goes with the next run; why the first thing failed matters more.
        let _ = job.disk.clear(&job.beside);
    })?;
    if exchanged {
        job.disk.sync_folder(&job.parent)?;
        keep_late_arrivals(job)?;
    }
    job.disk.clear(&job.beside)?;
    Ok(published)
}

/// Builds the new site beside the old one and exchanges them. Says whether they changed places: they do not
/// where the same site stands already.
fn build_and_exchange(job: &Job<'_>) -> Result<(Published, bool), Refusal> {
    let (disk, stage) = (&job.disk, &job.beside);
    if job.standing.exists && !disk::on_one_device(&job.target, &job.parent) {
        let source = io::ErrorKind::CrossesDevices.into();
        let refused = PublishError::Disk { verb: "exchange", path: job.target.clone(), source };
        return Err(Refusal::CannotExchange(refused));
    }
    disk.create_folder(stage).map_err(Refusal::CannotExchange)?;
    if job.standing.exists {
        try_exchange(job).map_err(Refusal::CannotExchange)?;
    }
    let staged = pages::stage(job, stage, Unchanged::Link)?;
    let published = staged.counts(job, Way::Exchange);
    if staged.is_standing(job) {
        return Ok((published, false));
    }
    for (path, found) in &job.foreign {
        disk.carry(found.kind, &job.target.join(path), &stage.join(path))?;
    }
    disk.write(&stage.join(SUMS), &staged.manifest.sums())?;
    disk.write(&stage.join(MANIFEST), &staged.manifest.to_bytes())?;
    keep_permissions(job)?;
    disk.sync_tree(stage)?;
    if job.standing.exists {
        disk.exchange(stage, &job.target).map_err(Refusal::CannotExchange)?;
    } else {
        disk.rename(stage, &job.target)?;
    }
    Ok((published, true))
}

/// Finds out on two empty folders whether this disk can exchange at all, before any page is made.
fn try_exchange(job: &Job<'_>) -> Result<(), PublishError> {
    let (one, other) = (job.beside.join("one"), job.beside.join("other"));
    job.disk.create_folder(&one)?;
    job.disk.create_folder(&other)?;
    job.disk.exchange(&one, &other)?;
    job.disk.remove_if_empty(&one)?;
    job.disk.remove_if_empty(&other)?;
    Ok(())
}

/// The folders of the new site are new: they take over who may read and write the old ones.
fn keep_permissions(job: &Job<'_>) -> Result<(), PublishError> {
    if !job.standing.exists {
        return Ok(());
    }
    let folders = job.standing.found.iter().filter(|(_, found)| found.kind == Kind::Folder);
    for (path, _) in folders {
        let staged = job.beside.join(path);
        if disk::look(&staged)?.is_some_and(|found| found.kind == Kind::Folder) {
            job.disk.like(&job.target.join(path), &staged)?;
        }
    }
    job.disk.like(&job.target, &job.beside)
}

/// What somebody put into the old folder, or changed there, while the new one was being built moves over before
/// the old one goes.
fn keep_late_arrivals(job: &Job<'_>) -> Result<(), PublishError> {
    if !job.standing.exists {
        return Ok(());
    }
    for (path, found) in Standing::read(&job.beside)?.foreign() {
        let known = job.foreign.get(&path) == Some(&found);
        let is_page = site_path(&path).is_some_and(|path| job.site.pages.contains_key(&path));
        if known || is_page || found.kind == Kind::Folder {
            continue;
        }
        let to = job.target.join(&path);
        if let Some(folder) = to.parent() {
            job.disk.create_folders(folder)?;
        }
        job.disk.rename(&job.beside.join(&path), &to)?;
    }
    Ok(())
}
