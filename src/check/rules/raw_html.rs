//! HTML in the narrative.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "raw-html",
    severity: Severity::Error,
    what: r"HTML stands in the narrative.",
    why: r"It could load things from elsewhere, run code, or break the page for readers without sight.",
    instead_of: r"The <b>last</b> fragment",
    write: r"The **last** fragment",
    source: r"",
    quotes: true,
};

/// Every piece of HTML.
pub(crate) fn check(case: &CaseSyntax, context: &Context<'_>, out: &mut Vec<Diagnostic>) {
    for &span in &case.body.html {
        let text = context.sources.get(span.file).map_or("", |source| source.slice(span)).trim().to_lowercase();
        let way = match text.trim_start_matches(['<', '/']).split([' ', '>', '/']).next().unwrap_or("") {
            "b" | "strong" => "write **words** for strong emphasis",
            "i" | "em" => "write *words* for emphasis",
            "br" => "end the line with a backslash, or begin a new paragraph",
            "a" => "write [words](address)",
            "img" | "video" | "source" => "name the file in the field `media`",
            "h1" | "h2" | "h3" | "h4" => "begin the line with ## and a blank",
            "ul" | "ol" | "li" => "begin each item with `- ` or `1. `",
            "table" | "tr" | "td" | "th" => "write a Markdown table with | between cells",
            "sub" | "sup" => "use the character itself, such as H₂O or 10²",
            "!--" => "leave the comment out: it would be published with the source",
            "" => "leave it out",
            _ => "say it in Markdown; for a lone `<` write &lt;",
        };
        // A comment or an unknown element may run over pages; only its first line is marked.
        let end = span.start + u32::try_from(text.lines().next().unwrap_or("").len().max(1)).unwrap_or(1);
        let mark = crate::text::Span { end: end.min(span.end), ..span };
        out.push(Diagnostic::at(&RULE, mark, "HTML cannot stand in a narrative").mend(way));
    }
}
