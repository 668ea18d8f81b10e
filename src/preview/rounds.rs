//! The rounds: each time something happened the library is read anew, and what is shown is exchanged if it may be.

use super::edition::{self, Edition, Held, Job, Outcome, Reading};
use super::memo::Memo;
use super::strip::Strip;
use super::watch::{Happened, Watch};
use super::{Round, Shows, world};
use crate::diag::human;
use crate::model::site::{Audience, PageError, SitePath};
use crate::text::list;
use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};
use tokio::sync::watch;

/// How many pages are remembered as open in browsers.
const OPEN: usize = 4;

/// What browsers are shown.
#[derive(Debug, Default)]
pub(super) struct Shown {
    /// The last edition that may be shown.
    pub(super) edition: Option<Arc<Edition>>,
    /// What stands above every page.
    pub(super) strip: Option<Strip>,
}

/// What the server and the rounds share.
pub(super) struct Shared {
    /// What is shown; the server waits for it to change.
    pub(super) shown: watch::Sender<Arc<Shown>>,
    open: Mutex<VecDeque<SitePath>>,
}

impl Shared {
    /// Nothing is shown yet.
    pub(super) fn new() -> Self {
        Self { shown: watch::Sender::new(Arc::default()), open: Mutex::default() }
    }

    /// Remembers a page as open in a browser.
    pub(super) fn opened(&self, path: &SitePath) {
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        open.retain(|it| it != path);
        open.push_front(path.clone());
        open.truncate(OPEN);
    }
}

/// Runs the rounds.
pub(super) struct Rounds {
    pub(super) library: PathBuf,
    pub(super) audience: Audience,
    pub(super) shared: Arc<Shared>,
    pub(super) tell: Box<dyn Fn(Round) + Send>,
    memo: Arc<Memo>,
    before: Option<Arc<Held>>,
}

impl Rounds {
    /// No round has been run yet.
    pub(super) fn new(
        library: PathBuf,
        audience: Audience,
        shared: Arc<Shared>,
        tell: Box<dyn Fn(Round) + Send>,
    ) -> Self {
        Self { library, audience, shared, tell, memo: Arc::default(), before: None }
    }

    /// Runs rounds until the watch ends.
    pub(super) fn run(mut self, mut watch: Watch) {
        while let Some(happened) = watch.wait() {
            self.forget(&happened);
            if self.round().is_err() {
                watch.lost();
            }
        }
    }

    fn forget(&self, happened: &Happened) {
        if happened.anything {
            self.memo.forget_files();
        } else {
            self.memo.forget(&happened.paths);
        }
    }

    /// One round.
    ///
    /// # Errors
    /// If the library cannot be opened; the text says why. Browsers are told as well.
    pub(super) fn round(&mut self) -> Result<(), String> {
        let begun = world::now();
        let edition = self.shared.shown.borrow().edition.clone();
        let job = Job {
            library: self.library.clone(),
            audience: self.audience,
            memo: Arc::clone(&self.memo),
            before: self.before.clone(),
            shown: edition.as_ref().map(|edition| edition.cases.clone()),
            open: self.shared.open.lock().unwrap_or_else(PoisonError::into_inner).iter().cloned().collect(),
        };
        match edition::begin(job).recv() {
            Ok(Outcome::Same) => Ok(()),
            Ok(Outcome::Read(reading)) => {
                self.read(*reading, edition, begun);
                Ok(())
            }
            Ok(Outcome::Unreadable(why)) => {
                self.trouble(edition, &why, begun);
                Err(why)
            }
            // The thread broke off: a fault of ours, which must not end the preview.
            Err(_) => {
                self.memo = Arc::default();
                let why = "casewright itself failed on the library as it is now. Please tell its makers.";
                self.trouble(edition, why, begun);
                Ok(())
            }
        }
    }

    /// Shows what was read, if it may be shown.
    fn read(&mut self, reading: Reading, old: Option<Arc<Edition>>, begun: std::time::Instant) {
        let shows = match (&reading.edition, &old) {
            (Some(_), _) if reading.left_out.is_empty() => Shows::Everything,
            (Some(_), _) => Shows::WithoutFaulty(reading.left_out),
            (None, Some(_)) => Shows::AsBefore,
            (None, None) => Shows::Nothing,
        };
        let theme: String = reading.theme.iter().map(|error| format!("{}\n", error.words())).collect();
        let headline = headline(reading.tally.errors, &reading.theme, &shows);
        let strip = headline.map(|headline| Strip::new(&headline, &(reading.errors + &theme)));
        self.before = Some(reading.held);
        self.show(reading.edition.or(old), strip);
        (self.tell)(Round {
            changed: reading.changed,
            cases: reading.cases,
            parsed: reading.parsed,
            report: reading.words + &theme,
            tally: reading.tally,
            theme: reading.theme.len(),
            shows,
            took: begun.elapsed(),
        });
    }

    /// Tells browsers and the terminal that nothing could be read.
    fn trouble(&mut self, edition: Option<Arc<Edition>>, why: &str, begun: std::time::Instant) {
        let shows = if edition.is_some() { Shows::AsBefore } else { Shows::Nothing };
        let known = self.before.take().is_none();
        let strip = Strip::new("The library cannot be read. Shown is what it held before.", &format!("{why}\n\n"));
        self.show(edition, Some(strip));
        if !known {
            (self.tell)(Round {
                changed: Vec::new(),
                cases: 0,
                parsed: 0,
                report: format!("{why}\n\n"),
                tally: crate::diag::Tally::default(),
                theme: 0,
                shows,
                took: begun.elapsed(),
            });
        }
    }

    fn show(&self, edition: Option<Arc<Edition>>, strip: Option<Strip>) {
        self.shared.shown.send_replace(Arc::new(Shown { edition, strip }));
    }
}

/// What the strip says first; `None` if there is nothing to say.
fn headline(errors: usize, theme: &[PageError], shows: &Shows) -> Option<String> {
    let tally = crate::diag::Tally { errors, ..Default::default() };
    let what = match (errors, theme.is_empty()) {
        (0, true) => return None,
        (0, false) => "The theme has a fault.".to_owned(),
        (_, true) => format!("{} in the library.", human::tally(tally)),
        (_, false) => format!("{} in the library, and a fault in its theme.", human::tally(tally)),
    };
    let shown = match shows {
        Shows::Everything if theme.is_empty() => String::new(),
        Shows::Everything => " Shown is the built-in theme.".to_owned(),
        Shows::WithoutFaulty(left_out) if left_out.len() > 5 => {
            format!(" {} cases are left out until they are mended.", left_out.len())
        }
        Shows::WithoutFaulty(left_out) => format!(" Left out until mended: {}.", list(left_out, "and")),
        Shows::AsBefore => " You see the library as it was before.".to_owned(),
        Shows::Nothing => " There is nothing to show yet.".to_owned(),
    };
    Some(what + &shown)
}
