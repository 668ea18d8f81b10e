//! What one rule must not show no other shows, and what is taken down leaves nothing in copies that are put right by the list.

use crate::support::{BASE, library, prepare};
use casewright::diag::{human, json};
use casewright::files::Memory;
use std::path::Path;
use std::process::Command;

/// The texts of a report: for people, and for programs.
fn reports(files: &Memory) -> [String; 2] {
    let prepared = prepare(files);
    assert!(!prepared.diagnostics.is_empty());
    let sources = &prepared.inputs.sources;
    [human::report(&prepared.diagnostics, sources), json::report(&prepared.diagnostics, sources)]
}

/// A name after a title is found; whatever else is wrong at its place does not repeat it.
#[test]
fn no_rule_repeats_what_another_must_not_show() {
    let findings = "findings: [{is: nuclear sclerosis, grade: \"3\", scale: LOCS III}, small pupil]";
    for (old, new) in [
        (findings, "findings: [Mr Smitherton]"),
        ("eye: right", "eye: Mr Smitherton"),
        ("eye: right", "eye: right\nMr Smitherton: 3"),
        ("iop: 16 mmHg", "iop: Mr Smitherton"),
        ("age: 71", "age: Mr Smitherton"),
        ("during: s3", "during: Mr Smitherton"),
        ("do: hydrodissection", "do: Mr Smitherton"),
        ("The lens was hard", "[See](case:mr-smitherton) what Mr Smitherton said. The lens was hard"),
        ("authors:", "media: [{file: Mr_Smitherton.jpg, alt: An eye.}]\nauthors:"),
    ] {
        assert!(BASE.contains(old), "{old}");
        for report in reports(&library().with("a.md", BASE.replacen(old, new, 1))) {
            let small = report.to_lowercase();
            assert!(small.contains("personal-name"), "{new}: {report}");
            let name = small.replace("mr_smitherton.jpg, line", "").contains("smitherton");
            assert!(!name, "{new}: {report}");
        }
    }
}

/// Findings beside it keep their words.
#[test]
fn a_finding_beside_it_keeps_its_words() {
    let text = BASE.replacen("eye: right", "eye: lefft # Mr Smitherton", 1);
    let [words, _] = reports(&library().with("a.md", text));
    assert!(words.contains("`lefft`") && !words.contains("Smitherton"), "{words}");
}

fn casewright(arguments: &[&str]) -> std::process::Output {
    Command::new(env!("CARGO_BIN_EXE_casewright")).args(arguments).output().expect("the program starts")
}

fn files(folder: &Path) -> Vec<std::path::PathBuf> {
    walkdir::WalkDir::new(folder)
        .into_iter()
        .map(|entry| entry.expect("an entry"))
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| entry.into_path())
        .collect()
}

/// A copy of the site elsewhere: what the compile lists is deleted there, and the new site put over it.
#[test]
fn a_copy_that_follows_the_list_holds_nothing_of_a_withdrawn_case() {
    let place = tempfile::tempdir().expect("a folder");
    let (library, site, copy) = (place.path().join("library"), place.path().join("site"), place.path().join("copy"));
    std::fs::create_dir(&library).expect("a folder");
    let planted = BASE.replace("The lens was hard", "The lens was a quernstone").replace("A hard lens", "A quernstone");
    for (name, text) in [("library.yaml", crate::support::LIBRARY), ("a.md", BASE), ("b.md", &planted), ("c.md", BASE)]
    {
        std::fs::write(library.join(name), text).expect("a file");
    }
    let compile = |more: &[&str]| {
        let (library, site) = (library.to_str().expect("UTF-8"), site.to_str().expect("UTF-8"));
        let output = casewright(&[&["compile", library, "--into", site][..], more].concat());
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).expect("UTF-8")
    };
    let over = || {
        for file in files(&site) {
            let to = copy.join(file.strip_prefix(&site).expect("it lies in it"));
            std::fs::create_dir_all(to.parent().expect("a folder")).expect("a folder");
            std::fs::copy(&file, to).expect("a copy");
        }
    };
    let holding = |folder: &Path| -> Vec<_> {
        let holds = |file: &std::path::PathBuf| {
            let bytes = std::fs::read(file).expect("a file");
            String::from_utf8_lossy(&bytes).to_lowercase().contains("quernstone")
        };
        files(folder).into_iter().filter(holds).collect()
    };
    compile(&[]);
    over();
    let before = holding(&copy);
    assert!(before.len() >= 3, "the word stands on several pages: {before:?}");
    std::fs::write(library.join("b.md"), "---\nconsent: {status: withdrawn}\n---\n").expect("a file");
    let told: serde_json::Value = serde_json::from_str(&compile(&["--format", "json"])).expect("JSON");
    for path in told["delete_elsewhere"].as_array().expect("a list") {
        let path = copy.join(path.as_str().expect("a path"));
        if path.is_dir() {
            std::fs::remove_dir_all(path).expect("a folder");
        } else {
            std::fs::remove_file(path).expect("a file");
        }
    }
    over();
    assert_eq!(holding(&copy), Vec::<std::path::PathBuf>::new());
    assert_eq!(holding(&site), Vec::<std::path::PathBuf>::new());
    let verified = casewright(&["verify", copy.to_str().expect("UTF-8")]);
    assert!(verified.status.success(), "{}", String::from_utf8_lossy(&verified.stderr));
}
