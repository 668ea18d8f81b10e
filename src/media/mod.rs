//! Pictures and films: what they are, what they hold besides what can be seen and heard, and how they are copied without it.
//!
//! Every container is walked with seeks, a few kilobytes at a time; a film is never in memory. The result of a walk is a
//! [`Recipe`]: which bytes of the file go into the copy, which become zeros, and the few that are put in. What carries pixels
//! and samples is only ever kept as it is, so the copy cannot differ from the original in what it shows.
//!
//! Knows nothing of cases, and of files only that one can read and seek in them.

mod exif;
mod icc;
mod jpeg;
mod mp4;
mod mp4_fragments;
mod mp4_leaves;
mod mp4_played;
mod mp4_samples;
mod png;
mod recipe;
mod smaller;
mod svg;
mod svg_style;
mod webm;
mod webm_list;
mod webp;
mod webvtt;
mod window;

pub use recipe::{Piece, Recipe, copy};
pub use smaller::{MANNER, smaller, widths};
pub use webvtt::{Cue, Cues, blocks as cue_blocks, clock, plain as cue_words, write as write_webvtt};
pub use window::{Fault, Source};

use std::collections::BTreeSet;
use window::Window;

/// A container that can be published.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Form {
    /// JPEG. Source: ITU-T T.81; JFIF 1.02; Exif 2.32.
    Jpeg,
    /// PNG. Source: W3C, PNG (third edition).
    Png,
    /// WebP. Source: RFC 9649.
    WebP,
    /// SVG. Source: W3C, SVG 2.
    Svg,
    /// MP4. Source: ISO/IEC 14496-12 and 14496-14.
    Mp4,
    /// WebM. Source: RFC 9559 (Matroska), RFC 8794 (EBML).
    WebM,
}

impl Form {
    /// The ending of a published file.
    pub fn ending(self) -> &'static str {
        match self {
            Self::Jpeg => "jpg",
            Self::Png => "png",
            Self::WebP => "webp",
            Self::Svg => "svg",
            Self::Mp4 => "mp4",
            Self::WebM => "webm",
        }
    }

    /// Whether it moves.
    pub fn is_film(self) -> bool {
        matches!(self, Self::Mp4 | Self::WebM)
    }
}

/// Something that a file holds besides what can be seen and heard, in words.
pub type Trace = &'static str;

/// What a walk found out.
#[derive(Debug, Clone, PartialEq)]
pub struct Facts {
    /// Which container.
    pub form: Form,
    /// Width in pixels as shown, after turning; 0 if the file does not say.
    pub width: u32,
    /// Height in pixels as shown; 0 if the file does not say.
    pub height: u32,
    /// What is left out of the copy.
    pub traces: BTreeSet<Trace>,
    /// Words that stay in the copy: of a colour profile, of a drawing.
    pub words: Vec<String>,
    /// What there is to say of a film.
    pub film: Option<Film>,
}

/// What there is to say of a film.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Film {
    /// Length in seconds; 0 if the file does not say.
    pub seconds: f64,
    /// The codes of its codecs as the container spells them: `avc1`, `mp4a`, `V_VP9`.
    pub codecs: Vec<String>,
    /// Whether the index stands before the pictures, so that a browser can begin before the whole file is there.
    pub index_first: bool,
    /// Whether there is sound.
    pub sound: bool,
}

impl Facts {
    fn new(form: Form) -> Self {
        Self { form, width: 0, height: 0, traces: BTreeSet::new(), words: Vec::new(), film: None }
    }
}

/// A file that is not published in this form.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Refused {
    /// What it is, with an article.
    pub what: &'static str,
    /// What to do, as a sentence without a full stop; `IN` and `OUT` stand for the file's name.
    pub way: &'static str,
}

/// How a walk ended.
#[derive(Debug, Clone, PartialEq)]
pub enum Examined {
    /// It can be published.
    Sound(Facts, Recipe),
    /// It must first become something else.
    Refused(Refused),
}

/// Walks a file of `size` bytes.
///
/// # Errors
/// The file cannot be read, or is damaged: a part of it reaches beyond its end, or stands where it cannot.
pub fn examine(source: &mut dyn Source, size: u64) -> Result<Examined, Fault> {
    let mut window = Window::new(source, size);
    let head = window.head(1024)?;
    let form = match form(&head) {
        Ok(form) => form,
        Err(refused) => return Ok(Examined::Refused(refused)),
    };
    match form {
        Form::Jpeg => jpeg::walk(&mut window),
        Form::Png => png::walk(&mut window),
        Form::WebP => webp::walk(&mut window),
        Form::Svg => svg::walk(&mut window),
        Form::Mp4 => mp4::walk(&mut window),
        Form::WebM => webm::walk(&mut window),
    }
}

const TO_PNG: &str = "save it as PNG or JPEG with any picture editor";
const TO_MP4: &str = "convert it: ffmpeg -i IN -vf yadif=deint=interlaced -c:v libx264 -pix_fmt yuv420p -c:a aac -movflags +faststart OUT.mp4";
const REWRAP: &str = "put it into another container without loss: ffmpeg -i IN -map 0:v:0 -map 0:a:0? -c copy -movflags +faststart OUT.mp4";

/// The form by what the file begins with, whatever its name says.
fn form(head: &[u8]) -> Result<Form, Refused> {
    let refuse = |what, way| Err(Refused { what, way });
    let at = |from: usize, what: &[u8]| head.get(from..from + what.len()) == Some(what);
    if at(0, &[0xff, 0xd8, 0xff]) {
        return Ok(Form::Jpeg);
    }
    if at(0, b"\x89PNG\r\n\x1a\n") {
        return Ok(Form::Png);
    }
    if at(0, b"RIFF") && at(8, b"WEBP") {
        return Ok(Form::WebP);
    }
    if at(4, b"ftyp") {
        return match head.get(8..12) {
            Some(b"heic" | b"heix" | b"hevc" | b"hevx" | b"mif1" | b"msf1") => refuse("a HEIC picture", TO_PNG),
            Some(b"avif" | b"avis") => refuse("an AVIF picture", TO_PNG),
            Some(b"qt  ") => refuse("a QuickTime film", REWRAP),
            _ => Ok(Form::Mp4),
        };
    }
    if at(4, b"moov") || at(4, b"mdat") || at(4, b"wide") {
        return refuse("a QuickTime film", REWRAP);
    }
    if at(0, &[0x1a, 0x45, 0xdf, 0xa3]) {
        let webm = head.windows(4).take(64).any(|four| four == b"webm");
        return if webm { Ok(Form::WebM) } else { refuse("a Matroska film", REWRAP) };
    }
    let text = String::from_utf8_lossy(head);
    let text = text.trim_start_matches(['\u{feff}', ' ', '\n', '\r', '\t']);
    if text.starts_with("<svg") || text.starts_with("<?xml") && text.contains("<svg") || text.starts_with("<!--") {
        return Ok(Form::Svg);
    }
    match head {
        _ if at(128, b"DICM") => {
            refuse("a DICOM file", "export a PNG from the viewer; burned-in words must be cut off there")
        }
        [b'I', b'I', 42, 0, ..] | [b'M', b'M', 0, 42, ..] => refuse("a TIFF or raw picture", TO_PNG),
        [b'G', b'I', b'F', b'8', ..] => refuse(
            "a GIF",
            "save a still as PNG; of moving pictures make a film: ffmpeg -i IN -pix_fmt yuv420p -movflags +faststart OUT.mp4",
        ),
        [b'B', b'M', ..] => refuse("a bitmap", TO_PNG),
        _ if at(0, b"RIFF") && at(8, b"AVI ") => refuse("an AVI film", TO_MP4),
        [0x30, 0x26, 0xb2, 0x75, ..] => refuse("a Windows Media film", TO_MP4),
        [0, 0, 1, 0xba | 0xb3, ..] => refuse("an MPEG film", TO_MP4),
        [0x47, ..] if at(188, &[0x47]) => refuse("an MPEG transport stream", TO_MP4),
        [b'%', b'P', b'D', b'F', ..] => refuse("a PDF", "export the page as PNG"),
        [b'P', b'K', 3, 4, ..] => refuse("an office document or archive", "export the picture from it as PNG"),
        [b'O', b'g', b'g', b'S', ..] => refuse("an Ogg file", TO_MP4),
        _ => refuse(
            "of a kind that no browser shows",
            "use JPEG, PNG, WebP or SVG for pictures and MP4 or WebM for films",
        ),
    }
}
