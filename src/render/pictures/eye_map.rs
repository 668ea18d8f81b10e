//! The eye map: where on the eye things were done and went wrong.
//!
//! Drawn twice: from the front with 12 o'clock up, and as the surgeon sees it, which is the same drawing turned until
//! the surgeon's place lies below. Nothing is ever mirrored; the nasal and the temporal side are named in both.

use super::face::{LENS, LIMBUS, MM, Mark, Shape, Shared, Spot, View, draw, letters};
use super::{KeyRow, Picture};
use crate::model::analysis::Stage;
use crate::model::case::{Case, Incision, Meant};
use crate::model::measure::{Eye, Place, Quantity, Unit, span_hours};
use crate::model::vocabulary::Vocabulary;
use crate::render::views::typeset;
use crate::text::Spanned;
use serde::Serialize;

/// Width of a pupil that was not recorded, in mm. Common practice, no source.
const PUPIL_MM: f64 = 6.0;
/// Width of a main wound that was not recorded, in mm. Common practice, no source.
const WOUND_MM: f64 = 2.5;
/// How far an implant has slipped if that was not recorded, in mm: enough to be seen. Common practice, no source.
const SLIPPED_MM: f64 = 1.0;

/// Radii of what has a place by the clock: words in a concept's name, and how far out it is drawn. The first that fits
/// counts. What concerns the capsule, the lens and everything else lies inside the pupil.
const RINGS: &[(&[&str], f64)] = &[
    // Behind the eye or around it: outside the limbus.
    (&["retrobulbar", "globe", "conjunctiv", "choroid", "expulsive", "retinal"], 110.0),
    // The root of the iris and the angle.
    (&["iris", "iridod", "iridot", "angle", "anterior-synechia", "hyphaema", "cyclodialysis"], 90.0),
    (&["wound", "tunnel", "descemet", "cornea", "endotheli", "suture"], LIMBUS - 3.0),
    (&["zonul", "sublux"], LENS),
    (&["posterior-synechia", "pupil"], PUPIL),
    (&[], 45.0),
];
/// Stands for the edge of the pupil, wherever that is.
const PUPIL: f64 = 0.0;

/// Both drawings and one key for them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct EyeMap {
    /// From the front, and as the surgeon sees it if that is known and differs.
    pub(crate) pictures: Vec<Picture>,
    /// What the letters stand for; with the captions this is the text equivalent.
    pub(crate) key: Vec<KeyRow>,
}

/// One map for each part of a page in which a mark appears that was not there before; a part is a run of stages.
///
/// A mark keeps its letter, and a later map takes in the one before it by name: a page must show all of them, in order.
pub(crate) fn eye_maps(case: &Case, vocabulary: &Vocabulary, parts: &[&[Stage]]) -> Vec<Option<EyeMap>> {
    let surveyor = Surveyor::new(case, vocabulary);
    let mut marks = surveyor.findings();
    let mut counts = Vec::new();
    // Where the surgeon sat is told with the wound.
    let mut seats = Vec::new();
    for part in parts {
        marks.extend(part.iter().flat_map(|stage| surveyor.marks(stage)));
        for at in counts.last().copied().unwrap_or_default()..marks.len() {
            let (earlier, rest) = marks.split_at_mut(at);
            rest[0].give_way(earlier);
        }
        counts.push(marks.len());
        let known = seats.last().copied().flatten();
        seats.push(known.or(surveyor.seat().filter(|_| part.iter().any(|stage| stage.seat))));
    }
    // A map is drawn where a mark is new, or the surgeon's place.
    let news: Vec<bool> = (0..parts.len())
        .map(|at| counts[at] > 0 && (at == 0 || counts[at - 1] < counts[at] || seats[at - 1] != seats[at]))
        .collect();
    (0..parts.len())
        .map(|at| {
            let earlier = (0..at).rev().find(|&earlier| news[earlier]);
            let shares = Shares {
                number: at + 1,
                earlier: earlier.map(|earlier| (earlier + 1, counts[earlier], seats[earlier].is_some())),
                later: news[at + 1..].contains(&true),
            };
            news[at].then(|| surveyor.map(&marks[..counts[at]], seats[at], &shares))
        })
        .collect()
}

/// What a map has in common with others of its page.
struct Shares {
    /// Its number.
    number: usize,
    /// Number of the map before it, how many marks that shows, and whether it shows the surgeon's view.
    earlier: Option<(usize, usize, bool)>,
    /// Whether one follows that takes this one in.
    later: bool,
}

/// Finds what has a place.
struct Surveyor<'a> {
    case: &'a Case,
    vocabulary: &'a Vocabulary,
    eye: Eye,
    incision: Option<Place>,
    /// Radius of the pupil.
    pupil: f64,
}

impl<'a> Surveyor<'a> {
    fn new(case: &'a Case, vocabulary: &'a Vocabulary) -> Self {
        let last = case.before.iter().rev().find_map(|visit| visit.measures.quantity("pupil"));
        let width = last.and_then(|pupil| pupil.value.middle_in(Unit::Mm)).unwrap_or(PUPIL_MM);
        Self {
            case,
            vocabulary,
            eye: case.eye.value,
            incision: case.operation.incision.as_ref().and_then(|incision| incision.at.as_ref()).map(|at| at.value),
            pupil: (width / 2.0 * MM).clamp(10.0, 88.0),
        }
    }

    /// Where the surgeon sat, and the turn in degrees that brings that place to the bottom.
    fn seat(&self) -> Option<(Place, f64)> {
        let place = self.case.operation.surgeon_at.as_ref()?.value;
        Some((place, (270.0 - place.centre_degrees(self.eye)?).rem_euclid(360.0)))
    }

    fn map(&self, marks: &[Mark], seat: Option<(Place, f64)>, shares: &Shares) -> EyeMap {
        let side = self.eye.word();
        let picture = |turn: f64, (name, there_before): (&str, bool), whose: &str, caption: String| {
            let before = shares.earlier.filter(|_| there_before);
            let before_name = before.map(|(number, ..)| format!("{name}{number}")).unwrap_or_default();
            let own_name = format!("{name}{}", shares.number);
            let shared = Shared {
                before: before.map(|(_, drawn, _)| (before_name.as_str(), drawn)),
                name: shares.later.then_some(own_name.as_str()),
            };
            let view = View { eye: self.eye, pupil: self.pupil, turn };
            let words = format!("Map of the {side} eye {whose}; the key names each mark");
            Picture { svg: draw(marks, view, shared, &words), caption }
        };
        let too = match seat {
            Some((place, 0.0)) => format!("; the surgeon, at {}, sees it so too", typeset(&place.to_string())),
            _ => String::new(),
        };
        let caption = format!("The {side} eye from the front, 12 o’clock up{too}");
        let mut pictures = vec![picture(0.0, ("_front_", true), "from the front", caption)];
        if let Some((place, turn)) = seat.filter(|(_, turn)| *turn != 0.0) {
            let caption = match place {
                Place::Side(side) => format!("As the surgeon sees it, sitting on the {side} side"),
                place => format!("As the surgeon sees it, sitting at {}", typeset(&place.to_string())),
            };
            let there_before = shares.earlier.is_some_and(|(.., seated)| seated);
            pictures.push(picture(turn, ("_seat_", there_before), "as the surgeon sees it", caption));
        }
        let key =
            marks.iter().zip(letters()).map(|(mark, sign)| KeyRow { sign, words: typeset(&mark.words) }).collect();
        EyeMap { pictures, key }
    }

    fn findings(&self) -> Vec<Mark> {
        let marks = self.case.findings.iter().filter_map(|finding| {
            self.damage("before surgery: ", &finding.is, finding.at.as_ref(), finding.extent.as_ref())
        });
        marks.collect()
    }

    /// What a stage tells that has a place.
    fn marks(&self, stage: &Stage) -> Vec<Mark> {
        let case = self.case;
        let mut marks = Vec::new();
        if stage.incision {
            marks.extend(case.operation.incision.as_ref().and_then(|incision| self.wound(incision)));
        }
        marks.extend(self.ports(stage));
        marks.extend(stage.steps.iter().filter_map(|&at| self.second_wound(at)));
        marks.extend(stage.devices.iter().filter_map(|&at| self.device(at)));
        for &at in &stage.complications {
            let Some(complication) = case.complications.get(at) else { continue };
            let (place, extent) = (complication.at.as_ref(), complication.extent.as_ref());
            marks.extend(self.damage("", &complication.is, place, extent));
        }
        if stage.lens
            && let Some(axis) = case.operation.lens.as_ref().and_then(|lens| lens.axis.as_ref())
            && let Some(degrees) = axis.value.middle_in(Unit::Degree)
        {
            let words = format!("toric axis, {} degrees", super::svg::num(degrees));
            marks.push(Mark { shape: Shape::Axis, spots: vec![Spot::At(degrees)], words });
        }
        marks
    }

    fn wound(&self, incision: &Incision) -> Option<Mark> {
        let at = incision.at.as_ref()?.value;
        let width = incision.width.as_ref().and_then(|width| width.value.middle_in(Unit::Mm));
        let written = incision.width.as_ref().map_or_else(String::new, |width| format!(", {} wide", width.value));
        Some(Mark {
            shape: Shape::Wound(width.unwrap_or(WOUND_MM)),
            spots: self.spots(at),
            words: format!("main incision, {at}{written}"),
        })
    }

    fn ports(&self, stage: &Stage) -> Option<Mark> {
        let ports = || stage.ports.iter().filter_map(|&at| Some(&self.case.operation.ports.get(at)?.at));
        let spots: Vec<Spot> = ports().filter_map(|port| self.resolved(port)).flat_map(|at| self.spots(at)).collect();
        let written: Vec<String> = ports().map(|port| port.value.to_string()).collect();
        let noun = if written.len() == 1 { "side port" } else { "side ports" };
        let words = format!("{noun}, {}", crate::text::list(&written, "and"));
        (!spots.is_empty()).then_some(Mark { shape: Shape::Port, spots, words })
    }

    /// A wound that a step made where neither the main wound nor a port is.
    fn second_wound(&self, at: usize) -> Option<Mark> {
        let operation = &self.case.operation;
        let step = operation.steps.get(at)?;
        let place = self.resolved(step.place.as_ref()?)?;
        let own = self.vocabulary.by_name("incision")?;
        let makes_one = self.vocabulary.upwards(step.does.value).contains(&own);
        let port = names(&step.does, self.vocabulary).any(|name| name == "paracentesis");
        let known = operation.ports.iter().filter_map(|port| self.resolved(&port.at)).chain(self.incision);
        let spots = self.spots(place);
        if !makes_one || spots.is_empty() || known.flat_map(|known| self.spots(known)).any(|known| spots[0] == known) {
            return None;
        }
        let width = step.extent.as_ref().and_then(|extent| extent.value.middle_in(Unit::Mm));
        let words = format!("{}, {place}{}, at step {}", self.label(&step.does), sized(step.extent.as_ref()), at + 1);
        let shape = if port { Shape::Port } else { Shape::Wound(width.unwrap_or(WOUND_MM)) };
        Some(Mark { shape, spots, words })
    }

    fn device(&self, at: usize) -> Option<Mark> {
        let device = self.case.operation.devices.get(at)?;
        let named =
            |parts: &[&str]| names(&device.is, self.vocabulary).any(|name| parts.iter().any(|it| name.contains(it)));
        let ring = named(&["ring", "segment"]);
        let at_pupil = named(&["pupil", "iris"]);
        let mut spots: Vec<Spot> =
            device.at.iter().filter_map(|at| self.resolved(at)).flat_map(|at| self.spots(at)).collect();
        if spots.is_empty() && ring {
            spots.push(Spot::Round);
        }
        // A ring that holds the pupil lies in its edge, one in the bag inside the lens's equator; a hook reaches the edge
        // of the pupil or of a capsulorhexis 5 mm wide (common practice, no source).
        let shape = match (ring, at_pupil) {
            (true, true) => Shape::Ring(self.pupil + 3.0),
            (true, false) => Shape::Ring(LENS - 9.0),
            (false, true) => Shape::Hook(self.pupil),
            (false, false) => Shape::Hook(2.5 * MM),
        };
        let written: Vec<String> = device.at.iter().map(|at| at.value.to_string()).collect();
        let place =
            if written.is_empty() { String::new() } else { format!(", {}", crate::text::list(&written, "and")) };
        let words = format!("{}{place}", self.label(&device.is));
        (!spots.is_empty()).then_some(Mark { shape, spots, words })
    }

    /// What was wrong at a place, before surgery or by it.
    fn damage(
        &self,
        when: &str,
        is: &Meant,
        at: Option<&Spanned<Place>>,
        extent: Option<&Spanned<Quantity>>,
    ) -> Option<Mark> {
        let place = self.resolved(at?)?;
        let label = self.label(is);
        let when = if label.contains("before surgery") { "" } else { when };
        let words = format!("{when}{label}, {place}{}", sized(extent));
        let slipped =
            names(is, self.vocabulary).any(|name| name == "implant-decentration" || name == "implant-subluxation");
        if slipped && let Some(towards) = place.centre_degrees(self.eye) {
            let by = extent.and_then(|extent| extent.value.middle_in(Unit::Mm)).unwrap_or(SLIPPED_MM);
            return Some(Mark { shape: Shape::Optic(by * MM), spots: vec![Spot::At(towards)], words });
        }
        let spots = match (self.spots(place).as_slice(), extent.and_then(|extent| sweep(&extent.value))) {
            // A single hour with an extent along the clock becomes an arc about that hour; everything else stays.
            ([Spot::At(_)], Some(sweep)) if sweep >= 360.0 => vec![Spot::Round],
            ([Spot::At(middle)], Some(sweep)) => vec![Spot::Arc { from: middle - sweep / 2.0, sweep }],
            (spots, _) => spots.to_vec(),
        };
        (!spots.is_empty()).then_some(Mark { shape: Shape::Damage(self.radius(is)), spots, words })
    }

    /// How far from the centre something lies, by what it concerns.
    fn radius(&self, term: &Meant) -> f64 {
        let fits = |name: &str| RINGS.iter().find(|(parts, _)| parts.iter().any(|part| name.contains(part)));
        let ring = names(term, self.vocabulary).find_map(fits).or(RINGS.last()).map_or(LIMBUS, |(_, radius)| *radius);
        if ring == PUPIL { self.pupil } else { ring }
    }

    fn resolved(&self, place: &Spanned<Place>) -> Option<Place> {
        match self.incision {
            Some(incision) => place.value.with_incision(incision, self.eye),
            None => Some(place.value),
        }
    }

    fn spots(&self, place: Place) -> Vec<Spot> {
        match place {
            // An arc runs with the clock, so against the clock it begins at its end.
            Place::Arc { from, to } => vec![Spot::Arc { from: to.degrees(), sweep: 30.0 * span_hours(from, to) }],
            Place::AllRound => vec![Spot::Round],
            Place::Central => vec![Spot::Centre],
            // Two hours opposite each other have no middle.
            Place::Either(one, other) if span_hours(one, other) == 6.0 => {
                vec![Spot::At(one.degrees()), Spot::At(other.degrees())]
            }
            _ => place.centre_degrees(self.eye).map(Spot::At).into_iter().collect(),
        }
    }

    fn label(&self, term: &Meant) -> String {
        self.vocabulary.get(term.value).label.value.clone()
    }
}

/// The concept's own name and those of all wider ones, nearest first.
fn names<'a>(term: &Meant, vocabulary: &'a Vocabulary) -> impl Iterator<Item = &'a str> {
    vocabulary.upwards(term.value).iter().map(|&id| vocabulary.get(id).name.value.as_str())
}

fn sized(extent: Option<&Spanned<Quantity>>) -> String {
    extent.map_or_else(String::new, |extent| format!(", {}", extent.value))
}

/// Degrees along the clock of an extent that is told so; `None` for one in millimetres.
fn sweep(extent: &Quantity) -> Option<f64> {
    matches!(extent.unit(), Unit::ClockHour | Unit::Degree).then(|| extent.middle_in(Unit::Degree)).flatten()
}
