//! A link on purpose that leads nowhere.

use crate::check::{Context, Others, Ties};
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;
use crate::text::{Span, list, nearest};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "broken-link",
    severity: Severity::Error,
    what: r"A link `case:…`, `concept:…` or a contrast names something that does not exist, a teaching session names a case or a decision that does not, a link `#…` names no heading of the case, or a link leads into the file system or to an address that a browser would run.",
    why: r"A resident who follows it at 11 pm stands before nothing.",
    instead_of: r"[the other eye](case:the-other-eyee)",
    write: r"[the other eye](case:the-other-eye)",
    source: r"",
    quotes: true,
};

/// Every link on purpose in the narrative but those to cases.
pub(crate) fn check(case: &CaseSyntax, context: &Context<'_>, out: &mut Vec<Diagnostic>) {
    for link in &case.body.links {
        let target = link.value.as_str();
        if target.starts_with("case:") {
            // Looked at with the contrasts, when all cases are known.
        } else if let Some(name) = target.strip_prefix("concept:") {
            if context.vocabulary.by_name(name).is_none() {
                let names = context.vocabulary.iter().map(|(_, concept)| concept.name.value.as_str());
                let diagnostic = Diagnostic::at(&RULE, link.span, format!("no concept has the name `{name}`"));
                out.push(match nearest(name, names) {
                    Some(near) => diagnostic.mend(format!("write concept:{near}")),
                    None => diagnostic.mend("use a name of the glossary, such as concept:capsulorhexis"),
                });
            }
        } else if let Some(id) = target.strip_prefix('#') {
            if !case.body.anchors.iter().any(|anchor| anchor == id) {
                let diagnostic = Diagnostic::at(&RULE, link.span, format!("no heading of this case is called `{id}`"));
                out.push(match nearest(id, case.body.anchors.iter().map(String::as_str)) {
                    Some(near) => diagnostic.mend(format!("write #{near}")),
                    None => diagnostic.mend("write the words of a heading in small letters with hyphens between them"),
                });
            }
        } else if !["https://", "http://", "mailto:"].iter().any(|start| target.starts_with(start)) {
            out.push(
                Diagnostic::at(
                    &RULE,
                    link.span,
                    format!("a link cannot lead to `{}`", target.chars().take(60).collect::<String>()),
                )
                .mend("write case:name, concept:name or a web address; pictures and films go into the field media"),
            );
        }
    }
}

/// Every mention of another case.
pub(crate) fn ties(ties: &Ties, others: &Others, out: &mut Vec<Diagnostic>) {
    for (span, name) in &ties.links {
        if *name == ties.name {
            out.push(
                Diagnostic::at(&RULE, *span, "this case links to itself")
                    .mend("link to another case, or leave the link out"),
            );
        } else if !others.contains_key(name) {
            out.push(no_case(*span, name, others.keys().map(String::as_str)));
        }
    }
}

/// No case has this name.
pub(crate) fn no_case<'a>(span: Span, name: &str, known: impl Iterator<Item = &'a str>) -> Diagnostic {
    let diagnostic = Diagnostic::at(&RULE, span, format!("no case has the name `{name}`"));
    match nearest(name, known) {
        Some(near) => diagnostic.mend(format!("write `{near}`")),
        None => diagnostic.mend("use the file name of a case without its ending"),
    }
}

/// A case set against itself.
pub(crate) fn with_itself(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "this compares a case with itself").mend("name another case")
}

/// The case has no decision of this name.
pub(crate) fn no_decision(span: Span, id: &str, case: &str, known: &[&str]) -> Diagnostic {
    let diagnostic = Diagnostic::at(&RULE, span, format!("the case `{case}` has no decision `{id}`"));
    match nearest(id, known.iter().copied()) {
        Some(near) => diagnostic.mend(format!("write `{near}`")),
        None if known.is_empty() => diagnostic.mend("the case has no decisions: leave the field out"),
        None => diagnostic.mend(format!("its decisions are {}", list(known, "and"))),
    }
}
