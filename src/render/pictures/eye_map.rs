//! The eye map: where on the eye things were done and went wrong.
//!
//! Drawn twice: from the front with 12 o'clock up, and as the surgeon sees it, which is the same drawing turned until
//! the surgeon's place lies below. Nothing is ever mirrored; the nasal side is named in both.

use super::svg::Svg;
use super::{KeyRow, Picture, Told};
use crate::model::case::{Case, Meant};
use crate::model::measure::{Eye, Hour, Place, Quantity, Side, Unit, span_hours};
use crate::model::vocabulary::Vocabulary;
use crate::text::Spanned;
use serde::Serialize;

/// Radius of the limbus in the drawing.
const LIMBUS: f64 = 100.0;
/// Half the mean horizontal width of the cornea in mm. Source: white-to-white 11.71 mm, Rufer et al. 2005, Cornea 24:259.
const LIMBUS_MM: f64 = 11.71 / 2.0;
/// Radius of the lens, 9.5 mm across. Common practice, no source.
const LENS: f64 = LIMBUS * 4.75 / LIMBUS_MM;
/// Radius of a pupil whose width was not recorded, 6 mm across. Common practice, no source.
const PUPIL_MM: f64 = 6.0;

/// Both drawings and one key for them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct EyeMap {
    /// From the front, and as the surgeon sees it if that is known and differs.
    pub(crate) pictures: Vec<Picture>,
    /// What the letters stand for; with the captions this is the text equivalent.
    pub(crate) key: Vec<KeyRow>,
}

/// How a mark is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Shape {
    /// The main wound, so many mm wide.
    Wound(f64),
    /// A side port.
    Port,
    /// A hook that holds the pupil or the capsule.
    Hook,
    /// A ring or segment in the bag.
    Ring,
    /// Damage at a radius.
    Damage(f64),
    /// The axis of a toric implant, degrees.
    Axis(f64),
}

/// One mark: what it is and where.
#[derive(Debug, Clone)]
struct Mark {
    shape: Shape,
    places: Vec<Place>,
    words: String,
}

/// The map of a case as far as it is told; `None` if nothing has a place yet.
pub(crate) fn eye_map(case: &Case, vocabulary: &Vocabulary, told: &Told) -> Option<EyeMap> {
    let eye = case.eye.value;
    let marks = marks(case, vocabulary, told);
    if marks.is_empty() {
        return None;
    }
    let pupil = pupil_radius(case);
    let side = eye.word();
    let mut pictures = vec![Picture {
        svg: draw(&marks, eye, pupil, 0.0, &format!("Map of the {side} eye from the front; the key names each mark")),
        caption: format!("The {side} eye from the front, 12 o’clock up"),
    }];
    if let Some((turn, place)) = surgeon(case) {
        pictures.push(Picture {
            svg: draw(
                &marks,
                eye,
                pupil,
                turn,
                &format!("Map of the {side} eye as the surgeon sees it; the key names each mark"),
            ),
            caption: format!("As the surgeon sees it, from {place}"),
        });
    }
    let key = marks.iter().zip(letters()).map(|(mark, sign)| KeyRow { sign, words: mark.words.clone() }).collect();
    Some(EyeMap { pictures, key })
}

/// The turn in degrees that brings the surgeon's place to the bottom; `None` if unknown or already there.
fn surgeon(case: &Case) -> Option<(f64, String)> {
    let at = case.operation.surgeon_at.as_ref()?;
    let degrees = at.value.centre_degrees(case.eye.value)?;
    let turn = (270.0 - degrees).rem_euclid(360.0);
    (turn != 0.0).then(|| (turn, at.value.to_string()))
}

/// A, B, … Z, AA, AB, …
fn letters() -> impl Iterator<Item = String> {
    (0u32..).map(|at| {
        let letter = |at: u32| char::from(b'A' + u8::try_from(at % 26).unwrap_or(0));
        if at < 26 { letter(at).to_string() } else { format!("{}{}", letter(at / 26 - 1), letter(at)) }
    })
}

fn marks(case: &Case, vocabulary: &Vocabulary, told: &Told) -> Vec<Mark> {
    let operation = &case.operation;
    let eye = case.eye.value;
    let mut marks = Vec::new();
    let incision = operation.incision.as_ref().and_then(|incision| incision.at.as_ref()).map(|at| at.value);
    let resolved = |place: &Spanned<Place>| match incision {
        Some(incision) => place.value.with_incision(incision, eye),
        None => Some(place.value),
    };
    let label = |term: &Meant| vocabulary.get(term.value).label.value.clone();
    let sized =
        |extent: Option<&Spanned<Quantity>>| extent.map_or_else(String::new, |extent| format!(", {}", extent.value));
    for finding in &case.findings {
        if let Some(place) = finding.at.as_ref().and_then(resolved) {
            marks.push(Mark {
                shape: Shape::Damage(radius(&finding.is, vocabulary)),
                places: vec![spread(place, finding.extent.as_ref(), eye)],
                words: format!("before surgery: {}, {place}{}", label(&finding.is), sized(finding.extent.as_ref())),
            });
        }
    }
    if told.incision
        && let Some(incision) = &operation.incision
        && let Some(at) = &incision.at
    {
        let width = incision.width.as_ref().and_then(|width| width.value.middle_in(Unit::Mm));
        let written = incision.width.as_ref().map_or_else(String::new, |width| format!(", {} wide", width.value));
        marks.push(Mark {
            shape: Shape::Wound(width.unwrap_or(2.5)),
            places: vec![at.value],
            words: format!("main incision, {}{written}", at.value),
        });
    }
    let ports = || told.ports.iter().filter_map(|&at| operation.ports.get(at)).map(|port| &port.at);
    if ports().next().is_some() {
        let places: Vec<Place> = ports().filter_map(resolved).collect();
        let written: Vec<String> = ports().map(|port| port.value.to_string()).collect();
        let noun = if written.len() == 1 { "side port" } else { "side ports" };
        marks.push(Mark {
            shape: Shape::Port,
            places,
            words: format!("{noun}, {}", crate::text::list(&written, "and")),
        });
    }
    for &at in &told.devices {
        let Some(device) = operation.devices.get(at) else { continue };
        let places: Vec<Place> = device.at.iter().filter_map(resolved).collect();
        let is_ring = names(&device.is, vocabulary).any(|name| name.contains("ring") || name.contains("segment"));
        let written: Vec<String> = device.at.iter().map(|at| at.value.to_string()).collect();
        let whole = is_ring && places.is_empty();
        if places.is_empty() && !whole {
            continue;
        }
        let place =
            if written.is_empty() { String::new() } else { format!(", {}", crate::text::list(&written, "and")) };
        marks.push(Mark {
            shape: if is_ring { Shape::Ring } else { Shape::Hook },
            places: if whole { vec![Place::AllRound] } else { places },
            words: format!("{}{place}", label(&device.is)),
        });
    }
    for &at in &told.complications {
        let Some(complication) = case.complications.get(at) else { continue };
        if let Some(place) = complication.at.as_ref().and_then(resolved) {
            marks.push(Mark {
                shape: Shape::Damage(radius(&complication.is, vocabulary)),
                places: vec![spread(place, complication.extent.as_ref(), eye)],
                words: format!("{}, {place}{}", label(&complication.is), sized(complication.extent.as_ref())),
            });
        }
    }
    if told.lens
        && let Some(axis) = operation.lens.as_ref().and_then(|lens| lens.axis.as_ref())
        && let Some(degrees) = axis.value.middle_in(Unit::Degree)
    {
        marks.push(Mark {
            shape: Shape::Axis(degrees),
            places: Vec::new(),
            words: format!("toric axis, {} degrees", super::svg::num(degrees)),
        });
    }
    marks
}

/// The concept's own name and those of all wider ones.
fn names<'a>(term: &Meant, vocabulary: &'a Vocabulary) -> impl Iterator<Item = &'a str> {
    vocabulary.upwards(term.value).into_iter().map(|id| vocabulary.get(id).name.value.as_str())
}

/// How far from the centre something lies, by what it concerns.
fn radius(term: &Meant, vocabulary: &Vocabulary) -> f64 {
    let all: Vec<&str> = names(term, vocabulary).collect();
    let concerns = |part: &str| all.iter().any(|name| name.contains(part));
    if concerns("zonul") || concerns("sublux") {
        LENS
    } else if concerns("iris") || concerns("irid") || concerns("synechia") {
        90.0
    } else if concerns("wound") || concerns("descemet") || concerns("cornea") || concerns("angle") {
        LIMBUS - 3.0
    } else {
        50.0
    }
}

/// A single hour with an extent in clock hours becomes an arc about that hour; everything else stays.
fn spread(place: Place, extent: Option<&Spanned<Quantity>>, eye: Eye) -> Place {
    let centre = match place {
        Place::Hour(hour) => hour,
        Place::Side(side) => side.hour(eye),
        other => return other,
    };
    let Some(extent) = extent.filter(|extent| matches!(extent.value.unit(), Unit::ClockHour | Unit::Degree)) else {
        return place;
    };
    let Some(hours) = extent.value.middle_in(Unit::ClockHour) else { return place };
    let half = libm::round(hours) as i32;
    if !(1..24).contains(&half) {
        return place;
    }
    let moved = |by: i32| {
        let halves = (i32::from(centre.halves()) + by).rem_euclid(24);
        Hour::new(if halves < 2 { 12 } else { u8::try_from(halves / 2).unwrap_or(12) }, halves % 2 == 1)
    };
    match (moved(-half), moved(half)) {
        (Some(from), Some(to)) if from != to => Place::Arc { from, to },
        _ => Place::AllRound,
    }
}

fn pupil_radius(case: &Case) -> f64 {
    let last = case.before.iter().rev().find_map(|visit| visit.measures.quantity("pupil"));
    let width = last.and_then(|pupil| pupil.value.middle_in(Unit::Mm)).unwrap_or(PUPIL_MM);
    (width / 2.0 / LIMBUS_MM * LIMBUS).clamp(10.0, 88.0)
}

/// The point at an angle (degrees from 3 o'clock against the clock, seen from the front) after a turn of the drawing.
fn point(degrees: f64, radius: f64, turn: f64) -> (f64, f64) {
    let angle = (degrees + turn).to_radians();
    (radius * libm::cos(angle), -radius * libm::sin(angle))
}

fn draw(marks: &[Mark], eye: Eye, pupil: f64, turn: f64, name: &str) -> String {
    let mut svg = Svg::new("eye-map", (-190.0, -176.0, 380.0, 352.0), name);
    svg.circle("limbus", (0.0, 0.0), LIMBUS);
    svg.circle("lens-edge", (0.0, 0.0), LENS);
    svg.circle("pupil", (0.0, 0.0), pupil);
    for hour in 1..=12u8 {
        let degrees = Hour::new(hour, false).map_or(0.0, Hour::degrees);
        svg.line("tick", point(degrees, LIMBUS + 4.0, turn), point(degrees, LIMBUS + 11.0, turn));
        if hour % 3 == 0 {
            let (x, y) = point(degrees, 155.0, turn);
            svg.text("hour", (x, y + 6.0), &hour.to_string());
        }
    }
    let (x, y) = point(Side::Nasal.hour(eye).degrees(), 158.0, turn);
    // The word stands beside its hour: below it where the nose lies to a side, next to it where it lies up or down.
    let beside = if libm::fabs(x) > libm::fabs(y) { (x, y + 26.0) } else { (x + 42.0, y + 6.0) };
    svg.text("side", beside, "nasal");
    let mut taken: Vec<f64> = Vec::new();
    for (mark, letter) in marks.iter().zip(letters()) {
        let at = mark.draw(&mut svg, eye, pupil, turn);
        for degrees in at {
            let free = free_angle(degrees, &taken);
            taken.push(free);
            let (x, y) = point(free, 127.0, turn);
            svg.text("letter", (x, y + 6.5), &letter);
        }
    }
    svg.done()
}

/// The angle nearest to the wanted one at which no letter stands yet: letters need 12 degrees.
fn free_angle(wanted: f64, taken: &[f64]) -> f64 {
    let apart = |one: f64, other: f64| {
        let turn = (one - other).rem_euclid(360.0);
        turn.min(360.0 - turn)
    };
    let steps = (0..30).flat_map(|step| [f64::from(step) * 12.0, f64::from(step) * -12.0]);
    steps
        .map(|shift| wanted + shift)
        .find(|&angle| taken.iter().all(|&other| apart(angle, other) >= 12.0))
        .unwrap_or(wanted)
}

impl Mark {
    /// Draws the mark at each of its places and gives the angles at which its letter belongs.
    fn draw(&self, svg: &mut Svg, eye: Eye, pupil: f64, turn: f64) -> Vec<f64> {
        if let Shape::Axis(degrees) = self.shape {
            svg.line("axis", point(degrees, LIMBUS + 12.0, turn), point(degrees + 180.0, LIMBUS + 12.0, turn));
            return vec![degrees];
        }
        let mut angles = Vec::new();
        for place in &self.places {
            match *place {
                Place::Arc { from, to } => {
                    self.arc(svg, from, to, turn);
                    angles.extend(place.centre_degrees(eye));
                }
                Place::AllRound => {
                    svg.circle(self.class(), (0.0, 0.0), self.radius());
                    angles.push(45.0);
                }
                Place::Central => {
                    cross(svg, (0.0, 0.0));
                    angles.push(60.0);
                }
                _ => {
                    if let Some(degrees) = place.centre_degrees(eye) {
                        self.spot(svg, degrees, pupil, turn);
                        angles.push(degrees);
                    }
                }
            }
        }
        angles
    }

    fn class(&self) -> &'static str {
        match self.shape {
            Shape::Wound(_) => "wound",
            Shape::Port => "port",
            Shape::Hook => "hook",
            Shape::Ring => "ring",
            Shape::Damage(_) => "damage",
            Shape::Axis(_) => "axis",
        }
    }

    fn radius(&self) -> f64 {
        match self.shape {
            Shape::Ring => LENS - 6.0,
            Shape::Damage(radius) => radius,
            _ => LIMBUS,
        }
    }

    /// An arc runs with the clock from one hour to the other, on the front view and therefore on every turn of it.
    fn arc(&self, svg: &mut Svg, from: Hour, to: Hour, turn: f64) {
        let radius = self.radius();
        let start = point(to.degrees(), radius, turn);
        let end = point(from.degrees(), radius, turn);
        svg.arc(self.class(), start, end, radius, span_hours(from, to) > 6.0);
    }

    fn spot(&self, svg: &mut Svg, degrees: f64, pupil: f64, turn: f64) {
        match self.shape {
            Shape::Wound(width) => {
                let half = (width / 2.0 / LIMBUS_MM).to_degrees();
                svg.arc(
                    "wound",
                    point(degrees - half, LIMBUS, turn),
                    point(degrees + half, LIMBUS, turn),
                    LIMBUS,
                    false,
                );
            }
            Shape::Port => {
                let corners = [(degrees - 4.0, LIMBUS + 3.0), (degrees + 4.0, LIMBUS + 3.0), (degrees, LIMBUS - 14.0)];
                svg.path("port", &corners.map(|(angle, radius)| point(angle, radius, turn)), true);
            }
            Shape::Hook => {
                svg.line("hook", point(degrees, LIMBUS + 3.0, turn), point(degrees, pupil + 4.0, turn));
                svg.circle("hook", point(degrees, pupil, turn), 4.0);
            }
            Shape::Ring => svg.arc(
                "ring",
                point(degrees - 20.0, LENS - 6.0, turn),
                point(degrees + 20.0, LENS - 6.0, turn),
                LENS - 6.0,
                false,
            ),
            Shape::Damage(radius) => cross(svg, point(degrees, radius, turn)),
            Shape::Axis(_) => {}
        }
    }
}

fn cross(svg: &mut Svg, (x, y): (f64, f64)) {
    svg.line("cross", (x - 6.0, y - 6.0), (x + 6.0, y + 6.0));
    svg.line("cross", (x - 6.0, y + 6.0), (x + 6.0, y - 6.0));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hour(at: u8) -> f64 {
        Hour::new(at, false).expect("an hour").degrees()
    }

    fn close(one: (f64, f64), other: (f64, f64)) -> bool {
        libm::fabs(one.0 - other.0) < 1e-9 && libm::fabs(one.1 - other.1) < 1e-9
    }

    #[test]
    fn from_the_front_twelve_is_up_and_three_is_to_the_right() {
        assert!(close(point(hour(12), 100.0, 0.0), (0.0, -100.0)));
        assert!(close(point(hour(3), 100.0, 0.0), (100.0, 0.0)));
        assert!(close(point(hour(6), 100.0, 0.0), (0.0, 100.0)));
        assert!(close(point(hour(9), 100.0, 0.0), (-100.0, 0.0)));
        let slant = 100.0 * libm::sqrt(3.0) / 2.0;
        assert!(close(point(hour(2), 100.0, 0.0), (slant, -50.0)));
    }

    #[test]
    fn the_surgeons_view_is_the_front_view_turned_and_never_mirrored() {
        for at in 1..=12u8 {
            let turn = (270.0 - hour(at)).rem_euclid(360.0);
            assert!(close(point(hour(at), 100.0, turn), (0.0, 100.0)), "the surgeon's own hour lies below");
            // The hour after the surgeon's, with the clock, lies to the left of it, as it does on a clock face at 6.
            let next = point(hour(at % 12 + 1), 100.0, turn);
            assert!(close(next, point(hour(7), 100.0, 0.0)));
        }
    }

    #[test]
    fn letters_keep_their_distance() {
        let mut taken = Vec::new();
        for _ in 0..20 {
            let angle = free_angle(90.0, &taken);
            for &other in &taken {
                let turn = (angle - other).rem_euclid(360.0);
                assert!(turn.min(360.0 - turn) >= 12.0 - 1e-9);
            }
            taken.push(angle);
        }
        assert_eq!(taken[0], 90.0);
    }

    #[test]
    fn an_extent_in_clock_hours_spreads_about_its_hour_even_over_twelve() {
        let extent = crate::text::Spanned::new(
            Quantity::parse("4 clock hours", crate::model::measure::Dimension::Extent).expect("an extent"),
            crate::text::Span::default(),
        );
        let at = |hour| Place::Hour(Hour::new(hour, false).expect("an hour"));
        let arc = |from, to| Place::Arc {
            from: Hour::new(from, false).expect("an hour"),
            to: Hour::new(to, false).expect("an hour"),
        };
        assert_eq!(spread(at(12), Some(&extent), Eye::Right), arc(10, 2));
        assert_eq!(spread(at(5), Some(&extent), Eye::Left), arc(3, 7));
        assert_eq!(spread(Place::Side(Side::Temporal), Some(&extent), Eye::Left), arc(1, 5));
        assert_eq!(spread(Place::Side(Side::Temporal), Some(&extent), Eye::Right), arc(7, 11));
        assert_eq!(spread(at(5), None, Eye::Left), at(5));
    }

    #[test]
    fn letters_run_on_after_z() {
        let all: Vec<String> = letters().take(28).collect();
        assert_eq!((all[0].as_str(), all[25].as_str(), all[26].as_str(), all[27].as_str()), ("A", "Z", "AA", "AB"));
    }
}
