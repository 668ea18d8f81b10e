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
        let draft = drafted(&gold.file);
        sum.add(score(&gold, &draft, vocabulary));
        wrong.extend(contradictions(&gold, &draft, vocabulary));
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

/// What is asked of a set that was held back while building. `tests/narrations/README.md` holds the figures of the first time each
/// was scored; here they only may not rot.
fn meets_the_bars(set: &str, title: &str) {
    let (sum, wrong) = scored(set, title);
    assert!(wrong.is_empty(), "{wrong:?}");
    assert!(sum.grave.is_empty(), "{:?}", sum.grave);
    let (quantities, concepts) = (sum.of("quantities"), sum.concepts());
    assert!(quantities.recall() >= 0.95 && quantities.precision() >= 0.95, "{quantities:?}");
    assert!(concepts.recall() >= 0.90 && concepts.precision() >= 0.90, "{concepts:?}");
    let steps = sum.of("complications in their step");
    assert!(steps.recall() >= 0.85 && steps.precision() >= 0.85, "{steps:?}");
}

#[test]
fn the_third_set_was_held_back() {
    meets_the_bars("third", "Third set: six narrations that were held back until the mending was done");
}

#[test]
fn the_fourth_set_was_held_back() {
    meets_the_bars("fourth", "Fourth set: eight narrations by somebody who had not read the program");
}

#[test]
fn the_fifth_set_was_held_back() {
    meets_the_bars("fifth", "Fifth set: ten narrations by somebody who had not read the program, nor its sayings");
}

#[test]
fn the_sixth_set_was_held_back() {
    meets_the_bars("sixth", "Sixth set: twelve narrations by another who had not read the program");
}

/// What a set may not fall below that does not meet the bars: recall and precision of concepts, recall of quantities, and how
/// many grave mistakes are known. Less than was reached when it was last mended with is a step back, and more is left to do.
fn falls_no_lower(set: &str, title: &str, (recall, precision, quantities): (f64, f64, f64), grave: usize) {
    let (sum, _) = scored(set, title);
    let concepts = sum.concepts();
    assert!(concepts.recall() >= recall && concepts.precision() >= precision, "{concepts:?}");
    assert!(sum.of("quantities").recall() >= quantities, "{:?}", sum.of("quantities"));
    assert!(sum.grave.len() <= grave, "{:?}", sum.grave);
}

#[test]
fn the_seventh_set_falls_no_lower() {
    let title = "Seventh set: five narrations by yet another who had not read the program";
    falls_no_lower("seventh", title, (0.95, 0.95, 0.95), 0);
}

#[test]
fn the_eighth_set_falls_no_lower() {
    let title = "Eighth set: twelve narrations of the plainest kind, by another who had not read the program";
    falls_no_lower("eighth", title, (0.92, 0.95, 0.92), 0);
}

#[test]
fn the_ninth_set_falls_no_lower() {
    let title = "Ninth set: twelve narrations of less usual operations, by another who had not read the program";
    falls_no_lower("ninth", title, (0.84, 0.95, 0.82), 7);
}

#[test]
fn the_tenth_set_falls_no_lower() {
    let title = "Tenth set: ten narrations of a department's usual trouble, by another who had not read the program";
    falls_no_lower("tenth", title, (0.83, 0.95, 0.82), 0);
}

#[test]
fn the_eleventh_set_falls_no_lower() {
    let title = "Eleventh set: twelve narrations by twelve speakers, in words as far from terms as speech can be";
    falls_no_lower("eleventh", title, (0.71, 0.95, 0.73), 2);
}

#[test]
fn the_twelfth_set_falls_no_lower() {
    let title = "Twelfth set: twelve narrations in the trade's own words, by somebody who had not seen the vocabulary";
    falls_no_lower("twelfth", title, (0.74, 0.94, 0.74), 7);
}
