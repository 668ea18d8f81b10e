//! The manifest: what a published folder holds, file by file, and for whom.
//!
//! It stands at the root of the site. It knows no clock and no path of the machine that wrote it, so the same
//! site gives the same bytes.

use crate::model::digest::{Digest, Digester};
use crate::model::site::{Audience, SitePath};
use serde::{Deserialize, Serialize, Serializer};
use std::collections::BTreeMap;
use std::io::Write;

/// The manifest's file name at the root of the site.
pub const MANIFEST: &str = "casewright-manifest.json";

/// The file with all hashes in the form of `sha256sum`, at the root of the site.
pub const SUMS: &str = "SHA256SUMS";

/// The version of the file's layout. A reader refuses any other.
const VERSION: u32 = 2;

/// What the manifest says of one file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Entry {
    /// Size in bytes.
    pub size: u64,
    /// Hash of the bytes.
    pub hash: Digest,
}

impl Entry {
    /// The entry of these bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self { size: bytes.len() as u64, hash: Digest::of(bytes) }
    }
}

/// Every file of a published site but the manifest itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Manifest {
    /// For whom the site is.
    pub audience: Audience,
    /// Path → size and hash, in the order of the paths.
    pub files: BTreeMap<SitePath, Entry>,
}

/// The manifest as it is written to a file.
#[derive(Serialize)]
struct Writing<'m> {
    version: u32,
    audience: &'static str,
    whole: String,
    files: WritingFiles<'m>,
}

/// Its files, none of which is copied for it: a large site has hundreds of thousands.
struct WritingFiles<'m>(&'m BTreeMap<SitePath, Entry>);

impl Serialize for WritingFiles<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let entry = |entry: &Entry| WrittenEntry { size: entry.size, sha256: entry.hash.to_string() };
        to.collect_map(self.0.iter().map(|(path, of)| (path.as_str(), entry(of))))
    }
}

/// The manifest as it stands in a file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Written {
    version: u32,
    audience: String,
    whole: String,
    files: BTreeMap<String, WrittenEntry>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenEntry {
    size: u64,
    sha256: String,
}

impl Manifest {
    /// One hash over the audience and all entries: the SHA-256 hash of the line `AUDIENCE` and a line
    /// `PATH SIZE HASH` for each file in order, each ended by a line feed.
    pub fn whole(&self) -> Digest {
        let mut digester = Digester::default();
        let mut say = |line: String| digester.write_all(line.as_bytes()).expect("hashing never fails");
        say(format!("{}\n", self.audience.word()));
        for (path, entry) in &self.files {
            say(format!("{path} {} {}\n", entry.size, entry.hash));
        }
        digester.finish().1
    }

    /// The same hashes in the form that `sha256sum --check` reads, for those without our tool.
    pub fn sums(&self) -> Vec<u8> {
        let mut out = Vec::with_capacity(self.files.keys().map(|path| path.as_str().len() + 67).sum());
        for (path, entry) in &self.files {
            writeln!(out, "{}  {path}", entry.hash).expect("memory can be written");
        }
        out
    }

    /// The bytes of the file.
    pub fn to_bytes(&self) -> Vec<u8> {
        // Bytes that a file takes besides its path, and for all that is no file.
        let room = self.files.keys().map(|path| path.as_str().len() + 130).sum::<usize>() + 300;
        to_json(&self.to_written(), room)
    }

    /// Reads a manifest back.
    ///
    /// # Errors
    /// Says what is wrong: not JSON of this layout, another version, a path no site can hold, or entries that do
    /// not belong together because the file was altered.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, String> {
        Self::from_written(serde_json::from_slice(bytes).map_err(|error| error.to_string())?)
    }

    pub(super) fn to_written(&self) -> impl Serialize {
        Writing {
            version: VERSION,
            audience: self.audience.word(),
            whole: self.whole().to_string(),
            files: WritingFiles(&self.files),
        }
    }

    pub(super) fn from_written(written: Written) -> Result<Self, String> {
        if written.version != VERSION {
            return Err(format!("it has version {}, and this casewright reads version {VERSION}", written.version));
        }
        let audience = Audience::from_word(&written.audience)
            .ok_or_else(|| format!("`{}` is not an audience", written.audience))?;
        let mut files = BTreeMap::new();
        for (path, entry) in written.files {
            let hash = Digest::from_hex(&entry.sha256).ok_or_else(|| format!("the hash of `{path}` is not one"))?;
            files.insert(to_site_path(path)?, Entry { size: entry.size, hash });
        }
        let manifest = Self { audience, files };
        if manifest.whole().to_string() != written.whole {
            return Err("its entries do not belong together".to_owned());
        }
        Ok(manifest)
    }
}

/// A path read from a file. What could lead out of the folder is no site path, so nothing there is ever touched.
pub(super) fn to_site_path(path: String) -> Result<SitePath, String> {
    SitePath::new(path.clone()).ok_or_else(|| format!("`{path}` is not a path of a site"))
}

/// JSON on several lines, ended by a line feed; it takes about so many bytes.
pub(super) fn to_json<T: Serialize>(value: &T, room: usize) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(room);
    serde_json::to_writer_pretty(&mut bytes, value).expect("text, numbers and maps with text keys always serialise");
    bytes.push(b'\n');
    bytes
}
