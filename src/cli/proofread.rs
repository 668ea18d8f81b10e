//! `casewright proofread`: everything that is wrong; nothing is written.

use super::args::{For, Format, Proofread};
use super::exit::Exit;
use super::terminal::{Terminal, tally};
use crate::diag::Tally;
use crate::discover;
use crate::files::Disk;
use crate::model::site::Audience;
use crate::pipeline;
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
