//! An edition: one state of the library, laid out as a site, from which pages are made when a browser asks.
//!
//! A site borrows from its corpus, its analysis and its theme, so one thread owns all four: it reads the library, checks
//! it, lays the site out, and then answers until nobody holds the edition any more. The index of the search is made when
//! it is first asked for, by a second thread: no page but the search needs it, and it takes longer than all else.

use super::memo::{Hash, Memo, Remembering, hash};
use crate::analyse;
use crate::diag::{Diagnostic, Severity, Tally, human};
use crate::discover::discover_knowing;
use crate::files::Disk;
use crate::model::analysis::Analysis;
use crate::model::corpus::Corpus;
use crate::model::inputs::{Inputs, MediaContent};
use crate::model::site::{Audience, CopyOf, Page, PageError, Site, SitePath, SmallerOf};
use crate::pipeline::{self, Prepared};
use crate::render::{Theme, render};
use crate::text::Source;
use hyper::body::Bytes;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::{Arc, mpsc};
use tokio::sync::oneshot;

/// What stands in an edition at a path.
#[derive(Debug)]
pub(super) enum Answer {
    /// A page or file, whole.
    Bytes(Bytes),
    /// A copy of a picture or film, to be made piece by piece.
    Copied(CopyOf),
    /// A smaller version of a picture.
    Smaller(SmallerOf),
    /// A page that its template could not make.
    Faulty(PageError),
    /// Nothing.
    Unknown,
    /// The thread that makes pages has ended: a fault of ours.
    Broken,
}

/// A question to an edition, and whom to tell the answer.
type Ask = (SitePath, oneshot::Sender<Answer>);

/// One state of the library, from which pages are made.
#[derive(Debug)]
pub(super) struct Edition {
    pages: mpsc::Sender<Ask>,
    search: mpsc::Sender<Ask>,
    /// Names of the cases that it shows.
    pub(super) cases: BTreeSet<String>,
    /// Hash of all that is searched: the page of the search is another one when it changes, though its bytes are the same.
    pub(super) content: Hash,
}

impl Edition {
    /// What stands at a path.
    pub(super) async fn page(&self, path: &SitePath) -> Answer {
        let (reply, answer) = oneshot::channel();
        let maker = if is_search(path) { &self.search } else { &self.pages };
        if maker.send((path.clone(), reply)).is_err() {
            return Answer::Broken;
        }
        answer.await.unwrap_or(Answer::Broken)
    }
}

/// Whether what stands at a path comes from the index of the search.
fn is_search(path: &SitePath) -> bool {
    path.as_str() == "search.js" || path.as_str().starts_with("find/")
}

/// What a round is about.
pub(super) struct Job {
    pub(super) library: PathBuf,
    pub(super) audience: Audience,
    pub(super) memo: Arc<Memo>,
    /// What the library held in the round before.
    pub(super) before: Option<Arc<Held>>,
    /// The cases that are shown now; `None` if nothing is shown yet.
    pub(super) shown: Option<BTreeSet<String>>,
    /// Pages that are open in browsers: a new edition that cannot make them is not shown.
    pub(super) open: Vec<SitePath>,
}

/// What a library held: path and hash of every file that counts, and what could not be read.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Held {
    files: BTreeMap<String, Hash>,
}

impl Held {
    fn of(inputs: &Inputs) -> Self {
        let sources: Vec<&Source> = inputs.sources.iter().collect();
        let of = |source: &&Source| (source.path.clone(), hash(source.text.as_bytes()));
        let mut files: BTreeMap<String, Hash> = sources.par_iter().map(of).collect();
        for (name, file) in &inputs.media {
            let content = match &file.content {
                MediaContent::Shown(shown) => *shown.original.as_bytes(),
                MediaContent::Text(_) => continue,
                other => hash(format!("{} {other:?}", file.size).as_bytes()),
            };
            files.insert(format!("media/{name}"), content);
        }
        files.extend(inputs.theme.iter().map(|(name, bytes)| (format!("theme/{name}"), hash(bytes))));
        // What stands at no other place: a stray link, a folder that is too deep.
        for diagnostic in inputs.diagnostics.iter().filter(|it| it.span.is_none()) {
            files.entry(diagnostic.path.clone()).or_insert_with(|| hash(diagnostic.message.as_bytes()));
        }
        Self { files }
    }

    /// The hash of a text.
    pub(super) fn of_text(&self, source: &Source) -> Hash {
        self.files.get(&source.path).copied().unwrap_or_else(|| hash(source.text.as_bytes()))
    }

    /// The paths that differ, in order.
    fn changed(&self, before: &Self) -> Vec<String> {
        let of = |one: &Self, other: &Self| -> BTreeSet<String> {
            one.files
                .iter()
                .filter(|(path, hash)| other.files.get(*path) != Some(hash))
                .map(|(path, _)| path.clone())
                .collect()
        };
        let mut changed = of(self, before);
        changed.extend(of(before, self));
        changed.into_iter().collect()
    }
}

/// How a round ended.
pub(super) enum Outcome {
    /// The library cannot be opened, and why.
    Unreadable(String),
    /// It holds what it held before.
    Same,
    /// It was read and checked.
    Read(Box<Reading>),
}

/// What a round found.
pub(super) struct Reading {
    pub(super) held: Arc<Held>,
    /// Paths that changed since the round before, in order.
    pub(super) changed: Vec<String>,
    /// How many cases there are, and how many of them were parsed anew.
    pub(super) cases: usize,
    pub(super) parsed: usize,
    pub(super) tally: Tally,
    /// Errors and warnings, as the terminal shows them.
    pub(super) words: String,
    /// The errors among them.
    pub(super) errors: String,
    /// What is wrong with the library's theme.
    pub(super) theme: Vec<PageError>,
    /// The new edition, if it is to be shown.
    pub(super) edition: Option<Arc<Edition>>,
    /// Cases that the new edition lacks for their errors.
    pub(super) left_out: Vec<String>,
}

/// Runs a round in a thread of its own, which then serves the edition it made.
pub(super) fn begin(job: Job) -> mpsc::Receiver<Outcome> {
    let (tell, told) = mpsc::sync_channel(1);
    // Without a thread nothing is told, which the receiver sees as a round that broke off.
    let _ = std::thread::Builder::new().name("edition".to_owned()).spawn(move || run(&job, &tell));
    told
}

fn run(job: &Job, tell: &mpsc::SyncSender<Outcome>) {
    let inputs = match read(job) {
        Ok(inputs) => inputs,
        Err(why) => return drop(tell.send(Outcome::Unreadable(why))),
    };
    let held = Arc::new(Held::of(&inputs));
    if job.before.as_ref().is_some_and(|before| **before == *held) {
        return drop(tell.send(Outcome::Same));
    }
    let turn = job.memo.turn(&inputs, &held, job.audience);
    let prepared = pipeline::prepare_with(inputs, job.audience, &turn);
    let mut reading = Reading {
        changed: job.before.as_ref().map_or_else(Vec::new, |before| held.changed(before)),
        held,
        cases: prepared.inputs.cases.len(),
        parsed: turn.parsed(),
        tally: Tally::of(&prepared.diagnostics),
        words: report(&prepared, Severity::Warning),
        errors: report(&prepared, Severity::Error),
        theme: Vec::new(),
        edition: None,
        left_out: Vec::new(),
    };
    let must = must_change(job, &prepared);
    if reading.tally.errors > 0 && !must {
        turn.finish(None);
        return drop(tell.send(Outcome::Read(Box::new(reading))));
    }
    reading.left_out.clone_from(&prepared.checked.faulty);
    let corpus = &prepared.checked.corpus;
    let alone = analyse::alone(corpus, &|case| turn.alone(case));
    let analysis = analyse::together(corpus, &alone);
    turn.finish(Some((corpus, &alone)));
    drop(alone);
    let mut theme = job.memo.theme(&prepared.inputs.theme);
    if let Err(errors) = &theme {
        reading.theme.clone_from(errors);
        if must {
            // Better the built-in looks than a case that may not be shown, or nothing at all.
            theme = job.memo.theme(&BTreeMap::new());
        }
    }
    let Ok(theme) = theme else { return drop(tell.send(Outcome::Read(Box::new(reading)))) };
    let site = match render(corpus, &analysis, &theme) {
        Ok(site) => site,
        Err(errors) => {
            reading.theme.extend(errors);
            return drop(tell.send(Outcome::Read(Box::new(reading))));
        }
    };
    for path in &job.open {
        if let Answer::Faulty(error) = answer(&site, path) {
            reading.theme.push(error);
        }
    }
    if !reading.theme.is_empty() && !must {
        return drop(tell.send(Outcome::Read(Box::new(reading))));
    }
    let ((pages, asked), (search, searched)) = (mpsc::channel(), mpsc::channel());
    let cases = corpus.cases().iter().map(|cleared| cleared.name.clone()).collect();
    let content = corpus.cases().iter().map(|cleared| format!("{}\n{}\n", cleared.name, cleared.case().content_hash));
    let content = hash(content.collect::<String>().as_bytes());
    reading.edition = Some(Arc::new(Edition { pages, search, cases, content }));
    if tell.send(Outcome::Read(Box::new(reading))).is_err() {
        return;
    }
    std::thread::scope(|scope| {
        // Each takes its questions along, so that they end unanswered if it panics.
        let (analysis, theme) = (&analysis, &theme);
        scope.spawn(move || search_on_demand(corpus, analysis, theme, searched));
        serve(&site, asked);
    });
}

/// Reads the library.
fn read(job: &Job) -> Result<Inputs, String> {
    let files = Remembering::new(Disk::new(&job.library, &[]), &job.memo);
    let inputs = discover_knowing(&files, &|name| files.known(name))?;
    files.keep(&inputs);
    Ok(inputs)
}

/// Whether the site must change even if something is wrong: nothing is shown yet, or a case is shown that may be shown no
/// longer, since it was withdrawn, is not for these readers, or is gone.
fn must_change(job: &Job, prepared: &Prepared) -> bool {
    let Some(shown) = &job.shown else { return true };
    let read = prepared.inputs.cases.iter().map(|case| case.name.as_str());
    let unread = prepared.inputs.unread.iter().filter_map(|path| path.rsplit('/').next()?.strip_suffix(".md"));
    let mut may: BTreeSet<&str> = read.chain(unread).collect();
    for name in &prepared.checked.barred {
        may.remove(name.as_str());
    }
    shown.iter().any(|name| !may.contains(name.as_str()))
}

/// The report of what is at least as heavy, as the terminal shows it.
fn report(prepared: &Prepared, least: Severity) -> String {
    let heavy = |it: &&Diagnostic| it.severity() == Severity::Error || it.severity() == least;
    let diagnostics: Vec<Diagnostic> = prepared.diagnostics.iter().filter(heavy).cloned().collect();
    human::report(&diagnostics, &prepared.inputs.sources)
}

/// Answers until nobody holds the edition.
fn serve(site: &Site<'_>, asked: mpsc::Receiver<Ask>) {
    for (path, reply) in asked {
        // Whoever asked may have gone away meanwhile.
        let _ = reply.send(answer(site, &path));
    }
}

/// The same for the search, whose index is made when it is first asked for.
fn search_on_demand(corpus: &Corpus, analysis: &Analysis, theme: &Theme, asked: mpsc::Receiver<Ask>) {
    let Ok((path, reply)) = asked.recv() else { return };
    let analysis = analyse::with_search(corpus, analysis.clone());
    // It was laid out a moment ago from the same theme, so there is no error now.
    let Ok(site) = render(corpus, &analysis, theme) else { return };
    let _ = reply.send(answer(&site, &path));
    serve(&site, asked);
}

fn answer(site: &Site<'_>, path: &SitePath) -> Answer {
    match site.pages.get(path).map(|(_, page)| page) {
        None => Answer::Unknown,
        Some(Page::Ready(bytes)) => Answer::Bytes(Bytes::copy_from_slice(bytes)),
        Some(Page::Made(make)) => make().map_or_else(Answer::Faulty, |bytes| Answer::Bytes(bytes.into())),
        Some(Page::Copied(copy)) => Answer::Copied((**copy).clone()),
        Some(Page::Smaller(smaller)) => Answer::Smaller((**smaller).clone()),
    }
}
