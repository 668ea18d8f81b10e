//! A drafted case of which nobody has looked at every value yet.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::{CaseSyntax, Unreviewed};
use crate::text::{count, list};

/// Most places that a finding names.
const NAMED: usize = 6;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "unreviewed-draft",
    severity: Severity::Error,
    what: r"A case was drafted from a narration, and `unreviewed` still names values that no person has looked at, or names a place where nothing stands.",
    why: r"A draft hears wrongly and guesses. Somebody who was there compares every value with the film before others learn from it.",
    instead_of: r#"unreviewed:
  operation/lens/power: {at: "4:30", heard: twenty one point five dioptres, sure: certain}"#,
    write: r"Compare each value with the words heard at that time, mend it, and take its line out. When the last line is gone take the field out.",
    source: r"",
    quotes: true,
};

/// Entries that are left, and entries whose place is gone.
pub(crate) fn check(case: &CaseSyntax, _: &Context<'_>, out: &mut Vec<Diagnostic>) {
    for entry in case.unreviewed.iter().filter(|entry| entry.there.is_none()) {
        out.push(
            Diagnostic::at(&RULE, entry.place.span, format!("nothing stands at `{}` any more", entry.place.value))
                .mend("take the line out if you removed the value; if it moved, write where it stands now"),
        );
    }
    let left: Vec<&Unreviewed> = case.unreviewed.iter().filter(|entry| entry.there.is_some()).collect();
    let Some(first) = left.first() else { return };
    let of = |sure: &str| left.iter().filter(|entry| entry.sure.value == sure).count();
    let message = format!(
        "{} of this draft {} been looked at by nobody: {} certain, {} guessed, {} left blank",
        count(left.len(), "value"),
        if left.len() == 1 { "has" } else { "have" },
        of("certain"),
        of("guess"),
        of("blank")
    );
    // The least sure come first: that is where to begin.
    let mut places: Vec<(usize, &str)> = left
        .iter()
        .map(|entry| {
            let rank = ["blank", "guess"].iter().position(|sure| *sure == entry.sure.value).unwrap_or(2);
            (rank, entry.place.value.as_str())
        })
        .collect();
    places.sort_by_key(|(rank, _)| *rank);
    let named: Vec<String> = places.iter().take(NAMED).map(|(_, place)| format!("`{place}`")).collect();
    out.push(
        Diagnostic::at(&RULE, first.place.span, message)
            .mend(format!("compare each with the film and take its line out; begin with {}", list(&named, "and"))),
    );
}
