//! One row of the reference table.

use serde_json::Value;

/// A published value with its inputs and its source.
#[derive(Clone, Debug)]
pub(crate) struct Row {
    pub(crate) quantity: String,
    pub(crate) inputs: Value,
    pub(crate) value: String,
    pub(crate) unit: String,
    pub(crate) tolerance: String,
    pub(crate) source: String,
    pub(crate) how_obtained: String,
}

/// What the model says to a row.
#[derive(Clone, Debug)]
pub(crate) enum Outcome {
    Number(f64),
    Text(&'static str),
    /// Nobody listed this quantity.
    Unknown,
}

impl Row {
    /// A numeric input by name.
    pub(crate) fn input(&self, name: &str) -> f64 {
        self.inputs[name]
            .as_f64()
            .unwrap_or_else(|| panic!("{} {} lacks the number {name}", self.quantity, self.inputs))
    }

    /// A textual input by name.
    pub(crate) fn text(&self, name: &str) -> &str {
        self.inputs[name]
            .as_str()
            .unwrap_or_else(|| panic!("{} {} lacks the text {name}", self.quantity, self.inputs))
    }

    /// The published value as a number.
    pub(crate) fn number(&self) -> Result<f64, String> {
        self.value
            .parse()
            .map_err(|_| format!("{}: {} is not a number", self.quantity, self.value))
    }
}

/// All rows of `reference/physics.csv`.
pub(crate) fn read() -> Vec<Row> {
    let mut reader = csv::Reader::from_path("reference/physics.csv").unwrap();
    reader
        .records()
        .map(|record| {
            let record = record.unwrap();
            let field = |index: usize| record[index].to_owned();
            Row {
                quantity: field(0),
                inputs: serde_json::from_str(&record[1]).unwrap(),
                value: field(2),
                unit: field(3),
                tolerance: field(4),
                source: field(5),
                how_obtained: field(6),
            }
        })
        .collect()
}
