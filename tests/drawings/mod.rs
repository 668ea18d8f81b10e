//! The pictures of whole pages: compared with drawings that somebody has looked at, and measured with our own trigonometry.

mod eye;
mod golden;
mod lines;
mod reader;

use crate::support::{library, prepare, said};
use casewright::analyse::analyse;
use casewright::files::{Files, Memory};
use casewright::model::site::Page;
use casewright::render::{Theme, render};
use std::collections::BTreeMap;
use std::sync::LazyLock;

static THEME: LazyLock<Theme> = LazyLock::new(|| Theme::new(&BTreeMap::new()).expect("the built-in theme is sound"));

/// Every reading of every case of a library: path and code. Nothing in the library may be wrong.
pub(crate) fn readings(files: &dyn Files) -> BTreeMap<String, String> {
    let prepared = prepare(files);
    let wrong: Vec<String> = said(&prepared).into_iter().filter(|line| !line.starts_with("advice ")).collect();
    assert_eq!(wrong, Vec::<String>::new());
    let analysis = analyse(&prepared.checked.corpus);
    let site = render(&prepared.checked.corpus, &analysis, &THEME).expect("the site is laid out");
    let wanted = |path: &str| path.starts_with("cases/") && !path.ends_with("-source.html");
    let pages = site.pages.iter().filter(|(path, _)| wanted(path.as_str()));
    pages
        .map(|(path, (_, page))| {
            let bytes = match page {
                Page::Ready(bytes) => bytes.clone(),
                Page::Made(make) => make().expect("the page is made"),
                Page::Smaller(_) | Page::Copied(_) => panic!("{path} is no page"),
            };
            (path.to_string(), String::from_utf8(bytes).expect("UTF-8"))
        })
        .collect()
}

/// The style sheet and the script that a case page loads, in bytes.
pub(crate) fn beside_a_page() -> usize {
    THEME.style().bytes.len() + THEME.script().bytes.len()
}

/// The straight reading of a case with these fields in its front matter, beside those every case must have.
fn straight(eye: &str, operation: &str, rest: &str) -> String {
    let text = format!(
        "---\ntitle: A case to be drawn\nsummary: Made up to be drawn.\neye: {eye}\npatient: {{age: 66, sex: female}}\n\
         planned: {{procedure: phacoemulsification}}\noperation:\n{operation}{rest}follow_up: complete\n\
         consent: {{status: obtained, scope: teaching}}\naudience: department\nauthors: [{{name: Nobody, role: operator}}]\n\
         ---\n\nIt was drawn.\n"
    );
    let files: Memory = library().with("drawn.md", text);
    readings(&files).remove("cases/drawn.html").expect("the straight reading")
}
