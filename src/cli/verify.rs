//! `casewright verify`: whether a published folder is whole and untouched.

use super::args::{Format, Verify};
use super::exit::Exit;
use super::terminal::Terminal;
use crate::publish::{self, Verified};
use crate::text::count;
use serde::Serialize;

/// Compares every file with the manifest. What was not published is listed; among the pages it does harm.
pub(crate) fn run(options: &Verify, terminal: &Terminal) -> Exit {
    let verified = match publish::verify(&options.dir) {
        Ok(verified) => verified,
        Err(error) => {
            terminal.could_not(&error.to_string());
            return Exit::CouldNotRun;
        }
    };
    match options.format {
        Format::Json => terminal.say(&(serde_json::to_string_pretty(&Told::of(&verified)).unwrap_or_default() + "\n")),
        Format::Text => terminal.tell(&words(&verified)),
    }
    if verified.is_whole() { Exit::Fine } else { Exit::Problems }
}

/// What is told to programs.
#[derive(Serialize)]
struct Told<'a> {
    whole: bool,
    audience: &'static str,
    files: usize,
    missing: &'a [String],
    changed: &'a [String],
    foreign: &'a [String],
    unfinished: bool,
}

impl<'a> Told<'a> {
    fn of(verified: &'a Verified) -> Self {
        Self {
            whole: verified.is_whole(),
            audience: verified.manifest.audience.word(),
            files: verified.manifest.files.len(),
            missing: &verified.missing,
            changed: &verified.changed,
            foreign: &verified.foreign,
            unfinished: verified.unfinished,
        }
    }
}

fn words(verified: &Verified) -> String {
    let mut out = String::new();
    for (what, names) in
        [("missing", &verified.missing), ("changed", &verified.changed), ("not ours", &verified.foreign)]
    {
        for name in names {
            out.push_str(&format!("{what}: {}\n", printable(name)));
        }
    }
    if verified.unfinished {
        out.push_str("A compile stopped half-way: compile again, and it is carried through.\n");
    }
    let files = count(verified.manifest.files.len(), "file");
    let audience = verified.manifest.audience.word();
    out.push_str(&if verified.is_whole() {
        format!("Whole: {files} as they were published, for the audience `{audience}`.\n")
    } else {
        let strays = match verified.strays().count() {
            0 => String::new(),
            n => format!(
                " {} not ours among the pages: {} may be left of what was taken down; delete it or compile into a new folder.",
                count(n, "file"),
                if n == 1 { "it" } else { "they" }
            ),
        };
        format!(
            "Not whole: of {files}, {} missing and {} changed.{strays}\n",
            verified.missing.len(),
            verified.changed.len()
        )
    });
    out
}

/// A name as it may stand on a terminal: what controls one is written as an escape.
fn printable(name: &str) -> String {
    name.chars()
        .flat_map(|letter| if letter.is_control() { letter.escape_default().collect::<Vec<_>>() } else { vec![letter] })
        .collect()
}
