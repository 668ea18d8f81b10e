//! A session whose parts take longer than it does.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::session::Session;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "overfull-session",
    severity: Severity::Warning,
    what: r"The parts of a teaching session take longer together than the session does.",
    why: r"The last case, often the one that matters, is never reached.",
    instead_of: r"minutes: 30, with parts of 20 and 15 minutes",
    write: r"minutes: 35, or a part less",
    source: r"",
    quotes: true,
};

/// The sum of the parts.
pub(crate) fn check(session: &Session, out: &mut Vec<Diagnostic>) {
    let Some(whole) = &session.minutes else { return };
    let sum: u32 =
        session.parts.iter().filter_map(|part| part.minutes.as_ref()).map(|it| it.value).fold(0, u32::saturating_add);
    if sum > whole.value {
        out.push(
            Diagnostic::at(&RULE, whole.span, format!("the parts take {sum} minutes, the session {}", whole.value))
                .mend("give the session more time, or leave a part out"),
        );
    }
}
