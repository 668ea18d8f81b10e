//! The preview: what it serves, to whom, and that it follows the library whatever happens in its folder.

mod following;
mod serving;
pub(crate) mod soak;

use crate::support::{BASE, LIBRARY};
use casewright::model::site::Audience;
use casewright::preview::{Options, Preview, Round, start};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::mpsc;

/// A library in a folder of its own, previewed.
struct Previewed {
    place: tempfile::TempDir,
    address: SocketAddr,
    rounds: mpsc::Receiver<Round>,
    // It ends after the folder is gone, which it must bear.
    _preview: Preview,
}

impl Previewed {
    /// A library with these files beside its `library.yaml`.
    fn new(files: &[(&str, &str)]) -> Self {
        let place = tempfile::tempdir().expect("a folder");
        write(&place.path().join("library/library.yaml"), LIBRARY);
        for (path, text) in files {
            write(&place.path().join("library").join(path), text);
        }
        let (preview, rounds) = preview(&place.path().join("library"));
        Self { address: preview.address(), place, rounds, _preview: preview }
    }

    /// A path in the library.
    fn path(&self, path: &str) -> PathBuf {
        self.place.path().join("library").join(path)
    }

    /// A path on the same disk and outside the library.
    fn outside(&self, path: &str) -> PathBuf {
        self.place.path().join(path)
    }
}

/// Previews a folder on any port; every round is handed on.
fn preview(library: &Path) -> (Preview, mpsc::Receiver<Round>) {
    let (tell, rounds) = mpsc::channel();
    let options = Options { library: library.to_owned(), audience: Audience::Department, port: Some(0) };
    let preview = start(&options, move |round| drop(tell.send(round))).expect("the library opens");
    (preview, rounds)
}

/// Writes a file in place, with the folders above it.
fn write(path: &Path, text: &str) {
    std::fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
    std::fs::write(path, text).expect("a file");
}

/// The sound case with another last sentence.
fn with(words: &str) -> String {
    let text = BASE.replacen("The lens was hard and the pupil small.", words, 1);
    assert_ne!(text, BASE);
    text
}

/// The sound case with a side that there is not.
fn broken() -> String {
    BASE.replacen("eye: ", "eye: un", 1)
}
