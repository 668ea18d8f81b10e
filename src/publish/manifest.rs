//! The manifest: what a published folder holds, file by file, and for whom.
//!
//! It stands at the root of the site. It knows no clock and no path of the machine that wrote it, so the same
//! site gives the same bytes.

use crate::model::digest::Digest;
use crate::model::site::{Audience, SitePath};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

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

/// The manifest as it stands in a file.
#[derive(Serialize, Deserialize)]
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
        let mut text = format!("{}\n", self.audience.word());
        for (path, entry) in &self.files {
            text.push_str(&format!("{path} {} {}\n", entry.size, entry.hash));
        }
        Digest::of(text.as_bytes())
    }

    /// The same hashes in the form that `sha256sum --check` reads, for those without our tool.
    pub fn sums(&self) -> Vec<u8> {
        let line = |(path, entry): (&SitePath, &Entry)| format!("{}  {path}\n", entry.hash);
        self.files.iter().map(line).collect::<String>().into_bytes()
    }

    /// The bytes of the file.
    pub fn to_bytes(&self) -> Vec<u8> {
        to_json(&self.to_written())
    }

    /// Reads a manifest back.
    ///
    /// # Errors
    /// Says what is wrong: not JSON of this layout, another version, a path no site can hold, or entries that do
    /// not belong together because the file was altered.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, String> {
        Self::from_written(serde_json::from_slice(bytes).map_err(|error| error.to_string())?)
    }

    pub(super) fn to_written(&self) -> Written {
        let entry = |entry: &Entry| WrittenEntry { size: entry.size, sha256: entry.hash.to_string() };
        Written {
            version: VERSION,
            audience: self.audience.word().to_owned(),
            whole: self.whole().to_string(),
            files: self.files.iter().map(|(path, of)| (path.to_string(), entry(of))).collect(),
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

/// JSON on several lines, ended by a line feed.
pub(super) fn to_json<T: Serialize>(value: &T) -> Vec<u8> {
    let mut bytes = serde_json::to_vec_pretty(value).expect("text, numbers and maps with text keys always serialise");
    bytes.push(b'\n');
    bytes
}
