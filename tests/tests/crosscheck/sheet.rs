//! What the model says to many conditions, as a file that Python reads.

use std::fmt::Write as _;
use std::path::Path;

/// One quantity: a row for each condition, the model's value last.
pub(crate) struct Sheet {
    name: &'static str,
    columns: &'static [&'static str],
    rows: Vec<Vec<f64>>,
}

impl Sheet {
    pub(crate) fn new(name: &'static str, columns: &'static [&'static str]) -> Self {
        Self {
            name,
            columns,
            rows: Vec::new(),
        }
    }

    /// A condition, and what the model says to it.
    pub(crate) fn add(&mut self, inputs: &[f64], value: f64) {
        assert_eq!(inputs.len(), self.columns.len(), "{}", self.name);
        assert!(value.is_finite(), "{} {inputs:?}", self.name);
        self.rows.push([inputs, &[value]].concat());
    }

    pub(crate) fn len(&self) -> usize {
        self.rows.len()
    }

    /// Writes `FOLDER/NAME.csv` with every bit of each number.
    pub(crate) fn write(&self, folder: &Path) {
        let mut text = self.columns.join(",") + ",model\n";
        for row in &self.rows {
            let numbers: Vec<String> = row.iter().map(|number| format!("{number:?}")).collect();
            writeln!(text, "{}", numbers.join(",")).unwrap();
        }
        std::fs::write(folder.join(self.name).with_extension("csv"), text).unwrap();
    }
}

/// A quantity of one variable at each of these values.
pub(crate) fn along(
    name: &'static str,
    column: &'static [&'static str; 1],
    values: impl IntoIterator<Item = f64>,
    model: impl Fn(f64) -> f64,
) -> Sheet {
    let mut sheet = Sheet::new(name, column);
    for value in values {
        sheet.add(&[value], model(value));
    }
    sheet
}

/// Values from `first` to `last`, both included, in `parts` equal steps.
pub(crate) fn span(first: f64, last: f64, parts: u32) -> Vec<f64> {
    (0..=parts)
        .map(|part| first + (last - first) * f64::from(part) / f64::from(parts))
        .collect()
}
