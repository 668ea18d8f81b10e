//! A file that cannot be shown as what the case says it is.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::media::Cues;
use crate::model::case::{CaseSyntax, Text};
use crate::model::inputs::MediaContent;
use crate::text::Span;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "unsuitable-media",
    severity: Severity::Error,
    what: r"A file is of a kind that browsers do not show or that cannot be copied clean (TIFF, HEIC, DICOM, AVI and others), is damaged, or is named in a place for another kind: a film as a poster, a picture as captions. Captions are WebVTT.",
    why: r"It could not be seen, or it would go out with what its container remembers of the patient.",
    instead_of: r"media: [{file: scan.dcm, …}]",
    write: r"media: [{file: scan.png, …}]",
    source: r"W3C, WebVTT: The Web Video Text Tracks Format, for captions",
    quotes: true,
};

/// Every file that `media` names and that is there.
pub(crate) fn check(case: &CaseSyntax, context: &Context<'_>, out: &mut Vec<Diagnostic>) {
    for media in &case.media {
        out.extend(picture(&media.file, context, false));
        out.extend(media.poster.as_ref().and_then(|poster| picture(poster, context, true)));
        if let Some(named) = &media.captions {
            captions(named, context, out);
        }
    }
}

fn picture(named: &Text, context: &Context<'_>, still: bool) -> Option<Diagnostic> {
    let found = |what: &str| Diagnostic::at(&RULE, named.span, format!("`{}` is {what}", named.value));
    match &context.media.get(&named.value)?.content {
        MediaContent::Shown(shown) if still && shown.facts.form.is_film() => Some(
            found("a film, and a poster is a picture")
                .mend("take a still of it: ffmpeg -ss 3 -i IN -frames:v 1 OUT.jpg"),
        ),
        MediaContent::Shown(_) => None,
        MediaContent::Text(_) | MediaContent::Unread => {
            Some(found("captions, and a picture or film belongs here").mend("name it under `captions` beside its film"))
        }
        MediaContent::Refused(refused) => {
            let stem = named.value.rsplit_once('.').map_or(named.value.as_str(), |(stem, _)| stem);
            let way = refused.way.replace("IN", &named.value).replace("OUT", stem);
            Some(found(&format!("{}, which is not published", refused.what)).mend(way))
        }
        MediaContent::Damaged(why) => Some(
            Diagnostic::at(&RULE, named.span, format!("`{}` cannot be used: {why}", named.value))
                .mend("export it again from where it came from"),
        ),
    }
}

fn captions(named: &Text, context: &Context<'_>, out: &mut Vec<Diagnostic>) {
    let Some(file) = context.media.get(&named.value) else { return };
    let Some(text) = file.text() else {
        if !matches!(file.content, MediaContent::Unread) {
            let message = format!("`{}` is no captions", named.value);
            out.push(Diagnostic::at(&RULE, named.span, message).mend("name a WebVTT file: OP.vtt"));
        }
        return;
    };
    if let Some(source) = context.sources.get(text) {
        for (range, what) in Cues::read(&source.text).faults {
            let mend =
                "mend the line; the form is that of WebVTT, and an SRT file becomes one with ffmpeg -i IN.srt OUT.vtt";
            out.push(Diagnostic::at(&RULE, Span::new(text, range.start, range.end), what).mend(mend));
        }
    }
}
