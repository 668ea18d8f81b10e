//! How a page was written: the case file as its author wrote it.

use super::{Desk, shown};
use crate::model::corpus::Cleared;
use crate::model::held::Open;
use crate::render::code;
use crate::text::{Span, escape};
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
        let Open { case, markdown, side } = cleared.open();
        let file_of_narrative = case.body.span.file;
        let (here, beside): (Vec<_>, Vec<_>) =
            kept_back(desk, cleared).into_iter().partition(|(span, _)| span.file == file_of_narrative);
        if let Some((path, text)) = cleared.side.as_ref().zip(side) {
            files.push(file(path, &without(&text, beside), room, code::fields));
        }
        files.push(file(&cleared.path, &without(&markdown, here), room, code::case_file));
        Self {
            title: shown(&case.title),
            files,
            straight: desk.href(&desk.places.case(at)),
            ask: desk.places.ask(at).map(|path| desk.href(&path)).unwrap_or_default(),
        }
    }
}

/// What of the files no page shows, and what stands in its place: the author's own notes, and every word about a case
/// that is not in this site.
fn kept_back(desk: Desk<'_>, cleared: &Cleared) -> Vec<(Span, &'static str)> {
    let case = &*cleared.case();
    let elsewhere = |name: &str| desk.places.find(name).is_none();
    let links = case.body.links.iter().filter(|link| link.value.strip_prefix("case:").is_some_and(elsewhere));
    let contrasts = case.contrast.iter().filter(|contrast| elsewhere(&contrast.case.value));
    let comments = case.comments.iter().map(|&span| (span, ""));
    comments.chain(links.map(|link| (link.span, "…"))).chain(contrasts.map(|contrast| (contrast.span, "…"))).collect()
}

/// The text with each place replaced; a line that only held what was taken out goes too.
fn without(text: &str, mut places: Vec<(Span, &'static str)>) -> String {
    places.sort_unstable_by_key(|(span, _)| (span.start, span.end));
    let mut out = String::with_capacity(text.len());
    let mut at = 0;
    for (span, instead) in places {
        let range = span.range();
        // What lies in something already taken out is gone with it.
        let Some(kept) = text.get(at..range.start) else { continue };
        out.push_str(kept);
        at = range.end;
        if instead.is_empty() {
            out.truncate(out.trim_end_matches([' ', '\t']).len());
            if out.is_empty() || out.ends_with('\n') {
                at += text[at..].find('\n').map_or(text.len() - at, |end| end + 1);
            }
        }
        out.push_str(instead);
    }
    out.push_str(text.get(at..).unwrap_or(""));
    out
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::FileId;

    #[test]
    fn what_is_kept_back_leaves_no_trace() {
        let text = "# whole line\na: 1   # at the end\n  # indented\nb: [x, y]\n";
        let span = |part: &str, instead| {
            let at = text.find(part).expect("it is there");
            (Span::new(FileId(0), at, at + part.len()), instead)
        };
        let places = vec![
            span("x", "…"),
            span("# whole line", ""),
            span("# at the end", ""),
            span("# indented", ""),
            span("x, y", "…"),
        ];
        assert_eq!(without(text, places), "a: 1\nb: […, y]\n");
    }
}
