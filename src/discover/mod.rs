//! Discovery: a library folder becomes [`Inputs`], every text in memory.

mod media;
mod rules;

use crate::files::{EntryKind, Files};
use crate::model::inputs::{CaseFile, Inputs, MediaContent, MediaFile};
use crate::model::site::is_reserved_name;
use crate::text::FileId;
use include_dir::{Dir, include_dir};
pub use rules::RULES;
use std::collections::BTreeMap;

/// The built-in vocabulary, in the format a department writes.
static BUILT_IN: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/src/data/vocabulary");

/// The built-in models, in the format a department writes.
static MODELS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/src/data/models");

/// Folders of a library that hold no cases.
const RESERVED: &[&str] = &["media", "vocabulary", "models", "sessions", "theme"];

/// Largest text that is read; a write-up has a few kilobytes.
const LARGEST_TEXT: u64 = 4 * 1024 * 1024;

/// One of the two files of a case: whether it is there, and its text if that can be read.
type Half = Option<Option<FileId>>;

/// What is known of a file under `media/`, by path relative to it.
pub type Known<'k> = dyn Fn(&str) -> Option<MediaContent> + Sync + 'k;

/// Reads a library.
///
/// # Errors
/// If the folder itself cannot be opened. Whatever is wrong inside it is a diagnostic.
pub fn discover(files: &dyn Files) -> Result<Inputs, String> {
    discover_knowing(files, &|_| None)
}

/// Reads a library of which some media were looked at before: `known` gives what the file at a path under `media/` holds,
/// if that file is certain to be the same still.
///
/// # Errors
/// If the folder itself cannot be opened. Whatever is wrong inside it is a diagnostic.
pub fn discover_knowing(files: &dyn Files, known: &Known<'_>) -> Result<Inputs, String> {
    let mut inputs = Inputs::default();
    for file in BUILT_IN.files() {
        let name = file.path().to_string_lossy();
        let id = inputs.sources.add(format!("built-in vocabulary/{name}"), file.contents_utf8().unwrap_or(""));
        inputs.vocabulary.push(id);
    }
    for file in MODELS.files() {
        let name = file.path().to_string_lossy();
        let id = inputs.sources.add(format!("built-in models/{name}"), file.contents_utf8().unwrap_or(""));
        inputs.models.push(id);
    }
    // Markdown and side file of a case by path without ending.
    let mut cases: BTreeMap<String, (Half, Half)> = BTreeMap::new();
    let mut media: Vec<(String, u64)> = Vec::new();
    for entry in files.list()? {
        let path = entry.path.as_str();
        let size = match entry.kind {
            EntryKind::File(size) => size,
            other => {
                inputs.diagnostics.push(match other {
                    EntryKind::BadLink => rules::stray_link::found(path),
                    EntryKind::TooDeep => rules::unreadable_file::deep(path),
                    EntryKind::OddName => rules::unreadable_file::odd_name(path),
                    EntryKind::Unreadable(why) => rules::unreadable_file::found(path, &why),
                    EntryKind::File(_) => continue,
                });
                // It could be a case; the others must not wait for it.
                if !RESERVED.contains(&path.split('/').next().unwrap_or("")) && path != "library.yaml" {
                    inputs.unread.push(path.to_owned());
                }
                continue;
            }
        };
        let (folder, rest) = path.split_once('/').unwrap_or(("", path));
        let stem_and_ending = path.rsplit_once('.');
        match folder {
            "media" => {
                let captions = stem_and_ending.is_some_and(|(_, ending)| is_nearly(ending, &["vtt", "srt"]));
                let content = if captions {
                    text(files, path, size, &mut inputs).map_or(MediaContent::Unread, MediaContent::Text)
                } else {
                    MediaContent::Unread
                };
                if !captions {
                    media.push((rest.to_owned(), size));
                }
                inputs.media.insert(rest.to_owned(), MediaFile { path: files.locate(path), size, content });
            }
            "theme" => match files.read(path) {
                Ok(bytes) => {
                    inputs.theme.insert(rest.to_owned(), bytes);
                }
                Err(why) => inputs.diagnostics.push(rules::unreadable_file::found(path, &why)),
            },
            "vocabulary" if path.ends_with(".yaml") => {
                let id = text(files, path, size, &mut inputs);
                inputs.vocabulary.extend(id);
            }
            "models" if path.ends_with(".yaml") => {
                let id = text(files, path, size, &mut inputs);
                inputs.models.extend(id);
            }
            "sessions" if path.ends_with(".yaml") => {
                let name = rest.trim_end_matches(".yaml");
                if is_name(name) {
                    let id = text(files, path, size, &mut inputs);
                    inputs.sessions.extend(id.map(|id| (name.to_owned(), id)));
                } else {
                    inputs.diagnostics.push(rules::stray_file::session(path));
                }
            }
            "vocabulary" | "models" | "sessions"
                if stem_and_ending.is_some_and(|(_, ending)| is_nearly(ending, &["yaml", "yml"])) =>
            {
                let ending = stem_and_ending.map_or("", |(_, ending)| ending);
                inputs.diagnostics.push(rules::stray_file::ending(path, ending));
            }
            _ if RESERVED.contains(&folder) => {}
            _ if path == "library.yaml" => inputs.library = text(files, path, size, &mut inputs),
            _ => match stem_and_ending {
                Some((_, "md")) if is_note(path) => {}
                Some((stem, "md")) => {
                    let id = text(files, path, size, &mut inputs);
                    cases.entry(stem.to_owned()).or_default().0 = Some(id);
                }
                Some((stem, "yaml")) => {
                    let id = text(files, path, size, &mut inputs);
                    cases.entry(stem.to_owned()).or_default().1 = Some(id);
                }
                Some((_, ending)) if is_nearly(ending, &["md", "markdown", "yaml", "yml"]) => {
                    inputs.diagnostics.push(rules::stray_file::ending(path, ending));
                }
                _ => {}
            },
        }
    }
    media::examine(files, known, &media, &mut inputs.media);
    if inputs.library.is_none() {
        inputs.diagnostics.push(rules::no_library::found());
    }
    for (stem, (markdown, side)) in cases {
        let name = stem.rsplit('/').next().unwrap_or(&stem).to_owned();
        match (markdown, side) {
            // Half a case would be called faulty for what stands in the half that cannot be read.
            (Some(None), _) | (_, Some(None)) => inputs.unread.push(format!("{stem}.md")),
            (Some(Some(markdown)), side) => inputs.cases.push(CaseFile { name, markdown, side: side.flatten() }),
            (None, Some(Some(_))) => inputs.diagnostics.push(rules::stray_file::lone_side(&format!("{stem}.yaml"))),
            (None, None) => {}
        }
    }
    Ok(inputs)
}

/// Whether pages of the site can be named so; no folder within, and none of the endings that the site itself makes.
fn is_name(name: &str) -> bool {
    (1..=40).contains(&name.len())
        && name.bytes().all(|byte| matches!(byte, b'a'..=b'z' | b'0'..=b'9' | b'-'))
        && !name.starts_with('-')
        && !name.ends_with('-')
        && !is_reserved_name(name)
        && name.split('-').next_back().is_none_or(|last| last != "tutor" && last.parse::<u32>().is_err())
}

/// Whether an ending is one of these but for capitals.
fn is_nearly(ending: &str, endings: &[&str]) -> bool {
    endings.iter().any(|known| known.eq_ignore_ascii_case(ending))
}

/// A README at any place of the library is for those who keep it, not a case.
fn is_note(path: &str) -> bool {
    path.rsplit('/').next().is_some_and(|name| name.eq_ignore_ascii_case("readme.md"))
}

/// The text of a file, or a diagnostic that says why it is none.
fn text(files: &dyn Files, path: &str, size: u64, inputs: &mut Inputs) -> Option<FileId> {
    if size > LARGEST_TEXT {
        inputs.diagnostics.push(rules::unreadable_file::large(path, size));
        return None;
    }
    match files.read(path) {
        Ok(bytes) => lone_text(path, bytes, inputs),
        Err(why) => {
            inputs.diagnostics.push(rules::unreadable_file::found(path, &why));
            None
        }
    }
}

/// The text of bytes that were read already, or a diagnostic that says why they are none.
pub fn lone_text(path: &str, bytes: Vec<u8>, inputs: &mut Inputs) -> Option<FileId> {
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        inputs.diagnostics.push(rules::encoding::sixteen_bit(path));
        return None;
    }
    match String::from_utf8(bytes) {
        Ok(mut text) => {
            if text.starts_with('\u{feff}') {
                text.drain(..'\u{feff}'.len_utf8());
            }
            if let Some(at) = text.find('\0') {
                let id = inputs.sources.add(path, text);
                inputs.diagnostics.push(rules::encoding::control(id, at));
                return None;
            }
            Some(inputs.sources.add(path, text))
        }
        Err(error) => {
            let sound = error.utf8_error().valid_up_to();
            let lossy = String::from_utf8_lossy(error.as_bytes()).into_owned();
            let id = inputs.sources.add(path, lossy);
            inputs.diagnostics.push(rules::encoding::not_unicode(id, sound));
            None
        }
    }
}
