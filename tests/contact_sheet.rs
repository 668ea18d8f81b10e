//! Contact sheets: what is asked of ffmpeg, which a script stands in for that writes down how it was called.

use crate::support::{BASE, LIBRARY, root};
use std::os::unix::fs::PermissionsExt;
use std::process::Command;

/// The frames that are wanted of the film of a case, as options of ffmpeg.
fn wanted(case: &str) -> String {
    let place = tempfile::tempdir().expect("a folder");
    let at = |name: &str| place.path().join(name);
    std::fs::create_dir_all(at("library/media")).expect("a folder");
    std::fs::write(at("library/library.yaml"), LIBRARY).expect("a file");
    std::fs::write(at("library/a.md"), case).expect("a file");
    std::fs::copy(root().join("tests/data/media/f.mp4"), at("library/media/op.mp4")).expect("a film");
    let script = format!("#!/bin/sh\necho \"$@\" >>'{}'\n", at("called").display());
    std::fs::write(at("ffmpeg"), script).expect("a file");
    std::fs::set_permissions(at("ffmpeg"), PermissionsExt::from_mode(0o755)).expect("it may be run");
    let output = Command::new(env!("CARGO_BIN_EXE_casewright"))
        .env("PATH", format!("{}:/usr/bin:/bin", place.path().display()))
        .arg("proofread")
        .arg(at("library"))
        .arg("--contact-sheet")
        .arg(at("sheets"))
        .output()
        .expect("the command runs");
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    std::fs::read_to_string(at("called")).expect("ffmpeg was called")
}

#[test]
fn each_step_has_its_frame_before_anybody_attests() {
    // Nobody attests to have looked, and something else is wrong too: the case is faulty, and the sheets are made for it.
    let shown = BASE.replace("\nconsent:", "\nmedia: [{file: op.mp4, alt: The operation.}]\nconsent:");
    let faulty = shown.replace("eye: right", "eye: both");
    for case in [&shown, &faulty] {
        let called = wanted(case);
        for (at, step) in [(30, "s1"), (130, "s2"), (220, "s3"), (540, "s4")] {
            let frame = format!("-ss {at} -t 1 -i ");
            assert_eq!(called.matches(&frame).count(), 1, "{step}: {called}");
        }
        assert_eq!(called.matches("crop=").count(), 8, "four corners, at the beginning and at the end: {called}");
    }
    // A film of one step has no steps.
    let one = shown.replace("alt: The operation.", "alt: The operation., at: s3");
    assert!(!wanted(&one).contains("-t 1 -i"));
}
