//! `casewright explain`: what a rule looks for, why, and how to mend what it finds.

mod derive;

use super::args::{Explain, Format};
use super::exit::Exit;
use super::terminal::Terminal;
use crate::diag::Rule;
use crate::rules;
use crate::text::{capitalised, nearest};
use derive::Missing;
use serde::Serialize;

#[derive(Serialize)]
struct Item<'a> {
    rule: &'a str,
    severity: &'a str,
    what: &'a str,
    why: &'a str,
    instead_of: &'a str,
    write: &'a str,
    source: &'a str,
}

impl<'a> From<&'a Rule> for Item<'a> {
    fn from(rule: &'a Rule) -> Self {
        Self {
            rule: rule.name,
            severity: rule.severity.word(),
            what: rule.what,
            why: rule.why,
            instead_of: rule.instead_of,
            write: rule.write,
            source: rule.source,
        }
    }
}

/// Prints one rule, the list of all, or how the indices of a case come about.
pub(crate) fn run(options: &Explain, terminal: &Terminal) -> Exit {
    let all = rules::all();
    let Some(name) = &options.what else {
        match options.format {
            Format::Json => terminal.say(&as_json(&all.iter().map(|rule| Item::from(*rule)).collect::<Vec<_>>())),
            Format::Text => {
                for rule in all {
                    terminal.say(&format!("{:26} {:8} {}\n", rule.name, rule.severity.word(), rule.what));
                }
            }
        }
        return Exit::Fine;
    };
    if let Some(rule) = all.iter().find(|rule| rule.name == name) {
        match options.format {
            Format::Json => terminal.say(&as_json(&Item::from(*rule))),
            Format::Text => terminal.say(&rule.explanation()),
        }
        return Exit::Fine;
    }
    let hint = || match nearest(name, all.iter().map(|rule| rule.name)) {
        Some(near) => format!("no rule is called `{name}`; did you mean `{near}`?"),
        None => format!("no rule is called `{name}`; `casewright explain` alone lists all rules"),
    };
    match derive::run(name, options, terminal) {
        Ok(exit) => exit,
        // In a folder without cases somebody asked for a rule.
        Err(Missing::Library) => {
            terminal.could_not(&hint());
            Exit::CouldNotRun
        }
        Err(Missing::Case(near)) => {
            let case = match near {
                Some(near) => {
                    format!("no case is called `{name}` in {}; did you mean `{near}`?", options.library.display())
                }
                None => format!("no sound case is called `{name}` in {}", options.library.display()),
            };
            terminal.could_not(&format!("{case} {}", capitalised(&hint())));
            Exit::CouldNotRun
        }
    }
}

fn as_json<T: Serialize>(value: &T) -> String {
    serde_json::to_string_pretty(value).unwrap_or_default() + "\n"
}
