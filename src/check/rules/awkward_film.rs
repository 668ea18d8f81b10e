//! A film that many browsers or networks will not play well.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;
use crate::model::inputs::Shown;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "awkward-film",
    severity: Severity::Warning,
    what: r"A film has a codec that many browsers do not play, its index stands at its end, it needs more than 8 megabits a second, or it is larger than 2 GB.",
    why: r"On the ward's computers it stays black, begins late or stops.",
    instead_of: r"media: [{file: straight-from-the-recorder.mp4, …}]",
    write: r"media: [{file: for-the-web.mp4, …}]",
    source: r"common practice, no source",
    quotes: true,
};

/// Codes of codecs that current browsers play in these containers. Common practice, no source.
const PLAYED: &[&str] = &["avc1", "avc3", "mp4a", "V_VP8", "V_VP9", "A_OPUS", "A_VORBIS"];
/// Bits a second that a ward's network carries. Common practice, no source.
const MOST_BITS: f64 = 8e6;
/// Bytes that file shares and portals take. Common practice, no source.
const MOST_BYTES: u64 = 2 << 30;

/// Every film.
pub(crate) fn check(case: &CaseSyntax, context: &Context<'_>, out: &mut Vec<Diagnostic>) {
    for media in &case.media {
        let Some(shown) = context.media.get(&media.file.value).and_then(|file| file.shown()) else { continue };
        let stem = media.file.value.rsplit_once('.').map_or(media.file.value.as_str(), |(stem, _)| stem);
        for (what, options) in faults(shown) {
            out.push(
                Diagnostic::at(&RULE, media.file.span, format!("the film `{}` {what}", media.file.value))
                    .mend(format!("run: ffmpeg -i {} {options} {stem}-web.mp4", media.file.value)),
            );
        }
    }
}

fn faults(shown: &Shown) -> Vec<(String, &'static str)> {
    const ANEW: &str = "-c:v libx264 -profile:v high -pix_fmt yuv420p -crf 23 -c:a aac -movflags +faststart";
    let Some(film) = &shown.facts.film else { return Vec::new() };
    let mut faults = Vec::new();
    let odd: Vec<&str> = film.codecs.iter().map(String::as_str).filter(|codec| !PLAYED.contains(codec)).collect();
    if !odd.is_empty() {
        faults.push((format!("is coded as {}, which many browsers do not play", odd.join(" and ")), ANEW));
    }
    if !film.index_first {
        let what = "has its index at its end, so nothing shows before all of it is there";
        faults.push((what.to_owned(), "-c copy -movflags +faststart"));
    }
    #[expect(clippy::cast_precision_loss, reason = "a rate is told with one digit")]
    let bits = shown.copy.size as f64 * 8.0 / film.seconds.max(1.0);
    if bits > MOST_BITS {
        faults.push((format!("needs {:.0} megabits a second", bits / 1e6), ANEW));
    }
    if shown.copy.size > MOST_BYTES {
        faults.push(("is larger than 2 GB".to_owned(), ANEW));
    }
    faults
}
