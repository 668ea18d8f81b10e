//! Hostile input: each piece gets a diagnostic, never a panic, a hang or a read outside the library.

use crate::support::{BASE, LIBRARY, errors, library, prepare, prepare_folder};
use casewright::files::Memory;

fn with_case(text: impl AsRef<[u8]>) -> Vec<&'static str> {
    errors(&prepare(&library().with("a.md", text)))
}

#[test]
fn a_file_that_unfolds_is_refused_at_its_first_anchor() {
    let mut bomb = String::from("---\na0: &a0 [x,x,x,x,x,x,x,x,x]\n");
    for level in 1..10 {
        bomb.push_str(&format!("a{level}: &a{level} [{}]\n", vec![format!("*a{}", level - 1); 9].join(",")));
    }
    assert_eq!(with_case(bomb + "---\n"), ["yaml-alias"]);
}

#[test]
fn nesting_without_end_is_refused() {
    let deep = format!("---\ntitle: {}x{}\n---\n", "[".repeat(100_000), "]".repeat(100_000));
    // The YAML library has a limit of its own and stops before ours.
    assert!(with_case(deep).contains(&"yaml-syntax"));
    let less = format!("---\ntitle: {}x{}\n---\n", "[".repeat(60), "]".repeat(60));
    assert_eq!(with_case(less), ["too-deep"]);
    let quotes = format!("{BASE}\n{}", "> ".repeat(20_000));
    assert!(with_case(quotes).is_empty(), "quotations nested in a narrative are odd but harmless");
}

#[test]
fn huge_texts_are_refused_or_read_in_good_time() {
    assert_eq!(with_case(format!("---\ntitle: {}\n---\n", "x".repeat(10 << 20))), ["unreadable-file"]);
    let line = "y".repeat(3 << 20);
    assert!(with_case(format!("---\neye: {line}\n---\n")).contains(&"unreadable-value"));
    let keys: String = (0..50_000).map(|at| format!("k{at}: v\n")).collect();
    assert!(with_case(format!("---\n{keys}---\n")).contains(&"unknown-field"));
}

#[test]
fn bytes_that_are_no_text_are_named() {
    assert_eq!(with_case(b"---\ntitle: \xff\xfe\n---\n"), ["not-utf-8"]);
    assert_eq!(with_case(b"\xff\xfe-\0-\0-\0"), ["not-utf-8"]);
    assert_eq!(with_case(b"---\ntitle: a\0b\n---\n"), ["not-utf-8"]);
}

#[test]
fn what_editors_add_is_tolerated() {
    let marked = format!("\u{feff}{}", BASE.replace('\n', "\r\n"));
    let prepared = prepare(&library().with("a.md", marked));
    assert!(errors(&prepared).is_empty());
    assert_eq!(prepared.checked.corpus.cases().len(), 1);
}

#[test]
fn front_matter_that_is_not_closed_never_becomes_narrative() {
    let open = BASE.replacen("\n---\n", "\n", 1);
    let prepared = prepare(&library().with("a.md", &open));
    assert_eq!(errors(&prepared), ["unclosed-front-matter"]);
    assert!(prepared.checked.corpus.cases().is_empty());
}

#[test]
fn numbers_and_signs_beyond_reason_are_faults_not_panics() {
    for value in [
        "99999999999999999999999999 mmHg",
        "1e999 mmHg",
        "-0 mmHg",
        "∞ mmHg",
        "１５ mmHg",
        "0x1F mmHg",
        "15\u{202e}mmHg",
    ] {
        let text = BASE.replacen("\n---\n", &format!("\nbefore: [{{when: in clinic, iop: \"{value}\"}}]\n---\n"), 1);
        let _ = with_case(text);
    }
}

#[cfg(unix)]
#[test]
fn links_out_of_the_library_are_reported_and_never_followed() {
    use std::os::unix::fs::symlink;
    let place = tempfile::tempdir().expect("a folder");
    let (inside, outside) = (place.path().join("library"), place.path().join("outside"));
    std::fs::create_dir_all(inside.join("media")).expect("a folder");
    std::fs::create_dir_all(&outside).expect("a folder");
    std::fs::write(inside.join("library.yaml"), LIBRARY).expect("a file");
    std::fs::write(inside.join("a.md"), BASE).expect("a file");
    let secret = BASE.replace("title: ", "title: SECRET ");
    std::fs::write(outside.join("secret.md"), &secret).expect("a file");
    symlink(outside.join("secret.md"), inside.join("one.md")).expect("a link");
    symlink(&outside, inside.join("folder")).expect("a link");
    symlink("nowhere.md", inside.join("dangling.md")).expect("a link");
    symlink(&inside, inside.join("round")).expect("a link");
    symlink("/etc/hostname", inside.join("media/picture.jpg")).expect("a link");
    let prepared = prepare_folder(&inside);
    let strays: Vec<&str> =
        prepared.diagnostics.iter().filter(|it| it.rule.name == "stray-link").map(|it| it.path.as_str()).collect();
    assert_eq!(strays, ["dangling.md", "folder", "media/picture.jpg", "one.md", "round"]);
    assert!(prepared.inputs.sources.iter().all(|source| !source.text.contains("SECRET")));
    assert!(prepared.inputs.media.is_empty());
}

#[cfg(unix)]
#[test]
fn a_pipe_in_the_library_is_not_waited_for() {
    let place = tempfile::tempdir().expect("a folder");
    std::fs::write(place.path().join("library.yaml"), LIBRARY).expect("a file");
    let made = std::process::Command::new("mkfifo").arg(place.path().join("a.md")).status().expect("mkfifo runs");
    assert!(made.success());
    assert_eq!(errors(&prepare_folder(place.path())), ["unreadable-file"]);
}

#[test]
fn a_library_of_nothing_is_no_library() {
    assert_eq!(errors(&prepare(&Memory::default())), ["no-library"]);
}
