//! What is never repaired and never guessed: sides, negations, numbers and units, drugs, powers, clock hours.

use super::drafter;
use casewright::draft::{Draft, Drafter};
use casewright::model::narration::{Cue, Narration};
use casewright::text::{FileId, Span};

/// A draft of these sentences, one a cue, with silence between.
pub(super) fn of(sentences: &[&str]) -> Draft {
    let mut from = 0.0;
    let cues = sentences
        .iter()
        .map(|words| {
            from += 10.0;
            Cue { from, to: Some(from + 5.0), words: (*words).to_owned(), span: Span::new(FileId(0), 0, 0) }
        })
        .collect();
    drafter().draft(&Narration { cues }, false)
}

pub(super) fn value<'d>(draft: &'d Draft, place: &str) -> Option<&'d str> {
    draft.entries.iter().find(|entry| entry.place == place).map(|entry| entry.value.as_str())
}

pub(super) fn has(draft: &Draft, value: &str) -> bool {
    draft.entries.iter().any(|entry| entry.value == value)
}

/// Steps that let the narration be one of an operation.
pub(super) const STEPS: &[&str] =
    &["side port at two o'clock", "then the rhexis and hydrodissection", "phaco chop of the nucleus"];

pub(super) fn with(more: &[&str]) -> Draft {
    let all: Vec<&str> = STEPS.iter().chain(more).copied().collect();
    of(&all)
}

#[test]
fn a_side_is_taken_as_said_or_not_at_all() {
    assert_eq!(value(&of(&["this is a left eye"]), "eye"), Some("left"));
    for words in ["so write eye", "a rite eye", "so this eye", "right so we begin with the eye"] {
        assert_eq!(value(&of(&[words]), "eye"), None, "{words}");
    }
    // Two sides: neither is taken, and both are asked about.
    let both = of(&["this is a left eye", "as you see in this right eye"]);
    assert_eq!(value(&both, "eye"), None);
    assert!(both.asks.iter().any(|ask| ask.what.contains("both sides")), "{:?}", both.asks);
    assert_eq!(
        value(&of(&["this is a left eye", "the other eye a right eye was done last year"]), "eye"),
        Some("left")
    );
}

#[test]
fn what_did_not_happen_is_not_told() {
    for (words, not) in [
        ("i did not do an anterior vitrectomy", "anterior vitrectomy"),
        ("no anterior vitrectomy was needed", "anterior vitrectomy"),
        ("usually we would polish the capsule", "capsule polishing"),
        ("should i have done an anterior vitrectomy", "anterior vitrectomy"),
        ("there is no vitreous in the wound", "vitreous to the wound"),
        ("i was afraid of a suprachoroidal haemorrhage", "suprachoroidal haemorrhage"),
        ("never start an anterior vitrectomy without help", "anterior vitrectomy"),
        ("the other eye had a posterior capsule rupture", "posterior capsule rupture"),
        ("without any posterior capsule rupture or vitreous loss", "vitreous loss"),
        ("the anterior vitrectomy was not needed", "anterior vitrectomy"),
        ("an anterior vitrectomy no i did not do that", "anterior vitrectomy"),
    ] {
        assert!(!has(&with(&[words]), not), "{words}: {}", with(&[words]).text);
    }
    assert!(has(&with(&["we did an anterior vitrectomy"]), "anterior vitrectomy"));
    let findings = of(&["no diabetes, no pseudoexfoliation", "he has glaucoma", STEPS[0]]);
    assert_eq!(value(&findings, "absent/1"), Some("diabetes mellitus"));
    assert_eq!(value(&findings, "absent/2"), Some("pseudoexfoliation"));
    assert_eq!(value(&findings, "findings/1"), Some("glaucoma"));
}

#[test]
fn a_drug_that_was_misheard_is_quoted_and_asked_back() {
    for heard in ["sephuroxime", "cefuroxine", "moxyfloxacine"] {
        let draft = with(&[&format!("{heard} one milligram into the chamber")]);
        assert!(!draft.entries.iter().any(|entry| entry.place.contains("substance")), "{heard}: {}", draft.text);
        let asked = draft.asks.iter().any(|ask| ask.heard.as_deref().is_some_and(|words| words.contains(heard)));
        assert!(asked, "{heard}: {:?}", draft.asks);
    }
    // The letters are all there, parted: that is no guess.
    let parted = with(&["moxi floxacin half a milligram into the chamber"]);
    assert!(has(&parted, "moxifloxacin") && has(&parted, "0.5 mg"), "{}", parted.text);
}

#[test]
fn a_number_needs_its_unit_and_is_never_mended() {
    let bare = with(&["a one piece acrylic lens twenty one point five in the bag"]);
    assert_eq!(value(&bare, "operation/lens/power"), None, "{}", bare.text);
    assert!(bare.asks.iter().any(|ask| ask.what.contains("power")), "{:?}", bare.asks);
    let whole = with(&["a one piece acrylic lens twenty one point five dioptres in the bag"]);
    assert_eq!(value(&whole, "operation/lens/power"), Some("21.5 D"));
    for (words, place) in [
        ("vacuum three hundred", "operation/steps/s4/settings/vacuum"),
        ("the wound is too point two millimetres", "operation/incision/width"),
        ("an acrylic lens fort eight dioptres in the bag", "operation/lens/power"),
        ("an acrylic lens twenty won point five dioptres in the bag", "operation/lens/power"),
        ("my wound is at to a clock", "operation/incision/at"),
        ("side port at ate o'clock", "operation/ports/2"),
    ] {
        assert_eq!(value(&with(&[words]), place), None, "{words}: {}", with(&[words]).text);
    }
    let after = with(&["the next day pressure fort eight and six by fort"]);
    assert_eq!(
        (value(&after, "outcomes/1/after"), value(&after, "outcomes/1/iop")),
        (Some("1 day"), None),
        "{}",
        after.text
    );
    let torn = with(&["a zonular dialysis of for clock hours"]);
    assert!(has(&torn, "zonular dialysis") && value(&torn, "complications/1/extent").is_none(), "{}", torn.text);
}

#[test]
fn what_may_identify_a_person_is_named_and_not_quoted() {
    let draft = of(&["This is Mr. Pellow's left eye, he is seventy-nine", STEPS[0], "Never hurry Mr. Pellow along"]);
    assert!(!draft.text.contains("Pellow"), "{}", draft.text);
    assert!(draft.identifying.iter().any(|it| it.rule == "personal-name"), "{:?}", draft.identifying);
    let spoken = of(&[
        "so um this is mister pellow's left eye and missus grimthwaite waits outside never hurry mister pellow along",
    ]);
    assert!(!spoken.text.contains("pellow") && !spoken.text.contains("grimthwaite"), "{}", spoken.text);
    assert!(spoken.identifying.len() == 1, "one cue, one rule: {:?}", spoken.identifying);
    let old = of(&["This is a left eye, she is ninety-four years old"]);
    assert_eq!(value(&old, "patient/age"), Some("90+"));
}

#[test]
fn a_mishearing_keeps_what_was_heard_and_can_be_learnt() {
    let draft = with(&["fake oh mulsification of the rest"]);
    let repair = draft.repairs.iter().find(|it| it.concept == "phacoemulsification").expect("a repair");
    assert_eq!((repair.heard.as_str(), repair.kind), ("fake oh mulsification", "technique"));
    let learnt = "kind: technique\nconcepts:\n  - {name: phacoemulsification, misheard: [the lawnmower]}\n";
    let drug = "kind: material\nconcepts:\n  - {name: cefuroxime, misheard: [the sapphire]}\n";
    let files = crate::support::library().with("vocabulary/t.yaml", learnt).with("vocabulary/m.yaml", drug);
    let (vocabulary, said) = casewright::pipeline::vocabulary(&casewright::discover::discover(&files).expect("opens"));
    assert!(said.is_empty(), "{said:?}");
    let cue =
        |from: f64, words: &str| Cue { from, to: None, words: words.to_owned(), span: Span::new(FileId(0), 0, 0) };
    let narration = Narration {
        cues: vec![cue(0.0, "side port"), cue(9.0, "the lawnmower"), cue(20.0, "the sapphire one milligram")],
    };
    let draft = Drafter::new(&vocabulary).draft(&narration, false);
    assert!(has(&draft, "phacoemulsification"), "{}", draft.text);
    assert!(!has(&draft, "cefuroxime"), "a drug is not learnt either: {}", draft.text);
}
