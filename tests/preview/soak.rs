//! A soak: a library edited at random in every way in which editors and people do it. After each edit the preview must show
//! what was saved, and now and then its whole site must be the one that a clean compile makes.
//!
//! The gate runs a short one; `tests/measure preview` runs a long one and looks at the memory.

use crate::client::{get, page_until, undressed};
use crate::random::Random;
use casewright::analyse::analyse;
use casewright::discover::discover;
use casewright::files::Disk;
use casewright::model::site::{Audience, Page};
use casewright::pipeline;
use casewright::render::{Theme, render};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};

/// The least and the most cases that the library has.
const CASES: (usize, usize) = (3, 9);

const SOUND: &str = include_str!("../support/base.md");

/// A library that is edited.
pub(crate) struct Soak<'s> {
    folder: &'s Path,
    address: SocketAddr,
    random: Random,
    /// Name of each case, and in which folder it lies.
    cases: Vec<(String, &'static str)>,
    /// How many edits were made.
    edits: u64,
}

/// Lays out the library before it is previewed.
pub(crate) fn lay_out(folder: &Path) {
    std::fs::create_dir_all(folder).expect("a folder");
    std::fs::write(folder.join("library.yaml"), "title: A library that is edited\n").expect("a file");
    for name in 0..CASES.0 {
        std::fs::write(folder.join(format!("case-{name}.md")), SOUND).expect("a file");
    }
}

impl<'s> Soak<'s> {
    /// Begins with the library as [`lay_out`] makes it, previewed at this address.
    pub(crate) fn new(folder: &'s Path, address: SocketAddr, seed: u64) -> Self {
        let cases = (0..CASES.0).map(|name| (format!("case-{name}"), "")).collect();
        Self { folder, address, random: Random::new(seed, 1, 0), cases, edits: 0 }
    }

    /// Makes one edit, and waits until the preview shows it.
    pub(crate) fn edit(&mut self) {
        self.edits += 1;
        let at = self.random.place(self.cases.len());
        match self.random.below(12) {
            0..=3 => self.save(at, false),
            4..=5 => self.save(at, true),
            6..=7 => self.break_and_mend(at),
            8 if self.cases.len() > CASES.0 => {
                std::fs::remove_file(self.file(at)).expect("our own file");
                let (name, _) = self.cases.remove(at);
                page_until(self.address, &format!("/cases/{name}.html"), "it is gone", |page| page.status == 404);
            }
            8 | 9 if self.cases.len() < CASES.1 => {
                self.cases.push((format!("new-{}", words(self.edits)), ""));
                self.save(self.cases.len() - 1, false);
            }
            10 => self.restyle(),
            _ => self.shift(at),
        }
    }

    /// Makes sure that every page is the one of a clean compile of the library as it lies there.
    pub(crate) fn compare(&self) {
        let inputs = discover(&Disk::new(self.folder, &[])).expect("the library opens");
        let prepared = pipeline::prepare(inputs, Audience::Department);
        let analysis = analyse(&prepared.checked.corpus);
        let theme = Theme::new(&prepared.inputs.theme).expect("a sound theme");
        let site = render(&prepared.checked.corpus, &analysis, &theme).expect("a site");
        assert_eq!(prepared.checked.corpus.cases().len(), self.cases.len());
        for (path, (_, page)) in &site.pages {
            let served = get(self.address, &format!("/{path}"));
            assert_eq!((served.status, served.field("etag").is_empty()), (200, false), "{path}");
            let same = match page {
                Page::Made(make) if path.as_str().ends_with(".html") => {
                    undressed(&served.text()).into_bytes() == make().expect("a sound page")
                }
                // A script is served as it is.
                Page::Made(make) => served.body == make().expect("a sound script"),
                Page::Ready(bytes) => served.body == *bytes,
                Page::Copied(_) | Page::Smaller(_) => panic!("{path}: this library has no pictures"),
            };
            assert!(same, "after {} edits {path} is not what a clean compile makes", self.edits);
        }
    }

    fn file(&self, at: usize) -> PathBuf {
        let (name, folder) = &self.cases[at];
        self.folder.join(folder).join(format!("{name}.md"))
    }

    /// Words that stand nowhere else.
    fn mark(&self) -> String {
        format!("It was {} then.", words(self.edits))
    }

    fn text(&self) -> String {
        SOUND.replacen("The lens was hard and the pupil small.", &self.mark(), 1)
    }

    fn seen(&self, at: usize) {
        let (page, mark) = (format!("/cases/{}.html", self.cases[at].0), self.mark());
        page_until(self.address, &page, &mark, |page| {
            page.text().contains(&mark) && !page.text().contains("\"_preview\"")
        });
    }

    /// Writes a case in place, or beside itself and then over itself.
    fn save(&self, at: usize, by_rename: bool) {
        let file = self.file(at);
        if by_rename {
            let beside = file.with_extension("new");
            std::fs::write(&beside, self.text()).expect("a file");
            std::fs::rename(beside, file).expect("a rename");
        } else {
            std::fs::write(file, self.text()).expect("a file");
        }
        self.seen(at);
    }

    fn break_and_mend(&self, at: usize) {
        std::fs::write(self.file(at), self.text().replacen("eye: ", "eye: un", 1)).expect("a file");
        let place = format!("{}.md, line ", self.cases[at].0);
        page_until(self.address, "/cases.html", "the strip", |page| page.text().contains(&place));
        self.save(at, false);
    }

    /// Moves a case into a folder, or back.
    fn shift(&mut self, at: usize) {
        let from = self.file(at);
        self.cases[at].1 = if self.cases[at].1.is_empty() { "folder/deeper" } else { "" };
        let to = self.file(at);
        std::fs::create_dir_all(to.parent().expect("a folder")).expect("a folder");
        std::fs::rename(from, to).expect("a move");
        // Saved where it lies now, so that there is something to be seen.
        self.save(at, false);
    }

    fn restyle(&self) {
        let file = self.folder.join("theme/assets/style.css");
        std::fs::create_dir_all(file.parent().expect("a folder")).expect("a folder");
        let style = format!("/* {} */ p {{ color: CanvasText }}\n", self.mark());
        std::fs::write(file, &style).expect("a file");
        let name = format!("assets/style-{}.css", &blake3::hash(style.as_bytes()).to_hex()[..10]);
        page_until(self.address, "/index.html", "the new style", |page| page.text().contains(&name));
        assert_eq!(get(self.address, &format!("/{name}")).text(), style);
    }
}

/// A number as a word, so that no rule takes it for somebody's.
pub(crate) fn words(number: u64) -> String {
    let letter = |digit: u64| char::from(b"bdfghjklmnprstvz"[digit as usize]);
    let mut out = String::from("qu");
    let mut left = number;
    while left > 0 {
        out.push(letter(left % 16));
        out.push('a');
        left /= 16;
    }
    out
}
