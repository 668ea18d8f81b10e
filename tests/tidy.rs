//! The tree itself: which module may import which, how files begin, how long they are, and what may not stand in them.

use crate::support::root;
use std::collections::BTreeSet;
use std::path::PathBuf;
use walkdir::WalkDir;

/// The floors of the house, lowest first. A module imports from lower floors only; those of one floor are siblings.
const FLOORS: &[&[&str]] = &[
    &["text", "media"],
    &["diag"],
    &["model", "files"],
    &["discover", "parse", "check", "analyse", "render", "publish"],
    &["pipeline", "rules"],
    &["preview", "draft", "export"],
    &["cli"],
    &["main"],
];

/// Longest source file.
const LONGEST: usize = 600;

/// Files that may be longer, each with its reason.
const LONG: &[(&str, &str)] =
    &[("src/model/case.rs", "the types of one case, which belong together and hold almost no logic")];

/// Endings of tracked files that are not text.
const BINARY: &[&str] = &["woff2", "png", "jpg", "webp", "mp4", "webm", "ico", "dump"];

/// An import that points where it must not, or is written so that it cannot be told.
#[derive(Debug, PartialEq, Eq)]
struct Fault {
    line: usize,
    why: String,
}

fn floor(module: &str) -> Option<usize> {
    FLOORS.iter().position(|floor| floor.contains(&module))
}

/// The module of the first level that a file belongs to; the crate's root is on top of all.
fn module(path: &str) -> &str {
    let inside = path.strip_prefix("src/").unwrap_or(path);
    inside.split('/').next().unwrap_or("").trim_end_matches(".rs")
}

/// Every import of a source file that points up or sideways.
fn faults(path: &str, text: &str) -> Vec<Fault> {
    let home = module(path);
    let mut faults = Vec::new();
    // In a module of the first level `super` is the crate's root, except in its own test module.
    let first_level = path.matches('/').count() == 1 || path.ends_with("/mod.rs") && path.matches('/').count() == 2;
    let mut tests = false;
    for (line, number) in text.lines().zip(1..) {
        let mut fault = |why: String| faults.push(Fault { line: number, why });
        tests |= line.starts_with("#[cfg(test)]");
        let code = line.split("//").next().unwrap_or("");
        if code.contains("super::super") {
            fault("`super::super` hides where it leads; name the module from the crate on".to_owned());
        }
        if first_level && !tests && code.contains("super::") {
            fault("`super` is the crate's root here; name the module from the crate on".to_owned());
        }
        for (at, _) in code.match_indices("crate::").chain(code.match_indices("casewright::")) {
            let target = &code[at..].split_once("::").map_or("", |(_, rest)| rest);
            let target: String =
                target.chars().take_while(|letter| letter.is_ascii_lowercase() || *letter == '_').collect();
            if target.is_empty() {
                fault("imports from the crate's root are written one module a line".to_owned());
            } else if target != home && home != "lib" {
                match (floor(home), floor(&target)) {
                    (Some(here), Some(there)) if there < here => {}
                    (Some(here), Some(there)) => {
                        let way = if there == here { "sideways" } else { "up" };
                        fault(format!("`{home}` imports `{target}`, which points {way}"));
                    }
                    _ => fault(format!("`{home}` or `{target}` stands on no floor")),
                }
            }
        }
    }
    faults
}

/// Files below a folder of the repository with this ending: path from the root, and text.
fn texts(folder: &str, ending: &str) -> Vec<(String, String)> {
    tracked()
        .into_iter()
        .filter(|path| path.starts_with(folder) && path.ends_with(ending))
        .map(|path| {
            let text = std::fs::read_to_string(root().join(&path)).unwrap_or_else(|why| panic!("{path}: {why}"));
            (path, text)
        })
        .collect()
}

/// Every file of the repository that `.gitignore` does not leave out, as paths from the root.
fn tracked() -> Vec<String> {
    let ignored = std::fs::read_to_string(root().join(".gitignore")).expect("there is a .gitignore");
    let ignored: BTreeSet<&str> = ignored.lines().map(str::trim).filter(|line| !line.is_empty()).collect();
    let kept = |entry: &walkdir::DirEntry| {
        let name = entry.file_name().to_string_lossy();
        name != ".git"
            && !ignored.contains(&*name)
            && !ignored.contains(&*format!("/{}", from_root(entry.path().into())))
    };
    WalkDir::new(root())
        .sort_by_file_name()
        .into_iter()
        .filter_entry(kept)
        .map(|entry| entry.expect("the repository is readable"))
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| from_root(entry.into_path()))
        .collect()
}

fn from_root(path: PathBuf) -> String {
    let inside = path.strip_prefix(root()).expect("inside the repository");
    inside.iter().map(|part| part.to_string_lossy()).collect::<Vec<_>>().join("/")
}

/// Every tracked text, with its path.
fn tracked_texts() -> Vec<(String, String)> {
    tracked()
        .into_iter()
        .filter(|path| !BINARY.iter().any(|ending| path.ends_with(&format!(".{ending}"))))
        .map(|path| {
            let bytes = std::fs::read(root().join(&path)).unwrap_or_else(|why| panic!("{path}: {why}"));
            let text = String::from_utf8(bytes).unwrap_or_else(|_| panic!("{path} is neither UTF-8 nor a known kind"));
            (path, text)
        })
        .collect()
}

fn none(what: &str, found: &[String]) {
    assert!(found.is_empty(), "{what}:\n{}", found.join("\n"));
}

#[test]
fn imports_point_down() {
    let sources = texts("src/", ".rs");
    assert!(sources.len() > 50, "the scan sees the sources");
    let found: Vec<String> = sources
        .iter()
        .flat_map(|(path, text)| {
            faults(path, text).into_iter().map(move |fault| format!("{path}, line {}: {}", fault.line, fault.why))
        })
        .collect();
    none("imports that point up or sideways", &found);
}

#[test]
fn the_scan_catches_what_it_is_for() {
    let caught = |path: &str, text: &str| faults(path, text).into_iter().map(|fault| fault.why).collect::<String>();
    for (path, text, why) in [
        ("src/parse/body.rs", "use crate::check::RULES;", "`parse` imports `check`, which points sideways"),
        ("src/render/mod.rs", "let page = crate::publish::write();", "sideways"),
        ("src/model/case.rs", "use crate::pipeline::Prepared;", "`model` imports `pipeline`, which points up"),
        ("src/text/mod.rs", "use crate::diag::Rule;", "points up"),
        ("src/files/disk.rs", "use crate::model::Inputs;", "sideways"),
        ("src/check/mod.rs", "use crate::{parse, model};", "one module a line"),
        ("src/check/rules/dose.rs", "use super::super::drugs;", "hides where it leads"),
        ("src/check/mod.rs", "use super::parse;", "the crate's root"),
        ("src/rules.rs", "use super::cli;", "the crate's root"),
        ("src/check/mod.rs", "use crate::attic::Box;", "stands on no floor"),
        ("src/attic.rs", "use crate::text::Span;", "stands on no floor"),
    ] {
        let said = caught(path, text);
        assert!(said.contains(why), "{path}: {text}: {said}");
    }
    for (path, text) in [
        ("src/parse/body.rs", "use crate::model::format;"),
        ("src/parse/rules/alias.rs", "use crate::parse::yaml;"),
        ("src/diag/human.rs", "use crate::text::Span;"),
        ("src/pipeline.rs", "use crate::check::{self, Checked};"),
        ("src/check/rules/dose.rs", "use super::Rule;"),
        ("src/check/mod.rs", "#[cfg(test)]\nmod tests {\n    use super::*;\n}"),
        ("src/model/mod.rs", "/// Handed to [`crate::check`]."),
        ("src/main.rs", "fn main() { casewright::cli::run(); }"),
    ] {
        assert_eq!(caught(path, text), "", "{path}: {text}");
    }
}

#[test]
fn every_module_stands_on_a_floor() {
    let modules: BTreeSet<String> = texts("src/", ".rs").iter().map(|(path, _)| module(path).to_owned()).collect();
    let homeless: Vec<&String> = modules.iter().filter(|name| *name != "lib" && floor(name).is_none()).collect();
    assert!(homeless.is_empty(), "modules without a floor: {homeless:?}");
}

#[test]
fn every_file_says_what_it_is_for() {
    let mut found = Vec::new();
    for (path, text) in texts("src/", ".rs").into_iter().chain(texts("tests/", ".rs")) {
        let first = text.lines().next().unwrap_or("");
        if first.strip_prefix("//! ").is_none_or(|words| words.len() < 10) {
            found.push(path);
        }
    }
    none("files that do not begin with `//!` and what they are for", &found);
}

#[test]
fn no_file_is_too_long() {
    let mut found = Vec::new();
    for (path, text) in texts("src/", ".rs").into_iter().chain(texts("tests/", ".rs")) {
        let (lines, known) = (text.lines().count(), LONG.iter().any(|(long, _)| *long == path));
        match (lines > LONGEST, known) {
            (true, false) => {
                found.push(format!("{path} has {lines} lines; at most {LONGEST}, or name it with a reason"))
            }
            (false, true) => found.push(format!("{path} has only {lines} lines; take it off the list")),
            _ => {}
        }
    }
    let gone = LONG.iter().filter(|(path, _)| !root().join(path).exists());
    found.extend(gone.map(|(path, _)| format!("{path} is named and does not exist")));
    none("files of another length than agreed", &found);
}

#[test]
fn no_line_ends_in_blanks_and_every_text_in_a_line_break() {
    let mut found = Vec::new();
    for (path, text) in tracked_texts() {
        for (line, number) in text.lines().zip(1..) {
            if line.ends_with([' ', '\t', '\r']) {
                found.push(format!("{path}, line {number}: blanks or a carriage return at the end"));
            }
        }
        if !text.is_empty() && (!text.ends_with('\n') || text.ends_with("\n\n")) {
            found.push(format!("{path}: does not end in one line break"));
        }
    }
    none("untidy ends", &found);
}

#[test]
fn the_clearance_is_granted_at_one_place() {
    let calls = |needle: &str| -> Vec<String> {
        texts("src/", ".rs")
            .into_iter()
            .flat_map(|(path, text)| {
                let times = text
                    .lines()
                    .filter(|line| !line.trim_start().starts_with("//"))
                    .filter(|line| line.contains(needle))
                    .count();
                vec![path; times]
            })
            .collect()
    };
    assert_eq!(calls("Clearance::granted("), ["src/check/clearance.rs"]);
    assert_eq!(calls("clearance::grant("), ["src/check/mod.rs"]);
    assert_eq!(calls("Corpus::new("), ["src/check/mod.rs"]);
}

#[test]
fn nothing_is_left_for_later() {
    // Put together here, so that this file does not hold them itself.
    let words = [
        concat!("to", "do!"),
        concat!("unimple", "mented!"),
        concat!("dbg", "!("),
        concat!("FIX", "ME"),
        concat!("TO", "DO"),
        concat!("XX", "X"),
        concat!("#[all", "ow("),
        concat!("#![all", "ow("),
        concat!("#[ign", "ore"),
    ];
    let mut found = Vec::new();
    for (path, text) in tracked_texts().into_iter().filter(|(path, _)| !path.ends_with("-lock.json")) {
        for (line, number) in text.lines().zip(1..) {
            let bad =
                words.iter().filter(|word| line.contains(*word) || line.to_lowercase().contains(concat!("fix", "me")));
            found.extend(bad.take(1).map(|word| format!("{path}, line {number}: {word}")));
        }
    }
    none("words that may not stand in the tree", &found);
}

#[test]
fn no_file_knows_a_machine_or_a_registry() {
    let words = [
        concat!("/wo", "rk/"),
        concat!("/tm", "p/"),
        concat!("/ro", "ot/"),
        concat!("/ho", "me/"),
        concat!("C:\\Us", "ers"),
        concat!("registry.np", "mjs"),
        concat!("registry.yarn", "pkg"),
        concat!("index.crates", ".io"),
        concat!("static.crates", ".io"),
        concat!("py", "pi.org"),
        concat!("\"resolved\": \"", "http"),
    ];
    let mut found = Vec::new();
    for (path, text) in tracked_texts() {
        for (line, number) in text.lines().zip(1..) {
            let bad = words.iter().filter(|word| line.contains(*word));
            found.extend(bad.map(|word| format!("{path}, line {number}: {word}")));
        }
    }
    none("paths of a machine or hosts of a registry", &found);
}

#[test]
fn every_dependency_has_its_reason() {
    let manifest = std::fs::read_to_string(root().join("Cargo.toml")).expect("there is a Cargo.toml");
    let reasons = std::fs::read_to_string(root().join("DEVELOPERS.md")).expect("there is a DEVELOPERS.md");
    let mut section = "";
    let mut names = Vec::new();
    for line in manifest.lines() {
        if line.starts_with('[') {
            section = line;
        } else if matches!(section, "[dependencies]" | "[dev-dependencies]")
            && let Some((name, _)) = line.split_once('=')
        {
            names.push(name.trim());
        }
    }
    assert!(names.len() > 10, "the manifest is read");
    // A reason is more than the name alone on its line.
    let given =
        |name: &str| reasons.lines().any(|line| line.contains(&format!("`{name}`")) && line.len() > name.len() + 30);
    let without: Vec<&str> = names.into_iter().filter(|name| !given(name)).collect();
    assert!(without.is_empty(), "dependencies without a reason in DEVELOPERS.md: {without:?}");
}
