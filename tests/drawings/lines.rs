//! The operation strip along time, and acuity and pressure on their scales.

use super::reader::{Drawing, Item, Point, codes, drawings, of_kind};
use super::{readings, straight};
use crate::support::{demo, root};
use casewright::files::Disk;
use proptest::prelude::*;
use proptest::sample::select;
use std::collections::BTreeMap;

const SLACK: f64 = 0.11;

/// A page whose operation has these steps: seconds if they are known, and whether the step was planned.
fn operation(steps: &[(Option<u32>, bool)]) -> String {
    let steps: String = steps
        .iter()
        .zip(1..)
        .map(|((time, planned), number)| {
            let at = time.map_or_else(String::new, |time| format!(", at: \"{}:{:02}\"", time / 60, time % 60));
            let planned = if *planned { "" } else { ", unplanned: true" };
            format!("    - {{id: s{number}{at}, do: cortex removal{planned}}}\n")
        })
        .collect();
    straight("right", &format!("  operators: [{{grade: fellow}}]\n  steps:\n{steps}"), "")
}

/// Where each numbered step stands on the axis: the far end of the line that leads to its number.
fn on_axis(strip: &Drawing) -> Vec<Point> {
    strip.all("lead")[0].points().chunks(2).map(|line| line[1]).collect()
}

/// Checks the numbers of a strip and gives the places of its steps on the axis.
fn measured(page: &str, strip: &Drawing, steps: &[(Option<u32>, bool)]) -> Vec<f64> {
    let links: Vec<&Item> = strip.items.iter().filter(|it| it.link.is_some()).collect();
    let (numbers, frames): (Vec<&Item>, Vec<&Item>) = links.iter().partition(|it| it.tag == "text");
    assert_eq!((numbers.len(), frames.len()), (steps.len(), steps.len()));
    for (nth, (_, planned)) in steps.iter().enumerate() {
        let number = (nth + 1).to_string();
        let (href, name) = numbers[nth].link.clone().expect("a link");
        assert_eq!((numbers[nth].words.as_str(), href.as_str()), (number.as_str(), format!("#step_{number}").as_str()));
        assert!(page.contains(&format!("id=\"step_{number}\"")), "the link leads to its step");
        assert!(name.starts_with(&format!("Step {number}: cortex removal")), "{name}");
        // Planned is a circle, unplanned a diamond, and the name says it too.
        assert_eq!(frames[nth].tag, if *planned { "circle" } else { "path" });
        assert_eq!(name.contains("not planned"), !planned);
    }
    let places: Vec<f64> = numbers.iter().map(|it| it.points()[0].0).collect();
    assert!(places.windows(2).all(|pair| pair[1] - pair[0] > 36.0), "numbers do not touch: {places:?}");
    assert!(
        places[0] > 18.0 && *places.last().expect("a place") < strip.width - 18.0,
        "nothing is cut off: {places:?}"
    );
    on_axis(strip).into_iter().map(|(x, _)| x).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 32, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn steps_stand_along_time(waits in prop::collection::vec((1..900u32, any::<bool>()), 2..22)) {
        let mut time = 0;
        let steps: Vec<(Option<u32>, bool)> = waits.iter().map(|(wait, planned)| { time += wait; (Some(time), *planned) }).collect();
        let page = operation(&steps);
        let strip = &of_kind(&page, "op-strip")[0];
        let places = measured(&page, strip, &steps);
        let seconds: Vec<f64> = steps.iter().filter_map(|(time, _)| time.map(f64::from)).collect();
        let (first, last) = (seconds[0], seconds[seconds.len() - 1]);
        let (left, right) = (places[0], places[places.len() - 1]);
        prop_assert!((right - left - (strip.width - 48.0)).abs() < 2.0 * SLACK, "the axis is used from end to end");
        for (place, second) in places.iter().zip(&seconds) {
            let due = left + (right - left) * (second - first) / (last - first);
            prop_assert!((place - due).abs() < 2.0 * SLACK, "{} s stands at {}, due at {}", second, place, due);
        }
    }

    #[test]
    fn steps_without_times_stand_in_order(count in 2..22usize, missing in 0..22usize) {
        let steps: Vec<(Option<u32>, bool)> = (0..count).map(|nth| ((nth != missing % count).then_some(nth as u32 * nth as u32 * 30), true)).collect();
        let page = operation(&steps);
        let strip = &of_kind(&page, "op-strip")[0];
        let places = measured(&page, strip, &steps);
        let gap = (places[count - 1] - places[0]) / (count - 1) as f64;
        prop_assert!(places.windows(2).all(|pair| (pair[1] - pair[0] - gap).abs() < 2.0 * SLACK), "{:?}", places);
        prop_assert!(strip.all("time").is_empty() && page.contains("not all their times were recorded"));
    }

    #[test]
    fn acuity_follows_logmar(visits in prop::collection::vec((select(ACUITIES.to_vec()), select(WAYS.to_vec())), 2..9)) {
        let page = visited(&visits.iter().map(|((text, _), way)| format!("acuity: {{{way}: {text}}}")).collect::<Vec<_>>());
        let course = &of_kind(&page, "course")[0];
        let scale = scale(course);
        let drawn: BTreeMap<i64, f64> = points(course).into_iter().map(|(x, y)| ((x * 10.0).round() as i64, y)).collect();
        prop_assert_eq!(drawn.len(), visits.len(), "one point for each visit");
        let (zero, one) = (scale["6/6"], scale["6/60"]);
        for (((text, value), _), y) in visits.iter().zip(drawn.values()) {
            let due = match value {
                Ok((distance, size)) => zero + (one - zero) * (size / distance).log10(),
                Err(word) => scale[*word],
            };
            prop_assert!((y - due).abs() < 2.0 * SLACK, "{} stands at {}, due at {}", text, y, due);
            prop_assert!(course.label.contains(text), "{} is not said in {}", text, course.label);
        }
    }

    #[test]
    fn pressure_follows_mmhg(visits in prop::collection::vec((1..55u32, 0..20u32), 2..9)) {
        let said = |(low, more): &(u32, u32)| if *more == 0 { format!("{low} mmHg") } else { format!("{low} to {} mmHg", low + more) };
        let page = visited(&visits.iter().map(|visit| format!("iop: {}", said(visit))).collect::<Vec<_>>());
        let course = &of_kind(&page, "course")[0];
        let scale = scale(course);
        let (zero, per) = (scale["0"], (scale["0"] - scale["10"]) / 10.0);
        for (label, y) in &scale {
            let value: f64 = label.parse().expect("a number");
            prop_assert!((zero - value * per - y).abs() < 3.0 * SLACK, "{} stands at {}", label, y);
        }
        let band = course.all("normal")[0].points();
        prop_assert!((band[0].1 - scale["21"]).abs() < SLACK && (band[1].1 - scale["10"]).abs() < 2.0 * SLACK, "the band is 10 to 21");
        // A range is a bar from its lower to its upper end, anything else a point.
        let (bars, dots) = (course.all("range"), course.all("full"));
        prop_assert_eq!(bars.len(), visits.iter().filter(|(_, more)| *more > 0).count());
        prop_assert_eq!(bars.len() + dots.len(), visits.len());
        let (mut bars, mut dots) = (bars.into_iter(), dots.into_iter());
        for visit in &visits {
            let (low, high) = (f64::from(visit.0), f64::from(visit.0 + visit.1));
            let ends: Vec<f64> = if visit.1 > 0 {
                bars.next().expect("a bar").points()[..2].iter().map(|point| point.1).collect()
            } else {
                dots.next().expect("a dot").points().iter().map(|point| point.1).collect()
            };
            for (y, value) in ends.iter().zip([low, high]) {
                prop_assert!((y - (zero - value * per)).abs() < 4.0 * SLACK, "{} stands at {}", value, y);
            }
            prop_assert!(course.label.contains(&said(visit)), "{} is not said in {}", said(visit), course.label);
        }
    }
}

/// An acuity as it is written, and its test distance and letter size, or the word that stands below the chart.
type Written = (&'static str, Result<(f64, f64), &'static str>);

/// LogMAR is the logarithm of size over distance by definition: that quotient is the minimum angle of resolution, and
/// 6/12 is 0.3.
const ACUITIES: [Written; 13] = [
    ("6/4", Ok((6.0, 4.0))),
    ("6/6", Ok((6.0, 6.0))),
    ("6/9", Ok((6.0, 9.0))),
    ("20/40", Ok((20.0, 40.0))),
    ("6/18", Ok((6.0, 18.0))),
    ("6/24", Ok((6.0, 24.0))),
    ("6/36", Ok((6.0, 36.0))),
    ("3/60", Ok((3.0, 60.0))),
    ("1/60", Ok((1.0, 60.0))),
    ("CF", Err("CF")),
    ("HM", Err("HM")),
    ("PL", Err("PL")),
    ("NPL", Err("NPL")),
];

const WAYS: [&str; 4] = ["unaided", "presenting", "pinhole", "best corrected"];

/// A page with one visit before surgery and the others after it, each with this measure.
fn visited(measures: &[String]) -> String {
    let after: Vec<String> =
        measures[1..].iter().zip(1..).map(|(measure, week)| format!("{{after: {week} weeks, {measure}}}")).collect();
    let rest = format!("before: [{{when: in clinic, {}}}]\noutcomes: [{}]\n", measures[0], after.join(", "))
        .replace("after: 1 weeks", "after: 1 week");
    straight("left", "  operators: [{grade: fellow}]\n  steps: [{id: s1, do: cortex removal}]\n", &rest)
}

/// The height of each label's line: labels stand on it, as the lines of the grid do in the same order.
fn scale(course: &Drawing) -> BTreeMap<String, f64> {
    let lines = course
        .all("grid")
        .into_iter()
        .flat_map(|grid| grid.points().chunks(2).map(|line| (line[0].1, line[1].1)).collect::<Vec<_>>());
    course
        .all("scale")
        .into_iter()
        .zip(lines)
        .map(|(label, (left, right))| {
            assert!((left - right).abs() < f64::EPSILON, "lines are level");
            assert!((label.points()[0].1 - 4.5 - left).abs() < 2.0 * SLACK, "{} stands at its line", label.words);
            (label.words.clone(), left)
        })
        .collect()
}

/// The middle of every sign of an acuity.
fn points(course: &Drawing) -> Vec<Point> {
    course
        .items
        .iter()
        .filter(|item| item.class == "hollow" || item.class == "full")
        .map(|item| {
            let points = item.points();
            match item.tag.as_str() {
                "rect" => ((points[0].0 + points[1].0) / 2.0, (points[0].1 + points[1].1) / 2.0),
                // A triangle stands with eight above the value and six below.
                "path" => (points[0].0, points[0].1 + 8.0),
                _ => points[0],
            }
        })
        .collect()
}

#[test]
fn lines_of_the_chart_stand_by_their_logarithm() {
    let page = visited(&["acuity: {unaided: 1/60}".to_owned(), "acuity: {unaided: NPL}".to_owned()]);
    let scale = scale(&of_kind(&page, "course")[0]);
    let (zero, one) = (scale["6/6"], scale["6/60"]);
    // log10 of letter size over distance: the definition of logMAR.
    for (label, angle) in [("6/12", 2.0_f64), ("6/24", 4.0), ("3/60", 20.0), ("1/60", 60.0)] {
        assert!((scale[label] - (zero + angle.log10() * (one - zero))).abs() < 2.0 * SLACK, "{label}");
    }
    let words = ["CF", "HM", "PL", "NPL"].map(|word| scale[word]);
    assert!(words[0] > scale["1/60"] && words.windows(2).all(|pair| pair[1] > pair[0]), "words stand below the chart");
}

#[test]
fn what_happened_stands_above_its_step_and_in_its_name() {
    let library = Disk::new(root().join("tests/data/drawings/library"), &[]);
    let pages = readings(&library);
    let page = &pages["cases/tear-and-takeover.html"];
    let strip = &of_kind(page, "op-strip")[0];
    let name = |number: usize| {
        let href = format!("#step_{number}");
        let link = strip.items.iter().filter_map(|it| it.link.as_ref()).find(|link| link.0 == href);
        link.expect("the step is there").1.clone()
    };
    // At step 4 the tear was noticed, a decision asked and another operator went on; at step 5 came a conversion.
    let signs: Vec<&str> = strip.all("sign").iter().map(|it| it.words.as_str()).collect();
    assert_eq!(signs, ["? ! T", "? C"]);
    for said in ["not planned", "a decision", "a complication became known", "another operator goes on"] {
        assert!(name(4).contains(said), "{}", name(4));
    }
    assert!(name(5).contains("changed to another operation"), "{}", name(5));
    assert_eq!(name(3), "Step 3: phacoemulsification");

    // On the open reading each strip ends before the decision, and what was told stays as a stroke.
    let ask = &pages["cases/tear-and-takeover-ask.html"];
    let strips = of_kind(ask, "op-strip");
    let numbers = |strip: &Drawing| -> Vec<String> {
        strip.items.iter().filter(|it| it.link.is_some() && it.tag == "text").map(|it| it.words.clone()).collect()
    };
    let shown: Vec<Vec<String>> = strips.iter().map(numbers).collect();
    assert_eq!(shown, [vec!["1", "2", "3"], vec!["4"], vec!["5", "6", "7"]]);
    let strokes: Vec<usize> = strips.iter().map(|strip| strip.all("before").len()).collect();
    assert_eq!(strokes, [0, 1, 1]);
    let first_answer = ask.find("<details").expect("an answer");
    assert!(!ask[..first_answer].contains("not planned"), "nothing of step 4 stands before its decision");
}

#[test]
fn every_drawing_says_what_it_shows() {
    let mut seen = BTreeMap::new();
    for (path, page) in readings(&demo()) {
        for drawing in drawings(&page) {
            *seen.entry(drawing.class.clone()).or_insert(0) += 1;
            let links = drawing.items.iter().filter_map(|it| it.link.as_ref());
            assert!(links.clone().all(|(_, name)| !name.is_empty()), "{path}: a link without a name");
            // What holds links is no single picture to those who hear it read.
            let role = if links.count() > 0 { "group" } else { "img" };
            assert_eq!(drawing.role, role, "{path}: {}", drawing.class);
            assert!(drawing.label.split(' ').count() >= 3, "{path}: {} says only {}", drawing.class, drawing.label);
        }
        // Each figure has words beneath it, and each letter of a map is in the key.
        for figure in page.split("<figure").skip(1) {
            let figure = figure.split("</figure>").next().unwrap_or_default();
            // The library's own pictures and films are no drawings.
            if !figure.contains("<svg") {
                continue;
            }
            assert!(figure.contains("<figcaption>") && figure.contains("<p class=\"line\">"), "{path}");
            for code in codes(figure) {
                for letter in code.split("class=\"letter\"").skip(1) {
                    let sign = &letter[letter.find('>').expect("its end") + 1..letter.find('<').expect("its end")];
                    assert!(figure.contains(&format!("<li><b>{sign}</b> ")), "{path}: {sign} is not in the key");
                }
            }
        }
    }
    assert!(["eye-map", "op-strip", "course"].iter().all(|class| seen[*class] > 20), "{seen:?}");
}
