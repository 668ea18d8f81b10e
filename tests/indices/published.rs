//! What was published, cell by cell. Tables are written out here anew, not taken from the data files.

use super::{AXIAL, Built, CHAMBER, PUPIL, measure};
use casewright::analyse::indices::{Facts, probability, together, weigh_all};
use casewright::model::index::{Interval, one_figure, wilson};
use casewright::model::measure::Sex;
use casewright::model::risk::{Bearer, Measured, Scale, Verified};

fn interval(built: &Built, model: &str, facts: &Facts) -> Interval {
    let model = built.model(model);
    together(model, &weigh_all(model, facts, &built.vocabulary))
}

fn points(built: &Built, model: &str, facts: &Facts) -> f64 {
    interval(built, model, facts).value
}

/// Source: Muhtaseb and others 2004, Br J Ophthalmol 88:1242, table 1, read whole.
#[test]
fn muhtaseb_gives_the_points_of_its_table() {
    let built = Built::new();
    let name = "muhtaseb-2004";
    for (finding, expected) in [
        ("previous-vitrectomy", 1.0),
        ("corneal-scar", 1.0),
        ("small-pupil", 1.0),
        ("shallow-anterior-chamber", 1.0),
        ("high-ametropia", 1.0),
        ("posterior-capsule-plaque", 1.0),
        ("posterior-polar-cataract", 1.0),
        ("surgeon-assessed-risk", 1.0),
        ("dense-cataract", 3.0),
        ("white-cataract", 3.0),
        ("brunescent-cataract", 3.0),
        ("pseudoexfoliation", 3.0),
        ("phacodonesis", 3.0),
    ] {
        assert_eq!(points(&built, name, &built.eye(&[finding])), expected, "{finding}");
    }
    // The limits are strict: 88 years, 3.0 mm, 2.5 mm and 6.0 D score nothing.
    for (what, nothing, one) in
        [(Measured::Age, 88.0, 89.0), (PUPIL, 3.0, 2.9), (CHAMBER, 2.5, 2.4), (Measured::Ametropia, 6.0, 6.25)]
    {
        let mut facts = Facts::default();
        measure(&mut facts, what, nothing);
        assert_eq!(points(&built, name, &facts), 0.0, "{what:?} {nothing}");
        measure(&mut facts, what, one);
        assert_eq!(points(&built, name, &facts), 1.0, "{what:?} {one}");
    }
    // Computed from the table, not published.
    assert_eq!(built.model(name).greatest(), 18.0);
}

/// Source: the same, table 2, read whole: any complication, posterior capsule rupture, vitreous loss, failed
/// capsulorhexis, zonule dehiscence, lost nucleus, wound burn or leak.
#[test]
fn muhtaseb_groups_hold_every_cell_of_its_table() {
    let built = Built::new();
    let model = built.model("muhtaseb-2004");
    type Row = (&'static str, u32, Option<u32>, u32, [u32; 7], [f64; 7]);
    let table: [Row; 4] = [
        ("group 1", 0, Some(0), 579, [25, 9, 6, 1, 1, 1, 0], [4.32, 1.55, 1.04, 0.17, 0.17, 0.17, 0.0]),
        ("group 2", 1, Some(2), 255, [19, 4, 1, 1, 3, 1, 0], [7.45, 1.57, 0.39, 0.39, 1.18, 0.39, 0.0]),
        ("group 3", 3, Some(5), 141, [19, 7, 8, 3, 3, 1, 2], [13.48, 4.96, 5.67, 2.13, 2.13, 0.71, 1.42]),
        ("group 4", 6, None, 25, [8, 2, 2, 2, 2, 1, 1], [32.0, 8.0, 8.0, 8.0, 8.0, 4.0, 4.0]),
    ];
    assert_eq!(model.groups.len(), table.len());
    for (group, (label, from, to, n, events, percent)) in model.groups.iter().zip(table) {
        assert_eq!((group.label.as_str(), group.from, group.to, group.n), (label, from, to, n));
        let held: Vec<u32> = group.observed.iter().map(|observed| observed.events).collect();
        assert_eq!(held, events, "{label}");
        for (event, printed) in events.iter().zip(percent) {
            let share = f64::from(*event) / f64::from(n) * 100.0;
            assert!((share - printed).abs() < 0.0051, "{label}: {event} of {n} is printed as {printed} %");
        }
    }
    let what: Vec<&str> = model.groups[0].observed.iter().map(|observed| observed.what.as_str()).collect();
    assert_eq!(
        what,
        [
            "any complication",
            "posterior capsule rupture",
            "vitreous loss",
            "failed capsulorhexis",
            "zonule dehiscence",
            "lost nucleus",
            "wound burn or leak"
        ]
    );
    for (points, label) in [
        (0.0, "group 1"),
        (1.0, "group 2"),
        (2.0, "group 2"),
        (3.0, "group 3"),
        (5.0, "group 3"),
        (6.0, "group 4"),
        (18.0, "group 4"),
    ] {
        assert_eq!(model.group(points).map(|group| group.label.as_str()), Some(label), "{points}");
    }
}

/// Source: Narendran and others 2009, Eye 23:31, as read in a digest of the paper and in two versions of open-source
/// record software; the paper's own table was not seen.
#[test]
fn narendran_holds_every_ratio() {
    let built = Built::new();
    let model = built.model("narendran-2009");
    assert_eq!(model.verified, Verified::Digest);
    let Scale::Odds(baseline) = &model.scale else { panic!("a model of odds") };
    assert_eq!(baseline.probability, 0.00736);
    let table: &[(&str, &str, f64)] = &[
        ("age", "60 to 69", 1.14),
        ("age", "70 to 79", 1.42),
        ("age", "80 to 89", 1.58),
        ("age", "90 and over", 2.37),
        ("male", "", 1.28),
        ("glaucoma", "", 1.3),
        ("diabetic-retinopathy", "", 1.63),
        ("brunescent-white", "", 2.99),
        ("no-fundal-view", "", 2.46),
        ("pseudoexfoliation-phacodonesis", "", 2.92),
        ("pupil", "small", 1.45),
        ("pupil", "medium", 1.14),
        ("axial-length", "", 1.47),
        ("doxazosin", "", 1.51),
        ("cannot-lie-flat", "", 1.27),
        ("surgeon", "associate specialist", 0.87),
        ("surgeon", "staff grade", 0.36),
        ("surgeon", "fellow", 1.65),
        ("surgeon", "specialist registrar", 1.6),
        ("surgeon", "senior house officer", 3.73),
    ];
    let held: Vec<(&str, &str, f64)> = model
        .factors
        .iter()
        .flat_map(|factor| factor.bands.iter().map(|band| (factor.name.as_str(), band.label.as_str(), band.weight)))
        .collect();
    assert_eq!(held, table);
    let apart: Vec<&str> =
        model.factors.iter().filter(|it| it.by == Bearer::Surgeon).map(|it| it.name.as_str()).collect();
    assert_eq!(apart, ["surgeon"]);
}

/// Regression values, computed from the ratios and the baseline and published nowhere; the profiles A to E are those of
/// McLean and others 2021, BMJ Open Ophthalmol 6:e000809, table 2, whose column of results was not seen.
#[test]
fn narendran_regression_values_hold() {
    let built = Built::new();
    let model = built.model("narendran-2009");
    let Scale::Odds(baseline) = &model.scale else { panic!("a model of odds") };
    type Profile<'p> = (&'p str, f64, Sex, &'p [&'p str], Option<f64>, f64, f64);
    let profiles: &[Profile<'_>] = &[
        ("A", 78.0, Sex::Female, &["glaucoma"], Some(23.68), 1.846, 0.013_502_49),
        ("B", 58.0, Sex::Female, &[], Some(24.25), 1.0, 0.00736),
        ("C", 68.0, Sex::Male, &["pseudoexfoliation", "medium-pupil"], Some(26.1), 7.140_356, 0.050_280_68),
        (
            "D",
            92.0,
            Sex::Male,
            &["brunescent-cataract", "no-fundal-view", "doxazosin-use", "cannot-lie-flat"],
            Some(23.72),
            42.790_295,
            0.240_855_16,
        ),
        ("E", 81.0, Sex::Male, &["glaucoma"], Some(20.8), 2.629_12, 0.019_121_06),
        ("woman of 72", 72.0, Sex::Female, &[], Some(23.0), 1.42, 0.010_418_99),
        (
            "brunescent, small pupil",
            78.0,
            Sex::Male,
            &["brunescent-cataract", "small-pupil"],
            Some(23.0),
            7.880_205,
            0.055_202_92,
        ),
        (
            "white, no view",
            92.0,
            Sex::Female,
            &["white-cataract", "no-fundal-view"],
            Some(23.0),
            17.432_298,
            0.114_458_86,
        ),
    ];
    for (name, age, sex, findings, axial, product, risk) in profiles {
        let mut facts = built.eye(findings);
        measure(&mut facts, Measured::Age, *age);
        facts.sex = Some(*sex);
        if let Some(axial) = axial {
            measure(&mut facts, AXIAL, *axial);
        }
        let eye = together(model, &weigh_all(model, &facts, &built.vocabulary)).value;
        assert!((eye - product).abs() < 5e-7, "{name}: {eye}");
        assert!((probability(eye, baseline) - risk).abs() < 5e-9, "{name}: {}", probability(eye, baseline));
    }
    // Every factor of the eye at its worst, and with the most junior surgeon.
    let worst = model.greatest();
    assert!((worst - 564.344_666).abs() < 5e-7, "{worst}");
    assert!((probability(worst, baseline) - 0.807_112_67).abs() < 5e-9);
    assert!((probability(worst * 3.73, baseline) - 0.939_787_02).abs() < 5e-9);
    // Ratios multiply odds: multiplying the probability would give 31.5 % for D, and 415 % for the worst.
    assert!(probability(42.790_295, baseline) < 0.25);
    // Pseudoexfoliation and phacodonesis are one item.
    let both = built.eye(&["pseudoexfoliation", "phacodonesis"]);
    assert_eq!(together(model, &weigh_all(model, &both, &built.vocabulary)).value, 2.92);
    // A long eye is defined by the model's own limit; high myopia is not.
    assert_eq!(points(&built, "narendran-2009", &built.eye(&["long-eye"])), 1.47);
    assert_eq!(points(&built, "narendran-2009", &built.eye(&["high-myopia"])), 1.0);
}

/// Source: the score's table 1, BMC Ophthalmol 2006;6:38, read whole. Thirteen items of one point, of which the two of
/// axial length exclude each other, and density.
#[test]
fn potential_difficulty_gives_the_points_of_its_table() {
    let built = Built::new();
    let name = "habib-2006";
    let base = 1.0;
    assert_eq!(points(&built, name, &Facts::default()), base, "a nucleus of grade 1 or 2 has one point");
    for finding in [
        "cannot-lie-flat",
        "severe-anxiety",
        "head-tremor",
        "previous-angle-closure",
        "fellow-eye-complication",
        "previous-vitrectomy",
        "corneal-scar",
        "shallow-anterior-chamber",
        "small-pupil",
        "posterior-synechiae",
        "pseudoexfoliation",
        "phacodonesis",
        "zonular-weakness",
        "corneal-oedema-before-surgery",
    ] {
        assert_eq!(points(&built, name, &built.eye(&[finding])), base + 1.0, "{finding}");
    }
    for (mm, more) in [(27.0, 0.0), (27.1, 1.0), (20.0, 0.0), (19.9, 1.0)] {
        let mut facts = Facts::default();
        measure(&mut facts, AXIAL, mm);
        assert_eq!(points(&built, name, &facts), base + more, "{mm} mm");
    }
    // Its words are "high myopia (axial length over 27 mm)": where no length is on record the item stays open.
    for finding in ["high-myopia", "high-hypermetropia"] {
        let of = |facts: &Facts| interval(&built, name, facts);
        let (without, with) = (of(&Facts::default()), of(&built.eye(&[finding])));
        assert_eq!((with.value, with.high), (without.value, without.high), "{finding}");
    }
    // Least, recorded and greatest points of the item. Between the printed grades nothing is published: a grade counts from
    // its whole number on. From 4 on, where vocabularies begin to call a nucleus dense, the third point is open.
    for (grade, low, value, high) in [
        (1.0, 1.0, 1.0, 1.0),
        (2.0, 1.0, 1.0, 1.0),
        (2.9, 1.0, 1.0, 1.0),
        (3.0, 2.0, 2.0, 2.0),
        (3.5, 2.0, 2.0, 2.0),
        (3.95, 2.0, 2.0, 2.0),
        (4.0, 2.0, 2.0, 3.0),
        (5.0, 2.0, 2.0, 3.0),
    ] {
        let mut facts = built.eye(&["nuclear-sclerosis"]);
        facts.grades.insert(built.finding("nuclear-sclerosis"), (grade, grade));
        let model = built.model(name);
        let at = model.factors.iter().position(|factor| factor.name == "nuclear-density").expect("an item");
        let weight = weigh_all(model, &facts, &built.vocabulary)[at].weight;
        assert_eq!((weight.low, weight.value, weight.high), (low, value, high), "grade {grade}");
        facts.absent.insert(built.finding("dense-cataract"));
        assert_eq!(
            weigh_all(model, &facts, &built.vocabulary)[at].weight,
            Interval::exact(value),
            "grade {grade}, not dense"
        );
    }
    for dense in ["dense-cataract", "brunescent-cataract", "white-cataract"] {
        assert_eq!(points(&built, name, &built.eye(&[dense])), 3.0, "{dense}");
    }
    // Computed from the table, not published.
    assert_eq!(built.model(name).greatest(), 15.0);
}

/// Source: a reviewer's digest of Han and others 2020 (Auckland Cataract Study IV); the paper's own table was not seen.
#[test]
fn the_new_zealand_score_gives_the_points_of_its_digest() {
    let built = Built::new();
    let name = "nzcrs-2020";
    for (finding, expected) in [
        ("dense-cataract", 3.0),
        ("pseudoexfoliation", 3.0),
        ("phacodonesis", 3.0),
        ("previous-vitrectomy", 3.0),
        ("only-eye", 3.0),
        ("alpha-antagonist-use", 2.0),
        ("doxazosin-use", 2.0),
        ("corneal-scar", 1.0),
        ("high-ametropia", 1.0),
        ("posterior-capsule-plaque", 1.0),
        ("posterior-polar-cataract", 1.0),
        ("shallow-anterior-chamber", 1.0),
        ("small-pupil", 1.0),
        ("surgeon-assessed-risk", 1.0),
    ] {
        assert_eq!(points(&built, name, &built.eye(&[finding])), expected, "{finding}");
    }
    // Computed from the digest, not published.
    assert_eq!(built.model(name).greatest(), 25.0);
    let mut facts = built.eye(&["alpha-antagonist-use"]);
    measure(&mut facts, Measured::Age, 89.0);
    assert_eq!(points(&built, name, &facts), 3.0);
    let mut facts = built.eye(&["white-cataract"]);
    measure(&mut facts, Measured::Age, 89.0);
    assert_eq!(points(&built, name, &facts), 4.0);
}

/// Rows with their sources in `tests/data/wilson.csv`: Newcombe 1998, Stat Med 17:857, table I, read second-hand; the rest
/// computed with SciPy.
#[test]
fn wilson_intervals_match_published_ones() {
    let table = include_str!("../data/wilson.csv");
    let mut rows = 0;
    for line in table.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let (events, of) = cells[1].split_once('/').expect("events of how many");
        let (low, high) = wilson(events.parse().expect("a count"), of.parse().expect("a count"));
        let found = if cells[0].starts_with("wilson_95_low") { low } else { high };
        let (expected, tolerance): (f64, f64) =
            (cells[2].parse().expect("a number"), cells[3].parse().expect("a number"));
        assert!((found - expected).abs() <= tolerance, "{line}: {found}");
        rows += 1;
    }
    assert_eq!(rows, 38);
    assert_eq!(wilson(0, 0), (0.0, 1.0));
    assert_eq!(wilson(25, 25).1, 1.0);
}

#[test]
fn pages_show_one_figure() {
    for (value, shown) in [
        (0.0, "0"),
        (0.736, "0.7"),
        (1.35, "1"),
        (4.32, "4"),
        (9.6, "10"),
        (37.4, "40"),
        (96.0, "100"),
        (0.0123, "0.01"),
        (0.96, "1"),
        (0.001, "0.001"),
        (0.000_9, "under 0.001"),
        (1e-300, "under 0.001"),
    ] {
        assert_eq!(one_figure(value), shown, "{value}");
    }
}

/// What Methods says of each model is there to say.
#[test]
fn every_model_names_its_source() {
    let built = Built::new();
    let names: Vec<&str> = built.library.models.used.iter().map(|model| model.name.as_str()).collect();
    assert_eq!(names, ["eye-burden", "habib-2006", "muhtaseb-2004", "narendran-2009", "nzcrs-2020", "whole-burden"]);
    for model in &built.library.models.used {
        assert!(!model.citation.is_empty() && !model.cautions.is_empty(), "{}", model.name);
        assert_eq!(model.doi.is_some(), model.verified != Verified::CommonPractice, "{}", model.name);
    }
    assert_eq!(built.library.models.not_used.len(), 9);
}

/// What the reference marks as read in a digest, from memory or not seen is said where a reader sees the model.
#[test]
fn what_was_not_seen_is_said() {
    let built = Built::new();
    for (model, said) in [
        ("narendran-2009", "authors, pages and DOI are from memory"),
        ("narendran-2009", "confidence intervals were not seen"),
        ("narendran-2009", "baseline of 0.736 % was read in record software"),
        ("narendran-2009", "1.92 % in its own operations, 1.01 %"),
        ("habib-2006", "Who wrote the paper of its table was not seen"),
        ("habib-2006", "2.5 mm is taken from Muhtaseb 2004"),
        ("muhtaseb-2004", "spherical equivalent is taken (common practice, no source)"),
        ("nzcrs-2020", "spherical equivalent is taken (common practice, no source)"),
        ("whole-burden", "also one combined with another"),
    ] {
        assert!(built.model(model).cautions.iter().any(|caution| caution.contains(said)), "{model}: {said}");
    }
}

/// Which findings count as another risk is said in full.
#[test]
fn other_risks_are_named() {
    let built = Built::new();
    let other = built.finding("surgeon-assessed-risk");
    let narrower =
        built.vocabulary.iter().filter(|(id, _)| *id != other && built.vocabulary.upwards(*id).contains(&other));
    let labels: Vec<&str> = narrower.map(|(_, concept)| concept.label.value.as_str()).collect();
    assert!(labels.len() > 8);
    for model in ["muhtaseb-2004", "nzcrs-2020"] {
        let cautions = &built.model(model).cautions;
        let told = cautions.iter().find(|it| it.starts_with("Counted as another risk")).expect("a caution");
        let (counted, not) = told.split_once("Anxiety, tremor and dementia").expect("what does not count");
        assert!(labels.iter().all(|label| counted.contains(label)), "{model}: {labels:?}");
        assert!(not.contains("poor cooperation"));
        for finding in ["severe-anxiety", "head-tremor", "dementia"] {
            assert_eq!(points(&built, model, &built.eye(&[finding])), 0.0, "{model}: {finding}");
        }
    }
}
