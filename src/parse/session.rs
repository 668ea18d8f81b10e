//! Files under `sessions/` into [`Session`] values.

use super::lower::Lower;
use super::rules::{missing_field, wrong_type};
use super::yaml::{self, Node};
use crate::diag::Diagnostic;
use crate::model::measure::Fault;
use crate::model::session::{PART, Part, SESSION, Session, What};
use crate::model::site::Audience;
use crate::text::{Source, Spanned};

/// A session. Everything wrong is added to `out`; a session with anything wrong is left out.
pub fn session(name: &str, source: &Source, out: &mut Vec<Diagnostic>) -> Option<Session> {
    let before = out.len();
    let document = yaml::parse(&source.text, source.id, 0, out);
    let mut lower = Lower { out, lost: document.lost };
    let session = whole(&mut lower, name, &document.root);
    session.filter(|_| lower.out.len() == before)
}

fn whole(lower: &mut Lower<'_>, name: &str, root: &Node) -> Option<Session> {
    let fields = lower.fields(root, &SESSION)?;
    let audience = lower.word(&fields, "audience").and_then(|word| {
        let audience = Audience::from_word(&word.value)?;
        Some(Spanned::new(audience, word.span))
    });
    let session = Session {
        name: name.to_owned(),
        title: lower.text_or_empty(&fields, "title"),
        audience: audience?,
        minutes: lower.notation(fields.get("minutes"), minutes),
        learners: lower.text(fields.get("learners")),
        aims: lower.texts(fields.get("aims")),
        parts: lower.list(fields.get("parts"), part),
        notes: lower.text(fields.get("notes")),
    };
    Some(session)
}

/// Minutes, 1 to 600: nobody teaches longer at a stretch.
fn minutes(text: &str) -> Result<u32, Fault> {
    let whole = text.parse().ok().filter(|minutes| (1..=600).contains(minutes));
    whole.ok_or_else(|| Fault {
        message: format!("`{text}` is no number of minutes from 1 to 600"),
        part: 0..text.len(),
        mends: Vec::new(),
    })
}

fn part(lower: &mut Lower<'_>, node: &Node) -> Option<Part> {
    let fields = lower.fields(node, &PART)?;
    let minutes = lower.notation(fields.get("minutes"), minutes);
    let note = lower.text(fields.get("note"));
    let decisions = lower.list(fields.get("decisions"), |lower, item| lower.name(Some(item)));
    let what = match (fields.get("case"), fields.get("compare")) {
        (Some(case), None) => What::Case { case: lower.name(Some(case))?, decisions },
        (None, Some(compare)) => {
            let mut cases = lower.list(Some(compare), |lower, item| lower.name(Some(item)));
            let (Some(other), Some(one), None) = (cases.pop(), cases.pop(), cases.pop()) else {
                lower.out.push(wrong_type::found(compare.span, "another number of names", "the names of two cases"));
                return None;
            };
            What::Pair(one, other)
        }
        (Some(_), Some(both)) => {
            let said = wrong_type::found(both.span, "a comparison beside a case", "a part with one of the two");
            lower.out.push(said.mend("make two parts of it"));
            return None;
        }
        (None, None) => {
            let at = node.span.part(0, 0);
            lower.out.push(missing_field::found(at, "case", "a part of a session", "The case that is gone through."));
            return None;
        }
    };
    Some(Part { span: node.span, what, minutes, note })
}
