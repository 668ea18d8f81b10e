//! A model that cannot be computed as it is written.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::risk::MOST_WAYS;
use crate::model::vocabulary::{Kind, Vocabulary};
use crate::text::{Span, Spanned, nearest};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "unsound-model",
    severity: Severity::Error,
    what: r"A model names what does not exist, weighs a factor twice, has a group that cannot be, or is no model that its place can use.",
    why: r"A number that comes of it would be wrong, and nobody would see it.",
    instead_of: r"when: [finding smal-pupil]",
    write: r"when: [finding small-pupil]",
    source: r"",
    quotes: true,
};

/// A concept that does not exist.
pub(crate) fn unknown(name: &Spanned<String>, kind: Kind, vocabulary: &Vocabulary) -> Diagnostic {
    let said = format!("no {} has the name `{}`", kind.word(), name.value);
    let names = vocabulary.iter().filter(|(_, concept)| concept.kind == kind);
    let near = nearest(&name.value, names.map(|(_, concept)| concept.name.value.as_str()));
    let diagnostic = Diagnostic::at(&RULE, name.span, said);
    match near {
        Some(near) => diagnostic.mend(format!("write `{near}`")),
        None => diagnostic.mend("use the `name` of a concept, not its label"),
    }
}

/// A factor that stands twice.
pub(crate) fn twice(name: &Spanned<String>, first: Span) -> Diagnostic {
    Diagnostic::at(&RULE, name.span, format!("a factor `{}` stands here already", name.value))
        .also(first, "the first stands here")
        .mend("give one of them another name, or leave it out")
}

/// A factor that does not exist.
pub(crate) fn no_factor<'a>(name: &Spanned<String>, names: impl Iterator<Item = &'a str>) -> Diagnostic {
    let diagnostic = Diagnostic::at(&RULE, name.span, format!("the model has no factor `{}`", name.value));
    match nearest(&name.value, names) {
        Some(near) => diagnostic.mend(format!("write `{near}`")),
        None => diagnostic.mend("use the `name` of a factor"),
    }
}

/// A factor with which the bounds of one eye would take too long to find.
pub(crate) fn too_many_ways(factor: &Spanned<String>) -> Diagnostic {
    let said = format!(
        "with `{}` the parts of eye difficulty ask of one eye in more than {MOST_WAYS} ways how its measures may lie together",
        factor.value
    );
    Diagnostic::at(&RULE, factor.span, said)
        .mend("ask fewer measures both for too little and for too much, or give them fewer limits")
}

/// Something else that cannot be, and how to mend it.
pub(crate) fn found(span: Span, said: String, mend: &str) -> Diagnostic {
    Diagnostic::at(&RULE, span, said).mend(mend)
}

/// A group that cannot be.
pub(crate) fn group(span: Span, said: String) -> Diagnostic {
    Diagnostic::at(&RULE, span, said).mend("look it up in the paper once more")
}
