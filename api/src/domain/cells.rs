//! Texts in cells of tables (CSV) that people open in a spreadsheet.
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-` or `@` for a formula, and would carry
//! out what a stranger wrote into a note. Such a text goes out behind an apostrophe, which is how a
//! spreadsheet marks a text, and comes back without it. Numbers stay numbers.

use std::borrow::Cow;

/// What a formula may begin with, also where a program skips white space or reads wide forms.
const STARTS: [char; 11] = [
    '=', '+', '-', '@', '\t', '\r', '\n', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}',
];

/// A text as it is written into a cell.
pub(crate) fn out(text: &str) -> Cow<'_, str> {
    if needs_mark(text) {
        Cow::Owned(format!("'{text}"))
    } else {
        Cow::Borrowed(text)
    }
}

/// A text as it was before it was written into a cell.
pub(crate) fn back(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(text) if needs_mark(text) => text,
        _ => cell,
    }
}

/// Whether a text, or what stands behind its apostrophes, would be taken for a formula. Those that
/// have apostrophes already get one more, so that each text comes back as it was.
fn needs_mark(text: &str) -> bool {
    let bare = text.trim_start_matches('\'');
    bare.starts_with(STARTS) && !is_number(bare)
}

fn is_number(text: &str) -> bool {
    let plain = |c: char| c.is_ascii_digit() || "+-.eE".contains(c);
    text.chars().all(plain) && text.parse::<f64>().is_ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_would_be_a_formula_is_marked_and_every_text_comes_back() {
        let check = |text: &str, cell: &str| {
            assert_eq!(out(text), cell, "{text}");
            assert_eq!(back(cell), text, "{cell}");
        };
        check("=1+1", "'=1+1");
        check("@SUM(A1)", "'@SUM(A1)");
        check("-2+cmd|' /C calc'!A0", "'-2+cmd|' /C calc'!A0");
        check("\t=1", "'\t=1");
        check("\u{ff1d}1", "'\u{ff1d}1");
        check("'=1", "''=1");
        check("''@", "'''@");
        check("-", "'-");
        check("+44 20 7946 0000", "'+44 20 7946 0000");
        for same in [
            "",
            "'",
            "'tis the season",
            "a=b",
            "-1.5",
            "+3e2",
            "5 kegs",
            "'-1.5",
        ] {
            check(same, same);
        }
    }
}
