//! The face of the eye map: the eye itself, clock hours, sides, and the marks on it with their letters.

use super::svg::Svg;
use crate::model::measure::{Eye, Hour, Side};

/// Radius of the limbus in the drawing.
pub(super) const LIMBUS: f64 = 100.0;
/// Half the mean horizontal width of the cornea in mm. Source: white-to-white 11.71 mm, Rufer et al. 2005, Cornea 24:259.
pub(super) const LIMBUS_MM: f64 = 11.71 / 2.0;
/// A millimetre in the drawing.
pub(super) const MM: f64 = LIMBUS / LIMBUS_MM;
/// Radius of the lens, 9.5 mm across. Common practice, no source.
pub(super) const LENS: f64 = 4.75 * MM;
/// Radius of an implant's optic, 6 mm across. Common practice, no source.
const OPTIC: f64 = 3.0 * MM;

/// Where the hours stand, where letters stand, and how far apart those are in degrees.
const HOURS: f64 = 162.0;
const LETTERS: f64 = 130.0;
const APART: f64 = 12.0;
/// How far inwards a mark gives way to another on its ring.
const GIVES_WAY: f64 = 9.0;

/// How a mark is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Shape {
    /// A wound, so many mm wide.
    Wound(f64),
    /// A side port.
    Port,
    /// A hook that reaches inwards to a radius.
    Hook(f64),
    /// A ring or segment at a radius.
    Ring(f64),
    /// Damage at a radius.
    Damage(f64),
    /// An optic that has slipped so far.
    Optic(f64),
    /// The axis of a toric implant.
    Axis,
}

/// Where on the clock a mark stands, in degrees from 3 o'clock against the clock as seen from the front.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Spot {
    /// At one place.
    At(f64),
    /// From one place against the clock.
    Arc {
        /// Where it begins.
        from: f64,
        /// How far it runs, below 360.
        sweep: f64,
    },
    /// All the way round.
    Round,
    /// In the middle.
    Centre,
}

/// One mark: what it is and where.
#[derive(Debug, Clone)]
pub(super) struct Mark {
    pub(super) shape: Shape,
    pub(super) spots: Vec<Spot>,
    /// What it is, for the key.
    pub(super) words: String,
}

impl Spot {
    /// Whether two marks on one ring would cover each other here: a single place takes up 12 degrees.
    fn covers(self, other: Self) -> bool {
        let span = |spot: Self| match spot {
            Self::At(degrees) => Some((degrees - 6.0, 12.0)),
            Self::Arc { from, sweep } => Some((from, sweep)),
            Self::Round | Self::Centre => None,
        };
        match (span(self), span(other)) {
            (Some((from, sweep)), Some((begin, length))) => {
                (begin - from).rem_euclid(360.0) < sweep || (from - begin).rem_euclid(360.0) < length
            }
            _ => self == Self::Round || other == Self::Round,
        }
    }
}

impl Mark {
    /// Moves the mark inwards until it covers none of those before it.
    pub(super) fn give_way(&mut self, earlier: &[Self]) {
        let (Shape::Ring(mut radius) | Shape::Damage(mut radius)) = self.shape else { return };
        let covers = |radius: f64, other: &Self| {
            matches!(other.shape, Shape::Ring(at) | Shape::Damage(at) if libm::fabs(at - radius) < GIVES_WAY - 1.0)
                && self.spots.iter().any(|spot| other.spots.iter().any(|there| spot.covers(*there)))
        };
        while radius > 2.0 * GIVES_WAY && earlier.iter().any(|other| covers(radius, other)) {
            radius -= GIVES_WAY;
        }
        match &mut self.shape {
            Shape::Ring(at) | Shape::Damage(at) => *at = radius,
            _ => {}
        }
    }
}

/// A, B, … Z, AA, AB, …
pub(super) fn letters() -> impl Iterator<Item = String> {
    (0u32..).map(|at| {
        let letter = |at: u32| char::from(b'A' + u8::try_from(at % 26).unwrap_or(0));
        if at < 26 { letter(at).to_string() } else { format!("{}{}", letter(at / 26 - 1), letter(at)) }
    })
}

/// The point at an angle (degrees from 3 o'clock against the clock, seen from the front) after a turn of the drawing.
fn point(degrees: f64, radius: f64, turn: f64) -> (f64, f64) {
    let angle = (degrees + turn).to_radians();
    (radius * libm::cos(angle), -radius * libm::sin(angle))
}

/// How the eye is looked at.
#[derive(Debug, Clone, Copy)]
pub(super) struct View {
    pub(super) eye: Eye,
    /// Radius of the pupil.
    pub(super) pupil: f64,
    /// Degrees by which the front view is turned against the clock.
    pub(super) turn: f64,
}

/// What a drawing shares with others of its page: the same view with fewer marks before it, or with more after it.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Shared<'a> {
    /// Name of the drawing before, and how many of the marks it holds; they are taken from there.
    pub(super) before: Option<(&'a str, usize)>,
    /// The name under which a later drawing takes this one in.
    pub(super) name: Option<&'a str>,
}

/// The whole drawing. Letters go to the marks in their order, so that a drawing with more marks at the end keeps them.
pub(super) fn draw(marks: &[Mark], view: View, shared: Shared<'_>, words: &str) -> String {
    let turn = view.turn;
    let mut svg = Svg::new("eye-map", (-190.0, -176.0, 380.0, 352.0), words);
    if let Some(name) = shared.name {
        svg.open_group("eye-map", name);
    }
    let drawn = match shared.before {
        Some((name, drawn)) => {
            svg.repeat(name);
            drawn
        }
        None => {
            face(&mut svg, view);
            0
        }
    };
    let mut taken: Vec<f64> = Vec::new();
    for (nth, (mark, letter)) in marks.iter().zip(letters()).enumerate() {
        for &spot in &mark.spots {
            let (wanted, reach) = mark.belongs(spot);
            let free = free_angle(wanted, &taken);
            taken.push(free);
            if nth < drawn {
                continue;
            }
            mark.draw(&mut svg, spot, turn);
            // A letter that does not stand beside its mark is joined to it.
            if free != wanted || reach < LIMBUS - 15.0 {
                svg.line("lead", point(free, LETTERS - 10.0, turn), point(wanted, reach, turn));
            }
            let (x, y) = point(free, LETTERS, turn);
            svg.text("letter", (x, y + 6.5), &letter);
        }
    }
    if shared.name.is_some() {
        svg.close_group();
    }
    svg.done()
}

/// The eye without a mark, with its hours and sides.
fn face(svg: &mut Svg, View { eye, pupil, turn }: View) {
    svg.circle("limbus", (0.0, 0.0), LIMBUS);
    svg.circle("lens-edge", (0.0, 0.0), LENS);
    svg.circle("pupil", (0.0, 0.0), pupil);
    let hours = (1..=12u8).filter_map(|hour| Some((hour, Hour::new(hour, false)?.degrees())));
    let ticks: Vec<_> = hours
        .clone()
        .map(|(_, degrees)| [point(degrees, LIMBUS + 3.0, turn), point(degrees, LIMBUS + 9.0, turn)])
        .collect();
    svg.lines("tick", &ticks);
    for (hour, degrees) in hours.filter(|(hour, _)| hour % 3 == 0) {
        let (x, y) = point(degrees, HOURS, turn);
        svg.text("hour", (x, y + 6.0), &hour.to_string());
    }
    for side in [Side::Nasal, Side::Temporal] {
        name_side(svg, side, point(side.hour(eye).degrees(), 1.0, turn));
    }
}

/// Names a side in a corner that lies on it, where no letter comes: above, or next to the hour that lies up or down.
fn name_side(svg: &mut Svg, side: Side, (x, y): (f64, f64)) {
    let words = side.to_string();
    if libm::fabs(x) < 0.1 {
        svg.text("side right", (16.0, if y < 0.0 { 6.0 - HOURS } else { 6.0 + HOURS }), &words);
    } else if x < 0.0 {
        svg.text("side right", (-186.0, if y > 0.6 { 160.0 } else { -148.0 }), &words);
    } else {
        svg.text("side left", (186.0, if y > 0.6 { 160.0 } else { -148.0 }), &words);
    }
}

/// The angle nearest to the wanted one at which no letter stands yet.
fn free_angle(wanted: f64, taken: &[f64]) -> f64 {
    let apart = |one: f64, other: f64| {
        let turn = (one - other).rem_euclid(360.0);
        turn.min(360.0 - turn)
    };
    let steps = (0..30).flat_map(|step| [f64::from(step) * APART, f64::from(step) * -APART]);
    steps
        .map(|shift| wanted + shift)
        .find(|&angle| taken.iter().all(|&other| apart(angle, other) >= APART))
        .unwrap_or(wanted)
}

impl Mark {
    /// The angle and the radius of the place to which the letter of a spot belongs.
    fn belongs(&self, spot: Spot) -> (f64, f64) {
        let radius = self.radius();
        match spot {
            Spot::Arc { from, sweep } => (from + sweep / 2.0, radius),
            Spot::Round => (45.0, radius),
            Spot::Centre => (60.0, 8.0),
            Spot::At(degrees) => {
                let reach = match self.shape {
                    Shape::Damage(radius) => radius + 8.0,
                    Shape::Optic(shift) => OPTIC + shift,
                    Shape::Ring(radius) => radius,
                    Shape::Wound(_) | Shape::Port | Shape::Hook(_) | Shape::Axis => LIMBUS,
                };
                (degrees, reach)
            }
        }
    }

    fn class(&self) -> &'static str {
        match self.shape {
            Shape::Wound(_) => "wound",
            Shape::Port => "port",
            Shape::Hook(_) => "hook",
            Shape::Ring(_) => "ring",
            Shape::Damage(_) => "damage",
            Shape::Optic(_) => "optic",
            Shape::Axis => "axis",
        }
    }

    fn radius(&self) -> f64 {
        match self.shape {
            Shape::Ring(radius) | Shape::Damage(radius) => radius,
            _ => LIMBUS,
        }
    }

    fn draw(&self, svg: &mut Svg, spot: Spot, turn: f64) {
        match spot {
            Spot::At(degrees) => self.at(svg, degrees, turn),
            Spot::Arc { from, sweep } => arc(svg, self.class(), (from, sweep), self.radius(), turn),
            Spot::Round => svg.circle(self.class(), (0.0, 0.0), self.radius()),
            Spot::Centre => cross(svg, (0.0, 0.0)),
        }
    }

    fn at(&self, svg: &mut Svg, degrees: f64, turn: f64) {
        match self.shape {
            Shape::Wound(width) => {
                let sweep = (width / LIMBUS_MM).to_degrees();
                arc(svg, "wound", (degrees - sweep / 2.0, sweep), LIMBUS, turn);
            }
            Shape::Port => {
                let corners = [(degrees - 4.0, LIMBUS + 3.0), (degrees + 4.0, LIMBUS + 3.0), (degrees, LIMBUS - 14.0)];
                svg.path("port", &corners.map(|(angle, radius)| point(angle, radius, turn)), true);
            }
            Shape::Hook(inner) => {
                svg.line("hook", point(degrees, LIMBUS + 3.0, turn), point(degrees, inner + 4.0, turn));
                svg.circle("hook", point(degrees, inner, turn), 4.0);
            }
            // A segment takes up 120 degrees in the bag (common practice, no source).
            Shape::Ring(radius) => arc(svg, "ring", (degrees - 60.0, 120.0), radius, turn),
            Shape::Damage(radius) => cross(svg, point(degrees, radius, turn)),
            Shape::Optic(shift) => {
                svg.circle("optic", point(degrees, shift, turn), OPTIC);
                cross(svg, point(degrees, shift, turn));
            }
            Shape::Axis => {
                svg.line("axis", point(degrees, LIMBUS + 12.0, turn), point(degrees + 180.0, LIMBUS + 12.0, turn));
            }
        }
    }
}

/// Part of a circle about the middle, from an angle and so far against the clock.
fn arc(svg: &mut Svg, class: &str, (from, sweep): (f64, f64), radius: f64, turn: f64) {
    svg.arc(class, point(from, radius, turn), point(from + sweep, radius, turn), radius, sweep > 180.0);
}

fn cross(svg: &mut Svg, (x, y): (f64, f64)) {
    svg.lines("cross", &[[(x - 6.0, y - 6.0), (x + 6.0, y + 6.0)], [(x - 6.0, y + 6.0), (x + 6.0, y - 6.0)]]);
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
    fn letters_run_on_after_z() {
        let all: Vec<String> = letters().take(28).collect();
        assert_eq!((all[0].as_str(), all[25].as_str(), all[26].as_str(), all[27].as_str()), ("A", "Z", "AA", "AB"));
    }
}
