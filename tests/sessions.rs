//! Teaching sessions: what learners are given and what they are not.

use crate::support::{BASE, LIBRARY, demo, errors, prepare, prepare_for, said};
use casewright::analyse::analyse;
use casewright::files::Memory;
use casewright::model::site::{Audience, Page};
use casewright::pipeline::Prepared;
use casewright::render::{Theme, render};
use std::collections::BTreeMap;

/// Every page below `sessions/`, as text, by path.
fn handouts(prepared: &Prepared) -> BTreeMap<String, String> {
    let corpus = &prepared.checked.corpus;
    let analysis = analyse(corpus);
    let theme = Theme::new(&BTreeMap::new()).expect("a sound theme");
    let site = render(corpus, &analysis, &theme).expect("a site");
    let pages = site.pages.iter().filter(|(path, _)| path.as_str().starts_with("sessions"));
    let text = |page: &Page<'_>| match page {
        Page::Made(make) => String::from_utf8(make().expect("it is made")).expect("text"),
        other => panic!("{other:?}"),
    };
    pages.map(|(path, (_, page))| (path.to_string(), text(page))).collect()
}

/// The words of a page between its tags, as a reader has them.
fn words(html: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    for letter in html.chars() {
        match letter {
            '<' => inside = true,
            '>' => inside = false,
            other if !inside => out.push(other),
            _ => {}
        }
    }
    out.replace('\u{a0}', " ").replace('−', "-").replace("&#39;", "'").replace("&quot;", "\"").replace("&amp;", "&")
}

/// Learners read every question that is asked and every choice, and no verdict, reason, title, lesson or principle.
#[test]
fn learners_are_asked_and_not_told() {
    let prepared = prepare(&demo());
    let corpus = &prepared.checked.corpus;
    let pages = handouts(&prepared);
    assert!(corpus.library().sessions.len() >= 2);
    for session in &corpus.library().sessions {
        let of = |tutor: &str| {
            let mut whole = String::new();
            for (path, html) in &pages {
                let name = path.trim_start_matches("sessions/").trim_end_matches(".html");
                let base = name.trim_end_matches(|letter: char| letter.is_ascii_digit()).trim_end_matches('-');
                if name == format!("{}{tutor}", session.name) || base == format!("{}{tutor}", session.name) {
                    whole += &words(html);
                }
            }
            whole
        };
        let (learner, tutor) = (of(""), of("-tutor"));
        for name in session.cases() {
            let case = &corpus.cases()[corpus.find(&name.value).expect("a case")].case();
            let plain = |text: &str| text.replace('\'', "’");
            assert!(!learner.contains(&plain(&case.title.value)), "{}: the title tells", case.name);
            for lesson in &case.lessons {
                assert!(!learner.contains(&plain(&lesson.value)), "{}: a lesson", case.name);
                assert!(tutor.contains(&plain(&lesson.value)), "{}: a lesson is missing", case.name);
            }
        }
        for part in &session.parts {
            let casewright::model::session::What::Case { case, decisions } = &part.what else { continue };
            let case = &corpus.cases()[corpus.find(&case.value).expect("a case")].case();
            for decision in &case.body.decisions {
                if !decisions.is_empty() && decisions.iter().all(|it| it.value != decision.id.value) {
                    continue;
                }
                for option in &decision.options {
                    let because = option.because.as_ref().expect("a reason").value.replace('\'', "’");
                    let start: String = because.chars().take(30).collect();
                    assert!(tutor.contains(&start), "{}: {start}", case.name);
                    assert!(!learner.contains(&start), "{}: {start}", case.name);
                    let choice: String = option.choice.value.replace('\'', "’").chars().take(30).collect();
                    assert!(learner.contains(&choice), "{}: {choice}", case.name);
                }
            }
        }
        assert!(!learner.contains("Best here") && tutor.contains("Best here"));
        for part in &session.parts {
            if let Some(note) = &part.note {
                let start: String = note.value.chars().take(25).collect();
                assert!(tutor.contains(&start) && !learner.contains(&start), "{start}");
            }
        }
    }
    let tutor = words(&pages["sessions/a-change-in-the-chamber-tutor.html"]);
    assert!(tutor.contains("Part 2, 15 to 27 min"), "times add up");
}

fn library(session: &str) -> Memory {
    let public = BASE
        .replace("audience: department", "audience: public")
        .replace("scope: teaching", "scope: [teaching, publication]");
    Memory::default()
        .with("library.yaml", LIBRARY)
        .with("one.md", BASE)
        .with("two.md", public)
        .with("three.md", BASE.replace("status: obtained", "status: withdrawn"))
        .with("sessions/monday.yaml", session)
}

/// A session for the public names no case of the department; a withdrawn one leaves it, and does not stop it.
#[test]
fn a_session_shows_nobody_what_they_may_not_read() {
    let leaking = prepare(&library("title: Monday\naudience: public\nparts: [{case: two}, {case: one}]\n"));
    assert!(
        said(&leaking).iter().any(|line| line == "error link-to-withheld-case sessions/monday.yaml:3:29"),
        "{:?}",
        said(&leaking)
    );
    assert!(leaking.checked.corpus.library().sessions.is_empty());

    let withdrawn = prepare(&library("title: Monday\naudience: department\nparts: [{case: one}, {case: three}]\n"));
    assert!(errors(&withdrawn).is_empty(), "{:?}", said(&withdrawn));
    let sessions = &withdrawn.checked.corpus.library().sessions;
    assert_eq!(sessions[0].parts.len(), 1);
    assert!(
        said(&withdrawn).iter().any(|line| line.starts_with("warning link-to-withdrawn-case sessions/monday.yaml"))
    );

    let inside = library("title: Monday quernstone\naudience: department\nparts: [{case: one}]\n");
    assert_eq!(prepare(&inside).checked.corpus.library().sessions.len(), 1);
    let outside = prepare_for(&inside, Audience::Public);
    assert!(outside.checked.corpus.library().sessions.is_empty());
    assert!(handouts(&outside).values().all(|html| !html.contains("quernstone")));
}

/// What may identify a person is found in a session too.
#[test]
fn a_session_is_searched_for_identifiers() {
    let named = library(
        "title: Monday\naudience: department\nparts: [{case: one, note: Mr Wetherby from the clinic will be there.}]\n",
    );
    assert!(errors(&prepare(&named)).contains(&"personal-name"), "{:?}", said(&prepare(&named)));
}
