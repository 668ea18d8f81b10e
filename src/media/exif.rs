//! Exif: what it tells, and the one thing in it that a picture needs, which way is up.
//!
//! Source: CIPA DC-008 (Exif 2.32); TIFF 6.0 for the directories.

use super::Trace;
use super::window::{big, little};
use std::collections::BTreeSet;

/// Deepest chain of directories that is followed.
const MOST_DIRECTORIES: usize = 16;

/// What a block of Exif holds.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Exif {
    /// 1 to 8; 1 if it is not said.
    pub(super) orientation: u16,
    pub(super) traces: BTreeSet<Trace>,
}

/// Reads a TIFF structure. What cannot be read is only metadata that is left out anyway.
pub(super) fn read(tiff: &[u8]) -> Exif {
    let mut exif = Exif { orientation: 1, traces: BTreeSet::from(["Exif"]) };
    let number: fn(&[u8], usize, usize) -> u64 = match tiff.get(..2) {
        Some(b"II") => little,
        Some(b"MM") => big,
        _ => return exif,
    };
    let mut directories = vec![(number(tiff, 4, 4), true)];
    let mut seen = 0;
    while let Some((offset, first)) = directories.pop() {
        seen += 1;
        let Ok(at) = usize::try_from(offset) else { continue };
        if seen > MOST_DIRECTORIES || at == 0 || at + 2 > tiff.len() {
            continue;
        }
        let count = usize::try_from(number(tiff, at, 2)).unwrap_or(0);
        for entry in (0..count).map(|entry| at + 2 + entry * 12).take_while(|entry| entry + 12 <= tiff.len()) {
            let value = number(tiff, entry + 8, 4);
            match number(tiff, entry, 2) {
                0x0112 if first => {
                    exif.orientation = u16::try_from(number(tiff, entry + 8, 2)).unwrap_or(1);
                }
                0x8769 | 0xa005 => directories.push((value, false)),
                0x8825 => {
                    exif.traces.insert("a position");
                }
                0x9003 | 0x9004 | 0x0132 => {
                    exif.traces.insert("the time it was taken");
                }
                0x013b | 0xa430 | 0x8298 | 0x9c9d => {
                    exif.traces.insert("a person's name");
                }
                0x010e | 0x9286 | 0x9c9b | 0x9c9c | 0x9c9e | 0x9c9f => {
                    exif.traces.insert("a description");
                }
                0xa431 | 0xa435 | 0xa420 => {
                    exif.traces.insert("a serial number");
                }
                0x010f | 0x0110 | 0x0131 => {
                    exif.traces.insert("camera and program");
                }
                0x927c => {
                    exif.traces.insert("the maker's own notes");
                }
                0x0201 if !first => {
                    exif.traces.insert("a small copy of the uncut picture");
                }
                _ => {}
            }
        }
        if first {
            directories.push((number(tiff, at + 2 + count * 12, 4), false));
        }
    }
    if !(1..=8).contains(&exif.orientation) {
        exif.orientation = 1;
    }
    exif
}

/// A TIFF structure that says which way is up, and nothing else.
pub(super) fn orientation_only(orientation: u16) -> Vec<u8> {
    let mut tiff = b"MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01".to_vec();
    tiff.extend(orientation.to_be_bytes());
    tiff.extend([0; 6]);
    tiff
}

/// Whether this orientation exchanges width and height.
pub(super) fn is_turned(orientation: u16) -> bool {
    (5..=8).contains(&orientation)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_orientation_alone_is_read_back() {
        for orientation in 1..=8 {
            let read = read(&orientation_only(orientation));
            assert_eq!(read.orientation, orientation);
            assert_eq!(read.traces, BTreeSet::from(["Exif"]));
        }
    }

    #[test]
    fn a_circle_of_directories_ends() {
        let mut tiff = orientation_only(6);
        tiff[10..12].copy_from_slice(&0x8769_u16.to_be_bytes());
        tiff[18..22].copy_from_slice(&8_u32.to_be_bytes());
        assert_eq!(read(&tiff).orientation, 1);
    }
}
