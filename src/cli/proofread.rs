//! `casewright proofread`: everything that is wrong; nothing is written.

use super::args::{For, Format, Proofread};
use super::contact_sheet;
use super::exit::Exit;
use super::terminal::{Terminal, tally};
use crate::analyse::singled_out;
use crate::diag::Tally;
use crate::discover;
use crate::files::Disk;
use crate::model::site::Audience;
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
        }
    }
    let errors = Tally::of(&prepared.diagnostics).errors;
    if errors == 0 && theme.is_empty() { Exit::Fine } else { Exit::Problems }
}

/// The advisory report of facts that few share.
fn singling_out(prepared: &Prepared, format: Format, terminal: &Terminal) {
    let found = singled_out(&prepared.checked.corpus);
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
