//! Says whether a published folder is whole and untouched.

use super::disk;
use super::error::PublishError;
use super::standing::Standing;
use super::{Manifest, SUMS, names};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::path::Path;

/// How a folder compares with its manifest.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verified {
    /// What the folder should hold.
    pub manifest: Manifest,
    /// Files that the manifest names and that are not there, or are links or folders now.
    pub missing: Vec<String>,
    /// Files with other bytes than were published.
    pub changed: Vec<String>,
    /// What lies in the folder and was not published.
    pub foreign: Vec<String>,
    /// Whether a run stopped half-way, so that the folder is part old and part new until the next one.
    pub unfinished: bool,
}

impl Verified {
    /// Whether every file stands as it was published, no run is half-way, and nothing else lies in the folders of the site.
    pub fn is_whole(&self) -> bool {
        self.missing.is_empty() && self.changed.is_empty() && !self.unfinished && self.strays().next().is_none()
    }

    /// What was not published and lies where published pages lie: it may be left of a case that was taken down. Files beside
    /// the site's own, such as a note at the top of the folder, are no harm.
    pub fn strays(&self) -> impl Iterator<Item = &String> {
        let folders: BTreeSet<&str> =
            self.manifest.files.keys().filter_map(|path| Some(path.as_str().split_once('/')?.0)).collect();
        self.foreign.iter().filter(move |path| path.split_once('/').is_some_and(|(top, _)| folders.contains(top)))
    }
}

/// Reads every file of a published folder and compares it with the manifest. Changes nothing.
///
/// # Errors
/// The folder holds no manifest of ours, or the manifest is damaged, or something cannot be read.
pub fn verify(target: &Path) -> Result<Verified, PublishError> {
    let standing = Standing::read(target)?;
    let foreign = names(&standing.foreign());
    let Some(manifest) = standing.manifest.clone() else {
        return Err(PublishError::NotOurs { path: target.to_owned() });
    };
    let (there, missing): (Vec<_>, Vec<_>) = manifest.files.iter().partition(|(path, _)| standing.is_ours(path));
    let entries: Vec<_> = there.par_iter().map(|(path, _)| disk::entry_of(&target.join(path.as_str()))).collect();
    let mut changed = Vec::new();
    for ((path, published), entry) in there.into_iter().zip(entries) {
        if entry? != *published {
            changed.push(path.to_string());
        }
    }
    let mut missing: Vec<String> = missing.into_iter().map(|(path, _)| path.to_string()).collect();
    match &standing.sums {
        None => missing.push(SUMS.to_owned()),
        Some(sums) if *sums != manifest.sums() => changed.push(SUMS.to_owned()),
        Some(_) => {}
    }
    Ok(Verified { missing, changed, foreign, unfinished: standing.journal.is_some(), manifest })
}
