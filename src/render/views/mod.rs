//! What the templates show: plain records, one module for each kind of page.

pub(crate) mod ask;
pub(crate) mod case;
pub(crate) mod concept;
pub(crate) mod eye;
pub(crate) mod home;
pub(crate) mod lists;
pub(crate) mod pictures;
pub(crate) mod record;
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
    value.map(|value| value.value.to_string()).unwrap_or_default()
}

/// Texts without their places.
pub(crate) fn texts<T: Display>(values: &[Spanned<T>]) -> Vec<String> {
    values.iter().map(|value| value.value.to_string()).collect()
}

/// The age and sex of a patient as they are said: `58, female`; months are written out.
pub(crate) fn patient(cleared: &Cleared) -> String {
    let patient = &cleared.case.patient;
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
