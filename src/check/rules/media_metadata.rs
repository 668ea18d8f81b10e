//! What a container remembers besides picture and sound.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;
use crate::text::list;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "media-metadata",
    severity: Severity::Advice,
    what: r"A picture or film holds more than can be seen and heard: a position, times, names, serial numbers, a small copy of the uncut picture. The published copy is made without; the original in the library keeps it.",
    why: r"Whoever is given the original is given that too.",
    instead_of: r"Mailing media/op.jpg to a colleague",
    write: r"Sending the copy from the site's folder media/",
    source: r"Exif 2.32, ISO/IEC 14496-12, RFC 9559, RFC 9649, PNG (third edition)",
    quotes: true,
};

/// Every picture and film with its poster.
pub(crate) fn check(case: &CaseSyntax, context: &Context<'_>, out: &mut Vec<Diagnostic>) {
    for named in case.media.iter().flat_map(|media| std::iter::once(&media.file).chain(&media.poster)) {
        let Some(shown) = context.media.get(&named.value).and_then(|file| file.shown()) else { continue };
        if !shown.facts.traces.is_empty() {
            let traces: Vec<&str> = shown.facts.traces.iter().copied().collect();
            let message = format!("`{}` holds more than can be seen: {}", named.value, list(&traces, "and"));
            out.push(
                Diagnostic::at(&RULE, named.span, message)
                    .mend("nothing for the site, whose copy is made without; do not pass on the original"),
            );
        }
    }
}
