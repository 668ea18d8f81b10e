//! How a page was written: the case file as its author wrote it.

use super::{Desk, shown};
use crate::model::corpus::Cleared;
use crate::render::code;
use crate::text::escape;
use serde::Serialize;

/// Bytes of markup beyond which a file is shown without colours, so that the page stays below 300 KB.
const MOST_MARKUP: usize = 250_000;

/// The files of a case.
#[derive(Debug, Serialize)]
pub(crate) struct SourceView {
    pub(crate) title: String,
    pub(crate) files: Vec<FileView>,
    pub(crate) straight: String,
    pub(crate) ask: String,
}

/// One file.
#[derive(Debug, Serialize)]
pub(crate) struct FileView {
    pub(crate) path: String,
    /// HTML made by the colouring.
    pub(crate) html: String,
    /// Whether the end is missing because the file is very long.
    pub(crate) cut: bool,
}

impl SourceView {
    /// The files of the case at `at` in the corpus.
    pub(crate) fn new(desk: Desk<'_>, cleared: &Cleared, at: usize) -> Self {
        let mut files = Vec::new();
        let room = MOST_MARKUP / if cleared.side.is_some() { 2 } else { 1 };
        if let Some((path, text)) = &cleared.side {
            files.push(file(path, text, room, code::fields));
        }
        files.push(file(&cleared.path, &cleared.markdown, room, code::case_file));
        Self {
            title: shown(&cleared.case.title),
            files,
            straight: desk.href(&desk.places.case(at)),
            ask: desk.places.ask(at).map(|path| desk.href(&path)).unwrap_or_default(),
        }
    }
}

fn file(path: &str, text: &str, room: usize, colour: impl Fn(&str) -> String) -> FileView {
    // Colouring at most doubles a text; one that could not fit is not worth the attempt.
    let html = if text.len() < room { colour(text) } else { escape(text).into_owned() };
    if html.len() <= room {
        return FileView { path: path.to_owned(), html, cut: false };
    }
    let plain = escape(text);
    if plain.len() <= room {
        return FileView { path: path.to_owned(), html: plain.into_owned(), cut: false };
    }
    // Escaping makes one byte into six at most, so a sixth of the room always fits.
    let mut end = room / 6;
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    FileView { path: path.to_owned(), html: escape(&text[..end]).into_owned(), cut: true }
}
