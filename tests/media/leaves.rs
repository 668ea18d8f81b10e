//! A word planted where no program of Debian writes one: behind the numbers of a box, in parts that are on no list, between
//! samples. It is gone from the copy, or the file is refused; what shows and sounds stays.

use super::{WORD, clean, holds, planted, walk};

fn file(name: &str) -> Vec<u8> {
    planted().into_iter().find(|(planted, ..)| planted == name).expect("it is planted").1
}

fn number(bytes: &[u8], at: usize) -> usize {
    usize::try_from(u32::from_be_bytes(bytes[at..at + 4].try_into().expect("four bytes"))).expect("small")
}

/// A box of MP4.
fn part(kind: &[u8], body: &[u8]) -> Vec<u8> {
    let len = u32::try_from(8 + body.len()).expect("short").to_be_bytes();
    [&len[..], kind, body].concat()
}

/// Where the boxes of this path begin, outermost first.
fn boxes(bytes: &[u8], path: &str) -> Vec<usize> {
    let (mut found, mut range) = (Vec::new(), 0..bytes.len());
    for kind in path.split('/') {
        let mut at = range.start;
        while &bytes[at + 4..at + 8] != kind.as_bytes() {
            at += number(bytes, at);
            assert!(at < range.end, "{path}: no {kind}");
        }
        found.push(at);
        // What stands in a box before the boxes in it.
        let fixed = match kind {
            "stsd" | "dref" => 8,
            "avc1" => 78,
            "mp4a" => 28,
            _ => 0,
        };
        range = at + 8 + fixed..at + number(bytes, at);
    }
    found
}

/// The film with these bytes at the end of a box. Its index stands at its end, so that no sample moves.
fn planted_in(path: &str, what: &[u8]) -> Vec<u8> {
    let mut bytes = file("h.mp4");
    let found = boxes(&bytes, path);
    assert!(found[0] > boxes(&bytes, "mdat")[0], "the index stands behind the samples");
    let end = found.last().map(|at| at + number(&bytes, *at)).expect("it is there");
    bytes.splice(end..end, what.iter().copied());
    for at in found {
        let len = u32::try_from(number(&bytes, at) + what.len()).expect("short").to_be_bytes();
        bytes[at..at + 4].copy_from_slice(&len);
    }
    bytes
}

/// The samples of the film's pictures and sound.
fn samples(bytes: &[u8]) -> &[u8] {
    let at = boxes(bytes, "mdat")[0];
    &bytes[at..at + number(bytes, at)]
}

/// That the word is gone from the copy, and the copy is a clean one.
fn gone(what: &str, bytes: &[u8]) -> Vec<u8> {
    let (facts, recipe) = walk(bytes).unwrap_or_else(|why| panic!("{what}: {why}"));
    let copied = clean(bytes, &recipe);
    assert!(holds(bytes, WORD) && !holds(&copied, WORD), "{what}: the word is still there");
    assert!(!facts.traces.is_empty(), "{what}: nothing was said");
    let (again, recipe) = walk(&copied).unwrap_or_else(|why| panic!("{what}, the copy: {why}"));
    assert_eq!((again.width, again.height, again.film), (facts.width, facts.height, facts.film), "{what}");
    assert!(clean(&copied, &recipe) == copied, "{what}: the copy of the copy differs");
    copied
}

#[test]
fn nothing_lies_behind_the_numbers_of_a_film() {
    let bytes = file("h.mp4");
    let (_, recipe) = walk(&bytes).expect("it is sound");
    let plain = clean(&bytes, &recipe);
    for path in [
        "moov/mvhd",
        "moov/trak/tkhd",
        "moov/trak/edts/elst",
        "moov/trak/mdia/mdhd",
        "moov/trak/mdia/minf/vmhd",
        "moov/trak/mdia/minf/stbl/stts",
        "moov/trak/mdia/minf/stbl/stss",
        "moov/trak/mdia/minf/stbl/stsc",
        "moov/trak/mdia/minf/stbl/stsz",
        "moov/trak/mdia/minf/stbl/stco",
        "moov/trak/mdia/minf/dinf/dref/url ",
    ] {
        let copied = gone(path, &planted_in(path, WORD));
        assert!(samples(&copied) == samples(&plain), "{path}: the samples differ");
    }
    for (path, kind) in [
        ("moov", "iods"),
        ("moov/trak/mdia", "elng"),
        ("moov/trak/mdia/minf/stbl", "subs"),
        ("moov/trak/mdia/minf/stbl", "sgpd"),
        ("moov/trak/mdia/minf/stbl", "sdtp"),
        ("moov/trak/mdia/minf/stbl/stsd/avc1", "abcd"),
        ("moov/trak/mdia/minf/stbl/stsd/avc1", "pasp"),
        ("moov/trak/mdia/minf/stbl/stsd/avc1", "colr"),
    ] {
        let what = format!("{path}/{kind}");
        let copied = gone(&what, &planted_in(path, &part(kind.as_bytes(), &[&[0; 16], WORD].concat())));
        assert!(samples(&copied) == samples(&plain), "{what}: the samples differ");
    }
    for kind in ["ftyp", "styp", "sidx", "mfra", "mdat"] {
        let inside = if kind == "mfra" { part(b"abcd", WORD) } else { [&[0; 24], WORD].concat() };
        gone(kind, &[bytes.clone(), part(kind.as_bytes(), &inside)].concat());
    }
    // The entry of the sound: the second track, so the first is taken out of the path.
    let mut sound = bytes.clone();
    let first = boxes(&sound, "moov/trak")[1];
    let second = first + number(&sound, first);
    let inside = second + 8..second + number(&sound, second);
    let entry = inside.start + sound[inside].windows(4).position(|four| four == b"mp4a").expect("it has sound") - 4;
    let settings = entry + 8 + 28;
    // Its settings become a box of the same length that is on no list.
    sound[settings + 4..settings + 8].copy_from_slice(b"udta");
    sound[settings + 8..settings + 8 + WORD.len()].copy_from_slice(WORD);
    gone("the entry of the sound", &sound);
}

#[test]
fn nothing_lies_between_the_samples_of_fragments() {
    let mut bytes = file("i.mp4");
    let moof = bytes.windows(4).rposition(|four| four == b"moof").expect("it is in fragments") - 4;
    let mdat = moof + number(&bytes, moof);
    assert_eq!(&bytes[mdat + 4..mdat + 8], b"mdat");
    let end = mdat + number(&bytes, mdat);
    let before = bytes[mdat + 8..end].to_vec();
    bytes.splice(end..end, WORD.iter().copied());
    let len = u32::try_from(number(&bytes, mdat) + WORD.len()).expect("short").to_be_bytes();
    bytes[mdat..mdat + 4].copy_from_slice(&len);
    assert!(holds(&gone("behind the last samples", &bytes), &before), "the samples stay");
}

#[test]
fn a_second_picture_or_sound_track_is_refused() {
    let film = file("h.mp4");
    let first = boxes(&film, "moov/trak")[1];
    let pictures = film[first..first + number(&film, first)].to_vec();
    let second = first + pictures.len();
    let sound = film[second..second + number(&film, second)].to_vec();
    for (what, bytes) in [
        ("pictures", planted_in("moov", &pictures)),
        ("sound", planted_in("moov", &sound)),
        ("pictures, WebM", webm(&[], &[track(1), track(1)])),
        ("sound, WebM", webm(&[], &[track(1), track(2), track(2)])),
    ] {
        let why = walk(&bytes).expect_err(what);
        assert!(why.contains("more than one picture or sound track"), "{what}: {why}");
    }
}

/// An element of EBML with a length of four bytes.
fn element(id: u32, body: &[u8]) -> Vec<u8> {
    let id = id.to_be_bytes();
    let len = (u32::try_from(body.len()).expect("short") | 0x1000_0000).to_be_bytes();
    [&id[id.iter().position(|byte| *byte > 0).expect("no name is 0")..], &len, body].concat()
}

fn track(kind: u8) -> Vec<u8> {
    let video =
        if kind == 1 { element(0xe0, &[element(0xb0, &[64]), element(0xba, &[48])].concat()) } else { Vec::new() };
    let codec: &[u8] = if kind == 1 { b"V_VP8" } else { b"A_OPUS" };
    element(0xae, &[element(0xd7, &[kind]), element(0x83, &[kind]), element(0x86, codec), video].concat())
}

/// The least WebM film, with these elements in its first cluster.
fn webm(in_cluster: &[u8], tracks: &[Vec<u8>]) -> Vec<u8> {
    let info = [element(0x2a_d7b1, &[0x0f, 0x42, 0x40]), element(0x4d80, b"a"), element(0x5741, b"a")].concat();
    let cluster = [&element(0xe7, &[0]), &element(0xa3, b"\x81\0\0\x80pictures")[..], in_cluster].concat();
    segment(
        &[element(0x1549_a966, &info), element(0x1654_ae6b, &tracks.concat()), element(0x1f43_b675, &cluster)].concat(),
    )
}

fn segment(body: &[u8]) -> Vec<u8> {
    [element(0x1a45_dfa3, &element(0x4282, b"webm")), element(0x1853_8067, body)].concat()
}

#[test]
fn nothing_but_what_is_on_the_list_stays_of_a_web_film() {
    let plain = webm(&[], &[track(1)]);
    let (facts, recipe) = walk(&plain).expect("it is sound");
    assert_eq!((facts.width, facts.height), (64, 48));
    assert!(holds(&clean(&plain, &recipe), b"pictures"));
    let word = |id| element(id, WORD);
    let with = |more: Vec<u8>| [webm(&[], &[track(1)])[..].to_vec(), more].concat();
    // A cluster, cues and the like at the end of the segment, whose length is then another.
    let behind = |more: Vec<u8>| {
        let whole = webm(&[], &[track(1)]);
        let head = element(0x1a45_dfa3, &element(0x4282, b"webm")).len() + 8;
        segment(&[&whole[head..], &more].concat())
    };
    let in_track = |more: Vec<u8>| {
        let inner = [&track(1)[5..], &more].concat();
        webm(&[], &[element(0xae, &inner)])
    };
    let mut codec = track(1);
    let name = codec.windows(5).position(|five| five == b"V_VP8").expect("it is there");
    codec.splice(name..name + 5, [b"V_VP8\0", WORD].concat());
    codec[name - 1] = u8::try_from(6 + WORD.len()).expect("short");
    codec[4] += u8::try_from(1 + WORD.len()).expect("short");
    for (what, bytes) in [
        ("Void in a cluster", webm(&word(0xec), &[track(1)])),
        ("an unknown element in a cluster", webm(&word(0x4d59), &[track(1)])),
        ("a long number in a cluster", webm(&word(0xa7), &[track(1)])),
        (
            "additions to a block",
            webm(&element(0xa0, &[element(0xa1, b"\x81\0\0\0p"), word(0x75a1)].concat()), &[track(1)]),
        ),
        ("cues", behind(element(0x1c53_bb6b, &element(0xbb, &[element(0xb3, &[0]), word(0xec)].concat())))),
        ("the places of parts", behind(element(0x114d_9b74, &element(0x4dbb, &word(0x53ab))))),
        ("the pictures of a track", in_track(element(0xe1, &word(0x4d59)))),
        ("the name of an addition", in_track(element(0x41e4, &word(0x41a4)))),
        ("a language", in_track(word(0x22_b59c))),
        ("a language of the other kind", in_track(word(0x22_b59d))),
        ("a number of a track", in_track(word(0x55ee))),
        ("behind the codec's name", webm(&[], &[codec])),
        ("behind the segment", with(word(0xec))),
    ] {
        let (_, recipe) = walk(&bytes).unwrap_or_else(|why| panic!("{what}: {why}"));
        let copied = clean(&bytes, &recipe);
        assert!(holds(&bytes, WORD) && !holds(&copied, WORD), "{what}: the word is still there");
        assert!(holds(&copied, b"pictures"), "{what}: the samples are lost");
        assert_eq!(copied.len(), bytes.len(), "{what}: places have moved");
        let (_, recipe) = walk(&copied).unwrap_or_else(|why| panic!("{what}, the copy: {why}"));
        assert!(clean(&copied, &recipe) == copied, "{what}: the copy of the copy differs");
    }
    for (what, bytes, why) in [
        ("packed samples", in_track(element(0x6d80, &word(0x6240))), "packed"),
        (
            "another kind of document",
            [
                element(0x1a45_dfa3, &[element(0x4282, b"matroska"), element(0x4283, b"webm")].concat()),
                webm(&[], &[track(1)])[18..].to_vec(),
            ]
            .concat(),
            "Matroska",
        ),
    ] {
        let said = walk(&bytes).expect_err(what);
        assert!(said.contains(why), "{what}: {said}");
    }
}

#[test]
fn nothing_but_what_is_on_the_list_stays_of_a_picture() {
    let put = |mut bytes: Vec<u8>, at: usize, what: &[u8]| {
        bytes.splice(at..at, what.iter().copied());
        bytes
    };
    let segment = |marker: u8, body: &[u8]| {
        let len = u16::try_from(body.len() + 2).expect("short").to_be_bytes();
        [&[0xff, marker][..], &len, body].concat()
    };
    for marker in [0x02, 0xc8, 0xdc, 0xde, 0xf0, 0xf7, 0xfd] {
        gone(&format!("JPEG, {marker:x}"), &put(file("e.jpg"), 2, &segment(marker, WORD)));
    }
    for (marker, body) in [(0xdd, vec![0, 0]), (0xdb, vec![0; 65])] {
        let longer = put(file("e.jpg"), 2, &segment(marker, &[&body[..], WORD].concat()));
        assert!(walk(&longer).expect_err("it is damaged").contains("longer or shorter"), "{marker:x}");
    }
    let chunk = |kind: &[u8], body: &[u8]| {
        let len = u32::try_from(body.len()).expect("short").to_be_bytes();
        [&len[..], kind, body, &[0; 4]].concat()
    };
    for kind in [&b"gAMA"[..], b"pHYs", b"sBIT", b"cHRM", b"sRGB", b"tRNS", b"bKGD", b"PLTE", b"acTL", b"hIST"] {
        let what = format!("PNG, {}", String::from_utf8_lossy(kind));
        gone(&what, &put(file("a.png"), 8 + 25, &chunk(kind, &[WORD, WORD].concat())));
    }
    let png = file("a.png");
    let pixels = png.windows(4).rposition(|four| four == b"IDAT").expect("it has pixels") - 4;
    let behind = put(png.clone(), pixels + 12 + number(&png, pixels), &chunk(b"IDAT", WORD));
    assert!(walk(&behind).expect_err("it is damaged").contains("behind its pixels"));
    // Frames of a moving picture, by RFC 9649, with parts of their own.
    let part = |kind: &[u8], body: &[u8]| {
        let len = u32::try_from(body.len()).expect("short").to_le_bytes();
        [kind, &len, body, &vec![0; body.len() % 2]].concat()
    };
    let frame = part(
        b"ANMF",
        &[&[0; 16], &part(b"VP8L", b"\x2fpictures")[..], &part(b"XMP ", WORD), &part(b"abcd", WORD)].concat(),
    );
    let all = [part(b"VP8X", &[2, 0, 0, 0, 9, 0, 0, 9, 0, 0]), part(b"ANIM", &[0; 6]), frame.clone(), frame].concat();
    let len = u32::try_from(4 + all.len()).expect("short").to_le_bytes();
    let copied = gone("WebP, a frame", &[b"RIFF", &len, &b"WEBP"[..], &all].concat());
    assert_eq!(copied.windows(8).filter(|window| window == b"pictures").count(), 2);
}
