//! MP4: boxes in boxes. Nothing moves: what is left out becomes a free box of the same size, so that every offset holds.
//!
//! Only boxes on a list stay. What is neither picture nor sound (positions of a camera, time codes, texts) goes, and with it
//! its bytes among those of pictures and sound. Source: ISO/IEC 14496-12 (2022).

use super::icc;
use super::mp4_fragments::Fragments;
use super::mp4_leaves::{BRANDS, OF_ENTRY, idle, length};
use super::mp4_played::Played;
use super::mp4_samples::{Samples, in_order};
use super::recipe::Recipe;
use super::window::{Fault, Window, big};
use super::{Examined, Facts, Film, Form, Refused, Trace};
use std::collections::BTreeSet;
use std::ops::Range;

/// Deepest nesting that a film has.
const DEEPEST: usize = 12;
/// More boxes than a film of many hours in small fragments has.
const MOST_BOXES: usize = 1_000_000;

/// Boxes that hold others, and what may stay in them.
const CONTAINERS: &[(&[u8; 4], &[&[u8; 4]])] = &[
    (b"moov", &[b"mvhd", b"trak", b"mvex"]),
    (b"trak", &[b"tkhd", b"edts", b"mdia"]),
    (b"edts", &[b"elst"]),
    (b"mdia", &[b"mdhd", b"hdlr", b"minf"]),
    (b"minf", &[b"vmhd", b"smhd", b"hdlr", b"dinf", b"stbl"]),
    (b"dinf", &[b"dref"]),
    (
        b"stbl",
        &[b"stsd", b"stts", b"ctts", b"cslg", b"stss", b"stsc", b"stsz", b"stz2", b"stco", b"co64", b"sgpd", b"sbgp"],
    ),
    (b"mvex", &[b"mehd", b"trex"]),
    (b"moof", &[b"mfhd", b"traf"]),
    (b"traf", &[b"tfhd", b"tfdt", b"trun", b"sgpd", b"sbgp"]),
    (b"mfra", &[b"tfra", b"mfro"]),
];
/// What leaves one picture and one sound.
const ONE_OF_EACH: &str = "keep the first of each, and listen to it: ffmpeg -i IN -map 0:v:0 -map 0:a:0? -c copy -movflags +faststart OUT-one.mp4";
/// What makes a film hold no more than it plays: only encoding it anew leaves the rest out.
const PLAYED_ALONE: &str = "encode anew what it plays, and look at the result: ffmpeg -i IN -map 0:v:0 -map 0:a:0? -c:v libx264 -pix_fmt yuv420p -c:a aac -movflags +faststart OUT-played.mp4";

/// A box: its kind, where it begins, how long its head is and where it ends.
#[derive(Debug, Clone)]
pub(super) struct Part {
    pub(super) kind: [u8; 4],
    pub(super) start: u64,
    pub(super) body: u64,
    pub(super) end: u64,
}

/// What is done with ranges of the file that do not stay.
enum Change {
    Zeros(Range<u64>),
    Put(u64, Vec<u8>),
}

impl Change {
    fn start(&self) -> u64 {
        match self {
            Self::Zeros(range) => range.start,
            Self::Put(at, _) => *at,
        }
    }
}

/// A track as far as it is known.
#[derive(Default)]
struct Track {
    handler: [u8; 4],
    width: u32,
    height: u32,
    codecs: Vec<String>,
    samples: Samples,
    played: Played,
    outside: bool,
}

struct Walk<'w, 's> {
    window: &'w mut Window<'s>,
    changes: Vec<Change>,
    traces: BTreeSet<Trace>,
    tracks: Vec<Track>,
    seconds: f64,
    /// Units a second of the film's own times.
    scale: u64,
    fragments: Fragments,
    /// Words of a colour profile, which stays.
    words: Vec<String>,
    boxes: usize,
}

pub(super) fn walk(window: &mut Window<'_>) -> Result<Examined, Fault> {
    let mut walk = Walk {
        window,
        changes: Vec::new(),
        traces: BTreeSet::new(),
        tracks: Vec::new(),
        seconds: 0.0,
        scale: 0,
        fragments: Fragments::default(),
        words: Vec::new(),
        boxes: 0,
    };
    let size = walk.window.size;
    let parts = walk.parts(0..size)?;
    let (mut index, mut data, mut fragments) = (None, Vec::new(), false);
    for part in &parts {
        match &part.kind {
            b"moov" => {
                index.get_or_insert(part.start);
                walk.container(part, 0)?;
            }
            b"moof" => {
                fragments = true;
                walk.fragments.begin(part.start);
                walk.container(part, 0)?;
            }
            b"mfra" => walk.container(part, 0)?,
            b"mdat" => data.push(part.clone()),
            b"ftyp" if part.start == 0 => walk.brands(part)?,
            b"sidx" => walk.leaf(part)?,
            _ => walk.free(part),
        }
    }
    let Some(index) = index else { return Err(Fault::Damaged("it has no index, as if a recording had been cut off")) };
    if walk.tracks.iter().any(|track| track.outside) {
        return Err(Fault::Damaged("its pictures lie in another file"));
    }
    let seen = |track: &Track| matches!(&track.handler, b"vide" | b"soun");
    if !walk.tracks.iter().any(|track| &track.handler == b"vide") {
        return Err(Fault::Damaged("it holds no pictures"));
    }
    for track in walk.tracks.iter().filter(|track| seen(track)) {
        if track.played.leaves_out(walk.scale, fragments)? {
            return Ok(Examined::Refused(Refused {
                what: "a film that holds more than it plays, as after a cut without encoding anew",
                way: PLAYED_ALONE,
            }));
        }
    }
    for kind in [b"vide", b"soun"] {
        if walk.tracks.iter().filter(|track| &track.handler == kind).count() > 1 {
            return Ok(Examined::Refused(Refused {
                what: "a film with more than one picture or sound track, of which browsers play the first",
                way: ONE_OF_EACH,
            }));
        }
    }
    if fragments && !walk.tracks.iter().all(seen) {
        return Ok(Examined::Refused(Refused {
            what: "a film in fragments with tracks besides picture and sound",
            way: ONE_OF_EACH,
        }));
    }
    let mut kept = std::mem::take(&mut walk.fragments.ranges);
    for track in walk.tracks.iter().filter(|track| seen(track)) {
        kept.extend(track.samples.ranges()?);
    }
    let kept = in_order(kept, size)?;
    for part in &data {
        walk.clear_between(part, &kept);
    }
    let picture = walk.tracks.iter().find(|track| &track.handler == b"vide");
    let mut facts = Facts::new(Form::Mp4);
    (facts.width, facts.height) = picture.map_or((0, 0), |track| (track.width, track.height));
    facts.film = Some(Film {
        seconds: walk.seconds,
        codecs: walk.tracks.iter().filter(|track| seen(track)).flat_map(|track| track.codecs.clone()).collect(),
        index_first: data.first().is_none_or(|data| index < data.start),
        sound: walk.tracks.iter().any(|track| &track.handler == b"soun"),
    });
    (facts.traces, facts.words) = (walk.traces, walk.words);
    let recipe = recipe(walk.changes, size);
    Ok(Examined::Sound(facts, recipe))
}

/// The file with its changes.
fn recipe(mut changes: Vec<Change>, size: u64) -> Recipe {
    changes.sort_by_key(Change::start);
    let mut recipe = Recipe::default();
    let mut at = 0;
    for change in changes {
        // A box that goes as a whole covers what was changed inside it before.
        match change {
            Change::Zeros(range) if range.end > at => {
                recipe.keep(at..range.start.max(at));
                recipe.zeros(range.end - range.start.max(at));
                at = range.end;
            }
            Change::Put(start, bytes) if start >= at => {
                recipe.keep(at..start);
                at = start + bytes.len() as u64;
                recipe.put(bytes);
            }
            Change::Zeros(_) | Change::Put(..) => {}
        }
    }
    recipe.keep(at..size);
    recipe
}

impl Walk<'_, '_> {
    /// The boxes of a range, one after the other.
    fn parts(&mut self, range: Range<u64>) -> Result<Vec<Part>, Fault> {
        let mut parts = Vec::new();
        let mut at = range.start;
        while at + 8 <= range.end {
            self.boxes += 1;
            if self.boxes > MOST_BOXES {
                return Err(Fault::Damaged("it has more parts than any film"));
            }
            let head = self.window.bytes(at, 8)?;
            let (len, head_len) = match big(&head, 0, 4) {
                0 => (range.end - at, 8),
                1 => (big(&self.window.bytes(at + 8, 8)?, 0, 8), 16),
                len => (len, 8),
            };
            let end = at.checked_add(len).filter(|end| *end <= range.end && len >= head_len);
            let end = end.ok_or(Fault::Damaged("a part of it reaches beyond its end"))?;
            parts.push(Part { kind: [head[4], head[5], head[6], head[7]], start: at, body: at + head_len, end });
            at = end;
        }
        // A few bytes that are no box: kept, they could be anything.
        if at < range.end {
            self.changes.push(Change::Zeros(at..range.end));
        }
        Ok(parts)
    }

    /// Makes a free box of a box. Free boxes too are emptied: an editor leaves old data in them.
    fn free(&mut self, part: &Part) {
        self.changes.push(Change::Put(part.start + 4, b"free".to_vec()));
        self.changes.push(Change::Zeros(part.body..part.end));
        self.traces.extend(match &part.kind {
            b"free" | b"skip" | b"wide" => None,
            b"udta" | b"meta" | b"keys" | b"ilst" => Some("title, place, author or program"),
            b"uuid" => Some("XMP or a maker's own data"),
            b"tref" => Some("a link between tracks"),
            _ => Some("parts that neither picture nor sound needs"),
        });
    }

    fn container(&mut self, part: &Part, depth: usize) -> Result<(), Fault> {
        if depth > DEEPEST {
            return Err(Fault::Damaged("its parts are nested too deeply"));
        }
        let Some((_, inside)) = CONTAINERS.iter().find(|(kind, _)| **kind == part.kind) else { return Ok(()) };
        if &part.kind == b"trak" {
            self.tracks.push(Track::default());
        }
        for child in self.parts(part.body..part.end)? {
            if inside.contains(&&child.kind) {
                self.leaf(&child)?;
                self.container(&child, depth + 1)?;
            } else {
                self.free(&child);
            }
        }
        if &part.kind == b"trak"
            && let Some(track) = self.tracks.last()
            && !matches!(&track.handler, b"vide" | b"soun")
        {
            self.traces.insert("a track besides picture and sound");
            self.free(part);
        }
        Ok(())
    }

    fn leaf(&mut self, part: &Part) -> Result<(), Fault> {
        let body = part.body;
        self.exact(part)?;
        match &part.kind {
            b"mvhd" | b"tkhd" | b"mdhd" => {
                let bytes = self.window.bytes(body, (part.end - body).min(108))?;
                let long = bytes.first() == Some(&1);
                let times = if long { body + 4..body + 20 } else { body + 4..body + 12 };
                if times.end > part.end {
                    return Err(Fault::Damaged("a head in it is too short"));
                }
                if bytes[4..].iter().take(if long { 16 } else { 8 }).any(|byte| *byte != 0) {
                    self.traces.insert("the time it was taken");
                }
                self.changes.push(Change::Zeros(times));
                for (from, len) in idle(&part.kind, long) {
                    self.changes.push(Change::Zeros(body + from..body + from + len));
                }
                if &part.kind == b"mvhd" {
                    let (scale, length) = if long {
                        (big(&bytes, 20, 4), big(&bytes, 24, 8))
                    } else {
                        (big(&bytes, 12, 4), big(&bytes, 16, 4))
                    };
                    #[expect(clippy::cast_precision_loss, reason = "a length in seconds needs no more than 52 bits")]
                    if scale > 0 {
                        self.scale = scale;
                        self.seconds = length as f64 / scale as f64;
                    }
                } else if &part.kind == b"tkhd" {
                    let from = if long { 12 } else { 0 };
                    let size = |at| u32::try_from(big(&bytes, at + from, 2)).unwrap_or(0);
                    let (width, height) = (size(76), size(80));
                    // The matrix turns the picture by a right angle if its first number is 0.
                    let turned = big(&bytes, 40 + from, 4) == 0 && big(&bytes, 44 + from, 4) != 0;
                    if let Some(track) = self.tracks.last_mut() {
                        (track.width, track.height) = if turned { (height, width) } else { (width, height) };
                    }
                } else if let Some(track) = self.tracks.last_mut() {
                    track.played.read(b"mdhd", &bytes)?;
                }
            }
            b"hdlr" => {
                let bytes = self.window.bytes(body, (part.end - body).min(24))?;
                if bytes.len() < 24 {
                    return Err(Fault::Damaged("a head in it is too short"));
                }
                // The handler of `minf` in old files says where data lie, not what they are.
                if let Some(track) = self.tracks.last_mut().filter(|track| track.handler == [0; 4]) {
                    track.handler.copy_from_slice(&bytes[8..12]);
                }
                if part.end > body + 25 {
                    self.traces.insert("the name of a track");
                }
                self.changes.push(Change::Zeros(body + 12..part.end));
            }
            b"dref" => {
                for entry in self.parts((body + 8).min(part.end)..part.end)? {
                    let flags = self.window.bytes(entry.body, (entry.end - entry.body).min(4))?;
                    // Entries whose lowest flag is not set name another file; those that do not have no name to give.
                    if let Some(track) = self.tracks.last_mut() {
                        track.outside |= big(&flags, 3, 1) & 1 == 0;
                    }
                    self.changes.push(Change::Zeros((entry.body + 4).min(entry.end)..entry.end));
                }
            }
            b"trex" | b"tfhd" | b"trun" => {
                let table = self.window.bytes(body, part.end - body)?;
                self.fragments.read(&part.kind, &table)?;
            }
            b"stsd" => self.descriptions(part)?,
            b"elst" | b"stts" | b"ctts" => {
                let table = self.window.bytes(body, part.end - body)?;
                if let Some(track) = self.tracks.last_mut() {
                    track.played.read(&part.kind, &table)?;
                }
            }
            b"stsc" | b"stsz" | b"stz2" | b"stco" | b"co64" => {
                let table = self.window.bytes(body, part.end - body)?;
                if let Some(track) = self.tracks.last_mut() {
                    track.samples.read(&part.kind, &table)?;
                }
            }
            _ => {}
        }
        Ok(())
    }

    /// Empties what lies behind the numbers of a box; a box whose numbers are of an unknown kind goes.
    fn exact(&mut self, part: &Part) -> Result<(), Fault> {
        let head = self.window.bytes(part.body, (part.end - part.body).min(32))?;
        match length(&part.kind, &head) {
            Some(len) if len > part.end - part.body => return Err(Fault::Damaged("a table in it is cut off")),
            Some(len) if len < part.end - part.body => {
                self.traces.insert("parts that neither picture nor sound needs");
                self.changes.push(Change::Zeros(part.body + len..part.end));
            }
            None if &part.kind == b"sgpd" => self.free(part),
            _ => {}
        }
        Ok(())
    }

    /// The formats that the film says it follows; one that is not known becomes the one that all follow.
    fn brands(&mut self, part: &Part) -> Result<(), Fault> {
        let body = self.window.bytes(part.body, (part.end - part.body).min(4096))?;
        for (brand, at) in body.chunks_exact(4).zip((part.body..).step_by(4)) {
            // The second four bytes are the version of the first.
            if at != part.body + 4 && !BRANDS.iter().any(|known| &known[..] == brand) {
                self.changes.push(Change::Put(at, b"isom".to_vec()));
            }
        }
        let read = part.body + body.len() as u64 / 4 * 4;
        self.changes.push(Change::Zeros(read..part.end));
        Ok(())
    }

    /// What the samples are coded with. The name of the coding program goes.
    fn descriptions(&mut self, part: &Part) -> Result<(), Fault> {
        let Some(handler) = self.tracks.last().map(|track| track.handler) else { return Ok(()) };
        let new = self.window.bytes(part.body, 1)?[0] > 0;
        for entry in self.parts((part.body + 8).min(part.end)..part.end)? {
            let codec = String::from_utf8_lossy(&entry.kind).trim().to_owned();
            if let Some(track) = self.tracks.last_mut() {
                track.codecs.push(codec);
            }
            if !matches!(&handler, b"vide" | b"soun") {
                continue;
            }
            // Lengths of the fixed part of an entry: ISO/IEC 14496-12, 12.1.3 and 12.2.3; sound has more of it in QuickTime.
            let version = big(&self.window.up_to(entry.body + 8, 2)?, 0, 2);
            let fixed = match (&handler, version) {
                (b"vide", _) => 78,
                (_, 1) if !new => 44,
                (_, 2) if !new => 64,
                _ => 28,
            };
            if entry.end < entry.body + fixed {
                return Err(Fault::Damaged("a head in it is too short"));
            }
            if &handler == b"vide" {
                let name = self.window.bytes(entry.body + 42, 32)?;
                if name[0] != 0 {
                    self.traces.insert("the name of a program");
                }
                for idle in [0..6, 8..24, 36..40, 42..74] {
                    self.changes.push(Change::Zeros(entry.body + idle.start..entry.body + idle.end));
                }
            } else {
                for idle in [0..6, 10..16] {
                    self.changes.push(Change::Zeros(entry.body + idle.start..entry.body + idle.end));
                }
            }
            for child in self.parts(entry.body + fixed..entry.end)? {
                let head = self.window.bytes(child.body, (child.end - child.body).min(32))?;
                let stays = match (&child.kind, head.get(..4)) {
                    (b"colr", Some(b"nclx" | b"nclc")) => child.end - child.body <= 11,
                    (b"colr", Some(b"prof" | b"rICC")) => {
                        let profile = self.window.bytes(child.body + 4, child.end - child.body - 4)?;
                        let words = icc::words(&profile);
                        words.map(|words| self.words.extend(words)).is_some()
                    }
                    (b"colr", _) => false,
                    (kind, _) => {
                        OF_ENTRY.contains(&kind) && length(kind, &head).is_none_or(|len| len == child.end - child.body)
                    }
                };
                if !stays {
                    self.free(&child);
                }
            }
        }
        Ok(())
    }

    /// Fills with zeros what lies between the samples of picture and sound.
    fn clear_between(&mut self, part: &Part, kept: &[Range<u64>]) {
        let mut at = part.body;
        for range in &kept[kept.partition_point(|range| range.end <= part.body)..] {
            if range.start >= part.end {
                break;
            }
            if range.start > at {
                self.changes.push(Change::Zeros(at..range.start));
            }
            at = range.end.max(at);
        }
        if at < part.end {
            self.changes.push(Change::Zeros(at..part.end));
        }
    }
}
