//! Hostile input: each piece gets a diagnostic, never a panic, a hang or a read outside the library.

use crate::support::{BASE, LIBRARY, errors, library, prepare, prepare_folder, said};
use casewright::files::{Entry, EntryKind, Files, Memory};
use std::path::PathBuf;

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
    assert_eq!(with_case(deep), ["too-deep"], "the YAML library's own limit speaks as ours");
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

/// The base case with this pressure at a visit before surgery.
fn pressure(value: &str) -> Vec<&'static str> {
    with_case(BASE.replacen("iop: 16 mmHg", &format!("iop: \"{value}\""), 1))
}

#[test]
fn numbers_and_signs_beyond_reason_are_faults_not_panics() {
    assert!(pressure("16 mmHg").is_empty());
    for (value, rule) in [
        ("99999999999999999999999999 mmHg", "unreadable-value"),
        ("99999999999999999999999999", "missing-unit"),
        ("1e999 mmHg", "unreadable-value"),
        ("∞ mmHg", "unreadable-value"),
        ("NaN mmHg", "unreadable-value"),
        ("１５ mmHg", "unreadable-value"),
        ("0x1F mmHg", "unreadable-value"),
        ("15\u{202e}mmHg", "unreadable-value"),
        ("999 mmHg", "implausible-value"),
    ] {
        assert_eq!(pressure(value), [rule], "{value}");
    }
    for (right, odd) in [
        ("age: 71", "age: 99999999999999999999"),
        ("after: 6 weeks", "after: 99999999999999999999 years"),
        ("\"0:30\"", "\"99999999999999999999:30\""),
        ("unaided: 6/12", "unaided: 6/00000000000000000000"),
        ("best corrected: 6/18", "best corrected: 99999999999999999999/1"),
    ] {
        let text = BASE.replacen(right, odd, 1);
        assert_ne!(text, BASE);
        assert_eq!(with_case(text), ["unreadable-value"], "{odd}");
    }
}

#[test]
fn every_way_to_nest_without_end_is_refused() {
    for (what, text) in [
        ("braces", format!("title: {}x\n", "{a: ".repeat(100_000))),
        ("dashes", format!("title:\n  {}x\n", "- ".repeat(100_000))),
        ("question marks", format!("title:\n  {}x\n", "? ".repeat(100_000))),
        ("indentation", (0..2_000).fold(String::new(), |text, deep| text + &" ".repeat(deep) + "a:\n") + "title: x\n"),
    ] {
        let rules = with_case(format!("---\n{text}---\n"));
        assert!(rules.contains(&"too-deep") || rules.contains(&"yaml-syntax"), "{what}: {rules:?}");
    }
}

#[test]
fn fences_that_are_almost_fences_never_let_fields_through() {
    for (what, text) in [
        ("a blank before it", BASE.replacen("\n---\n", "\n ---\n", 1)),
        ("four hyphens", BASE.replacen("\n---\n", "\n----\n", 1)),
        ("two hyphens", BASE.replacen("\n---\n", "\n--\n", 1)),
        ("a long dash", BASE.replacen("\n---\n", "\n—\n", 1)),
        ("words after it", BASE.replacen("\n---\n", "\n--- end\n", 1)),
        ("the end of the file", BASE.split("\n---\n").next().expect("front matter").to_owned()),
        ("no first line", BASE.replacen("---\n", "", 1)),
        ("a blank line first", format!("\n{BASE}")),
        ("old line ends", BASE.replace('\n', "\r")),
        ("nothing at all", String::new()),
    ] {
        let prepared = prepare(&library().with("a.md", &text));
        assert!(errors(&prepared).contains(&"unclosed-front-matter"), "{what}: {:?}", said(&prepared));
        assert!(prepared.checked.corpus.cases().is_empty(), "{what}");
        assert_eq!(prepared.checked.faulty, ["a.md"], "{what}");
    }
}

#[test]
fn every_file_of_a_library_is_read_with_the_same_care() {
    let sound = || library().with("a.md", BASE);
    for path in ["library.yaml", "vocabulary/ours.yaml", "b.md", "b.yaml"] {
        for (bytes, rule) in [
            (&b"title: \xff\n"[..], "not-utf-8"),
            (b"\xfe\xff\0t\0i", "not-utf-8"),
            (b"t\0i\0t\0l\0e\0:\0", "not-utf-8"),
            (&vec![b'x'; (4 << 20) + 1], "unreadable-file"),
        ] {
            let prepared = prepare(&sound().with(path, bytes));
            assert!(errors(&prepared).contains(&rule), "{path}: {:?}", said(&prepared));
            assert!(prepared.inputs.sources.iter().all(|source| source.text.len() < 4 << 20), "{path}");
        }
    }
    for path in ["library.yaml", "vocabulary/ours.yaml"] {
        for (text, rule) in [("a: &a [*a]\n", "yaml-alias"), ("a: [\n", "yaml-syntax"), ("- a\n", "wrong-type")] {
            let prepared = prepare(&sound().with(path, text));
            assert!(errors(&prepared).contains(&rule), "{path}: {:?}", said(&prepared));
        }
    }
}

/// A library of which some files are listed and cannot be read, as when rights are missing or a file goes away meanwhile.
struct Refusing(Memory);

impl Files for Refusing {
    fn list(&self) -> Result<Vec<Entry>, String> {
        let mut entries = self.0.list()?;
        entries.push(Entry { path: "odd.md".to_owned(), kind: EntryKind::OddName });
        entries.push(Entry { path: "locked".to_owned(), kind: EntryKind::Unreadable("no rights".to_owned()) });
        Ok(entries)
    }

    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        if path == "a.md" { self.0.read(path) } else { Err(format!("could not read `{path}`: no rights")) }
    }

    fn open(&self, path: &str) -> Result<Box<dyn casewright::media::Source>, String> {
        Err(self.read(path).expect_err("nothing can be read"))
    }

    fn locate(&self, path: &str) -> PathBuf {
        self.0.locate(path)
    }
}

#[test]
fn what_cannot_be_read_is_named_and_the_rest_is_read() {
    let files =
        library().with("a.md", BASE).with("b.md", BASE).with("theme/style.css", "x").with("vocabulary/v.yaml", "x");
    let prepared = prepare(&Refusing(files));
    let unreadable: Vec<&str> =
        prepared.diagnostics.iter().filter(|it| it.rule.name == "unreadable-file").map(|it| it.path.as_str()).collect();
    assert_eq!(unreadable, ["b.md", "library.yaml", "locked", "odd.md", "theme/style.css", "vocabulary/v.yaml"]);
    assert_eq!(prepared.checked.corpus.cases().len(), 1);
}

#[test]
fn half_a_case_is_not_judged() {
    // Each has its other half in a file that cannot be read; what is missing from the case stands there.
    let files = library().with("b.md", "Fields beside.").with("b.yaml", [0xff, 0xfe]).with("c.md", [0xff, 0xfe]);
    let prepared = prepare(&files.with("c.yaml", "title: Alone\n"));
    assert_eq!(said(&prepared), ["error not-utf-8 b.yaml", "error not-utf-8 c.md"]);
    assert_eq!(prepared.checked.faulty, ["b.md", "c.md"], "so that they can be left out");
}

#[test]
fn folders_deep_down_are_named() {
    let place = tempfile::tempdir().expect("a folder");
    std::fs::write(place.path().join("library.yaml"), LIBRARY).expect("a file");
    let shallow = place.path().join(vec!["d"; 15].join("/"));
    std::fs::create_dir_all(shallow.join("e/f")).expect("folders");
    std::fs::write(shallow.join("a.md"), BASE).expect("a file");
    std::fs::write(shallow.join("e/b.md"), BASE).expect("a file");
    let prepared = prepare_folder(place.path());
    assert_eq!(said(&prepared), [format!("error unreadable-file {}/e", vec!["d"; 15].join("/"))]);
    assert_eq!(prepared.checked.corpus.cases().len(), 1);
}

#[cfg(unix)]
#[test]
fn names_that_are_no_unicode_are_named() {
    use std::os::unix::ffi::OsStrExt;
    let place = tempfile::tempdir().expect("a folder");
    std::fs::write(place.path().join("library.yaml"), LIBRARY).expect("a file");
    std::fs::write(place.path().join(std::ffi::OsStr::from_bytes(b"caf\xe9.md")), BASE).expect("a file");
    let prepared = prepare_folder(place.path());
    assert_eq!(said(&prepared), ["error unreadable-file caf\u{fffd}.md"]);
    assert!(prepared.checked.corpus.cases().is_empty());
}

#[cfg(unix)]
#[test]
fn links_of_every_folder_are_held_inside() {
    use std::os::unix::fs::symlink;
    let place = tempfile::tempdir().expect("a folder");
    let (inside, outside) = (place.path().join("library"), place.path().join("outside"));
    for folder in ["vocabulary", "theme", "media", "cases"] {
        std::fs::create_dir_all(inside.join(folder)).expect("a folder");
    }
    std::fs::create_dir_all(&outside).expect("a folder");
    std::fs::write(outside.join("secret.yaml"), "title: SECRET\n").expect("a file");
    std::fs::write(inside.join("cases/a.md"), BASE).expect("a file");
    symlink(outside.join("secret.yaml"), inside.join("library.yaml")).expect("a link");
    symlink(outside.join("secret.yaml"), inside.join("vocabulary/v.yaml")).expect("a link");
    symlink(outside.join("secret.yaml"), inside.join("theme/style.css")).expect("a link");
    // By way of another link, and round in a circle of two.
    symlink("../vocabulary/v.yaml", inside.join("media/v.yaml")).expect("a link");
    symlink("two.md", inside.join("one.md")).expect("a link");
    symlink("one.md", inside.join("two.md")).expect("a link");
    let prepared = prepare_folder(&inside);
    let strays: Vec<&str> =
        prepared.diagnostics.iter().filter(|it| it.rule.name == "stray-link").map(|it| it.path.as_str()).collect();
    assert_eq!(strays, ["library.yaml", "media/v.yaml", "one.md", "theme/style.css", "two.md", "vocabulary/v.yaml"]);
    assert!(prepared.inputs.sources.iter().all(|source| !source.text.contains("SECRET")));
    assert!(prepared.inputs.theme.is_empty() && prepared.inputs.media.is_empty() && prepared.inputs.library.is_none());
    // The library may itself be reached by a link.
    let door = place.path().join("door");
    symlink(&inside, &door).expect("a link");
    assert_eq!(said(&prepare_folder(&door)), said(&prepared));
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
    std::fs::create_dir(place.path().join("theme")).expect("a folder");
    for pipe in ["a.md", "theme/style.css"] {
        let made = std::process::Command::new("mkfifo").arg(place.path().join(pipe)).status().expect("mkfifo runs");
        assert!(made.success());
    }
    let prepared = prepare_folder(place.path());
    assert_eq!(said(&prepared), ["error unreadable-file a.md", "error unreadable-file theme/style.css"]);
}

#[test]
fn a_library_of_nothing_is_no_library() {
    assert_eq!(errors(&prepare(&Memory::default())), ["no-library"]);
}
