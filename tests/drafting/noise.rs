//! Noise that nobody here wrote: narrations that a synthesiser spoke and a recogniser heard (`tests/narrations/hear.py`).
//!
//! The recogniser knows none of the words of the trade, so the figures are what they are. Two things hold all the same: what is
//! drafted rests on what was heard, and no side, dose or negation is wrong.

use super::gold::all;
use super::score::{Score, score};
use super::{drafter, narration, vocabulary};
use crate::support::root;

/// Every narration that was heard, with its score; `cargo test what_a_recogniser_hears -- --nocapture` shows the figures.
#[test]
fn what_a_recogniser_hears_gives_no_wrong_side_dose_or_negation() {
    let vocabulary = vocabulary();
    let mut sum = Score::default();
    let mut heard = 0;
    for gold in all() {
        let file = format!("heard/{}.txt", gold.name);
        if !root().join("tests/narrations").join(&file).exists() {
            continue;
        }
        heard += 1;
        sum.add(score(&gold, &drafter().draft(&narration(&file), false), vocabulary));
    }
    println!("{}", sum.table(&format!("Heard by a recogniser: {heard} narrations")));
    assert!(heard >= 4, "some narrations were heard: {heard}");
    assert!(sum.concepts().right > 0, "something of them is understood");
    assert!(sum.grave.is_empty(), "{:?}", sum.grave);
}
