//! Figures: how long a compile takes and how much memory it needs, against a floor measured in the same run.
//!
//! The floor A is the least that any program does which makes two pages of each case: read it, turn its Markdown into
//! HTML, write the pages, on all cores. The floor B is the same of an index: read, fold, stem and count each word.
//! Every measurement runs in a process of its own. One during which other processes used more than a twentieth of the
//! machine is thrown away and taken again; where no quiet time comes, that is said beside the figure. `tests/measure`
//! runs this.
#![expect(clippy::disallowed_methods, reason = "figures are about clocks, files and processes")]
#![expect(clippy::cast_precision_loss, reason = "no count here comes near 2⁵³")]

#[path = "../preview/client.rs"]
mod client;
mod draft;
mod generate;
mod library;
mod machine;
mod media;
mod preview;
mod random;
mod report;
mod search;
#[path = "../searching/mod.rs"]
mod searching;
#[path = "../preview/soak.rs"]
mod soak;
mod words;
mod work;

use report::{Column, Measured};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

/// The program's own allocator: a compile that is measured is the one that people run.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Sizes of libraries that are measured if none is asked for.
const SIZES: [u64; 2] = [1_000, 10_000];
/// How many quiet measurements a figure needs.
const ROUNDS: usize = 3;
/// How often a measurement is tried for that.
const TRIES: usize = 6;
/// Room that a library and two of its sites need, in bytes a case.
const ROOM: f64 = 400_000.0;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).filter(|argument| argument != "--bench").collect();
    if work::child(&arguments) {
        return;
    }
    if arguments.first().is_some_and(|what| what == "search") {
        search::measure(&arguments[1..]);
        return;
    }
    if arguments.first().is_some_and(|what| what == "media") {
        media::measure(&arguments[1..]);
        return;
    }
    if arguments.first().is_some_and(|what| what == "draft") {
        draft::measure();
        return;
    }
    if arguments.first().is_some_and(|what| what == "preview") {
        preview::measure();
        return;
    }
    let sizes: Vec<u64> = arguments
        .iter()
        .map(|argument| {
            argument.replace([',', '_'], "").parse().unwrap_or_else(|_| panic!("`{argument}` is no number of cases"))
        })
        .collect();
    let sizes = if sizes.is_empty() { SIZES.to_vec() } else { sizes };
    report::say(&format!("Machine: {}.", machine::description()));
    let target = std::env::current_exe().expect("a place");
    let disk = target.ancestors().nth(2).expect("the folder for build results").join("measure");
    let memory = PathBuf::from("/dev/shm/casewright-measure");
    let mut columns = Vec::new();
    for &cases in &sizes {
        for folder in [&memory, &disk] {
            let _ = std::fs::remove_dir_all(folder);
            if std::fs::create_dir_all(folder).is_err() {
                report::say(&format!("Not measured in {}: it cannot be made.", folder.display()));
                continue;
            }
            columns.extend(measure(folder, cases, folder == &memory));
            std::fs::remove_dir_all(folder).expect("our own folder");
        }
    }
    report::table(&columns);
    report::growth(&columns);
}

/// Every figure of a library of this size in this folder; none if there is no room.
fn measure(folder: &Path, cases: u64, wants_memory: bool) -> Option<Column> {
    let (in_memory, free) = machine::room(folder).expect("a file system");
    let place = if in_memory { "tmpfs" } else { "disk" };
    if in_memory != wants_memory {
        report::say(&format!(
            "Not measured: {} was to be {}.",
            folder.display(),
            if wants_memory { "in memory" } else { "on disk" }
        ));
        return None;
    }
    if free < ROOM * cases as f64 {
        report::say(&format!("Not measured: {cases} cases need {:.1} GB on {place}.", ROOM * cases as f64 / 1e9));
        return None;
    }
    let began = Instant::now();
    let library = folder.join("library");
    let (library, into) = (text(&library), folder.join("site"));
    let words = run(&["library", &library, &cases.to_string()])["words"];
    let compile = ["compile", &library, "--into", &text(&into), "--format", "json"];
    let first = [&compile[..], &["--afresh"]].concat();
    let apart = ["phases", &library, &text(&into)];
    let floor = ["floor", &library, &text(&into)];
    let searchless = ["searchless", &library, &text(&into)];
    let mut figures: BTreeMap<String, Measured> = BTreeMap::new();
    let mut runs = |what: &str, arguments: &[&str], fresh: bool| {
        let measured = figures.entry(what.to_owned()).or_default();
        if measured.quiet() < ROUNDS {
            if fresh {
                let _ = std::fs::remove_dir_all(&into);
            }
            measured.add(run(arguments));
        }
        measured.quiet() >= ROUNDS
    };
    for _ in 0..TRIES {
        let done = [
            runs("floor", &floor, true),
            runs("first", &first, true),
            runs("again", &compile, false),
            {
                library::change(Path::new(&library));
                runs("one", &compile, false)
            },
            runs("apart", &apart, true),
            runs("searchless", &searchless, true),
            runs("words", &["words", &library], false),
            runs("search", &["search", &library], false),
            // Making pages touches no disk, so once is enough.
            !in_memory || runs("pages", &["pages", &library], false),
        ];
        if done.iter().all(|it| *it) {
            break;
        }
    }
    report::say(&format!("{cases} cases on {place}: measured in {:.0} s.", began.elapsed().as_secs_f64()));
    Some(Column { cases, place, words, figures })
}

fn text(path: &Path) -> String {
    path.to_str().expect("a path of plain letters").to_owned()
}

/// Does a piece of work in a process of its own.
fn run(arguments: &[&str]) -> BTreeMap<String, f64> {
    // What an earlier run still has to bring to the disk would be counted here.
    assert!(Command::new("sync").status().is_ok_and(|status| status.success()), "`sync` did not run");
    let (busy, began) = (machine::busy(), Instant::now());
    let output = Command::new(std::env::current_exe().expect("a place")).args(arguments).output().expect("ourselves");
    let (busy, wall) = (machine::busy() - busy, began.elapsed().as_secs_f64());
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{arguments:?} failed:\n{complaint}");
    let said = String::from_utf8(output.stdout).expect("text");
    let mut figures: BTreeMap<String, f64> = said
        .lines()
        .filter_map(|line| line.strip_prefix('@')?.rsplit_once(' '))
        .map(|(name, figure)| (name.to_owned(), figure.parse().expect("a figure")))
        .collect();
    // Processor time is counted in hundredths of a second: a few of them say nothing.
    let others = (busy - figures["used"] - 0.04).max(0.0) / (wall * machine::cores() as f64);
    figures.insert("others".to_owned(), others);
    figures
}
