//! A picture or film that is not there.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;
use crate::text::{Spanned, nearest};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "missing-media",
    severity: Severity::Error,
    what: r"A file named under `media` does not lie in the folder media/.",
    why: r"The page would describe something nobody can see.",
    instead_of: r"media: [{file: opp.mp4, …}]",
    write: r"media: [{file: op.mp4, …}]",
    source: r"",
    quotes: true,
};

/// Every file that `media` names.
pub(crate) fn check(case: &CaseSyntax, context: &Context<'_>, out: &mut Vec<Diagnostic>) {
    for media in &case.media {
        for file in [Some(&media.file), media.captions.as_ref(), media.poster.as_ref()].into_iter().flatten() {
            out.extend(one(file, context));
        }
    }
}

fn one(file: &Spanned<String>, context: &Context<'_>) -> Option<Diagnostic> {
    if file.value.is_empty() || context.media.contains_key(&file.value) {
        return None;
    }
    let shown: String = file.value.chars().take(80).collect();
    let outside =
        file.value.starts_with('/') || file.value.contains('\\') || file.value.split('/').any(|part| part == "..");
    if outside {
        return Some(
            Diagnostic::at(&RULE, file.span, format!("`{shown}` leads out of the folder media/"))
                .mend("put the file into media/ and name it from there"),
        );
    }
    let diagnostic = Diagnostic::at(&RULE, file.span, format!("media/ has no file `{shown}`"));
    Some(match nearest(&file.value, context.media.keys().map(String::as_str)) {
        Some(near) => diagnostic.mend(format!("write `{near}`, or put the file there")),
        None => diagnostic.mend("put the file into the library's folder media/"),
    })
}
