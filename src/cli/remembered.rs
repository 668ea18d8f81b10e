//! Where a compile keeps what the next one may take over: the user's cache folder.

use super::args::Compile;
use crate::model::digest::Parts;
use crate::model::site::Audience;
use crate::publish::Recall;
use std::path::{Path, PathBuf};

/// What an earlier compile of this library into this folder remembers; nothing where the system names no cache folder, or
/// where that lies in or beside the site. To be asked for when a compile begins: another program may come to lie in the place
/// of this one while it runs.
pub(super) fn recall(options: &Compile) -> Option<Recall> {
    let program = program()?;
    let folder = to_be(&folder()?)?;
    let (library, into) = (real(&options.library)?, to_be(&options.into)?);
    if into.starts_with(&folder) || folder.starts_with(&into) || into.parent() == folder.parent() {
        return None;
    }
    let mut of = Parts::default();
    of.add(library.as_os_str().as_encoded_bytes());
    of.add(into.as_os_str().as_encoded_bytes());
    of.add(Audience::from(options.audience).word());
    let name = of.hash().to_hex();
    Some(if options.afresh {
        Recall::unknowing(&folder, &name, program)
    } else {
        Recall::open(&folder, &name, program)
    })
}

/// A hash of this very program: another one may make other pages.
#[expect(clippy::disallowed_methods, reason = "the program looks at itself, not at a library")]
fn program() -> Option<[u8; 32]> {
    let bytes = std::fs::read(std::env::current_exe().ok()?).ok()?;
    Some(*blake3::hash(&bytes).as_bytes())
}

#[expect(clippy::disallowed_methods, reason = "where a folder really lies decides whose memory it is")]
fn real(path: &Path) -> Option<PathBuf> {
    let path = if path.as_os_str().is_empty() { Path::new(".") } else { path };
    path.canonicalize().ok()
}

/// Where a folder lies, or will lie once it is made.
fn to_be(path: &Path) -> Option<PathBuf> {
    real(path).or_else(|| Some(to_be(path.parent()?)?.join(path.file_name()?)))
}

/// Our folder in the user's cache folder. Sources: XDG Base Directory Specification 0.8; Apple, "File System Programming
/// Guide"; Microsoft, "Recognized environment variables".
fn folder() -> Option<PathBuf> {
    let named = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|path| path.is_absolute());
    let base = if cfg!(windows) {
        named("LOCALAPPDATA")
    } else if cfg!(target_vendor = "apple") {
        named("HOME").map(|home| home.join("Library/Caches"))
    } else {
        named("XDG_CACHE_HOME").or_else(|| named("HOME").map(|home| home.join(".cache")))
    };
    base.map(|base| base.join("casewright"))
}
