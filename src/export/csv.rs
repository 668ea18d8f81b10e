//! CSV as RFC 4180 has it: UTF-8, commas, lines ended by CR and LF, and a guard against cells that a spreadsheet would run.
//!
//! Source of the guard: OWASP, "CSV Injection": a cell that begins with `=`, `+`, `-`, `@`, a tab, a carriage return or a line
//! feed, or with the full-width forms of these signs, may be taken for a formula; an apostrophe before it makes it text. We
//! guard the start of a cell and, since a spreadsheet set to another separator cuts cells elsewhere, also what stands right
//! behind a semicolon, a tab or a line break inside one. Numbers of number columns are written by us and need no guard.

use std::borrow::Cow;

/// The sign that is put before what could be a formula.
const GUARD: char = '\'';

/// Signs with which a formula may begin; the guard itself is one of them, so that it can be undone.
fn begins_formula(letter: char) -> bool {
    matches!(letter, '=' | '+' | '-' | '@' | '\t' | '\r' | '\n' | '＝' | '＋' | '－' | '＠' | GUARD)
}

/// Signs behind which some spreadsheet may begin a new cell.
fn ends_cell(letter: char) -> bool {
    matches!(letter, ';' | '\t' | '\r' | '\n')
}

/// Text that no spreadsheet takes for a formula. `unguarded` gives back what was written.
pub(super) fn guarded(text: &str) -> Cow<'_, str> {
    let mut before = None;
    let risky = |before: Option<char>, letter: char| before.is_none_or(ends_cell) && begins_formula(letter);
    let at_risk = text.chars().any(|letter| risky(before.replace(letter), letter));
    if !at_risk {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 8);
    let mut before = None;
    for letter in text.chars() {
        if risky(before.replace(letter), letter) {
            out.push(GUARD);
        }
        out.push(letter);
    }
    Cow::Owned(out)
}

/// How the guard is undone, in words, for those who read the tables with a program.
pub(super) const UNDO: &str = "Text that a spreadsheet could take for a formula has an apostrophe (') before it. To undo this in text columns: \
     drop one apostrophe at the start of a cell, and one behind each semicolon, tab, carriage return or line feed that has an apostrophe behind it. \
     Number columns are not guarded.";

/// A line of cells, each already text.
pub(super) fn line(cells: impl IntoIterator<Item = impl AsRef<str>>, out: &mut String) {
    for (at, cell) in cells.into_iter().enumerate() {
        if at > 0 {
            out.push(',');
        }
        quote(cell.as_ref(), out);
    }
    out.push_str("\r\n");
}

/// A cell, between quotation marks where RFC 4180 asks for them, and where a blank or a semicolon could be misread.
fn quote(cell: &str, out: &mut String) {
    let plain = !cell.contains([',', '"', '\r', '\n', ';', '\t']) && cell.trim() == cell;
    if plain {
        out.push_str(cell);
    } else {
        out.push('"');
        out.push_str(&cell.replace('"', "\"\""));
        out.push('"');
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// What [`UNDO`] says, done.
    fn unguarded(text: &str) -> String {
        let mut out = String::new();
        let mut before = None;
        let mut letters = text.chars().peekable();
        while let Some(letter) = letters.next() {
            let first = before.is_none_or(ends_cell);
            let kept = if first && letter == GUARD { letters.next() } else { Some(letter) };
            out.extend(kept);
            before = kept;
        }
        out
    }

    #[test]
    fn what_a_spreadsheet_would_run_becomes_text() {
        for (written, cell) in [
            ("=1+1", "'=1+1"),
            ("-2 D", "'-2 D"),
            ("+44", "'+44"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("\t=1", "'\t'=1"),
            ("\r=1", "'\r'=1"),
            ("＝1", "'＝1"),
            ("a;=1", "a;'=1"),
            ("a\n- b", "a\n'- b"),
            ("'s", "''s"),
            ("a = b - c", "a = b - c"),
            ("", ""),
        ] {
            assert_eq!(guarded(written), cell);
            assert_eq!(unguarded(cell), written);
        }
    }

    #[test]
    fn cells_are_quoted_as_rfc_4180_says() {
        // RFC 4180, section 2, rules 5 to 7.
        let mut out = String::new();
        line(["aaa", "b \r\nbb", "c\"c", "d,d", "", "-0.25"], &mut out);
        assert_eq!(out, "aaa,\"b \r\nbb\",\"c\"\"c\",\"d,d\",,-0.25\r\n");
    }

    proptest! {
        #[test]
        fn the_guard_can_be_undone_and_no_cell_begins_a_formula(text in "[-=+@'a;,\\t\\r\\n ]{0,12}") {
            let cell = guarded(&text);
            prop_assert_eq!(&unguarded(&cell), &text);
            for piece in cell.split([';', '\t', '\r', '\n']) {
                prop_assert!(!piece.starts_with(['=', '+', '-', '@']), "{:?}", cell);
            }
        }
    }
}
