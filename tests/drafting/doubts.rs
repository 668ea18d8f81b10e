//! Values in doubt: corrected, limited, planned, of another eye, person or time, supposed or denied. None is written.
//!
//! Sentences are made of parts, so that every way to doubt meets every kind of value; many of the words are
//! also those of the program.

use super::never::{STEPS, has, of, value, with};
use casewright::draft::Draft;

/// What a narration may say of one thing: words with a value in them, the place of the value, and two values for it.
struct Said {
    words: &'static str,
    place: &'static str,
    values: [(&'static str, &'static str); 2],
}

/// Sentences that each give one value; each is checked to be taken when it is said plainly.
const PLAIN: &[Said] = &[
    Said {
        words: "she is {} years old",
        place: "patient/age",
        values: [("sixty eight", "68"), ("seventy eight", "78")],
    },
    Said {
        words: "the pressure was {}",
        place: "before/1/iop",
        values: [("thirty", "30 mmHg"), ("thirteen", "13 mmHg")],
    },
    Said {
        words: "axial length {} millimetres",
        place: "before/1/axial length",
        values: [("twenty two point five", "22.5 mm"), ("twenty three point five", "23.5 mm")],
    },
    Said {
        words: "the pupil is {} millimetres",
        place: "before/1/pupil",
        values: [("five", "5 mm"), ("seven", "7 mm")],
    },
    Said {
        words: "clear corneal wound at {} o'clock",
        place: "operation/incision/at",
        values: [("ten", "10 o'clock"), ("eleven", "11 o'clock")],
    },
    Said {
        words: "clear corneal wound {} millimetres wide",
        place: "operation/incision/width",
        values: [("two point two", "2.2 mm"), ("two point four", "2.4 mm")],
    },
    Said {
        words: "a one piece lens of {} dioptres into the bag",
        place: "operation/lens/power",
        values: [("twenty one", "21 D"), ("twenty two and a half", "22.5 D")],
    },
    Said {
        words: "vacuum {} millimetres of mercury",
        place: "operation/steps/s4/settings/vacuum",
        values: [("four hundred", "400 mmHg"), ("a hundred and fifty", "150 mmHg")],
    },
    Said {
        words: "cefuroxime {} milligrams into the chamber",
        place: "operation/steps/s5/gives/1/dose",
        values: [("one point five", "1.5 mg"), ("ten", "10 mg")],
    },
    Said {
        words: "moxifloxacin {} micrograms into the chamber",
        place: "operation/steps/s5/gives/1/dose",
        values: [("a hundred and fifty", "150 ug"), ("two hundred and fifty", "250 ug")],
    },
];

/// The draft of one sentence: before the steps or behind them, as its place asks.
fn told(said: &Said, words: &str) -> Draft {
    let early = said.place.starts_with("patient") || said.place.starts_with("before");
    if early { of(&[words, STEPS[0], STEPS[1], STEPS[2]]) } else { with(&[words]) }
}

#[test]
fn what_is_said_plainly_is_taken() {
    for said in PLAIN {
        for (spoken, written) in said.values {
            let draft = told(said, &said.words.replace("{}", spoken));
            assert_eq!(value(&draft, said.place), Some(written), "{} {spoken}\n{}", said.words, draft.text);
        }
    }
}

/// Ways to take one value back for another; the last ones stand in no list of the program.
const CORRECTIONS: &[&str] = &[
    "no",
    "sorry",
    "no sorry",
    "no wait",
    "wait",
    "i mean",
    "no i mean",
    "make that",
    "or rather",
    "correction",
    "i am lying",
    "scratch that",
    "not",
    "or",
    "maybe",
    "nonsense",
    "bother",
    "try again",
    "let me look",
    "says the other sheet",
];

/// A sentence, its value once and then, behind a correction, another one.
fn corrected(said: &Said, way: &str, first: usize, again: bool, comma: bool) -> String {
    let (before, behind) = said.words.split_once("{}").expect("a gap");
    let (one, other) = (said.values[first].0, said.values[1 - first].0);
    let (stop, unit) = (if comma { "," } else { "" }, behind.split(' ').nth(1).unwrap_or(""));
    let unit = if again && ["millimetres", "dioptres", "milligrams", "micrograms", "o'clock", "years"].contains(&unit) {
        let more = if behind.starts_with(" millimetres of mercury") { " of mercury" } else { "" };
        let more = if unit == "years" { " old" } else { more };
        format!(" {unit}{more}")
    } else {
        String::new()
    };
    format!("{before}{one}{unit}{stop} {way}{stop} {other}{behind}")
}

#[test]
fn of_two_values_for_one_thing_none_is_taken() {
    for said in PLAIN {
        for (number, way) in CORRECTIONS.iter().enumerate() {
            // Which value comes first, whether its unit is said, and commas: three of the eight ways, others for each words.
            for case in [number % 8, (number + 3) % 8, (number + 6) % 8] {
                let words = corrected(said, way, case & 1, case & 2 != 0, case & 4 != 0);
                // A range of what is measured is one value, and so is written.
                let draft = told(said, &words);
                let found = value(&draft, said.place).filter(|found| !found.contains(" to "));
                assert_eq!(found, None, "{words}\n{}", draft.text);
                let quoted = draft.asks.iter().filter_map(|ask| ask.heard.as_deref()).collect::<Vec<_>>().join(" | ");
                let last = |spoken: &str| spoken.rsplit(' ').next().unwrap_or_default().to_owned();
                let asked = said.values.iter().any(|(spoken, _)| quoted.contains(&last(spoken)))
                    || value(&draft, said.place).is_some();
                assert!(asked, "{words} is asked back: {quoted}");
            }
        }
        // Said in two sentences, with whatever between them.
        let [one, other] = said.values.map(|(spoken, _)| said.words.replace("{}", spoken));
        let early = said.place.starts_with("patient") || said.place.starts_with("before");
        let draft = if early { of(&[&one, &other, STEPS[0], STEPS[1], STEPS[2]]) } else { with(&[&one, &other]) };
        assert_eq!(value(&draft, said.place), None, "{one} | {other}\n{}", draft.text);
    }
}

#[test]
fn limits_estimates_and_ranges_are_no_exact_values() {
    const LIMITS: &[&str] = &[
        "nearly",
        "almost",
        "not more than",
        "up to",
        "at most",
        "at least",
        "less than",
        "maybe",
        "i think",
        "not",
        "over",
    ];
    for said in PLAIN {
        let (spoken, written) = said.values[0];
        for limit in LIMITS {
            let words = said.words.replace("{}", &format!("{limit} {spoken}"));
            assert_eq!(value(&told(said, &words), said.place), None, "{words}");
        }
        let words = said.words.replace("{}", &format!("about {spoken}"));
        let draft = told(said, &words);
        let about = value(&draft, said.place);
        assert!(about.is_none_or(|text| text == format!("about {written}")), "{words}: {about:?}");
        for joint in ["to", "or"] {
            let [(one, low), (other, high)] = said.values;
            let words = said.words.replace("{}", &format!("{one} {joint} {other}"));
            let draft = told(said, &words);
            let number = |text: &str| text.split(' ').next().unwrap_or_default().to_owned();
            let range = format!("{} to {high}", number(low));
            let found = value(&draft, said.place);
            assert!(found.is_none_or(|found| found == range), "{words}: {found:?}");
            let exact = ["dose", "power", "age", "at"].iter().any(|name| said.place.ends_with(name));
            assert!(!exact || found.is_none(), "{words}: of what was given there is one amount: {found:?}");
        }
    }
}

#[test]
fn half_a_number_is_never_taken() {
    for said in PLAIN.iter().filter(|said| said.place != "patient/age") {
        let (spoken, _) = said.values[0];
        for before in
            ["hundred and", "a couple of hundred and", "thousand", "twenty", "ninety nine", "point", "oh", "million"]
        {
            let words = said.words.replace("{}", &format!("{before} {spoken}"));
            let found = told(said, &words);
            let found = value(&found, said.place).map(str::to_owned);
            assert_ne!(found.as_deref(), Some(said.values[0].1), "{words}");
        }
        for behind in ["hundred", "thousand", "point", "million", "oh five"] {
            let words = said.words.replace("{}", &format!("{spoken} {behind}"));
            let found = told(said, &words);
            let found = value(&found, said.place).map(str::to_owned);
            assert_ne!(found.as_deref(), Some(said.values[0].1), "{words}");
        }
    }
}

#[test]
fn what_is_planned_usual_or_of_another_is_not_taken() {
    const FRAMES: &[&str] = &[
        "the plan was {}",
        "i would usually have {}",
        "normally {}",
        "if it were {}",
        "the other eye had {}",
        "in the last case {}",
        "ten years ago {}",
        "in most patients {}",
    ];
    for said in PLAIN.iter().filter(|said| said.place != "patient/age") {
        for frame in FRAMES {
            let words = frame.replace("{}", &said.words.replace("{}", said.values[0].0));
            let draft = told(said, &words);
            assert_eq!(value(&draft, said.place), None, "{words}\n{}", draft.text);
        }
    }
}

#[test]
fn a_side_is_blank_where_anything_speaks_against_it() {
    for (side, other) in [("left", "right"), ("right", "left")] {
        for words in [
            vec![format!("his {side} eye was done two years ago")],
            vec![format!("this is not the {side} eye")],
            vec![format!("it's his {side} eye, sorry, the {other}")],
            vec![format!("this is a {side} eye"), format!("no, the {other} one")],
            vec![format!("is it the {side} eye?")],
            vec![format!("if this were the {side} eye")],
            vec![format!("she has had surgery on the {side} eye")],
            vec![format!("the {side} eye or the {other} eye")],
            vec![format!("in the {side} eye she sees well"), format!("this is a {other} eye")],
            vec![format!("{side}, eye draped")],
            vec![format!("my {side} hand holds the chopper")],
        ] {
            let lines: Vec<&str> = words.iter().map(String::as_str).chain(STEPS.iter().copied()).collect();
            let draft = of(&lines);
            assert_eq!(value(&draft, "eye"), None, "{words:?}");
        }
        for words in [
            format!("this is a {side} eye"),
            format!("{side} eye of a woman of eighty"),
            format!("so a {side} eye, seventy"),
        ] {
            assert_eq!(value(&of(&[&words, STEPS[0]]), "eye"), Some(side), "{words}");
        }
    }
}

/// Something that went wrong, as a noun and as a sentence.
const TROUBLES: &[(&str, &str, &str)] = &[
    ("posterior capsule rupture", "posterior capsule rupture", "the capsule has gone"),
    ("vitreous loss", "vitreous loss", "vitreous came"),
    ("iris prolapse", "iris prolapse", "the iris came out"),
    ("wound burn", "wound burn", "the wound is burned"),
    ("dropped nucleus", "dropped nucleus", "the nucleus has dropped"),
];

#[test]
fn a_complication_is_one_only_if_it_happened_here() {
    const NOUNS: &[&str] = &[
        "i was afraid of a {}",
        "i feared a {} there was none",
        "to prevent a {} i went slowly",
        "imagine a {} at this point",
        "suppose you have a {} now",
        "in case of a {} we stop",
        "my trainee once had a {}",
        "in the last case there was a {}",
        "in two per cent of patients you get a {}",
        "the patient in the next bed had a {}",
        "this looks like a {} but it's only a fold",
        "far from a {}",
        "it is the opposite of a {}",
        "false alarm, {}, it was the light",
        "there is hardly any {} in such cases",
        "{} it was not",
        "there was almost a {}",
        "a {} would be a disaster",
        "i thought it was a {}",
        "the other eye had a {}",
        "was that a {}?",
        "without a {} the day goes well",
        "you can have a {} here",
        "had there been a {} i would have stopped",
        "a {}? No.",
        "never a {} in twenty years",
    ];
    for (concept, noun, sentence) in TROUBLES {
        for frame in NOUNS {
            let words = frame.replace("{}", noun);
            let draft = with(&[&words]);
            assert!(!has(&draft, concept), "{words}\n{}", draft.text);
        }
        for frame in ["if {}", "suppose {}", "imagine {}", "i thought {}", "in the last case {}", "you stop when {}"] {
            let words = frame.replace("{}", sentence);
            assert!(!has(&with(&[&words]), concept), "{words}");
        }
        for words in [(*sentence).to_owned(), format!("there is a {noun}"), format!("and now we have a {noun}")] {
            let draft = with(&[&words]);
            let is = draft.entries.iter().find(|entry| entry.place == "complications/1/is");
            assert!(is.is_some_and(|entry| entry.value == *concept), "{words}\n{}", draft.text);
            let title = value(&draft, "title").unwrap_or_default().to_lowercase();
            assert!(!title.contains(concept), "{title}");
        }
    }
}

#[test]
fn a_denial_is_of_the_finding_itself_or_of_nothing() {
    const FINDINGS: &[&str] = &["glaucoma", "pseudoexfoliation", "diabetes", "phacodonesis"];
    for finding in FINDINGS {
        for frame in
            ["no {}", "there is no {}", "she has no {}", "no sign of {}", "he does not have {}", "there isn't any {}"]
        {
            let words = frame.replace("{}", finding);
            let draft = of(&[&words, STEPS[0]]);
            assert!(
                value(&draft, "absent/1").is_some() && value(&draft, "findings/1").is_none(),
                "{words}\n{}",
                draft.text
            );
        }
        for frame in [
            "no doubt about the {}",
            "no change in her {}",
            "no treatment for his {}",
            "no longer troubled by {}",
            "not only {} but more",
            "i have never seen such a {}",
            "never without {}",
            "there is not a patient without {}",
        ] {
            let words = frame.replace("{}", finding);
            let draft = of(&[&words, STEPS[0]]);
            assert_eq!(value(&draft, "absent/1"), None, "{words}\n{}", draft.text);
        }
        let other = of(&[&format!("her mother had {finding}"), &format!("most patients have {finding}"), STEPS[0]]);
        assert_eq!((value(&other, "findings/1"), value(&other, "absent/1")), (None, None), "{}", other.text);
    }
}

#[test]
fn a_step_that_was_left_out_is_no_step() {
    for frame in [
        "i skipped {}",
        "{} was left out",
        "i refrained from {}",
        "nobody does {} and neither did i",
        "we did without {}",
        "i would do {}",
        "{}? not today",
        "no need for {}",
        "i forgot {}",
        "{} was not needed",
        "{} i left out",
        "i omitted {}",
        "no {}",
        "i didn't do {}",
        "{} is unnecessary",
        "{}, no.",
    ] {
        for (step, words) in
            [("anterior vitrectomy", "anterior vitrectomy"), ("capsule polishing", "polish the capsule")]
        {
            let words = frame.replace("{}", words);
            let draft = with(&[&words]);
            assert!(
                !draft.entries.iter().any(|it| it.place.ends_with("/do") && it.value == step),
                "{words}\n{}",
                draft.text
            );
        }
    }
}

#[test]
fn hesitations_and_everyday_words_are_no_terms() {
    for words in [
        "erm where was i",
        "um err hmm uh",
        "that was a difficult decision",
        "the anaesthetist left the room",
        "we made an important decision about the optician",
        "we discussed the session at the station with the visitors",
        "the infection committee met",
        "an illusion of precision and a sensation of tension",
    ] {
        let draft = with(&[words]);
        let plain = with(&[]);
        assert_eq!(draft.entries.len(), plain.entries.len(), "{words}\n{}", draft.text);
    }
    let early = of(&["a left eye erm seventy", STEPS[0]]);
    assert_eq!(value(&early, "findings/1"), None, "{}", early.text);
}

#[test]
fn the_narrators_own_answer_waits_for_review_by_itself() {
    let draft = with(&["what would you do now?", "I came out slowly and filled the chamber first"]);
    let answer = value(&draft, "decisions/question-1/options/1").unwrap_or_default();
    assert!(answer.starts_with("I came out slowly"), "{}", draft.text);
    assert!(draft.text.contains("decisions/question-1/options/1:"), "{}", draft.text);
}

#[test]
fn figures_of_another_eye_person_or_moment_are_not_taken() {
    let sight = of(&["this is a left eye", "the pressure on the right was forty", STEPS[0]]);
    assert_eq!(value(&sight, "before/1/iop"), None, "{}", sight.text);
    let sister = of(&["this is a left eye", "her sister's was a brunescent cataract", STEPS[0]]);
    assert_eq!(value(&sister, "findings/1"), None, "{}", sister.text);
    let course = with(&["vacuum up from three hundred to four hundred millimetres of mercury"]);
    assert_eq!(value(&course, "operation/steps/s4/settings/vacuum"), None, "{}", course.text);
    let stitches = with(&["one stitch, ten oh nylon, well, two"]);
    assert_eq!(value(&stitches, "operation/incision/sutures"), None, "{}", stitches.text);
    for words in ["vitreous loss has never been a problem for me", "a posterior capsule rupture is what we all fear"] {
        let draft = with(&[words]);
        assert_eq!(value(&draft, "complications/1/is"), None, "{words}\n{}", draft.text);
    }
}
