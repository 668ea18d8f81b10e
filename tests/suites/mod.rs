//! Literate suites: one Markdown file a rule, `RULE.md`, that shows the rule firing and not firing.
//!
//! # How a suite is written
//!
//! The first heading is the rule's name. Each `## ` section is one test: prose, then files as fenced blocks of backticks. The
//! info string is a language and `file=PATH`:
//!
//! - `yaml file=a.md` holds fields that take the place of those of the base case (`tests/support/base.md`) or are added to it;
//!   `without=eye,consent` takes fields away. An empty block is the base case itself.
//! - `md file=a.md` holds the narrative that takes the place of the base case's.
//! - `whole` means that the block is the whole file. Files other than `.md` are always whole.
//! - `link file=notes.md` is a symbolic link with the block's text as target; the section then runs in a folder on disk.
//! - `encoding=latin-1`, `encoding=utf-16`, `encoding=hex` (the bytes of a file that is no text) and `fill=N` (the text again and again up to N bytes) make odd files.
//! - A file of the first level that ends in `.vtt`, `.srt` or `.txt` is read as a narration.
//! - `⇥`, `⍽` and `␀` stand for a tab, a no-break space and a zero byte.
//!
//! What is expected stands under the line, with the marks of a report under the exact characters:
//!
//! ```text
//! eye: lefft
//!      ~~~~~ error unreadable-value: write `left`
//! ```
//!
//! After the colon may stand words that message or mend must contain. Such lines are not part of the file. A diagnostic about a
//! file as a whole is a quotation after the block: `> error no-library at library.yaml`; `, line 2, column 5` may follow where
//! no mark can stand. `> without library.yaml` takes that file away; `> for public` reads the library for the public. Whatever is said and not expected fails the section.

mod notation;
mod run;

use crate::support::root;
use notation::Suite;
use rayon::prelude::*;
use std::collections::BTreeSet;

/// Every suite of this folder, by the name of its file.
fn suites() -> Vec<(String, String)> {
    let folder = root().join("tests/suites");
    let mut suites: Vec<(String, String)> = std::fs::read_dir(folder)
        .expect("the folder of suites opens")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "md"))
        .map(|path| {
            let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
            (name, std::fs::read_to_string(&path).expect("a suite is readable"))
        })
        .collect();
    suites.sort();
    suites
}

#[test]
fn every_rule_has_a_suite_and_every_suite_a_rule() {
    let suites: BTreeSet<String> = suites().into_iter().map(|(name, _)| name).collect();
    let rules: BTreeSet<String> = casewright::rules::all().iter().map(|rule| rule.name.to_owned()).collect();
    let without: Vec<_> = rules.difference(&suites).collect();
    let beyond: Vec<_> = suites.difference(&rules).collect();
    assert!(
        without.is_empty() && beyond.is_empty(),
        "rules without a suite: {without:?}; suites without a rule: {beyond:?}"
    );
}

#[test]
fn every_suite_shows_its_rule_firing_and_not_firing() {
    for (name, text) in suites() {
        let suite = Suite::read(&text).unwrap_or_else(|why| panic!("{name}.md: {why}"));
        assert_eq!(suite.rule, name, "{name}.md names another rule in its heading");
        let fires = |section: &notation::Section| section.expected().any(|expected| expected.rule == name);
        assert!(suite.sections.iter().any(fires), "{name}.md never shows the rule firing");
        let quiet = suite.sections.iter().filter(|section| section.expected().next().is_none()).count();
        assert!(quiet > 0, "{name}.md never shows a library without a finding");
    }
}

#[test]
fn every_section_of_every_suite_holds() {
    let failures: Vec<String> = suites()
        .par_iter()
        .flat_map_iter(|(name, text)| {
            let suite = Suite::read(text).unwrap_or_else(|why| panic!("{name}.md: {why}"));
            suite.sections.into_iter().filter_map(move |section| {
                let why = run::section(&section).err()?;
                Some(format!("{name}.md, {}\n{why}", section.name))
            })
        })
        .collect();
    assert!(failures.is_empty(), "{} sections do not hold\n\n{}", failures.len(), failures.join("\n"));
}

/// The outcome of a suite of one section, given as its blocks.
fn outcome(blocks: &str) -> Result<(), String> {
    let suite = Suite::read(&format!("# sample\n\n## A section\n\n{blocks}"))?;
    run::section(&suite.sections[0])
}

#[test]
fn the_runner_itself_notices_what_is_missing_misplaced_or_unexpected() {
    let right = "```yaml file=a.md\neye: lefft\n     ~~~~~ error unreadable-value: write `left`\n```\n";
    assert_eq!(outcome(right), Ok(()));
    for (wrong, why) in [
        (right.replace("     ~~~~~", "    ~~~~~"), "not said"),
        (right.replace("~~~~~ error", "~~~~ error"), "not said"),
        (right.replace("error unread", "warning unread"), "not said"),
        (right.replace("unreadable-value", "unknown-term"), "not said"),
        (right.replace("write `left`", "write `middle`"), "not said"),
        (right.replace("lefft", "right"), "not said"),
        ("```yaml file=a.md\neye: lefft\n```\n".to_owned(), "not expected"),
        ("```yaml file=a.md\n```\n> error no-library at library.yaml\n".to_owned(), "not said"),
        ("```yaml file=a.md\n```\n> error no library\n".to_owned(), "cannot be read"),
        ("```yaml file=a.md hole\n```\n".to_owned(), "`hole`"),
        ("```yaml file=a.md\n".to_owned(), "never closed"),
    ] {
        let said = outcome(&wrong).expect_err(&wrong);
        assert!(said.contains(why), "{wrong}\n{said}");
    }
}
