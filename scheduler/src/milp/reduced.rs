//! A program with some of its columns fixed: a smaller program of the others.
//!
//! Fixed columns leave the program. A rule of one column that is left becomes a bound of it, and
//! where that leaves the column one value only it is fixed as well; a rule of none is gone.

use super::program::{Column, Program, Relation, Row};

/// How far the bounds of a column may cross before its rule is kept as it is: what is known of the
/// others keeps to the rules only within the solver's tolerance.
const TOLERANCE: f64 = 1e-6;

/// What is left of a program.
#[derive(Debug, Clone)]
pub struct Reduced {
    /// The smaller program.
    pub program: Program,
    /// Column of the whole that each column is.
    columns: Vec<usize>,
    /// Values of the columns that are fixed.
    fixed: Vec<Option<f64>>,
}

impl Program {
    /// What is left where columns are fixed to values; `fixed` has an entry for each column.
    ///
    /// ```
    /// use scheduler::milp::{Column, Program, Relation, Row};
    /// let column = |name: &str| Column {
    ///     name: name.into(), lower: 0.0, upper: 9.0, whole: true, objective: 1.0,
    /// };
    /// let program = Program {
    ///     columns: vec![column("x"), column("y"), column("z")],
    ///     rows: vec![Row {
    ///         name: "together".into(),
    ///         terms: vec![(0, 1.0), (1, 2.0)],
    ///         relation: Relation::AtMost,
    ///         right: 10.0,
    ///     }].into(),
    /// };
    /// let reduced = program.fixing(vec![Some(4.0), None, Some(1.0)]);
    /// assert_eq!((reduced.program.columns.len(), reduced.program.rows.len()), (1, 0));
    /// assert_eq!(reduced.program.columns[0].upper, 3.0);
    /// assert_eq!(reduced.whole(&[2.0]), [4.0, 2.0, 1.0]);
    /// ```
    #[must_use]
    pub fn fixing(&self, fixed: Vec<Option<f64>>) -> Reduced {
        let mut reduction = Reduction {
            columns: &self.columns,
            bounds: self.columns.iter().map(|c| (c.lower, c.upper)).collect(),
            fixed,
            rows: Vec::new(),
        };
        for row in self.rows.iter() {
            reduction.add(row);
        }
        reduction.finish()
    }
}

impl Reduced {
    /// Its part of values of the whole.
    #[must_use]
    pub fn part(&self, whole: &[f64]) -> Vec<f64> {
        self.columns.iter().map(|column| whole[*column]).collect()
    }

    /// Values of the whole that go with values of its own.
    #[must_use]
    pub fn whole(&self, values: &[f64]) -> Vec<f64> {
        let mut whole: Vec<f64> = self.fixed.iter().map(|x| x.unwrap_or(0.0)).collect();
        for (column, value) in self.columns.iter().zip(values) {
            whole[*column] = *value;
        }
        whole
    }
}

/// A program on its way to a smaller one.
struct Reduction<'a> {
    columns: &'a [Column],
    bounds: Vec<(f64, f64)>,
    fixed: Vec<Option<f64>>,
    rows: Vec<Row>,
}

impl Reduction<'_> {
    /// Takes in what a row says of the columns that are left.
    fn add(&mut self, row: &Row) {
        let mut right = row.right;
        let mut terms = Vec::new();
        for (column, factor) in &row.terms {
            match self.fixed[*column] {
                Some(value) => right -= factor * value,
                None => terms.push((*column, *factor)),
            }
        }
        let said = match terms[..] {
            [] => true,
            [(column, factor)] => self.bound(column, factor, row.relation, right),
            _ => false,
        };
        if !said {
            self.rows.push(Row {
                name: row.name.clone(),
                terms,
                relation: row.relation,
                right,
            });
        }
    }

    /// Makes a rule of one column a bound of it. False if that leaves the column no value.
    fn bound(&mut self, column: usize, factor: f64, relation: Relation, right: f64) -> bool {
        let at = right / factor;
        let (mut lower, mut upper) = self.bounds[column];
        let above = (relation == Relation::AtLeast) == (factor > 0.0);
        if relation == Relation::Equal || above {
            lower = lower.max(at);
        }
        if relation == Relation::Equal || !above {
            upper = upper.min(at);
        }
        if !at.is_finite() || lower > upper + TOLERANCE {
            return false;
        }
        if lower >= upper {
            // They cross by less than the tolerance: what the column had before stands.
            let (least, most) = self.bounds[column];
            let value = match self.columns[column].whole {
                true => at.round().clamp(least, most),
                false => at.clamp(least, most),
            };
            self.fixed[column] = Some(value);
            (lower, upper) = (value, value);
        }
        self.bounds[column] = (lower, upper);
        true
    }

    /// Whether a row names a column that was fixed after it was taken in.
    fn names_fixed(&self, row: &Row) -> bool {
        row.terms.iter().any(|(c, _)| self.fixed[*c].is_some())
    }

    fn finish(mut self) -> Reduced {
        while self.rows.iter().any(|row| self.names_fixed(row)) {
            for row in std::mem::take(&mut self.rows) {
                match self.names_fixed(&row) {
                    true => self.add(&row),
                    false => self.rows.push(row),
                }
            }
        }
        let left = |column: &usize| self.fixed[*column].is_none();
        let columns: Vec<usize> = (0..self.fixed.len()).filter(left).collect();
        let mut place = vec![usize::MAX; self.fixed.len()];
        for (n, column) in columns.iter().enumerate() {
            place[*column] = n;
        }
        for (column, _) in self.rows.iter_mut().flat_map(|row| &mut row.terms) {
            *column = place[*column];
        }
        let own = columns.iter().map(|n| Column {
            lower: self.bounds[*n].0,
            upper: self.bounds[*n].1,
            ..self.columns[*n].clone()
        });
        Reduced {
            program: Program {
                columns: own.collect(),
                rows: self.rows.into(),
            },
            columns,
            fixed: self.fixed,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn program(rows: Vec<Row>) -> Program {
        let column = Column {
            name: "".into(),
            lower: 0.0,
            upper: 9.0,
            whole: false,
            objective: 1.0,
        };
        Program {
            columns: vec![column; 4],
            rows: rows.into(),
        }
    }

    fn row(terms: &[(usize, f64)], relation: Relation, right: f64) -> Row {
        Row {
            name: "".into(),
            terms: terms.to_vec(),
            relation,
            right,
        }
    }

    #[test]
    fn what_follows_from_what_is_fixed_is_fixed_in_every_row() {
        // The second row fixes column 1, and with it the first row column 2.
        let rows = vec![
            row(&[(1, 1.0), (2, 1.0)], Relation::Equal, 7.0),
            row(&[(0, 1.0), (1, 2.0)], Relation::Equal, 9.0),
            row(&[(2, 1.0), (3, 1.0)], Relation::AtMost, 8.0),
        ];
        let reduced = program(rows).fixing(vec![Some(1.0), None, None, None]);
        assert_eq!(reduced.program.columns.len(), 1);
        assert!(reduced.program.rows.is_empty());
        assert!((reduced.program.columns[0].upper - 5.0).abs() < 1e-12);
        assert_eq!(reduced.whole(&[5.0]), [1.0, 4.0, 3.0, 5.0]);
        assert_eq!(reduced.part(&[1.0, 4.0, 3.0, 2.0]), [2.0]);
    }

    #[test]
    fn a_rule_that_leaves_no_value_stays_for_the_solver_to_find() {
        let rows = vec![row(&[(0, 1.0), (1, 1.0)], Relation::AtLeast, 20.0)];
        let reduced = program(rows).fixing(vec![Some(5.0), None, Some(0.0), Some(0.0)]);
        assert_eq!(reduced.program.rows.len(), 1);
        assert!((reduced.program.rows[0].right - 15.0).abs() < 1e-12);
    }

    #[test]
    fn a_negative_factor_turns_a_rule_around() {
        let rows = vec![row(&[(0, 1.0), (1, -2.0)], Relation::AtMost, -4.0)];
        let reduced = program(rows).fixing(vec![Some(2.0), None, Some(0.0), Some(0.0)]);
        assert!((reduced.program.columns[0].lower - 3.0).abs() < 1e-12);
    }
}
