//! A process that publishes one edition after the other is killed (SIGKILL), a hundred times for each way.
//!
//! The moments are spread over the operations of two publications by a fixed sequence of pseudo-random numbers,
//! not over time: so they fall into every part of a publication however fast or busy the machine is. The process
//! goes on while the signal is under way, so a kill may fall within an operation.

use super::support::{Tree, assert_manifest_fits, held, many, operations, put, quick_folder};
use casewright::publish::{Fault, Operation, Options, Way, publish};
use std::env;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};

/// Tells a process started by a test where to publish until it is killed.
const TARGET: &str = "CASEWRIGHT_TEST_PUBLISH_INTO";
/// Tells it before which disk operation to ask for the kill.
const MOMENT: &str = "CASEWRIGHT_TEST_KILL_AT";
const KILLS: u64 = 100;
const PAGES: usize = 300;
/// The line with which the child asks for the kill. It does not wait for it.
const NOW: &str = "now";

#[test]
fn killed_while_exchanging() {
    survives(Way::Exchange, "publish::kill::killed_while_exchanging");
}

#[test]
fn killed_while_following_the_journal() {
    survives(Way::Journal, "publish::kill::killed_while_following_the_journal");
}

/// In the process that a test starts: publishes for ever. In the test itself: starts such processes, kills them,
/// and looks at what they leave.
fn survives(way: Way, test: &str) {
    if let Some(target) = env::var_os(TARGET) {
        return publish_until_killed(Path::new(&target), way);
    }
    let folder = quick_folder();
    let target = folder.path().join("site");
    let editions: Vec<Tree> = [0, 1]
        .map(|edition| {
            let fresh = folder.path().join("fresh");
            put(&many(PAGES, edition), &fresh, way);
            let tree = held(&fresh);
            assert_manifest_fits(&tree, 0);
            std::fs::remove_dir_all(&fresh).expect("it was just made");
            tree
        })
        .into();
    put(&many(PAGES, 0), &target, way);
    let count = |edition| {
        let options = Options { way, ..Options::default() };
        operations(&many(PAGES, edition), &target, options).1.len() as u64
    };
    let span = count(1) + count(0);

    let mut random = 20_260_823_u64;
    let (mut left_beside, mut unfinished) = (0, 0);
    for kill in 0..KILLS {
        // Constants of the 64-bit linear congruential generator in Knuth, The Art of Computer Programming,
        // volume 2, section 3.3.4 (MMIX); from memory. Any spread would do.
        random = random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        kill_at((random >> 33) % span + 1, test, &target);

        let stands = held(&target);
        let journal = stands.contains_key(".casewright-journal.json");
        if way == Way::Exchange {
            assert!(editions.contains(&stands), "kill {kill} left a folder that is neither edition");
        }
        left_beside += usize::from(folder.path().join(".site.casewright-stage").exists());
        unfinished += usize::from(journal);
        let edition = usize::from(kill % 2 == 0);
        let published = put(&many(PAGES, edition), &target, way);
        assert_eq!(published.rolled_forward, journal, "kill {kill}");
        assert!(held(&target) == editions[edition], "after kill {kill} the next run makes the site whole");
        let beside = std::fs::read_dir(folder.path()).expect("the folder").count();
        assert_eq!(beside, 1, "kill {kill}: nothing is left beside the site");
    }
    // The kills must have hit what they were meant to hit.
    match way {
        Way::Journal => assert!(unfinished > 10, "only {unfinished} kills fell between the journal and its end"),
        _ => assert!(left_beside > 50, "only {left_beside} kills fell between the first page and the last step"),
    }
}

fn publish_until_killed(target: &Path, way: Way) {
    let moment: usize = env::var(MOMENT).expect("the test says when").parse().expect("a number");
    let done = AtomicUsize::new(0);
    let hook = |_: &Operation<'_>| {
        if done.fetch_add(1, Ordering::Relaxed) + 1 == moment {
            // Past the test harness, which keeps what a test prints to itself.
            writeln!(std::io::stdout(), "\n{NOW}").expect("the test listens");
        }
        None::<Fault>
    };
    let options = Options { way, faults: Some(&hook), ..Options::default() };
    // More than can be done before the kill; an end, should nobody be left to kill.
    for round in 1..5_000 {
        publish(&many(PAGES, round % 2), target, &options).expect("it can be published");
    }
    panic!("nobody killed the child");
}

fn kill_at(moment: u64, test: &str, target: &Path) {
    let mut child = Command::new(env::current_exe().expect("the test binary"))
        .args(["--exact", test, "--nocapture", "--test-threads=1"])
        .env(TARGET, target)
        .env(MOMENT, moment.to_string())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("the test binary starts");
    let mut lines = BufReader::new(child.stdout.take().expect("it is piped")).lines();
    assert!(lines.any(|line| line.is_ok_and(|line| line == NOW)), "the child comes to its moment");
    child.kill().expect("the child still runs");
    assert!(!child.wait().expect("the child ends").success(), "the child was killed");
}
