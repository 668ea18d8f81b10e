//! `casewright preview`: a library in the browser, as it is being written.

use super::args::Preview;
use super::exit::Exit;
use super::terminal::Terminal;
use crate::diag::human;
use crate::preview::{self, Options, Round, Shows};
use crate::text::{count, list};
use std::net::SocketAddr;
use std::process::{Command, Stdio};

/// More changed files than these are counted, not named.
const NAMED: usize = 3;

/// Serves until Ctrl-C.
pub(crate) fn run(options: &Preview, terminal: &Terminal) -> Exit {
    let asked = Options { library: options.library.clone(), audience: options.audience.into(), port: options.port };
    let tell = |round: Round| Terminal::new().tell(&words(&round));
    let preview = match preview::start(&asked, tell) {
        Ok(preview) => preview,
        Err(why) => {
            terminal.could_not(&why);
            return Exit::CouldNotRun;
        }
    };
    let address = address(preview.address());
    terminal.tell(&format!("Open {address} in a browser. Ctrl-C ends the preview.\n"));
    if options.open
        && let Err(why) = open(&address)
    {
        terminal.could_not(&why);
    }
    let waited = preview.until_interrupted();
    drop(preview);
    match waited {
        Ok(()) => {
            terminal.tell("\nThe preview has ended; nothing was written.\n");
            Exit::Fine
        }
        Err(why) => {
            terminal.could_not(&why);
            Exit::CouldNotRun
        }
    }
}

fn address(address: SocketAddr) -> String {
    format!("http://{address}/")
}

/// What a round did, for people: what is wrong, then what changed, how much was done, and what browsers show.
fn words(round: &Round) -> String {
    let mut out = round.report.clone();
    if !round.changed.is_empty() {
        let changed = match round.changed.len() {
            few if few <= NAMED => list(&round.changed, "and"),
            many => count(many, "file"),
        };
        out.push_str(&format!("Changed: {changed}. "));
    }
    let faults =
        if round.theme > 0 { format!("; {} in the theme", count(round.theme, "fault")) } else { String::new() };
    out.push_str(&format!(
        "{} of {} read, {} ms: {}{faults}.",
        round.parsed,
        count(round.cases, "case"),
        round.took.as_millis(),
        human::tally(round.tally),
    ));
    out.push_str(&match &round.shows {
        Shows::Everything if round.theme == 0 => String::new(),
        Shows::Everything => " Shown with the built-in theme.".to_owned(),
        Shows::WithoutFaulty(left_out) => format!(" Shown without {}.", list(left_out, "and")),
        Shows::AsBefore => " Shown as it was before.".to_owned(),
        Shows::Nothing => " There is nothing to show yet.".to_owned(),
    });
    out.push('\n');
    out
}

/// Opens an address in the browser that the system prefers.
fn open(address: &str) -> Result<(), String> {
    let (program, arguments): (&str, &[&str]) = if cfg!(target_os = "macos") {
        ("open", &[])
    } else if cfg!(windows) {
        ("rundll32", &["url.dll,FileProtocolHandler"])
    } else {
        ("xdg-open", &[])
    };
    let started = Command::new(program)
        .args(arguments)
        .arg(address)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    // It runs on without us; a browser may stay open for hours.
    started.map(drop).map_err(|error| format!("could not open a browser with `{program}`: {error}"))
}
