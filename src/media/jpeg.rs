//! JPEG: segments before the picture, the picture, and whatever somebody hung on behind it.

use super::exif;
use super::icc;
use super::recipe::Recipe;
use super::window::{Fault, Window, big};
use super::{Examined, Facts, Form};

/// How much of the picture's data is looked through at once for the next marker.
const CHUNK: u64 = 1 << 16;

pub(super) fn walk(window: &mut Window<'_>) -> Result<Examined, Fault> {
    let mut facts = Facts::new(Form::Jpeg);
    // What follows the first two bytes; they and the orientation come before it.
    let mut rest = Recipe::default();
    let mut orientation = 1;
    // A profile that is larger than a segment lies in several, which are numbered.
    let mut profile: Vec<(u8, Vec<u8>)> = Vec::new();
    let mut at = 2;
    loop {
        let marker = loop {
            let pair = window.bytes(at, 2)?;
            match pair[..] {
                // Any number of fill bytes may stand before a marker.
                [0xff, 0xff] => at += 1,
                [0xff, marker] => break marker,
                _ => return Err(Fault::Damaged("there is no marker where a segment should begin")),
            }
        };
        match marker {
            0xd9 => {
                rest.keep(at..at + 2);
                if at + 2 < window.size {
                    facts.traces.insert("data behind the picture");
                }
                break;
            }
            // Markers without a body mean nothing outside of a picture's data.
            0x01 | 0xd0..=0xd7 => {
                at += 2;
                continue;
            }
            _ => {}
        }
        let len = big(&window.bytes(at + 2, 2)?, 0, 2);
        if len < 2 {
            return Err(Fault::Damaged("a segment is shorter than its own length"));
        }
        let end = at + 2 + len;
        let body = window.bytes(at + 4, len - 2)?;
        if !is_exact(marker, &body) {
            return Err(Fault::Damaged("a segment is longer or shorter than what it holds"));
        }
        match marker {
            0xe0 if body.starts_with(b"JFIF\0") && body.len() >= 14 => {
                let mut head = vec![0xff, 0xe0, 0, 16];
                head.extend(&body[..12]);
                head.extend([0, 0]);
                if body.len() > 14 {
                    facts.traces.insert("a small copy of the uncut picture");
                }
                rest.put(head);
            }
            0xe1 if body.starts_with(b"Exif\0") => {
                let exif = exif::read(body.get(6..).unwrap_or(&[]));
                orientation = exif.orientation;
                facts.traces.extend(exif.traces);
            }
            0xe1 => {
                facts.traces.insert("XMP");
            }
            0xe2 if body.starts_with(b"ICC_PROFILE\0") => {
                profile.push((body.get(12).copied().unwrap_or(0), body.get(14..).unwrap_or(&[]).to_vec()));
                rest.keep(at..end);
            }
            // Says how the colours are coded; without it they come out wrong.
            0xee if body.starts_with(b"Adobe") && body.len() >= 12 => {
                let mut head = vec![0xff, 0xee, 0, 14];
                head.extend(&body[..12]);
                rest.put(head);
            }
            0xed => {
                facts.traces.insert("IPTC");
            }
            0xfe => {
                facts.traces.insert("a comment");
            }
            0xe0..=0xef => {
                facts.traces.insert("data of a program");
            }
            0xda => {
                let next = after_scan(window, end)?;
                rest.keep(at..next);
                at = next;
                continue;
            }
            // The frame: SOF0 to SOF15 without DHT, JPG and DAC.
            0xc0..=0xcf if !matches!(marker, 0xc4 | 0xc8 | 0xcc) => {
                facts.height = u32::try_from(big(&body, 1, 2)).unwrap_or(0);
                facts.width = u32::try_from(big(&body, 3, 2)).unwrap_or(0);
                rest.keep(at..end);
            }
            // Tables, and how often the data begins anew.
            0xc4 | 0xcc | 0xdb | 0xdd => rest.keep(at..end),
            _ => {
                facts.traces.insert("data of a program");
            }
        }
        at = end;
    }
    if !profile.is_empty() {
        profile.sort_by_key(|(number, _)| *number);
        let whole: Vec<u8> = profile.into_iter().flat_map(|(_, part)| part).collect();
        let Some(words) = icc::words(&whole) else { return Ok(Examined::Refused(icc::UNREADABLE)) };
        facts.words.extend(words);
    }
    let mut recipe = Recipe::default();
    recipe.keep(0..2);
    if orientation != 1 {
        let tiff = exif::orientation_only(orientation);
        let mut segment = vec![0xff, 0xe1];
        segment.extend(u16::try_from(tiff.len() + 8).unwrap_or(u16::MAX).to_be_bytes());
        segment.extend(b"Exif\0\0");
        segment.extend(tiff);
        recipe.put(segment);
    }
    recipe.append(rest);
    if exif::is_turned(orientation) {
        std::mem::swap(&mut facts.width, &mut facts.height);
    }
    Ok(Examined::Sound(facts, recipe))
}

/// Whether a segment that stays ends where its own numbers do, so that nothing lies behind them.
///
/// Source: ITU-T T.81, annex B.2: frame, scan, tables, and how often the data begins anew.
fn is_exact(marker: u8, body: &[u8]) -> bool {
    let byte = |at: usize| usize::from(body.get(at).copied().unwrap_or(0));
    // The sizes of one table after the other, from where each begins.
    let tables = |size: &dyn Fn(usize) -> usize| {
        let mut at = 0;
        while at < body.len() {
            at += size(at);
        }
        at == body.len()
    };
    match marker {
        0xc4 => tables(&|at| 17 + (1..=16).map(|row| byte(at + row)).sum::<usize>()),
        0xcc => tables(&|_| 2),
        0xdb => tables(&|at| if byte(at) < 16 { 65 } else { 129 }),
        0xdd => body.len() == 2,
        0xda => body.len() == 4 + 2 * byte(0),
        0xc0..=0xcf if marker != 0xc8 => body.len() == 6 + 3 * byte(5),
        _ => true,
    }
}

/// Where the marker after the picture's data stands.
fn after_scan(window: &mut Window<'_>, mut at: u64) -> Result<u64, Fault> {
    while at < window.size {
        let chunk = window.up_to(at, CHUNK)?;
        let marker = |pair: &[u8]| pair[0] == 0xff && !matches!(pair[1], 0 | 0xd0..=0xd7 | 0xff);
        if let Some(found) = chunk.windows(2).position(marker) {
            return Ok(at + found as u64);
        }
        if chunk.len() < 2 {
            break;
        }
        // The last byte may be the first of a marker.
        at += chunk.len() as u64 - 1;
    }
    Err(Fault::Damaged("the picture does not end"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_segment_ends_where_its_numbers_do() {
        let mut codes = vec![0; 17];
        (codes[1], codes[2]) = (1, 2);
        codes.extend([1, 2, 3]);
        for (marker, body) in [
            (0xc4, codes.repeat(2)),
            (0xdb, vec![0; 65]),
            (0xdb, [vec![0x11; 129], vec![0; 65]].concat()),
            (0xdd, vec![0, 4]),
            (0xda, vec![1, 1, 0, 0, 63, 0]),
            (0xc0, vec![8, 0, 1, 0, 1, 1, 1, 0x11, 0]),
        ] {
            assert!(is_exact(marker, &body), "{marker:x}");
            let longer = [&body[..], b"Mr Smith"].concat();
            assert!(!is_exact(marker, &longer), "{marker:x}, longer");
            assert!(!is_exact(marker, &body[..body.len() - 1]), "{marker:x}, shorter");
        }
    }
}
