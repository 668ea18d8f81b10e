//! A film with sound and no captions.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "missing-captions",
    severity: Severity::Warning,
    what: r"A film has sound and no captions.",
    why: r"Who cannot hear, and who reads on a quiet ward, has only the pictures.",
    instead_of: r"media: [{file: op.mp4, alt: …}]",
    write: r"media: [{file: op.mp4, captions: op.vtt, alt: …}]",
    source: r"WCAG 2.2, success criterion 1.2.2 Captions (Prerecorded)",
    quotes: true,
};

/// Every film.
pub(crate) fn check(case: &CaseSyntax, context: &Context<'_>, out: &mut Vec<Diagnostic>) {
    for media in case.media.iter().filter(|media| media.captions.is_none()) {
        let film = context.media.get(&media.file.value).and_then(|file| file.shown()?.facts.film.as_ref());
        if film.is_some_and(|film| film.sound) {
            let message = format!("the film `{}` has sound and no captions", media.file.value);
            out.push(Diagnostic::at(&RULE, media.file.span, message).mend(
                "write what is said into a WebVTT file, or take the sound out: ffmpeg -i IN -an -c copy OUT.mp4",
            ));
        }
    }
}
