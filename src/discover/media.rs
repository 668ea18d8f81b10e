//! Looks into pictures and films: what they are, what they hold, and the hashes of the file and of its clean copy.

use super::Known;
use crate::files::Files;
use crate::media::{self, Examined};
use crate::model::digest::Digester;
use crate::model::inputs::{MediaContent, MediaFile, Shown};
use crate::model::site::CopyOf;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Fills in the content of every named file.
pub(super) fn examine(
    files: &dyn Files,
    known: &Known<'_>,
    named: &[(String, u64)],
    media: &mut BTreeMap<String, MediaFile>,
) {
    let look = |name: &str, size| one(files, &format!("media/{name}"), size).unwrap_or_else(MediaContent::Damaged);
    let contents: Vec<MediaContent> =
        named.par_iter().map(|(name, size)| known(name).unwrap_or_else(|| look(name, *size))).collect();
    for ((name, _), content) in named.iter().zip(contents) {
        if let Some(file) = media.get_mut(name) {
            file.content = content;
        }
    }
}

fn one(files: &dyn Files, path: &str, size: u64) -> Result<MediaContent, String> {
    let mut source = files.open(path)?;
    let (facts, recipe) = match media::examine(&mut *source, size) {
        Ok(Examined::Sound(facts, recipe)) => (facts, recipe),
        Ok(Examined::Refused(refused)) => return Ok(MediaContent::Refused(refused)),
        Err(fault) => return Err(fault.to_string()),
    };
    let unreadable = |error: std::io::Error| format!("it cannot be read: {error}");
    let mut original = blake3::Hasher::new();
    original.update_reader(files.open(path)?).map_err(unreadable)?;
    if original.count() != size {
        return Err("it changed while it was read".to_owned());
    }
    let mut copied = Digester::default();
    media::copy(&mut *source, &recipe, &mut copied).map_err(unreadable)?;
    let (size, hash) = copied.finish();
    let copy = CopyOf { from: files.locate(path), size, recipe: Arc::new(recipe), hash };
    Ok(MediaContent::Shown(Arc::new(Shown { facts, original: original.finalize(), copy })))
}
