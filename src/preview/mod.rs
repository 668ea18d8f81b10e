//! Live preview: a library compiled and served on this machine alone, again and again as it changes.
//!
//! A round reads the library as it stands (`rounds`, begun by `watch`); its thread lays out an edition and then makes
//! those pages that a browser asks for (`edition`). The server (`serve`, `answer`) hands them out with a script that
//! asks whether the page it stands on has changed (`strip`). Nothing is written.

mod answer;
mod body;
mod edition;
mod memo;
mod range;
mod rounds;
mod serve;
mod strip;
mod watch;
mod world;

use crate::diag::Tally;
use crate::model::site::Audience;
use rounds::{Rounds, Shared};
use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::Arc;
use std::thread::JoinHandle;
use std::time::Duration;
use watch::Watch;

/// The port that is tried first if none is asked for. Not assigned to any service in IANA's registry (seen from memory).
pub const PORT: u16 = 6424;

/// How many ports are tried from there on.
const PORTS: u16 = 40;

/// What to preview.
#[derive(Debug, Clone)]
pub struct Options {
    /// The library's folder.
    pub library: PathBuf,
    /// For whom the site is.
    pub audience: Audience,
    /// The port to listen on, 0 for any; none: [`PORT`] or the next that is free.
    pub port: Option<u16>,
}

/// What a round found and did.
#[derive(Debug, Clone)]
pub struct Round {
    /// Paths in the library that changed, in order; none in the first round.
    pub changed: Vec<String>,
    /// How many cases there are.
    pub cases: usize,
    /// How many of them were parsed anew.
    pub parsed: usize,
    /// Errors, warnings and faults of the theme, for people.
    pub report: String,
    /// How many of each there are.
    pub tally: Tally,
    /// How many faults the theme has.
    pub theme: usize,
    /// What browsers are shown now.
    pub shows: Shows,
    /// How long it took.
    pub took: Duration,
}

/// What browsers are shown after a round.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Shows {
    /// The library as it is.
    Everything,
    /// The library without these faulty cases.
    WithoutFaulty(Vec<String>),
    /// The library as it was when nothing was wrong with it.
    AsBefore,
    /// Nothing: there has not been a sound state yet.
    Nothing,
}

/// A preview that runs until it is dropped.
pub struct Preview {
    address: SocketAddr,
    server: serve::Server,
    watching: watch::Stop,
    rounds: Option<JoinHandle<()>>,
}

/// Begins a preview: the first round is run, the server listens. Every round is told, the first included.
///
/// # Errors
/// If the library cannot be opened or watched, or the port is taken; the text says why.
pub fn start(options: &Options, tell: impl Fn(Round) + Send + 'static) -> Result<Preview, String> {
    let listener = serve::bind(options.port, PORT..PORT + PORTS)?;
    let shared = Arc::new(Shared::new());
    // The watch begins before the first look, so that nothing that happens meanwhile is lost.
    let watch = Watch::begin(&options.library)?;
    let watching = watch.stop();
    let library = options.library.clone();
    let mut rounds = Rounds::new(library, options.audience, Arc::clone(&shared), Box::new(tell));
    rounds.round()?;
    let server = serve::Server::begin(listener, shared)?;
    let address = server.address;
    let rounds = std::thread::Builder::new().name("rounds".to_owned()).spawn(move || rounds.run(watch));
    let rounds = Some(rounds.map_err(|error| format!("could not start a thread: {error}"))?);
    Ok(Preview { address, server, watching, rounds })
}

impl Preview {
    /// Where the preview listens: on this machine alone.
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// Waits until the person at the terminal asks to stop.
    ///
    /// # Errors
    /// If the system would not tell of it.
    pub fn until_interrupted(&self) -> Result<(), String> {
        serve::until_interrupted()
    }
}

impl Drop for Preview {
    fn drop(&mut self) {
        self.watching.stop();
        self.server.stop();
        if let Some(rounds) = self.rounds.take() {
            // It has nothing to say at its end, and a panic was told when it happened.
            let _ = rounds.join();
        }
    }
}
