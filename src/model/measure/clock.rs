//! Places on the eye by the face of a clock, as the surgeon sees it: 12 o'clock is above, for either eye.

use serde::{Deserialize, Serialize};
use std::fmt;

use super::Fault;
use super::number::Number;
use super::scan::{Cursor, body, judged, plain, quoted, replaced};

/// What a place may be, for messages.
const PLACES: &str = "a clock hour (`2 o'clock`), an arc (`4 to 7 o'clock`), a choice (`2 or 3 o'clock`), a side or quadrant (`temporal`, `superonasal`) or a place by the incision (`3 clock hours clockwise of the incision`)";
/// Degrees of one clock hour.
const HOUR_DEGREES: f64 = 30.0;

/// The eye operated on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Eye {
    /// The patient's right eye: temporal is at 9 o'clock.
    Right,
    /// The patient's left eye: temporal is at 3 o'clock.
    Left,
}

impl Eye {
    /// Both eyes.
    pub const ALL: [Self; 2] = [Self::Right, Self::Left];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Left => "left",
        }
    }

    /// Reads `right` or `left`.
    ///
    /// # Errors
    /// A fault when the word is another.
    pub fn parse(text: &str) -> Result<Self, Fault> {
        judged(text, "right or left", |text| match plain(text).as_str() {
            "right" | "right eye" | "re" | "od" => Ok(Self::Right),
            "left" | "left eye" | "le" | "os" => Ok(Self::Left),
            words => {
                let near = crate::text::nearest(words, ["right", "left"]).map(str::to_owned);
                Err(Fault::new(format!("{} is not right or left", quoted(text)), body(text)).or_any(near))
            }
        })
    }
}

impl fmt::Display for Eye {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(self.word())
    }
}

/// A place on the clock face in half hours, 12 o'clock first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Hour {
    halves: u8,
}

impl Hour {
    /// A full or half hour, 1 to 12; `None` for another hour.
    pub fn new(hour: u8, half_past: bool) -> Option<Self> {
        (1..=12).contains(&hour).then(|| Self { halves: hour % 12 * 2 + u8::from(half_past) })
    }

    /// Half hours after 12 o'clock, 0 to 23.
    pub fn halves(self) -> u8 {
        self.halves
    }

    /// Degrees from 3 o'clock against the clock, as the examiner sees the eye: (90 - 30 h) mod 360.
    pub fn degrees(self) -> f64 {
        degrees(f64::from(self.halves) / 2.0)
    }

    /// The hour so many half hours further with the clock.
    fn moved(self, halves: i16) -> Self {
        let halves = (i16::from(self.halves) + halves).rem_euclid(24);
        Self { halves: halves as u8 }
    }
}

impl fmt::Display for Hour {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let hour = if self.halves < 2 { 12 } else { self.halves / 2 };
        let half = if self.halves % 2 == 1 { ":30" } else { "" };
        write!(out, "{hour}{half}")
    }
}

fn degrees(hours: f64) -> f64 {
    (90.0 - HOUR_DEGREES * hours).rem_euclid(360.0)
}

/// Clock hours from one place to another with the clock: 2 to 5 is 3, 10 to 2 is 4, an hour to itself 0.
pub fn span_hours(from: Hour, to: Hour) -> f64 {
    let halves = (i16::from(to.halves) - i16::from(from.halves)).rem_euclid(24);
    f64::from(halves) / 2.0
}

/// A side or quadrant of the eye.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Side {
    /// Towards the temple.
    Temporal,
    /// Towards the nose.
    Nasal,
    /// Above.
    Superior,
    /// Below.
    Inferior,
    /// Above, towards the nose.
    Superonasal,
    /// Above, towards the temple.
    Superotemporal,
    /// Below, towards the nose.
    Inferonasal,
    /// Below, towards the temple.
    Inferotemporal,
}

impl Side {
    /// Every side and quadrant.
    pub const ALL: [Self; 8] = [
        Self::Temporal,
        Self::Nasal,
        Self::Superior,
        Self::Inferior,
        Self::Superonasal,
        Self::Superotemporal,
        Self::Inferonasal,
        Self::Inferotemporal,
    ];

    fn named(words: &str) -> Option<Self> {
        match words.replace(' ', "").as_str() {
            "temporal" | "temporally" => Some(Self::Temporal),
            "nasal" | "nasally" => Some(Self::Nasal),
            "superior" | "superiorly" => Some(Self::Superior),
            "inferior" | "inferiorly" => Some(Self::Inferior),
            "superonasal" | "superonasally" | "superiornasal" | "uppernasal" => Some(Self::Superonasal),
            "superotemporal" | "superotemporally" | "superiortemporal" | "uppertemporal" => Some(Self::Superotemporal),
            "inferonasal" | "inferonasally" | "inferiornasal" | "lowernasal" => Some(Self::Inferonasal),
            "inferotemporal" | "inferotemporally" | "inferiortemporal" | "lowertemporal" => Some(Self::Inferotemporal),
            _ => None,
        }
    }

    /// The middle of the side on the clock: temporal is 9 o'clock in a right eye and 3 in a left (anatomy, common
    /// practice), a quadrant lies half-way between its two sides.
    pub fn hour(self, eye: Eye) -> Hour {
        // As in a right eye; a left eye is its mirror image.
        let halves = match self {
            Self::Superior => 0,
            Self::Superonasal => 3,
            Self::Nasal => 6,
            Self::Inferonasal => 9,
            Self::Inferior => 12,
            Self::Inferotemporal => 15,
            Self::Temporal => 18,
            Self::Superotemporal => 21,
        };
        match eye {
            Eye::Right => Hour { halves },
            Eye::Left => Hour { halves: (24 - halves) % 24 },
        }
    }
}

impl fmt::Display for Side {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Temporal => "temporal",
            Self::Nasal => "nasal",
            Self::Superior => "superior",
            Self::Inferior => "inferior",
            Self::Superonasal => "superonasal",
            Self::Superotemporal => "superotemporal",
            Self::Inferonasal => "inferonasal",
            Self::Inferotemporal => "inferotemporal",
        })
    }
}

/// Where on the eye something is or was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Place {
    /// At one hour.
    Hour(Hour),
    /// From one hour with the clock to another: `10 to 2 o'clock` runs over 12.
    Arc {
        /// Where the arc begins.
        from: Hour,
        /// Where it ends; never where it begins.
        to: Hour,
    },
    /// At one of two hours; which, is not known or does not matter.
    Either(Hour, Hour),
    /// On a side or in a quadrant.
    Side(Side),
    /// In the middle.
    Central,
    /// All the way round.
    AllRound,
    /// Where the incision is.
    Incision,
    /// So far from the incision.
    FromIncision {
        /// Half hours from the incision, 1 to 23.
        halves: u8,
        /// With the clock, or against it.
        clockwise: bool,
    },
}

impl Place {
    /// Reads a place.
    ///
    /// # Errors
    /// A fault when the words are no place.
    pub fn parse(text: &str) -> Result<Self, Fault> {
        judged(text, PLACES, read)
    }

    /// The place with the incision put in for `at the incision` and its relatives; `None` when the incision has no hour
    /// of its own (an arc, a choice, the whole circle, or again the incision).
    pub fn with_incision(self, incision: Self, eye: Eye) -> Option<Self> {
        let hour = match incision {
            Self::Hour(hour) => Some(hour),
            Self::Side(side) => Some(side.hour(eye)),
            _ => None,
        };
        match self {
            Self::Incision => hour.map(|_| incision),
            Self::FromIncision { halves, clockwise } => {
                let halves = i16::from(halves);
                hour.map(|hour| Self::Hour(hour.moved(if clockwise { halves } else { -halves })))
            }
            _ => Some(self),
        }
    }

    /// The middle of the place in degrees from 3 o'clock against the clock, as the examiner sees it.
    ///
    /// `None` when there is no one middle: the centre, the whole circle, two hours opposite each other, or a place told
    /// by an incision that has not been put in.
    pub fn centre_degrees(&self, eye: Eye) -> Option<f64> {
        let arc = |from: Hour, to: Hour| degrees(f64::from(from.halves) / 2.0 + span_hours(from, to) / 2.0);
        match *self {
            Self::Hour(hour) => Some(hour.degrees()),
            Self::Arc { from, to } => Some(arc(from, to)),
            Self::Either(one, other) => match span_hours(one, other) {
                6.0 => None,
                span if span < 6.0 => Some(arc(one, other)),
                _ => Some(arc(other, one)),
            },
            Self::Side(side) => Some(side.hour(eye).degrees()),
            Self::Central | Self::AllRound | Self::Incision | Self::FromIncision { .. } => None,
        }
    }

    /// How many clock hours the place takes up: an arc its length, the whole circle 12. A single hour, a side and a
    /// centre have no stated length.
    pub fn span_hours(&self) -> Option<f64> {
        match *self {
            Self::Arc { from, to } => Some(span_hours(from, to)),
            Self::AllRound => Some(12.0),
            _ => None,
        }
    }
}

fn read(text: &str) -> Result<Place, Fault> {
    let words = plain(text);
    let words = words.strip_prefix("in the ").or_else(|| words.strip_prefix("on the ")).unwrap_or(&words);
    match words {
        "at the incision" | "at incision" | "the incision" | "incision" => return Ok(Place::Incision),
        "central" | "centre" | "center" | "centrally" => return Ok(Place::Central),
        "all round" | "all around" | "whole circle" | "circumferential" => return Ok(Place::AllRound),
        _ => {}
    }
    let bare = ["quadrant", "side", "half"].iter().find_map(|tail| words.strip_suffix(tail)).unwrap_or(words);
    if let Some(side) = Side::named(bare) {
        return Ok(Place::Side(side));
    }
    let mut cursor = Cursor::new(text);
    cursor.any_word(&["at", "from"]);
    let between = cursor.any_word(&["between"]);
    let mut ahead = cursor;
    if let Ok(Some(amount)) = ahead.number() {
        let rest = plain(ahead.rest());
        if rest.trim_start().starts_with("clock hour") {
            return from_incision(text, rest.trim_start(), amount.number);
        }
    }
    let Some(first) = hour(text, &mut cursor)? else {
        let near = crate::text::nearest(words, Side::ALL.map(side_name).iter().map(String::as_str)).map(str::to_owned);
        return Err(
            Fault::new(format!("{} is not a place; allowed is {PLACES}", quoted(text)), body(text)).or_any(near)
        );
    };
    let mut clock = clock_word(&mut cursor);
    let mut joint = None;
    let start = cursor;
    if cursor.range_sign().is_some() || (between && next_word(&mut cursor, "and")) {
        joint = Some("to");
    } else if next_word(&mut cursor, "or") {
        joint = Some("or");
    } else if next_word(&mut cursor, "and") || next_word(&mut cursor, "&") || cursor.eat(&[',']).is_some() {
        return Err(Fault::new(
            format!("{} names more than one place; several places are written as a list", quoted(text)),
            body(text),
        ));
    }
    let second = match joint {
        Some(_) => hour(text, &mut cursor)?,
        None => None,
    };
    if second.is_some() {
        clock |= clock_word(&mut cursor);
    } else {
        cursor = start;
    }
    cursor.spaces();
    if !cursor.done() {
        let part = cursor.rest_part();
        return Err(Fault::new(
            format!("{} is not understood after the hour; allowed is {PLACES}", quoted(cursor.rest())),
            part.clone(),
        )
        .or(replaced(text, part, "").trim_end().to_owned()));
    }
    let place = match (joint, second) {
        (Some("or"), Some(second)) => Place::Either(first, second),
        (Some(_), Some(second)) => Place::Arc { from: first, to: second },
        _ => Place::Hour(first),
    };
    match place {
        Place::Arc { from, to } | Place::Either(from, to) if from == to => {
            Err(Fault::new(format!("{} begins and ends at one hour", quoted(text)), body(text))
                .or(Place::Hour(from).to_string())
                .or("all round"))
        }
        _ if !clock => {
            Err(Fault::new(format!("{} lacks `o'clock` after the hour", quoted(text)), body(text))
                .or(place.to_string()))
        }
        _ => Ok(place),
    }
}

fn side_name(side: Side) -> String {
    side.to_string()
}

/// Steps over white space and a word, or over neither.
fn next_word(cursor: &mut Cursor<'_>, word: &str) -> bool {
    let start = *cursor;
    cursor.spaces();
    if cursor.word(word) {
        cursor.spaces();
        return true;
    }
    *cursor = start;
    false
}

/// A full or half hour; `None`, without moving, when no digit stands here.
fn hour(text: &str, cursor: &mut Cursor<'_>) -> Result<Option<Hour>, Fault> {
    let start = cursor.at();
    let whole = cursor.digits();
    if whole.is_empty() {
        return Ok(None);
    }
    let before = *cursor;
    let mut minutes = "";
    if cursor.eat(&[':', '.']).is_some() {
        minutes = cursor.digits();
    }
    let digits = whole.trim_start_matches('0');
    let half = match minutes {
        "" => {
            *cursor = before;
            false
        }
        "30" => true,
        "00" => false,
        _ => {
            let part = start..cursor.at();
            return Err(Fault::new(
                format!(
                    "{} is not a full or a half hour; only `:30` is allowed after the hour",
                    quoted(&text[part.clone()])
                ),
                part.clone(),
            )
            .or(replaced(text, part.clone(), whole))
            .or(replaced(text, part, &format!("{whole}:30"))));
        }
    };
    match digits.parse::<u8>().ok().and_then(|hour| Hour::new(hour, half)) {
        Some(hour) => Ok(Some(hour)),
        None => {
            let part = start..cursor.at();
            let fault = Fault::new(
                format!("{} is not an hour of the clock; hours from 1 to 12 are allowed", quoted(&text[part.clone()])),
                part.clone(),
            );
            Err(if digits.is_empty() { fault.or(replaced(text, part, "12")) } else { fault })
        }
    }
}

/// Steps over `o'clock`.
fn clock_word(cursor: &mut Cursor<'_>) -> bool {
    let start = *cursor;
    cursor.spaces();
    let found = ["o'clock", "o\u{2019}clock", "o\u{2018}clock", "oclock", "o clock", "o-clock", "o'c"]
        .iter()
        .any(|word| cursor.word(word));
    if !found || is_extent(cursor) {
        *cursor = start;
        return false;
    }
    true
}

/// Whether `hours` follows, so that the clock measures a length.
fn is_extent(cursor: &Cursor<'_>) -> bool {
    let mut ahead = *cursor;
    next_word(&mut ahead, "hours") || next_word(&mut ahead, "hour")
}

/// `3 clock hours clockwise of the incision`, from its number and the words behind it.
fn from_incision(text: &str, words: &str, amount: Number) -> Result<Place, Fault> {
    let tail = words.strip_prefix("clock hours").or_else(|| words.strip_prefix("clock hour")).unwrap_or(words).trim();
    let clockwise = match tail {
        "clockwise of the incision" | "clockwise from the incision" | "clockwise to the incision" => Some(true),
        "anticlockwise of the incision"
        | "anticlockwise from the incision"
        | "counterclockwise of the incision"
        | "counterclockwise from the incision"
        | "anti clockwise of the incision"
        | "counter clockwise of the incision" => Some(false),
        _ => None,
    };
    let halves = amount.plus(amount).as_whole().and_then(|halves| u8::try_from(halves).ok());
    match (clockwise, halves) {
        (Some(clockwise), Some(halves @ 1..=23)) => Ok(Place::FromIncision { halves, clockwise }),
        (Some(_), _) => Err(Fault::new(
            format!(
                "{} is not so many whole or half hours; 0.5 to 11.5 clock hours from the incision are allowed",
                quoted(text)
            ),
            body(text),
        )),
        (None, _) => Err(Fault::new(
            format!(
                "{} is an extent and not a place; a place so far off is written like `3 clock hours clockwise of the incision`",
                quoted(text)
            ),
            body(text),
        )),
    }
}

impl fmt::Display for Place {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Hour(hour) => write!(out, "{hour} o'clock"),
            Self::Arc { from, to } => write!(out, "{from} to {to} o'clock"),
            Self::Either(one, other) => write!(out, "{one} or {other} o'clock"),
            Self::Side(side) => side.fmt(out),
            Self::Central => out.write_str("central"),
            Self::AllRound => out.write_str("all round"),
            Self::Incision => out.write_str("at the incision"),
            Self::FromIncision { halves, clockwise } => {
                let turn = if *clockwise { "clockwise" } else { "anticlockwise" };
                let (hours, half) = (halves / 2, if halves % 2 == 1 { ".5" } else { "" });
                let noun = if *halves == 2 { "clock hour" } else { "clock hours" };
                write!(out, "{hours}{half} {noun} {turn} of the incision")
            }
        }
    }
}
