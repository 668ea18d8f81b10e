//! A compile that takes over what an earlier one made gives the very site of a clean one, whatever was edited in between and
//! whatever befell the memory.

use crate::preview::soak::words;
use crate::random::Random;
use crate::support::{BASE, Packing};
use casewright::analyse::analyse;
use casewright::check::{Identifiers, Judge, Judged, Parsed};
use casewright::diag::Severity;
use casewright::discover::discover;
use casewright::files::Disk;
use casewright::model::site::{Audience, Leans, Page, Site, SitePath};
use casewright::pipeline::{self, Memory, Prepared, Recalling};
use casewright::publish::{Entry, Options, Recall, publish, verify};
use casewright::render::{Theme, render};
use casewright::text::Sources;
use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;
use std::process::Command;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use tempfile::TempDir;

/// The program, as far as a memory is concerned.
const PROGRAM: [u8; 32] = [7; 32];
/// Bytes of the memory before its entries, and of an entry; see `publish/recall.rs`.
const HEAD: usize = 52;
const LINE: usize = 81;

/// Terms that a case may hold at a place.
const FINDINGS: [&str; 4] = ["small pupil", "low endothelial count", "zonular loss before surgery", "phacodonesis"];
const TROUBLES: [&str; 4] = ["posterior capsule rupture", "retained lens fragment", "endophthalmitis", "iris prolapse"];
const STEPS: [&str; 3] = ["hydrodissection", "can-opener capsulotomy", "cortex removal"];

/// A case as far as it is edited.
#[derive(Debug, Clone, Default)]
struct Edited {
    title: u64,
    asks: bool,
    finding: usize,
    trouble: usize,
    managed: bool,
    step: usize,
    prose: u64,
    /// A case that its text links to, and whether the two are set against each other.
    link: Option<(u64, bool)>,
    public: bool,
    withdrawn: bool,
    /// Whether it was read by a second surgeon, and whether that still holds.
    review: Option<bool>,
    /// One of three pictures, with what is said of it.
    picture: Option<(usize, u64)>,
}

impl Edited {
    fn text(&self) -> String {
        let mut fields = BASE.replacen("A hard lens in", &format!("A lens {} in", words(self.title)), 1);
        fields = fields.replacen("small pupil]", &format!("{}]", FINDINGS[self.finding]), 1);
        let managed = if self.managed { ", managed: [{do: vitrectomy, worked: partly}]" } else { "" };
        let trouble = format!("is: {}, during: s3{managed}}}", TROUBLES[self.trouble]);
        fields = fields.replacen("is: posterior capsule rupture, during: s3}", &trouble, 1);
        fields = fields.replacen("do: hydrodissection}", &format!("do: {}}}", STEPS[self.step]), 1);
        fields = fields.replacen("scope: teaching", "scope: [teaching, publication]", 1);
        if self.withdrawn {
            fields = fields.replacen("status: obtained", "status: withdrawn", 1);
        }
        if self.public {
            fields = fields.replacen("audience: department", "audience: public", 1);
        }
        if let Some((picture, caption)) = self.picture {
            let looked =
                format!("looked_at: {{by: nobody, of: {}, faces: none, iris: none, words: none}}", seen(picture));
            let media = format!(
                "media:\n  - {{file: picture-{picture}.png, shows: operation, alt: A picture {}, {looked}}}\nconsent:",
                words(caption)
            );
            fields = fields.replacen("consent:", &media, 1);
        }
        if let Some((other, true)) = self.link {
            let contrast = format!("contrast: [{{case: case-{other}, principle: Look at the wound first.}}]\nconsent:");
            fields = fields.replacen("consent:", &contrast, 1);
        }
        let mut text = format!("{fields}\nThen {} and a posterior capsule rupture.\n", words(self.prose));
        if let Some((other, _)) = self.link {
            text.push_str(&format!("\nMore of it in [another](case:case-{other}).\n"));
        }
        if self.asks {
            text.push_str("\n```decision\nid: d1\nat: s3\nask: What is next?\nteaches: [vitrectomy]\noptions:\n");
            text.push_str("  - {choice: Wait, verdict: best, because: It settles., source: common practice}\n");
            text.push_str("  - {choice: Go on, verdict: risky, because: It tears., source: common practice}\n```\n\nSo it went.\n");
        }
        if let Some(holds) = self.review {
            let mut sources = Sources::default();
            let id = sources.add("case.md", text.as_str());
            let (case, _) = casewright::parse::case("case", sources.get(id).expect("the text"), None);
            let of = if holds { case.content_hash } else { "0123456789abcdef".to_owned() };
            let review = format!("\nreview: {{by: second consultant, on: 2026-05, of: {of}}}\nconsent:");
            text = text.replacen("\nconsent:", &review, 1);
        }
        text
    }
}

/// The bytes of a picture, as a camera without a memory for places would write them.
fn picture(number: usize) -> Vec<u8> {
    let colour = image::Rgb([40 * u8::try_from(number).expect("a few"), 90, 140]);
    let picture = image::RgbImage::from_pixel(64, 48, colour);
    let mut bytes = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut bytes, image::ImageFormat::Png).expect("a picture");
    bytes.into_inner()
}

/// What somebody who looked at a picture vouches for.
fn seen(number: usize) -> String {
    blake3::hash(&picture(number)).to_hex()[..16].to_owned()
}

/// Where the fields of a case lie that has them apart.
fn side(number: u64) -> String {
    format!("library/case-{number}.yaml")
}

struct Place {
    folder: TempDir,
    cases: BTreeMap<u64, Edited>,
    random: Random,
    made: u64,
}

impl Place {
    fn new(seed: u64) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        fs::create_dir(folder.path().join("library")).expect("a folder");
        let mut place = Self { folder, cases: BTreeMap::new(), random: Random::new(seed, 3, 0), made: 0 };
        place.library("A library");
        fs::create_dir(place.path("library/media")).expect("a folder");
        for number in 0..3 {
            fs::write(place.path(&format!("library/media/picture-{number}.png")), picture(number)).expect("a file");
        }
        for _ in 0..6 {
            place.add();
        }
        place
    }

    fn path(&self, of: &str) -> PathBuf {
        self.folder.path().join(of)
    }

    /// Writes a file of the library, in a folder that may be new.
    fn put(&self, of: &str, text: &str) {
        let file = self.path("library").join(of);
        fs::create_dir_all(file.parent().expect("a folder")).expect("a folder");
        fs::write(file, text).expect("a file");
    }

    fn library(&self, title: &str) {
        self.put("library.yaml", &format!("title: {title}\n"));
    }

    fn save(&self, number: u64) {
        let (fields, body) = (self.path(&side(number)), self.path(&format!("library/case-{number}.md")));
        let text = self.cases[&number].text();
        // Some have their fields in a file of their own.
        if number.is_multiple_of(3) {
            let mut parts = text.splitn(3, "---\n").skip(1);
            fs::write(fields, parts.next().expect("fields")).expect("a file");
            fs::write(body, parts.next().expect("a body")).expect("a file");
        } else {
            fs::write(body, text).expect("a file");
        }
    }

    fn remove(&self, number: u64) {
        fs::remove_file(self.path(&format!("library/case-{number}.md"))).expect("our own file");
        let _ = fs::remove_file(self.path(&side(number)));
    }

    fn add(&mut self) {
        self.made += 1;
        let (finding, trouble, step) = (self.random.place(4), self.random.place(4), self.random.place(3));
        let case =
            Edited { title: self.made, finding, trouble, step, asks: self.made.is_multiple_of(2), ..Edited::default() };
        self.cases.insert(self.made, case);
        self.save(self.made);
    }

    /// One random edit; says what it was.
    fn edit(&mut self) -> &'static str {
        self.made += 1;
        let mark = self.made;
        let numbers: Vec<u64> = self.cases.keys().copied().collect();
        let (number, other) = (*self.random.one(&numbers), *self.random.one(&numbers));
        let kind = self.random.below(22);
        let pick = self.random.place(12);
        let case = self.cases.get_mut(&number).expect("one of ours");
        let what = match kind {
            0 | 1 => {
                case.prose = mark;
                "prose"
            }
            2 => {
                case.title = mark;
                "title"
            }
            3 => {
                case.finding = pick % 4;
                "finding"
            }
            4 => {
                case.trouble = pick % 4;
                "complication"
            }
            5 => {
                case.step = pick % 3;
                "step"
            }
            6 => {
                case.managed = !case.managed;
                "management"
            }
            7 => {
                case.asks = !case.asks;
                "decision"
            }
            8 if number != other => {
                case.link = Some((other, pick.is_multiple_of(2)));
                "link"
            }
            9 => {
                case.link = None;
                "no link"
            }
            10 => {
                case.withdrawn = !case.withdrawn;
                "consent"
            }
            11 => {
                case.public = !case.public;
                "audience"
            }
            12 if numbers.len() > 4 => {
                self.cases.remove(&number);
                self.remove(number);
                return "gone";
            }
            13 if numbers.len() > 4 => {
                let case = self.cases.remove(&number).expect("one of ours");
                self.remove(number);
                self.cases.insert(mark, case);
                self.save(mark);
                return "renamed";
            }
            14 => {
                if pick.is_multiple_of(2) {
                    self.library(&format!("A library {}", words(mark)));
                    return "library";
                }
                let style = format!("/* {} */ p {{ color: CanvasText }}\n", words(mark));
                self.put("theme/assets/style.css", &style);
                return "theme";
            }
            15 => {
                let entry = format!("  - name: posterior-capsule-rupture\n    aliases: [bag tear {}]\n", words(mark));
                self.put("vocabulary/complications.yaml", &format!("kind: complication\nconcepts:\n{entry}"));
                return "vocabulary";
            }
            16 => {
                case.review = [None, Some(true), Some(false)][pick % 3];
                "review"
            }
            17 | 18 => {
                case.picture = (!pick.is_multiple_of(4)).then_some((pick % 3, mark));
                "picture"
            }
            19 => {
                let (one, other) = (numbers[0], numbers[numbers.len() - 1]);
                let parts = match pick % 3 {
                    0 => format!("  - {{case: case-{one}, minutes: 15, note: Look {}.}}\n", words(mark)),
                    1 => format!("  - {{compare: [case-{one}, case-{other}], minutes: 10}}\n"),
                    _ => format!("  - {{case: case-{other}, minutes: 5}}\n  - {{case: case-{one}, minutes: 15}}\n"),
                };
                let text = format!("title: A session {}\naudience: department\nparts:\n{parts}", words(mark));
                self.put("sessions/one.yaml", &text);
                return "session";
            }
            20 => {
                // The order in which cases are read leans on it, and their ranks.
                let weights = format!("weights: {{odds of rupture: {}, demand: {}}}\n", 10 + pick, 5 + 3 * pick);
                self.put("library.yaml", &format!("title: A library\n{weights}"));
                return "weights";
            }
            21 => {
                let points = 1 + pick % 3;
                let factor = format!(
                    "factors:\n  - {{name: small-pupil, label: Small pupil, when: [finding small-pupil], points: {points}}}\n"
                );
                let text = format!(
                    "name: own\nlabel: A list of ours {}\ncitation: none, made up\npopulation: nobody\noutcome: nothing\nkind: points\nverified: common practice\n{factor}",
                    words(mark)
                );
                self.put("models/own.yaml", &text);
                return "model";
            }
            _ => {
                self.add();
                return "new";
            }
        };
        self.save(number);
        what
    }

    fn recall(&self) -> Recall {
        Recall::open(&self.path("cache"), "it", PROGRAM)
    }

    /// Does something to the memory that no run would.
    fn damage(&mut self) {
        let file = self.path("cache/it");
        let Ok(mut bytes) = fs::read(&file) else { return };
        let entries = (bytes.len() - HEAD) / LINE;
        let (one, other) = (self.random.place(entries), self.random.place(entries));
        let (one, other) = (HEAD + one * LINE, HEAD + other * LINE);
        match self.random.below(5) {
            0 => {
                let at = self.random.place(bytes.len());
                bytes[at] ^= 1 << self.random.below(8);
            }
            1 => {
                let (here, there) = (bytes[one..one + LINE].to_vec(), bytes[other..other + LINE].to_vec());
                bytes[one..one + LINE].copy_from_slice(&there);
                bytes[other..other + LINE].copy_from_slice(&here);
            }
            // As if what one page came of had given the other, with sums that hold.
            2 => {
                let (here, there) = (bytes[one + 33..one + 73].to_vec(), bytes[other + 33..other + 73].to_vec());
                for (at, value) in [(one, there), (other, here)] {
                    bytes[at + 33..at + 73].copy_from_slice(&value);
                    let sum = *blake3::hash(&bytes[at..at + 73]).as_bytes();
                    bytes[at + 73..at + LINE].copy_from_slice(&sum[..8]);
                }
            }
            3 => {
                fs::remove_dir_all(self.path("cache")).expect("our own folder");
                return;
            }
            _ => return,
        }
        fs::write(file, bytes).expect("a file");
    }

    /// Compiles with the memory, and holds what is said and the site against a clean one.
    fn compile(&self, what: &str, mut look: impl FnMut(&mut Site<'_>)) {
        let (library, into) = (self.path("library"), self.path("site"));
        let inputs = || discover(&Disk::new(&library, &[])).expect("the library opens");
        let recall = self.recall();
        let read = inputs();
        let recalling = Recalling::new(&recall, &read);
        let remembered = pipeline::prepare_with(inputs(), Audience::Department, &recalling);
        // That cases are packed in a large library must show nowhere either.
        let clean = pipeline::prepare_with(read, Audience::Department, &Packing);
        assert_eq!(said(&remembered), said(&clean), "after {what}");
        assert_eq!(remembered.checked.barred, clean.checked.barred, "after {what}");
        let afresh = self.path("clean");
        let _ = fs::remove_dir_all(&afresh);
        with_site(&clean, |site| {
            publish(site, &afresh, &Options::default()).expect("it is published");
        });
        let clean: BTreeMap<SitePath, Entry> = verify(&afresh).expect("a site").manifest.files;
        with_site(&remembered, |site| {
            look(site);
            let options = Options { recall: Some(&recall), ..Options::default() };
            publish(site, &into, &options).expect("it is published");
        });
        recall.save().expect("it is kept");
        let found = verify(&into).expect("a site");
        assert!(found.is_whole(), "after {what}");
        for (path, entry) in &clean {
            assert_eq!(found.manifest.files.get(path), Some(entry), "{path} after {what}");
        }
        assert_eq!(found.manifest.files.len(), clean.len(), "after {what}");
    }
}

/// Everything that was said.
fn said(prepared: &Prepared) -> Vec<String> {
    prepared.diagnostics.iter().map(|it| format!("{} {} {:?} {:?}", it.path, it.message, it.span, it.mends)).collect()
}

fn with_site(prepared: &Prepared, with: impl FnOnce(&mut Site<'_>)) {
    // An edit that the rules refuse would test nothing. A case that is gone may still be linked to.
    let refused = prepared.diagnostics.iter().filter(|it| it.severity() == Severity::Error);
    let refused: Vec<String> = refused.map(|it| format!("{}: {}", it.path, it.rule.name)).collect();
    let links = ["broken-link", "link-to-withheld-case"];
    assert!(refused.iter().all(|it| links.iter().any(|rule| it.ends_with(rule))), "{refused:?}");
    let analysis = analyse(&prepared.checked.corpus);
    let theme = Theme::new(&prepared.inputs.theme).expect("a sound theme");
    with(&mut render(&prepared.checked.corpus, &analysis, &theme).expect("a site"));
}

#[test]
fn whatever_is_edited_the_site_is_the_one_of_a_clean_compile() {
    let mut place = Place::new(2026);
    place.compile("the start", |_| {});
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for _ in 0..120 {
        let what = place.edit();
        *seen.entry(what).or_default() += 1;
        place.damage();
        place.compile(what, |_| {});
    }
    assert!(seen.len() == 22, "{seen:?}");
}

#[test]
fn what_cannot_have_changed_is_not_made() {
    let mut place = Place::new(7);
    place.compile("the start", |_| {});
    let forbid = |site: &mut Site<'_>, but: &str| {
        let Site { pages, leans, .. } = site;
        let kept: Vec<&SitePath> = leans.keys().filter(|path| !path.as_str().contains(but)).collect();
        assert!(kept.len() > 40, "{}", kept.len());
        for path in kept {
            let path = path.clone();
            let (_, page) = pages.get_mut(&path).expect("a page");
            *page = Page::Made(Box::new(move || panic!("{path} was made again")));
        }
    };
    place.compile("nothing", |site| forbid(site, "no page is called so"));
    // A word of prose that names nothing: its own pages, and those of concepts that tell of it, are made anew.
    let number = *place.cases.keys().next().expect("a case");
    let changed = format!("case-{number}");
    place.cases.get_mut(&number).expect("a case").prose = 99;
    place.save(number);
    place.compile("prose", |site| {
        let Site { pages, leans, .. } = site;
        for path in leans.keys().filter(|path| path.as_str().starts_with("cases/") && !path.as_str().contains(&changed))
        {
            let path = path.clone();
            let (_, page) = pages.get_mut(&path).expect("a page");
            *page = Page::Made(Box::new(move || panic!("{path} was made again")));
        }
    });
}

/// Texts in which nothing was said of identifiers are not looked through again, and all others are.
#[test]
fn only_that_nothing_was_said_is_remembered() {
    let mut place = Place::new(13);
    let prepare = |place: &Place| {
        let recall = place.recall();
        let inputs = || discover(&Disk::new(place.path("library"), &[])).expect("the library opens");
        let read = inputs();
        let sought = AtomicUsize::new(0);
        let counting = Counting { inner: Recalling::new(&recall, &read), sought: &sought };
        let prepared = pipeline::prepare_with(inputs(), Audience::Department, &counting);
        recall.save().expect("it is kept");
        let dates = said(&prepared).iter().filter(|it| it.contains("date")).count();
        (sought.into_inner(), dates)
    };
    assert_eq!(prepare(&place), (6, 0), "all are new");
    assert_eq!(prepare(&place), (0, 0), "in none there was anything");
    place.add();
    assert_eq!(prepare(&place), (1, 0), "one is new");
    let number = *place.cases.keys().next().expect("a case");
    place.put(&format!("case-{number}.md"), &(place.cases[&number].text() + "\nSeen on 12 March 2024.\n"));
    assert_eq!(prepare(&place), (1, 1), "one has changed");
    assert_eq!(prepare(&place), (1, 1), "it is said again");
    place.put("media/words.vtt", "WEBVTT\n\n00:01.000 --> 00:02.000\nA quiet eye.\n");
    assert_eq!(prepare(&place), (7, 1), "what is shown belongs to what is looked through");
}

/// Counts in how many cases identifiers were looked for.
struct Counting<'c> {
    inner: Recalling<'c>,
    sought: &'c AtomicUsize,
}

impl Memory for Counting<'_> {
    fn judged(&self, at: usize, parse: &dyn Fn() -> Parsed, judge: Judge<'_>) -> Judged {
        let counted = |parsed: Arc<Parsed>, identifiers| {
            self.sought.fetch_add(usize::from(identifiers == Identifiers::Sought), Ordering::Relaxed);
            judge(parsed, identifiers)
        };
        self.inner.judged(at, parse, &counted)
    }
}

#[test]
fn nearly_every_page_tells_what_it_leans_on() {
    let place = Place::new(11);
    let inputs = discover(&Disk::new(place.path("library"), &[])).expect("the library opens");
    with_site(&pipeline::prepare(inputs, Audience::Department), |site| {
        for (path, (_, page)) in &site.pages {
            let of_cases = ["cases/", "concepts/", "compare/"].iter().any(|folder| path.as_str().starts_with(folder));
            let told: Option<&Leans<'_>> = site.leans.get(path);
            assert!(!of_cases || told.is_some() || !matches!(page, Page::Made(_)), "{path}");
        }
    });
}

/// The command as people run it: across processes, in a cache folder of its own.
#[test]
fn the_command_remembers_in_the_cache_folder_and_nowhere_else() {
    let place = Place::new(5);
    let compile = |more: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_casewright"))
            .current_dir(place.folder.path())
            .env("XDG_CACHE_HOME", place.path("cache"))
            .env("HOME", place.path("home"))
            .env("LOCALAPPDATA", place.path("cache"))
            .args(["compile", "library", "--into", "site", "--format", "json"])
            .args(more)
            .output()
            .expect("the command runs");
        let said: serde_json::Value = serde_json::from_slice(&output.stdout).expect("a summary");
        (said["written"].as_u64(), said["unchanged"].as_u64())
    };
    let (Some(all), Some(0)) = compile(&[]) else { panic!("all is new") };
    assert_eq!(compile(&[]), (Some(0), Some(all)));
    assert_eq!(compile(&["--afresh"]), (Some(0), Some(all)));
    let names = |folder: &str| -> Vec<String> {
        let entries = fs::read_dir(place.path(folder)).expect("a folder");
        entries.map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned()).collect()
    };
    #[cfg(target_os = "linux")]
    {
        assert_eq!(names("cache/casewright").len(), 1);
        assert_eq!(names("").len(), 3, "library, site and cache: {:?}", names(""));
        // A site in the very folder of the cache, or beside it, is made without a memory, by whatever way it is named.
        std::os::unix::fs::symlink(place.path("cache"), place.path("way")).expect("a link");
        for (cache, into) in
            [("cache", "cache/casewright/site"), ("way", "cache/casewright/two"), ("way", "cache/three")]
        {
            let output = Command::new(env!("CARGO_BIN_EXE_casewright"))
                .env("XDG_CACHE_HOME", place.path(cache))
                .args(["compile".into(), place.path("library"), "--into".into(), place.path(into)])
                .output()
                .expect("the command runs");
            assert!(output.status.success());
        }
        assert_eq!(names("cache/casewright").len(), 3, "two sites and no second memory");
    }
}
