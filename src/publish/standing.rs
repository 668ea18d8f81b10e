//! What stands in the target before a run: the site of an earlier one, a run that stopped half-way, and what is
//! not ours.

use super::disk::{self, Found, Kind, Tree};
use super::error::PublishError;
use super::journal::{JOURNAL, Journal, STAGE};
use super::manifest::{MANIFEST, Manifest, SUMS};
use crate::model::site::{Audience, Site, SitePath};
use std::ops::Bound;
use std::path::Path;

/// What stands in the target.
pub(super) struct Standing {
    /// Whether the folder exists at all.
    pub(super) exists: bool,
    /// What the last whole publication left.
    pub(super) manifest: Option<Manifest>,
    /// What a run that stopped half-way still had to do.
    pub(super) journal: Option<Journal>,
    /// The list of hashes for those without our tool.
    pub(super) sums: Option<Vec<u8>>,
    /// Everything there, but for the manifest, the list of hashes, the journal and the stage.
    pub(super) found: Tree,
}

impl Standing {
    /// Reads the target.
    ///
    /// # Errors
    /// The target is no folder, its manifest or journal is damaged, or it cannot be read.
    pub(super) fn read(target: &Path) -> Result<Self, PublishError> {
        match disk::look(target)? {
            None => return Ok(Self { exists: false, manifest: None, journal: None, sums: None, found: Tree::new() }),
            Some(found) if found.kind == Kind::Folder => {}
            Some(_) => return Err(PublishError::NotAFolder { path: target.to_owned() }),
        }
        Ok(Self {
            exists: true,
            manifest: read_ours(&target.join(MANIFEST), Manifest::from_bytes)?,
            journal: read_ours(&target.join(JOURNAL), Journal::from_bytes)?,
            sums: read_ours(&target.join(SUMS), |bytes| Ok(bytes.to_vec()))?,
            found: disk::scan(target, &[MANIFEST, SUMS, JOURNAL, STAGE])?,
        })
    }

    /// Whether a site for this audience may be put here.
    pub(super) fn admits(&self, target: &Path, wanted: Audience, change: bool) -> Result<(), PublishError> {
        let ours = self.manifest.is_some() || self.journal.is_some();
        if !ours && (self.sums.is_some() || !self.found.is_empty()) {
            return Err(PublishError::NotOurs { path: target.to_owned() });
        }
        let held = [self.manifest.as_ref(), self.journal.as_ref().map(|journal| &journal.manifest)];
        match held.into_iter().flatten().map(|manifest| manifest.audience).find(|&audience| audience != wanted) {
            Some(holds) if !change => Err(PublishError::OtherAudience { path: target.to_owned(), holds, wanted }),
            _ => Ok(()),
        }
    }

    /// Whether the manifest names this file, and a file stands there.
    pub(super) fn is_ours(&self, path: &SitePath) -> bool {
        self.manifest.as_ref().is_some_and(|manifest| manifest.files.contains_key(path))
            && self.found.get(Path::new(path.as_str())).is_some_and(|found| found.kind == Kind::File)
    }

    /// Our files that the new site has no longer.
    pub(super) fn withdrawn(&self, site: &Site<'_>) -> Vec<SitePath> {
        let ours = self.manifest.iter().flat_map(|manifest| manifest.files.keys());
        ours.filter(|path| !site.pages.contains_key(path) && self.is_ours(path)).cloned().collect()
    }

    /// What is not ours: files that the manifest does not name, links whatever their name, and empty folders
    /// that never held a page.
    pub(super) fn foreign(&self) -> Tree {
        let is_foreign = |path: &Path, found: &Found| match found.kind {
            Kind::File => !site_path(path).is_some_and(|path| self.is_ours(&path)),
            Kind::Folder => first_beneath(&self.found, path).is_none() && !self.names_beneath(path),
            Kind::Link | Kind::Other => true,
        };
        let foreign = self.found.iter().filter(|(path, found)| is_foreign(path, found));
        foreign.map(|(path, found)| (path.clone(), found.clone())).collect()
    }

    fn names_beneath(&self, folder: &Path) -> bool {
        let ours = self.manifest.iter().flat_map(|manifest| manifest.files.keys());
        ours.into_iter().any(|path| Path::new(path.as_str()).starts_with(folder))
    }
}

/// Whether there is room for the site among what is not ours.
pub(super) fn has_room(site: &Site<'_>, foreign: &Tree, target: &Path) -> Result<(), PublishError> {
    for path in site.pages.keys() {
        let path = Path::new(path.as_str());
        let above = path.ancestors().skip(1);
        let in_the_way = foreign
            .get_key_value(path)
            .map(|(path, _)| path.as_path())
            .or_else(|| first_beneath(foreign, path))
            .or_else(|| above.into_iter().find(|at| foreign.get(*at).is_some_and(|found| found.kind != Kind::Folder)));
        if let Some(obstacle) = in_the_way {
            return Err(PublishError::Obstructed { path: target.join(obstacle) });
        }
    }
    Ok(())
}

/// The first path beneath a folder.
fn first_beneath<'a>(tree: &'a Tree, folder: &Path) -> Option<&'a Path> {
    let next = tree.range::<Path, _>((Bound::Excluded(folder), Bound::Unbounded)).next();
    next.map(|(path, _)| path.as_path()).filter(|path| path.starts_with(folder))
}

/// A relative path on disk as a path of the site, if it can be one.
pub(super) fn site_path(path: &Path) -> Option<SitePath> {
    let parts: Option<Vec<&str>> = path.iter().map(|part| part.to_str()).collect();
    SitePath::new(parts?.join("/"))
}

/// Reads a file of ours, if it stands there. A link in its place is not ours.
fn read_ours<T>(path: &Path, parse: impl Fn(&[u8]) -> Result<T, String>) -> Result<Option<T>, PublishError> {
    match disk::look(path)? {
        Some(found) if found.kind == Kind::File => {
            let parsed = parse(&disk::read(path)?);
            parsed.map(Some).map_err(|why| PublishError::Damaged { path: path.to_owned(), why })
        }
        None => Ok(None),
        Some(_) => Err(PublishError::Obstructed { path: path.to_owned() }),
    }
}
