//! A run is stopped, or fails, before each of its disk operations in turn.

use super::support::{Item, Place, Tree, WAYS, held, put};
use casewright::model::site::Site;
use casewright::publish::{Fault, Operation, Options, PublishError, Published, Way, publish};
use std::io::ErrorKind;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};

const JOURNAL: &str = ".casewright-journal.json";
const STAGE: &str = ".casewright-stage";

/// Publishes, and lets `fault` befall operation `at`; checks that after a stop no operation is even tried.
fn run(site: &Site<'_>, target: &Path, way: Way, at: usize, fault: Fault) -> Result<Published, PublishError> {
    let asked = AtomicUsize::new(0);
    let hook = |operation: &Operation<'_>| {
        asked.fetch_add(1, Ordering::Relaxed);
        (operation.number == at).then_some(fault)
    };
    let result = publish(site, target, &Options { way, faults: Some(&hook), ..Options::default() });
    let asked = asked.into_inner();
    if result.is_err() && fault == Fault::Stop {
        assert_eq!(asked, at, "the run stops at once");
    }
    result
}

/// A folder half-way along its journal keeps the weaker promise.
fn assert_half_is_sound(held: &Tree, at: usize) {
    let stands = |name: &str| held.contains_key(name);
    let private = held.iter().filter(|(name, item)| {
        !name.starts_with(STAGE) && matches!(item, Item::File(bytes) if bytes.starts_with(b"private"))
    });
    let new = ["assets/style-2.css", "concepts/new.html", "search/words-2.js"];
    if new.into_iter().any(stands) {
        let private: Vec<_> = private.map(|(name, _)| name).collect();
        assert!(private.is_empty(), "stopped at {at}: {private:?} outlives the first new file");
    }
    for (name, item) in held.iter().filter(|(name, _)| !name.starts_with(STAGE)) {
        let Item::File(bytes) = item else { continue };
        let text = String::from_utf8_lossy(bytes);
        if let Some((_, needed)) = text.split_once("needs ") {
            assert!(stands(needed), "stopped at {at}: {name} lacks {needed}");
        }
        if name == "search.js" && text.ends_with("words-2.js") {
            assert!(stands("search/words-2.js"), "stopped at {at}: the pointer points nowhere");
            assert_eq!(held["index.html"], Item::File(b"edited, new; needs assets/style-2.css".to_vec()), "at {at}");
        }
    }
}

/// A folder as readers see it: without a stage that waits inside.
fn without_stage(held: &Tree) -> Tree {
    held.iter().filter(|(name, _)| !name.starts_with(STAGE)).map(|(name, item)| (name.clone(), item.clone())).collect()
}

#[test]
fn a_run_stopped_anywhere_leaves_a_sound_folder_and_the_next_one_ends_it() {
    let model = Place::quick();
    let [old, new] = [model.first(), model.second()].map(|site| (model.expected(&site, false), site));
    for way in WAYS {
        let (mut seen_old, mut seen_new, mut seen_half) = (0, 0, 0);
        let mut at = 0;
        loop {
            at += 1;
            let place = Place::quick();
            put(&old.1, &place.target, way);
            let foreign = place.add_foreign();
            let with_foreign = |tree: &Tree| {
                let mut tree = tree.clone();
                let all = held(&place.target);
                for name in &foreign {
                    let name = name.trim_end_matches('/');
                    tree.insert(name.to_owned(), all[name].clone());
                }
                tree
            };
            let (old_tree, new_tree) = (with_foreign(&old.0), with_foreign(&new.0));
            if run(&new.1, &place.target, way, at, Fault::Stop).is_ok() {
                break;
            }
            // What stands now; then the run that mends it is stopped too, somewhere else each time.
            for again in [None, Some(at * 7 % 23 + 1)] {
                if let Some(again) = again {
                    let unfinished = place.target.join(JOURNAL).exists();
                    if let Ok(published) = run(&new.1, &place.target, way, again, Fault::Stop) {
                        assert_eq!(published.rolled_forward, unfinished, "stopped at {at}");
                    }
                }
                let stands = held(&place.target);
                if stands.contains_key(JOURNAL) {
                    assert_eq!(way, Way::Journal);
                    assert_half_is_sound(&stands, at);
                    seen_half += 1;
                } else if without_stage(&stands) == old_tree {
                    seen_old += 1;
                } else {
                    assert_eq!(without_stage(&stands), new_tree, "stopped at {at} by {way:?}");
                    seen_new += 1;
                }
                assert!(way == Way::Journal || !stands.keys().any(|name| name.starts_with('.')), "{:?}", stands.keys());
            }
            let unfinished = place.target.join(JOURNAL).exists();
            let mended = put(&new.1, &place.target, way);
            assert_eq!(mended.rolled_forward, unfinished, "stopped at {at}");
            assert_eq!(mended.foreign, foreign);
            assert_eq!(held(&place.target), new_tree, "stopped at {at} by {way:?}");
            assert_eq!(place.beside(), ["site"], "stopped at {at} by {way:?}");
        }
        assert!(at > 30, "{way:?} has {at} operations");
        assert!(seen_old > 10 && seen_new > 7, "{way:?}: {seen_old} old, {seen_new} new");
        assert_eq!(seen_half > 10, way == Way::Journal, "{way:?}: {seen_half} half-way");
    }
}

#[test]
fn a_first_run_stopped_anywhere_is_simply_done_again() {
    for way in WAYS {
        for at in 1.. {
            let place = Place::quick();
            let (site, whole) = (place.first(), place.expected(&place.first(), false));
            if run(&site, &place.target, way, at, Fault::Stop).is_ok() {
                assert!(at > 30, "{way:?} has {at} operations");
                break;
            }
            if way == Way::Exchange && place.target.exists() {
                assert_eq!(held(&place.target), whole, "stopped at {at}");
            }
            put(&site, &place.target, way);
            assert_eq!(held(&place.target), whole, "stopped at {at} by {way:?}");
            assert_eq!(place.beside(), ["site"], "stopped at {at} by {way:?}");
        }
    }
}

#[test]
fn the_other_way_ends_a_stopped_run_too() {
    for (way, other) in [(Way::Exchange, Way::Journal), (Way::Journal, Way::Exchange)] {
        for at in 1.. {
            let place = Place::quick();
            put(&place.first(), &place.target, way);
            if run(&place.second(), &place.target, way, at, Fault::Stop).is_ok() {
                break;
            }
            let unfinished = place.target.join(JOURNAL).exists();
            let mended = put(&place.second(), &place.target, other);
            assert_eq!(mended.rolled_forward, unfinished, "stopped at {at}");
            assert_eq!(held(&place.target), place.expected(&place.second(), false), "stopped at {at} by {way:?}");
            assert_eq!(place.beside(), ["site"], "stopped at {at} by {way:?}");
        }
    }
}

#[test]
fn a_disk_that_fails_once_anywhere_does_no_harm() {
    let model = Place::quick();
    let [old, new] = [model.first(), model.second()].map(|site| (model.expected(&site, false), site));
    for way in WAYS {
        let mut failures = 0;
        // More than there are operations.
        for at in 1..120 {
            let place = Place::quick();
            put(&old.1, &place.target, way);
            if run(&new.1, &place.target, way, at, Fault::Fail(ErrorKind::StorageFull)).is_err() {
                failures += 1;
                let stands = held(&place.target);
                let readers_see = without_stage(&stands);
                let whole = readers_see == old.0 || readers_see == new.0;
                let unfinished = stands.contains_key(JOURNAL) && way == Way::Journal;
                assert!(whole || unfinished, "failed at {at} by {way:?}");
            }
            put(&new.1, &place.target, way);
            assert_eq!(held(&place.target), new.0, "failed at {at} by {way:?}");
            assert_eq!(place.beside(), ["site"], "failed at {at} by {way:?}");
        }
        assert!(failures > 20, "{way:?}: {failures}");
    }
}
