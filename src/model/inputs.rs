//! What discovery hands on: every text of a library in memory, media by path and size.

use crate::diag::Diagnostic;
use crate::text::{FileId, Sources};
use std::collections::BTreeMap;
use std::path::PathBuf;

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
    /// Files under `media/`, by path relative to it.
    pub media: BTreeMap<String, MediaFile>,
    /// Theme files of the library, by path relative to `theme/`.
    pub theme: BTreeMap<String, Vec<u8>>,
    /// What was wrong on the way.
    pub diagnostics: Vec<Diagnostic>,
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

/// A file under `media/`.
#[derive(Debug, Clone)]
pub struct MediaFile {
    /// Where it lies.
    pub path: PathBuf,
    /// Its size in bytes.
    pub size: u64,
}
