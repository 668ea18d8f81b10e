//! `casewright export`: a library in open formats.

use super::args::{Export, Format};
use super::compile::gone;
use super::exit::Exit;
use super::terminal::{Terminal, tally};
use crate::analyse::analyse;
use crate::diag::{Severity, Tally, json};
use crate::discover::discover;
use crate::export::{DESCRIPTOR, export};
use crate::files::{Disk, Files};
use crate::pipeline::{self, Prepared};
use crate::publish::{self, Manifest, Published};
use crate::text::{count, list};
use serde::Serialize;
use std::path::Path;

/// Checks and exports; nothing is written if anything is faulty, unless a case has to leave the standing export.
pub(crate) fn run(options: &Export, terminal: &Terminal) -> Exit {
    if is_site(&options.into) {
        let into = options.into.display();
        terminal.could_not(&format!("`{into}` holds a site; choose another folder for the export"));
        return Exit::CouldNotRun;
    }
    let inputs = match discover(&Disk::new(&options.library, std::slice::from_ref(&options.into))) {
        Ok(inputs) => inputs,
        Err(why) => {
            terminal.could_not(&why);
            return Exit::CouldNotRun;
        }
    };
    let prepared = pipeline::prepare(inputs, options.audience.into());
    if options.format == Format::Text {
        let pressing: Vec<_> =
            prepared.diagnostics.iter().filter(|it| it.severity() != Severity::Advice).cloned().collect();
        terminal.report(&pressing, &prepared.inputs.sources);
    }
    let report = json::value(&prepared.diagnostics, &prepared.inputs.sources);
    let taken_out = overdue(&options.into, &prepared);
    if let Some(why) = refused(&prepared).filter(|_| taken_out.is_empty()) {
        match options.format {
            Format::Json => terminal.say_json(&Refused { exported: false, why, report }),
            Format::Text => terminal.tell(&format!("Nothing was written: {why}.\n")),
        }
        return Exit::Problems;
    }
    let corpus = &prepared.checked.corpus;
    let site = export(corpus, &analyse(corpus));
    let how = publish::Options { change_audience: options.change_audience, ..publish::Options::default() };
    match publish::publish(&site, &options.into, &how) {
        Err(error) => {
            terminal.could_not(&error.to_string());
            Exit::CouldNotRun
        }
        Ok(published) => {
            let summary = Summary {
                exported: true,
                report,
                cases: corpus.cases().len(),
                withheld: prepared.checked.withheld,
                files: site.pages.len(),
                written: published.written,
                unchanged: published.unchanged,
                removed: &published.removed,
                foreign: &published.foreign,
                taken_out: &taken_out,
                audience: published.audience.word(),
            };
            match options.format {
                Format::Json => terminal.say_json(&summary),
                Format::Text => terminal.tell(&summary.words(&published, &options.into)),
            }
            if Tally::of(&prepared.diagnostics).errors > 0 { Exit::Problems } else { Exit::Fine }
        }
    }
}

/// Cases of the standing export that may not be in it any more: for them an export waits for nobody's errors, as a compile.
fn overdue(into: &Path, prepared: &Prepared) -> Vec<String> {
    if !is_export(into) {
        return Vec::new();
    }
    // The first field of a case is its name, which needs no quotes.
    let cases = Disk::new(into, &[]).read("cases.csv").unwrap_or_default();
    let cases = String::from_utf8_lossy(&cases);
    gone(cases.lines().skip(1).filter_map(|line| line.split(',').next()), prepared)
}

/// Whether a folder holds an export of ours. Site and export never take one another's place.
pub(super) fn is_export(folder: &Path) -> bool {
    publish::standing(folder).is_some_and(|standing| is_descriptor_in(&standing))
}

fn is_site(folder: &Path) -> bool {
    publish::standing(folder).is_some_and(|standing| !is_descriptor_in(&standing))
}

fn is_descriptor_in(standing: &Manifest) -> bool {
    standing.files.keys().any(|path| path.as_str() == DESCRIPTOR)
}

/// Why nothing is exported, if that is so.
fn refused(prepared: &Prepared) -> Option<String> {
    if Tally::of(&prepared.diagnostics).errors > 0 {
        return Some(format!("{}. Mend what is wrong and export again", tally(&prepared.diagnostics)));
    }
    let corpus = &prepared.checked.corpus;
    let none = corpus.cases().is_empty();
    none.then(|| format!("there is no case to export for the audience `{}`", corpus.audience().word()))
}

/// Why nothing was written, for programs.
#[derive(Serialize)]
struct Refused {
    exported: bool,
    why: String,
    report: serde_json::Value,
}

/// What was done, for people and programs.
#[derive(Serialize)]
struct Summary<'a> {
    exported: bool,
    report: serde_json::Value,
    cases: usize,
    withheld: usize,
    files: usize,
    written: usize,
    unchanged: usize,
    removed: &'a [String],
    foreign: &'a [String],
    /// Cases that the export held until now and may hold no longer.
    taken_out: &'a [String],
    audience: &'static str,
}

impl Summary<'_> {
    fn words(&self, published: &Published, into: &Path) -> String {
        let mut out = format!(
            "{}, {}: {} written, {} unchanged, {} removed, for the audience `{}`.\n",
            count(self.cases, "case"),
            count(self.files, "file"),
            self.written,
            self.unchanged,
            self.removed.len(),
            self.audience
        );
        if !self.taken_out.is_empty() {
            out.push_str(&format!(
                "Taken out, since it is withdrawn, not for these readers, or gone from the library: {}. For that the export \
                 did not wait until all errors are mended; cases with errors are left out.\n",
                list(self.taken_out, "and")
            ));
        }
        if self.withheld > 0 {
            out.push_str(&format!("Withheld by consent or audience: {}.\n", count(self.withheld, "case")));
        }
        if !published.foreign.is_empty() {
            out.push_str(&format!("Kept, though not ours: {}.\n", list(&published.foreign, "and")));
        }
        out.push_str(&format!(
            "{} says what the tables hold. Copies elsewhere do not follow when a case is withdrawn: export again and replace them.\n",
            into.join(DESCRIPTOR).display()
        ));
        out
    }
}
