//! SVG: a drawing is text, and may bring scripts, other files and an editor's memory of where it lay. It is written anew from
//! what is on a list; what could show something else than before is refused.

use super::recipe::Recipe;
use super::svg_style::{is_harmless, without_comments};
use super::window::{Fault, Window};
use super::{Examined, Facts, Form, Refused};
use quick_xml::events::{BytesStart, BytesText, Event};
use quick_xml::{Reader, Writer};
use std::collections::BTreeSet;

/// Largest drawing that is read: it must be looked at as a whole.
const LARGEST: u64 = 8 * 1024 * 1024;

/// Elements that draw. Source: SVG 2, chapters 5 to 14.
const ELEMENTS: &[&str] = &[
    "svg",
    "g",
    "defs",
    "symbol",
    "use",
    "title",
    "desc",
    "path",
    "rect",
    "circle",
    "ellipse",
    "line",
    "polyline",
    "polygon",
    "text",
    "tspan",
    "textPath",
    "linearGradient",
    "radialGradient",
    "stop",
    "pattern",
    "clipPath",
    "mask",
    "marker",
    "style",
    "switch",
    "filter",
    "feGaussianBlur",
    "feOffset",
    "feMerge",
    "feMergeNode",
    "feColorMatrix",
    "feBlend",
    "feFlood",
    "feComposite",
    "feDropShadow",
    "view",
];

/// Elements that do something else; a drawing that has one is not what it seems.
const REFUSED: &[&str] = &[
    "script",
    "foreignObject",
    "image",
    "iframe",
    "embed",
    "object",
    "audio",
    "video",
    "a",
    "animate",
    "set",
    "animateMotion",
    "animateTransform",
    "handler",
    "feImage",
];

/// What is said of a drawing that has one of these.
const NOT_WHAT_IT_SEEMS: Stop = Stop::Refused("a drawing with scripts, links, animation or other files in it");

/// Attributes for people and programs that read, not for drawing: no style is in them.
const TELLING: &[&str] = &["id", "class", "lang", "role", "title", "systemlanguage"];
/// Attributes that hold numbers, places and shapes. Source: SVG 2, appendix on attributes.
#[rustfmt::skip]
const DRAWING: &[&str] = &[
    "d", "points", "viewbox", "transform", "gradienttransform", "patterntransform", "values", "x", "y", "dx", "dy", "x1", "x2",
    "y1", "y2", "cx", "cy", "r", "rx", "ry", "fx", "fy", "fr", "width", "height", "rotate", "stroke-dasharray", "stroke-width",
    "offset", "textlength", "startoffset", "stddeviation", "font-size",
];
/// Elements whose words go on in the same line: a program that writes a drawing may part a word with them.
const IN_LINE: &[&str] = &["tspan", "textPath"];
/// Digits that no rule takes for a number of a person.
const FEW_DIGITS: usize = 6;

pub(super) fn walk(window: &mut Window<'_>) -> Result<Examined, Fault> {
    let refused = |what| {
        Ok(Examined::Refused(Refused {
            what,
            way: "save it as plain SVG without scripts, links and pictures inside, or as PNG",
        }))
    };
    if window.size > LARGEST {
        return refused("a drawing of more than 8 MB");
    }
    let bytes = window.bytes(0, window.size)?;
    let Ok(text) = String::from_utf8(bytes) else { return refused("a drawing in another encoding than UTF-8") };
    let mut clean = Clean {
        facts: Facts::new(Form::Svg),
        writer: Writer::new(Vec::new()),
        skip: 0,
        style: None,
        joined: String::new(),
        apart: String::new(),
        values: BTreeSet::new(),
    };
    match clean.read(&text) {
        Ok(()) => {}
        Err(Stop::Refused(what)) => return refused(what),
        Err(Stop::Damaged) => return Err(Fault::Damaged("it is not well-formed XML")),
    }
    if clean.joined != clean.apart {
        clean.facts.words.push(clean.joined);
    }
    clean.facts.words.push(clean.apart);
    clean.facts.words.extend(clean.values);
    let mut recipe = Recipe::default();
    let mut bytes = clean.writer.into_inner();
    if bytes.last() != Some(&b'\n') {
        bytes.push(b'\n');
    }
    recipe.put(bytes);
    Ok(Examined::Sound(clean.facts, recipe))
}

enum Stop {
    Refused(&'static str),
    Damaged,
}

impl<E: std::error::Error> From<E> for Stop {
    fn from(_: E) -> Self {
        Self::Damaged
    }
}

struct Clean {
    facts: Facts,
    writer: Writer<Vec<u8>>,
    /// How deep inside an element that is left out.
    skip: usize,
    /// The style sheet that is being read.
    style: Option<String>,
    /// All that is written in the drawing, as it reads when what goes on in a line is one word.
    joined: String,
    /// The same with a blank wherever an element begins or ends.
    apart: String,
    /// Names and values of attributes, and style sheets.
    values: BTreeSet<String>,
}

impl Clean {
    fn read(&mut self, text: &str) -> Result<(), Stop> {
        let mut reader = Reader::from_str(text);
        let (mut depth, mut ended) = (0_usize, false);
        loop {
            let event = reader.read_event()?;
            let holds = match &event {
                Event::Start(_) | Event::Empty(_) => true,
                // Nothing is written before or after the drawing.
                Event::Text(text) => depth == 0 && !text.trim().is_empty(),
                Event::CData(_) | Event::GeneralRef(_) => depth == 0,
                _ => false,
            };
            if holds && (ended || depth == 0 && !matches!(event, Event::Start(_) | Event::Empty(_))) {
                return Err(Stop::Damaged);
            }
            match event {
                Event::Start(element) => {
                    depth += 1;
                    if self.begins(&element, depth == 1)? {
                        let element = self.element(&element, depth == 1)?;
                        if element.local_name().as_ref() == "style" {
                            self.style = Some(String::new());
                        }
                        self.writer.write_event(Event::Start(element))?;
                    } else {
                        self.skip += 1;
                    }
                }
                Event::Empty(element) => {
                    ended = depth == 0;
                    if self.begins(&element, depth == 0)? {
                        let element = self.element(&element, depth == 0)?;
                        self.writer.write_event(Event::Empty(element))?;
                    }
                }
                Event::End(element) => {
                    depth = depth.saturating_sub(1);
                    ended = depth == 0;
                    if self.skip > 0 {
                        self.skip -= 1;
                    } else {
                        if let Some(sheet) = self.style.take() {
                            self.sheet(&sheet)?;
                        }
                        self.part(element.local_name().as_ref());
                        self.writer.write_event(Event::End(element))?;
                    }
                }
                Event::Text(text) if self.skip == 0 => {
                    if depth == 0 || self.says(&text) {
                        self.writer.write_event(Event::Text(text))?;
                    }
                }
                Event::CData(data) if self.skip == 0 => {
                    if self.says(&data) {
                        self.writer.write_event(Event::CData(data))?;
                    }
                }
                Event::GeneralRef(name) if self.skip == 0 => {
                    // A name of its own could stand for anything.
                    let letter = match &*name {
                        "amp" => Some('&'),
                        "lt" => Some('<'),
                        "gt" => Some('>'),
                        "quot" => Some('"'),
                        "apos" => Some('\''),
                        _ => name.resolve_char_ref()?,
                    };
                    let Some(letter) = letter else {
                        return Err(Stop::Refused("a drawing with entities of its own"));
                    };
                    if self.says(letter.encode_utf8(&mut [0; 4])) {
                        self.writer.write_event(Event::GeneralRef(name))?;
                    }
                }
                Event::DocType(kind) => {
                    if kind.contains('[') {
                        return Err(Stop::Refused("a drawing with entities of its own"));
                    }
                }
                Event::Comment(_) | Event::PI(_) => {
                    self.facts.traces.insert("a comment");
                }
                Event::Eof if depth == 0 && ended => return Ok(()),
                Event::Eof => return Err(Stop::Damaged),
                Event::Decl(_) | Event::Text(_) | Event::CData(_) | Event::GeneralRef(_) => {}
            }
        }
    }

    /// Takes note of what the drawing says, so that rules can read it. A style sheet is gathered first: whether this text goes
    /// into the copy as it stands.
    fn says(&mut self, words: &str) -> bool {
        if let Some(sheet) = &mut self.style {
            sheet.push_str(words);
            return false;
        }
        self.joined.push_str(words);
        self.apart.push_str(words);
        true
    }

    /// An element begins or ends between two words.
    fn part(&mut self, name: &str) {
        for words in [&mut self.apart, &mut self.joined].into_iter().take(if IN_LINE.contains(&name) { 1 } else { 2 }) {
            if words.ends_with(|letter: char| !letter.is_whitespace()) {
                words.push(' ');
            }
        }
    }

    /// A whole style sheet, as a browser puts it together from what stands in its element, goes out as one text.
    fn sheet(&mut self, sheet: &str) -> Result<(), Stop> {
        let clean = without_comments(sheet);
        if !is_harmless(&clean) {
            return Err(NOT_WHAT_IT_SEEMS);
        }
        if clean != sheet {
            self.facts.traces.insert("a comment");
        }
        self.writer.write_event(Event::Text(BytesText::new(&clean)))?;
        self.values.insert(clean);
        Ok(())
    }

    /// Whether an element that begins goes into the copy.
    fn begins(&mut self, element: &BytesStart<'_>, root: bool) -> Result<bool, Stop> {
        // A style sheet holds no elements: a browser would leave them out and join what stands around them.
        if self.style.is_some() {
            return Err(NOT_WHAT_IT_SEEMS);
        }
        let stays = self.skip == 0 && self.stays(element)?;
        if root && !(stays && element.local_name().as_ref() == "svg") {
            return Err(Stop::Damaged);
        }
        if stays {
            self.part(element.local_name().as_ref());
        }
        Ok(stays)
    }

    /// Whether an element goes into the copy.
    fn stays(&mut self, element: &BytesStart<'_>) -> Result<bool, Stop> {
        let name = element.local_name().as_ref().to_owned();
        if REFUSED.contains(&name.as_str()) {
            return Err(NOT_WHAT_IT_SEEMS);
        }
        let plain = element.name().prefix().is_none_or(|prefix| prefix.as_ref() == "svg");
        let stays = plain && ELEMENTS.contains(&name.as_str());
        if !stays {
            self.facts.traces.insert(if name == "metadata" { "a description" } else { "data of a program" });
        }
        Ok(stays)
    }

    /// The element with the attributes that may stay.
    fn element(&mut self, element: &BytesStart<'_>, root: bool) -> Result<BytesStart<'static>, Stop> {
        let mut clean = BytesStart::new(element.name().as_ref().to_owned());
        for attribute in element.attributes() {
            let attribute = attribute?;
            let key = attribute.key.as_ref().to_owned();
            let mut value = attribute.normalized_value(quick_xml::XmlVersion::default())?.into_owned();
            let (prefix, local) = key.split_once(':').unwrap_or(("", &key));
            let lower = local.to_ascii_lowercase();
            if lower.starts_with("on") {
                return Err(NOT_WHAT_IT_SEEMS);
            }
            if lower == "href" {
                if !value.starts_with('#') {
                    return Err(NOT_WHAT_IT_SEEMS);
                }
                self.note(&value);
            } else if prefix == "xmlns" || key == "xmlns" {
                // Of the names of spaces only those of drawings are still used.
                if !matches!(value.as_str(), "http://www.w3.org/2000/svg" | "http://www.w3.org/1999/xlink") {
                    continue;
                }
            } else if !matches!(prefix, "" | "xml" | "svg") || lower == "base" || lower.starts_with("data-") {
                self.facts.traces.insert("data of a program");
                continue;
            } else {
                if lower == "style" {
                    value = without_comments(&value);
                }
                if !(TELLING.contains(&lower.as_str()) || lower.starts_with("aria-") || is_harmless(&value)) {
                    return Err(NOT_WHAT_IT_SEEMS);
                }
                if !is_geometry(&lower, &value) {
                    self.note(&value);
                }
            }
            self.note(local);
            if root {
                self.measure(&lower, &value);
            }
            clean.push_attribute((key.as_str(), value.as_str()));
        }
        Ok(clean)
    }

    /// Takes note of a value that stays, as it is and as words.
    fn note(&mut self, value: &str) {
        let words = value.trim_start_matches('#').replace(['-', '_'], " ");
        if words != value {
            self.values.insert(words);
        }
        self.values.insert(value.to_owned());
    }

    fn measure(&mut self, name: &str, value: &str) {
        let pixels =
            |text: &str| text.trim().trim_end_matches("px").parse::<f64>().ok().filter(|it| (1.0..1e5).contains(it));
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "the value lies between 1 and 100000"
        )]
        let whole = |number: f64| number as u32;
        match name {
            "width" => self.facts.width = pixels(value).map_or(self.facts.width, whole),
            "height" => self.facts.height = pixels(value).map_or(self.facts.height, whole),
            "viewbox" => {
                let numbers: Vec<f64> = value.split([' ', ',']).filter_map(|part| part.parse().ok()).collect();
                if let [_, _, width, height] = numbers[..] {
                    for (side, number) in [(&mut self.facts.width, width), (&mut self.facts.height, height)] {
                        if *side == 0 && (1.0..1e5).contains(&number) {
                            *side = whole(number);
                        }
                    }
                }
            }
            _ => {}
        }
    }
}

/// Whether the value of an attribute that draws is made of numbers of a few digits and the words of paths and
/// transformations: `M10 20.5l3-4`, `0 0 40 30`, `rotate(45 10 10)`. No name, and no number of a person, is in such a one.
///
/// Source of letters and words: SVG 2, section 9.3; CSS Transforms 1, section 12.
fn is_geometry(name: &str, value: &str) -> bool {
    const TURNS: &[&str] = &["matrix", "translate", "scale", "rotate", "skewX", "skewY"];
    DRAWING.contains(&name)
        && value.chars().all(|letter| letter.is_ascii_alphanumeric() || "+-., \t\n%()".contains(letter))
        && value.split(|letter: char| !letter.is_ascii_alphabetic()).all(|word| {
            TURNS.contains(&word)
                || word.len() <= 2 && word.chars().all(|letter| "MmLlHhVvCcSsQqTtAaZzEe".contains(letter))
        })
        && value
            .split(|letter: char| !letter.is_ascii_digit() && letter != '.')
            .all(|number| number.split('.').next().is_none_or(|whole| whole.len() <= FEW_DIGITS))
}
