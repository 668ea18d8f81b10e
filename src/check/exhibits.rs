//! The pictures and films of a cleared case, with what is said in them.

use crate::media::Cues;
use crate::model::case::Case;
use crate::model::corpus::Exhibit;
use crate::model::inputs::{Inputs, Shown};
use std::sync::Arc;

/// One exhibit for each entry of `media`.
pub(super) fn of(case: &Case, inputs: &Inputs) -> Vec<Exhibit> {
    let shown = |name: &str| inputs.media.get(name).and_then(|file| file.shown()).cloned();
    case.media
        .iter()
        .map(|media| {
            let captions = media.captions.as_ref().and_then(|captions| inputs.media.get(&captions.value)?.text());
            let captions = captions.and_then(|file| inputs.sources.get(file));
            Exhibit {
                shown: shown(&media.file.value),
                poster: media.poster.as_ref().and_then(|poster| shown(&poster.value)),
                captions: captions.map(|source| Cues::read(&source.text).cues).unwrap_or_default(),
            }
        })
        .collect()
}

/// What somebody attests who looked at a picture, or at a film with its poster and its captions: one hash over the files.
pub(super) fn attested(shown: &Arc<Shown>, poster: Option<&Arc<Shown>>, captions: Option<&str>) -> String {
    let mut all = blake3::Hasher::new();
    all.update(shown.original.as_bytes());
    if let Some(poster) = poster {
        all.update(poster.original.as_bytes());
    }
    if let Some(captions) = captions {
        // A word before it, so that no captions are taken for a poster.
        all.update(b"captions").update(blake3::hash(captions.as_bytes()).as_bytes());
    }
    let hash = if poster.is_none() && captions.is_none() { shown.original } else { all.finalize() };
    hash.to_hex()[..16].to_owned()
}
