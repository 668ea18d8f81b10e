//! A journal that is found is not obeyed blindly: what was withdrawn, or is for others, is not placed.

use super::support::{Item, Place, held, operations, put, site};
use casewright::model::site::{Audience, Site, Turn};
use casewright::publish::{Fault, Operation, Options, PublishError, Way, publish, verify};
use std::fs;

const BY_JOURNAL: Options<'static> = Options { way: Way::Journal, change_audience: false, recall: None, faults: None };

/// Publishes and stops before the first new file is placed, when the journal stands.
fn stop_before_placing(site: &Site<'_>, place: &Place, change_audience: bool) {
    let hook = |operation: &Operation<'_>| {
        let placed = operation.verb == "rename" && !operation.path.ends_with(".journal");
        placed.then_some(Fault::Stop)
    };
    let options = Options { change_audience, faults: Some(&hook), ..BY_JOURNAL };
    publish(site, &place.target, &options).expect_err("it is stopped");
    assert!(place.target.join(".casewright-journal.json").exists());
}

#[test]
fn an_unfinished_folder_says_so() {
    let place = Place::new();
    put(&place.first(), &place.target, Way::Journal);
    stop_before_placing(&place.second(), &place, false);
    let verified = verify(&place.target).expect("the old manifest still stands");
    assert!(verified.unfinished && !verified.is_whole());
    assert!(put(&place.second(), &place.target, Way::Journal).rolled_forward);
    assert!(verify(&place.target).expect("a manifest").is_whole());
}

#[test]
fn what_was_withdrawn_since_is_never_placed() {
    let place = Place::new();
    put(&place.first(), &place.target, Way::Journal);
    stop_before_placing(&place.second(), &place, false);
    let mut third = place.second();
    third.pages.retain(|path, _| path.as_str() != "concepts/new.html");
    let (published, operations) = operations(&third, &place.target, BY_JOURNAL);
    assert!(published.rolled_forward);
    let named: Vec<_> = operations.iter().filter(|operation| operation.contains("new.html")).collect();
    assert_eq!(named, ["remove site/.casewright-stage/concepts/new.html"], "it goes from the stage and nowhere else");
    assert!(operations.contains(&"rename site/.casewright-stage/assets/style-2.css".to_owned()), "the rest is placed");
    assert_eq!(held(&place.target), place.expected(&third, false));
}

#[test]
fn a_page_that_fails_after_a_stop_leaves_the_rest_of_the_stopped_run_done() {
    let place = Place::new();
    put(&place.first(), &place.target, Way::Journal);
    stop_before_placing(&place.second(), &place, false);
    let mut third = place.second();
    fs::remove_file(place.media()).expect("the library lost a file");
    third.pages.retain(|path, _| path.as_str() != "about.html");
    publish(&third, &place.target, &BY_JOURNAL).expect_err("a media file is missing");
    let verified = verify(&place.target).expect("a manifest");
    assert!(verified.is_whole(), "{verified:?}");
    assert!(!place.target.join("about.html").exists(), "a withdrawal does not wait");
    assert_eq!(held(&place.target)["concepts/new.html"], Item::File(b"new; needs assets/style-2.css".to_vec()));
}

#[test]
fn a_stopped_run_for_another_audience_is_taken_back() {
    let place = Place::new();
    let public = || Site {
        audience: Audience::Public,
        ..site(&[("index.html", Turn::Page, "for anybody"), ("same.html", Turn::Page, "same")])
    };
    put(&public(), &place.target, Way::Journal);
    let mut department = place.second();
    department.pages.extend(site(&[("same.html", Turn::Page, "same")]).pages);
    stop_before_placing(&department, &place, true);
    let error = publish(&public(), &place.target, &BY_JOURNAL).expect_err("the change back must be asked for, too");
    assert!(matches!(error, PublishError::OtherAudience { holds: Audience::Department, wanted: Audience::Public, .. }));
    let asked = Options { change_audience: true, ..BY_JOURNAL };
    let (published, operations) = operations(&public(), &place.target, asked);
    assert!(published.rolled_forward);
    let placed: Vec<_> = operations.iter().filter(|operation| operation.starts_with("rename")).collect();
    assert!(
        placed.iter().all(|rename| rename.contains("casewright-manifest")
            || rename.contains("SHA256SUMS")
            || rename.contains("journal")
            || rename.ends_with("/index.html")),
        "{placed:?}"
    );
    assert_eq!(held(&place.target), place.expected(&public(), false));
}

#[test]
fn a_link_that_came_since_is_neither_followed_nor_replaced() {
    let place = Place::new();
    put(&place.first(), &place.target, Way::Journal);
    stop_before_placing(&place.second(), &place, false);
    let elsewhere = place.target.with_file_name("elsewhere");
    fs::create_dir(&elsewhere).expect("a folder");
    std::os::unix::fs::symlink(&elsewhere, place.target.join("concepts")).expect("a link");
    let error = publish(&place.second(), &place.target, &BY_JOURNAL).expect_err("the link is in the way");
    assert!(matches!(error, PublishError::Obstructed { ref path } if path.ends_with("site/concepts")), "{error}");
    assert_eq!(held(&elsewhere).len(), 0);
    fs::remove_file(place.target.join("concepts")).expect("the link is moved away");
    assert!(put(&place.second(), &place.target, Way::Journal).rolled_forward);
    assert_eq!(held(&place.target), place.expected(&place.second(), false));
}

#[test]
fn a_journal_that_cannot_be_trusted_is_refused() {
    let place = Place::new();
    put(&place.first(), &place.target, Way::Journal);
    stop_before_placing(&place.second(), &place, false);
    let at = place.target.join(".casewright-journal.json");
    let sound = fs::read_to_string(&at).expect("the journal");
    for (from, to) in
        [("concepts/new.html", "../new.html"), ("\"place\"", "\"plaice\""), ("\"version\": 1", "\"version\": 9")]
    {
        fs::write(&at, sound.replace(from, to)).expect("the journal is altered");
        let error = publish(&place.second(), &place.target, &BY_JOURNAL).expect_err("it is refused");
        assert!(
            matches!(error, PublishError::Damaged { ref path, .. } if path.ends_with(at.file_name().expect("a name"))),
            "{error}"
        );
    }
}
