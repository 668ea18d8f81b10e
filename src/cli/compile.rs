//! `casewright compile`: a library becomes a site.

use super::args::{Compile, Format};
use super::exit::Exit;
use super::terminal::{Terminal, tally};
use crate::analyse::analyse;
use crate::diag::{Severity, Tally, human, json};
use crate::discover::discover;
use crate::files::Disk;
use crate::model::site::{Page, PageError, Site};
use crate::pipeline::{self, Prepared};
use crate::publish::{self, PublishError, Published, Recall, Way};
use crate::render::{Theme, render};
use crate::text::{count, list};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

/// Work shorter than this shows no progress: a line that flashes by tells nobody anything.
const PATIENCE: Duration = Duration::from_millis(800);

/// Compiles and publishes; nothing is written if a case is faulty, unless faulty ones are left out.
pub(crate) fn run(options: &Compile, terminal: &Terminal) -> Exit {
    match options.threads.map(|threads| rayon::ThreadPoolBuilder::new().num_threads(threads).build()) {
        None => compile(options, terminal),
        Some(Ok(pool)) => pool.install(|| compile(options, terminal)),
        Some(Err(error)) => {
            terminal.could_not(&format!("could not start the threads: {error}"));
            Exit::CouldNotRun
        }
    }
}

fn compile(options: &Compile, terminal: &Terminal) -> Exit {
    #[expect(
        clippy::disallowed_methods,
        reason = "the time a compile took is told to the person, never written to the site"
    )]
    let begun = Instant::now();
    let recall = super::remembered::recall(options);
    if super::export::is_export(&options.into) {
        terminal
            .could_not(&format!("`{}` holds an export; choose another folder for the site", options.into.display()));
        return Exit::CouldNotRun;
    }
    let inputs = match discover(&Disk::new(&options.library, std::slice::from_ref(&options.into))) {
        Ok(inputs) => inputs,
        Err(why) => {
            terminal.could_not(&why);
            return Exit::CouldNotRun;
        }
    };
    let audience = options.audience.into();
    let recalling = recall.as_ref().map(|recall| pipeline::Recalling::new(recall, &inputs));
    let prepared = match &recalling {
        Some(recalling) => pipeline::prepare_with(inputs, audience, recalling),
        None => pipeline::prepare(inputs, audience),
    };
    if options.format == Format::Text {
        // Advice is for those who proofread; here it would hide what went wrong.
        let pressing: Vec<_> =
            prepared.diagnostics.iter().filter(|it| it.severity() != Severity::Advice).cloned().collect();
        terminal.report(&pressing, &prepared.inputs.sources);
    }
    let errors = Tally::of(&prepared.diagnostics).errors;
    let overdue = overdue(options, &prepared);
    if let Some(exit) = refuse(options, terminal, &prepared, errors, &overdue) {
        return exit;
    }
    let mut made = make(recall.as_ref(), options, terminal, &prepared, &prepared.inputs.theme);
    if let Err(Failure::Theme(errors)) = &made
        && !overdue.is_empty()
    {
        terminal.faulty_theme(errors);
        made = make(recall.as_ref(), options, terminal, &prepared, &BTreeMap::new());
    }
    match made {
        Err(Failure::Theme(errors)) => {
            terminal.faulty_theme(&errors);
            terminal.tell("Nothing was written.\n");
            Exit::CouldNotRun
        }
        Err(Failure::Disk(error)) => {
            terminal.could_not(&error.to_string());
            Exit::CouldNotRun
        }
        Ok((published, pages)) => {
            // Where it cannot be kept the next compile takes longer, and that is all.
            let _ = recall.map(Recall::save);
            let summary = Summary::of(&prepared, &published, pages, overdue, options, begun.elapsed());
            match options.format {
                Format::Json => terminal.say_json(&summary),
                Format::Text => terminal.tell(&summary.words(&prepared, &published)),
            }
            if errors == 0 { Exit::Fine } else { Exit::Problems }
        }
    }
}

/// Why no site was published.
enum Failure {
    /// The theme does not hold.
    Theme(Vec<PageError>),
    /// The folder could not be written.
    Disk(PublishError),
}

/// Renders and publishes with these theme files of the library; gives what was published, and of how many files.
fn make(
    recall: Option<&Recall>,
    options: &Compile,
    terminal: &Terminal,
    prepared: &Prepared,
    theme: &BTreeMap<String, Vec<u8>>,
) -> Result<(Published, usize), Failure> {
    let theme = Theme::new(theme).map_err(Failure::Theme)?;
    let corpus = &prepared.checked.corpus;
    let analysis = analyse(corpus);
    let made = AtomicUsize::new(0);
    let mut site = render(corpus, &analysis, &theme).map_err(Failure::Theme)?;
    let pages = site.pages.len();
    count_pages(&mut site, &made);
    let how = publish::Options { change_audience: options.change_audience, recall, ..publish::Options::default() };
    let published = std::thread::scope(|scope| {
        let (done, wait) = std::sync::mpsc::channel::<()>();
        let watched = terminal.watched && options.format == Format::Text;
        let made = &made;
        scope.spawn(move || {
            let mut pause = PATIENCE;
            // Each wait that runs out shows how far the pages are; the channel closes when publishing ends.
            while watched && wait.recv_timeout(pause) == Err(std::sync::mpsc::RecvTimeoutError::Timeout) {
                pause = Duration::from_millis(200);
                terminal.progress(&format!("{} of {pages} pages made", made.load(Ordering::Relaxed).min(pages)));
            }
            if pause < PATIENCE {
                terminal.progress("");
            }
        });
        let published = publish::publish(&site, &options.into, &how);
        drop(done);
        published
    });
    match published {
        Ok(published) => Ok((published, pages)),
        Err(PublishError::Page(error)) => Err(Failure::Theme(vec![error])),
        Err(error) => Err(Failure::Disk(error)),
    }
}

/// Cases that the standing site shows and that may not be there any more: consent or audience bar them, or their file is
/// gone. For them a compile waits for nobody's errors.
fn overdue(options: &Compile, prepared: &Prepared) -> Vec<String> {
    let Some(standing) = publish::standing(&options.into) else { return Vec::new() };
    let pages = standing.files.keys().filter_map(|path| path.as_str().strip_prefix("cases/")?.strip_suffix(".html"));
    let names = pages.map(|page| page.strip_suffix("-ask").or(page.strip_suffix("-source")).unwrap_or(page));
    gone(names, prepared)
}

/// Those of these cases that may not be shown any more, or whose file is gone, in order of name.
pub(super) fn gone<'n>(names: impl Iterator<Item = &'n str>, prepared: &Prepared) -> Vec<String> {
    let read = prepared.inputs.cases.iter().map(|case| case.name.as_str());
    let unread = prepared.inputs.unread.iter().filter_map(|path| path.rsplit('/').next()?.strip_suffix(".md"));
    let mut stays: BTreeSet<&str> = read.chain(unread).collect();
    for name in &prepared.checked.barred {
        stays.remove(name.as_str());
    }
    let gone: BTreeSet<&str> = names.filter(|name| !stays.contains(name)).collect();
    gone.into_iter().map(str::to_owned).collect()
}

/// Stops before anything is written where that is what the person must see first.
fn refuse(
    options: &Compile,
    terminal: &Terminal,
    prepared: &Prepared,
    errors: usize,
    overdue: &[String],
) -> Option<Exit> {
    if !overdue.is_empty() {
        return None;
    }
    // A fault outside the cases (vocabulary, library.yaml) cannot be left out with a case.
    let faulty = &prepared.checked.faulty;
    let elsewhere = prepared
        .diagnostics
        .iter()
        .filter(|it| it.severity() == Severity::Error)
        .find(|it| !faulty.iter().any(|path| belongs(path, &it.path)));
    let why = match (errors, options.leave_out_faulty, elsewhere) {
        (0, ..) => None,
        (_, true, Some(fault)) => {
            Some(format!("the error in {} is not in a case, so no case can be left out for it", fault.path))
        }
        (_, false, Some(_)) => Some(format!("{}. Mend what is wrong and compile again", tally(&prepared.diagnostics))),
        (_, false, None) => Some(format!(
            "{} in {}. Mend them, or publish the sound cases with --leave-out-faulty",
            tally(&prepared.diagnostics),
            count(faulty.len(), "case"),
        )),
        (_, true, None) => None,
    };
    let why = why.or_else(|| {
        let audience = prepared.checked.corpus.audience().word();
        let none = prepared.checked.corpus.cases().is_empty();
        none.then(|| format!("there is no case to publish for the audience `{audience}`"))
    })?;
    match options.format {
        Format::Json => {
            let report = json::value(&prepared.diagnostics, &prepared.inputs.sources);
            terminal.say_json(&Refused { published: false, why, report });
        }
        Format::Text => terminal.tell(&format!("Nothing was written: {why}.\n")),
    }
    Some(Exit::Problems)
}

/// Why nothing was written, for programs.
#[derive(Serialize)]
struct Refused {
    published: bool,
    why: String,
    report: serde_json::Value,
}

/// Whether a path is the case's Markdown or its side file.
fn belongs(markdown: &str, path: &str) -> bool {
    path == markdown || markdown.strip_suffix(".md").is_some_and(|stem| path == format!("{stem}.yaml"))
}

/// Lets every page count itself when it is made.
fn count_pages<'a>(site: &mut Site<'a>, made: &'a AtomicUsize) {
    for (_, page) in site.pages.values_mut() {
        if let Page::Made(maker) = page {
            let inner = std::mem::replace(maker, Box::new(|| Ok(Vec::new())));
            *maker = Box::new(move || {
                made.fetch_add(1, Ordering::Relaxed);
                inner()
            });
        }
    }
}

/// What was done, for people and programs.
#[derive(Serialize)]
struct Summary {
    published: bool,
    report: serde_json::Value,
    cases: usize,
    left_out: Vec<String>,
    withheld: usize,
    /// Cases that the site showed until now and may show no longer.
    taken_down: Vec<String>,
    pages: usize,
    written: usize,
    unchanged: usize,
    removed: Vec<String>,
    delete_elsewhere: Vec<String>,
    bytes: u64,
    audience: &'static str,
    exchanged: bool,
    rolled_forward: bool,
    foreign: Vec<String>,
    seconds: f64,
    open: String,
}

impl Summary {
    fn of(
        prepared: &Prepared,
        published: &Published,
        pages: usize,
        taken_down: Vec<String>,
        options: &Compile,
        took: Duration,
    ) -> Self {
        Self {
            published: true,
            report: json::value(&prepared.diagnostics, &prepared.inputs.sources),
            cases: prepared.checked.corpus.cases().len(),
            left_out: prepared.checked.faulty.clone(),
            withheld: prepared.checked.withheld,
            taken_down,
            pages,
            written: published.written,
            unchanged: published.unchanged,
            removed: published.removed.clone(),
            delete_elsewhere: gathered(&published.removed),
            bytes: published.bytes,
            audience: published.audience.word(),
            exchanged: published.way == Way::Exchange,
            rolled_forward: published.rolled_forward,
            foreign: published.foreign.clone(),
            seconds: took.as_secs_f64(),
            open: options.into.join("index.html").display().to_string(),
        }
    }

    fn words(&self, prepared: &Prepared, published: &Published) -> String {
        let mut out = String::new();
        if self.rolled_forward {
            out.push_str("An earlier compile had stopped half-way; its journal was carried through first.\n");
        }
        let mut parts = vec![count(self.cases, "case"), count(self.pages, "file")];
        parts.push(format!("{} written, {} unchanged, {} removed", self.written, self.unchanged, self.removed.len()));
        out.push_str(&format!(
            "{} in {:.1} s, for the audience `{}`.\n",
            parts.join(", "),
            self.seconds,
            self.audience
        ));
        if !self.left_out.is_empty() {
            out.push_str(&format!(
                "Left out for their errors: {} ({}).\n",
                list(&self.left_out, "and"),
                human::tally(Tally::of(&prepared.diagnostics))
            ));
        }
        if !self.taken_down.is_empty() {
            let waited = if Tally::of(&prepared.diagnostics).errors > 0 {
                " The site was published for that, without waiting until the errors are mended."
            } else {
                ""
            };
            out.push_str(&format!(
                "Taken down, since it is withdrawn, not for these readers, or gone from the library: {}.{waited} Delete copies of their pages elsewhere.\n",
                list(&self.taken_down, "and")
            ));
        }
        let advice = Tally::of(&prepared.diagnostics).advice;
        if advice > 0 {
            let words = human::tally(Tally { advice, ..Tally::default() });
            out.push_str(&format!("Besides, {words}: `casewright proofread` shows it.\n"));
        }
        if self.withheld > 0 {
            out.push_str(&format!("Withheld by consent or audience: {}.\n", count(self.withheld, "case")));
        }
        if published.way == Way::Journal {
            out.push_str("The folder could not be exchanged in one step here, so files were replaced one by one.\n");
        }
        if !self.delete_elsewhere.is_empty() {
            out.push_str("No longer in the site; delete these wherever it was copied to:\n");
            for path in &self.delete_elsewhere {
                out.push_str(&format!("  {path}\n"));
            }
            out.push_str(
                "Pages that stay have changed as well: put the whole of this site in the place of every copy.\n",
            );
        }
        if !self.foreign.is_empty() {
            out.push_str(&format!("Kept, though not ours: {}.\n", list(&self.foreign, "and")));
        }
        out.push_str(&format!("Open {} in a browser.\n", self.open));
        out
    }
}

/// Files that are gone, an index of the search as the one folder that it lies in.
fn gathered(removed: &[String]) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for path in removed {
        let index = path.strip_prefix("find/").and_then(|rest| rest.split_once('/'));
        let path = index.map_or_else(|| path.clone(), |(folder, _)| format!("find/{folder}/"));
        if out.last() != Some(&path) {
            out.push(path);
        }
    }
    out
}
