//! The preview: how long it takes from a save to the page as a browser reads it, and its memory over many edits.

use super::report::say;
use super::soak::{Soak, lay_out};
use super::{client, library, machine, random::Random};
use casewright::model::site::Audience;
use casewright::preview::{Options, Preview, start};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Cases of the library on which latency is measured.
const CASES: u64 = 1_000;
/// Saves that are timed.
const SAVES: u64 = 200;
/// Edits of the soak, and after how many of them its memory is first looked at: by then every kind of edit has been made.
const EDITS: u64 = 2_000;
const WARM: u64 = 200;

/// `tests/measure preview`.
pub(super) fn measure() {
    say(&format!("Machine: {}.", machine::description()));
    let folder = PathBuf::from("/dev/shm/casewright-measure-preview");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("room in memory");
    latency(&folder.join("large"));
    soak(&folder.join("soaked"));
    std::fs::remove_dir_all(&folder).expect("our own folder");
}

fn preview(library: &Path) -> Preview {
    let options = Options { library: library.to_owned(), audience: Audience::Department, port: Some(0) };
    start(&options, |_| {}).expect("the library opens")
}

/// From the end of the save until the page is there whole, as a browser on it learns of it: it waits for news, hears that
/// its page is another now, and asks for it. What the browser then needs to show it is not ours.
fn latency(folder: &Path) {
    library::write(folder, CASES);
    let begun = Instant::now();
    let preview = preview(folder);
    say(&format!("{CASES} cases: first shown after {:.2} s.", begun.elapsed().as_secs_f64()));
    let address = preview.address();
    let files = library::cases(folder);
    let mut random = Random::new(2_026, 2, 0);
    let mut took: Vec<f64> = Vec::new();
    for save in 0..SAVES {
        let file = &files[random.place(files.len())];
        let path = format!("/cases/{}.html", file.file_stem().unwrap_or_default().to_string_lossy());
        let text = std::fs::read_to_string(file).expect("a case");
        // Prose, the title, or a fact on which lists, concepts and kin of the case lean.
        let changed = match save % 3 {
            0 => format!("{text}\nIt rained that day.\n"),
            1 => text.replacen("\ntitle: ", "\ntitle: Again ", 1),
            // Not where the case has it.
            _ if text.contains("phacodonesis") => text.clone(),
            _ => text.replacen("\nabsent: [", "\nabsent: [phacodonesis, ", 1),
        };
        let changed = if changed == text { format!("{text}\nIt rained.\n") } else { changed };
        let page = client::get(address, &path).text();
        let tag = page.split("data-page=\"").nth(1).and_then(|rest| rest.split('"').next()).expect("a tag").to_owned();
        let strip =
            page.split("data-strip=\"").nth(1).and_then(|rest| rest.split('"').next()).expect("a tag").to_owned();
        let question = format!("/~preview/news?path={path}&page={tag}&strip={strip}");
        let waiting = std::thread::spawn(move || {
            let told = client::get(address, &question).text();
            assert!(!told.is_empty(), "no news of {question}");
            let page = client::get(address, &path);
            (Instant::now(), page.status, page.text())
        });
        // The question must wait already, and the last round's leavings be gone.
        std::thread::sleep(Duration::from_millis(300));
        std::fs::write(file, &changed).expect("room for a case");
        let saved = Instant::now();
        let (shown, status, page) = waiting.join().expect("a page");
        assert!(status == 200 && !page.contains("\"_preview\""), "{page}");
        took.push(shown.duration_since(saved).as_secs_f64() * 1e3);
    }
    took.sort_by(f64::total_cmp);
    let at = |share: usize| took[(took.len() * share / 100).min(took.len() - 1)];
    say(&format!(
        "From save to page over {SAVES} saves: {:.0} ms at the median, {:.0} ms at the 95th percentile, {:.0} ms at most.",
        at(50),
        at(95),
        at(100)
    ));
    say(&format!("Memory with {CASES} cases: {:.0} MB at most.", machine::peak() / 1e6));
}

fn soak(folder: &Path) {
    lay_out(folder);
    let preview = preview(folder);
    let mut soak = Soak::new(folder, preview.address(), 7);
    let mut early = 0.0;
    for edit in 1..=EDITS {
        soak.edit();
        if edit % 100 == 0 {
            soak.compare();
        }
        if edit == WARM {
            early = machine::held();
        }
    }
    say(&format!(
        "{EDITS} random edits: no missed change, no stale page; memory {:.1} MB after {WARM} of them, {:.1} MB after all.",
        early / 1e6,
        machine::held() / 1e6
    ));
}
