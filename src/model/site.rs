//! The site: an ordered map from path to page, complete before anything is written.

use super::digest::Digest;
use crate::media::{Form, Recipe};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fmt;
use std::path::PathBuf;
use std::sync::Arc;

/// Who may read a case, and for whom a site is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub enum Audience {
    /// Readers inside the department.
    #[default]
    Department,
    /// Anybody.
    Public,
}

impl Audience {
    /// The word used in files and options.
    pub fn word(self) -> &'static str {
        match self {
            Self::Department => "department",
            Self::Public => "public",
        }
    }

    /// The audience with this word.
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Department, Self::Public].into_iter().find(|audience| audience.word() == word)
    }
}

/// A path inside a site, which costs nothing to copy: relative, `/` between parts, each part lower-case ASCII letters, digits, `-`, `.` or `_`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SitePath(Arc<str>);

impl SitePath {
    /// Checks and wraps a path. `None` if a file share or an intranet server could refuse it: an empty part,
    /// a part over 60 bytes, a leading dot, a trailing dot, upper case, or a name that Windows reserves.
    pub fn new(path: impl AsRef<str>) -> Option<Self> {
        let path = path.as_ref();
        let sound = |part: &str| {
            (1..=60).contains(&part.len())
                && !part.starts_with('.')
                && !part.ends_with('.')
                && part.bytes().all(|byte| matches!(byte, b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_'))
                && !is_reserved_name(part)
        };
        path.split('/').all(sound).then(|| Self(path.into()))
    }

    /// The path as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// `../` as often as needed to reach the site's root from this page; empty at the root.
    pub fn to_root(&self) -> String {
        "../".repeat(self.0.matches('/').count())
    }
}

impl fmt::Display for SitePath {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.0)
    }
}

/// Whether Windows reserves this file name, with or without an extension, in any case.
///
/// Source: Microsoft, "Naming Files, Paths, and Namespaces" (CON, PRN, AUX, NUL, COM1–COM9, LPT1–LPT9).
pub fn is_reserved_name(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or("").to_ascii_lowercase();
    let numbered = |prefix: &str| {
        stem.strip_prefix(prefix).is_some_and(|rest| rest.len() == 1 && matches!(rest.as_bytes()[0], b'1'..=b'9'))
    };
    matches!(stem.as_str(), "con" | "prn" | "aux" | "nul") || numbered("com") || numbered("lpt")
}

/// Why a page could not be made: always a fault of a theme template.
#[derive(Debug, Clone)]
pub struct PageError {
    /// The page that was being made.
    pub page: String,
    /// The template at fault and the place in it, if known.
    pub template: String,
    /// Line and column in the template, each from 1.
    pub place: Option<(usize, usize)>,
    /// What is wrong.
    pub message: String,
}

impl PageError {
    /// The error for people: place first, then what is wrong.
    pub fn words(&self) -> String {
        let place = self.place.map_or_else(String::new, |(line, column)| format!(", line {line}, column {column}"));
        format!("theme/{}{place}\n  {}\n", self.template, self.message)
    }
}

/// A pure function that makes the bytes of a page on demand.
pub type Maker<'a> = Box<dyn Fn() -> Result<Vec<u8>, PageError> + Send + Sync + 'a>;

/// What stands at a path.
pub enum Page<'a> {
    /// Bytes that are ready.
    Ready(Vec<u8>),
    /// Made when somebody wants it; the same bytes each time.
    Made(Maker<'a>),
    /// A file of the library, copied without what does not belong to its picture and sound.
    Copied(Box<CopyOf>),
    /// A smaller version of a picture of the library.
    Smaller(Box<SmallerOf>),
}

/// A copy of a file of the library, made piece by piece and never whole in memory.
#[derive(Debug, Clone)]
pub struct CopyOf {
    /// Where the original lies.
    pub from: PathBuf,
    /// Which pieces of it make the copy.
    pub recipe: Arc<Recipe>,
    /// The size of the copy in bytes.
    pub size: u64,
    /// Hash of the copy.
    pub hash: Digest,
}

/// A smaller version of a picture, made from the copy that is published. Its name follows from the copy, the width and the
/// way it is made, so a file of that name needs not be made again.
#[derive(Debug, Clone)]
pub struct SmallerOf {
    /// The copy it is made from.
    pub of: CopyOf,
    /// What the picture is, and the version too.
    pub form: Form,
    /// Its width in pixels.
    pub width: u32,
}

impl fmt::Debug for Page<'_> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Ready(bytes) => write!(out, "Ready({} bytes)", bytes.len()),
            Self::Made(_) => out.write_str("Made"),
            Self::Smaller(it) => write!(out, "Smaller({}, {} px)", it.of.from.display(), it.width),
            Self::Copied(copy) => write!(out, "Copied({}, {} bytes)", copy.from.display(), copy.size),
        }
    }
}

/// In which turn a page is written where a folder cannot be exchanged whole: what others lean on comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Turn {
    /// Files whose name holds their hash: styles, scripts, media.
    Hashed,
    /// Pages.
    Page,
    /// Files with a fixed name that point at hashed ones.
    Pointer,
}

/// A hash of everything that a page leans on: while it is the same, so is the page.
pub type Leaning = [u8; 32];

/// Computes what a page leans on, which takes far less than making it.
pub struct Leans<'a>(pub Box<dyn Fn() -> Leaning + Send + Sync + 'a>);

impl fmt::Debug for Leans<'_> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("Leans")
    }
}

/// A whole site, ready to publish or to serve.
#[derive(Debug, Default)]
pub struct Site<'a> {
    /// For whom it is.
    pub audience: Audience,
    /// Path → turn and page.
    pub pages: BTreeMap<SitePath, (Turn, Page<'a>)>,
    /// What pages that are made lean on, where that can be told without making them.
    pub leans: BTreeMap<SitePath, Leans<'a>>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_fit_for_shares_and_servers() {
        for good in ["index.html", "cases/two-tablets-ask.html", "assets/style-0a1b.css", "concepts/c3f8.html"] {
            assert!(SitePath::new(good).is_some(), "{good}");
        }
        for bad in
            ["", "/index.html", "a//b", "Upper.html", "con.html", "cases/aux", "lpt1.txt", "a.", ".hidden", "a b", "ä"]
        {
            assert!(SitePath::new(bad).is_none(), "{bad}");
        }
        assert!(SitePath::new("com0.html").is_some() && SitePath::new("lpt10.html").is_some());
        assert_eq!(SitePath::new("cases/a.html").map(|path| path.to_root()), Some("../".to_owned()));
    }
}
