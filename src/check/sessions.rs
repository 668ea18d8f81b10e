//! Teaching sessions against the cases they name. What this audience may not read never reaches a page.

use super::Other;
use super::rules::{broken_link, overfull_session, withdrawn_link, withheld_link};
use crate::diag::{Diagnostic, Severity};
use crate::model::case::ConsentStatus;
use crate::model::corpus::Cleared;
use crate::model::session::{Part, Session, What};
use crate::model::site::Audience;
use std::collections::BTreeMap;

/// The sessions that `audience` may read, without the parts whose cases are not in `cases`. What is wrong is added to `out`.
pub(crate) fn build(
    sessions: Vec<Session>,
    known: &BTreeMap<String, Other>,
    cases: &[Cleared],
    audience: Audience,
    out: &mut Vec<Diagnostic>,
) -> Vec<Session> {
    let mut kept: Vec<Session> = sessions
        .into_iter()
        .filter_map(|mut session| {
            let before = out.len();
            for name in session.cases() {
                link(&session, name, known, out);
            }
            for part in &session.parts {
                decisions(part, cases, out);
                if let What::Pair(one, other) = &part.what
                    && one.value == other.value
                {
                    out.push(broken_link::with_itself(other.span));
                }
            }
            overfull_session::check(&session, out);
            if out[before..].iter().any(|said| said.severity() == Severity::Error) {
                return None;
            }
            // Withdrawn and faulty cases leave the session as they leave the site.
            let there = |name: &str| cases.iter().any(|cleared| cleared.name == name);
            session.parts.retain(|part| match &part.what {
                What::Case { case, .. } => there(&case.value),
                What::Pair(one, other) => there(&one.value) && there(&other.value),
            });
            let read = audience == Audience::Department || session.audience.value == Audience::Public;
            (read && !session.parts.is_empty()).then_some(session)
        })
        .collect();
    kept.sort_by(|one, other| one.name.cmp(&other.name));
    kept
}

fn link(
    session: &Session,
    name: &crate::model::case::Text,
    known: &BTreeMap<String, Other>,
    out: &mut Vec<Diagnostic>,
) {
    let Some(other) = known.get(&name.value) else {
        out.push(broken_link::no_case(name.span, &name.value, known.keys().map(String::as_str)));
        return;
    };
    if other.consent == ConsentStatus::Withdrawn {
        out.push(withdrawn_link::session(name.span));
    } else if other.consent == ConsentStatus::Pending {
        out.push(withheld_link::pending(name.span));
    } else if session.audience.value == Audience::Public && other.audience == Audience::Department {
        out.push(withheld_link::session(name.span));
    }
}

/// Decisions by name. Those of a case that is not there cannot be looked up, and need not be.
fn decisions(part: &Part, cases: &[Cleared], out: &mut Vec<Diagnostic>) {
    let What::Case { case, decisions } = &part.what else { return };
    let Some(cleared) = cases.iter().find(|cleared| cleared.name == case.value) else { return };
    let told = cleared.case();
    let ids: Vec<&str> = told.body.decisions.iter().map(|decision| decision.id.value.as_str()).collect();
    for id in decisions.iter().filter(|id| !ids.contains(&id.value.as_str())) {
        out.push(broken_link::no_decision(id.span, &id.value, &case.value, &ids));
    }
}
