//! A mixed-integer linear program as plain data: what the solver is given.

use std::sync::Arc;

/// A column: one decision.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// What it decides, for people who read the exported model. A copy of the program shares it.
    pub name: Arc<str>,
    /// The least value.
    pub lower: f64,
    /// The greatest value; infinity for none.
    pub upper: f64,
    /// Whether only whole values count.
    pub whole: bool,
    /// What a unit of it is worth.
    pub objective: f64,
}

/// How a row's sum compares to its right-hand side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Relation {
    /// The sum equals it.
    Equal,
    /// The sum is at most that.
    AtMost,
    /// The sum is at least that.
    AtLeast,
}

/// A row: one rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What it says, for people who read the exported model. A copy of the row shares it.
    pub name: Arc<str>,
    /// Columns and their factors.
    pub terms: Vec<(usize, f64)>,
    /// How the sum compares.
    pub relation: Relation,
    /// What it compares to.
    pub right: f64,
}

/// A mixed-integer linear program: maximise the worth of the columns under the rows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Program {
    /// The decisions.
    pub columns: Vec<Column>,
    /// The rules. A search tries the same rules again and again with other bounds of columns, so a
    /// copy of the program shares them.
    pub rows: Arc<Vec<Row>>,
}

impl Program {
    /// Adds a column and returns its number.
    pub fn add_column(&mut self, column: Column) -> usize {
        self.columns.push(column);
        self.columns.len() - 1
    }

    /// Adds a row and returns its number.
    pub fn add_row(&mut self, row: Row) -> usize {
        Arc::make_mut(&mut self.rows).push(row);
        self.rows.len() - 1
    }

    /// Adds rows.
    pub fn add_rows(&mut self, rows: impl IntoIterator<Item = Row>) {
        Arc::make_mut(&mut self.rows).extend(rows);
    }

    /// Worth of a solution.
    #[must_use]
    pub fn objective(&self, values: &[f64]) -> f64 {
        self.columns
            .iter()
            .zip(values)
            .map(|(column, x)| column.objective * x)
            .sum()
    }

    /// The first rule a solution breaks by more than `tolerance`; none where it keeps to all.
    #[must_use]
    pub fn broken(&self, values: &[f64], tolerance: f64) -> Option<&str> {
        let columns = self.columns.iter().zip(values);
        let mut outside = columns.filter(|(column, x)| {
            let whole = !column.whole || (*x - x.round()).abs() <= tolerance;
            !whole || **x < column.lower - tolerance || **x > column.upper + tolerance
        });
        if let Some((column, _)) = outside.next() {
            return Some(&column.name);
        }
        let broken = |row: &&Row| {
            let sum: f64 = row.terms.iter().map(|(c, x)| x * values[*c]).sum();
            match row.relation {
                Relation::Equal => (sum - row.right).abs() > tolerance,
                Relation::AtMost => sum > row.right + tolerance,
                Relation::AtLeast => sum < row.right - tolerance,
            }
        };
        self.rows.iter().find(broken).map(|row| &*row.name)
    }

    /// The same program with all whole columns made fractional.
    #[must_use]
    pub fn relaxed(&self) -> Self {
        let mut program = self.clone();
        for column in &mut program.columns {
            column.whole = false;
        }
        program
    }
}
