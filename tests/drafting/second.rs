//! Narrations by others than the author of the grammar: a second set, which served to mend it, and a third, which nobody looked
//! at while building. What a draft calls certain there may contradict nothing that a listener writes down.

use super::gold::within;
use super::score::{Score, contradictions, score};
use super::{drafted, vocabulary};

/// Scores a set and shows its figures.
fn scored(set: &str, title: &str) -> (Score, Vec<String>) {
    let vocabulary = vocabulary();
    let (mut sum, mut wrong) = (Score::default(), Vec::new());
    for gold in within(set) {
        let draft = drafted(&gold.file, &vocabulary);
        sum.add(score(&gold, &draft, &vocabulary));
        wrong.extend(contradictions(&gold, &draft, &vocabulary));
    }
    println!("{}", sum.table(title));
    println!("{}\ncertain and contradicted: {wrong:#?}", sum.mistakes.join("\n"));
    (sum, wrong)
}

#[test]
fn the_second_set_contradicts_nothing_that_is_certain() {
    let (sum, wrong) = scored("second", "Second set: eleven narrations that were written to break the program");
    assert!(wrong.is_empty(), "{wrong:?}");
    assert!(sum.grave.is_empty(), "{:?}", sum.grave);
    let quantities = sum.of("quantities");
    assert!(
        quantities.recall() >= 0.8 && sum.concepts().recall() >= 0.8,
        "what is plain is still taken: {quantities:?}"
    );
}

/// The third set. `tests/narrations/README.md` holds the figures of the first time it was scored; here they only may not rot.
#[test]
fn the_third_set_was_held_back() {
    let (sum, wrong) = scored("third", "Third set: six narrations that were held back until the mending was done");
    assert!(wrong.is_empty(), "{wrong:?}");
    assert!(sum.grave.is_empty(), "{:?}", sum.grave);
    let (quantities, concepts) = (sum.of("quantities"), sum.concepts());
    assert!(quantities.recall() >= 0.95 && quantities.precision() >= 0.95, "{quantities:?}");
    assert!(concepts.recall() >= 0.90 && concepts.precision() >= 0.90, "{concepts:?}");
}

/// The fourth set, scored the first time before anybody who builds had looked at it: `tests/narrations/README.md` holds those
/// figures; here they only may not rot.
#[test]
fn the_fourth_set_was_held_back() {
    let (sum, wrong) = scored("fourth", "Fourth set: eight narrations by somebody who had not read the program");
    assert!(wrong.is_empty(), "{wrong:?}");
    assert!(sum.grave.is_empty(), "{:?}", sum.grave);
    let (quantities, concepts) = (sum.of("quantities"), sum.concepts());
    assert!(quantities.recall() >= 0.95 && quantities.precision() >= 0.95, "{quantities:?}");
    assert!(concepts.recall() >= 0.90 && concepts.precision() >= 0.90, "{concepts:?}");
    let steps = sum.of("complications in their step");
    assert!(steps.recall() >= 0.85 && steps.precision() >= 0.85, "{steps:?}");
}

/// The fifth set: `tests/narrations/README.md` holds the figures of the first time it was scored; here they only may not rot.
#[test]
fn the_fifth_set_was_held_back() {
    let (sum, wrong) =
        scored("fifth", "Fifth set: ten narrations by somebody who had not read the program, nor its sayings");
    assert!(wrong.is_empty(), "{wrong:?}");
    assert!(sum.grave.is_empty(), "{:?}", sum.grave);
    let (quantities, concepts) = (sum.of("quantities"), sum.concepts());
    assert!(quantities.recall() >= 0.95 && quantities.precision() >= 0.95, "{quantities:?}");
    assert!(concepts.recall() >= 0.90 && concepts.precision() >= 0.90, "{concepts:?}");
    let steps = sum.of("complications in their step");
    assert!(steps.recall() >= 0.85 && steps.precision() >= 0.85, "{steps:?}");
}

/// The sixth set: as the fifth, by another hand, after the mending with it.
#[test]
fn the_sixth_set_was_held_back() {
    let (sum, wrong) = scored("sixth", "Sixth set: twelve narrations by somebody who had not read the program");
    assert!(wrong.is_empty(), "{wrong:?}");
    assert!(sum.grave.is_empty(), "{:?}", sum.grave);
    let (quantities, concepts) = (sum.of("quantities"), sum.concepts());
    assert!(quantities.recall() >= 0.95 && quantities.precision() >= 0.95, "{quantities:?}");
    assert!(concepts.recall() >= 0.90 && concepts.precision() >= 0.90, "{concepts:?}");
    let steps = sum.of("complications in their step");
    assert!(steps.recall() >= 0.85 && steps.precision() >= 0.85, "{steps:?}");
}
