//! `casewright explain`: what a rule looks for, why, and how to mend what it finds.

use super::args::{Explain, Format};
use super::exit::Exit;
use super::terminal::Terminal;
use crate::diag::Rule;
use crate::rules;
use crate::text::nearest;
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

/// Prints one rule, or the list of all.
pub(crate) fn run(options: &Explain, terminal: &Terminal) -> Exit {
    let all = rules::all();
    let Some(name) = &options.rule else {
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
    let Some(rule) = all.iter().find(|rule| rule.name == name) else {
        let hint = match nearest(name, all.iter().map(|rule| rule.name)) {
            Some(near) => format!("; did you mean `{near}`?"),
            None => "; `casewright explain` alone lists all rules".to_owned(),
        };
        terminal.could_not(&format!("no rule is called `{name}`{hint}"));
        return Exit::CouldNotRun;
    };
    match options.format {
        Format::Json => terminal.say(&as_json(&Item::from(*rule))),
        Format::Text => terminal.say(&rule.explanation()),
    }
    Exit::Fine
}

fn as_json<T: Serialize>(value: &T) -> String {
    serde_json::to_string_pretty(value).unwrap_or_default() + "\n"
}
