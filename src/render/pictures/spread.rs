//! The library at a glance: eye difficulty across, how much went wrong upwards, and in each field how many cases.

use super::Picture;
use super::svg::Svg;

/// Fields across (of ten points of eye difficulty each) and upwards (complications; the last stands for more).
pub(crate) const ACROSS: usize = 10;
/// See [`ACROSS`].
pub(crate) const UP: usize = 5;

const WIDTH: f64 = 352.0;
const LEFT: f64 = 34.0;
const FIELD: f64 = 30.0;

/// The drawing of how many cases are in each field; nothing if there is no case. `counts[up][across]`.
pub(crate) fn spread(counts: &[[usize; ACROSS]; UP]) -> Option<Picture> {
    let most = counts.iter().flatten().copied().max().filter(|most| *most > 0)?;
    let height = UP as f64 * FIELD + 44.0;
    let mut told = Vec::new();
    for (up, row) in counts.iter().enumerate() {
        for (across, count) in row.iter().enumerate().filter(|(_, count)| **count > 0) {
            let (from, to) = (across * 10, across * 10 + 10);
            told.push(format!("{count} with eye difficulty {from} to {to} and {} complications", rows()[up]));
        }
    }
    let mut svg = Svg::new("spread", (0.0, 0.0, WIDTH, height), &told.join("; "));
    let bottom = UP as f64 * FIELD + 6.0;
    let lines: Vec<[(f64, f64); 2]> = (0..=ACROSS)
        .map(|at| LEFT + at as f64 * FIELD)
        .map(|x| [(x, 6.0), (x, bottom)])
        .chain((0..=UP).map(|at| 6.0 + at as f64 * FIELD).map(|y| [(LEFT, y), (LEFT + ACROSS as f64 * FIELD, y)]))
        .collect();
    svg.lines("grid", &lines);
    for (up, label) in rows().iter().enumerate() {
        svg.text("scale", (LEFT - 6.0, bottom - (up as f64 + 0.5) * FIELD + 4.5), label);
    }
    for across in (0..=ACROSS).step_by(2) {
        svg.text("tick", (LEFT + across as f64 * FIELD, bottom + 15.0), &(across * 10).to_string());
    }
    svg.text("tick", (LEFT + ACROSS as f64 * FIELD / 2.0, bottom + 32.0), "eye difficulty");
    for (up, row) in counts.iter().enumerate() {
        for (across, &count) in row.iter().enumerate().filter(|(_, count)| **count > 0) {
            // The area stands for the count; even one case is seen.
            let side = (FIELD - 4.0) * libm::sqrt(count as f64 / most as f64).max(0.45);
            let middle = (LEFT + (across as f64 + 0.5) * FIELD, bottom - (up as f64 + 0.5) * FIELD);
            svg.rect("bulk", (middle.0 - side / 2.0, middle.1 - side / 2.0), (side, side));
            svg.text("number", (middle.0, middle.1 + 4.5), &count.to_string());
        }
    }
    Some(Picture { svg: svg.done(), caption: String::new() })
}

/// What stands at each row.
fn rows() -> [&'static str; UP] {
    ["0", "1", "2", "3", "4+"]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn area_follows_the_count_and_every_field_is_told() {
        let mut counts = [[0; ACROSS]; UP];
        assert!(spread(&counts).is_none());
        counts[0][0] = 16;
        counts[4][9] = 4;
        let svg = spread(&counts).expect("a drawing").svg;
        assert!(svg.contains("16 with eye difficulty 0 to 10 and 0 complications"), "{svg}");
        assert!(svg.contains("4 with eye difficulty 90 to 100 and 4+ complications"), "{svg}");
        // A quarter of the cases: half the side.
        assert!(svg.contains("width=\"26\"") && svg.contains("width=\"13\""), "{svg}");
    }
}
