//! PNG: a row of chunks, of which the picture needs a few.

use super::exif;
use super::icc;
use super::recipe::Recipe;
use super::window::{Fault, Window, big};
use super::{Examined, Facts, Form};
use std::io::Read;

/// Chunks that make the picture, its colours, its size on paper and its movement.
const NEEDED: &[&[u8; 4]] = &[
    b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"cICP", b"mDCV", b"cLLI",
    b"sBIT", b"bKGD", b"pHYs", b"acTL", b"fcTL", b"fdAT",
];

pub(super) fn walk(window: &mut Window<'_>) -> Result<Examined, Fault> {
    let mut facts = Facts::new(Form::Png);
    let mut recipe = Recipe::default();
    recipe.keep(0..8);
    let mut at = 8;
    let mut orientation = 1;
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
                let body = window.bytes(at + 8, 8)?;
                facts.width = u32::try_from(big(&body, 0, 4)).unwrap_or(0);
                facts.height = u32::try_from(big(&body, 4, 4)).unwrap_or(0);
            }
            b"IDAT" if split.is_none() => split = Some(at),
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
        if NEEDED.iter().any(|needed| &needed[..] == kind) {
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
    fn the_check_of_the_end_is_the_one_every_png_ends_with() {
        // The last twelve bytes of every PNG file.
        assert_eq!(chunk(b"IEND", &[]), [0, 0, 0, 0, b'I', b'E', b'N', b'D', 0xae, 0x42, 0x60, 0x82]);
    }
}
