//! A picture or film that nobody attests to have looked at.

use crate::check::Context;
use crate::check::exhibits::attested;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::{CaseSyntax, ConsentStatus, Media};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "unattested-media",
    severity: Severity::Error,
    what: r"A picture or film has no `looked_at`, or it changed since somebody looked, or what was seen needs a consent that is not there.",
    why: r"No rule sees a face, an iris, a name burned into the corner or a voice that says one. An iris is as good as a finger print. Somebody must look at the whole file and read its captions, and the attestation holds for these files alone.",
    instead_of: r"media: [{file: op.mp4, alt: …}]",
    write: r"media:
  - file: op.mp4
    alt: …
    looked_at: {by: second consultant, of: 0123456789abcdef, faces: none, iris: not recognisable, words: none, voices: narration only}",
    source: r"US 45 CFR 164.514(b)(2)(i)(P) and (Q); UK General Medical Council, Making and using visual and audio recordings of patients",
    quotes: true,
};

/// Every picture and film that is there.
pub(crate) fn check(case: &CaseSyntax, context: &Context<'_>, out: &mut Vec<Diagnostic>) {
    for media in &case.media {
        let shown = |name: &str| context.media.get(name).and_then(|file| file.shown());
        let Some(film) = shown(&media.file.value) else { continue };
        let captions = media.captions.as_ref().and_then(|captions| context.media.get(&captions.value)?.text());
        let captions = captions.and_then(|file| context.sources.get(file)).map(|source| &*source.text);
        let hash = attested(film, media.poster.as_ref().and_then(|poster| shown(&poster.value)), captions);
        out.extend(one(case, media, film.facts.film.as_ref().is_some_and(|film| film.sound), &hash));
    }
}

fn one(case: &CaseSyntax, media: &Media, sound: bool, hash: &str) -> Option<Diagnostic> {
    let voices = if sound { ", voices: …" } else { "" };
    let Some(looked) = &media.looked_at else {
        let message = format!("nobody attests to have looked at `{}`", media.file.value);
        return Some(Diagnostic::at(&RULE, media.file.span, message).mend(format!(
            "look at all of it, then add looked_at: {{by: …, of: {hash}, faces: …, iris: …, words: …{voices}}}"
        )));
    };
    if looked.of.value != hash {
        let also = match (&media.poster, &media.captions) {
            (None, None) => "is",
            (Some(_), None) => "or its poster is",
            (None, Some(_)) => "or its captions are",
            (Some(_), Some(_)) => "or its poster or captions are",
        };
        let message = format!("`{}` {also} not what was looked at", media.file.value);
        return Some(
            Diagnostic::at(&RULE, looked.of.span, message)
                .mend(format!("look at all of it as it is now, then write `of: {hash}`")),
        );
    }
    if sound && looked.voices.is_none() {
        return Some(
            Diagnostic::at(&RULE, looked.by.span, "the film has sound, and nothing is attested about voices")
                .mend("listen to the end, then add voices: narration only, or what it is"),
        );
    }
    let consented = case.consent.status.value == ConsentStatus::Obtained;
    let person = [&looked.faces, &looked.iris].into_iter().flatten().find(|seen| seen.value == "consented");
    person.filter(|_| !consented).map(|seen| {
        Diagnostic::at(&RULE, seen.span, "a person can be recognised, and no consent was obtained")
            .mend("obtain consent, or cut the picture until nobody can be recognised")
    })
}
