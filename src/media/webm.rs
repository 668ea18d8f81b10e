//! WebM: elements in elements. Nothing moves: what is left out becomes a void element of the same size.
//!
//! Sources: RFC 8794 (EBML), RFC 9559 (Matroska), the WebM container guidelines.

use super::recipe::Recipe;
use super::webm_list::{Manner, manner};
use super::window::{Fault, Window, big};
use super::{Examined, Facts, Film, Form, Refused, Trace};
use std::collections::BTreeSet;

/// What is wrong with an element whose name or length cannot be read.
const NO_HEAD: Fault = Fault::Damaged("an element in it has no sound head");
/// More elements than a film of many hours has: a day of 60 pictures and 50 pieces of sound a second has 9.5 million.
const MOST_ELEMENTS: usize = 12_000_000;
/// Elements in elements, at the most.
const DEEPEST: usize = 6;
/// Letters of a codec's name, at the most.
const LONGEST_CODEC: u64 = 32;

// Identifiers of elements, RFC 9559, section 5.
const EBML: u64 = 0x1a45_dfa3;
const SEGMENT: u64 = 0x1853_8067;
const SEEK_HEAD: u64 = 0x114d_9b74;
const INFO: u64 = 0x1549_a966;
const TRACKS: u64 = 0x1654_ae6b;
const CLUSTER: u64 = 0x1f43_b675;
const CUES: u64 = 0x1c53_bb6b;
const TAGS: u64 = 0x1254_c367;
const CHAPTERS: u64 = 0x1043_a770;
const ATTACHMENTS: u64 = 0x1941_a469;
const VOID: u64 = 0xec;
const CRC: u64 = 0xbf;
const SCALE: u64 = 0x2a_d7b1;
const DURATION: u64 = 0x4489;
const MUXER: u64 = 0x4d80;
const WRITER: u64 = 0x5741;
const TRACK: u64 = 0xae;
const TRACK_KIND: u64 = 0x83;
const CODEC: u64 = 0x86;
const CODEC_DATA: u64 = 0x63a2;
const PACKING: u64 = 0x6d80;
const DOC_TYPE: u64 = 0x4282;
const VIDEO: u64 = 0xe0;
const WIDTH: u64 = 0xb0;
const HEIGHT: u64 = 0xba;

#[derive(Debug, Clone, Copy)]
struct Element {
    id: u64,
    start: u64,
    body: u64,
    /// None if the element does not know its own length, as in a recording that was broken off or sent live.
    end: Option<u64>,
}

struct Walk<'w, 's> {
    window: &'w mut Window<'s>,
    recipe: Recipe,
    traces: BTreeSet<Trace>,
    elements: usize,
    facts: Facts,
    film: Film,
    scale: u64,
    length: f64,
    /// Tracks of pictures, of sound, and of anything else.
    tracks: [usize; 3],
    packed: bool,
    other_kind: bool,
    clusters: usize,
}

pub(super) fn walk(window: &mut Window<'_>) -> Result<Examined, Fault> {
    let mut walk = Walk {
        window,
        recipe: Recipe::default(),
        traces: BTreeSet::new(),
        elements: 0,
        facts: Facts::new(Form::WebM),
        film: Film { index_first: true, ..Film::default() },
        scale: 1_000_000,
        length: 0.0,
        tracks: [0; 3],
        packed: false,
        other_kind: false,
        clusters: 0,
    };
    let mut at = 0;
    let size = walk.window.size;
    while at < size {
        let element = walk.element(at, size)?;
        let end = element.end.unwrap_or(size);
        match element.id {
            EBML => walk.listed(element, end, 0)?,
            SEGMENT => {
                walk.recipe.keep(at..element.body);
                walk.segment(element.body, end)?;
            }
            _ => walk.void(element, end, "parts that neither picture nor sound needs"),
        }
        at = end;
    }
    if walk.other_kind {
        return Ok(Examined::Refused(Refused { what: "a Matroska film", way: super::REWRAP }));
    }
    let [pictures, sounds, others] = walk.tracks;
    let refused = match (pictures, sounds, others) {
        (_, _, 1..) => Some("a WebM film with tracks besides picture and sound"),
        (2.., _, _) | (_, 2.., _) => {
            Some("a film with more than one picture or sound track, of which browsers play the first")
        }
        _ if walk.packed => Some("a WebM film whose samples are packed or encrypted"),
        _ => None,
    };
    if let Some(what) = refused {
        let way = "keep the first picture and sound, and listen to it: ffmpeg -i IN -map 0:v:0 -map 0:a:0? -c copy OUT-one.webm";
        return Ok(Examined::Refused(Refused { what, way }));
    }
    if walk.clusters == 0 || !walk.film.codecs.iter().any(|codec| codec.starts_with("V_")) {
        return Err(Fault::Damaged("it holds no pictures"));
    }
    #[expect(clippy::cast_precision_loss, reason = "the scale is a small number of nanoseconds")]
    let seconds = walk.length * walk.scale as f64 / 1e9;
    walk.film.sound = walk.tracks[1] > 0;
    walk.film.seconds = if seconds.is_finite() { seconds } else { 0.0 };
    let Walk { mut facts, film, traces, recipe, .. } = walk;
    (facts.film, facts.traces) = (Some(film), traces);
    Ok(Examined::Sound(facts, recipe))
}

impl Walk<'_, '_> {
    /// The head of the element at a place; what it holds must lie before `limit`.
    fn element(&mut self, at: u64, limit: u64) -> Result<Element, Fault> {
        self.elements += 1;
        if self.elements > MOST_ELEMENTS {
            return Err(Fault::Damaged("it has more parts than any film"));
        }
        let head = self.window.up_to(at, 12)?;
        let id_len = head.first().map_or(9, |first| first.leading_zeros() as usize + 1);
        if id_len > 4 || head.len() <= id_len {
            return Err(NO_HEAD);
        }
        let size_len = head[id_len].leading_zeros() as usize + 1;
        if size_len > 8 || head.len() < id_len + size_len {
            return Err(NO_HEAD);
        }
        let raw = big(&head, id_len, size_len);
        let value = raw & !(1 << (7 * size_len));
        let unknown = value == (1 << (7 * size_len)) - 1;
        let body = at + (id_len + size_len) as u64;
        let end = (!unknown).then(|| body.checked_add(value));
        match end {
            None => Ok(Element { id: big(&head, 0, id_len), start: at, body, end: None }),
            Some(Some(end)) if end <= limit => {
                Ok(Element { id: big(&head, 0, id_len), start: at, body, end: Some(end) })
            }
            Some(_) => Err(Fault::Damaged("a part of it reaches beyond its end")),
        }
    }

    /// Puts a void element of the same length in an element's place.
    fn void(&mut self, element: Element, end: u64, trace: Trace) {
        let whole = end - element.start;
        // One byte says that it is void, up to eight how long it is.
        let width = (whole - 1).min(8);
        let len = whole - 1 - width;
        let mut head = vec![0xec];
        head.extend(&((1_u64 << (7 * width)) | len).to_be_bytes()[8 - usize::try_from(width).unwrap_or(8)..]);
        self.recipe.put(head);
        self.recipe.zeros(len);
        if element.id != VOID && element.id != CRC {
            self.traces.insert(trace);
        }
    }

    fn segment(&mut self, from: u64, to: u64) -> Result<(), Fault> {
        let mut at = from;
        while at < to {
            let element = self.element(at, to)?;
            let end = match element.end {
                Some(end) => end,
                None if element.id == CLUSTER => self.end_of_cluster(element.body, to)?,
                None => to,
            };
            match element.id {
                CLUSTER => {
                    self.clusters += 1;
                    self.listed(element, end, 0)?;
                }
                SEEK_HEAD | CUES => self.listed(element, end, 0)?,
                INFO => self.info(element, end)?,
                TRACKS => self.tracks(element, end)?,
                TAGS => self.void(element, end, "title, place, author or program"),
                CHAPTERS => self.void(element, end, "names of chapters"),
                ATTACHMENTS => self.void(element, end, "attached files"),
                _ => self.void(element, end, "parts that neither picture nor sound needs"),
            }
            at = end;
        }
        Ok(())
    }

    /// A cluster that does not know its length ends where the next element of its own level begins.
    fn end_of_cluster(&mut self, from: u64, to: u64) -> Result<u64, Fault> {
        let mut at = from;
        while at < to {
            let element = self.element(at, to)?;
            if matches!(element.id, CLUSTER | CUES | TAGS | CHAPTERS | ATTACHMENTS | INFO | TRACKS | SEEK_HEAD) {
                break;
            }
            at = element.end.ok_or(NO_HEAD)?;
        }
        Ok(at)
    }

    /// An element of which only that stays which is on the list.
    fn listed(&mut self, whole: Element, end: u64, depth: usize) -> Result<(), Fault> {
        if depth > DEEPEST {
            return Err(Fault::Damaged("its parts are nested too deeply"));
        }
        self.recipe.keep(whole.start..whole.body);
        let mut at = whole.body;
        while at < end {
            let (element, next) = self.child(at, end)?;
            match manner(whole.id, element.id, next - element.body) {
                Some(Manner::Opens) => self.listed(element, next, depth + 1)?,
                Some(Manner::Number | Manner::Language | Manner::Samples) => self.recipe.keep(at..next),
                None if whole.id == EBML && element.id == DOC_TYPE => {
                    let kind = self.window.bytes(element.body, (next - element.body).min(64))?;
                    self.other_kind |= kind != b"webm";
                    self.recipe.keep(at..next);
                }
                None => self.void(element, next, "parts that neither picture nor sound needs"),
            }
            if matches!((whole.id, element.id), (VIDEO, WIDTH | HEIGHT)) {
                let len = usize::try_from(next - element.body).unwrap_or(8).min(8);
                let number = u32::try_from(big(&self.window.bytes(element.body, len as u64)?, 0, len)).unwrap_or(0);
                *(if element.id == WIDTH { &mut self.facts.width } else { &mut self.facts.height }) = number;
            }
            at = next;
        }
        Ok(())
    }

    /// The element at `at` inside another that ends at `end`, and where it ends: only the outermost may leave that open.
    fn child(&mut self, at: u64, end: u64) -> Result<(Element, u64), Fault> {
        let element = self.element(at, end)?;
        let next = element.end.ok_or(NO_HEAD)?;
        Ok((element, next))
    }

    fn info(&mut self, whole: Element, end: u64) -> Result<(), Fault> {
        self.recipe.keep(whole.start..whole.body);
        let mut at = whole.body;
        while at < end {
            let (element, next) = self.child(at, end)?;
            match element.id {
                SCALE | DURATION if next - element.body > 8 => {
                    return Err(Fault::Damaged("a number in it is too long"));
                }
                SCALE => {
                    let len = usize::try_from(next - element.body).unwrap_or(8).min(8);
                    self.scale = big(&self.window.bytes(element.body, len as u64)?, 0, len).max(1);
                    self.recipe.keep(at..next);
                }
                DURATION => {
                    let bytes = self.window.bytes(element.body, (next - element.body).min(8))?;
                    self.length = match bytes[..] {
                        [a, b, c, d] => f64::from(f32::from_be_bytes([a, b, c, d])),
                        [a, b, c, d, e, f, g, h] => f64::from_be_bytes([a, b, c, d, e, f, g, h]),
                        _ => 0.0,
                    };
                    self.recipe.keep(at..next);
                }
                // Both must be there; a text of zeros is an empty one.
                MUXER | WRITER => {
                    self.traces.insert("the name of a program");
                    self.recipe.keep(at..element.body);
                    self.recipe.zeros(next - element.body);
                }
                0x4461 => self.void(element, next, "the time it was taken"),
                _ => self.void(element, next, "title, place, author or program"),
            }
            at = next;
        }
        Ok(())
    }

    fn tracks(&mut self, whole: Element, end: u64) -> Result<(), Fault> {
        self.recipe.keep(whole.start..whole.body);
        let mut at = whole.body;
        while at < end {
            let (element, next) = self.child(at, end)?;
            if element.id == TRACK {
                self.track(element, next)?;
            } else {
                self.void(element, next, "parts that neither picture nor sound needs");
            }
            at = next;
        }
        Ok(())
    }

    fn track(&mut self, whole: Element, end: u64) -> Result<(), Fault> {
        self.recipe.keep(whole.start..whole.body);
        let mut at = whole.body;
        while at < end {
            let (element, next) = self.child(at, end)?;
            match element.id {
                CODEC => {
                    let len = next - element.body;
                    let name = self.window.bytes(element.body, len.min(LONGEST_CODEC))?;
                    let name = name.split(|byte| *byte == 0).next().unwrap_or(&[]);
                    let letters =
                        |byte: &u8| byte.is_ascii_uppercase() || byte.is_ascii_digit() || b"_/.".contains(byte);
                    if !name.iter().all(letters) {
                        return Err(Fault::Damaged("its codec has no sound name"));
                    }
                    self.film.codecs.push(String::from_utf8_lossy(name).into_owned());
                    let shown = element.body + name.len() as u64;
                    self.recipe.keep(at..shown);
                    self.recipe.zeros(next - shown);
                }
                CODEC_DATA => {
                    let data = self.window.bytes(element.body, next - element.body)?;
                    self.recipe.keep(at..element.body);
                    match vorbis_without_comments(&data) {
                        Some(clean) => {
                            self.traces.insert("the name of a program");
                            self.recipe.put(clean);
                        }
                        None => self.recipe.keep(element.body..next),
                    }
                }
                id => {
                    if id == TRACK_KIND {
                        let kind = self.window.bytes(element.body, (next - element.body).min(8))?;
                        self.tracks[match kind.last() {
                            Some(1) => 0,
                            Some(2) => 1,
                            _ => 2,
                        }] += 1;
                    }
                    self.packed |= id == PACKING;
                    match manner(TRACK, id, next - element.body) {
                        Some(Manner::Opens) => self.listed(element, next, 0)?,
                        Some(_) => self.recipe.keep(at..next),
                        None => self.void(element, next, "the name of a track"),
                    }
                }
            }
            at = next;
        }
        Ok(())
    }
}

/// Three headers of Vorbis in one piece, the second of which holds comments: the same length, with none.
///
/// Source: Vorbis I, 5.2.1; RFC 9559, section on `A_VORBIS`. None if these are no such headers, or have nothing to take out.
fn vorbis_without_comments(data: &[u8]) -> Option<Vec<u8>> {
    let start = data.windows(7).position(|seven| seven == b"\x03vorbis")?;
    let setup = start + 7 + data[start + 7..].windows(7).position(|seven| seven == b"\x05vorbis")?;
    // The length of the vendor's name, the name, the count of comments, and the last bit.
    let room = setup.checked_sub(start + 7 + 4 + 4 + 1)?;
    let mut clean = data.to_vec();
    clean[start + 7..start + 11].copy_from_slice(&u32::try_from(room).ok()?.to_le_bytes());
    clean[start + 11..start + 11 + room].fill(b' ');
    clean[setup - 5..setup - 1].fill(0);
    clean[setup - 1] = 1;
    Some(clean)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    #[test]
    fn a_void_is_as_long_as_what_it_takes_the_place_of() {
        for len in [0_u64, 1, 2, 5, 6, 7, 100, 126, 127, 128, 20_000] {
            let mut bytes = vec![0x55, 0x66];
            bytes.extend(((1_u64 << 28) | len).to_be_bytes()[4..].iter());
            bytes.extend(std::iter::repeat_n(b'x', usize::try_from(len).expect("small")));
            let size = bytes.len() as u64;
            let mut source = Cursor::new(bytes);
            let mut window = Window::new(&mut source, size);
            let mut walk = Walk {
                window: &mut window,
                recipe: Recipe::default(),
                traces: BTreeSet::new(),
                elements: 0,
                facts: Facts::new(Form::WebM),
                film: Film::default(),
                scale: 1,
                length: 0.0,
                tracks: [0; 3],
                packed: false,
                other_kind: false,
                clusters: 0,
            };
            let element = walk.element(0, size).expect("sound");
            walk.void(element, size, "it");
            assert_eq!(walk.recipe.size(), size);
            let recipe = walk.recipe.clone();
            let mut copy = Vec::new();
            crate::media::copy(&mut Cursor::new(Vec::new()), &recipe, &mut copy).expect("nothing is read");
            let mut source = Cursor::new(copy);
            let mut window = Window::new(&mut source, size);
            walk.window = &mut window;
            let void = walk.element(0, size).expect("a sound element");
            assert_eq!((void.id, void.end), (VOID, Some(size)));
        }
    }
}
