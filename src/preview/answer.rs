//! From a request to an answer. Source: RFC 9110 (HTTP semantics); the order of conditions is that of its section 13.2.2.

use super::body::Body;
use super::edition::Answer;
use super::range::{Wanted, wanted};
use super::rounds::{Shared, Shown};
use super::strip::{self, OURS, dress, tag};
use crate::model::site::{CopyOf, SitePath, SmallerOf};
use crate::publish;
use hyper::body::Bytes;
use hyper::header::{self, HeaderMap, HeaderName, HeaderValue};
use hyper::http::request::Parts;
use hyper::{Method, Response, StatusCode};
use std::sync::Arc;
use std::time::Duration;

/// A question that nothing has answered for so long is asked anew: some programs between browser and server give up later.
const ASK_AGAIN: Duration = Duration::from_secs(25);

/// The tag of a page that there is not.
const NONE: &str = "none";

/// What stands at a path, ready to be sent.
struct Found {
    status: StatusCode,
    kind: &'static str,
    tag: String,
    content: Content,
}

enum Content {
    Bytes(Bytes),
    Copy(CopyOf),
}

/// Answers a request that came in on a port.
pub(super) async fn answer(request: Parts, shared: &Shared, port: u16) -> Response<Body> {
    let mut response = match refused(&request, port) {
        Some(refusal) => refusal,
        None => found(&request, shared).await,
    };
    let headers = response.headers_mut();
    for (name, value) in [
        (header::CACHE_CONTROL, "no-cache"),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::X_FRAME_OPTIONS, "DENY"),
        // A page from elsewhere must not load what is here, not even as a script.
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    if request.method == Method::HEAD {
        *response.body_mut() = Body::nothing();
    }
    response
}

/// Why a request gets nothing, if so.
///
/// A page of the web may ask this machine's ports, and with a name of its own that leads here even read the answers. So
/// the name must be one of this machine, and the browser must not say that somebody else's page asks.
fn refused(request: &Parts, port: u16) -> Option<Response<Body>> {
    let host = request.headers.get(header::HOST).and_then(|host| host.to_str().ok()).unwrap_or("");
    let authority = request.uri.authority().map(|authority| authority.as_str());
    if !is_loopback(host, port) || authority.is_some_and(|authority| !is_loopback(authority, port)) {
        return Some(plain(
            StatusCode::MISDIRECTED_REQUEST,
            "The preview answers only to the names of this machine: 127.0.0.1 and localhost, with its port.\n",
        ));
    }
    let says = |name: &str| request.headers.get(name).and_then(|value| value.to_str().ok()).unwrap_or("");
    // Source: W3C, Fetch Metadata Request Headers. A link from elsewhere may be followed.
    let elsewhere = matches!(says("sec-fetch-site"), "cross-site" | "same-site");
    if elsewhere && (says("sec-fetch-mode") != "navigate" || says("sec-fetch-dest") != "document") {
        return Some(plain(StatusCode::FORBIDDEN, "The preview answers only to its own pages.\n"));
    }
    if request.method != Method::GET && request.method != Method::HEAD {
        let mut response =
            plain(StatusCode::METHOD_NOT_ALLOWED, "The preview only shows; nothing can be sent to it.\n");
        response.headers_mut().insert(header::ALLOW, HeaderValue::from_static("GET, HEAD"));
        return Some(response);
    }
    None
}

/// Whether a name with its port is one of this machine's and ours.
fn is_loopback(host: &str, port: u16) -> bool {
    let named = |name: &str| {
        host.get(..name.len()).is_some_and(|start| start.eq_ignore_ascii_case(name))
            && match &host[name.len()..] {
                "" => port == 80,
                rest => {
                    rest.strip_prefix(':').is_some_and(|given| given.parse() == Ok(port) && !given.starts_with('+'))
                }
            }
    };
    ["127.0.0.1", "localhost", "[::1]"].into_iter().any(named)
}

async fn found(request: &Parts, shared: &Shared) -> Response<Body> {
    let path = request.uri.path();
    if let Some(ours) = path.strip_prefix(OURS) {
        let file = |kind, text: &'static str| Found {
            status: StatusCode::OK,
            kind,
            tag: tag(text.as_bytes()),
            content: Content::Bytes(Bytes::from_static(text.as_bytes())),
        };
        return match ours {
            "strip.css" => sent(request, file(mime("css"), strip::STYLE)).await,
            "strip.js" => sent(request, file(mime("js"), strip::SCRIPT)).await,
            "news" => news(request.uri.query().unwrap_or(""), shared).await,
            _ => plain(StatusCode::NOT_FOUND, "The preview has nothing here.\n"),
        };
    }
    let site_path = site_path(path);
    let shown = shared.shown.borrow().clone();
    let page = page(&shown, site_path.as_ref()).await;
    if let Some(path) = site_path.filter(|path| page.status == StatusCode::OK && is_page(path)) {
        shared.opened(&path);
    }
    let dressed = match page {
        Found { kind, status, tag, content: Content::Bytes(bytes) } if kind == mime("html") => {
            let strip = shown.strip.as_ref();
            let content = Content::Bytes(dress(&bytes, &tag, strip));
            let tag = strip.map_or_else(|| tag.clone(), |strip| format!("{tag}-{}", strip.tag));
            Found { status, kind, tag, content }
        }
        other => other,
    };
    sent(request, dressed).await
}

fn is_page(path: &SitePath) -> bool {
    path.as_str().ends_with(".html")
}

/// The path in the site that an address means; none if no site could have it, whatever tricks it plays.
fn site_path(path: &str) -> Option<SitePath> {
    let path = unescaped(path.strip_prefix('/')?)?;
    let index = if path.is_empty() || path.ends_with('/') { "index.html" } else { "" };
    SitePath::new(path + index)
}

/// Text of which some letters are written as `%` and two digits; none if it is not UTF-8 then.
fn unescaped(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.as_bytes();
    while let [byte, more @ ..] = rest {
        rest = more;
        if *byte == b'%' {
            let digits = more.get(..2).filter(|digits| digits.iter().all(u8::is_ascii_hexdigit))?;
            bytes.push(u8::from_str_radix(std::str::from_utf8(digits).ok()?, 16).ok()?);
            rest = &more[2..];
        } else {
            bytes.push(*byte);
        }
    }
    String::from_utf8(bytes).ok()
}

/// What is shown at a path, without what the preview adds.
async fn page(shown: &Shown, path: Option<&SitePath>) -> Found {
    let html =
        |status, tag: String, bytes: Bytes| Found { status, kind: mime("html"), tag, content: Content::Bytes(bytes) };
    let own = |status, title: &str, words: &str| {
        let bytes = strip::page(title, words);
        html(status, if status == StatusCode::NOT_FOUND { NONE.to_owned() } else { tag(&bytes) }, bytes.into())
    };
    let missing = || {
        own(
            StatusCode::NOT_FOUND,
            "No such page",
            "The library as it is now has no page at this address. Should it get one, it will appear here.",
        )
    };
    let Some(edition) = &shown.edition else {
        let words = "As soon as the library can be shown, it will appear here.";
        return own(StatusCode::SERVICE_UNAVAILABLE, "Nothing to show yet", words);
    };
    let Some(path) = path else { return missing() };
    let kind = mime(path.as_str().rsplit('.').next().unwrap_or(""));
    match edition.page(path).await {
        Answer::Bytes(bytes) => {
            let tag = match path.as_str() {
                "search.html" => tag(&[&bytes[..], &edition.content[..]].concat()),
                _ => tag(&bytes),
            };
            Found { status: StatusCode::OK, kind, tag, content: Content::Bytes(bytes) }
        }
        Answer::Copied(copy) => {
            Found { status: StatusCode::OK, kind, tag: copy.hash.to_string(), content: Content::Copy(copy) }
        }
        Answer::Smaller(smaller) => match small(smaller).await {
            Some(bytes) => Found { status: StatusCode::OK, kind, tag: tag(&bytes), content: Content::Bytes(bytes) },
            None => own(StatusCode::SERVICE_UNAVAILABLE, "Not now", "The picture is being changed."),
        },
        Answer::Faulty(error) => {
            own(StatusCode::INTERNAL_SERVER_ERROR, "The theme could not make this page", &error.words())
        }
        Answer::Broken => own(
            StatusCode::INTERNAL_SERVER_ERROR,
            "This page could not be made",
            "casewright itself failed on it. Please tell its makers.",
        ),
        Answer::Unknown => missing(),
    }
}

/// A smaller version of a picture; none if the picture is not what it was.
async fn small(smaller: SmallerOf) -> Option<Bytes> {
    let made = tokio::task::spawn_blocking(move || publish::smaller(&smaller).ok()).await;
    made.ok().flatten().map(Bytes::from)
}

/// Sends what was found, or the part of it that was asked for, or the word that the browser has it already.
async fn sent(request: &Parts, found: Found) -> Response<Body> {
    let size = match &found.content {
        Content::Bytes(bytes) => bytes.len() as u64,
        Content::Copy(copy) => copy.size,
    };
    let etag = format!("\"{}\"", found.tag);
    let known = found.status == StatusCode::OK && names(&request.headers, header::IF_NONE_MATCH, &etag);
    let part = match request.headers.get(header::RANGE).and_then(|field| field.to_str().ok()) {
        // Section 14.2: a range is for GET alone. Section 13.1.5: it holds if the browser's part is of the same file.
        Some(field) if request.method == Method::GET && found.status == StatusCode::OK => {
            let same =
                !request.headers.contains_key(header::IF_RANGE) || names(&request.headers, header::IF_RANGE, &etag);
            if same { wanted(field, size) } else { Wanted::Whole }
        }
        _ => Wanted::Whole,
    };
    let mut builder = Response::builder().header(header::ETAG, &etag);
    if known {
        return finish(builder.status(StatusCode::NOT_MODIFIED), Body::nothing());
    }
    builder = builder.header(header::CONTENT_TYPE, found.kind).header(header::ACCEPT_RANGES, "bytes");
    let (status, range) = match part {
        Wanted::Whole => (found.status, 0..size),
        Wanted::Part(range) => {
            builder = builder.header(header::CONTENT_RANGE, format!("bytes {}-{}/{size}", range.start, range.end - 1));
            (StatusCode::PARTIAL_CONTENT, range)
        }
        Wanted::Beyond => {
            let builder = builder.status(StatusCode::RANGE_NOT_SATISFIABLE);
            return finish(builder.header(header::CONTENT_RANGE, format!("bytes */{size}")), Body::nothing());
        }
    };
    builder = builder.status(status).header(header::CONTENT_LENGTH, range.end - range.start);
    let body = match found.content {
        _ if request.method == Method::HEAD => Ok(Body::nothing()),
        Content::Bytes(bytes) => {
            let place = |at: u64| usize::try_from(at).unwrap_or(usize::MAX).min(bytes.len());
            Ok(Body::Whole(Some(bytes.slice(place(range.start)..place(range.end)))))
        }
        Content::Copy(copy) => Body::copy(copy, range).await,
    };
    match body {
        Ok(body) => finish(builder, body),
        Err(_) => plain(StatusCode::SERVICE_UNAVAILABLE, "The file is being changed.\n"),
    }
}

/// Whether a field names this tag: in a list, weakly, or as `*`.
fn names(headers: &HeaderMap, field: HeaderName, etag: &str) -> bool {
    headers
        .get_all(field)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(','))
        .map(|tag| tag.trim().trim_start_matches("W/"))
        .any(|tag| tag == "*" || tag == etag)
}

/// Tells a page when it, or what stands above it, is no longer as it was: at once if so, otherwise when it happens.
async fn news(query: &str, shared: &Shared) -> Response<Body> {
    let field = |name: &str| {
        let pairs = query.split('&').filter_map(|pair| pair.split_once('='));
        pairs.filter(|(key, _)| *key == name).find_map(|(_, value)| unescaped(value)).unwrap_or_default()
    };
    let (path, page_tag, strip_tag) = (field("path"), field("page"), field("strip"));
    let site_path = site_path(&path);
    let mut shown = shared.shown.subscribe();
    let waiting = async {
        loop {
            let now: Arc<Shown> = shown.borrow_and_update().clone();
            let page = page(&now, site_path.as_ref()).await.tag;
            let (strip, html) = now.strip.as_ref().map_or(("", ""), |strip| (&strip.tag, &strip.html));
            if page != page_tag || strip != strip_tag {
                return Some(serde_json::json!({ "page": page, "strip": strip, "html": html }));
            }
            shown.changed().await.ok()?;
        }
    };
    match tokio::time::timeout(ASK_AGAIN, waiting).await {
        Ok(Some(told)) => {
            let bytes = Bytes::from(told.to_string());
            finish(Response::builder().header(header::CONTENT_TYPE, mime("json")), Body::Whole(Some(bytes)))
        }
        _ => finish(Response::builder().status(StatusCode::NO_CONTENT), Body::nothing()),
    }
}

/// A few words that are no page.
fn plain(status: StatusCode, words: &'static str) -> Response<Body> {
    let builder = Response::builder().status(status).header(header::CONTENT_TYPE, mime("txt"));
    finish(builder, Body::Whole(Some(Bytes::from_static(words.as_bytes()))))
}

fn finish(builder: hyper::http::response::Builder, body: Body) -> Response<Body> {
    // Every field is made of plain letters here, so that none is refused.
    builder.body(body).unwrap_or_else(|_| Response::new(Body::nothing()))
}

/// The type of a file by its ending. Source: IANA's registry of media types.
fn mime(ending: &str) -> &'static str {
    match ending {
        "html" => "text/html; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "json" => "application/json",
        "txt" => "text/plain; charset=utf-8",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "jpg" => "image/jpeg",
        "webp" => "image/webp",
        "woff2" => "font/woff2",
        "mp4" => "video/mp4",
        "webm" => "video/webm",
        "vtt" => "text/vtt; charset=utf-8",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_names_of_this_machine_with_the_right_port_are_ours() {
        for good in ["127.0.0.1:6424", "localhost:6424", "LOCALHOST:6424", "[::1]:6424"] {
            assert!(is_loopback(good, 6424), "{good}");
        }
        for bad in [
            "",
            "127.0.0.1",
            "localhost",
            "localhost:80",
            "localhost:6424.example",
            "localhost.example:6424",
            "localhost:",
            "localhost:+6424",
            "127.0.0.1:64240",
            "127.0.0.1.example:6424",
            "10.0.0.1:6424",
            "[::2]:6424",
            "example:6424",
            "user@localhost:6424",
        ] {
            assert!(!is_loopback(bad, 6424), "{bad}");
        }
        assert!(is_loopback("localhost", 80));
    }

    #[test]
    fn an_address_means_a_path_of_a_site_or_nothing() {
        let of = |path: &str| site_path(path).map(|path| path.as_str().to_owned());
        assert_eq!(of("/").as_deref(), Some("index.html"));
        assert_eq!(of("/cases/").as_deref(), Some("cases/index.html"));
        assert_eq!(of("/cases/a%2Db.html").as_deref(), Some("cases/a-b.html"));
        for trick in [
            "",
            "*",
            "//",
            "/../library.yaml",
            "/%2e%2e/library.yaml",
            "/cases/..%2f..%2flibrary.yaml",
            "/cases\\a.html",
            "/a%00.html",
            "/%",
            "/%zz",
            "/%ff",
            "/.git/config",
            "/con.html",
            "/./index.html",
            "/cases//a.html",
        ] {
            assert_eq!(of(trick), None, "{trick}");
        }
    }
}
