//! Files with planted metadata come out clean. `tests/metadata` made them with exiftool and ffmpeg, and had exiftool, mat2 and
//! ffmpeg look at the copies whose hashes stand in `tests/data/media.csv`: nothing left, pixels and samples the same.

mod drawings;
mod leaves;
mod profiles;

use crate::support::root;
use casewright::media::{Examined, Facts, Piece, Recipe, copy, examine};
use casewright::model::digest::Digest;
use proptest::prelude::*;
use std::io::Cursor;

/// Stands in everything that was planted.
const WORD: &[u8] = b"Plantagenet";

fn walk(bytes: &[u8]) -> Result<(Facts, Recipe), String> {
    match examine(&mut Cursor::new(bytes.to_vec()), bytes.len() as u64) {
        Ok(Examined::Sound(facts, recipe)) => Ok((facts, recipe)),
        Ok(Examined::Refused(refused)) => Err(refused.what.to_owned()),
        Err(fault) => Err(fault.to_string()),
    }
}

fn clean(bytes: &[u8], recipe: &Recipe) -> Vec<u8> {
    let mut out = Vec::new();
    copy(&mut Cursor::new(bytes.to_vec()), recipe, &mut out).expect("it can be copied");
    out
}

fn holds(bytes: &[u8], word: &[u8]) -> bool {
    bytes.windows(word.len()).any(|window| window == word)
}

fn planted() -> Vec<(String, Vec<u8>, String)> {
    let table = std::fs::read_to_string(root().join("tests/data/media.csv")).expect("the table is there");
    let mut lines = table.lines();
    assert_eq!(lines.next(), Some("file,sha256"));
    lines
        .map(|line| {
            let (name, hash) = line.split_once(',').expect("two cells");
            let bytes = std::fs::read(root().join("tests/data/media").join(name)).expect("the file is there");
            (name.to_owned(), bytes, hash.to_owned())
        })
        .collect()
}

#[test]
fn planted_metadata_is_seen_and_left_out() {
    let files = planted();
    assert!(files.len() >= 12, "every container, some more than once");
    for (name, bytes, hash) in files {
        assert!(holds(&bytes, WORD), "{name}: nothing was planted");
        let (facts, recipe) = walk(&bytes).unwrap_or_else(|why| panic!("{name}: {why}"));
        assert!(!facts.traces.is_empty(), "{name}: nothing was seen");
        assert!(facts.width > 0 && facts.height > 0, "{name}: {facts:?}");
        assert_eq!(facts.film.is_some(), facts.form.is_film(), "{name}");
        let copied = clean(&bytes, &recipe);
        assert!(!holds(&copied, WORD), "{name}: the word is still there");
        assert_eq!(copied.len() as u64, recipe.size(), "{name}");
        assert_eq!(
            Digest::of(&copied).to_string(),
            hash,
            "{name}: not the copy that exiftool, mat2 and ffmpeg looked at"
        );
        // A clean copy is left as it is.
        let (again, recipe) = walk(&copied).unwrap_or_else(|why| panic!("{name}, the copy: {why}"));
        assert_eq!((again.width, again.height, again.film), (facts.width, facts.height, facts.film), "{name}");
        assert!(clean(&copied, &recipe) == copied, "{name}: the copy of the copy differs");
    }
}

#[test]
fn what_is_put_into_a_copy_is_small() {
    for (name, bytes, _) in planted().into_iter().filter(|(name, ..)| !name.ends_with(".svg")) {
        let (_, recipe) = walk(&bytes).expect("sound");
        let put: usize =
            recipe.pieces().iter().map(|piece| if let Piece::Put(bytes) = piece { bytes.len() } else { 0 }).sum();
        assert!(put < 6000, "{name}: {put} bytes are not from the original");
    }
}

#[test]
fn what_is_not_published_is_named() {
    for (head, what) in [
        (&b"II*\0\x08\0\0\0"[..], "TIFF"),
        (b"\0\0\0\x18ftypheic\0\0\0\0", "HEIC"),
        (b"RIFF\0\0\0\0AVI LIST", "AVI"),
        (b"GIF89a", "GIF"),
        (b"%PDF-1.7", "PDF"),
        (b"\0\0\0\x14ftypqt  \0\0\0\0", "QuickTime"),
        (b"\x1a\x45\xdf\xa3\x93\x42\x82\x88matroska", "Matroska"),
        (b"hello", "no browser"),
        (b"", "no browser"),
    ] {
        let said = walk(head).expect_err("it is refused");
        assert!(said.contains(what), "{head:?}: {said}");
    }
    let mut dicom = vec![0; 128];
    dicom.extend(b"DICM");
    assert!(walk(&dicom).expect_err("it is refused").contains("DICOM"));
}

/// A planted file with a table of one of its boxes overwritten from byte `at` after the box's name.
fn changed(name: &str, box_name: &[u8], at: usize, value: &[u8]) -> Vec<u8> {
    let (_, mut bytes, _) = planted().into_iter().find(|(planted, ..)| planted == name).expect("it is planted");
    let start = bytes.windows(box_name.len()).position(|window| window == box_name).expect("it has the box") + at;
    bytes[start..start + value.len()].copy_from_slice(value);
    bytes
}

#[test]
fn a_film_that_holds_more_than_it_plays_is_refused() {
    // Three seconds, of which the first edit of the pictures plays all, beginning with the delay of two pictures that libx264
    // makes; the film counts in 1000 a second, the track in 10240. `tests/metadata` has ffmpeg cut a film and show what is left in.
    for (what, at, value, refused) in [
        ("as it is", 12, 3000_u32, false),
        ("its end, four pictures", 12, 2600, false),
        ("its end, a second", 12, 2000, true),
        ("its beginning, a second", 16, 2048 + 10_240, true),
        ("all of it", 16, u32::MAX, true),
    ] {
        let told = walk(&changed("f.mp4", b"elst", at, &value.to_be_bytes()));
        match told {
            Ok(_) => assert!(!refused, "{what}"),
            Err(why) => assert!(refused && why.contains("more than it plays"), "{what}: {why}"),
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// Damaged files end in words, never in a panic, and nothing is kept from beyond their end.
    #[test]
    fn damage_is_told(file in 0..12_usize, cut in 0..100_u32, spots in prop::collection::vec((any::<u16>(), any::<u8>()), 0..6)) {
        let (_, mut bytes, _) = planted().into_iter().nth(file).expect("there are as many");
        let keep = bytes.len() * (100 - cut as usize) / 100;
        bytes.truncate(keep);
        for (at, byte) in spots {
            if let Some(spot) = bytes.get_mut(usize::from(at)) {
                *spot = byte;
            }
        }
        if let Ok((_, recipe)) = walk(&bytes) {
            prop_assert_eq!(clean(&bytes, &recipe).len() as u64, recipe.size());
        }
    }
}
