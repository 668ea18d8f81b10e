//! `casewright draft`: a case drafted from a timed narration, and what to ask its author.

use super::args::{Draft as Options, Format};
use super::exit::Exit;
use super::terminal::{Terminal, tally};
use crate::diag::{Report, Severity};
use crate::discover::{discover, lone_text};
use crate::draft::{self, Draft};
use crate::files::{Disk, Memory};
use crate::media::clock;
use crate::parse;
use crate::pipeline;
use crate::text::{capitalised, count};
use std::fmt::Write as _;
use std::path::Path;

/// Largest narration that is read, in bytes: twice that of 100,000 cues.
const LARGEST: u64 = 32 * 1024 * 1024;

/// Reads a narration, drafts a case and says what to ask.
pub(crate) fn run(options: &Options, terminal: &Terminal) -> Exit {
    match draft(options, terminal) {
        Ok(exit) => exit,
        Err(why) => {
            terminal.could_not(&why);
            Exit::CouldNotRun
        }
    }
}

fn draft(options: &Options, terminal: &Terminal) -> Result<Exit, String> {
    if let Some(into) = options.into.as_deref().filter(|into| into.exists()) {
        return Err(format!(
            "{} is there already, and a draft never takes the place of a case; name a new file",
            into.display()
        ));
    }
    let mut inputs = match &options.library {
        Some(library) => discover(&Disk::new(library, &[]))?,
        None => discover(&Memory::default())?,
    };
    inputs.diagnostics.clear();
    let bytes = read(&options.narration)?;
    let path = options.narration.to_string_lossy().replace('\\', "/");
    let (vocabulary, said) = pipeline::vocabulary(&inputs);
    let mut report = Report::default();
    report.extend(said);
    let narration = lone_text(&path, bytes, &mut inputs).and_then(|id| {
        let (narration, said) = parse::narration(inputs.sources.get(id)?);
        report.extend(said);
        Some(narration)
    });
    report.extend(std::mem::take(&mut inputs.diagnostics));
    let diagnostics = report.finish(&inputs.sources);
    let errors = diagnostics.iter().any(|it| it.severity() == Severity::Error);
    let Some(narration) = narration.filter(|_| !errors) else {
        match options.format {
            Format::Json => terminal.report_json(&diagnostics, &inputs.sources),
            Format::Text => {
                terminal.report(&diagnostics, &inputs.sources);
                terminal.tell(&format!("Nothing was drafted: {}.\n", tally(&diagnostics)));
            }
        }
        return Ok(Exit::Problems);
    };
    terminal.report(&diagnostics, &inputs.sources);
    let draft = draft::Drafter::new(&vocabulary).draft(&narration, options.transcript);
    if draft.entries.is_empty() {
        let why =
            format!("nothing of an operation was recognised in {}; nothing was drafted", options.narration.display());
        match options.format {
            Format::Json => terminal.say_json(&told(&Draft { text: String::new(), ..draft })),
            Format::Text => terminal.tell(&format!("{}.\n", capitalised(&why))),
        }
        return Ok(Exit::Problems);
    }
    match (&options.into, options.format) {
        (Some(into), _) => write(into, &draft.text)?,
        (None, Format::Text) => terminal.say(&draft.text),
        (None, Format::Json) => {}
    }
    match options.format {
        Format::Json => terminal.say_json(&told(&draft)),
        Format::Text => terminal.tell(&words(&draft)),
    }
    Ok(Exit::Fine)
}

#[expect(clippy::disallowed_methods, reason = "a narration lies outside any library; it is read here, once")]
fn read(path: &Path) -> Result<Vec<u8>, String> {
    let size = std::fs::metadata(path).map_err(|why| format!("cannot read {}: {why}", path.display()))?.len();
    if size > LARGEST {
        return Err(format!("{} is larger than any narration ({} bytes)", path.display(), size));
    }
    std::fs::read(path).map_err(|why| format!("cannot read {}: {why}", path.display()))
}

#[expect(clippy::disallowed_methods, reason = "the draft is a new file of the author's, not part of a site")]
fn write(path: &Path, text: &str) -> Result<(), String> {
    std::fs::write(path, text).map_err(|why| format!("cannot write {}: {why}", path.display()))
}

/// What to ask, for people.
fn words(draft: &Draft) -> String {
    let mut out = String::new();
    let of = |sure: draft::Sure| draft.entries.iter().filter(|entry| entry.sure == sure).count();
    let _ = writeln!(
        out,
        "{} drafted: {} certain, {} guessed, {} left blank. Each waits in `unreviewed` for you to compare it with the film.",
        count(draft.entries.len(), "value"),
        of(draft::Sure::Certain),
        of(draft::Sure::Guess),
        of(draft::Sure::Blank)
    );
    let (heard, missing): (Vec<_>, Vec<_>) = draft.asks.iter().partition(|ask| ask.at.is_some());
    if !missing.is_empty() {
        out.push_str("\nWhat a complete case still needs, what matters most first:\n");
        for ask in missing {
            let _ = writeln!(out, "  {} ({})", ask.what, ask.item);
        }
    }
    if !heard.is_empty() {
        out.push_str("\nHeard, and left blank:\n");
        for ask in heard {
            let _ = writeln!(
                out,
                "  {}  \"{}\": {}",
                clock(ask.at.unwrap_or_default()),
                ask.heard.as_deref().unwrap_or_default(),
                ask.what
            );
        }
    }
    if !draft.repairs.is_empty() {
        out.push_str(
            "\nTaken for misheard; where it is right, your vocabulary can learn it (vocabulary/misheard-KIND.yaml):\n",
        );
        for repair in &draft.repairs {
            let _ = writeln!(
                out,
                "  {}  \"{}\" for {}, likeness {:.2}: kind: {}, {{name: {}, misheard: [{}]}}",
                clock(repair.at),
                repair.heard,
                repair.label,
                repair.likeness,
                repair.kind,
                repair.concept,
                repair.heard
            );
        }
    }
    if !draft.identifying.is_empty() {
        out.push_str("\nMay identify a person; the draft quotes none of it, the recording still says it:\n");
        for it in &draft.identifying {
            let _ = writeln!(out, "  {}  {}", clock(it.at), it.rule);
        }
    }
    out
}

/// The same for programs.
fn told(draft: &Draft) -> serde_json::Value {
    serde_json::json!({
        "version": 1,
        "draft": draft.text,
        "asks": draft.asks.iter().map(|ask| serde_json::json!({
            "ask": ask.what, "item": ask.item, "at": ask.at, "heard": ask.heard,
        })).collect::<Vec<_>>(),
        "repairs": draft.repairs.iter().map(|it| serde_json::json!({
            "at": it.at, "heard": it.heard, "kind": it.kind, "concept": it.concept, "likeness": it.likeness,
        })).collect::<Vec<_>>(),
        "identifying": draft.identifying.iter().map(|it| serde_json::json!({ "at": it.at, "rule": it.rule })).collect::<Vec<_>>(),
    })
}
