//! The model against other people's libraries over dense grids, and the search against other
//! people's solvers (`solvers`).
//!
//! The tests write what the model says to many thousands of conditions, one
//! sheet for each quantity. `tests/crosscheck/compare.py` works out the same
//! with general-purpose Python libraries, refuses what is further off than the
//! tolerance stated there, and says how far off the worst is. That table is
//! kept as `model/reference/libraries.md`.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "tests may fail loudly"
)]

mod calendar_feed;
mod instances;
mod plans;
mod points;
mod python;
mod sheet;
mod solvers;

use std::path::PathBuf;

use sheet::Sheet;

/// Where the table of deviations is kept.
fn table() -> PathBuf {
    tests::here().join("../model/reference/libraries.md")
}

/// Writes the sheets and lets Python compare them; its last word, or its complaint.
fn compare(sheets: &[Sheet], arguments: &[&str]) -> Result<String, String> {
    let folder = tempfile::tempdir().unwrap();
    for sheet in sheets {
        sheet.write(folder.path());
    }
    python::run("compare.py", folder.path(), arguments)
}

#[test]
fn the_model_agrees_with_the_libraries() {
    let sheets = points::all();
    let total: usize = sheets.iter().map(Sheet::len).sum();
    assert!(total > 15_000, "only {total} points");
    let fresh = compare(&sheets, &[]).unwrap_or_else(|complaint| panic!("{complaint}"));
    let path = table();
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(&path, &fresh).unwrap();
    }
    let stored = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        stored == fresh,
        "{} is out of date, run the tests with UPDATE=1; it would be\n{fresh}",
        path.display()
    );
}

#[test]
fn a_wrong_number_is_found_and_named() {
    let mut sheet = Sheet::new("water_density", &["t_C"]);
    sheet.add(&[4.0], 999.97);
    sheet.add(&[60.0], 983.2 * 1.001);
    let complaint = compare(&[sheet], &["--only", "water_density"]).unwrap_err();
    for part in ["water_density", "t_C=60", "984.18", "983.1"] {
        assert!(
            complaint.contains(part),
            "{part} is missing in: {complaint}"
        );
    }
    assert!(!complaint.contains("t_C=4"), "{complaint}");
}

#[test]
fn a_quantity_without_a_library_is_refused() {
    let mut sheet = Sheet::new("phlogiston", &["t_C"]);
    sheet.add(&[4.0], 1.0);
    let complaint = compare(&[sheet], &["--only", "phlogiston"]).unwrap_err();
    assert!(complaint.contains("phlogiston"), "{complaint}");
}
