//! Properties: what no table tells and every table must keep.

use super::{AXIAL, Built, CHAMBER, PUPIL, measure, taken};
use crate::support::{demo, prepare};
use casewright::analyse::indices::{Facts, difficulty, of_case, reckon, together, weigh_all};
use casewright::model::index::Interval;
use casewright::model::library::Weights;
use casewright::model::measure::Sex;
use casewright::model::risk::{Bearer, Measured};
use proptest::prelude::*;
use std::sync::LazyLock;

static BUILT: LazyLock<Built> = LazyLock::new(Built::new);

/// Findings that the models ask for and that nothing else here decides, none a kind of another.
const FINDINGS: &[&str] = &[
    "glaucoma",
    "diabetic-retinopathy",
    "no-fundal-view",
    "pseudoexfoliation",
    "phacodonesis",
    "zonular-loss",
    "lens-subluxation",
    "doxazosin-use",
    "cannot-lie-flat",
    "previous-vitrectomy",
    "previous-angle-closure",
    "corneal-scar",
    "posterior-capsule-plaque",
    "posterior-polar-cataract",
    "severe-anxiety",
    "head-tremor",
    "posterior-synechiae",
    "only-eye",
    "uveitis-history",
    "no-red-reflex",
    "fibrosed-capsule",
    "phacomorphic-lens",
];

/// Kinds of dense lens, and which of the findings after them each is.
const LENSES: [&[&str]; 6] = [
    &[],
    &["dense-cataract"],
    &["dense-cataract", "white-cataract"],
    &["dense-cataract", "white-cataract", "intumescent-cataract"],
    &["dense-cataract", "white-cataract", "liquefied-lens"],
    &["dense-cataract", "brunescent-cataract"],
];
const OF_LENS: [&str; 5] =
    ["dense-cataract", "white-cataract", "intumescent-cataract", "liquefied-lens", "brunescent-cataract"];

const IOP: Measured = Measured::Quantity(0);
const ENDOTHELIUM: Measured = Measured::Quantity(7);

/// What is true of an eye, all of it.
#[derive(Debug, Clone)]
struct Truth {
    findings: Vec<bool>,
    /// A place in [`LENSES`].
    lens: usize,
    grade: f64,
    hours: f64,
    measures: Vec<(Measured, f64)>,
    male: bool,
    fellow: bool,
    lost: bool,
}

impl Truth {
    fn finding(&self, name: &str) -> bool {
        FINDINGS.iter().position(|it| *it == name).is_some_and(|at| self.findings[at])
    }

    fn measure(&self, of: Measured) -> f64 {
        self.measures.iter().find(|(it, _)| *it == of).expect("a measure").1
    }

    /// Every finding that may be on record, and whether it is true: those above, those of the lens, and those that a
    /// measure or another finding decides.
    fn all(&self) -> Vec<(&'static str, bool)> {
        let weak = ["phacodonesis", "zonular-loss", "lens-subluxation"].iter().any(|name| self.finding(name));
        let mut all: Vec<(&str, bool)> = FINDINGS.iter().copied().zip(self.findings.iter().copied()).collect();
        all.extend(OF_LENS.iter().map(|name| (*name, LENSES[self.lens].contains(name))));
        all.extend([
            ("zonular-weakness", weak),
            ("small-pupil", self.measure(PUPIL) < 3.0),
            ("shallow-anterior-chamber", self.measure(CHAMBER) < 2.5),
            ("high-ametropia", self.measure(Measured::Ametropia) > 6.0),
            ("long-eye", self.measure(AXIAL) >= 26.0),
            ("very-short-eye", self.measure(AXIAL) < 20.5),
            ("high-pressure-at-surgery", self.measure(IOP) > 30.0),
            ("low-endothelial-count", self.measure(ENDOTHELIUM) < 1500.0),
        ]);
        all
    }
}

/// What may be on record: the findings of [`Truth::all`], then each measure, exactly, then each as a range, then grade, hours,
/// sex, the fellow eye's complication and its loss.
const FACTS: usize = FINDINGS.len() + OF_LENS.len() + 8 + 7 + 7 + 5;

fn truth() -> impl Strategy<Value = Truth> {
    let measures =
        (1..90_u32, 1800..3200_u32, 15..90_u32, 15..45_u32, 0..48_u32, 5..60_u32, 300..3000_u32).prop_map(|it| {
            vec![
                (Measured::Age, f64::from(it.0)),
                (AXIAL, f64::from(it.1) / 100.0),
                (PUPIL, f64::from(it.2) / 10.0),
                (CHAMBER, f64::from(it.3) / 10.0),
                (Measured::Ametropia, f64::from(it.4) / 4.0),
                (IOP, f64::from(it.5)),
                (ENDOTHELIUM, f64::from(it.6)),
            ]
        });
    let findings = prop::collection::vec(any::<bool>(), FINDINGS.len());
    let rest = (any::<bool>(), any::<bool>(), any::<bool>());
    (findings, 0..LENSES.len(), 2..13_u32, 1..13_u32, measures, rest).prop_map(
        |(findings, lens, grade, hours, measures, (male, fellow, lost))| Truth {
            findings,
            lens,
            // A lens is called dense from about grade 4 on.
            grade: (f64::from(grade) / 2.0).max(if lens == 0 { 1.0 } else { 4.0 }),
            hours: f64::from(hours),
            measures,
            male,
            fellow,
            lost,
        },
    )
}

/// The facts of an eye of which these are recorded.
fn recorded(truth: &Truth, known: &[bool]) -> Facts {
    let all = truth.all();
    let mut known = known.iter().copied();
    let mut next = || known.next().expect("as many as there are facts");
    let of_findings: Vec<(&str, bool)> = all.into_iter().filter(|_| next()).collect();
    let there: Vec<&str> = of_findings.iter().filter(|(_, there)| *there).map(|(name, _)| *name).collect();
    let mut facts = BUILT.eye(&there);
    facts.absent = of_findings.iter().filter(|(_, there)| !*there).map(|(name, _)| BUILT.finding(name)).collect();
    let exactly: Vec<bool> = truth.measures.iter().map(|_| next()).collect();
    for ((what, value), exactly) in truth.measures.iter().zip(exactly) {
        let (about, away) = (next(), if *what == Measured::Age { 2.0 } else { value / 20.0 });
        if exactly {
            measure(&mut facts, *what, *value);
        } else if about {
            facts.measures.insert(*what, (value - away, value + away));
        }
    }
    if next() {
        facts.present.extend(BUILT.vocabulary.upwards(BUILT.finding("nuclear-sclerosis")));
        facts.grades.insert(BUILT.finding("nuclear-sclerosis"), (truth.grade, truth.grade));
    }
    if next() && there.contains(&"zonular-loss") {
        facts.extents.insert(BUILT.finding("zonular-loss"), (truth.hours, truth.hours));
    }
    facts.sex = next().then_some(if truth.male { Sex::Male } else { Sex::Female });
    facts.fellow_complication = next().then_some(truth.fellow);
    facts.fellow_lost = next().then_some(truth.lost);
    facts
}

/// Eye difficulty by the published models, and by the whole list.
fn both_difficulties(facts: &Facts) -> [Interval; 2] {
    let weights = Weights::default().eye;
    [false, true].map(|whole| {
        difficulty(&BUILT.library.models, &taken(&BUILT, facts, whole), weights, facts, &BUILT.vocabulary).1
    })
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
        for ((less, further), whole) in both_difficulties(&less).into_iter().zip(both_difficulties(&further)).zip(both_difficulties(&whole)) {
            prop_assert!(holds(less, further), "{less:?} {further:?}");
            prop_assert!(holds(less, Interval::exact(whole.value)));
            prop_assert!(less.low <= less.value && less.value <= less.high);
        }
        for model in &BUILT.library.models.used {
            let eye = |facts: &Facts| together(model, &weigh_all(model, facts, &BUILT.vocabulary));
            prop_assert!(holds(eye(&less), eye(&further)), "{}", model.name);
            prop_assert!(holds(eye(&less), Interval::exact(eye(&whole).value)), "{}", model.name);
            let it = eye(&less);
            prop_assert!(it.low <= it.value && it.value <= it.high, "{}", model.name);
        }
    }

    /// The bounds of an eye of which all is recorded but one measure are those of the same eye with the measure at every
    /// value that it may have: no wider, and no narrower. An age is on record exactly or not at all. What the measure
    /// settles no finding moves, though it says the contrary.
    #[test]
    fn bounds_are_those_of_every_value_that_a_measure_may_have(truth in truth(), known in prop::collection::vec(any::<bool>(), FACTS), of in 0..4_u32, away in (1..300_u32, 1..300_u32)) {
        let (what, range, contrary) = (if of == 0 { Measured::Age } else { AXIAL }, of > 1, of == 3);
        // An eye of few findings: what is full already is moved by nothing. Its length lies near a limit.
        let near = [20.0, 20.5, 26.0, 27.0][away.0 as usize % 4] + (f64::from(away.1) - 150.0) / 200.0;
        let mut truth = truth;
        for (at, there) in truth.findings.iter_mut().enumerate() {
            *there &= at == away.1 as usize % FINDINGS.len();
        }
        (truth.lens, truth.grade, truth.fellow, truth.lost) = (0, 3.0, false, false);
        for (of, value) in &mut truth.measures {
            let plain = [(AXIAL, near), (PUPIL, 6.0), (CHAMBER, 3.0), (Measured::Ametropia, 1.0), (IOP, 15.0), (ENDOTHELIUM, 2500.0)];
            *value = plain.iter().find(|(it, _)| it == of).map_or(*value, |(_, plain)| *plain);
        }
        let named = ["long-eye", "very-short-eye"];
        let all = truth.all();
        let place = |name: &str| all.iter().position(|(it, _)| *it == name).expect("a finding");
        let mut on_record = vec![true; FACTS];
        for name in named {
            on_record[place(name)] = known[place(name)];
        }
        let mut open = recorded(&truth, &on_record);
        let at = truth.measure(what);
        let (low, high) = if range { (at - f64::from(away.0) / 400.0, at + f64::from(away.1) / 400.0) } else { (0.0, f64::INFINITY) };
        open.measures.remove(&what);
        if range {
            open.measures.insert(what, (low, high));
        }
        let leaves_open = |name: &str| if name == "long-eye" { low < 26.0 && high >= 26.0 } else { low < 20.5 && high >= 20.5 };
        if contrary {
            for name in named.into_iter().filter(|name| !leaves_open(name)) {
                let concept = BUILT.finding(name);
                open.absent.retain(|it| *it != concept);
                open.present.remove(&concept);
                if all[place(name)].1 {
                    open.absent.insert(concept);
                } else {
                    open.present.insert(concept);
                }
            }
        }
        // Every limit of the models, just below and just above it, and the ends.
        let limits: &[f64] = if what == AXIAL { &[20.0, 20.5, 26.0, 27.0] } else { &[16.0, 60.0, 69.0, 70.0, 79.0, 80.0, 89.0, 90.0] };
        let step = if what == AXIAL { 0.004 } else { 1.0 };
        let values = limits.iter().flat_map(|limit| [limit - step, *limit, limit + step]).chain([low, high.min(200.0)]);
        let fits = |name: &str, is: bool| !on_record[place(name)] || !leaves_open(name) || all[place(name)].1 == is;
        let may = |value: &f64| {
            let length = what != AXIAL || fits("long-eye", *value >= 26.0) && fits("very-short-eye", *value < 20.5);
            length && (low..=high).contains(value)
        };
        let mut expected = [(f64::INFINITY, f64::NEG_INFINITY); 2];
        for value in values.filter(may) {
            let mut exactly = open.clone();
            measure(&mut exactly, what, value);
            for (bounds, found) in expected.iter_mut().zip(both_difficulties(&exactly)) {
                *bounds = (bounds.0.min(found.low), bounds.1.max(found.high));
            }
        }
        for (found, (low, high)) in both_difficulties(&open).into_iter().zip(expected) {
            prop_assert!((found.low - low).abs() < 1e-9 && (found.high - high).abs() < 1e-9, "{found:?}, not {low} to {high}");
        }
    }

    /// A finding whose ratio is above 1, or whose points are above 0, never lowers what comes out.
    #[test]
    fn a_finding_never_lowers_what_it_should_raise(truth in truth(), known in prop::collection::vec(any::<bool>(), FACTS), at in 0..FINDINGS.len()) {
        let mut known = known;
        known[at] = true;
        let (mut without, mut with) = (truth.clone(), truth);
        without.findings[at] = false;
        with.findings[at] = true;
        let (without, with) = (recorded(&without, &known), recorded(&with, &known));
        never_lower(&without, &with)?;
    }

    /// A nucleus of a higher grade never comes out lower, whatever else is recorded of the lens.
    #[test]
    fn a_denser_nucleus_never_lowers(truth in truth(), known in prop::collection::vec(any::<bool>(), FACTS), steps in 1..10_u32) {
        let mut known = known;
        known[FACTS - 5] = true;
        let (mut softer, mut denser) = (truth.clone(), truth);
        (softer.lens, denser.lens) = (0, 0);
        softer.grade = softer.grade.min(5.0);
        denser.grade = softer.grade + f64::from(steps) / 4.0;
        let (softer, denser) = (recorded(&softer, &known), recorded(&denser, &known));
        never_lower(&softer, &denser)?;
    }

    /// Facts have no order: what is recorded last counts as what is recorded first.
    #[test]
    fn the_order_of_facts_does_not_matter(truth in truth(), known in prop::collection::vec(any::<bool>(), FACTS), turn in any::<u64>()) {
        let straight = recorded(&truth, &known);
        let mut names: Vec<&str> = truth.all().into_iter().zip(&known).filter(|((_, there), known)| **known && *there).map(|((name, _), _)| name).collect();
        names.sort_by_key(|name| blake3::hash(format!("{turn}{name}").as_bytes()).to_hex().to_string());
        let mut other = straight.clone();
        other.present.clear();
        if known[FACTS - 5] {
            names.push("nuclear-sclerosis");
        }
        for name in names {
            other.present.extend(BUILT.vocabulary.upwards(BUILT.finding(name)));
        }
        prop_assert_eq!(both_difficulties(&straight), both_difficulties(&other));
    }
}

/// Neither a model nor eye difficulty says less of the second eye than of the first, at either end or between.
fn never_lower(first: &Facts, second: &Facts) -> Result<(), TestCaseError> {
    let up = |first: Interval, second: Interval| {
        first.low <= second.low + 1e-9 && first.value <= second.value + 1e-9 && first.high <= second.high + 1e-9
    };
    for (first, second) in both_difficulties(first).into_iter().zip(both_difficulties(second)) {
        prop_assert!(up(first, second), "{first:?} {second:?}");
    }
    for model in &BUILT.library.models.used {
        let eye = |facts: &Facts| together(model, &weigh_all(model, facts, &BUILT.vocabulary));
        prop_assert!(up(eye(first), eye(second)), "{}", model.name);
    }
    Ok(())
}

/// The surgeon is no part of an eye, whatever the grade.
#[test]
fn the_surgeon_never_changes_the_eye() {
    let prepared = prepare(&demo());
    let corpus = &prepared.checked.corpus;
    for cleared in corpus.cases() {
        let mut facts = Facts::of(&cleared.case(), corpus.vocabulary());
        for model in &corpus.library().models.used {
            let mut seen = Vec::new();
            for grade in 0..6 {
                facts.operator = Some(grade);
                seen.push(reckon(model, &cleared.case(), &facts, corpus.vocabulary()));
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
    let donor = &corpus.cases()[corpus.find("the-quiet-fourth-day").expect("a case")].case();
    for cleared in corpus.cases() {
        let of = |case: &_| of_case(case, corpus.library(), corpus.vocabulary());
        let before = of(&cleared.case());
        let mut case = (*cleared.case()).clone();
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
        let case = &corpus.cases()[corpus.find(case).expect("a case")].case();
        let at = corpus.library().models.used.iter().position(|it| it.name == model).expect("a model");
        of_case(case, corpus.library(), corpus.vocabulary()).models.open()[at].barred.clone()
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
    let mut ranks: Vec<usize> = analysis.standings.iter().map(|it| it.rank).collect();
    ranks.sort_unstable();
    assert_eq!(ranks, (1..=analysis.indices.len()).collect::<Vec<_>>());
    for it in &analysis.standings {
        assert!(it.low <= it.rank && it.rank <= it.high && it.high <= ranks.len(), "{it:?}");
    }
    assert_eq!(analysis.robustness.turned.len(), ranks.len() - 1);
    assert!(analysis.robustness.turned.iter().all(|(_, _, turned)| *turned <= analysis.robustness.draws));
    let mut reading = analysis.reading.clone();
    reading.sort_unstable();
    assert_eq!(reading, (0..ranks.len()).collect::<Vec<_>>());
}
