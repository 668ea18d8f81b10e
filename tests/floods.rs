//! Files that are wrong, or merely long, throughout: reading and reporting must grow with the file and no faster.
//!
//! A write-up has a few kilobytes; these have half a megabyte. Where the time grew with the square of that, it would be minutes
//! here, and hours at the four megabytes that are read at most.

use crate::support::{BASE, library, prepare};
use casewright::diag::{human, json};
use casewright::files::Memory;
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

/// About how many bytes a flood has.
const SIZE: usize = 500_000;

/// Far more than a flood takes on a slow machine, and far less than what grows with the square of its size.
const PATIENCE: Duration = Duration::from_secs(300);

/// The base case with another value of a field, which it may lack.
fn field(name: &str, value: &str) -> String {
    let Some(at) = BASE.find(&format!("\n{name}:")) else {
        return BASE.replacen("\n---\n", &format!("\n{name}: {value}\n---\n"), 1);
    };
    let rest = &BASE[at + 1..];
    let end = rest.match_indices('\n').map(|(end, _)| end + 1).find(|end| !rest[*end..].starts_with(' '));
    format!("{}\n{name}: {value}\n{}", &BASE[..at], &rest[end.expect("the front matter is closed")..])
}

/// The base case with fields before its own.
fn fields(more: &str) -> String {
    BASE.replacen("---\n", &format!("---\n{more}"), 1)
}

/// The base case with this narrative after its own.
fn narrative(text: &str) -> String {
    format!("{BASE}\n{text}\n")
}

/// The base case with other steps.
fn steps(steps: &str) -> String {
    field("operation", &format!("{{operators: [{{grade: consultant}}], steps: [{steps}]}}"))
}

/// The same again and again.
fn again(text: &str) -> String {
    text.repeat(SIZE / text.len())
}

/// Texts by number.
fn numbered(text: impl Fn(usize) -> String) -> String {
    let mut out = String::new();
    for number in 0.. {
        if out.len() >= SIZE {
            break;
        }
        out.push_str(&text(number));
    }
    out
}

/// A list of values.
fn list(items: &str) -> String {
    format!("[{items}]")
}

/// Prepares the library and makes both reports, in good time, and gives how much was said.
fn floods(what: &'static str, files: Memory) -> usize {
    let (done, wait) = channel();
    std::thread::spawn(move || {
        let prepared = prepare(&files);
        let reports =
            [human::report, json::report].map(|report| report(&prepared.diagnostics, &prepared.inputs.sources));
        let (read, told) = (files.files.values().map(Vec::len).sum::<usize>(), reports.map(|report| report.len()));
        // Every finding shows a line and says how to mend it, so a report is longer than the file; it must not be its square.
        let _ = done.send((prepared.diagnostics.len(), told.iter().all(|length| *length < 200 * read)));
    });
    match wait.recv_timeout(PATIENCE) {
        Ok((said, true)) => said,
        Ok((_, false)) => panic!("{what}: the report is out of all proportion"),
        Err(RecvTimeoutError::Timeout) => panic!("{what}: not done after {PATIENCE:?}"),
        Err(RecvTimeoutError::Disconnected) => panic!("{what}: it panics"),
    }
}

fn case(what: &'static str, text: String) -> usize {
    floods(what, library().with("a.md", text))
}

fn vocabulary(what: &'static str, text: String) -> usize {
    floods(what, library().with("a.md", BASE).with("vocabulary/ours.yaml", text))
}

#[test]
fn front_matter_that_is_wrong_throughout() {
    let drop = |what, text: String, least: usize| {
        let said = case(what, text);
        assert!(said >= least, "{what}: only {said} findings");
    };
    drop("unknown fields", fields(&numbered(|at| format!("k{at}: v\n"))), 40_000);
    drop("one field again and again", fields(&again("eye: left\n")), 40_000);
    drop("unknown terms", field("findings", &list(&numbered(|at| format!("wibbly lens {at}, ")))), 20_000);
    drop("curly quotes", field("lessons", &list(&again("“a”, "))), 50_000);
    drop("lists for texts", field("lessons", &list(&again("[], "))), 100_000);
    drop("fields that do not close", fields(&numbered(|at| format!("k{at}: [\n"))), 1);
    drop("colons", field("title", &again("a: ")), 1);
    let unknown = steps(&numbered(|at| format!("{{id: t{at}, do: phacoemulsification}}, ")));
    let unknown =
        unknown.replacen("complications: [", &format!("complications: [{}", again("{is: PCR, during: step9}, ")), 1);
    drop("steps that do not exist, among thousands that do", unknown, 15_000);
}

#[test]
fn narratives_that_are_wrong_throughout() {
    let drop = |what, text: String, least: usize| {
        let said = case(what, narrative(&text));
        assert!(said >= least, "{what}: only {said} findings");
    };
    drop("HTML on one line", again("a<b>"), 100_000);
    drop("HTML on many lines", again("a <b>\n"), 80_000);
    drop("links to no case", again("[a](case:nobody-here) "), 20_000);
    drop("links to no concept", numbered(|at| format!("[a](concept:caps-{at}) ")), 20_000);
    drop("pictures in pictures", format!("{}{}", "![".repeat(SIZE / 6), "](b)".repeat(SIZE / 6)), 1);
    drop("dates", again("2024-03-12 "), 40_000);
    drop(
        "decisions without a choice",
        numbered(|at| format!("```decision\nid: d{at}\nat: s3\nask: x\noptions: []\n```\n")),
        9_000,
    );
    drop("empty decisions", again("```decision\n```\n"), 30_000);
}

#[test]
fn what_is_long_and_not_wrong() {
    // A list without end is named once, however long it is.
    let quiet = |what, text: String| assert!(case(what, text) <= 2, "{what}");
    quiet("one finding again and again", field("findings", &list(&again("small pupil, "))));
    let both = field("findings", &list(&again("small pupil, ")));
    quiet("present and absent", both.replace("[pseudoexfoliation]", &list(&again("pseudoexfoliation, "))));
    let settings = list(&numbered(|at| format!("k{at}: 1 mm, "))).replace('[', "{").replace(']', "}");
    quiet("settings of a machine", steps(&format!("{{id: s3, do: phacoemulsification, settings: {settings}}}")));
    quiet("visits", field("before", &list(&again("{when: in clinic, acuity: {unaided: 6/9}}, "))));
    let cited = field("references", &list(&again("\"Seen on 2024-03-12.\", ")));
    quiet("dates where they may stand", cited);
    let steps =
        steps(&numbered(|at| format!("{{id: t{at}, do: phacoemulsification}}, "))).replace("during: s3", "during: t3");
    let decision = "options: [{choice: a, verdict: best, because: b}, {choice: c, verdict: risky, because: d}]";
    let decisions = numbered(|at| format!("```decision\nid: d{at}\nat: t{at}\nask: x\n{decision}\n```\n"));
    quiet("decisions at steps", format!("{steps}\n{decisions}"));
    for (what, text) in [
        ("brackets", again("[")),
        ("quotations in quotations", again("> ")),
        ("emphasis that never ends", again("*a _")),
        ("lists in lists", numbered(|at| format!("{}- a\n", " ".repeat(at % 600)))),
        ("footnotes", numbered(|at| format!("[^{at}] [^{at}]: a\n"))),
        ("a table", format!("|{}\n|{}\n{}", again("a|"), again("-|"), "|\n".repeat(SIZE / 4))),
        ("backticks", numbered(|at| format!("{} ", "`".repeat(at + 1)))),
    ] {
        quiet(what, narrative(&text));
    }
}

#[test]
fn vocabularies_that_are_long_or_wrong_throughout() {
    let concepts = |entries: &str| format!("kind: technique\nconcepts:\n{entries}");
    let aliases = list(&numbered(|at| format!("term {at}, ")));
    let said =
        vocabulary("terms for one concept", concepts(&format!("  - {{name: capsulorhexis, aliases: {aliases}}}\n")));
    assert_eq!(said, 0);
    let said =
        vocabulary("concepts that lack everything", concepts(&numbered(|at| format!("  - {{name: zz-{at}}}\n"))));
    assert!(said > 50_000, "{said}");
    let wider = list(&numbered(|at| format!("none-{at}, ")));
    let said = vocabulary(
        "wider concepts that do not exist",
        concepts(&format!("  - {{name: capsulorhexis, broader: {wider}}}\n")),
    );
    assert!(said > 30_000, "{said}");
    let chain = |at| {
        format!("  - {{name: zz-{at}, label: term {at}, definition: x, level: advanced, needs: [zz-{}]}}\n", at + 1)
    };
    assert_eq!(vocabulary("a chain of concepts", concepts(&numbered(chain))), 1, "its end leads nowhere");
}
