//! Every drawing of a small library of varied cases is as it was when somebody last looked at it.
//!
//! After a change that is meant to change drawings: set `CASEWRIGHT_REWRITE_DRAWINGS=1`, run these tests, which then
//! rewrite the files and fail; look at the difference; run them again without.

use super::reader::codes;
use super::readings;
use crate::support::root;
use casewright::files::Disk;
use std::collections::{BTreeMap, BTreeSet};

const FOLDER: &str = "tests/data/drawings/golden";

/// The drawings of each case, one element a line so that a difference can be read, in a file of their own.
fn drawn() -> BTreeMap<String, String> {
    let library = Disk::new(root().join("tests/data/drawings/library"), &[]);
    let mut files: BTreeMap<String, String> = BTreeMap::new();
    for (path, page) in readings(&library) {
        let page_name = path.trim_start_matches("cases/").trim_end_matches(".html");
        let (case, reading) = match page_name.strip_suffix("-ask") {
            Some(case) => (case, "ask"),
            None => (page_name, "straight"),
        };
        let file = files.entry(format!("{case}.xml")).or_default();
        for code in codes(&page) {
            let code = code.replace("><", ">\n<");
            file.push_str(&format!("<drawing reading=\"{reading}\">\n{code}\n</drawing>\n"));
        }
    }
    files.into_iter().map(|(name, text)| (name, format!("<drawings>\n{text}</drawings>\n"))).collect()
}

#[test]
fn drawings_are_as_they_were_when_somebody_looked() {
    let drawn = drawn();
    assert!(drawn.len() >= 12, "{} cases are drawn", drawn.len());
    let folder = root().join(FOLDER);
    if std::env::var_os("CASEWRIGHT_REWRITE_DRAWINGS").is_some() {
        std::fs::remove_dir_all(&folder).expect("the old drawings can be removed");
        std::fs::create_dir_all(&folder).expect("a folder for the drawings");
        for (name, text) in &drawn {
            std::fs::write(folder.join(name), text).expect("a drawing can be written");
        }
        panic!("{} files of drawings were rewritten; look at them and run the tests without the variable", drawn.len());
    }
    let there: BTreeSet<String> = std::fs::read_dir(&folder)
        .expect("the folder of drawings is there")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    assert_eq!(there, drawn.keys().cloned().collect(), "a file of drawings for each case, and no other");
    for (name, text) in &drawn {
        let looked_at = std::fs::read_to_string(folder.join(name)).expect("the file is readable");
        let differs = looked_at.lines().zip(text.lines()).position(|(old, new)| old != new);
        if let Some(line) = differs {
            let at = |text: &str| text.lines().nth(line).unwrap_or_default().to_owned();
            panic!("{name}, line {}:\n  was {}\n  is  {}", line + 1, at(&looked_at), at(text));
        }
        assert_eq!(&looked_at, text, "{name}: lines were added or lost at the end");
    }
}

#[test]
fn the_varied_cases_hold_every_kind_of_mark() {
    let all: String = drawn().into_values().collect();
    for class in [
        "wound",
        "port",
        "hook",
        "ring",
        "damage",
        "cross",
        "optic",
        "axis",
        "lead",
        "letter",
        "sign",
        "before",
        "range",
        "normal",
        "operation",
        "operation later",
        "grid words",
        "hollow",
        "full",
    ] {
        assert!(all.contains(&format!("class=\"{class}\"")), "no case draws `{class}`");
    }
    assert!(all.contains("reading=\"ask\"") && all.contains("<use "), "stages take in what stood before them");
}
