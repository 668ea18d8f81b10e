//! That the preview follows the library: whatever happens in its folder, the right state stands in the end, and the last
//! sound one as long as something is wrong.

use super::soak::{Soak, lay_out};
use super::{Previewed, broken, preview, with, write};
use crate::client::{get, page_until, undressed};
use crate::support::{BASE, LIBRARY};
use casewright::preview::Shows;
use std::time::{Duration, Instant};

const A: &str = "/cases/a.html";
const STRIP: &str = "<section id=\"_preview\" role=\"alert\">";

#[test]
fn a_saved_case_is_seen_and_the_others_are_not_read_again() {
    let it = Previewed::new(&[("a.md", BASE), ("b.md", BASE)]);
    let first = it.rounds.recv().expect("the first round");
    assert_eq!((first.cases, first.parsed, first.changed.len(), first.shows), (2, 2, 0, Shows::Everything));
    write(&it.path("a.md"), &with("The cat slept."));
    page_until(it.address, A, "the change", |page| page.text().contains("The cat slept."));
    let round = it.rounds.recv().expect("a round");
    assert_eq!((round.changed, round.cases, round.parsed), (vec!["a.md".to_owned()], 2, 1));
    assert_eq!(round.tally.errors, 0);
    // Saved again without a change, nothing is done.
    write(&it.path("a.md"), &with("The cat slept."));
    assert!(it.rounds.recv_timeout(Duration::from_millis(700)).is_err());
}

#[test]
fn what_is_wrong_stands_above_the_last_sound_site_until_it_is_mended() {
    let it = Previewed::new(&[("a.md", BASE), ("b.md", BASE)]);
    let sound = get(it.address, A).text();
    assert!(!sound.contains(STRIP));
    write(&it.path("a.md"), &broken());
    for path in [A, "/cases/b.html", "/index.html", "/no-such-page.html"] {
        let page = page_until(it.address, path, "the strip", |page| page.text().contains(STRIP)).text();
        // The words of the terminal.
        for words in ["a.md, line ", "`unright` cannot stand here.", "To mend it: write `right`", "~~~~~~~"] {
            assert!(page.contains(words), "{path}: {words}");
        }
        assert!(page.contains("1 error in the library. You see the library as it was before."), "{page}");
    }
    assert_eq!(undressed(&get(it.address, A).text()), undressed(&sound), "the last sound page stays");
    // While that is so, what else changes waits too.
    write(&it.path("b.md"), &with("The dog barked."));
    let changes: Vec<_> =
        it.rounds.iter().map(|round| round.changed).take_while(|changed| changed != &["b.md"]).collect();
    assert!(!changes.is_empty(), "the first round came before");
    assert!(!get(it.address, "/cases/b.html").text().contains("The dog barked."));
    write(&it.path("a.md"), BASE);
    page_until(it.address, "/cases/b.html", "all is well", |page| {
        !page.text().contains(STRIP) && page.text().contains("The dog barked.")
    });
    assert_eq!(get(it.address, A).text(), sound);
}

#[test]
fn what_is_sound_is_shown_where_something_is_wrong_from_the_start() {
    let it = Previewed::new(&[("a.md", &broken()), ("b.md", BASE)]);
    assert_eq!(it.rounds.recv().expect("a round").shows, Shows::WithoutFaulty(vec!["a.md".to_owned()]));
    let page = get(it.address, "/cases/b.html");
    assert_eq!(page.status, 200);
    assert!(page.text().contains("Left out until mended: a.md."), "{}", page.text());
    assert_eq!(get(it.address, A).status, 404);
    write(&it.path("a.md"), BASE);
    page_until(it.address, A, "it is there", |page| page.status == 200 && !page.text().contains(STRIP));
}

#[test]
fn a_withdrawal_waits_for_nobodys_errors() {
    let it = Previewed::new(&[("a.md", BASE), ("b.md", BASE), ("c.md", BASE)]);
    write(&it.path("a.md"), &broken());
    page_until(it.address, A, "the strip", |page| page.text().contains(STRIP));
    write(&it.path("b.md"), &BASE.replacen("status: obtained", "status: withdrawn", 1));
    page_until(it.address, "/cases/b.html", "it is gone", |page| page.status == 404);
    assert_eq!(get(it.address, "/cases/c.html").status, 200);
    assert!(get(it.address, "/cases.html").text().contains(STRIP));
}

#[test]
fn a_faulty_theme_leaves_the_last_sound_site() {
    let it = Previewed::new(&[("a.md", BASE)]);
    let sound = get(it.address, A).text();
    let template = it.path("theme/templates/case.html");
    // One fault shows when templates are read, the other only when the page that is open is made.
    for fault in
        ["{{ nonsense(", "{% extends \"base.html\" %}{% block main %}{{ page.nonsense.more }}{% endblock main %}"]
    {
        write(&template, fault);
        let page = page_until(it.address, A, "the strip", |page| page.text().contains(STRIP)).text();
        assert!(page.contains("The theme has a fault. You see the library as it was before."), "{page}");
        assert!(page.contains("theme/templates/case.html, line 1, column "), "{page}");
        assert_eq!(undressed(&page), undressed(&sound));
        std::fs::remove_file(&template).expect("our own file");
        page_until(it.address, A, "all is well", |page| page.text() == sound);
    }
    write(&it.path("theme/assets/style.css"), "p { color: CanvasText }");
    page_until(it.address, A, "the new style", |page| page.status == 200 && page.text() != sound);
}

#[test]
fn editors_that_rename_or_remove_first_are_followed() {
    let it = Previewed::new(&[("a.md", BASE)]);
    let seen = |words: &str| {
        page_until(it.address, A, words, |page| page.text().contains(words) && !page.text().contains(STRIP));
    };
    // A new file beside it takes its place.
    write(&it.path(".a.md.new"), &with("The cat slept."));
    std::fs::rename(it.path(".a.md.new"), it.path("a.md")).expect("a rename");
    seen("The cat slept.");
    // The old one is moved away, the new one written under its name.
    std::fs::rename(it.path("a.md"), it.path("a.md~")).expect("a rename");
    write(&it.path("a.md"), &with("The dog barked."));
    std::fs::remove_file(it.path("a.md~")).expect("our own file");
    seen("The dog barked.");
    // Removed, and written again later.
    std::fs::remove_file(it.path("a.md")).expect("our own file");
    page_until(it.address, A, "it is gone", |page| page.status == 404);
    write(&it.path("a.md"), &with("The owl hooted."));
    seen("The owl hooted.");
    // Written bit by bit, with pauses.
    let text = with("The fox ran.");
    for end in [0, text.len() / 3, text.len() / 2, text.len()] {
        write(&it.path("a.md"), &text[..end]);
        std::thread::sleep(Duration::from_millis(60));
    }
    seen("The fox ran.");
    // The same size, and times that are put back.
    let times = std::fs::metadata(it.path("a.md")).expect("a file").modified().expect("a time");
    write(&it.path("a.md"), &with("The fox sat."));
    std::fs::File::options()
        .append(true)
        .open(it.path("a.md"))
        .and_then(|file| file.set_modified(times))
        .expect("times");
    seen("The fox sat.");
}

#[test]
fn folders_may_be_moved_in_out_and_about() {
    let it = Previewed::new(&[("a.md", BASE)]);
    let there = |path: &str, words: &str| {
        page_until(it.address, path, words, |page| page.text().contains(words));
    };
    let gone = |path: &str| {
        page_until(it.address, path, "it is gone", |page| page.status == 404);
    };
    for name in ["b", "c"] {
        write(&it.outside(&format!("elsewhere/deep/{name}.md")), &with(&format!("From elsewhere, {name}.")));
    }
    std::fs::rename(it.outside("elsewhere"), it.path("year")).expect("a move");
    there("/cases/b.html", "From elsewhere, b.");
    // Written where the folder is now.
    write(&it.path("year/deep/b.md"), &with("Written here."));
    there("/cases/b.html", "Written here.");
    std::fs::rename(it.path("year"), it.path("term")).expect("a move");
    write(&it.path("term/deep/c.md"), &with("Written there."));
    there("/cases/c.html", "Written there.");
    std::fs::rename(it.path("term"), it.outside("away")).expect("a move");
    gone("/cases/b.html");
    gone("/cases/c.html");
    // Made file by file, faster than any watcher can follow the folders.
    for deep in 0..6 {
        let folder = (0..=deep).map(|level| format!("f{level}/")).collect::<String>();
        write(&it.path(&format!("{folder}n{deep}.md")), &with("Quickly made."));
    }
    for deep in 0..6 {
        there(&format!("/cases/n{deep}.html"), "Quickly made.");
    }
}

#[test]
fn the_library_itself_may_go_and_come_back() {
    let it = Previewed::new(&[("a.md", BASE)]);
    std::fs::rename(it.path(""), it.outside("moved")).expect("a move");
    let page = page_until(it.address, A, "the strip", |page| page.text().contains(STRIP));
    assert!(page.status == 200 && page.text().contains("The library cannot be read."), "{}", page.text());
    write(&it.path("library.yaml"), LIBRARY);
    write(&it.path("a.md"), &with("Another library."));
    page_until(it.address, A, "the new one", |page| {
        page.text().contains("Another library.") && !page.text().contains(STRIP)
    });
    // And it is watched.
    write(&it.path("a.md"), &with("Still watched."));
    page_until(it.address, A, "a change in it", |page| page.text().contains("Still watched."));
}

#[test]
fn thousands_of_events_end_in_the_right_state() {
    let it = Previewed::new(&[("a.md", BASE)]);
    for turn in 0..40 {
        for name in 0..60 {
            let path = it.path(&format!("folder-{}/n{name}.md", name % 3));
            if (turn + name) % 7 == 3 && path.exists() {
                std::fs::remove_file(path).expect("our own file");
            } else {
                write(&path, &with(&format!("Turn {turn}.")));
            }
        }
    }
    for name in 0..60 {
        let (path, page) = (it.path(&format!("folder-{}/n{name}.md", name % 3)), format!("/cases/n{name}.html"));
        if path.exists() {
            page_until(it.address, &page, "the last turn", |page| page.text().contains("Turn 39."));
        } else {
            page_until(it.address, &page, "it is gone", |page| page.status == 404);
        }
    }
}

#[test]
fn hidden_files_and_a_site_in_the_library_are_no_part_of_it() {
    let it = Previewed::new(&[("a.md", BASE)]);
    let first = it.rounds.recv().expect("the first round");
    assert_eq!(first.cases, 1);
    write(&it.path(".draft.md"), BASE);
    write(&it.path(".git/b.md"), BASE);
    write(&it.path("site/casewright-manifest.json"), "{}");
    write(&it.path("site/cases/a.html"), "<p>");
    write(&it.path("site/b.md"), BASE);
    assert!(it.rounds.recv_timeout(Duration::from_millis(1_500)).is_err(), "nothing of the library changed");
    write(&it.path("c.md"), BASE);
    assert_eq!(it.rounds.recv().expect("a round").cases, 2);
    assert_eq!(get(it.address, "/cases/b.html").status, 404);
}

#[test]
fn an_open_page_hears_of_its_own_changes_alone() {
    let it = Previewed::new(&[("a.md", BASE), ("b.md", BASE)]);
    let tag = |path: &str| {
        let page = get(it.address, path).text();
        page.split("data-page=\"").nth(1).and_then(|rest| rest.split('"').next()).expect("a tag").to_owned()
    };
    let news = |page: &str, strip: &str| format!("/~preview/news?path=%2Fcases%2Fa.html&page={page}&strip={strip}");
    let before = tag(A);
    let address = it.address;
    let question = news(&before, "");
    let waiting = std::thread::spawn(move || {
        let begun = Instant::now();
        (get(address, &question), begun.elapsed())
    });
    std::thread::sleep(Duration::from_millis(200));
    write(&it.path("b.md"), &with("The dog barked."));
    page_until(it.address, "/cases/b.html", "the change", |page| page.text().contains("The dog barked."));
    std::thread::sleep(Duration::from_millis(300));
    assert!(!waiting.is_finished(), "the change of another page is no news");
    write(&it.path("a.md"), &with("The cat slept."));
    let (told, _) = waiting.join().expect("an answer");
    let told: serde_json::Value = serde_json::from_slice(&told.body).expect("JSON");
    assert_eq!((told["page"].as_str(), told["html"].as_str()), (Some(tag(A).as_str()), Some("")));
    assert_ne!(told["page"], before.as_str());
    // A strip is news to every page, and its end too; nothing that happens between two questions is missed.
    write(&it.path("b.md"), &broken());
    page_until(it.address, A, "the strip", |page| page.text().contains(STRIP));
    let told: serde_json::Value = serde_json::from_slice(&get(it.address, &news(&tag(A), "")).body).expect("JSON");
    assert!(told["html"].as_str().is_some_and(|html| html.contains("b.md, line ")), "{told}");
    assert_eq!(told["page"].as_str(), Some(tag(A).as_str()));
    write(&it.path("b.md"), BASE);
    let strip = told["strip"].as_str().expect("a tag").to_owned();
    let told: serde_json::Value = serde_json::from_slice(&get(it.address, &news(&tag(A), &strip)).body).expect("JSON");
    assert_eq!((told["strip"].as_str(), told["html"].as_str()), (Some(""), Some("")));
}

#[test]
fn an_open_search_page_hears_of_another_index() {
    let it = Previewed::new(&[("a.md", BASE)]);
    let tag = || {
        let page = get(it.address, "/search.html").text();
        page.split("data-page=\"").nth(1).and_then(|rest| rest.split('"').next()).expect("a tag").to_owned()
    };
    let pointer = get(it.address, "/search.js").text();
    let before = tag();
    write(&it.path("a.md"), &with("The cat slept."));
    page_until(it.address, "/search.js", "another index", |page| page.text() != pointer);
    assert_ne!(tag(), before);
}

#[test]
fn two_hundred_random_edits_leave_no_stale_page() {
    let place = tempfile::tempdir().expect("a folder");
    let library = place.path().join("library");
    lay_out(&library);
    let (preview, _rounds) = preview(&library);
    let mut soak = Soak::new(&library, preview.address(), 2_026);
    for edit in 1..=200 {
        soak.edit();
        if edit % 40 == 0 {
            soak.compare();
        }
    }
}
