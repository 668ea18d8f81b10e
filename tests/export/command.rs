//! `casewright export` as people run it.

use crate::support::{BASE, LIBRARY, root};
use std::path::Path;
use std::process::{Command, Output};

fn casewright(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_casewright")).current_dir(root()).args(args).output().expect("the command runs")
}

fn told(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("UTF-8")
}

fn library(cases: &[(&str, &str)]) -> tempfile::TempDir {
    let place = tempfile::tempdir().expect("a folder");
    std::fs::write(place.path().join("library.yaml"), LIBRARY).expect("a file");
    for (name, text) in cases {
        std::fs::write(place.path().join(name), text).expect("a file");
    }
    place
}

fn path(place: &Path) -> &str {
    place.to_str().expect("a plain path")
}

#[test]
fn a_faulty_library_is_refused_with_all_its_errors() {
    let place = library(&[
        ("a.md", &BASE.replacen("eye: ", "eye: un", 1)),
        ("b.md", &BASE.replacen("follow_up: ", "follow_up: un", 1)),
        ("c.md", BASE),
    ]);
    let into = place.path().join("out");
    let refused = casewright(&["export", path(place.path()), "--into", path(&into)]);
    assert_eq!(refused.status.code(), Some(1));
    let report = told(&refused);
    assert!(report.contains("a.md, line ") && report.contains("b.md, line "), "{report}");
    assert!(report.ends_with("Nothing was written: 2 errors. Mend what is wrong and export again.\n"), "{report}");
    assert!(!into.exists());
    let json = casewright(&["export", path(place.path()), "--into", path(&into), "--format", "json"]);
    let document: serde_json::Value = serde_json::from_slice(&json.stdout).expect("JSON");
    assert_eq!((&document["exported"], &document["report"]["errors"]), (&false.into(), &2.into()));
}

#[test]
fn withheld_and_withdrawn_cases_are_not_exported() {
    let withdrawn = BASE.replacen("status: obtained", "status: withdrawn", 1);
    let place = library(&[("a.md", BASE), ("b.md", &withdrawn)]);
    let into = place.path().join("out");
    let args = ["export", path(place.path()), "--into", path(&into)];
    let output = casewright(&args);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    let cases = std::fs::read_to_string(into.join("cases.csv")).expect("a table");
    assert!(cases.contains("\r\na,") && !cases.contains("\r\nb,"), "{cases}");
    // The same again changes nothing; a case withdrawn later leaves the folder.
    assert!(told(&casewright(&args)).contains("0 written"));
    std::fs::write(place.path().join("b.md"), BASE).expect("a file");
    std::fs::write(place.path().join("a.md"), withdrawn).expect("a file");
    assert_eq!(casewright(&args).status.code(), Some(0));
    let cases = std::fs::read_to_string(into.join("cases.csv")).expect("a table");
    assert!(cases.contains("\r\nb,") && !cases.contains("\r\na,"), "{cases}");
    // None is for the public: nothing is written, and nothing stands there afterwards that did not before.
    let public = place.path().join("public");
    let output = casewright(&["export", path(place.path()), "--into", path(&public), "--for", "public"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(told(&output).contains("there is no case to export for the audience `public`"), "{}", told(&output));
    assert!(!public.exists());
}

#[test]
fn a_folder_that_holds_something_else_is_left_alone() {
    let (place, apart) = (library(&[("a.md", BASE)]), tempfile::tempdir().expect("a folder"));
    let [foreign, site, export] = ["foreign", "site", "export"].map(|name| apart.path().join(name));
    std::fs::create_dir(&foreign).expect("a folder");
    std::fs::write(foreign.join("thesis.txt"), "years of work").expect("a file");
    let into = |what: &str, folder: &Path| casewright(&[what, path(place.path()), "--into", path(folder)]);
    let output = into("export", &foreign);
    assert_eq!(output.status.code(), Some(2));
    assert!(told(&output).contains("is not empty"), "{}", told(&output));
    assert_eq!(std::fs::read_dir(&foreign).expect("a folder").count(), 1);
    // A site and an export never take one another's place.
    assert_eq!(into("compile", &site).status.code(), Some(0));
    assert_eq!(into("export", &export).status.code(), Some(0));
    let output = into("export", &site);
    assert_eq!(output.status.code(), Some(2));
    assert!(told(&output).contains("holds a site; choose another folder"), "{}", told(&output));
    let output = into("compile", &export);
    assert_eq!(output.status.code(), Some(2));
    assert!(told(&output).contains("holds an export; choose another folder"), "{}", told(&output));
    assert!(site.join("index.html").exists() && export.join("datapackage.json").exists());
    // What was published is whole, by the same manifest as a site's.
    assert_eq!(casewright(&["verify", path(&export)]).status.code(), Some(0));
}

/// A withdrawal waits for nobody's errors.
#[test]
fn a_withdrawn_case_leaves_a_standing_export_though_another_is_faulty() {
    let place = library(&[("a.md", BASE), ("b.md", BASE), ("c.md", BASE)]);
    let into = place.path().join("out");
    let args = ["export", path(place.path()), "--into", path(&into)];
    assert_eq!(casewright(&args).status.code(), Some(0));
    let withdrawn = BASE.replacen("status: obtained", "status: withdrawn", 1);
    std::fs::write(place.path().join("b.md"), withdrawn).expect("a file");
    std::fs::write(place.path().join("a.md"), BASE.replacen("eye: ", "eye: un", 1)).expect("a file");
    let output = casewright(&args);
    assert_eq!(output.status.code(), Some(1), "{}", told(&output));
    assert!(told(&output).contains("gone from the library: b."), "{}", told(&output));
    let cases = std::fs::read_to_string(into.join("cases.csv")).expect("a table");
    assert!(cases.contains("\r\nc,") && !cases.contains("\r\nb,") && !cases.contains("\r\na,"), "{cases}");
}
