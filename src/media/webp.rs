//! WebP: a RIFF file of chunks.

use super::exif;
use super::icc;
use super::recipe::Recipe;
use super::window::{Fault, Window, little};
use super::{Examined, Facts, Form};
use std::ops::Range;

/// Flags of the extended header: profile, alpha, Exif, XMP, animation. Source: RFC 9649, section 2.7.
const EXIF: u8 = 0x08;
const XMP: u8 = 0x04;

pub(super) fn walk(window: &mut Window<'_>) -> Result<Examined, Fault> {
    let mut facts = Facts::new(Form::WebP);
    let mut body = Recipe::default();
    // The extended header and its place among the pieces are only known at the end, so it is made then.
    let mut extended: Option<Vec<u8>> = None;
    let mut orientation = 1;
    let riff = little(&window.bytes(4, 4)?, 0, 4) + 8;
    if riff > window.size {
        return Err(Fault::Damaged("a part of it reaches beyond its end"));
    }
    if riff < window.size {
        facts.traces.insert("data behind the picture");
    }
    let mut at = 12;
    while at + 8 <= riff {
        let head = window.bytes(at, 8)?;
        let (kind, len) = (&head[..4], little(&head, 4, 4));
        let end = (at + 8 + len + len % 2).min(riff);
        if at + 8 + len > riff {
            return Err(Fault::Damaged("a part of it reaches beyond its end"));
        }
        match kind {
            b"VP8X" => {
                let header = window.bytes(at + 8, 10.min(len))?;
                facts.width = u32::try_from(little(&header, 4, 3) + 1).unwrap_or(0);
                facts.height = u32::try_from(little(&header, 7, 3) + 1).unwrap_or(0);
                extended = Some(header);
            }
            b"EXIF" => {
                let bytes = window.bytes(at + 8, len)?;
                let read = exif::read(bytes.strip_prefix(b"Exif\0\0").unwrap_or(&bytes));
                orientation = read.orientation;
                facts.traces.extend(read.traces);
            }
            b"XMP " => {
                facts.traces.insert("XMP");
            }
            b"ICCP" => {
                let profile = window.bytes(at + 8, len)?;
                let Some(words) = icc::words(&profile) else { return Ok(Examined::Refused(icc::UNREADABLE)) };
                facts.words.extend(words);
                body.keep(at..end);
            }
            b"VP8 " | b"VP8L" if extended.is_none() => {
                let data = window.up_to(at + 8, 10)?;
                (facts.width, facts.height) = measures(kind, &data);
                body.keep(at..end);
            }
            b"VP8 " | b"VP8L" | b"ALPH" => body.keep(at..end),
            // A colour and how often: six bytes.
            b"ANIM" if len == 6 => body.keep(at..end),
            b"ANMF" => frame(window, at + 8..at + 8 + len, &mut facts, &mut body)?,
            _ => {
                facts.traces.insert("data of a program");
            }
        }
        at = end;
    }
    let mut middle = Recipe::default();
    if let Some(mut header) = extended {
        header.resize(10, 0);
        header[0] &= !(EXIF | XMP);
        if orientation != 1 {
            header[0] |= EXIF;
        }
        middle.put([&b"VP8X"[..], &10_u32.to_le_bytes(), &header].concat());
    }
    middle.append(body);
    if orientation != 1 {
        let tiff = exif::orientation_only(orientation);
        middle.put([&b"EXIF"[..], &u32::try_from(tiff.len()).unwrap_or(0).to_le_bytes(), &tiff].concat());
        if exif::is_turned(orientation) {
            std::mem::swap(&mut facts.width, &mut facts.height);
        }
    }
    let mut recipe = Recipe::default();
    let size = u32::try_from(middle.size() + 4).map_err(|_| Fault::Damaged("it is too large"))?;
    recipe.put([&b"RIFF"[..], &size.to_le_bytes(), b"WEBP"].concat());
    recipe.append(middle);
    Ok(Examined::Sound(facts, recipe))
}

/// A frame of a moving picture: where and how long it stands, and its own chunks, of which only the picture stays.
///
/// Source: RFC 9649, section 2.7.1.1.
fn frame(window: &mut Window<'_>, inside: Range<u64>, facts: &mut Facts, body: &mut Recipe) -> Result<(), Fault> {
    const HEAD: u64 = 16;
    const BROKEN: Fault = Fault::Damaged("a part of it reaches beyond its end");
    let mut at = inside.start + HEAD;
    if at > inside.end {
        return Err(BROKEN);
    }
    let mut kept = Recipe::default();
    kept.keep(inside.start..at);
    while at + 8 <= inside.end {
        let head = window.bytes(at, 8)?;
        let len = little(&head, 4, 4);
        let end = at + 8 + len + len % 2;
        if end > inside.end {
            return Err(BROKEN);
        }
        if matches!(&head[..4], b"VP8 " | b"VP8L" | b"ALPH") {
            kept.keep(at..end);
        } else {
            facts.traces.insert("data of a program");
        }
        at = end;
    }
    let size = u32::try_from(kept.size()).map_err(|_| Fault::Damaged("it is too large"))?;
    body.put([&b"ANMF"[..], &size.to_le_bytes()].concat());
    body.append(kept);
    Ok(())
}

/// Width and height from the first bytes of the picture. Sources: RFC 6386, section 9.1; RFC 9649, section 3.4.
fn measures(kind: &[u8], data: &[u8]) -> (u32, u32) {
    let number = |at, len| u32::try_from(little(data, at, len)).unwrap_or(0);
    if kind == b"VP8 " {
        (number(6, 2) & 0x3fff, number(8, 2) & 0x3fff)
    } else {
        let bits = number(1, 4);
        ((bits & 0x3fff) + 1, (bits >> 14 & 0x3fff) + 1)
    }
}
