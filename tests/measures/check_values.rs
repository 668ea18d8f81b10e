//! Every row of `tests/data/check-values.csv`: values from published tables and definitions, each with its source.

use casewright::model::measure::{
    Acuity, CataractOutcome, Convention, Dimension, Eye, GoodFrom, OffChart, Place, PowerVector, Quantity, Refraction,
    Spherocylinder, Unit, decimal_from_logmar, letters_from_logmar, logmar_from_letters, nominal_line, plausible,
    snellen_denominator, vertex,
};

const TABLE: &str = include_str!("../data/check-values.csv");
/// Rows in the table: a lost row is as bad as a wrong one.
const ROWS: usize = 479;

/// Kinds of row that stand in the collection the table was taken from and must not stand in the table.
const LEFT_OUT: &[(&str, &str)] = &[
    ("lens_sum_NEGATIVE_CONTROL", "its source prints a wrong sum"),
    ("published_estimate_for_review", "some of the printed estimates do not reproduce"),
    ("threshold_axial_length_long_mm", "a limit of a finding, not of a measure; sources differ"),
    ("threshold_axial_length_short_mm", "a limit of a finding, not of a measure"),
    ("threshold_axial_length_groups_mm", "a limit of a finding, not of a measure"),
    ("threshold_acd_shallow_mm", "a limit of a finding, not of a measure; sources differ"),
    ("small_pupil_mm", "a limit of a finding, not of a measure; sources differ"),
    ("locs3_tolerance_95", "a grading scale, not a measure"),
    ("ctr_sizes_mm", "sizes of an implant, not a measure"),
    ("ctr_zonular_dialysis_limit", "an indication, not a measure"),
    ("benchmark_within_1D_pct", "an audit standard, not a measure"),
    ("benchmark_within_0.5D_pct", "an audit standard, not a measure"),
];

struct Row {
    quantity: String,
    input: String,
    expected: String,
    tolerance: String,
    source: String,
}

/// Fields of one line of comma-separated values; a quote inside a quoted field is doubled.
fn fields(line: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut inside = false;
    let mut letters = line.chars().peekable();
    while let Some(letter) = letters.next() {
        match letter {
            '"' if inside && letters.peek() == Some(&'"') => {
                letters.next();
                out.last_mut().unwrap().push('"');
            }
            '"' => inside = !inside,
            ',' if !inside => out.push(String::new()),
            other => out.last_mut().unwrap().push(other),
        }
    }
    out
}

fn rows() -> Vec<Row> {
    let mut lines = TABLE.lines();
    assert_eq!(lines.next(), Some("quantity,input,expected,tolerance,source,how_obtained"));
    lines
        .map(|line| {
            let [quantity, input, expected, tolerance, source, _] = <[String; 6]>::try_from(fields(line))
                .unwrap_or_else(|found| panic!("{} fields in {line}", found.len()));
            Row { quantity, input, expected, tolerance, source }
        })
        .collect()
}

impl Row {
    fn about(&self) -> String {
        format!("{} of {} [{}]", self.quantity, self.input, self.source)
    }

    fn near(&self, found: Option<f64>) {
        let found = found.unwrap_or_else(|| panic!("no value: {}", self.about()));
        let expected: f64 = self.expected.parse().unwrap_or_else(|_| panic!("no number: {}", self.about()));
        let tolerance = if self.tolerance == "exact" { 0.0 } else { self.tolerance() };
        assert!((found - expected).abs() <= tolerance, "{found} instead of {expected}: {}", self.about());
    }

    fn tolerance(&self) -> f64 {
        let number = self.tolerance.split(' ').next().unwrap_or_default();
        number.parse().unwrap_or_else(|_| panic!("no tolerance: {}", self.about()))
    }

    fn is(&self, found: &str) {
        assert!(
            self.expected.split('|').any(|one| one == found),
            "{found} instead of {}: {}",
            self.expected,
            self.about()
        );
    }

    /// A printed number, equal whatever its closing noughts.
    fn is_label(&self, found: &str) {
        let found: f64 = found.parse().unwrap();
        let any = self.expected.split('|').any(|one| one.parse::<f64>().unwrap() == found);
        assert!(any, "{found} instead of {}: {}", self.expected, self.about());
    }

    fn number(&self) -> f64 {
        self.input.parse().unwrap_or_else(|_| panic!("no number: {}", self.about()))
    }

    fn acuity(&self) -> Acuity {
        acuity(self.input.split(" on ").next().unwrap())
    }
}

fn acuity(text: &str) -> Acuity {
    Acuity::parse(text).unwrap_or_else(|fault| panic!("{text}: {fault:?}"))
}

fn refraction(text: &str) -> Refraction {
    Refraction::parse(text).unwrap_or_else(|fault| panic!("{text}: {fault:?}"))
}

fn place(text: &str) -> Place {
    Place::parse(text).unwrap_or_else(|fault| panic!("{text}: {fault:?}"))
}

/// `CF at 2 ft` in metres: a foot is 0.3048 m exactly.
fn in_metres(text: &str) -> Acuity {
    let (sign, feet) = text.split_once(" at ").unwrap();
    let feet: f64 = feet.trim_end_matches(" ft").parse().unwrap();
    acuity(&format!("{sign} at {:.4} m", feet * 0.3048))
}

/// `CF [Lange 2009 (…)]`: the words, and the scheme its source stands for.
fn low_vision(row: &Row) -> Option<f64> {
    let (words, source) = row.input.split_once(" [").unwrap();
    let scheme = match source {
        _ if source.starts_with("Schulze-Bonsel 2006") => OffChart::SchulzeBonsel2006,
        _ if source.starts_with("Lange 2009") => OffChart::Lange2009,
        _ if source.starts_with("Bach web table") => OffChart::Bach,
        _ if source.starts_with("Holladay chart footnote") => OffChart::HolladayDistance,
        _ if source.starts_with("visual-acuity-conversion") => OffChart::Conventional,
        _ if source.starts_with("RAAB6") => OffChart::Raab,
        _ => panic!("unknown scheme: {}", row.about()),
    };
    let eye = match words {
        // ICD-10 puts 1/60 and counting fingers at 1 metre together.
        "1/60" => acuity("CF at 1 m"),
        "CF@2ft" | "HM@2ft" => in_metres(&words.replace("@2ft", " at 2 ft")),
        _ => acuity(words),
    };
    eye.off_chart_logmar(scheme)
}

/// Astigmatism of a steep meridian as a vector: the double-angle method needs only that all axes mean the same.
fn astigmatism(size: &str, meridian: &str) -> PowerVector {
    refraction(&format!("plano +{size} x {meridian}")).power_vector()
}

/// `pre 1.5 D @ 100, post 0.75 D @ 80`: the change.
fn induced(input: &str) -> Spherocylinder {
    let side = |text: &str| {
        let (size, meridian) = text.split_once(" D @ ").unwrap();
        astigmatism(size.split_once(' ').unwrap().1, meridian)
    };
    let (before, after) = input.split_once(", ").unwrap();
    (side(after) - side(before)).plus_cylinder()
}

fn listed(input: &str) -> Vec<PowerVector> {
    input
        .trim_matches(['[', ']'])
        .split("], [")
        .map(|pair| pair.split_once(", ").unwrap())
        .map(|(size, meridian)| astigmatism(size, meridian))
        .collect()
}

fn summed(all: &[PowerVector]) -> PowerVector {
    all.iter().copied().reduce(|sum, one| sum + one).unwrap()
}

fn lens_sum(row: &Row) {
    let (one, other) = row.input.split_once(" + ").unwrap();
    let vector = |text: &str| refraction(text.trim_matches(['(', ')'])).power_vector();
    let found = (vector(one) + vector(other)).minus_cylinder();
    let expected: Vec<f64> = row.expected.replace(" x ", " ").split(' ').map(|part| part.parse().unwrap()).collect();
    let [sphere, cylinder, axis] = expected[..] else { panic!("{}", row.about()) };
    for (found, expected) in [(found.sphere, sphere), (found.cylinder, cylinder), (found.axis.unwrap(), axis)] {
        assert!((found - expected).abs() <= row.tolerance(), "{found} instead of {expected}: {}", row.about());
    }
}

/// The bands of a measure must hold what was published as usual: a mean with its deviation, ranges, or a group limit.
fn within_usual(row: &Row, measure: &str, deviations: f64) {
    let band = plausible(measure).unwrap();
    let numbers: Vec<f64> = row
        .expected
        .split(|letter: char| !(letter.is_ascii_digit() || letter == '.'))
        .filter_map(|part| part.parse().ok())
        .collect();
    let (least, most) = match (row.expected.contains("+-"), numbers.as_slice()) {
        (true, [mean, deviation, ..]) => (mean - deviations * deviation, mean + deviations * deviation),
        _ => (numbers[0], numbers[0]),
    };
    let ends = if row.expected.contains("+-") { &numbers[2..] } else { &numbers[1..] };
    let least = ends.iter().copied().fold(least, f64::min);
    let most = ends.iter().copied().fold(most, f64::max);
    assert!(band.usual.0 <= least + 1e-9 && most <= band.usual.1 + 1e-9, "{least} to {most}: {}", row.about());
    assert!(band.possible.0 < band.usual.0 && band.usual.1 < band.possible.1, "{}", row.about());
}

fn clock_span(input: &str) -> Option<f64> {
    let words = input.trim_end_matches(" clockwise");
    let (from, to) = words.split_once(" to ").unwrap();
    if from == to {
        // The same hour twice is no arc: a full turn has to be said.
        assert!(Place::parse(&format!("{words} o'clock")).is_err());
        let Place::Hour(hour) = place(&format!("{from} o'clock")) else { panic!("{input}") };
        return Some(casewright::model::measure::span_hours(hour, hour));
    }
    place(&format!("{words} o'clock")).span_hours()
}

fn check(row: &Row) {
    match row.quantity.as_str() {
        "logmar_from_snellen" | "logmar_published_2dp" => row.near(row.acuity().logmar()),
        "decimal_from_snellen" => row.near(row.acuity().decimal()),
        "decimal_from_logmar_exact" => row.near(Some(decimal_from_logmar(row.number()))),
        "snellen6_den_from_logmar_exact" => row.near(Some(snellen_denominator(6.0, row.number()))),
        "snellen20_den_from_logmar_exact" => row.near(Some(snellen_denominator(20.0, row.number()))),
        "snellen6_den_nominal_label" => row.is_label(nominal_line(row.number()).unwrap().six),
        "snellen20_den_nominal_label" => row.is_label(nominal_line(row.number()).unwrap().twenty),
        "decimal_nominal_label" => row.is_label(nominal_line(row.number()).unwrap().decimal),
        "etdrs_letters_from_logmar" => row.near(Some(letters_from_logmar(row.number()))),
        "approx_etdrs_letters" => row.near(row.acuity().letters()),
        "approx_etdrs_letters_rounded" => row.near(row.acuity().letters().map(f64::round)),
        "logmar_from_etdrs_letters" => row.near(Some(logmar_from_letters(row.number()))),
        "mean_acuity_logmar" | "mean_acuity_snellen20_den" => {
            let logmars: Vec<f64> = row.input.split(" and ").filter_map(|one| acuity(one).logmar()).collect();
            let mean = logmars.iter().sum::<f64>() / logmars.len() as f64;
            assert_eq!(nominal_line(mean).unwrap().twenty, "63", "{}", row.about());
            row.near(Some(if row.quantity == "mean_acuity_logmar" { mean } else { snellen_denominator(20.0, mean) }));
        }
        "low_vision_logmar" => row.near(low_vision(row)),
        "cf_distance_logmar_holladay" | "hm_distance_logmar_holladay" => {
            row.near(in_metres(&row.input).off_chart_logmar(OffChart::HolladayDistance));
        }
        "partial_line_logmar_interpolated" => row.near(row.acuity().logmar()),
        "partial_line_logmar_0.02_per_letter" => row.near(row.acuity().logmar_by_letters()),
        "partial_line_min_letter_value" => row.near(step("6/6", "6/6+1")),
        "partial_line_max_letter_value" => row.near(step("6/60", "6/60+1")),
        "partial_line_max_rule_error" => {
            let eye = acuity("6/60+1");
            row.near(eye.logmar_by_letters().zip(eye.logmar()).map(|(rule, line)| rule - line));
        }
        "who_icd11_category_distance" => row.is(row.acuity().impairment(Convention::Fraction).name()),
        "who_icd11_category_distance_CHART_CONVENTION" => {
            row.is(row.acuity().impairment(Convention::LogMarChart).name());
            assert_eq!(acuity("0.5 logMAR").impairment(Convention::LogMarChart).name(), row.expected);
        }
        "who_cataract_outcome" => row.is(row.acuity().cataract_outcome(GoodFrom::SixEighteen).name()),
        "power_vector_M" => row.near(Some(refraction(&row.input).power_vector().m)),
        "power_vector_J0" => row.near(Some(refraction(&row.input).power_vector().j0)),
        "power_vector_J45" => row.near(Some(refraction(&row.input).power_vector().j45)),
        "power_vector_B" => row.near(Some(refraction(&row.input).power_vector().blur())),
        "spherical_equivalent" => row.near(Some(refraction(&row.input).spherical_equivalent())),
        "transpose_plus_cyl" => row.is(&refraction(&row.input).transposed().to_string()),
        "prediction_error" => {
            let (achieved, target) = row.input.split_once(", target ").unwrap();
            let target = Quantity::parse(&format!("{target} D"), Dimension::Power).unwrap().low();
            row.near(Some(refraction(achieved.trim_start_matches("achieved ")).prediction_error(target)));
        }
        "lens_sum" => lens_sum(row),
        "sia_magnitude" => row.near(Some(induced(&row.input).cylinder)),
        "sia_steep_meridian_deg" => {
            let expected: f64 = row.expected.parse().unwrap();
            let apart = (induced(&row.input).axis.unwrap() - expected).rem_euclid(180.0);
            assert!(apart.min(180.0 - apart) <= row.tolerance(), "{apart} degrees off: {}", row.about());
        }
        "astigmatism_centroid_magnitude" => {
            let all = listed(&row.input);
            row.near(Some(summed(&all).plus_cylinder().cylinder / all.len() as f64));
        }
        "astigmatism_centroid_meridian" => row.near(summed(&listed(&row.input)).plus_cylinder().axis),
        "astigmatism_arithmetic_mean_magnitude" => {
            let all = listed(&row.input);
            row.near(Some(all.iter().map(|one| one.plus_cylinder().cylinder).sum::<f64>() / all.len() as f64));
        }
        "vertex_to_cornea" => {
            let (power, distance) = row.input.split_once(" at ").unwrap();
            let power = Quantity::parse(power, Dimension::Power).unwrap().low().value();
            let distance = Quantity::parse(distance, Dimension::Length).unwrap().low().value();
            row.near(vertex(power, distance));
        }
        "mmhg_to_kpa" => {
            let pressure = Quantity::parse(&format!("{} mmHg", row.input), Dimension::Pressure).unwrap();
            row.near(pressure.middle_in(Unit::Kpa));
            let back =
                Quantity::parse(&format!("{} kPa", row.expected.get(..8).unwrap()), Dimension::Pressure).unwrap();
            assert!((back.middle_in(Unit::Mmhg).unwrap() - row.number()).abs() < 1e-4, "{}", row.about());
        }
        "iop_normal_range_kpa" => {
            let (low, high) = Quantity::parse(&row.input, Dimension::Pressure).unwrap().bounds_in(Unit::Kpa).unwrap();
            let (least, most) = row.expected.split_once('-').unwrap();
            for (found, expected) in [(low, least), (high, most)] {
                assert!((found - expected.parse::<f64>().unwrap()).abs() <= row.tolerance(), "{}", row.about());
            }
        }
        "clock_hour_to_degrees" => Eye::ALL.into_iter().for_each(|eye| row.near(place(&row.input).centre_degrees(eye))),
        "clock_span_hours" => row.near(clock_span(&row.input)),
        "clock_hours_to_degrees_extent" => {
            let extent = Quantity::parse(&format!("{} clock hours", row.input), Dimension::Extent).unwrap();
            row.near(extent.middle_in(Unit::Degree));
        }
        "normal_axial_length_mm" => within_usual(row, "axial length", 3.0),
        "normal_acd_mm" => within_usual(row, "anterior chamber depth", 3.0),
        "normal_wtw_mm" => within_usual(row, "white to white", if row.source == "PMC8045194" { 3.0 } else { 1.0 }),
        "normal_ecd" => within_usual(row, "endothelial cell count", 3.0),
        "ecd_groups" => {
            assert!(row.expected.starts_with("<1000 markedly low"), "{}", row.about());
            assert_eq!(plausible("endothelial cell count").unwrap().usual.0, 1000.0, "{}", row.about());
        }
        other => panic!("no check for rows of the kind {other}"),
    }
}

/// LogMAR between two acuities.
fn step(worse: &str, better: &str) -> Option<f64> {
    acuity(worse).logmar().zip(acuity(better).logmar()).map(|(worse, better)| worse - better)
}

#[test]
fn every_published_value_is_met() {
    let rows = rows();
    assert_eq!(rows.len(), ROWS);
    for row in &rows {
        assert!(!row.source.is_empty(), "a value without a source: {}", row.about());
        check(row);
    }
}

#[test]
fn values_known_to_be_wrong_or_of_another_kind_are_left_out() {
    let rows = rows();
    for (kind, reason) in LEFT_OUT {
        assert!(rows.iter().all(|row| row.quantity != *kind), "{kind} must stay out: {reason}");
    }
}

/// The negative control itself: one web page prints -2.41 -8.05 x 150 for this sum (mathix.co); the power vector and
/// the dioptric matrix agree on -5.41 -2.05 x 60.
#[test]
fn a_wrong_sum_in_print_is_not_met() {
    let sum = refraction("+0.69 -3.00 x 150").power_vector() + refraction("-3.10 -5.05 x 60").power_vector();
    let lens = sum.minus_cylinder();
    assert!((lens.sphere + 5.41).abs() < 0.005 && (lens.cylinder + 2.05).abs() < 0.005);
    assert!((lens.axis.unwrap() - 60.0).abs() < 0.005);
}

/// 6/12 or better is the later definition of a good result; 6/18 is then borderline.
#[test]
fn the_limit_of_a_good_result_must_be_said() {
    assert_eq!(acuity("6/18").cataract_outcome(GoodFrom::SixEighteen), CataractOutcome::Good);
    assert_eq!(acuity("6/18").cataract_outcome(GoodFrom::SixTwelve), CataractOutcome::Borderline);
    assert_eq!(acuity("6/12").cataract_outcome(GoodFrom::SixTwelve), CataractOutcome::Good);
}
