//! A browser of few words: one request, one answer, over a connection of its own.

use std::collections::BTreeMap;
use std::io::{Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::time::{Duration, Instant};

/// Longer than any answer takes on a busy machine, news included.
const PATIENCE: Duration = Duration::from_secs(60);

/// An answer.
#[derive(Debug, Clone)]
pub(crate) struct Answer {
    pub(crate) status: u16,
    /// Fields by name in small letters.
    pub(crate) fields: BTreeMap<String, String>,
    pub(crate) body: Vec<u8>,
}

impl Answer {
    pub(crate) fn field(&self, name: &str) -> &str {
        self.fields.get(name).map_or("", String::as_str)
    }

    pub(crate) fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }
}

/// Sends these very bytes and reads until the server closes.
pub(crate) fn raw(address: SocketAddr, request: &str) -> Answer {
    let mut stream = TcpStream::connect(address).expect("it listens");
    stream.set_read_timeout(Some(PATIENCE)).expect("a clock");
    stream.write_all(request.as_bytes()).expect("it reads");
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes).unwrap_or_else(|why| panic!("no whole answer to {request}: {why}"));
    let end = bytes.windows(4).position(|four| four == b"\r\n\r\n").expect("a head");
    let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
    let mut lines = head.lines();
    let status = lines.next().and_then(|line| line.split(' ').nth(1)?.parse().ok()).expect("a status");
    let field = |line: &str| line.split_once(": ").map(|(name, value)| (name.to_lowercase(), value.to_owned()));
    Answer { status, fields: lines.filter_map(field).collect(), body: bytes[end + 4..].to_vec() }
}

/// Asks with a method and further fields, each ended by a line break.
pub(crate) fn ask(address: SocketAddr, method: &str, path: &str, fields: &str) -> Answer {
    raw(address, &format!("{method} {path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n{fields}\r\n"))
}

/// Asks for what stands at a path.
pub(crate) fn get(address: SocketAddr, path: &str) -> Answer {
    ask(address, "GET", path, "")
}

/// A page as compiled: what the preview added when serving is taken out. The additions are written here a second time, so
/// that nothing else can hide among them.
pub(crate) fn undressed(page: &str) -> String {
    let page = page.replacen("content=\"connect-src 'self'; default-src", "content=\"default-src", 1);
    let from = page.find("<link rel=\"stylesheet\" href=\"/~preview/strip.css\">\n").expect("the strip's style");
    let to = from + page[from..].find("</head>").expect("the end of the head");
    let added: Vec<&str> = page[from..to].lines().collect();
    assert_eq!(added.len(), 2, "{added:?}");
    assert!(
        added[1].starts_with("<script defer src=\"/~preview/strip.js\" data-page=\"")
            && added[1].ends_with("></script>")
    );
    let rest = &page[to..];
    let bare = match rest.find("\n<section id=\"_preview\"") {
        None => rest.to_owned(),
        Some(strip) => {
            let end = strip + rest[strip..].find("</section>").expect("the strip's end") + "</section>".len();
            format!("{}{}", &rest[..strip], &rest[end..])
        }
    };
    page[..from].to_owned() + &bare
}

/// Waits until something holds; says what was last seen if it never does.
pub(crate) fn until<T: std::fmt::Debug>(what: &str, mut look: impl FnMut() -> Result<(), T>) {
    let begun = Instant::now();
    loop {
        match look() {
            Ok(()) => return,
            Err(seen) => assert!(begun.elapsed() < PATIENCE, "{what}: never so; last seen: {seen:?}"),
        }
        std::thread::sleep(Duration::from_millis(5));
    }
}

/// Waits until a page answers like this, and gives the answer.
pub(crate) fn page_until(address: SocketAddr, path: &str, what: &str, holds: impl Fn(&Answer) -> bool) -> Answer {
    let mut last = get(address, path);
    until(&format!("{path}: {what}"), || {
        last = get(address, path);
        if holds(&last) { Ok(()) } else { Err((last.status, last.text().chars().take(3_000).collect::<String>())) }
    });
    last
}
