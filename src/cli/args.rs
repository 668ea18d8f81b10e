//! Arguments as typed. Nothing here looks at the world.

use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Compiles surgical teaching cases into a searchable static site.
#[derive(Debug, Parser)]
#[command(name = "casewright", version, about, max_term_width = 100)]
#[command(after_help = "Exit codes: 0 fine, 1 problems in the cases, 2 could not run.")]
pub(crate) struct Arguments {
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Compile a library into a folder that a browser can open.
    Compile(Compile),
    /// Show a library in a browser on this machine, again with every change; nothing is written.
    Preview(Preview),
    /// Say everything that is wrong with a library; nothing is written.
    Proofread(Proofread),
    /// Lay out a new library with two worked examples.
    Start(Start),
    /// Search the cases of a library, with the ranking of the site's search page.
    Find(Find),
    /// Explain how a case's indices come about, or what a diagnostic means and how to mend it.
    Explain(Explain),
    /// Say whether a published folder is whole and untouched.
    Verify(Verify),
    /// Write a library in open formats: tables as CSV, decisions as questions for learning platforms.
    Export(Export),
    /// Draft a case from a timed narration (WebVTT, SRT or plain text), and say what to ask its author.
    Draft(Draft),
    /// Print the JSON Schema of a case's fields, for editors.
    Schema(Schema),
}

/// For whom a site is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum For {
    /// Readers inside the department: every case.
    Department,
    /// Anybody: only cases whose audience is public.
    Public,
}

/// How data are printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Format {
    /// For people.
    Text,
    /// For programs.
    Json,
}

#[derive(Debug, Args)]
pub(crate) struct Compile {
    /// The library's folder.
    #[arg(default_value = ".")]
    pub(crate) library: PathBuf,
    /// The folder that becomes the site.
    #[arg(long, value_name = "DIR")]
    pub(crate) into: PathBuf,
    /// For whom the site is.
    #[arg(long = "for", value_enum, default_value = "department")]
    pub(crate) audience: For,
    /// Publish the sound cases and list the others.
    #[arg(long)]
    pub(crate) leave_out_faulty: bool,
    /// Allow a site for one audience to take the place of a site for another.
    #[arg(long)]
    pub(crate) change_audience: bool,
    /// Make every page anew, whatever an earlier compile remembers.
    #[arg(long)]
    pub(crate) afresh: bool,
    /// How many threads to use; all cores if not given.
    #[arg(long, value_name = "N")]
    pub(crate) threads: Option<usize>,
    /// How diagnostics and the summary are printed.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: Format,
}

#[derive(Debug, Args)]
pub(crate) struct Preview {
    /// The library's folder.
    #[arg(default_value = ".")]
    pub(crate) library: PathBuf,
    /// For whom the site is.
    #[arg(long = "for", value_enum, default_value = "department")]
    pub(crate) audience: For,
    /// The port on this machine, 0 for any that is free; without it 6424, or the next one that is free.
    #[arg(long, value_name = "N")]
    pub(crate) port: Option<u16>,
    /// Open the system's browser.
    #[arg(long)]
    pub(crate) open: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Proofread {
    /// The library's folder.
    #[arg(default_value = ".")]
    pub(crate) library: PathBuf,
    /// The audience for which the cases are read.
    #[arg(long = "for", value_enum, default_value = "department")]
    pub(crate) audience: For,
    /// Tell instead which few facts single a case out among the others.
    #[arg(long, conflicts_with = "contact_sheet")]
    pub(crate) singling_out: bool,
    /// Tell instead which complications of the vocabulary no case shows, and their nearest relatives that have one.
    #[arg(long, conflicts_with_all = ["contact_sheet", "singling_out"])]
    pub(crate) not_taught: bool,
    /// Make pictures of each film in this folder, to look at before somebody attests; needs ffmpeg.
    #[arg(long, value_name = "DIR")]
    pub(crate) contact_sheet: Option<PathBuf>,
    /// How diagnostics are printed.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: Format,
}

#[derive(Debug, Args)]
pub(crate) struct Start {
    /// The folder of the new library; it must not exist yet, or be empty.
    pub(crate) dir: PathBuf,
}

#[derive(Debug, Args)]
pub(crate) struct Explain {
    /// The name of a rule, as a diagnostic gives it, or of a case; without one, all rules are listed.
    pub(crate) what: Option<String>,
    /// The library in which a case is looked for.
    #[arg(long, value_name = "DIR", default_value = ".")]
    pub(crate) library: PathBuf,
    /// The audience for which the cases are read.
    #[arg(long = "for", value_enum, default_value = "department")]
    pub(crate) audience: For,
    /// How the explanation is printed.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: Format,
}

#[derive(Debug, Args)]
pub(crate) struct Verify {
    /// The published folder.
    pub(crate) dir: PathBuf,
    /// How the result is printed.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: Format,
}

#[derive(Debug, Args)]
pub(crate) struct Find {
    /// Words, abbreviations, or phrases in quotation marks of their own.
    pub(crate) words: Vec<String>,
    /// The library's folder.
    #[arg(long, value_name = "DIR", default_value = ".")]
    pub(crate) library: PathBuf,
    /// The audience for which the cases are read.
    #[arg(long = "for", value_enum, default_value = "department")]
    pub(crate) audience: For,
    /// Only cases that have this, as GROUP=NAME: complication=posterior-capsule-rupture. May be given several times.
    #[arg(long, value_name = "GROUP=NAME")]
    pub(crate) only: Vec<String>,
    /// List what --only takes, with the number of cases that fit.
    #[arg(long)]
    pub(crate) filters: bool,
    /// Search for the words alone, not for other names of what they mean.
    #[arg(long)]
    pub(crate) words_only: bool,
    /// Show titles and findings that give nothing away.
    #[arg(long)]
    pub(crate) hide_lessons: bool,
    /// How many cases to list.
    #[arg(long, value_name = "N", default_value_t = 10)]
    pub(crate) most: usize,
    /// How the list is printed.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: Format,
}

#[derive(Debug, Args)]
pub(crate) struct Export {
    /// The library's folder.
    #[arg(default_value = ".")]
    pub(crate) library: PathBuf,
    /// The folder that takes the tables and packages; it must not exist yet, be empty, or hold an earlier export.
    #[arg(long, value_name = "DIR")]
    pub(crate) into: PathBuf,
    /// For whom the export is.
    #[arg(long = "for", value_enum, default_value = "department")]
    pub(crate) audience: For,
    /// Allow an export for one audience to take the place of an export for another.
    #[arg(long)]
    pub(crate) change_audience: bool,
    /// How diagnostics and the summary are printed.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: Format,
}

#[derive(Debug, Args)]
pub(crate) struct Draft {
    /// The narration.
    pub(crate) narration: PathBuf,
    /// The library whose vocabulary and learnt mishearings are used; without one, only the built-in vocabulary.
    #[arg(long, value_name = "DIR")]
    pub(crate) library: Option<PathBuf>,
    /// The new case file; without it the draft is printed.
    #[arg(long, value_name = "FILE")]
    pub(crate) into: Option<PathBuf>,
    /// Keep the words themselves at the end of the case.
    #[arg(long)]
    pub(crate) transcript: bool,
    /// How the draft and the questions are printed.
    #[arg(long, value_enum, default_value = "text")]
    pub(crate) format: Format,
}

#[derive(Debug, Args)]
pub(crate) struct Schema {
    /// The library whose vocabulary the schema knows; without one, only the built-in vocabulary.
    pub(crate) library: Option<PathBuf>,
}
