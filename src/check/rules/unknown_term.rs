//! A term that the vocabulary does not have.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::vocabulary::{Kind, Vocabulary};
use crate::text::{Spanned, list, nearest};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "unknown-term",
    severity: Severity::Error,
    what: r"A term is not in the vocabulary under the kind that its field takes.",
    why: r"A term that is no concept links nowhere: nobody who looks for the complication would find this case.",
    instead_of: r"complications: [{is: posterior capsule ruptur, …}]",
    write: r"complications: [{is: posterior capsule rupture, …}]",
    source: r"",
    quotes: true,
};

/// `term` is no concept of any kind that the field takes; near ones are offered if `help` is wanted.
pub(crate) fn found(term: &Spanned<String>, kinds: &[Kind], vocabulary: &Vocabulary, help: bool) -> Diagnostic {
    let words: Vec<&str> = kinds.iter().map(|kind| kind.word()).collect();
    let shown: String = term.value.chars().take(60).collect();
    let diagnostic = Diagnostic::at(&RULE, term.span, format!("no {} is called `{shown}`", words.join(" or ")));
    let near = if help { near_terms(&term.value, kinds, vocabulary) } else { Vec::new() };
    if near.is_empty() {
        diagnostic.mend("use a term of the glossary, or add the concept to the library's vocabulary/ folder")
    } else {
        let near: Vec<String> = near.iter().map(|term| format!("`{term}`")).collect();
        diagnostic
            .mend(format!("write {} if that is what you mean, or add the concept to vocabulary/", list(&near, "or")))
    }
}

/// At most three terms of these kinds that are near to what was written, nearest first: by spelling, then by shared words.
fn near_terms<'a>(written: &str, kinds: &[Kind], vocabulary: &'a Vocabulary) -> Vec<&'a str> {
    let concepts: Vec<_> =
        vocabulary.iter().filter(|(_, concept)| kinds.contains(&concept.kind)).map(|(_, concept)| concept).collect();
    let mut near: Vec<&str> = Vec::new();
    if let Some(term) = nearest(written, concepts.iter().flat_map(|concept| concept.terms())) {
        near.push(term);
    }
    let folded = crate::text::fold_term(&written.chars().take(80).collect::<String>());
    let words: Vec<&str> = folded.split(' ').filter(|word| word.len() > 3).collect();
    let mut sharing: Vec<(usize, usize, &str)> = concepts
        .iter()
        .filter_map(|concept| {
            let label = crate::text::fold_term(&concept.label.value);
            let shared = label.split(' ').filter(|word| words.contains(word)).count();
            (shared > 0).then(|| (usize::MAX - shared, label.len(), concept.label.value.as_str()))
        })
        .collect();
    sharing.sort_unstable();
    for (.., label) in sharing {
        if near.len() < 3 && !near.contains(&label) {
            near.push(label);
        }
    }
    near
}
