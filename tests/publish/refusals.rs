//! What publishing refuses, in which words, and that the old site does not notice.

use super::support::{Place, WAYS, held, path, put};
use casewright::model::site::{Audience, Page, PageError, Site, Turn};
use casewright::publish::{Fault, MANIFEST, Operation, Options, PublishError, Way, publish};
use std::fs;
use std::io::ErrorKind;

/// Publishes, expects a refusal that changes nothing in or beside the target, and gives its words.
fn refused(place: &Place, site: &Site<'_>, options: &Options<'_>) -> String {
    let before = (held(&place.target), place.beside());
    let error = publish(site, &place.target, options).expect_err("it is refused");
    assert_eq!((held(&place.target), place.beside()), before, "{error}");
    error.to_string()
}

fn by(way: Way) -> Options<'static> {
    Options { way, ..Options::default() }
}

fn failing_page(at: &str) -> Page<'static> {
    let page = at.to_owned();
    Page::Made(Box::new(move || {
        let (template, message) = ("case.html".to_owned(), "`eye` is not known here".to_owned());
        Err(PageError { page: page.clone(), template, place: None, message })
    }))
}

#[test]
fn a_folder_that_is_not_ours() {
    for way in WAYS {
        let place = Place::new();
        fs::create_dir(&place.target).expect("a folder");
        fs::write(place.target.join("thesis.txt"), "years of work").expect("a file");
        let words = refused(&place, &place.first(), &by(way));
        let target = place.target.display();
        assert_eq!(
            words,
            format!("`{target}` is not empty and holds no site made by casewright; choose a new or an empty folder")
        );
    }
}

#[test]
fn a_target_that_is_a_file() {
    let place = Place::new();
    fs::write(&place.target, "a file").expect("a file");
    let error = publish(&place.first(), &place.target, &Options::default()).expect_err("it is refused");
    assert_eq!(error.to_string(), format!("`{}` is not a folder", place.target.display()));
    let beneath = place.target.join("site");
    let error = publish(&place.first(), &beneath, &Options::default()).expect_err("it is refused");
    assert_eq!(error.to_string(), format!("`{}` is not a folder", place.target.display()));
}

#[test]
fn another_audience_unless_asked_for() {
    for way in WAYS {
        let place = Place::new();
        put(&place.first(), &place.target, way);
        let public = || Site { audience: Audience::Public, ..place.second() };
        assert_eq!(
            refused(&place, &public(), &by(way)),
            format!(
                "`{}` holds a site for the audience `department`; a site for `public` replaces it only if --change-audience asks for that",
                place.target.display()
            )
        );
        let asked = Options { change_audience: true, ..by(way) };
        let published = publish(&public(), &place.target, &asked).expect("it was asked for");
        assert_eq!(published.audience, Audience::Public);
        assert_eq!(held(&place.target), place.expected(&public(), false));
        assert!(refused(&place, &place.first(), &by(way)).contains("a site for the audience `public`"));
    }
}

#[test]
fn a_page_that_cannot_be_made() {
    for way in WAYS {
        let place = Place::new();
        put(&place.first(), &place.target, way);
        place.add_foreign();
        // In different batches, so that much has been staged when the first one fails.
        let mut site = super::support::many(300, 1);
        for at in ["cases/6/zz.html", "cases/5/zz.html"] {
            site.pages.insert(path(at), (Turn::Page, failing_page(at)));
        }
        assert_eq!(
            refused(&place, &site, &by(way)),
            "could not make the page `cases/5/zz.html`: `eye` is not known here (template `case.html`)"
        );
        let fresh = Place::new();
        assert!(publish(&site, &fresh.target, &by(way)).is_err());
        assert!(fresh.beside().is_empty(), "nothing is left of a first publication either");
    }
}

#[test]
fn a_page_that_breaks_off_leaves_nothing_behind() {
    for way in WAYS {
        let place = Place::new();
        put(&place.first(), &place.target, way);
        let mut site = super::support::many(300, 1);
        let page = Page::Made(Box::new(|| panic!("the temporary file cannot be read: {}", ErrorKind::UnexpectedEof)));
        site.pages.insert(path("cases/6/zz.html"), (Turn::Page, page));
        assert_eq!(
            refused(&place, &site, &by(way)),
            "could not make the page `cases/6/zz.html`: the temporary file cannot be read: unexpected end of file"
        );
    }
}

#[test]
fn a_link_or_a_foreign_thing_where_a_page_belongs() {
    type PutThere = fn(&Place);
    let put_in_the_way: [(&str, PutThere); 4] = [
        ("concepts", |place| {
            std::os::unix::fs::symlink(place.media().with_file_name("shared"), place.target.join("concepts"))
                .expect("a link");
        }),
        ("index.html", |place| {
            fs::remove_file(place.target.join("index.html")).expect("it was published");
            std::os::unix::fs::symlink(place.media(), place.target.join("index.html")).expect("a link");
        }),
        ("assets/style-2.css/mine.txt", |place| {
            fs::create_dir(place.target.join("assets/style-2.css")).expect("a folder");
            fs::write(place.target.join("assets/style-2.css/mine.txt"), "mine").expect("a file");
        }),
        ("search/words-2.js", |place| fs::write(place.target.join("search/words-2.js"), "mine").expect("a file")),
    ];
    for way in WAYS {
        for (obstacle, put_there) in put_in_the_way {
            let place = Place::new();
            put(&place.first(), &place.target, way);
            put_there(&place);
            let words = refused(&place, &place.second(), &by(way));
            assert!(
                words.starts_with(&format!("`{}` was not published", place.target.join(obstacle).display())),
                "{words}"
            );
            assert_eq!(fs::read(place.media()).expect("the file outside"), [7; 5000]);
        }
    }
}

#[test]
fn a_media_file_that_changed_or_went() {
    for way in WAYS {
        let place = Place::new();
        put(&place.second(), &place.target, way);
        let first = place.first();
        fs::write(place.media(), "shorter").expect("the file changes");
        let media = place.media();
        let words = refused(&place, &first, &by(way));
        assert_eq!(words, format!("`{}` changed while the site was being made; run again", media.display()));
        fs::remove_file(&media).expect("the file goes");
        let words = refused(&place, &first, &by(way));
        assert!(words.starts_with(&format!("could not read `{}`: ", media.display())), "{words}");
    }
}

#[test]
fn a_manifest_that_cannot_be_trusted() {
    let place = Place::new();
    put(&place.first(), &place.target, Way::Auto);
    let at = place.target.join(MANIFEST);
    let sound = fs::read_to_string(&at).expect("the manifest");
    for (from, to, why) in [
        ("\"version\": 2", "\"version\": 3", "it has version 3, and this casewright reads version 2"),
        ("department", "everybody", "`everybody` is not an audience"),
        ("about.html", "../op.mp4", "`../op.mp4` is not a path of a site"),
        ("about.html", "above.html", "its entries do not belong together"),
    ] {
        fs::write(&at, sound.replace(from, to)).expect("the manifest is altered");
        let words = refused(&place, &place.second(), &Options::default());
        assert!(words.contains(why) && words.contains(MANIFEST), "{words}");
    }
    fs::write(&at, &sound[..100]).expect("the manifest is cut short");
    assert!(refused(&place, &place.second(), &Options::default()).contains("cannot be trusted"));
    fs::remove_file(&at).expect("the manifest goes");
    assert!(refused(&place, &place.second(), &Options::default()).contains("holds no site made by casewright"));
}

#[test]
fn a_read_only_disk_is_named_with_path_and_verb() {
    let read_only = |_: &Operation<'_>| Some(Fault::Fail(ErrorKind::ReadOnlyFilesystem));
    let stages = [
        (Way::Exchange, ".site.casewright-stage"),
        (Way::Journal, "site/.casewright-stage"),
        (Way::Auto, "site/.casewright-stage"),
    ];
    for (way, stage) in stages {
        let place = Place::new();
        put(&place.first(), &place.target, Way::Auto);
        let stage = place.target.with_file_name(stage);
        let words = refused(&place, &place.second(), &Options { faults: Some(&read_only), ..by(way) });
        let reason = std::io::Error::from(ErrorKind::ReadOnlyFilesystem);
        assert_eq!(words, format!("could not create `{}`: {reason}", stage.display()));
    }
}

#[test]
fn where_folders_cannot_be_exchanged_the_journal_serves_if_allowed() {
    for (kind, last_only) in [(ErrorKind::Unsupported, false), (ErrorKind::ResourceBusy, true)] {
        let cannot = |operation: &Operation<'_>| {
            let hit = operation.verb == "exchange" && (!last_only || operation.path.ends_with("site"));
            hit.then_some(Fault::Fail(kind))
        };
        let place = Place::new();
        put(&place.first(), &place.target, Way::Auto);
        let foreign = place.add_foreign();
        let words = refused(&place, &place.second(), &Options { faults: Some(&cannot), ..by(Way::Exchange) });
        assert!(words.starts_with("could not exchange `"), "{words}");
        let options = Options { faults: Some(&cannot), ..Options::default() };
        let published = publish(&place.second(), &place.target, &options).expect("the journal serves");
        assert_eq!((published.way, published.written, published.foreign), (Way::Journal, 6, foreign));
        assert_eq!(held(&place.target), place.expected(&place.second(), true));
        assert_eq!(place.beside(), ["site"]);
    }
}

#[test]
fn a_disk_without_hard_links_copies() {
    let place = Place::new();
    put(&place.first(), &place.target, Way::Exchange);
    place.add_foreign();
    let no_links = |operation: &Operation<'_>| {
        let hit = operation.verb == "link" && !operation.path.ends_with("link.mp4");
        hit.then_some(Fault::Fail(ErrorKind::PermissionDenied))
    };
    let options = Options { faults: Some(&no_links), ..by(Way::Exchange) };
    let published = publish(&place.second(), &place.target, &options).expect("copies serve");
    assert_eq!(published.unchanged, 2);
    assert_eq!(held(&place.target), place.expected(&place.second(), true));
}

#[test]
fn a_disk_error_has_its_cause() {
    let place = Place::new();
    let full = |_: &Operation<'_>| Some(Fault::Fail(ErrorKind::StorageFull));
    let options = Options { faults: Some(&full), ..Options::default() };
    let error = publish(&place.first(), &place.target, &options).expect_err("the disk is full");
    assert!(
        matches!(&error, PublishError::Disk { verb: "create", source, .. } if source.kind() == ErrorKind::StorageFull)
    );
    assert!(std::error::Error::source(&error).is_some());
}
