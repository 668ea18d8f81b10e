//! Properties: what no table tells and every table must keep.

use super::{AXIAL, Built, CHAMBER, PUPIL, measure};
use crate::support::{demo, prepare};
use casewright::analyse::indices::{Facts, difficulty, of_case, reckon, together, weigh_all};
use casewright::model::index::{Interval, Reckoned};
use casewright::model::library::Weights;
use casewright::model::measure::Sex;
use casewright::model::risk::{Bearer, Measured};
use proptest::prelude::*;
use std::sync::LazyLock;

static BUILT: LazyLock<Built> = LazyLock::new(Built::new);

/// Findings that the models ask for, none a kind of another, so that no two contradict each other.
const FINDINGS: &[&str] = &[
    "glaucoma",
    "diabetic-retinopathy",
    "white-cataract",
    "no-fundal-view",
    "pseudoexfoliation",
    "phacodonesis",
    "small-pupil",
    "doxazosin-use",
    "cannot-lie-flat",
    "previous-vitrectomy",
    "corneal-scar",
    "posterior-capsule-plaque",
    "posterior-polar-cataract",
    "severe-anxiety",
    "head-tremor",
    "posterior-synechiae",
    "only-eye",
    "uveitis-history",
    "deep-set-eye",
    "no-red-reflex",
    "fibrosed-capsule",
    "zonular-loss",
];

/// What is true of an eye, all of it.
#[derive(Debug, Clone)]
struct Truth {
    findings: Vec<bool>,
    age: u8,
    axial: f64,
    pupil: f64,
    chamber: f64,
    sphere: f64,
    male: bool,
    fellow: bool,
}

/// Which of its facts are recorded: findings, then the others in the order of [`Truth`].
const FACTS: usize = FINDINGS.len() + 7;

fn truth() -> impl Strategy<Value = Truth> {
    (
        prop::collection::vec(any::<bool>(), FINDINGS.len()),
        1..90_u8,
        1800..3200_u32,
        15..90_u32,
        15..45_u32,
        0..12_u32,
        any::<bool>(),
        any::<bool>(),
    )
        .prop_map(|(findings, age, axial, pupil, chamber, sphere, male, fellow)| Truth {
            findings,
            age,
            axial: f64::from(axial) / 100.0,
            pupil: f64::from(pupil) / 10.0,
            chamber: f64::from(chamber) / 10.0,
            sphere: f64::from(sphere),
            male,
            fellow,
        })
}

/// The facts of an eye of which these are recorded. A finding that a measure decides is never recorded against it.
fn recorded(truth: &Truth, known: &[bool]) -> Facts {
    let present: Vec<&str> = FINDINGS
        .iter()
        .zip(&truth.findings)
        .zip(known)
        .filter(|((name, there), known)| **known && **there && **name != "small-pupil")
        .map(|((name, _), _)| *name)
        .collect();
    let mut facts = BUILT.eye(&present);
    for ((name, there), known) in FINDINGS.iter().zip(&truth.findings).zip(known) {
        if *known && !*there && *name != "small-pupil" {
            facts.absent.insert(BUILT.finding(name));
        }
    }
    let rest = &known[FINDINGS.len()..];
    let measures = [
        (Measured::Age, f64::from(truth.age)),
        (AXIAL, truth.axial),
        (PUPIL, truth.pupil),
        (CHAMBER, truth.chamber),
        (Measured::Ametropia, truth.sphere),
    ];
    for ((what, value), known) in measures.into_iter().zip(rest) {
        if *known {
            measure(&mut facts, what, value);
        }
    }
    if rest[5] {
        facts.sex = Some(if truth.male { Sex::Male } else { Sex::Female });
    }
    if rest[6] {
        facts.fellow_complication = Some(truth.fellow);
    }
    facts
}

/// Every built-in model taken to apply, so that bounds can be compared whatever is recorded.
fn all_apply(facts: &Facts) -> Vec<Reckoned> {
    let models = &BUILT.library.models.used;
    models
        .iter()
        .map(|model| {
            let factors = weigh_all(model, facts, &BUILT.vocabulary);
            Reckoned {
                barred: if model.name == "whole-burden" { vec!["not now".to_owned()] } else { Vec::new() },
                replaced: false,
                eye: together(model, &factors),
                factors,
                risk: None,
                with_surgeon: None,
            }
        })
        .collect()
}

fn eye_difficulty(facts: &Facts) -> Interval {
    difficulty(&BUILT.library.models, &all_apply(facts), Weights::default().eye, facts, &BUILT.vocabulary).1
}

fn holds(outer: Interval, inner: Interval) -> bool {
    outer.low <= inner.low + 1e-9 && inner.high <= outer.high + 1e-9
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    /// Recording one more fact never widens the interval of a risk, of points or of eye difficulty, and what comes out
    /// when everything is recorded was inside from the start.
    #[test]
    fn recording_never_widens_and_the_interval_held_the_value(truth in truth(), known in prop::collection::vec(any::<bool>(), FACTS), more in 0..FACTS) {
        let less = recorded(&truth, &known);
        let mut with = known.clone();
        with[more] = true;
        let further = recorded(&truth, &with);
        let whole = recorded(&truth, &[true; FACTS]);
        prop_assert!(holds(eye_difficulty(&less), eye_difficulty(&further)), "{:?} {:?}", eye_difficulty(&less), eye_difficulty(&further));
        prop_assert!(holds(eye_difficulty(&less), Interval::exact(eye_difficulty(&whole).value)));
        for model in &BUILT.library.models.used {
            let eye = |facts: &Facts| together(model, &weigh_all(model, facts, &BUILT.vocabulary));
            prop_assert!(holds(eye(&less), eye(&further)), "{}", model.name);
            prop_assert!(holds(eye(&less), Interval::exact(eye(&whole).value)), "{}", model.name);
            let it = eye(&less);
            prop_assert!(it.low <= it.value && it.value <= it.high, "{}", model.name);
        }
    }

    /// A finding whose ratio is above 1, or whose points are above 0, never lowers what comes out.
    #[test]
    fn a_finding_never_lowers_what_it_should_raise(truth in truth(), known in prop::collection::vec(any::<bool>(), FACTS), at in 0..FINDINGS.len()) {
        prop_assume!(FINDINGS[at] != "small-pupil");
        let mut known = known;
        known[at] = true;
        let (mut without, mut with) = (truth.clone(), truth);
        without.findings[at] = false;
        with.findings[at] = true;
        let (without, with) = (recorded(&without, &known), recorded(&with, &known));
        prop_assert!(eye_difficulty(&without).value <= eye_difficulty(&with).value + 1e-9);
        for model in &BUILT.library.models.used {
            let eye = |facts: &Facts| together(model, &weigh_all(model, facts, &BUILT.vocabulary)).value;
            prop_assert!(eye(&without) <= eye(&with), "{}", model.name);
        }
    }

    /// Facts have no order: what is recorded last counts as what is recorded first.
    #[test]
    fn the_order_of_facts_does_not_matter(truth in truth(), known in prop::collection::vec(any::<bool>(), FACTS), turn in any::<u64>()) {
        let straight = recorded(&truth, &known);
        let mut names: Vec<&str> = FINDINGS.iter().zip(&truth.findings).zip(&known).filter(|((name, there), known)| **known && **there && **name != "small-pupil").map(|((name, _), _)| *name).collect();
        names.sort_by_key(|name| blake3::hash(format!("{turn}{name}").as_bytes()).to_hex().to_string());
        let mut other = straight.clone();
        other.present.clear();
        for name in names {
            other.present.extend(BUILT.vocabulary.upwards(BUILT.finding(name)));
        }
        prop_assert_eq!(eye_difficulty(&straight), eye_difficulty(&other));
    }
}

/// The surgeon is no part of an eye, whatever the grade.
#[test]
fn the_surgeon_never_changes_the_eye() {
    let prepared = prepare(&demo());
    let corpus = &prepared.checked.corpus;
    for cleared in corpus.cases() {
        let mut facts = Facts::of(&cleared.case, corpus.vocabulary());
        for model in &corpus.library().models.used {
            let mut seen = Vec::new();
            for grade in 0..6 {
                facts.operator = Some(grade);
                seen.push(reckon(model, &cleared.case, &facts, corpus.vocabulary()));
            }
            assert!(seen.windows(2).all(|pair| pair[0].eye == pair[1].eye && pair[0].risk == pair[1].risk));
            if model.factors.iter().any(|factor| factor.by == Bearer::Surgeon) {
                let ratios: Vec<f64> = seen.iter().filter_map(|it| it.with_surgeon.map(|(_, grade)| grade)).collect();
                assert_eq!(ratios, [1.0, 0.87, 0.36, 1.65, 1.6, 3.73]);
            }
        }
    }
}

/// Nothing after the first cut changes an eye's difficulty.
#[test]
fn what_came_later_changes_nothing() {
    let prepared = prepare(&demo());
    let corpus = &prepared.checked.corpus;
    let donor = &corpus.cases()[corpus.find("the-quiet-fourth-day").expect("a case")].case;
    for cleared in corpus.cases() {
        let of = |case: &_| of_case(case, corpus.library(), corpus.vocabulary());
        let before = of(&cleared.case);
        let mut case = (*cleared.case).clone();
        case.operation.steps = donor.operation.steps.clone();
        case.operation.converted = None;
        case.operation.devices = donor.operation.devices.clone();
        case.complications = donor.complications.clone();
        case.outcomes = donor.outcomes.clone();
        case.later = Vec::new();
        case.body = donor.body.clone();
        let after = of(&case);
        assert_eq!((before.difficulty, before.parts, before.models), (after.difficulty, after.parts, after.models));
    }
}

/// Outside its scope a model gives no number and says why.
#[test]
fn models_say_where_they_do_not_apply() {
    let prepared = prepare(&demo());
    let corpus = &prepared.checked.corpus;
    let barred = |case: &str, model: &str| -> Vec<String> {
        let case = &corpus.cases()[corpus.find(case).expect("a case")].case;
        let at = corpus.library().models.used.iter().position(|it| it.name == model).expect("a model");
        of_case(case, corpus.library(), corpus.vocabulary()).models[at].barred.clone()
    };
    assert!(barred("the-picture-book", "narendran-2009").iter().any(|why| why == "the patient was younger than 18"));
    assert!(barred("the-squash-player", "muhtaseb-2004").iter().any(|why| why.starts_with("the eye had ")));
    assert!(barred("the-chapel-organist", "habib-2006").iter().any(|why| why.starts_with("the plan was ")));
    assert_eq!(barred("the-allotment", "narendran-2009"), Vec::<String>::new());
    assert_eq!(barred("the-allotment", "whole-burden").len(), 1);
    assert_eq!(barred("the-picture-book", "whole-burden"), Vec::<String>::new());
}

/// A rank stands inside its range, and each rank is given once.
#[test]
fn ranks_are_whole() {
    let prepared = prepare(&demo());
    let analysis = casewright::analyse::analyse(&prepared.checked.corpus);
    let mut ranks: Vec<usize> = analysis.indices.iter().map(|it| it.rank.0).collect();
    ranks.sort_unstable();
    assert_eq!(ranks, (1..=analysis.indices.len()).collect::<Vec<_>>());
    for it in &analysis.indices {
        assert!(it.rank.1 <= it.rank.0 && it.rank.0 <= it.rank.2 && it.rank.2 <= ranks.len(), "{:?}", it.rank);
    }
    assert_eq!(analysis.robustness.turned.len(), ranks.len() - 1);
    assert!(analysis.robustness.turned.iter().all(|(_, _, turned)| *turned <= analysis.robustness.draws));
    let mut reading = analysis.reading.clone();
    reading.sort_unstable();
    assert_eq!(reading, (0..ranks.len()).collect::<Vec<_>>());
}
