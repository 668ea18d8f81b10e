//! What becomes of the folder when nothing goes wrong.

use super::support::{Item, Place, WAYS, assert_manifest_fits, copied, held, many, operations, path, put, site};
use casewright::model::site::Turn;
use casewright::publish::{Fault, MANIFEST, Operation, Options, SUMS, Way, publish, verify};
use std::fs;
use std::os::unix::fs::{MetadataExt, PermissionsExt};
use std::path::Path;
use std::time::Duration;

#[test]
fn a_first_publication_makes_the_folder() {
    for way in WAYS {
        let place = Place::new();
        let target = place.target.with_file_name("deep").join("down").join("site");
        let published = put(&place.first(), &target, way);
        assert_eq!((published.written, published.unchanged, published.removed.len()), (10, 0, 0));
        assert_eq!((published.way, published.rolled_forward), (way, false));
        let held = held(&target);
        assert_manifest_fits(&held, 0);
        assert_eq!(held["media/op-1.mp4"], Item::File(vec![7; 5000]));
        let files = held.iter().filter(|(name, _)| *name != MANIFEST && *name != SUMS);
        let bytes = files.map(|(_, item)| if let Item::File(bytes) = item { bytes.len() } else { 0 }).sum::<usize>();
        assert_eq!(published.bytes, bytes as u64);
    }
}

#[test]
fn an_empty_folder_is_taken() {
    for way in WAYS {
        let place = Place::new();
        fs::create_dir(&place.target).expect("an empty folder");
        put(&place.first(), &place.target, way);
        assert_manifest_fits(&held(&place.target), 0);
        assert_eq!(place.beside(), ["site"]);
    }
}

#[test]
fn the_same_site_again_writes_nothing() {
    for way in WAYS {
        let place = Place::new();
        put(&place.first(), &place.target, way);
        let foreign = place.add_foreign();
        let (before, inode) = (held(&place.target), inode(&place.target));
        let again = put(&place.first(), &place.target, way);
        assert_eq!((again.written, again.unchanged, again.removed.len(), again.foreign), (0, 10, 0, foreign));
        assert_eq!(held(&place.target), before);
        assert_eq!(self::inode(&place.target), inode, "the folder itself is still the same one");
        assert_eq!(place.beside(), ["site"]);
    }
}

#[test]
fn a_second_edition_replaces_the_first_and_keeps_what_is_not_ours() {
    for way in WAYS {
        let place = Place::new();
        put(&place.first(), &place.target, way);
        let foreign = place.add_foreign();
        let kept = inode(&place.target.join("about.html"));
        let published = put(&place.second(), &place.target, way);
        assert_eq!((published.written, published.unchanged, published.removed.len()), (6, 2, 5));
        assert_eq!(published.foreign, foreign);
        assert_eq!(held(&place.target), place.expected(&place.second(), true));
        assert_eq!(inode(&place.target.join("about.html")), kept, "an unchanged file is not written again");
        assert!(!place.target.join("lone").exists(), "a folder of ours goes when it is empty");
        assert_eq!(place.beside(), ["site"]);
    }
}

#[test]
fn a_published_file_that_somebody_altered_is_mended() {
    for way in WAYS {
        let place = Place::new();
        put(&place.first(), &place.target, way);
        // Same size, so only the bytes tell.
        fs::write(place.target.join("about.html"), "abOut").expect("the file is altered");
        let published = put(&place.first(), &place.target, way);
        assert_eq!((published.written, published.unchanged), (1, 9));
        assert_eq!(held(&place.target), place.expected(&place.first(), false));
    }
}

#[test]
fn nothing_is_written_in_place_or_through_a_link() {
    for way in WAYS {
        let place = Place::new();
        put(&place.first(), &place.target, way);
        // Another name of a published file, as a backup by hard links has it, and a link in place of one.
        let backup = place.target.with_file_name("backup.html");
        fs::hard_link(place.target.join("cases/edited.html"), &backup).expect("a second name");
        let outside = place.target.with_file_name("outside.html");
        fs::write(&outside, "outside").expect("a file outside");
        fs::remove_file(place.target.join("cases/withdrawn.html")).expect("it was published");
        std::os::unix::fs::symlink(&outside, place.target.join("cases/withdrawn.html")).expect("a link");
        let published = put(&place.second(), &place.target, way);
        assert_eq!(fs::read_to_string(&backup).expect("the backup"), "one; needs assets/style-1.css");
        assert_eq!(fs::read_to_string(&outside).expect("the file outside"), "outside");
        assert_eq!(published.foreign, ["cases/withdrawn.html"], "a link is not ours, whatever its name");
        assert_eq!(held(&place.target)["cases/withdrawn.html"], Item::Link(outside));
    }
}

#[test]
fn a_target_that_is_itself_a_link_stays_one() {
    for way in WAYS {
        let place = Place::new();
        let real = place.target.with_file_name("real");
        put(&place.first(), &real, way);
        std::os::unix::fs::symlink("real", &place.target).expect("a link to the site");
        put(&place.second(), &place.target, way);
        assert_eq!(fs::read_link(&place.target).expect("still a link"), Path::new("real"));
        assert_eq!(held(&real), place.expected(&place.second(), false));
        assert_eq!(place.beside(), ["real", "site"]);
    }
}

#[test]
fn files_and_folders_may_swap_names() {
    let flat = site(&[("a", Turn::Page, "file"), ("b.css/deep.css", Turn::Hashed, "x"), ("c.css", Turn::Hashed, "x")]);
    let deep = site(&[("a/page.html", Turn::Page, "x"), ("b.css", Turn::Hashed, "file"), ("c.css/x", Turn::Page, "x")]);
    for way in WAYS {
        for (old, new) in [(&flat, &deep), (&deep, &flat)] {
            let place = Place::new();
            put(old, &place.target, way);
            put(new, &place.target, way);
            assert_eq!(held(&place.target), place.expected(new, false));
        }
    }
}

#[test]
fn a_large_media_file_arrives_whole() {
    for way in WAYS {
        let place = Place::new();
        let bytes: Vec<u8> = (0..3_000_001_u32).map(|number| (number % 251) as u8).collect();
        fs::write(place.media(), &bytes).expect("a media file");
        let mut site = place.first();
        site.pages.insert(path("media/op-1.mp4"), (Turn::Hashed, copied(&place.media())));
        put(&site, &place.target, way);
        let held = held(&place.target);
        assert_manifest_fits(&held, 0);
        assert!(held["media/op-1.mp4"] == Item::File(bytes), "the copy has the bytes of the file");
    }
}

#[test]
fn one_thread_or_four_give_the_same_bytes_by_the_same_operations() {
    for way in WAYS {
        let run = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
            let place = Place::new();
            let options = Options { way, ..Options::default() };
            let runs = pool.install(|| [1, 2].map(|edition| operations(&many(300, edition), &place.target, options)));
            (runs, held(&place.target))
        };
        let (one, four) = (run(1), run(4));
        assert_eq!(one, four);
        assert_eq!(one.0[1].0.unchanged, 200);
        assert_manifest_fits(&one.1, 0);
    }
}

#[test]
fn the_exchanged_folder_keeps_its_permissions() {
    let place = Place::new();
    put(&place.first(), &place.target, Way::Exchange);
    for (folder, mode) in [("", 0o750), ("cases", 0o700)] {
        fs::set_permissions(place.target.join(folder), fs::Permissions::from_mode(mode)).expect("ours to set");
    }
    put(&place.second(), &place.target, Way::Exchange);
    for (folder, mode) in [("", 0o750), ("cases", 0o700)] {
        let data = fs::metadata(place.target.join(folder)).expect("the folder");
        assert_eq!(data.permissions().mode() & 0o7777, mode, "{folder}");
    }
}

#[test]
fn what_arrives_while_the_site_is_built_is_kept() {
    let place = Place::new();
    put(&place.first(), &place.target, Way::Exchange);
    place.add_foreign();
    let target = &place.target;
    let arrive = |operation: &Operation<'_>| {
        // The last moment at which the old folder still stands at its place.
        if operation.verb == "exchange" && operation.path.ends_with("site") {
            fs::create_dir(target.join("late")).expect("a new folder");
            fs::write(target.join("late/new.txt"), "late").expect("a new file");
            fs::remove_file(target.join("notice.txt")).expect("a foreign file");
            fs::write(target.join("notice.txt"), "a later notice").expect("a new file at an old name");
        }
        None::<Fault>
    };
    let options = Options { way: Way::Exchange, faults: Some(&arrive), ..Options::default() };
    publish(&place.second(), target, &options).expect("it can be published");
    let held = held(target);
    assert_eq!(held["late/new.txt"], Item::File(b"late".to_vec()));
    assert_eq!(held["notice.txt"], Item::File(b"a later notice".to_vec()));
    assert_eq!(place.beside(), ["site"]);
}

#[test]
fn a_second_run_waits_for_the_first() {
    let place = Place::new();
    let parent = fs::File::open(place.target.parent().expect("a folder")).expect("it can be opened");
    parent.lock().expect("nobody else publishes here");
    std::thread::scope(|scope| {
        let run = scope.spawn(|| put(&place.first(), &place.target, Way::Auto));
        std::thread::sleep(Duration::from_millis(150));
        assert!(!place.target.exists(), "the run waits");
        parent.unlock().expect("it was locked");
        assert_eq!(run.join().expect("the run ends").written, 10);
    });
}

#[test]
fn verify_tells_what_differs() {
    let place = Place::new();
    put(&place.first(), &place.target, Way::Auto);
    let sound = verify(&place.target).expect("there is a manifest");
    assert!(sound.is_whole() && sound.foreign.is_empty());
    assert_eq!(sound.manifest.files.len(), 10);
    fs::write(place.target.join("notice.txt"), "not ours").expect("a foreign file");
    assert!(verify(&place.target).expect("there is a manifest").is_whole(), "beside the pages a file does no harm");
    let foreign = place.add_foreign();
    let stray = verify(&place.target).expect("there is a manifest");
    assert!(!stray.is_whole(), "among the pages it may be what was taken down");
    assert_eq!(stray.strays().collect::<Vec<_>>(), ["cases/notes.txt"]);
    fs::write(place.target.join("about.html"), "abOut").expect("the file is altered");
    fs::remove_file(place.target.join("index.html")).expect("the file was published");
    let faulty = verify(&place.target).expect("there is a manifest");
    assert_eq!(
        (faulty.changed.as_slice(), faulty.missing.as_slice()),
        (&["about.html".to_owned()][..], &["index.html".to_owned()][..])
    );
    assert_eq!(faulty.foreign, foreign);
    assert!(!faulty.is_whole());
}

fn inode(path: &Path) -> u64 {
    fs::symlink_metadata(path).expect("it exists").ino()
}
