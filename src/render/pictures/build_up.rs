//! The build-up of a risk: factor by factor from the baseline, on a scale of odds, and what was not recorded as a hatched range.

use super::Picture;
use super::svg::Svg;

/// Width of the drawing, and its margins.
const WIDTH: f64 = 340.0;
const MARGIN: f64 = 8.0;
/// Height of a row: words above, bar below.
const ROW: f64 = 36.0;
const BAR: f64 = 9.0;
/// The ends of the scale, as probabilities. Fixed, so that pictures of two cases can be compared.
const ENDS: (f64, f64) = (0.004, 0.9);
/// Where the scale has a line.
const TICKS: [(f64, &str); 6] =
    [(0.005, "0.5 %"), (0.02, "2 %"), (0.05, "5 %"), (0.2, "20 %"), (0.5, "50 %"), (0.8, "80 %")];

/// One step of the build-up.
pub(crate) struct Row {
    /// What it is.
    pub(crate) label: String,
    /// The probability before it and after it.
    pub(crate) from: f64,
    pub(crate) to: f64,
    /// Whether it is a range that was not recorded.
    pub(crate) open: bool,
}

fn place(probability: f64) -> f64 {
    let log_odds = |it: f64| libm::log(it / (1.0 - it));
    let (low, high) = (log_odds(ENDS.0), log_odds(ENDS.1));
    let share = (log_odds(probability.clamp(ENDS.0, ENDS.1)) - low) / (high - low);
    MARGIN + share * (WIDTH - 2.0 * MARGIN)
}

/// The drawing of some steps, the first of which is the baseline.
pub(crate) fn build_up(rows: &[Row], name: &str, caption: String) -> Picture {
    let height = rows.len() as f64 * ROW + 22.0;
    let mut svg = Svg::new("build", (0.0, 0.0, WIDTH, height), name);
    let bottom = height - 20.0;
    let lines: Vec<[(f64, f64); 2]> = TICKS.iter().map(|(at, _)| [(place(*at), 4.0), (place(*at), bottom)]).collect();
    svg.lines("grid", &lines);
    for (at, label) in TICKS {
        svg.text("tick", (place(at), bottom + 15.0), label);
    }
    for (at, row) in rows.iter().enumerate() {
        let top = at as f64 * ROW;
        svg.text("", (MARGIN, top + 16.0), &row.label);
        let (left, right) = (place(row.from.min(row.to)), place(row.from.max(row.to)));
        let corner = (left, top + 21.0);
        let size = ((right - left).max(3.0), BAR);
        if row.open {
            svg.rect("open", corner, size);
            let strokes = (size.0 / 6.0) as usize;
            let hatch: Vec<[(f64, f64); 2]> = (0..=strokes)
                .map(|nth| {
                    let x = left + nth as f64 * 6.0;
                    [(x, corner.1 + BAR), ((x + 5.0).min(right), corner.1)]
                })
                .collect();
            svg.lines("hatch", &hatch);
        } else {
            svg.rect(if at == 0 { "base" } else { "bar" }, corner, size);
        }
    }
    Picture { svg: svg.done(), caption }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_follow_the_logarithm_of_odds() {
        // Equal ratios of odds are equally long: 1 : 99 to 2 : 99 and 1 : 1 to 2 : 1.
        let low = place(2.0 / 101.0) - place(0.01);
        let high = place(2.0 / 3.0) - place(0.5);
        assert!((low - high).abs() < 1e-9, "{low} {high}");
        assert!(place(0.001) >= MARGIN && place(0.99) <= WIDTH - MARGIN);
    }
}
