//! What can stop a publication, in words that name the path and what was being done to it.

use crate::model::site::{Audience, PageError, SitePath};
use std::fmt;
use std::io;
use std::path::PathBuf;

/// Why nothing, or not everything, was published.
///
/// The old site stands as it did, with two exceptions, both after a failed disk operation. Where the folders had
/// changed places already, the new site stands, and what is left of the old one beside it goes with the next run.
/// Where a folder is changed file by file and its journal was written already, the site is part old and part new
/// until the next run, which takes up where this one stopped.
#[derive(Debug)]
pub enum PublishError {
    /// A disk operation failed.
    Disk {
        /// What was being done, so that "could not VERB `path`" reads well.
        verb: &'static str,
        /// To what.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// A page could not be made: a fault of the theme.
    Page(PageError),
    /// The making of a page broke off, as when the temporary file of packed cases cannot be read.
    BrokeOff {
        /// The page.
        page: SitePath,
        /// What was said.
        why: String,
    },
    /// Something other than a folder stands at the target.
    NotAFolder {
        /// The target.
        path: PathBuf,
    },
    /// The target holds files but no manifest: it is somebody else's.
    NotOurs {
        /// The target.
        path: PathBuf,
    },
    /// The target holds a site for another audience, and the change was not asked for.
    OtherAudience {
        /// The target.
        path: PathBuf,
        /// For whom its site is.
        holds: Audience,
        /// For whom the new one would be.
        wanted: Audience,
    },
    /// A manifest or journal of ours cannot be trusted.
    Damaged {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        why: String,
    },
    /// Something that is not ours stands where a page, or the stage, belongs.
    Obstructed {
        /// What stands in the way, or where.
        path: PathBuf,
    },
    /// A media file changed between being read and being copied.
    Unsteady {
        /// The file in the library.
        path: PathBuf,
    },
    /// Another run is publishing beside the target and did not end while this one waited.
    Busy {
        /// The folder that holds the target.
        path: PathBuf,
    },
}

impl fmt::Display for PublishError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Disk { verb, path, source } => write!(out, "could not {verb} `{}`: {source}", path.display()),
            Self::Page(error) => {
                write!(
                    out,
                    "could not make the page `{}`: {} (template `{}`)",
                    error.page, error.message, error.template
                )
            }
            Self::BrokeOff { page, why } => write!(out, "could not make the page `{page}`: {why}"),
            Self::NotAFolder { path } => write!(out, "`{}` is not a folder", path.display()),
            Self::NotOurs { path } => write!(
                out,
                "`{}` is not empty and holds no site made by casewright; choose a new or an empty folder",
                path.display()
            ),
            Self::OtherAudience { path, holds, wanted } => write!(
                out,
                "`{}` holds a site for the audience `{}`; a site for `{}` replaces it only if --change-audience asks for that",
                path.display(),
                holds.word(),
                wanted.word()
            ),
            Self::Damaged { path, why } => {
                write!(out, "`{}` cannot be trusted: {why}; restore it, or publish into a new folder", path.display())
            }
            Self::Obstructed { path } => write!(
                out,
                "`{}` was not published by casewright and stands where the site needs room; move it away first",
                path.display()
            ),
            Self::Unsteady { path } => {
                write!(out, "`{}` changed while the site was being made; run again", path.display())
            }
            Self::Busy { path } => {
                write!(out, "another run is publishing into `{}`; run again when it has ended", path.display())
            }
        }
    }
}

impl std::error::Error for PublishError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Disk { source, .. } => Some(source),
            _ => None,
        }
    }
}
