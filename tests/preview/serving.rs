//! What the preview serves and to whom. Sources: RFC 9110 for conditions, ranges and methods.

use super::preview;
use crate::client::{Answer, ask, get, raw, undressed};
use crate::support::{demo, prepare, root};
use casewright::analyse::analyse;
use casewright::model::site::Audience;
use casewright::preview::{Options, start};
use casewright::publish::{MANIFEST, SUMS, publish};
use casewright::render::{Theme, render};
use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::path::Path;
use walkdir::WalkDir;

/// The demo, previewed.
fn previewed() -> (casewright::preview::Preview, SocketAddr) {
    let (preview, _) = preview(&root().join("cases"));
    let address = preview.address();
    (preview, address)
}

/// The demo compiled into a folder: path and bytes.
fn compiled(into: &Path) -> BTreeMap<String, Vec<u8>> {
    let prepared = prepare(&demo());
    let analysis = analyse(&prepared.checked.corpus);
    let theme = Theme::new(&prepared.inputs.theme).expect("a sound theme");
    let site = render(&prepared.checked.corpus, &analysis, &theme).expect("a site");
    publish(&site, into, &Default::default()).expect("room for the site");
    WalkDir::new(into)
        .into_iter()
        .map(|entry| entry.expect("readable"))
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| {
            let inside = entry.path().strip_prefix(into).expect("inside");
            let path = inside.iter().map(|part| part.to_string_lossy()).collect::<Vec<_>>().join("/");
            (path, std::fs::read(entry.path()).expect("a file"))
        })
        .collect()
}

#[test]
fn every_path_of_the_demo_is_served_as_it_is_compiled() {
    let place = tempfile::tempdir().expect("a folder");
    let (_preview, address) = previewed();
    let files = compiled(&place.path().join("site"));
    let mut kinds: BTreeMap<String, String> = BTreeMap::new();
    assert!(files.len() > 100);
    for (path, bytes) in files {
        if path == MANIFEST || path == SUMS {
            // They tell of a folder, and the preview writes none.
            assert_eq!(get(address, &format!("/{path}")).status, 404);
            continue;
        }
        let served = get(address, &format!("/{path}"));
        assert_eq!(served.status, 200, "{path}");
        assert_eq!(served.field("content-length"), served.body.len().to_string(), "{path}");
        if path.ends_with(".html") {
            let compiled = String::from_utf8(bytes).expect("UTF-8");
            assert!(undressed(&served.text()) == compiled, "{path} is not the compiled page");
        } else {
            assert!(served.body == bytes, "{path} is not the compiled file");
        }
        kinds.insert(path.rsplit('.').next().unwrap_or("").to_owned(), served.field("content-type").to_owned());
        let head = ask(address, "HEAD", &format!("/{path}"), "");
        assert_eq!((head.status, head.body.len()), (200, 0), "{path}");
        for field in ["content-length", "content-type", "etag"] {
            assert_eq!(head.field(field), served.field(field), "{path}");
        }
    }
    // Source: IANA, Media Types; RFC 9239 for scripts, RFC 8081 for fonts.
    for (ending, kind) in [
        ("html", "text/html; charset=utf-8"),
        ("css", "text/css; charset=utf-8"),
        ("js", "text/javascript; charset=utf-8"),
        ("woff2", "font/woff2"),
        ("mp4", "video/mp4"),
        ("jpg", "image/jpeg"),
        ("vtt", "text/vtt; charset=utf-8"),
        ("txt", "text/plain; charset=utf-8"),
    ] {
        assert_eq!(kinds.get(ending).map(String::as_str), Some(kind), "{ending}");
    }
    assert!(!kinds.values().any(|kind| kind == "application/octet-stream"), "{kinds:?}");
    let home = |path: &str| undressed(&get(address, path).text());
    assert_eq!(home("/"), home("/index.html"));
}

#[test]
fn only_names_of_this_machine_are_answered() {
    let (_preview, address) = previewed();
    let port = address.port();
    let status =
        |host: &str| raw(address, &format!("GET / HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n")).status;
    for good in [format!("127.0.0.1:{port}"), format!("localhost:{port}"), format!("[::1]:{port}")] {
        assert_eq!(status(&good), 200, "{good}");
    }
    for bad in [
        "rebound.example".to_owned(),
        format!("rebound.example:{port}"),
        format!("127.0.0.1.rebound.example:{port}"),
        format!("localhost:{}", port ^ 1),
        "localhost".to_owned(),
        format!("0.0.0.0:{port}"),
        String::new(),
    ] {
        let answer = raw(address, &format!("GET / HTTP/1.1\r\nHost: {bad}\r\nConnection: close\r\n\r\n"));
        assert_eq!(answer.status, 421, "{bad}");
        assert!(!answer.text().contains("Tarn Valley"));
    }
    assert_eq!(raw(address, "GET / HTTP/1.0\r\n\r\n").status, 421);
    let absolute = |name: &str| {
        format!("GET http://{name}:{port}/ HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n\r\n")
    };
    assert_eq!(raw(address, &absolute("localhost")).status, 200);
    assert_eq!(raw(address, &absolute("rebound.example")).status, 421);
    assert!(address.ip().is_loopback());
}

#[test]
fn pages_from_elsewhere_load_nothing_from_here() {
    let (_preview, address) = previewed();
    // What a browser sends for `<script src>` and for a link. Source: W3C, Fetch Metadata Request Headers.
    let script = "Sec-Fetch-Site: cross-site\r\nSec-Fetch-Mode: no-cors\r\nSec-Fetch-Dest: script\r\n";
    assert_eq!(ask(address, "GET", "/search.js", script).status, 403);
    let frame = "Sec-Fetch-Site: cross-site\r\nSec-Fetch-Mode: navigate\r\nSec-Fetch-Dest: iframe\r\n";
    assert_eq!(ask(address, "GET", "/", frame).status, 403);
    let link = "Sec-Fetch-Site: cross-site\r\nSec-Fetch-Mode: navigate\r\nSec-Fetch-Dest: document\r\n";
    assert_eq!(ask(address, "GET", "/", link).status, 200);
    let own = "Sec-Fetch-Site: same-origin\r\nSec-Fetch-Mode: no-cors\r\nSec-Fetch-Dest: script\r\n";
    let pointer = ask(address, "GET", "/search.js", own);
    assert_eq!(pointer.status, 200);
    assert_eq!(pointer.field("cross-origin-resource-policy"), "same-origin");
    assert_eq!(pointer.field("access-control-allow-origin"), "");
}

#[test]
fn nothing_can_be_sent_to_it() {
    let (_preview, address) = previewed();
    for method in ["POST", "PUT", "DELETE", "OPTIONS", "PATCH", "TRACE"] {
        let answer = ask(address, method, "/", "Content-Length: 0\r\n");
        assert_eq!((answer.status, answer.field("allow")), (405, "GET, HEAD"), "{method}");
    }
}

#[test]
fn an_address_that_plays_tricks_leads_nowhere() {
    let (_preview, address) = previewed();
    for path in [
        "/../library.yaml",
        "/library.yaml",
        "/first-on-the-list.md",
        "/%2e%2e/Cargo.toml",
        "/cases/..%2f..%2flibrary.yaml",
        "/cases/%2e%2e/%2e%2e/%2e%2e/etc/passwd",
        "//etc/passwd",
        "/cases\\..\\library.yaml",
        "/index.html%00.txt",
        "/.git/config",
        "/cases",
        "/cases/",
        "/~preview/",
        "/~preview/../library.yaml",
        "/%",
        "/%ff",
    ] {
        let answer = get(address, path);
        assert_eq!(answer.status, 404, "{path}");
        assert!(!answer.text().contains("root:") && !answer.text().contains("edition:"), "{path}");
    }
    let missing = get(address, "/cases/no-such-case.html");
    assert_eq!(missing.status, 404);
    assert!(missing.text().contains("The library as it is now has no page at this address."), "{}", missing.text());
    assert!(missing.text().contains("/~preview/strip.js"), "it waits for the page to come");
}

#[test]
fn a_browser_that_has_a_file_is_told_so() {
    let (_preview, address) = previewed();
    let home = get(address, "/index.html");
    let etag = home.field("etag").to_owned();
    assert!(etag.starts_with('"') && etag.ends_with('"') && etag.len() > 10, "{etag}");
    for known in [etag.clone(), format!("W/{etag}"), format!("\"other\", {etag}"), "*".to_owned()] {
        let again = ask(address, "GET", "/index.html", &format!("If-None-Match: {known}\r\n"));
        assert_eq!((again.status, again.body.len()), (304, 0), "{known}");
        assert_eq!(again.field("etag"), etag);
    }
    let other = ask(address, "GET", "/index.html", "If-None-Match: \"other\"\r\n");
    assert_eq!(other.status, 200);
    assert_ne!(get(address, "/cases.html").field("etag"), etag);
    // A page that is missing is missing, whatever the browser has.
    assert_eq!(ask(address, "GET", "/none.html", "If-None-Match: *\r\n").status, 404);
}

#[test]
fn a_part_of_a_film_is_the_slice_of_the_whole() {
    let (_preview, address) = previewed();
    let page = get(address, "/cases/a-low-ceiling.html").text();
    let end = page.find(".mp4").expect("a film") + ".mp4".len();
    let path = format!("/{}", &page[page[..end].rfind("media/").expect("its folder")..end]);
    let whole = get(address, &path).body;
    let size = whole.len();
    assert!(size > 100_000);
    let part =
        |range: &str, fields: &str| -> Answer { ask(address, "GET", &path, &format!("Range: {range}\r\n{fields}")) };
    for (range, from, to) in [
        ("bytes=0-0".to_owned(), 0, 1),
        ("bytes=0-99".to_owned(), 0, 100),
        ("bytes=1000-300000".to_owned(), 1000, 300_001),
        (format!("bytes={}-", size - 7), size - 7, size),
        ("bytes=-500".to_owned(), size - 500, size),
        (format!("bytes=5-{}", size * 2), 5, size),
        (format!("bytes=-{}", size * 2), 0, size),
    ] {
        let answer = part(&range, "");
        assert_eq!(answer.status, 206, "{range}");
        assert_eq!(answer.field("content-range"), format!("bytes {from}-{}/{size}", to - 1), "{range}");
        assert!(answer.body == whole[from..to], "{range}");
    }
    for beyond in [format!("bytes={size}-"), "bytes=-0".to_owned()] {
        let answer = part(&beyond, "");
        assert_eq!((answer.status, answer.body.len()), (416, 0), "{beyond}");
        assert_eq!(answer.field("content-range"), format!("bytes */{size}"));
    }
    for unheeded in ["bytes=0-1,5-6", "bytes=9-2", "lines=0-1"] {
        let answer = part(unheeded, "");
        assert!(answer.status == 200 && answer.body == whole, "{unheeded}");
    }
    let etag = get(address, &path).field("etag").to_owned();
    assert_eq!(part("bytes=0-9", &format!("If-Range: {etag}\r\n")).status, 206);
    assert_eq!(part("bytes=0-9", "If-Range: \"older\"\r\n").status, 200);
    let head = ask(address, "HEAD", &path, "Range: bytes=0-9\r\n");
    assert_eq!((head.status, head.field("content-length")), (200, size.to_string().as_str()));
    // Pages have parts as well.
    let home = get(address, "/index.html").body;
    assert_eq!(ask(address, "GET", "/index.html", "Range: bytes=10-19\r\n").body, home[10..20]);
}

#[test]
fn a_port_that_is_taken_is_passed_over_unless_it_was_asked_for() {
    let library = root().join("cases");
    let with = |port| {
        let options = Options { library: library.clone(), audience: Audience::Department, port };
        start(&options, |_| {})
    };
    let one = with(None).expect("a port");
    let other = with(None).expect("another port");
    assert_ne!(one.address(), other.address());
    let refused = with(Some(one.address().port())).err().expect("it is taken");
    assert!(refused.contains("is taken by another program; ask for another with --port"), "{refused}");
    // Once it has ended, its port is free again.
    let port = other.address().port();
    drop(other);
    assert_eq!(with(Some(port)).expect("free again").address().port(), port);
}

#[test]
fn a_library_that_cannot_be_opened_is_not_previewed() {
    let place = tempfile::tempdir().expect("a folder");
    let options = Options { library: place.path().join("none"), audience: Audience::Department, port: Some(0) };
    let why = start(&options, |_| {}).err().expect("there is no such folder");
    assert!(why.starts_with("could not open the library"), "{why}");
}
