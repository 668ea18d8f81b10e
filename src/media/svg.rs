//! SVG: a drawing is text, and may bring scripts, other files and an editor's memory of where it lay. It is written anew from
//! what is on a list; what could show something else than before is refused.

use super::recipe::Recipe;
use super::window::{Fault, Window};
use super::{Examined, Facts, Form, Refused};
use quick_xml::events::{BytesStart, Event};
use quick_xml::{Reader, Writer};

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
        style: false,
        said: String::new(),
    };
    match clean.read(&text) {
        Ok(()) => {}
        Err(Stop::Refused(what)) => return refused(what),
        Err(Stop::Damaged) => return Err(Fault::Damaged("it is not well-formed XML")),
    }
    clean.facts.words.push(clean.said);
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
    /// Whether the text that follows is a style sheet.
    style: bool,
    /// All that is written in the drawing.
    said: String,
}

impl Clean {
    fn read(&mut self, text: &str) -> Result<(), Stop> {
        let mut reader = Reader::from_str(text);
        let mut depth = 0_usize;
        loop {
            match reader.read_event()? {
                Event::Start(element) => {
                    depth += 1;
                    if self.skip > 0 || !self.stays(&element)? {
                        self.skip += 1;
                    } else {
                        self.style = element.local_name().as_ref() == "style";
                        let element = self.element(&element, depth == 1)?;
                        self.writer.write_event(Event::Start(element))?;
                    }
                }
                Event::Empty(element) => {
                    if self.skip == 0 && self.stays(&element)? {
                        let element = self.element(&element, depth == 0)?;
                        self.writer.write_event(Event::Empty(element))?;
                    }
                }
                Event::End(element) => {
                    depth = depth.saturating_sub(1);
                    if self.skip > 0 {
                        self.skip -= 1;
                    } else {
                        self.style = false;
                        self.said.push(' ');
                        self.writer.write_event(Event::End(element))?;
                    }
                }
                Event::Text(text) if self.skip == 0 => {
                    self.say(&text)?;
                    self.writer.write_event(Event::Text(text))?;
                }
                Event::CData(data) if self.skip == 0 => {
                    self.say(&data)?;
                    self.writer.write_event(Event::CData(data))?;
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
                    self.say(&letter.to_string())?;
                    self.writer.write_event(Event::GeneralRef(name))?;
                }
                Event::DocType(kind) => {
                    if kind.contains('[') {
                        return Err(Stop::Refused("a drawing with entities of its own"));
                    }
                }
                Event::Comment(_) | Event::PI(_) => {
                    self.facts.traces.insert("a comment");
                }
                Event::Eof if depth == 0 => return Ok(()),
                Event::Eof => return Err(Stop::Damaged),
                Event::Decl(_) | Event::Text(_) | Event::CData(_) | Event::GeneralRef(_) => {}
            }
        }
    }

    /// Takes note of what the drawing says, so that rules can read it.
    fn say(&mut self, words: &str) -> Result<(), Stop> {
        if self.style {
            return check_style(words);
        }
        self.said.push_str(words);
        Ok(())
    }

    /// Whether an element goes into the copy.
    fn stays(&mut self, element: &BytesStart<'_>) -> Result<bool, Stop> {
        let name = element.local_name().as_ref().to_owned();
        if REFUSED.contains(&name.as_str()) {
            return Err(Stop::Refused("a drawing with scripts, links, animation or other files in it"));
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
            let value = attribute.normalized_value(quick_xml::XmlVersion::default())?.into_owned();
            let (prefix, local) = key.split_once(':').unwrap_or(("", &key));
            let lower = local.to_ascii_lowercase();
            if lower.starts_with("on") {
                return Err(Stop::Refused("a drawing with scripts, links, animation or other files in it"));
            }
            if lower == "href" {
                if !value.starts_with('#') {
                    return Err(Stop::Refused("a drawing with scripts, links, animation or other files in it"));
                }
            } else if prefix == "xmlns" || key == "xmlns" {
                // Of the names of spaces only those of drawings are still used.
                if !matches!(value.as_str(), "http://www.w3.org/2000/svg" | "http://www.w3.org/1999/xlink") {
                    continue;
                }
            } else if !matches!(prefix, "" | "xml" | "svg") || matches!(lower.as_str(), "base" | "data-name") {
                self.facts.traces.insert("data of a program");
                continue;
            } else {
                check_style(&value)?;
                if lower == "id" || lower == "class" || lower.starts_with("aria-") {
                    self.facts.words.push(value.clone());
                }
            }
            if root {
                self.measure(&lower, &value);
            }
            clean.push_attribute((key.as_str(), value.as_str()));
        }
        Ok(clean)
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

/// A style, or an attribute that may hold one, must not fetch anything.
fn check_style(text: &str) -> Result<(), Stop> {
    let lower = text.to_ascii_lowercase();
    let fetches = lower
        .match_indices("url(")
        .any(|(at, _)| !lower[at + 4..].trim_start_matches([' ', '"', '\'']).starts_with('#'));
    // A backslash could hide any of these words.
    if fetches || ["@import", "javascript:", "expression(", "data:", "\\"].iter().any(|word| lower.contains(word)) {
        return Err(Stop::Refused("a drawing with scripts, links, animation or other files in it"));
    }
    Ok(())
}
