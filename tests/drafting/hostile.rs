//! Malformed and hostile files: each gives diagnostics or a draft, none a panic, and long ones stay in proportion.

use super::drafter;
use casewright::discover::lone_text;
use casewright::model::inputs::Inputs;
use casewright::parse;
use std::fmt::Write as _;

/// What is said about these bytes: names of rules, and how many cues were read.
fn read(bytes: &[u8]) -> (Vec<&'static str>, usize) {
    let mut inputs = Inputs::default();
    let Some(id) = lone_text("talk.srt", bytes.to_vec(), &mut inputs) else {
        return (inputs.diagnostics.iter().map(|it| it.rule.name).collect(), 0);
    };
    let (narration, said) = parse::narration(inputs.sources.get(id).expect("the source"));
    let drafted = drafter().draft(&narration, true);
    let mut again = Inputs::default();
    assert!(lone_text("draft.md", drafted.text.into_bytes(), &mut again).is_some());
    (said.iter().map(|it| it.rule.name).collect(), narration.cues.len())
}

#[test]
fn odd_bytes_and_times_are_named() {
    let good = "1\n00:00:05,000 --> 00:00:08,000\nthis is a left eye\n";
    assert_eq!(read(good.as_bytes()), (vec![], 1));
    assert_eq!(read(&[b"\xef\xbb\xbf", good.as_bytes()].concat()), (vec![], 1), "a byte-order mark");
    assert_eq!(read(good.replace('\n', "\r\n").as_bytes()), (vec![], 1), "CRLF");
    assert_eq!(read(b"1\n00:00:05,000 --> 00:00:08,000\nit\x92s a left eye\n"), (vec!["not-utf-8"], 0), "Windows-1252");
    assert_eq!(read(b"\xff\xfe1\0\n\0"), (vec!["not-utf-8"], 0), "UTF-16");
    assert_eq!(read(b"1\n00:00:05,000 --> 00:00:08,000\nzero\0byte\n"), (vec!["not-utf-8"], 0));
    assert_eq!(read(b""), (vec!["unreadable-cue"], 0));
    assert_eq!(read(b"WEBVTT"), (vec!["unreadable-cue"], 0));
    assert_eq!(read(b"1\n00:00:05,000 --> \nwords\n"), (vec!["odd-cue"], 1), "no end");
    assert_eq!(read(b"1\n99999:00:00,000 --> 99999:00:01,000\nwords\n"), (vec!["unreadable-cue"], 0));
    assert_eq!(read("1\n--> -->\n-->\n\u{202e}\n".as_bytes()).1, 0);
    let markup =
        "WEBVTT\n\n00:05.000 --> 00:08.000\n<script>alert(1)</script> a left eye \" : # } ] ---\n```decision\nid: x\n";
    assert_eq!(read(markup.as_bytes()), (vec![], 1));
}

#[test]
fn a_slip_in_every_cue_is_named_a_few_times_and_counted() {
    let mut text = String::new();
    for number in 0..500 {
        let _ = write!(text, "{number}\n00:{:02}:{:02},000 -->\nwords\n\n", number / 60, number % 60);
    }
    let mut inputs = Inputs::default();
    let id = lone_text("talk.srt", text.into_bytes(), &mut inputs).expect("UTF-8");
    let (narration, said) = parse::narration(inputs.sources.get(id).expect("the source"));
    assert_eq!(narration.cues.len(), 500);
    assert_eq!(said.len(), 21);
    assert!(said.last().is_some_and(|it| it.message.ends_with("479 more like the ones named")), "{:?}", said.last());
}

/// A hundred thousand cues of an operation that goes on and on: what grew with their square would take hours.
#[test]
fn a_hundred_thousand_cues_are_drafted() {
    const SAID: [&str; 8] = [
        "side port at two o'clock",
        "dispersive viscoelastic and then the rhexis",
        "posterior capsule rupture of three millimetres at six o'clock",
        "what do you do now",
        "anterior vitrectomy with the cutter",
        "sefuroxime one milligram in point one mil",
        "vacuum three hundred millimetres of mercury pressure fifteen",
        "never come out with an empty chamber",
    ];
    let mut text = String::new();
    for number in 0..100_000_u32 {
        let at = number / 2;
        let (hours, minutes, seconds) = (at / 3600, at / 60 % 60, at % 60);
        let half = if number % 2 == 0 { "000" } else { "500" };
        let words = SAID[number as usize % SAID.len()];
        let _ = write!(
            text,
            "{number}\n{hours:02}:{minutes:02}:{seconds:02},{half} --> {hours:02}:{minutes:02}:{seconds:02},{}\n{words}\n\n",
            if number % 2 == 0 { "100" } else { "600" }
        );
    }
    let (said, cues) = read(text.as_bytes());
    assert_eq!((said, cues), (vec![], 100_000));
}
