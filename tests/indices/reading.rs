//! How a case as it is written becomes facts, and where numbers may not go.

use super::{AXIAL, Built, taken};
use crate::support::{BASE, demo, library, prepare};
use casewright::analyse::indices::{Facts, difficulty, of_case, weigh_all};
use casewright::model::case::Case;
use casewright::model::format::GRADES;
use casewright::model::index::{Indices, Interval, PARTS, WHOLE};
use casewright::model::library::{Library, Weights};
use casewright::model::risk::{Bearer, Comparison, Condition, MOST_WAYS, Test, conditions, stretches, ways};
use casewright::model::vocabulary::Vocabulary;

/// A case of the library for tests, with these changes of its text, as it comes out of checking.
fn written(changes: &[(&str, &str)]) -> (Case, Library, Vocabulary) {
    let text = changes.iter().fold(BASE.to_owned(), |text, (old, new)| {
        assert!(text.contains(old), "the base case does not hold {old}");
        text.replacen(old, new, 1)
    });
    let prepared = prepare(&library().with("a.md", &text));
    let corpus = &prepared.checked.corpus;
    assert_eq!(corpus.cases().len(), 1, "{:?}", prepared.diagnostics);
    ((*corpus.cases()[0].case()).clone(), corpus.library().clone(), corpus.vocabulary().clone())
}

fn indices(changes: &[(&str, &str)]) -> Indices {
    let (case, library, vocabulary) = written(changes);
    of_case(&case, &library, &vocabulary)
}

/// What a factor of a model counts in a case.
fn weight(changes: &[(&str, &str)], model: &str, factor: &str) -> Interval {
    let (case, library, vocabulary) = written(changes);
    let model = library.models.named(model).expect("a model");
    let at = model.factors.iter().position(|it| it.name == factor).expect("a factor");
    weigh_all(model, &Facts::of(&case, &vocabulary), &vocabulary)[at].weight
}

const LENS: &str = "{is: nuclear sclerosis, grade: \"3\", scale: LOCS III}, small pupil";
const PRESSURE: &str = "iop: 16 mmHg";

/// Eyes of a combined operation stand by the whole list. Common practice, no source.
#[test]
fn a_combined_operation_has_the_whole_list() {
    let plan = "planned: {procedure: phacoemulsification,";
    let combined = "planned: {procedure: phacoemulsification, combined: [trabeculectomy],";
    let it = indices(&[(plan, combined), (LENS, "white cataract, small pupil")]);
    let labels: Vec<&str> = it.parts.iter().map(|part| part.label).collect();
    assert_eq!(labels, [PARTS[WHOLE].label]);
    // A dense lens and a small pupil: two things of the six at which the part is full.
    assert!((it.difficulty.value - 100.0 * 2.0 / 6.0).abs() < 1e-9, "{:?}", it.difficulty);
    assert!((it.difficulty.low - it.difficulty.value).abs() < 1e-9);
    let alone = indices(&[(LENS, "white cataract, small pupil")]);
    assert_eq!(alone.parts.len(), WHOLE);
}

/// Whatever the case, some part of eye difficulty applies: a number never stands for an eye that none of them saw.
#[test]
fn every_eye_has_a_part() {
    let prepared = prepare(&demo());
    let corpus = &prepared.checked.corpus;
    let trabeculectomy = corpus.vocabulary().by_name("trabeculectomy").expect("a technique");
    for cleared in corpus.cases() {
        let mut case = (*cleared.case()).clone();
        for procedure in [case.planned.procedure.value, trabeculectomy] {
            case.planned.procedure.value = procedure;
            for combined in [true, false] {
                case.planned.combined = if combined { vec![case.planned.procedure.clone()] } else { Vec::new() };
                let it = of_case(&case, corpus.library(), corpus.vocabulary());
                assert!(!it.parts.is_empty(), "{}", case.name);
                assert!((it.parts.iter().map(|part| part.share).sum::<f64>() - 1.0).abs() < 1e-9);
            }
        }
    }
}

/// Both ways to write one lens count alike, by the spherical equivalent. Common practice, no source.
#[test]
fn a_lens_counts_alike_however_it_is_written() {
    for (minus, plus, counts) in [
        ("-6.00 -4.00 x 90", "-10.00 +4.00 x 180", 1.0),
        ("-4.25 -3.50 x 10", "-7.75 +3.50 x 100", 0.0),
        ("+0.50 -7.00 x 90", "-6.50 +7.00 x 180", 0.0),
        ("+9.00 -5.00 x 90", "+4.00 +5.00 x 180", 1.0),
        ("-5.90 -0.20 x 90", "-6.10 +0.20 x 180", 0.0),
    ] {
        for refraction in [minus, plus] {
            let with = format!("{PRESSURE}, refraction: {refraction}");
            for model in ["muhtaseb-2004", "nzcrs-2020"] {
                let found = weight(&[(PRESSURE, &with)], model, "high-ametropia");
                assert_eq!(found, Interval::exact(counts), "{model}: {refraction}");
            }
        }
    }
}

/// "About" leaves half of the last place written on either side. Common practice, no source.
#[test]
fn about_leaves_a_limit_open() {
    for (measure, model, factor, low, high) in [
        ("axial length: about 26 mm", "narendran-2009", "axial-length", 1.0, 1.47),
        ("axial length: 26 mm", "narendran-2009", "axial-length", 1.47, 1.47),
        ("axial length: about 25.9 mm", "narendran-2009", "axial-length", 1.0, 1.0),
        ("axial length: about 25.95 mm", "narendran-2009", "axial-length", 1.0, 1.0),
        ("axial length: about 26.0 mm", "narendran-2009", "axial-length", 1.0, 1.47),
        ("axial length: about 26.1 mm", "narendran-2009", "axial-length", 1.47, 1.47),
        ("anterior chamber depth: about 2.5 mm", "muhtaseb-2004", "shallow-chamber", 0.0, 1.0),
        ("anterior chamber depth: 2.5 mm", "muhtaseb-2004", "shallow-chamber", 0.0, 0.0),
        ("anterior chamber depth: about 2.6 mm", "muhtaseb-2004", "shallow-chamber", 0.0, 0.0),
        ("pupil: about 3 mm", "eye-burden", "pressure", 0.0, 0.0),
    ] {
        let found = weight(&[(PRESSURE, &format!("{PRESSURE}, {measure}"))], model, factor);
        assert_eq!((found.low, found.high), (low, high), "{measure}");
    }
    // Where the measure leaves it open the finding decides, as it does without a measure.
    let small = weight(&[(PRESSURE, "iop: 16 mmHg, pupil: about 3 mm")], "muhtaseb-2004", "small-pupil");
    assert_eq!(small, Interval::exact(1.0));
}

/// A finding stands in for a measure only where the vocabulary defines it by that measure.
#[test]
fn findings_stand_in_for_the_measure_that_defines_them() {
    for (finding, model, factor, low, high) in [
        ("long eye", "narendran-2009", "axial-length", 1.47, 1.47),
        ("long eye", "whole-burden", "long-eye", 1.0, 1.0),
        ("long eye", "habib-2006", "axial-length", 0.0, 1.0),
        ("high myopia", "narendran-2009", "axial-length", 1.0, 1.47),
        ("high myopia", "whole-burden", "long-eye", 0.0, 1.0),
        ("high myopia", "habib-2006", "axial-length", 0.0, 1.0),
        ("high myopia", "muhtaseb-2004", "high-ametropia", 1.0, 1.0),
        ("very short eye", "eye-burden", "very-short-eye", 1.0, 1.0),
        ("low endothelial count", "eye-burden", "low-endothelium", 1.0, 1.0),
    ] {
        let found = weight(&[(LENS, &format!("{LENS}, {finding}"))], model, factor);
        assert_eq!((found.low, found.high), (low, high), "{finding}: {model}");
    }
    for (count, points) in [("1499", 1.0), ("1500", 0.0)] {
        let with = format!("{PRESSURE}, endothelial cell count: {count} cells/mm2");
        assert_eq!(weight(&[(PRESSURE, &with)], "eye-burden", "low-endothelium"), Interval::exact(points), "{count}");
    }
}

/// A very short eye on record is not also a long one: the bounds of its difficulty know that.
#[test]
fn a_finding_that_stands_in_for_a_length_narrows_the_bounds() {
    let without = indices(&[]).difficulty;
    for finding in ["very short eye", "long eye"] {
        let with = indices(&[(LENS, &format!("{LENS}, {finding}"))]).difficulty;
        assert!(without.low <= with.low && with.high <= without.high + 1e-9, "{finding}: {without:?} {with:?}");
    }
    // No eye is both: then the bounds are as wide as without that knowledge, and hold the number.
    let odd = indices(&[(LENS, &format!("{LENS}, very short eye, long eye"))]).difficulty;
    assert!(odd.low <= odd.value && odd.value <= odd.high);
}

/// The whole list has what the published models would have seen.
#[test]
fn the_whole_list_sees_what_models_would_have_seen() {
    let plan =
        ("planned: {procedure: phacoemulsification,", "planned: {procedure: manual small-incision cataract surgery,");
    let points = |findings: &str| {
        let (case, library, vocabulary) = written(&[plan, (LENS, findings)]);
        let it = of_case(&case, &library, &vocabulary);
        let at = library.models.used.iter().position(|model| model.name == "whole-burden").expect("the list");
        assert!(it.models.open()[at].barred.is_empty());
        it.models.open()[at].eye.value
    };
    for (findings, expected) in [
        ("nuclear sclerosis", 0.0),
        ("lens subluxation, phacodonesis, angle recession", 3.0),
        ("phacodonesis", 1.0),
        ("{is: zonular loss before surgery, extent: 2 clock hours}", 1.0),
        ("{is: zonular loss before surgery, extent: 4 clock hours}", 2.0),
        ("{is: zonular loss before surgery, extent: 7 clock hours}, lens subluxation", 3.0),
        ("glaucoma", 1.0),
        ("diabetic retinopathy", 1.0),
        ("no fundal view", 1.0),
        ("no red reflex, no fundal view, vitreous opacities", 1.0),
        ("previous angle closure", 1.0),
        ("posterior capsule plaque", 1.0),
        ("complication in the fellow eye", 1.0),
        ("severe anxiety, head tremor", 1.0),
        ("corneal oedema before surgery", 1.0),
    ] {
        assert_eq!(points(findings), expected, "{findings}");
    }
    // What every published model asks is asked by the list or named as left out.
    let built = Built::new();
    let list = built.model("whole-burden");
    for model in ["narendran-2009", "habib-2006"] {
        for factor in built.model(model).factors.iter().filter(|factor| factor.by == Bearer::Eye) {
            let left_out = ["male", "pupil"].contains(&factor.name.as_str());
            let asked = factor.bands.iter().flat_map(|band| &band.when).any(|condition| {
                let mut eye = Facts::default();
                if let Test::Finding(concept) = &condition.test {
                    eye.present.extend(built.vocabulary.upwards(*concept));
                    weigh_all(list, &eye, &built.vocabulary).iter().any(|it| it.weight.value > 0.0)
                } else {
                    let same =
                        |of: &Condition<_>| std::mem::discriminant(&of.test) == std::mem::discriminant(&condition.test);
                    list.factors.iter().flat_map(conditions).any(same)
                }
            });
            assert!(asked || left_out, "{model}: {}", factor.name);
        }
    }
}

/// A nucleus graded below 4 settles every kind of dense lens. Common practice, no source.
#[test]
fn a_soft_nucleus_settles_every_kind_of_dense_lens() {
    for (model, factor) in [
        ("eye-burden", "liquefied-lens"),
        ("whole-burden", "liquefied-lens"),
        ("whole-burden", "dense-lens"),
        ("muhtaseb-2004", "dense-cataract"),
    ] {
        assert_eq!(weight(&[], model, factor), Interval::exact(0.0), "{model}: {factor}");
    }
    for model in ["eye-burden", "whole-burden"] {
        let thick = ("absent: [pseudoexfoliation]", "absent: [pseudoexfoliation, phacomorphic lens]");
        assert_eq!(weight(&[], model, "swollen-lens").high, 1.0, "{model}");
        assert_eq!(weight(&[thick], model, "swollen-lens"), Interval::exact(0.0), "{model}");
    }
}

/// Of two grades of one lens the greater counts, whichever was written first.
#[test]
fn grades_have_no_order() {
    let of = |first: &str, second: &str| {
        let lens = format!(
            "{{is: nuclear sclerosis, grade: \"{first}\"}}, {{is: dense nuclear sclerosis, grade: \"{second}\"}}"
        );
        let (case, _, vocabulary) = written(&[(LENS, &lens)]);
        let facts = Facts::of(&case, &vocabulary);
        facts.grades[&vocabulary.by_name("nuclear-sclerosis").expect("a finding")]
    };
    assert_eq!(of("2", "5"), (5.0, 5.0));
    assert_eq!(of("5", "2"), (5.0, 5.0));
}

/// The built-in models stay well within what one eye may ask.
#[test]
fn the_built_in_models_ask_of_an_eye_in_few_ways() {
    let built = Built::new();
    for parts in [&PARTS[..WHOLE], &PARTS[WHOLE..]] {
        let found = ways(parts.iter().flat_map(|part| &built.model(part.model).factors));
        assert!(found > 1 && found * 4 < MOST_WAYS, "{found}");
    }
}

/// A model that says nothing of combined operations holds for them too.
#[test]
fn a_model_holds_for_combined_operations_unless_it_says_no() {
    let model = |scope: &str| {
        format!(
            "name: ours\nlabel: Our score\ncitation: Our own list, 2026\npopulation: our patients\noutcome: trouble\n\
             kind: points\nverified: common practice\napplies: {{youngest: 18{scope}}}\n\
             factors: [{{name: pupil, label: Small pupil, when: [finding small-pupil], points: 1}}]\n"
        )
    };
    let text = BASE
        .replace("{procedure: phacoemulsification,", "{procedure: phacoemulsification, combined: [trabeculectomy],");
    for (scope, applies) in [("", true), (", combined: true", true), (", combined: false", false)] {
        let prepared = prepare(&library().with("a.md", &text).with("models/ours.yaml", model(scope)));
        let corpus = &prepared.checked.corpus;
        let at = corpus.library().models.used.iter().position(|model| model.name == "ours").expect("our model");
        let it = of_case(&corpus.cases()[0].case(), corpus.library(), corpus.vocabulary());
        assert_eq!(it.models.open()[at].barred.is_empty(), applies, "{scope}");
    }
}

/// A range on record counts to its very ends, however near to a limit they lie.
#[test]
fn a_range_counts_to_its_ends() {
    let built = Built::new();
    let of = |low: f64, high: f64| {
        let mut facts = Facts::default();
        facts.measures.insert(AXIAL, (low, high));
        let taken = taken(&built, &facts, false);
        difficulty(&built.library.models, &taken, Weights::default().eye, &facts, &built.vocabulary).1
    };
    for (low, high) in [(25.999, 26.0), (26.0, 26.001), (19.999, 20.0), (20.499, 20.5), (25.0, 27.0), (10.0, 40.0)] {
        let range = of(low, high);
        for exactly in [low, high] {
            let exactly = of(exactly, exactly);
            assert!(range.low <= exactly.low + 1e-9 && exactly.high <= range.high + 1e-9, "{low} to {high}");
        }
    }
}

/// The first operator is the one who operated; who took over is no property of the start. Common practice, no source.
#[test]
fn the_first_operator_counts() {
    let both = |grades: [&str; 2]| {
        let [first, second] = grades.map(|grade| format!("{{grade: {grade}}}"));
        let operators = format!("operators: [{first}, {second}]");
        let (case, _, vocabulary) = written(&[("operators: [{grade: consultant}]", &operators)]);
        Facts::of(&case, &vocabulary).operator
    };
    let place = |grade: &str| GRADES.iter().position(|it| *it == grade);
    assert_eq!(both(["fellow", "consultant"]), place("fellow"));
    assert_eq!(both(["consultant", "fellow"]), place("consultant"));
}

/// A factor is open where nothing on record settles it, and nowhere else.
#[test]
fn a_factor_is_open_until_it_is_settled() {
    let open = |changes: &[(&str, &str)], factor: &str| {
        let (case, library, vocabulary) = written(changes);
        let model = library.models.named("narendran-2009").expect("a model");
        let at = model.factors.iter().position(|it| it.name == factor).expect("a factor");
        weigh_all(model, &Facts::of(&case, &vocabulary), &vocabulary)[at].open
    };
    assert!(open(&[], "axial-length"));
    for length in ["25 mm", "26 mm", "27 to 28 mm"] {
        assert!(!open(&[(PRESSURE, &format!("{PRESSURE}, axial length: {length}"))], "axial-length"), "{length}");
    }
    assert!(open(&[(PRESSURE, &format!("{PRESSURE}, axial length: 25 to 27 mm"))], "axial-length"));
}

/// Beyond its anchors a part is empty or full, never less or more.
#[test]
fn a_part_ends_at_its_anchors() {
    for part in PARTS {
        assert_eq!(part.normalised(part.none).to_bits(), 0.0_f64.to_bits(), "{}", part.label);
        assert_eq!(part.normalised(part.full).to_bits(), 1.0_f64.to_bits(), "{}", part.label);
        assert_eq!(part.normalised(part.full * 2.0).to_bits(), 1.0_f64.to_bits(), "{}", part.label);
        if part.none > 0.0 {
            assert_eq!(part.normalised(part.none / 2.0).to_bits(), 0.0_f64.to_bits(), "{}", part.label);
        }
    }
}

/// A department's model of odds may hold a ratio below 1: what is not on record may then lie lower than the number shown.
#[test]
fn a_ratio_below_one_opens_the_bounds_downwards() {
    let ours = "name: narendran-2009\nlabel: Our odds\ncitation: Our own list, 2026\npopulation: our patients\noutcome: trouble\n\
                kind: odds ratios\nverified: common practice\nbaseline: {probability: 0.01, of: an eye, verified: common practice}\n\
                factors:\n  - {name: pupil, label: Small pupil, when: [finding small-pupil], ratio: 5}\n  \
                - {name: glaucoma, label: Glaucoma, when: [finding glaucoma], ratio: 0.5}\n";
    let prepared = prepare(&library().with("a.md", BASE).with("models/narendran-2009.yaml", ours));
    let corpus = &prepared.checked.corpus;
    let it = of_case(&corpus.cases()[0].case(), corpus.library(), corpus.vocabulary());
    let odds = it.parts.iter().find(|part| part.label == PARTS[0].label).expect("the part");
    // A small pupil alone, and the same with glaucoma: `log 5 / log 50` and `log 2.5 / log 50`.
    assert!((odds.value.value - 0.411_408_1).abs() < 1e-6, "{:?}", odds.value);
    assert!((odds.value.low - 0.234_224_3).abs() < 1e-6, "{:?}", odds.value);
    let rest: f64 = it
        .parts
        .iter()
        .filter(|part| part.label != PARTS[0].label)
        .map(|part| part.share * (part.value.value - part.value.low))
        .sum();
    let apart = odds.share * (odds.value.value - odds.value.low) + rest;
    assert!((it.difficulty.value - it.difficulty.low - 100.0 * apart).abs() < 1e-6, "{:?}", it.difficulty);
}

/// No stretch begins below nothing: a length, an age or a pressure is never negative.
#[test]
fn stretches_begin_at_nothing_or_above() {
    let built = Built::new();
    let mut model = built.model("habib-2006").clone();
    let factor = model.factors.iter_mut().find(|it| it.name == "axial-length").expect("a factor");
    for condition in factor.bands.iter_mut().flat_map(|band| &mut band.when) {
        if let Test::Measure(_, Comparison::Below(limit)) = &mut condition.test {
            *limit = 0.0;
        }
    }
    let found = stretches(model.factors.iter());
    let values = &found[&AXIAL];
    assert!(values.windows(2).all(|pair| pair[0] < pair[1]) && values[0] >= 0.0, "{values:?}");
}
