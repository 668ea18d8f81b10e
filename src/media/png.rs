//! PNG: a row of chunks, of which the picture needs a few.

use super::exif;
use super::icc;
use super::recipe::Recipe;
use super::window::{Fault, Window, big};
use super::{Examined, Facts, Form};
use flate2::{Decompress, FlushDecompress, Status};
use std::io::Read;
use std::ops::Range;

/// How much is unpacked at once.
const PIECE: usize = 1 << 16;

/// Whether a chunk makes the picture, its colours, its size on paper or its movement, and is as long as such a one is.
///
/// `colour` is the kind of the picture's colours. Source: PNG (third edition), chapter 11, table 11.1 for the kinds.
fn is_needed(kind: &[u8], len: u64, colour: u8) -> bool {
    let (grey, palette, alpha) = (colour & 2 == 0, colour == 3, colour & 4 != 0);
    match kind {
        b"IDAT" | b"iCCP" => true,
        b"fdAT" => len >= 4,
        b"PLTE" => palette && len <= 768 && len.is_multiple_of(3),
        b"tRNS" if palette => len <= 256,
        b"tRNS" => len == if grey { 2 } else { 6 },
        b"bKGD" if palette => len == 1,
        b"bKGD" => len == if grey { 2 } else { 6 },
        b"sBIT" => len == if grey { 1 } else { 3 } + u64::from(alpha),
        b"IEND" => len == 0,
        b"gAMA" | b"cICP" => len == 4,
        b"cHRM" => len == 32,
        b"sRGB" => len == 1,
        b"mDCV" => len == 24,
        b"cLLI" | b"acTL" => len == 8,
        b"pHYs" => len == 9,
        b"fcTL" => len == 26,
        b"IHDR" => len == 13,
        _ => false,
    }
}

pub(super) fn walk(window: &mut Window<'_>) -> Result<Examined, Fault> {
    let mut facts = Facts::new(Form::Png);
    let mut recipe = Recipe::default();
    recipe.keep(0..8);
    let mut at = 8;
    let (mut orientation, mut colour) = (1, 0);
    let mut pixels = Pixels::default();
    // Where the orientation goes: before the first of the picture's data.
    let mut split = None;
    loop {
        let head = window.bytes(at, 8)?;
        let (len, kind) = (big(&head, 0, 4), &head[4..8]);
        let end = at + 12 + len;
        if end > window.size {
            return Err(Fault::Damaged("a part of it reaches beyond its end"));
        }
        if at == 8 && kind != b"IHDR" {
            return Err(Fault::Damaged("it does not begin with its measures"));
        }
        match kind {
            b"IHDR" => {
                let body = window.bytes(at + 8, len.min(13))?;
                colour = body.get(9).copied().unwrap_or(0);
                facts.width = u32::try_from(big(&body, 0, 4)).unwrap_or(0);
                facts.height = u32::try_from(big(&body, 4, 4)).unwrap_or(0);
            }
            b"IDAT" => {
                split = split.or(Some(at));
                pixels.read(window, at + 8..at + 8 + len)?;
            }
            // A frame of a moving picture begins.
            b"fcTL" => pixels = Pixels::default(),
            b"fdAT" if len >= 4 => pixels.read(window, at + 12..at + 8 + len)?,
            b"iCCP" => {
                let body = window.bytes(at + 8, len)?;
                let Some(words) = profile_words(&body) else { return Ok(Examined::Refused(icc::UNREADABLE)) };
                facts.words.extend(words);
            }
            b"eXIf" => {
                let read = exif::read(&window.bytes(at + 8, len)?);
                orientation = read.orientation;
                facts.traces.extend(read.traces);
            }
            b"tEXt" | b"zTXt" | b"iTXt" => {
                facts.traces.insert("text about the picture");
            }
            b"tIME" => {
                facts.traces.insert("the time it was taken");
            }
            _ => {}
        }
        if matches!(kind, b"IHDR" | b"IEND") && !is_needed(kind, len, colour) {
            return Err(Fault::Damaged("a part of it is longer or shorter than what it holds"));
        }
        if is_needed(kind, len, colour) {
            recipe.keep(at..end);
        } else if !matches!(kind, b"eXIf" | b"tEXt" | b"zTXt" | b"iTXt" | b"tIME") {
            facts.traces.insert("data of a program");
        }
        at = end;
        if kind == b"IEND" {
            break;
        }
    }
    if at < window.size {
        facts.traces.insert("data behind the picture");
    }
    if orientation != 1 {
        recipe.insert(split.unwrap_or(8 + 25), chunk(b"eXIf", &exif::orientation_only(orientation)));
        if exif::is_turned(orientation) {
            std::mem::swap(&mut facts.width, &mut facts.height);
        }
    }
    Ok(Examined::Sound(facts, recipe))
}

/// The packed pixels of a picture or a frame, as far as they were read: unpacked only to see where they end.
struct Pixels {
    unpacking: Decompress,
    ended: bool,
    room: Vec<u8>,
}

impl Default for Pixels {
    fn default() -> Self {
        Self { unpacking: Decompress::new(true), ended: false, room: vec![0; PIECE] }
    }
}

impl Pixels {
    /// Reads on; nothing may lie behind the end.
    fn read(&mut self, window: &mut Window<'_>, range: Range<u64>) -> Result<(), Fault> {
        const BROKEN: Fault = Fault::Damaged("its pixels cannot be unpacked");
        let mut at = range.start;
        while at < range.end {
            let piece = window.bytes(at, (range.end - at).min(PIECE as u64))?;
            let mut rest = &piece[..];
            while !rest.is_empty() {
                if self.ended {
                    return Err(Fault::Damaged("there is something behind its pixels"));
                }
                let before = (self.unpacking.total_in(), self.unpacking.total_out());
                let told =
                    self.unpacking.decompress(rest, &mut self.room, FlushDecompress::None).map_err(|_| BROKEN)?;
                self.ended = told == Status::StreamEnd;
                let used = usize::try_from(self.unpacking.total_in() - before.0).map_err(|_| BROKEN)?;
                if !self.ended && before == (self.unpacking.total_in(), self.unpacking.total_out()) {
                    return Err(BROKEN);
                }
                rest = rest.get(used..).unwrap_or(&[]);
            }
            at += piece.len() as u64;
        }
        Ok(())
    }
}

/// The words of a profile: its name, and those within, which are compressed. None if they cannot be read.
fn profile_words(body: &[u8]) -> Option<Vec<String>> {
    // A name of at most 79 letters of Latin-1, and the one way of packing. Source: PNG (third edition), 11.3.2.3.
    let end = body.iter().take(80).position(|byte| *byte == 0)?;
    let name = body[..end].iter().map(|byte| char::from(*byte)).collect();
    let packed = body.get(end + 1..)?.strip_prefix(&[0])?;
    let mut unpacking = flate2::bufread::ZlibDecoder::new(packed).take(icc::LARGEST + 1);
    let mut profile = Vec::new();
    unpacking.read_to_end(&mut profile).ok()?;
    // Nothing may lie behind it.
    let whole = unpacking.get_ref().total_in() == packed.len() as u64 && profile.len() as u64 <= icc::LARGEST;
    let mut words = icc::words(&profile).filter(|_| whole)?;
    words.push(name);
    Some(words)
}

fn chunk(kind: &[u8; 4], body: &[u8]) -> Vec<u8> {
    let mut chunk = u32::try_from(body.len()).unwrap_or(0).to_be_bytes().to_vec();
    chunk.extend(kind);
    chunk.extend(body);
    chunk.extend(check(&chunk[4..]).to_be_bytes());
    chunk
}

/// CRC-32. Source: PNG (third edition), annex D.
fn check(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| sum >> 1 ^ if sum & 1 == 1 { 0xedb8_8320 } else { 0 })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chunk_is_as_long_as_what_it_holds() {
        for (kind, len, colour) in [
            (b"gAMA", 4, 0),
            (b"pHYs", 9, 2),
            (b"sBIT", 1, 0),
            (b"sBIT", 3, 3),
            (b"sBIT", 2, 4),
            (b"sBIT", 4, 6),
            (b"tRNS", 2, 0),
            (b"tRNS", 6, 2),
            (b"bKGD", 1, 3),
            (b"IEND", 0, 0),
        ] {
            assert!(is_needed(kind, len, colour), "{}", String::from_utf8_lossy(kind));
            assert!(!is_needed(kind, len + 11, colour), "{}", String::from_utf8_lossy(kind));
        }
        // A palette that a picture of true colours does not need could be anything.
        assert!(is_needed(b"PLTE", 768, 3) && !is_needed(b"PLTE", 768, 2));
    }

    #[test]
    fn the_check_of_the_end_is_the_one_every_png_ends_with() {
        // The last twelve bytes of every PNG file.
        assert_eq!(chunk(b"IEND", &[]), [0, 0, 0, 0, b'I', b'E', b'N', b'D', 0xae, 0x42, 0x60, 0x82]);
    }
}
