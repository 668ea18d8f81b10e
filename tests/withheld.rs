//! What commands tell the public of a library: compared with a library in which the withheld cases do not exist.

use crate::support::root;
use casewright::files::{Disk, Files};
use std::path::Path;
use std::process::{Command, Output};

fn casewright(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_casewright")).current_dir(root()).args(args).output().expect("the command runs")
}

fn told(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("UTF-8")
}

fn said(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

fn path(place: &Path) -> &str {
    place.to_str().expect("a plain path")
}

/// Copies a library; `keep` says which of its cases come along.
fn copy_of_the_demo(keep: impl Fn(&str) -> bool) -> tempfile::TempDir {
    let place = tempfile::tempdir().expect("a folder");
    for entry in crate::support::demo().list().expect("the demo opens") {
        let stays = entry.path.contains('/') || !entry.path.ends_with(".md") || {
            keep(&std::fs::read_to_string(root().join("cases").join(&entry.path)).expect("a case"))
        };
        if stays {
            let to = place.path().join(&entry.path);
            std::fs::create_dir_all(to.parent().expect("a folder")).expect("a folder");
            std::fs::copy(root().join("cases").join(&entry.path), to).expect("a copy");
        }
    }
    place
}

/// For the public, every command that reads cases says and writes what it would if the withheld cases did not exist: the whole
/// site, the search in the terminal, the working of an index, the schema.
#[test]
fn no_command_tells_the_public_of_withheld_cases() {
    let whole = copy_of_the_demo(|_| true);
    let alone = copy_of_the_demo(|text| text.contains("\naudience: public"));
    // A session of the department would name cases that are not there.
    let inside = "sessions/a-change-in-the-chamber.yaml";
    std::fs::remove_file(alone.path().join(inside)).expect("it was copied");
    let mut compared = 0;
    for arguments in [
        vec!["find", "capsule", "--for", "public", "--format", "json", "--library"],
        vec!["find", "endophthalmitis vitrectomy", "--for", "public", "--format", "json", "--library"],
        vec!["find", "--filters", "--for", "public", "--format", "json", "--library"],
        vec!["explain", "the-weaver", "--for", "public", "--format", "json", "--library"],
        vec!["explain", "the-piano-tuner", "--for", "public", "--library"],
        vec!["schema"],
        vec!["proofread", "--not-taught", "--for", "public", "--format", "json"],
        vec!["proofread", "--singling-out", "--for", "public", "--format", "json"],
    ] {
        let run = |place: &tempfile::TempDir| {
            let output = casewright(&[&arguments[..], &[path(place.path())]].concat());
            (output.status.code(), said(&output), told(&output).replace(path(place.path()), "LIBRARY"))
        };
        let (seen, without) = (run(&whole), run(&alone));
        assert_eq!(seen, without, "{arguments:?}");
        assert!(!seen.1.contains("piano"), "{arguments:?}");
        compared += usize::from(seen.0 == Some(0) && seen.1.len() > 100);
    }
    assert!(compared >= 6, "most of them say something: {compared}");
    let sites = tempfile::tempdir().expect("a folder");
    for (name, library) in [("whole", &whole), ("alone", &alone)] {
        let into = sites.path().join(name);
        let output = casewright(&["compile", path(library.path()), "--into", path(&into), "--for", "public"]);
        assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    }
    let files = |name: &str| -> Vec<(String, Vec<u8>)> {
        let disk = Disk::new(sites.path().join(name), &[]);
        let mut all: Vec<_> = disk.list().expect("a site").into_iter().map(|it| it.path).collect();
        all.sort();
        all.into_iter().map(|path| (path.clone(), disk.read(&path).expect("a file"))).collect()
    };
    assert_eq!(files("whole"), files("alone"));
    // Nothing is left beside the two sites either.
    assert_eq!(std::fs::read_dir(sites.path()).expect("the folder").count(), 2);
}
