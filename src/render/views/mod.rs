//! What the templates show: plain records, one module for each kind of page.

pub(crate) mod ask;
pub(crate) mod case;
pub(crate) mod compare;
pub(crate) mod concept;
pub(crate) mod difficulty;
pub(crate) mod exhibit;
pub(crate) mod eye;
pub(crate) mod home;
pub(crate) mod ladders;
pub(crate) mod lists;
pub(crate) mod narrow;
pub(crate) mod overview;
pub(crate) mod pictures;
pub(crate) mod practice;
pub(crate) mod questions;
pub(crate) mod record;
pub(crate) mod search;
pub(crate) mod session;
pub(crate) mod source;

use super::places::{Places, Term};
use crate::model::case::Meant;
use crate::model::corpus::Cleared;
use crate::text::Spanned;
use serde::Serialize;
use std::fmt::Display;

/// What a view needs to name and link things from one page.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Desk<'a> {
    /// Where pages stand.
    pub(crate) places: &'a Places<'a>,
    /// The way from the page to the site's root.
    pub(crate) root: &'a str,
}

impl Desk<'_> {
    /// A resolved term.
    pub(crate) fn term(&self, meant: &Meant) -> Term {
        self.places.term(meant.value, self.root)
    }

    /// Resolved terms.
    pub(crate) fn terms(&self, meant: &[Meant]) -> Vec<Term> {
        meant.iter().map(|meant| self.term(meant)).collect()
    }

    /// A path of the site as a link from the page.
    pub(crate) fn href(&self, path: &str) -> String {
        format!("{}{path}", self.root)
    }
}

/// An optional value as text; empty if there is none.
pub(crate) fn text<T: Display>(value: Option<&Spanned<T>>) -> String {
    value.map(shown).unwrap_or_default()
}

/// Texts without their places.
pub(crate) fn texts<T: Display>(values: &[Spanned<T>]) -> Vec<String> {
    values.iter().map(shown).collect()
}

/// A value as a page shows it.
pub(crate) fn shown<T: Display>(value: &Spanned<T>) -> String {
    typeset(&value.value.to_string())
}

/// Text with the signs of print: quotes, minus, micro and square. A case file is typed on a plain keyboard.
pub(crate) fn typeset(text: &str) -> String {
    // Nothing else is ever replaced, and most texts hold none of these.
    if !text.bytes().any(|byte| matches!(byte, b'\'' | b'"' | b'-' | b'u' | b'%' | b'D' | b'2')) {
        return text.to_owned();
    }
    let mut set = String::with_capacity(text.len() + 8);
    // The two letters before the one in hand, and blanks before the first.
    let (mut earlier, mut before) = (' ', ' ');
    let mut rest = text.chars();
    while let Some(letter) = rest.next() {
        let mut ahead = rest.clone();
        let mut next = || ahead.next().unwrap_or(' ');
        set.push(match letter {
            '\'' if matches!(before, ' ' | '(' | '\n') => '‘',
            '\'' => '’',
            '"' if matches!(before, ' ' | '(' | '\n') => '“',
            '"' => '”',
            '-' if matches!(before, ' ' | '(') && next().is_ascii_digit() => '−',
            'u' if before == ' ' && earlier.is_ascii_digit() && next() == 'm' && !next().is_alphanumeric() => 'µ',
            // A number and its unit stay on one line.
            ' ' if before.is_ascii_digit() && matches!(next(), '%' | 'D') && !next().is_alphanumeric() => '\u{a0}',
            '2' if before == 'm' && earlier == 'm' && !next().is_alphanumeric() => '²',
            other => other,
        });
        (earlier, before) = (before, letter);
    }
    set
}

/// The age and sex of a patient as they are said: `58, female`; months are written out.
pub(crate) fn patient(cleared: &Cleared) -> String {
    let patient = &cleared.case().patient;
    let said = [text(patient.age.as_ref()), text(patient.sex.as_ref())];
    said.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
}

/// A link with its words.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Link {
    /// The words.
    pub(crate) label: String,
    /// Where it leads.
    pub(crate) href: String,
}

/// Where a page of a longer list stands.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Pager {
    /// Its number, from 1.
    pub(crate) number: usize,
    /// How many there are.
    pub(crate) of: usize,
    /// The page before; empty on the first.
    pub(crate) previous: String,
    /// The page after; empty on the last.
    pub(crate) next: String,
}

impl Pager {
    /// For page `number` of `of`; `href` gives the link to a page by number.
    pub(crate) fn new(number: usize, of: usize, href: impl Fn(usize) -> String) -> Self {
        Self {
            number,
            of,
            previous: if number > 1 { href(number - 1) } else { String::new() },
            next: if number < of { href(number + 1) } else { String::new() },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plain_keyboards_signs_become_those_of_print() {
        for (typed, set) in [
            ("4 to 7 o'clock", "4 to 7 o’clock"),
            ("-2.25 -0.75 x 90", "−2.25 −0.75 x 90"),
            ("540 um", "540 µm"),
            ("2100 cells/mm2", "2100 cells/mm²"),
            ("a 10-0 nylon suture", "a 10-0 nylon suture"),
            ("under 3 umbrellas, 'quoted' and \"said.\"", "under 3 umbrellas, ‘quoted’ and “said.”"),
            ("aiming at -0.50 D, power 70 %", "aiming at −0.50\u{a0}D, power 70\u{a0}%"),
        ] {
            assert_eq!(typeset(typed), set);
        }
    }
}
