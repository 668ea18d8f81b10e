//! The eye map measured with our own trigonometry: a clock hour h stands 30 h degrees with the clock from the top.

use super::reader::{Drawing, Item, Point, of_kind};
use super::straight;
use proptest::prelude::*;
use proptest::sample::{select, subsequence};

/// Coordinates are rounded to a tenth; a turned point is the turn of a rounded one.
const SLACK: f64 = 0.16;
/// Half the mean horizontal width of the cornea in mm. Source: white-to-white 11.71 mm, Rufer et al. 2005, Cornea 24:259.
const CORNEA_MM: f64 = 11.71 / 2.0;

/// Where something so many degrees with the clock from the top stands, at a distance from the middle.
fn clock(degrees: f64, radius: f64) -> Point {
    let angle = degrees.to_radians();
    (radius * angle.sin(), -radius * angle.cos())
}

fn near(one: Point, other: Point) -> bool {
    (one.0 - other.0).abs() < SLACK && (one.1 - other.1).abs() < SLACK
}

/// Degrees with the clock from the top.
fn degrees((x, y): Point) -> f64 {
    x.atan2(-y).to_degrees().rem_euclid(360.0)
}

fn radius((x, y): Point) -> f64 {
    x.hypot(y)
}

/// Whether two directions agree to within the rounding of a point so far out.
fn agree(one: f64, other: f64) -> bool {
    let apart = (one - other).rem_euclid(360.0);
    apart.min(360.0 - apart) < 0.4
}

/// How far an arc is drawn, in degrees, and the direction of its middle.
fn course(arc: &Item) -> (f64, f64) {
    let (_, long, with_the_clock) = arc.arc().expect("an arc");
    let ends: Vec<f64> = arc.points().into_iter().map(degrees).collect();
    let (from, to) = if with_the_clock { (ends[0], ends[1]) } else { (ends[1], ends[0]) };
    let length = (to - from).rem_euclid(360.0);
    // The flag and the direction must tell one and the same arc, or a browser draws its counterpart.
    assert_eq!(long, length > 180.0 + 0.4, "the flag says which way round: {length} degrees");
    (length, (from + length / 2.0).rem_euclid(360.0))
}

/// An eye with everything that has a place.
#[derive(Debug, Clone)]
struct Eye {
    left: bool,
    seat: Option<u8>,
    wound: u8,
    tenths_of_mm: u32,
    ports: Vec<u8>,
    hooks: Vec<u8>,
    /// Half hours after 12.
    dialysis: (u8, u8),
    iris: u8,
    iris_hours: u8,
    tear: u8,
    axis: u16,
}

fn hour(halves: u8) -> String {
    let hour = if halves < 2 { 12 } else { halves / 2 };
    format!("{hour}{}", if halves % 2 == 1 { ":30" } else { "" })
}

impl Eye {
    fn page(&self) -> String {
        let hours = |hours: &[u8]| hours.iter().map(|hour| format!("{hour} o'clock")).collect::<Vec<_>>().join(", ");
        let seat = self.seat.map_or_else(String::new, |hour| format!("  surgeon_at: {hour} o'clock\n"));
        let width = f64::from(self.tenths_of_mm) / 10.0;
        let operation = format!(
            "{seat}  operators: [{{grade: consultant}}]\n  incision: {{at: {} o'clock, width: {width:.1} mm}}\n  \
             ports: [{}]\n  devices: [{{is: iris hooks, at: [{}], step: s1}}]\n  steps:\n    - {{id: s1, do: \
             capsulorhexis}}\n    - {{id: s2, do: phacoemulsification}}\n  lens: {{kind: toric lens, power: 20.0 D, place: \
             bag, cylinder: 2.00 D, axis: {}}}\n",
            self.wound,
            hours(&self.ports),
            hours(&self.hooks),
            self.axis
        );
        let rest = format!(
            "complications:\n  - {{is: zonular dialysis, during: s2, at: {} to {} o'clock}}\n  - {{is: iridodialysis, \
             during: s2, at: {} o'clock, extent: {} clock hours}}\n  - {{is: posterior capsule rupture, during: s2, at: {} \
             o'clock}}\n",
            hour(self.dialysis.0),
            hour(self.dialysis.1),
            self.iris,
            self.iris_hours,
            self.tear
        );
        straight(if self.left { "left" } else { "right" }, &operation, &rest)
    }
}

fn eyes() -> impl Strategy<Value = Eye> {
    let hours = || select((1..=12u8).collect::<Vec<_>>());
    let some = |most: usize| subsequence((1..=12u8).collect::<Vec<_>>(), 1..=most);
    let halves = (0..24u8, 1..24u8).prop_map(|(from, span)| (from, (from + span) % 24));
    (
        (any::<bool>(), prop::option::of(hours()), hours(), 18..80u32, some(3), some(4)),
        (halves, hours(), 1..=9u8, hours(), 0..180u16),
    )
        .prop_map(|((left, seat, wound, tenths_of_mm, ports, hooks), (dialysis, iris, iris_hours, tear, axis))| {
            Eye { left, seat, wound, tenths_of_mm, ports, hooks, dialysis, iris, iris_hours, tear, axis }
        })
}

/// Checks every mark of a view that is turned so many degrees with the clock.
fn measure(eye: &Eye, view: &Drawing, turn: f64) {
    let at = |hour: u8| (30.0 * f64::from(hour) + turn).rem_euclid(360.0);
    // The hours themselves.
    let hours: Vec<(String, f64)> =
        view.all("hour").iter().map(|it| (it.words.clone(), degrees(middle_of(it)))).collect();
    for (hour, name) in [(12, "12"), (3, "3"), (6, "6"), (9, "9")] {
        let (_, stands) = hours.iter().find(|(words, _)| words == name).expect("four hours are named");
        assert!(agree(*stands, at(hour)), "{name} stands at {stands}");
    }
    let ticks = view.all("tick")[0].points();
    for (nth, tick) in ticks.chunks(2).enumerate() {
        assert!(tick.iter().all(|&end| agree(degrees(end), at(nth as u8 + 1))), "tick {}", nth + 1);
    }
    // The main wound is as long as it is wide, along a limbus of the mean size.
    let wound = view.all("wound")[0];
    let (length, middle) = course(wound);
    assert!(agree(middle, at(eye.wound)), "the wound lies at {middle}");
    let long = f64::from(eye.tenths_of_mm) / 10.0 / CORNEA_MM;
    assert!((length - long.to_degrees()).abs() < 0.4, "{length} degrees for {long} radians");
    assert!(wound.points().iter().all(|&end| (radius(end) - 100.0).abs() < SLACK));
    // Ports and hooks, each at its hour.
    let tips: Vec<f64> = view.all("port").iter().map(|port| degrees(port.points()[2])).collect();
    assert_eq!(tips.len(), eye.ports.len());
    assert!(eye.ports.iter().zip(tips).all(|(&port, tip)| agree(tip, at(port))));
    let hooks = view.all("hook");
    let (rods, eyelets): (Vec<&Item>, Vec<&Item>) = hooks.iter().partition(|hook| hook.tag == "line");
    assert_eq!((rods.len(), eyelets.len()), (eye.hooks.len(), eye.hooks.len()));
    for ((&hook, rod), eyelet) in eye.hooks.iter().zip(rods).zip(eyelets) {
        assert!(rod.points().into_iter().chain(eyelet.points()).all(|point| agree(degrees(point), at(hook))));
    }
    // Arcs: from one hour with the clock to the other, and about one hour as far as it is told.
    let arcs = view.all("damage");
    assert_eq!(arcs.len(), 2);
    let (from, to) = eye.dialysis;
    let hours = f64::from((to + 24 - from) % 24) / 2.0;
    let (length, middle) = course(arcs[0]);
    assert!((length - 30.0 * hours).abs() < 0.5, "{hours} hours are drawn as {length} degrees");
    assert!(agree(middle, 15.0 * f64::from(from) + 15.0 * hours + turn), "the middle lies at {middle}");
    let (length, middle) = course(arcs[1]);
    assert!((length - 30.0 * f64::from(eye.iris_hours)).abs() < 0.5);
    assert!(agree(middle, at(eye.iris)));
    // The tear: the middle of its cross.
    let cross = view.all("cross")[0].points();
    let middle = ((cross[0].0 + cross[1].0) / 2.0, (cross[0].1 + cross[1].1) / 2.0);
    assert!(near(middle, clock(at(eye.tear), radius(middle))), "the tear lies at {middle:?}");
    // The toric axis in degrees against the clock from 3 o'clock, seen from the front (the notation of spectacle lenses).
    let axis = view.all("axis")[0].points();
    assert!(agree(degrees(axis[0]), 90.0 - f64::from(eye.axis) + turn));
    assert!(near(axis[0], (-axis[1].0, -axis[1].1)), "it runs through the middle");
    // Letters keep apart, and stand outside the eye and inside the hours.
    let letters: Vec<Point> = view.all("letter").iter().map(|it| middle_of(it)).collect();
    assert_eq!(letters.len(), 1 + eye.ports.len() + eye.hooks.len() + 4);
    for (nth, &one) in letters.iter().enumerate() {
        assert!((radius(one) - 130.0).abs() < 0.7, "{one:?}");
        for &other in &letters[..nth] {
            assert!((one.0 - other.0).hypot(one.1 - other.1) > 25.0, "{one:?} and {other:?}");
        }
    }
    // Each side's name stands on its side of the eye.
    let nose = if eye.left { 9 } else { 3 };
    for (side, hour) in [("nasal", nose), ("temporal", 12 - nose)] {
        let name = view.all("side").into_iter().find(|it| it.words == side).expect("both sides are named");
        let (x, y) = name.points()[0];
        let (towards_x, towards_y) = clock(at(hour), 1.0);
        assert!(x * towards_x + y * towards_y > 60.0, "{side} stands at {:?} and lies towards {}", (x, y), at(hour));
    }
}

/// The middle of a text, which stands on its foot: six tenths of its size of 19 high.
fn middle_of(text: &Item) -> Point {
    let (x, y) = text.points()[0];
    (x, y - 6.25)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_mark_lies_where_trigonometry_puts_it(eye in eyes()) {
        let maps = of_kind(&eye.page(), "eye-map");
        prop_assert_eq!(maps.len(), if eye.seat.is_some_and(|seat| seat != 6) { 2 } else { 1 });
        measure(&eye, &maps[0], 0.0);
        if let (Some(seat), Some(view)) = (eye.seat, maps.get(1)) {
            // The surgeon sits below.
            measure(&eye, view, 180.0 - 30.0 * f64::from(seat));
        }
    }

    #[test]
    fn the_surgeons_view_is_the_front_view_turned(eye in eyes(), seat in select(vec![1u8, 2, 3, 4, 5, 7, 8, 9, 10, 11, 12])) {
        let maps = of_kind(&Eye { seat: Some(seat), ..eye }.page(), "eye-map");
        let turn = (180.0 - 30.0 * f64::from(seat)).to_radians();
        let turned = |(x, y): Point| (x * turn.cos() - y * turn.sin(), x * turn.sin() + y * turn.cos());
        let drawn = |map: &Drawing| map.items.iter().filter(|it| it.class != "cross" && it.tag != "text").cloned().collect::<Vec<_>>();
        let (front, seen) = (drawn(&maps[0]), drawn(&maps[1]));
        prop_assert_eq!(front.len(), seen.len());
        for (one, other) in front.iter().zip(&seen) {
            prop_assert_eq!((&one.tag, &one.class), (&other.tag, &other.class));
            prop_assert_eq!(one.arc(), other.arc());
            for (point, there) in one.points().into_iter().zip(other.points()) {
                prop_assert!(near(turned(point), there), "{:?} turns to {:?}, not {:?}", point, turned(point), there);
            }
        }
    }

    #[test]
    fn a_left_eye_differs_from_a_right_one_in_its_sides_alone(eye in eyes()) {
        let right = of_kind(&Eye { left: false, ..eye.clone() }.page(), "eye-map");
        let left = of_kind(&Eye { left: true, ..eye }.page(), "eye-map");
        prop_assert_eq!(right.len(), left.len());
        for (one, other) in right.iter().zip(&left) {
            prop_assert!(one.label.contains("right eye") && other.label.contains("left eye"));
            prop_assert_eq!(one.label.replace("right eye", "left eye"), other.label.clone());
            let rest = |map: &Drawing| map.items.iter().filter(|it| !it.class.starts_with("side")).cloned().collect::<Vec<_>>();
            prop_assert_eq!(rest(one), rest(other));
            // The two names change places.
            let place = |map: &Drawing, name: &str| {
                let item = map.items.iter().find(|it| it.words == name).cloned();
                item.map(|it| (it.class.clone(), it.points()))
            };
            prop_assert_eq!(place(one, "nasal"), place(other, "temporal"));
            prop_assert_eq!(place(one, "temporal"), place(other, "nasal"));
        }
    }
}

#[test]
fn an_arc_over_twelve_goes_the_short_way() {
    let arc = |at: &str| {
        let operation = "  operators: [{grade: fellow}]\n  steps: [{id: s1, do: phacoemulsification}]\n";
        let rest = format!("complications: [{{is: zonular dialysis, during: s1, at: {at}}}]\n");
        let page = straight("right", operation, &rest);
        let maps = of_kind(&page, "eye-map");
        course(maps[0].all("damage")[0])
    };
    for (at, hours, middle) in [
        ("10 to 2 o'clock", 4.0, 0.0),
        ("2 to 10 o'clock", 8.0, 180.0),
        ("11 to 12 o'clock", 1.0, 345.0),
        ("12 to 1:30 o'clock", 1.5, 22.5),
        ("11:30 to 12:30 o'clock", 1.0, 0.0),
    ] {
        let (length, drawn) = arc(at);
        assert!((length - 30.0 * hours).abs() < 0.5 && agree(drawn, middle), "{at}: {length} degrees about {drawn}");
    }
}

#[test]
fn a_slipped_optic_lies_so_many_millimetres_off() {
    let operation = "  operators: [{grade: fellow}]\n  steps: [{id: s1, do: lens implantation}]\n";
    let rest = "complications: [{is: implant decentration, after: 5 days, at: inferior, extent: 1.5 mm}]\n";
    let maps = of_kind(&straight("left", operation, rest), "eye-map");
    let optic = maps[0].all("optic")[0];
    // An optic of 6 mm, common practice.
    assert!((optic.number("r") - 3.0 / CORNEA_MM * 100.0).abs() < 0.06);
    assert!(near(optic.points()[0], clock(180.0, 1.5 / CORNEA_MM * 100.0)));
}
