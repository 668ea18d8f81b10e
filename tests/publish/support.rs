//! Small sites, and what a folder holds, read without the code under test.

use casewright::media::Recipe;
use casewright::model::digest::Digest;
use casewright::model::site::{Audience, CopyOf, Page, Site, SitePath, Turn};
use casewright::publish::{Fault, MANIFEST, Operation, Options, Published, SUMS, Way, publish};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use tempfile::TempDir;

/// The two ways there are.
pub(super) const WAYS: [Way; 2] = [Way::Exchange, Way::Journal];

/// A folder of our own with the library's media and a place for the site.
pub(super) struct Place {
    folder: TempDir,
    pub(super) target: PathBuf,
}

impl Place {
    pub(super) fn new() -> Self {
        Self::within(tempfile::tempdir().expect("a temporary folder"))
    }

    /// A place for a test that publishes hundreds of times.
    pub(super) fn quick() -> Self {
        Self::within(quick_folder())
    }

    fn within(folder: TempDir) -> Self {
        let parent = folder.path().join("shared");
        fs::create_dir(&parent).expect("a folder for the site");
        fs::write(folder.path().join("op.mp4"), [7; 5000]).expect("a media file");
        let target = parent.join("site");
        Self { folder, target }
    }

    /// The media file of the library.
    pub(super) fn media(&self) -> PathBuf {
        self.folder.path().join("op.mp4")
    }

    /// The names that lie where the target lies.
    pub(super) fn beside(&self) -> Vec<String> {
        let parent = self.target.parent().expect("the target lies in a folder");
        let mut names: Vec<String> = fs::read_dir(parent)
            .expect("the folder can be read")
            .map(|item| item.expect("an entry").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    /// The first edition.
    pub(super) fn first(&self) -> Site<'static> {
        let mut site = site(&[
            ("about.html", Turn::Page, "about"),
            ("assets/style-1.css", Turn::Hashed, "style 1"),
            ("cases/edited.html", Turn::Page, "one; needs assets/style-1.css"),
            ("cases/withdrawn.html", Turn::Page, "private; needs assets/style-1.css"),
            ("index.html", Turn::Page, "edited, withdrawn; needs assets/style-1.css"),
            ("lone/withdrawn.html", Turn::Page, "private"),
            ("media/withdrawn-1.jpg", Turn::Hashed, "private"),
            ("search/words-1.js", Turn::Hashed, "private"),
            ("search.js", Turn::Pointer, "search/words-1.js"),
        ]);
        self.add_media(&mut site);
        site
    }

    /// The second edition: an edited page, a new one in a new folder, two withdrawn ones, other hashed files.
    pub(super) fn second(&self) -> Site<'static> {
        let mut site = site(&[
            ("about.html", Turn::Page, "about"),
            ("assets/style-2.css", Turn::Hashed, "style 2"),
            ("cases/edited.html", Turn::Page, "two; needs assets/style-2.css"),
            ("concepts/new.html", Turn::Page, "new; needs assets/style-2.css"),
            ("index.html", Turn::Page, "edited, new; needs assets/style-2.css"),
            ("search/words-2.js", Turn::Hashed, "new"),
            ("search.js", Turn::Pointer, "search/words-2.js"),
        ]);
        self.add_media(&mut site);
        site
    }

    fn add_media(&self, site: &mut Site<'static>) {
        let page = copied(&self.media());
        site.pages.insert(path("media/op-1.mp4"), (Turn::Hashed, page));
    }

    /// Puts things that are not ours into the folder: a file, a file in a folder of ours, an empty folder, and a
    /// link to a file outside. Gives their names as a publication lists them.
    pub(super) fn add_foreign(&self) -> Vec<String> {
        let at = |name: &str| self.target.join(name);
        fs::write(at("notice.txt"), "not ours").expect("a foreign file");
        fs::write(at("cases/notes.txt"), "not ours").expect("a foreign file");
        fs::create_dir(at("empty")).expect("a foreign folder");
        std::os::unix::fs::symlink(self.media(), at("link.mp4")).expect("a foreign link");
        ["cases/notes.txt", "empty/", "link.mp4", "notice.txt"].map(str::to_owned).to_vec()
    }

    /// What the folder holds with these pages and nothing else but `foreign` things.
    pub(super) fn expected(&self, site: &Site<'_>, with_foreign: bool) -> Tree {
        let fresh = Self::quick();
        publish(site, &fresh.target, &Options::default()).expect("a fresh folder takes the site");
        if with_foreign {
            fs::create_dir_all(fresh.target.join("cases")).expect("a folder");
            fresh.add_foreign();
            fs::remove_file(fresh.target.join("link.mp4")).expect("the link is there");
            std::os::unix::fs::symlink(self.media(), fresh.target.join("link.mp4")).expect("a link");
        }
        let held = held(&fresh.target);
        assert_manifest_fits(&held, if with_foreign { 4 } else { 0 });
        held
    }
}

/// A folder on the memory disk where there is one: syncing hundreds of times on a busy disk can take minutes, and
/// what a stopped or killed run leaves does not depend on it.
pub(super) fn quick_folder() -> TempDir {
    tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).expect("a temporary folder")
}

/// A checked site path.
pub(super) fn path(path: &str) -> SitePath {
    SitePath::new(path).expect("a path of a site")
}

/// A site for the department with these pages.
pub(super) fn site(pages: &[(&str, Turn, &str)]) -> Site<'static> {
    let page = |(at, turn, text): &(&str, Turn, &str)| (path(at), (*turn, Page::Ready(text.as_bytes().to_vec())));
    Site { audience: Audience::Department, pages: pages.iter().map(page).collect(), ..Site::default() }
}

/// A site of many small pages that are made on demand; a third of them differ between editions.
pub(super) fn many(pages: usize, edition: usize) -> Site<'static> {
    let page = |number: usize| {
        let of = if number.is_multiple_of(3) { edition } else { 0 };
        let make = move || Ok(format!("page {number} of edition {of}\n").repeat(20).into_bytes());
        (path(&format!("cases/{}/page-{number}.html", number % 7)), (Turn::Page, Page::Made(Box::new(make))))
    };
    let mut site = Site { audience: Audience::Department, pages: (0..pages).map(page).collect(), ..Site::default() };
    let own = format!("only-in-{edition}.html");
    site.pages.insert(path(&own), (Turn::Page, Page::Ready(own.clone().into_bytes())));
    site
}

/// Everything in a folder: bytes of files, targets of links, folders.
pub(super) type Tree = BTreeMap<String, Item>;

/// What stands at a path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Item {
    File(Vec<u8>),
    Link(PathBuf),
    Folder,
}

/// Reads a folder.
pub(super) fn held(folder: &Path) -> Tree {
    let walk = walkdir::WalkDir::new(folder).min_depth(1);
    walk.into_iter()
        .map(|item| {
            let item = item.expect("the folder can be read");
            let name = item.path().strip_prefix(folder).expect("it lies in the folder");
            let read = match item.file_type() {
                kind if kind.is_symlink() => Item::Link(fs::read_link(item.path()).expect("a link")),
                kind if kind.is_dir() => Item::Folder,
                _ => Item::File(fs::read(item.path()).expect("a file")),
            };
            (name.to_string_lossy().into_owned(), read)
        })
        .collect()
}

/// Checks a folder against its own manifest, computing every hash anew: each file, the hash over all entries as
/// the manifest's documentation defines it, and that there are as many other things as `foreign` says.
pub(super) fn assert_manifest_fits(held: &Tree, foreign: usize) {
    let Some(Item::File(text)) = held.get(MANIFEST) else { panic!("there is no manifest") };
    let manifest: serde_json::Value = serde_json::from_slice(text).expect("the manifest is JSON");
    let files = manifest["files"].as_object().expect("the manifest lists files");
    let mut lines = format!("{}\n", manifest["audience"].as_str().expect("an audience"));
    for (path, entry) in files {
        let Some(Item::File(bytes)) = held.get(path) else { panic!("{path} is missing") };
        let hash = sha256(bytes);
        assert_eq!(entry["sha256"], hash, "{path}");
        assert_eq!(entry["size"], bytes.len(), "{path}");
        lines += &format!("{path} {} {hash}\n", bytes.len());
    }
    assert_eq!(manifest["whole"], sha256(lines.as_bytes()));
    let sums: String =
        files.iter().map(|(path, entry)| format!("{}  {path}\n", entry["sha256"].as_str().expect("a hash"))).collect();
    assert!(held.get(SUMS) == Some(&Item::File(sums.into_bytes())), "the list of hashes fits");
    let above = |name: &str| files.keys().any(|path| path.starts_with(&format!("{name}/")));
    let others =
        held.keys().filter(|name| *name != MANIFEST && *name != SUMS && !files.contains_key(*name) && !above(name));
    assert_eq!(others.count(), foreign, "{:?}", held.keys());
}

/// Publishes in one way, with nothing going wrong.
pub(super) fn put(site: &Site<'_>, target: &Path, way: Way) -> Published {
    publish(site, target, &Options { way, ..Options::default() }).expect("it can be published")
}

/// Publishes and gives every operation as `VERB PATH`, paths relative to the folder that holds the target.
pub(super) fn operations(site: &Site<'_>, target: &Path, options: Options<'_>) -> (Published, Vec<String>) {
    let seen = Mutex::new(Vec::new());
    let parent = target.parent().and_then(|parent| parent.canonicalize().ok()).expect("the target lies in a folder");
    let note = |operation: &Operation<'_>| {
        let path = operation.path.strip_prefix(&parent).unwrap_or(operation.path);
        seen.lock().expect("one thread").push(format!("{} {}", operation.verb, path.display()));
        None::<Fault>
    };
    let published = publish(site, target, &Options { faults: Some(&note), ..options }).expect("it can be published");
    (published, seen.into_inner().expect("one thread"))
}

/// A file of the library, copied as it is.
pub(super) fn copied(from: &Path) -> Page<'static> {
    let bytes = fs::read(from).expect("the file is there");
    let (size, hash) = (bytes.len() as u64, Digest::of(&bytes));
    let recipe = Arc::new(Recipe::whole(size));
    Page::Copied(Box::new(CopyOf { from: from.to_owned(), recipe, size, hash }))
}

/// A hash in hexadecimal digits, by the library alone.
pub(super) fn sha256(bytes: &[u8]) -> String {
    use sha2::Digest as _;
    sha2::Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}
