//! `casewright find`: the site's search in the terminal, by the same index and the same integers.

use super::args::{Find, Format};
use super::exit::Exit;
use super::terminal::Terminal;
use crate::analyse::analyse;
use crate::analyse::search::{Answer, How, Query, answer};
use crate::discover::discover;
use crate::files::Disk;
use crate::model::search::{Card, SearchIndex};
use crate::pipeline;
use crate::text::analyser::terms;
use crate::text::{count, list, nearest};
use serde::Serialize;
use std::collections::BTreeSet;

/// Searches a library; faulty cases are left out, as they would be of the site.
pub(crate) fn run(options: &Find, terminal: &Terminal) -> Exit {
    let inputs = match discover(&Disk::new(&options.library, &[])) {
        Ok(inputs) => inputs,
        Err(why) => {
            terminal.could_not(&why);
            return Exit::CouldNotRun;
        }
    };
    let prepared = pipeline::prepare(inputs, options.audience.into());
    let index = analyse(&prepared.checked.corpus).search;
    let mut choice = Vec::new();
    for only in &options.only {
        match value(&index, only) {
            Ok(value) => choice.push(value),
            Err(why) => {
                terminal.could_not(&why);
                return Exit::CouldNotRun;
            }
        }
    }
    let typed = options.words.join(" ");
    if typed.trim().is_empty() && choice.is_empty() && !options.filters {
        terminal.could_not("say what to find: words, or --only GROUP=NAME; --filters lists what that takes");
        return Exit::CouldNotRun;
    }
    let query = Query::new(&index, &typed, options.words_only);
    let found = answer(&index, &query, &choice, options.most);
    let told = Told::new(&index, &query, &choice, &found, options);
    match options.format {
        Format::Json => terminal.say(&(serde_json::to_string_pretty(&told).unwrap_or_default() + "\n")),
        Format::Text => terminal.say(&told.words(&found)),
    }
    if !prepared.checked.faulty.is_empty() {
        let faulty = count(prepared.checked.faulty.len(), "case");
        terminal.tell(&format!("Not searched, for their errors: {faulty}. `casewright proofread` tells which.\n"));
    }
    Exit::Fine
}

/// The value that `GROUP=NAME` means.
fn value(index: &SearchIndex, only: &str) -> Result<u32, String> {
    let catalogue = &index.catalogue;
    let names: Vec<&str> = catalogue.groups.iter().map(|group| group.name.as_str()).collect();
    let (group, name) = only.split_once('=').unwrap_or((only, ""));
    let Some(number) = names.iter().position(|known| *known == group) else {
        return Err(format!("`{only}` is no filter; write GROUP=NAME, where a group is {}", list(&names, "or")));
    };
    let of_group = || catalogue.values.iter().filter(|value| value.group as usize == number);
    let place = catalogue.values.iter().position(|value| value.group as usize == number && value.name == name);
    place.map(|place| place as u32).ok_or_else(|| {
        let near = nearest(name, of_group().map(|value| value.name.as_str()));
        let hint = near.map_or_else(
            || "; --filters lists what there is".to_owned(),
            |near| format!("; did you mean `{group}={near}`?"),
        );
        format!("no case has the {group} `{name}`{hint}")
    })
}

/// What is printed.
#[derive(Serialize)]
struct Told<'i> {
    /// Cases with every word.
    whole: usize,
    /// Cases with at least one.
    all: usize,
    /// Concepts whose other names were searched too.
    also_searched: Vec<&'i str>,
    /// Words that no case has, with what was searched instead.
    mended: Vec<Mended<'i>>,
    /// Whether for some pair of a phrase only the words are known.
    loose_phrase: bool,
    cases: Vec<Found<'i>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    filters: Vec<Filter<'i>>,
}

#[derive(Serialize)]
struct Mended<'i> {
    word: &'i str,
    searched: Vec<&'i str>,
}

#[derive(Serialize)]
struct Found<'i> {
    name: &'i str,
    title: &'i str,
    score: u32,
    /// Whether it has every word.
    whole: bool,
    because: Vec<&'i str>,
    lesson: &'i str,
}

#[derive(Serialize)]
struct Filter<'i> {
    only: String,
    label: &'i str,
    cases: u32,
}

impl<'i> Told<'i> {
    fn new(index: &'i SearchIndex, query: &'i Query, choice: &[u32], found: &Answer, options: &Find) -> Self {
        let catalogue = &index.catalogue;
        let named: BTreeSet<u32> = query.named.iter().flat_map(|named| named.concepts.iter().copied()).collect();
        let also: Vec<&str> = named.iter().map(|&at| catalogue.concepts[at as usize].label.as_str()).collect();
        let mut marks: BTreeSet<String> = query.marked().map(str::to_owned).collect();
        marks.extend(also.iter().flat_map(|label| terms(label)));
        let is_named = |at: usize| query.named.iter().any(|named| (named.from..named.from + named.words).contains(&at));
        let unnamed =
            query.units.iter().enumerate().filter(|(at, unit)| !unit.alternatives.is_empty() || !is_named(*at));
        let mended = unnamed.filter_map(|(_, unit)| {
            let searched: Vec<&str> = unit
                .alternatives
                .iter()
                .filter_map(|it| if let How::Mended(word) = &it.how { Some(word.as_str()) } else { None })
                .collect();
            (!searched.is_empty() || unit.alternatives.is_empty()).then_some(Mended { word: &unit.word, searched })
        });
        let finding = catalogue.groups.iter().position(|group| group.name == "finding");
        let cases = found.hits.iter().map(|hit| {
            let card = &index.cards[hit.document as usize];
            let value = |at: &u32| &catalogue.values[*at as usize];
            let hidden = options.hide_lessons;
            let because = card.stated.iter().filter(|at| {
                if hidden {
                    return Some(value(at).group as usize) == finding;
                }
                let words = terms(&value(at).label);
                choice.contains(at)
                    || also.contains(&value(at).label.as_str())
                    || (!words.is_empty()
                        && words.iter().filter(|word| marks.contains(*word)).count() * 2 >= words.len())
            });
            Found {
                name: &card.name,
                title: if hidden && !card.ask_title.is_empty() { &card.ask_title } else { &card.title },
                score: hit.score,
                whole: hit.whole,
                because: because.map(|at| value(at).label.as_str()).collect(),
                lesson: if hidden { "" } else { lesson(card, &marks) },
            }
        });
        let filters =
            catalogue.values.iter().zip(&found.counts).filter(|(_, cases)| **cases > 0).map(|(value, cases)| {
                let group = &catalogue.groups[value.group as usize];
                Filter { only: format!("{}={}", group.name, value.name), label: &value.label, cases: *cases }
            });
        Self {
            whole: found.whole,
            all: found.all,
            also_searched: also.clone(),
            mended: mended.collect(),
            loose_phrase: query.loose,
            cases: cases.collect(),
            filters: if options.filters { filters.collect() } else { Vec::new() },
        }
    }

    fn words(&self, found: &Answer) -> String {
        let mut out = String::new();
        for mended in &self.mended {
            let instead = if mended.searched.is_empty() {
                "or anything near it".to_owned()
            } else {
                format!("; searched for {}", list(&mended.searched, "and"))
            };
            out.push_str(&format!("No case has `{}` {instead}.\n", mended.word).replace(" ;", ";"));
        }
        if !self.also_searched.is_empty() {
            out.push_str(&format!("Also searched: every name of {}.\n", list(&self.also_searched, "and")));
        }
        if self.loose_phrase {
            out.push_str("Some words of a phrase are too rare to know whether they stand side by side.\n");
        }
        for (at, case) in self.cases.iter().enumerate() {
            if !case.whole && (at == 0 || self.cases[at - 1].whole) && found.whole > 0 {
                out.push_str("\nWith some of the words only:\n");
            }
            out.push_str(&format!("\n{:2}. {} ({})\n", at + 1, case.title, case.name));
            if !case.because.is_empty() {
                out.push_str(&format!("    {}\n", case.because.join(", ")));
            }
            if !case.lesson.is_empty() {
                out.push_str(&format!("    {}\n", case.lesson));
            }
        }
        let more = found.all - found.whole;
        out.push_str(&match (found.whole, more) {
            (0, 0) => "No case fits.\n".to_owned(),
            (0, some) => format!("\nNo case has all the words; {} with some of them.\n", count(some, "case")),
            (all, 0) => format!("\n{} in all.\n", count(all, "case")),
            (all, some) => format!("\n{} with all the words, {some} more with some of them.\n", count(all, "case")),
        });
        for filter in &self.filters {
            out.push_str(&format!("{:5}  --only {}\n", filter.cases, filter.only));
        }
        out
    }
}

/// The lesson that says most of what was asked.
fn lesson<'c>(card: &'c Card, marks: &BTreeSet<String>) -> &'c str {
    let strength =
        |text: &str| terms(text).into_iter().filter(|term| marks.contains(term)).collect::<BTreeSet<_>>().len();
    let best = card.lessons.iter().rev().max_by_key(|lesson| strength(lesson));
    best.map_or("", String::as_str)
}
