//! What the preview adds to a page when it serves it: a style sheet, a script, and the strip that tells what is wrong.
//!
//! The site itself knows nothing of this. Without these additions a served page is byte for byte the compiled one.

use super::memo::hash;
use crate::text::escape;
use hyper::body::Bytes;
use std::fmt::Write as _;

/// Where the additions stand: no path of a site can begin so.
pub(super) const OURS: &str = "/~preview/";

/// The style sheet of the strip.
pub(super) const STYLE: &str = include_str!("strip.css");
/// The script that asks what has changed.
pub(super) const SCRIPT: &str = include_str!("strip.js");

/// With more findings than this the strip refers to the terminal.
const MOST: usize = 30;

/// How far the report sets in a line of a file.
const INSET: &str = "      ";

/// How the policy of a page begins: the script must be allowed to ask the preview.
const POLICY: &str = "http-equiv=\"Content-Security-Policy\" content=\"";
/// What is added to it. Source: W3C, Content Security Policy Level 3: of two directives of one name the first holds.
const ASKING: &str = "connect-src 'self'; ";

/// What stands above every page while something is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Strip {
    /// Its content.
    pub(super) html: String,
    /// By which it is recognised.
    pub(super) tag: String,
}

impl Strip {
    /// A strip with a headline, and a report in the words of the terminal.
    pub(super) fn new(headline: &str, report: &str) -> Self {
        let mut html = format!("<details open><summary>{}</summary>\n<ol>\n", escape(headline));
        let findings: Vec<&str> = report.split("\n\n").filter(|it| !it.trim().is_empty()).collect();
        for finding in findings.iter().take(MOST) {
            html.push_str("<li>");
            one(&mut html, finding);
            html.push_str("</li>\n");
        }
        html.push_str("</ol>\n");
        if findings.len() > MOST {
            let _ = writeln!(html, "<p>And {} more, which the terminal shows.</p>", findings.len() - MOST);
        }
        html.push_str("</details>");
        Self { tag: tag(html.as_bytes()), html }
    }
}

/// One finding: its place, the line with its marks, and what is wrong. Only the line keeps its breaks.
fn one(html: &mut String, finding: &str) {
    let mut lines = finding.trim_matches('\n').lines().peekable();
    while let Some(line) = lines.next() {
        let Some(first) = line.strip_prefix(INSET) else {
            let _ = write!(html, "<p>{}</p>", escape(line.trim()));
            continue;
        };
        let mut shown = first.to_owned();
        while let Some(next) = lines.peek().and_then(|next| next.strip_prefix(INSET)) {
            shown = shown + "\n" + next;
            lines.next();
        }
        let _ = write!(html, "<pre tabindex=\"0\">{}</pre>", escape(&shown));
    }
}

/// By which a content is recognised.
pub(super) fn tag(bytes: &[u8]) -> String {
    hash(bytes)[..8].iter().fold(String::new(), |mut out, byte| {
        let _ = write!(out, "{byte:02x}");
        out
    })
}

/// A page as it is served: the compiled bytes, recognised by `page`, with the additions.
pub(super) fn dress(compiled: &[u8], page: &str, strip: Option<&Strip>) -> Bytes {
    let shown = strip.map_or("", |strip| strip.tag.as_str());
    let head = format!(
        "<link rel=\"stylesheet\" href=\"{OURS}strip.css\">\n<script defer src=\"{OURS}strip.js\" data-page=\"{page}\" data-strip=\"{shown}\"></script>\n"
    );
    let body = strip.map_or_else(String::new, |strip| {
        format!("\n<section id=\"_preview\" role=\"alert\">{}</section>", strip.html)
    });
    let mut out = Vec::with_capacity(compiled.len() + head.len() + body.len() + ASKING.len());
    let mut from = 0;
    let mut copy_to = |out: &mut Vec<u8>, to: usize, added: &str| {
        out.extend_from_slice(&compiled[from..to]);
        out.extend_from_slice(added.as_bytes());
        from = to;
    };
    let head_ends = find(compiled, "</head>", 0);
    if let Some(policy) = find(compiled, POLICY, 0).filter(|at| head_ends.is_none_or(|end| *at < end)) {
        copy_to(&mut out, policy + POLICY.len(), ASKING);
    }
    if let Some(at) = head_ends {
        copy_to(&mut out, at, &head);
    }
    let opened = find(compiled, "<body", head_ends.unwrap_or(0)).and_then(|at| find(compiled, ">", at));
    if let Some(at) = opened {
        copy_to(&mut out, at + 1, &body);
    }
    copy_to(&mut out, compiled.len(), "");
    // A theme of one's own may leave out what HTML lets it leave out.
    if opened.is_none() {
        out.extend_from_slice(body.as_bytes());
    }
    if head_ends.is_none() {
        out.extend_from_slice(head.as_bytes());
    }
    out.into()
}

/// Where a text stands in a page, from a place on.
fn find(page: &[u8], text: &str, from: usize) -> Option<usize> {
    let first = *text.as_bytes().first()?;
    let mut at = from;
    while let Some(next) = page.get(at..)?.iter().position(|byte| *byte == first) {
        at += next;
        if page[at..].starts_with(text.as_bytes()) {
            return Some(at);
        }
        at += 1;
    }
    None
}

/// A page of our own, where the site has none to show.
pub(super) fn page(title: &str, words: &str) -> Vec<u8> {
    let (title, words) = (escape(title), escape(words));
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta {POLICY}default-src 'none'; script-src 'self'; style-src 'self'; img-src data:\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" content=\"light dark\">\n<title>{title}</title>\n<link rel=\"icon\" href=\"data:,\">\n</head>\n<body>\n<main class=\"_preview\">\n<h1>{title}</h1>\n<p>{words}</p>\n<p><a href=\"/index.html\">Home</a></p>\n</main>\n</body>\n</html>\n"
    )
    .into_bytes()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_is_dressed_wherever_its_theme_ends_its_head() {
        let strip = Strip::new("1 error", "a.md, line 1, column 2\n      a <b>\n        ~\n  `b` is odd.\n\n");
        assert!(
            strip
                .html
                .contains("<p>a.md, line 1, column 2</p><pre tabindex=\"0\">a &lt;b&gt;\n  ~</pre><p>`b` is odd.</p>")
        );
        let dressed =
            |page: &str| String::from_utf8(dress(page.as_bytes(), "p", Some(&strip)).to_vec()).expect("UTF-8");
        let whole = dressed("<html><head><title>t</title></head><body class=\"x\"><h1>t</h1></body></html>");
        let at = |text: &str| whole.find(text).unwrap_or_else(|| panic!("{text} in {whole}"));
        assert!(
            at("strip.js") < at("</head>") && at("<body class") < at("_preview\"") && at("_preview\"") < at("<h1>")
        );
        let bare = dressed("<title>t</title><p>t");
        assert!(bare.starts_with("<title>t</title><p>t") && bare.contains("strip.js") && bare.contains("1 error"));
        // What a page says of policies in its text is left alone.
        let quoted = format!("<head></head><body><p>{POLICY}x\"</body>");
        assert!(!dressed(&quoted).contains(ASKING));
        assert!(
            dressed(&format!("<head><meta {POLICY}default-src 'none'\"></head><body>"))
                .contains("content=\"connect-src 'self'; default-src 'none'\"")
        );
    }
}
