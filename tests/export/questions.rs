//! Decisions as questions: nothing of what follows, stable names, stated scores.

use super::support::{of, of_demo, rows, text, unzipped};
use crate::support::{BASE, LIBRARY};
use casewright::files::Memory;
use roxmltree::Document;
use std::collections::BTreeMap;

const PACKAGES: [&str; 2] = ["questions-qti-2.1.zip", "questions-qti-3.0.zip"];

/// A case with two decisions and a word for each stage in every part that a stage can hold.
fn planted() -> String {
    let decision = |id: &str, at: &str, asked: &str, answered: &str| {
        format!(
            "\n```decision\nid: {id}\nat: {at}\nask: The {asked} question?\nteaches: [anterior vitrectomy]\noptions:\n  \
             - {{choice: Stay {asked}, verdict: risky, because: The {answered} reason, unless: The {answered} exception, source: The {answered} source}}\n  \
             - {{choice: Go {asked}, verdict: best, because: Another {answered} reason}}\n  \
             - {{choice: Burn {asked}, verdict: harmful, because: A third {answered} reason}}\n  \
             - {{choice: Wait {asked}, verdict: acceptable, because: A fourth {answered} reason}}\n```\n"
        )
    };
    let text = BASE
        .replace("title: A hard lens in a small eye", "title: The lastword title")
        .replace("summary: An uneventful operation in words that no rule objects to.", "summary: The lastword summary.")
        .replace("do: capsulorhexis,", "do: capsulorhexis, note: The firstword note,")
        .replace("do: hydrodissection", "do: hydrodissection, note: The secondword note")
        .replace("during: s3}", "during: s3, note: The lastword complication}")
        .replace("{after: 1 day,", "{after: 1 day, note: The lastword visit,")
        .replace("\nfollow_up:", "\nlessons: [The lastword lesson]\nfollow_up:")
        .replace("The lens was hard and the pupil small.", "The firstword account[^n].");
    text + &decision("one", "s2", "firstword", "secondword")
        + "\nThe secondword account.\n"
        + &decision("two", "s3", "secondword", "lastword")
        + "\nThe lastword account[^m].\n\n[^n]: The firstword aside.\n\n[^m]: The lastword aside.\n"
}

fn export(case: &str) -> BTreeMap<String, Vec<u8>> {
    of(&Memory::default().with("library.yaml", LIBRARY).with("a.md", case))
}

/// All words below an element.
fn words(node: roxmltree::Node<'_, '_>) -> String {
    node.descendants().filter_map(|node| node.is_text().then(|| node.text()).flatten()).collect::<Vec<_>>().join(" ")
}

#[test]
fn nothing_of_what_follows_stands_in_a_question() {
    let files = export(&planted());
    let table = rows(&files, "questions");
    let [first, second] = table.as_slice() else { panic!("two questions") };
    let asked = |row: &BTreeMap<String, String>| {
        let open = row.iter().filter(|(column, _)| !column.starts_with("why") && *column != "best");
        open.map(|(_, cell)| cell.as_str()).collect::<Vec<_>>().join("\n")
    };
    assert!(asked(first).matches("firstword").count() >= 7 && !asked(first).contains("secondword"), "{}", asked(first));
    assert!(asked(second).matches("secondword").count() >= 6, "{}", asked(second));
    for question in [first, second] {
        assert!(
            !asked(question).contains("lastword") && !asked(question).contains("vitrectomy"),
            "{}",
            asked(question)
        );
    }
    for package in PACKAGES {
        let items = unzipped(&files[package]);
        for (question, later) in [(first, &["secondword", "lastword"][..]), (second, &["lastword"][..])] {
            let item = &items[&format!("items/{}.xml", question["question"])];
            // Only the feedback may hold what the answer lays bare: not title, label, body or rules.
            let document = Document::parse(item).expect("XML");
            let mut open =
                format!("{:?}", document.root_element().attributes().map(|it| it.value()).collect::<Vec<_>>());
            let parts = document
                .root_element()
                .children()
                .filter(|it| !it.tag_name().name().to_lowercase().contains("feedback"));
            open.extend(parts.map(words));
            for word in later {
                assert!(!open.contains(word), "{package}: {word} in {open}");
            }
            assert!(item.contains(later[0]), "the feedback tells it");
        }
        let manifest = &items["imsmanifest.xml"];
        assert!(!manifest.contains("word") && !manifest.contains("vitrectomy"), "{manifest}");
    }
}

#[test]
fn names_stay_when_words_change_and_tell_nothing() {
    let (one, other) = (planted(), planted().replace("The firstword question?", "Now what?"));
    let ids = |case: &str| -> Vec<String> {
        rows(&export(case), "questions").into_iter().map(|row| row["question"].clone()).collect()
    };
    assert_eq!(ids(&one), ids(&other));
    // Options stand in the order of a hash, here not the author's; their names tell no place and no verdict.
    let options = rows(&export(&one), "options");
    let first: Vec<&str> =
        options.iter().filter(|row| row["decision"] == "a/one").map(|row| row["verdict"].as_str()).collect();
    assert_eq!(first.len(), 4);
    let mut by_hash = [("Stay", "risky"), ("Go", "best"), ("Burn", "harmful"), ("Wait", "acceptable")];
    by_hash.sort_by_key(|(choice, _)| *blake3::hash(format!("a\none\n{choice} firstword").as_bytes()).as_bytes());
    assert_eq!(first, by_hash.map(|(_, verdict)| verdict));
    assert_ne!(first, ["risky", "best", "harmful", "acceptable"]);
}

#[test]
fn each_verdict_gives_its_stated_score_in_every_form() {
    let files = export(&planted());
    let stated = BTreeMap::from([("best", "1"), ("acceptable", "0.5"), ("risky", "0"), ("harmful", "-0.5")]);
    let says = text(&files, "datapackage.json");
    assert!(says.contains("best 1, acceptable 0.5, risky 0, harmful -0.5"), "the descriptor states them");
    let options = rows(&files, "options");
    assert_eq!(options.len(), 8);
    for option in &options {
        assert_eq!(option["score"], stated[option["verdict"].as_str()], "{option:?}");
        let id = option["option"].rsplit('/').next().expect("a name");
        for package in PACKAGES {
            let items = unzipped(&files[package]);
            let entry = |key: &str, value: &str| format!("{key}=\"{id}\" {value}=\"{}\"", option["score"]);
            let told = items.values().any(|item| {
                item.contains(&entry("mapKey", "mappedValue")) || item.contains(&entry("map-key", "mapped-value"))
            });
            assert!(told, "{package}: {option:?}");
        }
    }
}

#[test]
fn every_decision_of_the_demo_is_in_both_packages() {
    let files = of_demo();
    let decisions = rows(&files, "decisions");
    let questions = rows(&files, "questions");
    assert!(decisions.len() > 50);
    assert_eq!(
        decisions.iter().map(|row| &row["decision"]).collect::<Vec<_>>(),
        questions.iter().map(|row| &row["decision"]).collect::<Vec<_>>()
    );
    for package in PACKAGES {
        let items = unzipped(&files[package]);
        assert_eq!(items.len(), questions.len() + 1, "{package}");
        for question in &questions {
            assert!(items.contains_key(&format!("items/{}.xml", question["question"])), "{package}: {question:?}");
        }
    }
}
