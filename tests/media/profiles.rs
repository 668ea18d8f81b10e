//! The words of a colour profile, which stays with its picture. The profiles are made here, by ISO 15076-1.

use super::{clean, holds, planted, walk};
use flate2::Compression;
use flate2::write::ZlibEncoder;
use std::io::Write as _;

/// A profile with one name, in UTF-16 as `mluc` has it.
fn profile(name: &str) -> Vec<u8> {
    let name: Vec<u8> = name.encode_utf16().flat_map(u16::to_be_bytes).collect();
    let len = u32::try_from(name.len()).expect("short");
    let numbers = |numbers: &[u32]| numbers.iter().flat_map(|number| number.to_be_bytes()).collect::<Vec<u8>>();
    let tag = [b"mluc\0\0\0\0", &numbers(&[1, 12])[..], b"enGB", &numbers(&[len, 28]), &name].concat();
    let table = numbers(&[1, u32::from_be_bytes(*b"desc"), 144, u32::try_from(tag.len()).expect("short")]);
    [&[0; 128][..], &table, &tag].concat()
}

fn file(name: &str) -> Vec<u8> {
    planted().into_iter().find(|(planted, ..)| planted == name).expect("it is planted").1
}

fn put(mut bytes: Vec<u8>, at: usize, what: &[u8]) -> Vec<u8> {
    bytes.splice(at..at, what.iter().copied());
    bytes
}

fn jpeg(profile: &[u8]) -> Vec<u8> {
    // In two segments, the second before the first.
    let half = profile.len() / 2;
    let segment = |number: u8, part: &[u8]| {
        let len = u16::try_from(part.len() + 16).expect("short").to_be_bytes();
        [&[0xff, 0xe2][..], &len, b"ICC_PROFILE\0", &[number, 2], part].concat()
    };
    put(file("e.jpg"), 2, &[segment(2, &profile[half..]), segment(1, &profile[..half])].concat())
}

fn png(profile: &[u8], behind: &[u8]) -> Vec<u8> {
    let mut packing = ZlibEncoder::new(Vec::new(), Compression::default());
    packing.write_all(profile).expect("into memory");
    let body = [b"monitor\0\0", &packing.finish().expect("into memory")[..], behind].concat();
    let len = u32::try_from(body.len()).expect("short").to_be_bytes();
    put(file("a.png"), 8 + 25, &[&len[..], b"iCCP", &body, &[0; 4]].concat())
}

fn webp(profile: &[u8]) -> Vec<u8> {
    let mut profile = profile.to_vec();
    profile.resize(profile.len().next_multiple_of(2), 0);
    let len = u32::try_from(profile.len()).expect("short").to_le_bytes();
    let mut bytes = put(file("c.webp"), 12 + 18, &[&b"ICCP"[..], &len, &profile].concat());
    let size = u32::try_from(bytes.len() - 8).expect("short").to_le_bytes();
    bytes[4..8].copy_from_slice(&size);
    bytes
}

#[test]
fn the_words_of_a_profile_are_searched_in_every_form() {
    let sound = profile("Screen of Mr Müller");
    for (form, bytes) in [("JPEG", jpeg(&sound)), ("PNG", png(&sound, &[])), ("WebP", webp(&sound))] {
        let (facts, recipe) = walk(&bytes).unwrap_or_else(|why| panic!("{form}: {why}"));
        assert!(facts.words.iter().any(|words| words == "Screen of Mr Müller"), "{form}: {:?}", facts.words);
        let part = if form == "PNG" { b"iCCP".to_vec() } else { "S\0c\0r\0e\0e".as_bytes().to_vec() };
        assert!(holds(&clean(&bytes, &recipe), &part), "{form}: the profile stays");
    }
}

#[test]
fn a_profile_that_cannot_be_read_is_refused() {
    let mut broken = profile("Screen of Mr Müller");
    broken.truncate(150);
    let sound = profile("Screen");
    for (form, bytes) in [
        ("JPEG", jpeg(&broken)),
        ("PNG", png(&broken, &[])),
        ("WebP", webp(&broken)),
        ("PNG, something behind it", png(&sound, b"Mr Smith")),
        ("PNG, more than any profile", png(&[&sound[..], &vec![0; 20 << 20]].concat(), &[])),
    ] {
        let why = walk(&bytes).expect_err(form);
        assert!(why.contains("colour profile cannot be read"), "{form}: {why}");
    }
}
