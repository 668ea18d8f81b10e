//! `casewright proofread`: everything that is wrong; nothing is written.

use super::args::{For, Format, Proofread};
use super::contact_sheet;
use super::exit::Exit;
use super::terminal::{Terminal, tally};
use crate::analyse;
use crate::diag::Tally;
use crate::discover;
use crate::files::Disk;
use crate::model::site::Audience;
use crate::model::vocabulary::ConceptId;
use crate::model::vocabulary::Harm;
use crate::pipeline::{self, Prepared};
use crate::render::Theme;
use crate::text::count;

impl From<For> for Audience {
    fn from(typed: For) -> Self {
        match typed {
            For::Department => Self::Department,
            For::Public => Self::Public,
        }
    }
}

/// Reads, parses and checks a library and prints every diagnostic.
pub(crate) fn run(options: &Proofread, terminal: &Terminal) -> Exit {
    let inputs = match discover::discover(&Disk::new(&options.library, &[])) {
        Ok(inputs) => inputs,
        Err(why) => {
            terminal.could_not(&why);
            return Exit::CouldNotRun;
        }
    };
    let prepared = pipeline::prepare(inputs, options.audience.into());
    if options.singling_out {
        singling_out(&prepared, options.format, terminal);
        return Exit::Fine;
    }
    if options.not_taught {
        not_taught(&prepared, options.format, terminal);
        return Exit::Fine;
    }
    if let Some(dir) = &options.contact_sheet {
        return contact_sheet::make(&prepared, dir, terminal);
    }
    let theme = Theme::new(&prepared.inputs.theme).err().unwrap_or_default();
    match options.format {
        Format::Json => terminal.report_json(&prepared.diagnostics, &prepared.inputs.sources),
        Format::Text => {
            terminal.report(&prepared.diagnostics, &prepared.inputs.sources);
            terminal.faulty_theme(&theme);
            let cases = count(prepared.inputs.cases.len(), "case");
            terminal.tell(&format!("{cases} read: {}.\n", tally(&prepared.diagnostics)));
            if prepared.checked.corpus.cases().len() >= ENOUGH_TO_PLAN {
                terminal.tell(&advice(&prepared));
            }
        }
    }
    let errors = Tally::of(&prepared.diagnostics).errors;
    if errors == 0 && theme.is_empty() { Exit::Fine } else { Exit::Problems }
}

/// A smaller library teaches too little yet for its gaps to mean anything.
const ENOUGH_TO_PLAN: usize = 10;

/// One line on what no case shows.
fn advice(prepared: &Prepared) -> String {
    let corpus = &prepared.checked.corpus;
    let found = analyse::not_taught(corpus);
    let gravest = found.iter().filter(|it| corpus.vocabulary().get(it.concept).harm == Some(Harm::SightThreatening));
    let labels: Vec<&str> = gravest.map(|it| corpus.vocabulary().get(it.concept).label.value.as_str()).collect();
    if found.is_empty() {
        return String::new();
    }
    let first = match labels.len() {
        0 => String::new(),
        few if few <= 3 => format!(", the gravest {}", crate::text::list(&labels, "and")),
        many => format!(", among them {many} that threaten sight, such as {}", crate::text::list(&labels[..3], "and")),
    };
    format!(
        "Not yet taught: {} of the vocabulary{first}. `casewright proofread --not-taught` lists them with their neighbours.\n",
        count(found.len(), "complication")
    )
}

/// The advisory report of complications that no case shows.
fn not_taught(prepared: &Prepared, format: Format, terminal: &Terminal) {
    let vocabulary = prepared.checked.corpus.vocabulary();
    let label = |id: &ConceptId| vocabulary.get(*id).label.value.clone();
    let harm = |id: ConceptId| vocabulary.get(id).harm.map_or("", Harm::word);
    let found = analyse::not_taught(&prepared.checked.corpus);
    if format == Format::Json {
        let told = found.iter().map(|it| {
            let near: Vec<String> = it.near.iter().map(label).collect();
            serde_json::json!({ "complication": label(&it.concept), "harm": harm(it.concept), "near": near })
        });
        let told: Vec<serde_json::Value> = told.collect();
        terminal.say(&(serde_json::to_string_pretty(&told).unwrap_or_default() + "\n"));
        return;
    }
    let mut out = String::new();
    for it in &found {
        let near: Vec<String> = it.near.iter().map(label).collect();
        let near = if near.is_empty() { String::new() } else { format!("; near it: {}", near.join(", ")) };
        out.push_str(&format!("{} ({}){near}\n", label(&it.concept), harm(it.concept)));
    }
    out.push_str(&format!(
        "{} of the vocabulary in no case, gravest first. The site lists them on coverage.html.\n",
        count(found.len(), "complication")
    ));
    terminal.say(&out);
}

/// The advisory report of facts that few share.
fn singling_out(prepared: &Prepared, format: Format, terminal: &Terminal) {
    let found = analyse::singled_out(&prepared.checked.corpus);
    if format == Format::Json {
        let told: Vec<serde_json::Value> =
            found.iter().map(|it| serde_json::json!({ "case": it.case, "facts": it.facts })).collect();
        terminal.say(&(serde_json::to_string_pretty(&told).unwrap_or_default() + "\n"));
        return;
    }
    let mut out = String::new();
    for it in &found {
        let ways: Vec<String> = it.facts.iter().map(|facts| facts.join(" + ")).collect();
        out.push_str(&format!("{}: {}\n", it.case, ways.join("; ")));
    }
    let of = count(prepared.checked.corpus.cases().len(), "case");
    out.push_str(&format!(
        "{} of {of} stand alone with at most three facts. Who knows these of a neighbour knows which case it is: widen an age, leave out what does not teach, or ask again whether the patient agreed. Counted within this library, which is selected.\n",
        found.len()
    ));
    terminal.say(&out);
}
