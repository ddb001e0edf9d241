//! Every published check value, held against the model.
//!
//! `reference/physics.csv` holds the values with their sources. A row is a
//! check unless its tolerance is `data` (context); `limit` rows must be equal.
//! A quantity nobody knows here fails, so that no row is skipped in silence.

#![allow(clippy::unwrap_used, clippy::panic)] // tests may fail loudly

mod deviations;
mod gas;
mod keg;
mod liquid;
mod row;
mod rules;
mod steam;
mod tolerance;

use row::{Outcome, Row};
use tolerance::Tolerance;

/// What the model says to a row.
fn computed(row: &Row) -> Outcome {
    liquid::computed(row)
        .or_else(|| gas::computed(row))
        .or_else(|| keg::computed(row))
        .or_else(|| steam::computed(row))
        .or_else(|| rules::computed(row))
        .unwrap_or(Outcome::Unknown)
}

/// Holds one row against the model; an error says what is wrong and where the
/// value comes from.
fn check(row: &Row) -> Result<(), String> {
    let tolerance = Tolerance::parse(&row.tolerance)?;
    if tolerance == Tolerance::Data {
        return Ok(());
    }
    match computed(row) {
        Outcome::Number(value) if tolerance.allows(value, row.number()?) => Ok(()),
        Outcome::Text(text) if text == row.value => Ok(()),
        other => Err(format!(
            "{} {}: published {} {} ({}), model says {other:?}; source: {}; obtained: {}",
            row.quantity,
            row.inputs,
            row.value,
            row.unit,
            row.tolerance,
            row.source,
            row.how_obtained,
        )),
    }
}

#[test]
fn every_check_row_agrees_with_the_model() {
    let rows = row::read();
    assert!(rows.len() > 400, "only {} rows", rows.len());
    let failures: Vec<String> = rows.iter().filter_map(|row| check(row).err()).collect();
    assert!(
        failures.is_empty(),
        "{} rows:\n{}",
        failures.len(),
        failures.join("\n")
    );
}

#[test]
fn an_unknown_quantity_is_refused() {
    let mut row = row::read().remove(0);
    row.quantity = "phlogiston".to_owned();
    assert!(check(&row).unwrap_err().contains("phlogiston"));
}

#[test]
fn the_table_of_deviations_is_up_to_date() {
    deviations::compare(&row::read());
}
