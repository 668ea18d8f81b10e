//! The same 10,000 random eyes as `tests/oracles/indices.py`, which reckons them in another language from the published
//! tables alone. The table holds a hash over each hundred of them.

use super::{AXIAL, Built, CHAMBER, PUPIL, measure};
use casewright::analyse::indices::{Facts, probability, together, weigh_all};
use casewright::model::measure::Sex;
use casewright::model::risk::{Measured, Scale};

const NAMES: [&str; 33] = [
    "glaucoma",
    "diabetic-retinopathy",
    "dense-cataract",
    "white-cataract",
    "brunescent-cataract",
    "no-fundal-view",
    "vitreous-opacities",
    "pseudoexfoliation",
    "phacodonesis",
    "large-pupil",
    "medium-pupil",
    "small-pupil",
    "doxazosin-use",
    "alpha-antagonist-use",
    "cannot-lie-flat",
    "previous-vitrectomy",
    "corneal-scar",
    "corneal-oedema-before-surgery",
    "high-ametropia",
    "high-myopia",
    "high-hypermetropia",
    "long-eye",
    "posterior-capsule-plaque",
    "posterior-polar-cataract",
    "surgeon-assessed-risk",
    "severe-anxiety",
    "head-tremor",
    "previous-angle-closure",
    "fellow-eye-complication",
    "shallow-anterior-chamber",
    "posterior-synechiae",
    "zonular-weakness",
    "only-eye",
];

/// SplitMix64. Source: Steele, Lea, Flood, OOPSLA 2014.
struct Draw(u64);

impl Draw {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        bits ^ (bits >> 31)
    }

    fn state(&mut self) -> Option<bool> {
        [None, Some(false), Some(true)][(self.next() % 3) as usize]
    }
}

fn eye(built: &Built, number: u64) -> Facts {
    let mut draw = Draw(number);
    let mut facts = Facts::default();
    for name in NAMES {
        match draw.state() {
            Some(true) => facts.present.extend(built.vocabulary.upwards(built.finding(name))),
            Some(false) => drop(facts.absent.insert(built.finding(name))),
            None => {}
        }
    }
    let grade = (draw.next() % 13) as f64 / 2.0;
    if grade > 0.0 {
        facts.grades.insert(built.finding("nuclear-sclerosis"), (grade, grade));
    }
    let measures: [(Measured, u64, u64, f64); 5] = [
        (Measured::Age, 1, 94, 1.0),
        (AXIAL, 1800, 1400, 0.01),
        (PUPIL, 15, 75, 0.1),
        (CHAMBER, 15, 30, 0.1),
        (Measured::Ametropia, 0, 48, 0.25),
    ];
    for (what, least, steps, size) in measures {
        let bits = draw.next();
        if !bits.is_multiple_of(3) {
            let whole = (least + (bits / 3) % steps) as f64;
            measure(&mut facts, what, if what == Measured::Age { whole.min(90.0) } else { whole * size });
        }
    }
    facts.sex = draw.state().map(|male| if male { Sex::Male } else { Sex::Female });
    facts.fellow_complication = draw.state();
    facts.fellow_lost = draw.state();
    facts
}

#[test]
fn a_second_reckoning_agrees_on_ten_thousand_eyes() {
    let built = Built::new();
    let table = include_str!("../data/second-reckoning.csv");
    let Scale::Odds(baseline) = &built.model("narendran-2009").scale else { panic!("a model of odds") };
    let mut blocks = 0;
    for line in table.lines().skip(1) {
        let (block, expected) = line.split_once(',').expect("two cells");
        let block: u64 = block.parse().expect("a block");
        let mut digest = 0_u64;
        for number in block * 100..block * 100 + 100 {
            let facts = eye(&built, number);
            let of = |name: &str| {
                let model = built.model(name);
                together(model, &weigh_all(model, &facts, &built.vocabulary))
            };
            let points = ["muhtaseb-2004", "habib-2006", "nzcrs-2020"].map(of);
            let points = points.iter().flat_map(|it| [it.low, it.value, it.high]);
            let risk = of("narendran-2009").map(|product| (probability(product, baseline) * 1e6).round_ties_even());
            for value in points.chain([risk.low, risk.value, risk.high]) {
                digest = digest.wrapping_mul(31).wrapping_add(value as u64);
            }
        }
        assert_eq!(digest.to_string(), expected, "eyes {} to {}", block * 100, block * 100 + 99);
        blocks += 1;
    }
    assert_eq!(blocks, 100);
}
