//! Acuity before surgery and at the last visit, one line for each case, on the chart that a single case is drawn on.

use super::Picture;
use super::course::{Scale, chart};
use super::svg::Svg;
use crate::model::measure::{Acuity, Taken};
use crate::text::list;

const WIDTH: f64 = 340.0;
const LEFT: f64 = 60.0;
const RIGHT: f64 = 262.0;

/// Limits of the outcome bands of the WHO, as logMAR and letter size: good from 6/18 on, poor below 6/60. They hold for acuity as
/// the patient presents. Source: World Health Organization 1998, Informal consultation on analysis of blindness prevention
/// outcomes, WHO/PBL/98.68 (from memory).
const WHO_LIMITS: [f64; 2] = [18.0, 60.0];

/// One case: its short name, and both acuities.
pub(crate) struct Shift<'a> {
    pub(crate) name: &'a str,
    pub(crate) before: &'a Acuity,
    pub(crate) after: &'a Acuity,
    /// How the acuity of the last visit was taken.
    pub(crate) taken: Taken,
}

/// The drawing; nothing if there is no case.
pub(crate) fn shifts(cases: &[Shift<'_>]) -> Option<Picture> {
    if cases.is_empty() {
        return None;
    }
    let scale = Scale::of(cases.iter().flat_map(|case| [case.before, case.after]));
    let (lines, words, end) = chart(scale, cases.iter().flat_map(|case| [case.before, case.after]));
    let told: Vec<String> = cases
        .iter()
        .map(|case| format!("{}: {} before, {} at the last visit", case.name, case.before, case.after))
        .collect();
    let mut svg = Svg::new("course shift", (0.0, 0.0, WIDTH, end + 26.0), &told.join("; "));
    for (class, rows) in [("grid", &lines), ("grid words", &words)] {
        for (y, label) in rows {
            svg.line(class, (LEFT - 6.0, *y), (RIGHT + 6.0, *y));
            svg.text("scale", (LEFT - 12.0, y + 4.0), label);
        }
    }
    let presenting: Vec<String> = (1..)
        .zip(cases)
        .filter(|(_, case)| case.taken == Taken::Presenting)
        .map(|(number, _)| number.to_string())
        .collect();
    let mut caption = String::new();
    if !presenting.is_empty() {
        for size in WHO_LIMITS {
            let y = scale.on_chart(libm::log10(size / 6.0));
            svg.line("band", (LEFT - 6.0, y), (RIGHT + 6.0, y));
        }
        caption = format!(
            "The dashed lines, 6/18 and 6/60, part good, borderline and poor outcome as the WHO defines them (1998). They hold for acuity as the patient presents, here that of {} alone.",
            list(&presenting, "and")
        );
    }
    svg.text("visit", (LEFT, end + 20.0), "before");
    svg.text("visit", (RIGHT, end + 20.0), "last visit");
    let mut ends: Vec<(f64, usize)> =
        cases.iter().enumerate().map(|(at, case)| (scale.height(case.after), at)).collect();
    ends.sort_by(|one, other| one.0.total_cmp(&other.0).then(one.1.cmp(&other.1)));
    // Where two ends lie close together the second name stands further out.
    let mut lanes = vec![0_usize; cases.len()];
    for pair in ends.windows(2) {
        lanes[pair[1].1] = if pair[1].0 - pair[0].0 < 13.0 { (lanes[pair[0].1] + 1) % 4 } else { 0 };
    }
    for (at, case) in cases.iter().enumerate() {
        let (from, to) = ((LEFT, scale.height(case.before)), (RIGHT, scale.height(case.after)));
        svg.path("join", &[from, to], false);
        svg.circle("hollow", from, 4.0);
        svg.circle("full", to, 4.0);
        // A number stands for a long name; the key below tells which.
        let side = RIGHT + 10.0 + 16.0 * lanes[at] as f64;
        svg.text("number", (side, to.1 + 4.0), &(at + 1).to_string());
    }
    Some(Picture { svg: svg.done(), caption })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outcome_bands_stand_only_where_acuity_was_taken_as_they_ask() {
        let (before, after) = (Acuity::parse("6/60").expect("an acuity"), Acuity::parse("6/12").expect("an acuity"));
        let case = |taken| Shift { name: "A case", before: &before, after: &after, taken };
        let plain = shifts(&[case(Taken::BestCorrected), case(Taken::Unaided)]).expect("a drawing");
        assert!(!plain.svg.contains("class=\"band\"") && plain.caption.is_empty());
        let banded = shifts(&[case(Taken::BestCorrected), case(Taken::Presenting)]).expect("a drawing");
        assert_eq!(banded.svg.matches("class=\"band\"").count(), 2);
        assert!(banded.caption.contains("that of 2 alone"), "{}", banded.caption);
    }
}
