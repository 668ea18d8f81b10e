//! What discovery hands on: every text of a library in memory, media by path and size.

use super::digest::Parts;
use super::site::{CopyOf, SmallerOf};
use crate::diag::Diagnostic;
use crate::media::{self, Facts, Refused};
use crate::text::{FileId, Source, Sources, Span, Spanned};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

/// A library as found on disk.
#[derive(Debug, Default)]
pub struct Inputs {
    /// Every text that was read, built-in vocabulary included.
    pub sources: Sources,
    /// `library.yaml`.
    pub library: Option<FileId>,
    /// Cases in order of path.
    pub cases: Vec<CaseFile>,
    /// What lies among the cases and cannot be read: cases by their Markdown, links and folders by their own path.
    pub unread: Vec<String>,
    /// Built-in vocabulary files, then the library's own, each in order of path.
    pub vocabulary: Vec<FileId>,
    /// Built-in model files, then the library's own, each in order of path.
    pub models: Vec<FileId>,
    /// Files under `sessions/`, by name without ending, in order of path.
    pub sessions: Vec<(String, FileId)>,
    /// Files under `media/`, by path relative to it.
    pub media: BTreeMap<String, MediaFile>,
    /// Theme files of the library, by path relative to `theme/`.
    pub theme: BTreeMap<String, Vec<u8>>,
    /// What was wrong on the way.
    pub diagnostics: Vec<Diagnostic>,
}

impl Inputs {
    /// Every case with its texts, in order of path. One of which no text could be read is left out.
    pub fn texts(&self) -> Vec<CaseTexts<'_>> {
        let cases = self.cases.iter().filter_map(|files| {
            let side = files.side.and_then(|side| self.sources.get(side));
            Some(CaseTexts { files, markdown: self.sources.get(files.markdown)?, side })
        });
        cases.collect()
    }

    /// A hash of all that lies under `media/`: names, originals, and the texts of captions. What is known of a picture or film
    /// follows from its original, by the same program.
    pub fn media_hash(&self) -> [u8; 32] {
        let mut parts = Parts::default();
        for (name, file) in &self.media {
            parts.add(name);
            match &file.content {
                MediaContent::Shown(shown) => parts.add(shown.original.as_bytes()),
                MediaContent::Text(text) => parts.add(self.sources.get(*text).map_or("", |source| &source.text)),
                other => parts.add(format!("{} {other:?}", file.size)),
            }
        }
        *parts.hash().as_bytes()
    }
}

/// What stands in one of the library's own files besides cases: `library.yaml`, vocabulary, models, sessions.
#[derive(Debug, Clone)]
pub struct Written {
    /// The file.
    pub file: FileId,
    /// Every text that it writes with escapes.
    pub escaped: Vec<Spanned<String>>,
    /// Where it names literature.
    pub literature: Vec<Span>,
}

/// One case's files.
#[derive(Debug, Clone)]
pub struct CaseFile {
    /// File name without ending.
    pub name: String,
    /// The Markdown.
    pub markdown: FileId,
    /// The fields, where they stand in a file of their own.
    pub side: Option<FileId>,
}

impl CaseFile {
    /// Its files: the Markdown, then the one with the fields.
    pub fn files(&self) -> impl Iterator<Item = FileId> {
        [Some(self.markdown), self.side].into_iter().flatten()
    }
}

/// One case's files and what was read of them.
#[derive(Debug, Clone, Copy)]
pub struct CaseTexts<'i> {
    /// Its files.
    pub files: &'i CaseFile,
    /// The Markdown.
    pub markdown: &'i Source,
    /// The fields, where they stand in a file of their own.
    pub side: Option<&'i Source>,
}

/// A file under `media/`.
#[derive(Debug, Clone)]
pub struct MediaFile {
    /// Where it lies.
    pub path: PathBuf,
    /// Its size in bytes.
    pub size: u64,
    /// What it holds.
    pub content: MediaContent,
}

/// What a file under `media/` holds.
#[derive(Debug, Clone)]
pub enum MediaContent {
    /// Captions, read as text.
    Text(FileId),
    /// Captions that could not be read; discovery said why.
    Unread,
    /// A picture or film.
    Shown(Arc<Shown>),
    /// Something that must first become a picture or film of another kind.
    Refused(Refused),
    /// Something that cannot be read or is damaged, and why.
    Damaged(String),
}

impl MediaFile {
    /// The text of captions.
    pub fn text(&self) -> Option<FileId> {
        match self.content {
            MediaContent::Text(file) => Some(file),
            _ => None,
        }
    }

    /// The picture or film.
    pub fn shown(&self) -> Option<&Arc<Shown>> {
        match &self.content {
            MediaContent::Shown(shown) => Some(shown),
            _ => None,
        }
    }
}

/// A picture or film, as it is and as it will be published.
#[derive(Debug, Clone)]
pub struct Shown {
    /// What was found out about it.
    pub facts: Facts,
    /// BLAKE3 hash of the file as it lies in the library: what somebody attests.
    pub original: blake3::Hash,
    /// The copy that is published.
    pub copy: CopyOf,
}

impl Shown {
    /// The smaller versions that are published besides it: path in the site, width in pixels, how it is made.
    pub fn smaller(&self) -> impl Iterator<Item = (String, SmallerOf)> {
        media::widths(self.facts.form, self.facts.width, self.copy.size).map(|width| {
            let name = blake3::hash(format!("{} {width} {}", self.copy.hash, media::MANNER).as_bytes());
            let path = format!("media/{}-{width}.{}", &name.to_hex()[..16], self.facts.form.ending());
            (path, SmallerOf { of: self.copy.clone(), form: self.facts.form, width })
        })
    }

    /// Its path in the site: its name is the hash of the copy.
    pub fn path(&self) -> String {
        format!("media/{}.{}", &self.copy.hash.to_string()[..16], self.facts.form.ending())
    }
}
