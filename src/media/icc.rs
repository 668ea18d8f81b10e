//! The words in a colour profile: a monitor's name, who made it, whom it belongs to. The profile stays, so they are searched.
//!
//! Source: ISO 15076-1 (ICC.1:2022) for the table of tags, `text` and `mluc`; ICC.1:2001-04, 6.5.17, for the older `desc`.

use super::Refused;
use super::window::big;

/// What is done with a picture whose profile cannot be read.
pub(super) const UNREADABLE: Refused = Refused {
    what: "a picture whose colour profile cannot be read",
    way: "convert it to sRGB and save it without a profile in any picture editor",
};
/// Largest profile that is read, in bytes: those of printing presses have a few million.
pub(super) const LARGEST: u64 = 16 * 1024 * 1024;

/// Bytes before the table of tags.
const HEAD: usize = 128;
/// More tags than any profile has.
const MOST_TAGS: usize = 1000;

/// Everything in it that reads as words. None if it is no sound profile: then words could lie where nobody looks.
pub(super) fn words(profile: &[u8]) -> Option<Vec<String>> {
    let count = profile.get(HEAD..HEAD + 4).map(|count| whole(count, 0))?;
    let table = profile.get(HEAD + 4..HEAD + 4 + count.checked_mul(12)?).filter(|_| count <= MOST_TAGS)?;
    let mut words = Vec::new();
    for entry in table.chunks_exact(12) {
        let (at, len) = (whole(entry, 4), whole(entry, 8));
        let tag = profile.get(at..at.checked_add(len)?)?;
        match tag.get(..4) {
            Some(b"text") => words.push(narrow(tag.get(8..).unwrap_or(&[]))),
            Some(b"desc") => {
                let first = whole(tag, 8);
                words.push(narrow(tag.get(12..12 + first.min(tag.len()))?));
                // The same in UTF-16, and in a code of old machines.
                let (second, wide_at) = (whole(tag, 16 + first), 20 + first);
                let wide_end = wide_at.checked_add(second.checked_mul(2)?)?;
                words.push(wide(tag.get(wide_at..wide_end).unwrap_or(&[])));
                words.push(narrow(tag.get(wide_end + 3..).unwrap_or(&[])));
            }
            Some(b"mluc") => {
                for record in 0..whole(tag, 8).min(MOST_TAGS) {
                    let row = 16 + record * 12;
                    let (len, at) = (whole(tag, row + 4), whole(tag, row + 8));
                    words.push(wide(tag.get(at..at.checked_add(len)?)?));
                }
            }
            _ => {}
        }
    }
    words.extend(readable(profile.get(HEAD..)?));
    words.retain(|words| !words.is_empty());
    words.dedup();
    Some(words)
}

fn whole(bytes: &[u8], at: usize) -> usize {
    usize::try_from(big(bytes, at, 4)).unwrap_or(usize::MAX)
}

/// Bytes as letters: UTF-8 if they are, else Latin-1.
fn narrow(bytes: &[u8]) -> String {
    let text = String::from_utf8(bytes.to_vec());
    let text = text.unwrap_or_else(|_| bytes.iter().map(|byte| char::from(*byte)).collect());
    text.trim_matches('\0').replace('\0', " ")
}

/// Big-endian UTF-16 as letters.
fn wide(bytes: &[u8]) -> String {
    let letters: Vec<u16> = bytes.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect();
    String::from_utf16_lossy(&letters).trim_matches('\0').replace('\0', " ")
}

/// Runs of readable letters, at least four long, wherever they lie: ASCII, or UTF-16 whose high bytes are 0.
fn readable(bytes: &[u8]) -> Vec<String> {
    let mut found = Vec::new();
    for narrow in [bytes.to_vec(), every_second(bytes, 0), every_second(bytes, 1)] {
        for run in narrow.split(|byte| !(0x20..0x7f).contains(byte)).filter(|run| run.len() >= 4) {
            found.push(String::from_utf8_lossy(run).into_owned());
        }
    }
    found
}

/// The bytes at odd or even places, where their neighbours are 0; a 0 where they are not.
fn every_second(bytes: &[u8], from: usize) -> Vec<u8> {
    let pairs = bytes.get(from..).unwrap_or(&[]).chunks_exact(2);
    pairs.map(|pair| if pair[0] == 0 { pair[1] } else { 0 }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A profile with one tag.
    fn profile(tag: &[u8]) -> Vec<u8> {
        let len = u32::try_from(tag.len()).expect("short");
        let mut profile = vec![0; HEAD];
        profile.extend([1_u32, 0x6465_7363, 144, len].iter().flat_map(|number| number.to_be_bytes()));
        profile.extend(tag);
        profile
    }

    fn utf16(text: &str) -> Vec<u8> {
        text.encode_utf16().flat_map(u16::to_be_bytes).collect()
    }

    #[test]
    fn words_of_every_kind_of_text_are_read() {
        let text = [b"text\0\0\0\0", "Mr Müller\0".as_bytes()].concat();
        let latin = b"text\0\0\0\0Mr M\xfcller\0".to_vec();
        let localized = [b"mluc\0\0\0\0\0\0\0\x01\0\0\0\x0cdeDE\0\0\0\x12\0\0\0\x1c", &utf16("Mr Müller")[..]].concat();
        let old = [b"desc\0\0\0\0\0\0\0\x02m\0\0\0\0\0\0\0\0\x0a", &utf16("Mr Müller\0")[..], &[0; 70]].concat();
        for tag in [text, latin, localized, old] {
            let words = words(&profile(&tag)).expect("it is sound");
            assert!(words.iter().any(|words| words == "Mr Müller"), "{words:?}");
        }
        // What no tag points to is read as far as it reads.
        let hidden = [profile(b"XYZ \0\0\0\0"), b"MRN 1234567".to_vec()].concat();
        assert!(words(&hidden).expect("it is sound").contains(&"MRN 1234567".to_owned()));
    }

    #[test]
    fn what_cannot_be_read_is_no_profile() {
        let sound = profile(b"text\0\0\0\0Mr");
        assert!(words(&sound).is_some());
        for cut in [0, HEAD, HEAD + 3, HEAD + 10, sound.len() - 1] {
            assert_eq!(words(&sound[..cut]), None, "{cut}");
        }
        let mut many = sound;
        many[HEAD..HEAD + 4].fill(0xff);
        assert_eq!(words(&many), None);
    }
}
