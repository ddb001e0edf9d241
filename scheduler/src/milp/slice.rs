//! A stretch of a formulation's points as a formulation of its own.
//!
//! What lies before it is settled. What lies after it is settled as well, or may be anything within
//! its bounds: then a slice asks no more than the whole does of what lies inside it.

use std::ops::Range;

use super::build::{Formulation, Level};
use super::program::{Program, Relation, Row};

/// What is known of the points after a slice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum After {
    /// Nothing.
    Open,
    /// They are settled, as those before it are.
    Settled,
}

/// A stretch of a formulation's points.
#[derive(Debug, Clone)]
pub struct Slice {
    /// The stretch as a formulation of its own.
    pub form: Formulation,
    /// Column of the whole that each column is.
    columns: Vec<usize>,
}

/// What stands for a column of the whole.
#[derive(Clone, Copy)]
enum Part {
    Inside(usize),
    Settled(f64),
    Outside { least: f64, most: f64 },
}

impl Part {
    fn inside(self) -> Option<usize> {
        match self {
            Self::Inside(n) => Some(n),
            Self::Settled(_) | Self::Outside { .. } => None,
        }
    }
}

/// A level of the whole in a slice; none where nothing says there how it is balanced.
fn level_inside(level: Level, first: &[Option<usize>], parts: &[Part]) -> Option<Level> {
    let inside = |column: Option<usize>| column.and_then(|column| parts[column].inside());
    Some(Level {
        point: level.point,
        column: inside(level.column),
        spilled: inside(level.spilled),
        row: first[level.row]?,
    })
}

impl Formulation {
    /// The point each column belongs to. What was added to the network's program, such as a price on
    /// a change, belongs to the last point it has to do with.
    fn point_of_columns(&self) -> Vec<usize> {
        let mut points = vec![None; self.program.columns.len()];
        let tasks = self.starts.iter().chain(&self.sizes);
        for (t, column) in tasks.flat_map(|columns| columns.iter().enumerate()) {
            if let Some(column) = column {
                points[*column] = Some(t);
            }
        }
        for level in self.levels.iter().flatten() {
            for column in [level.column, level.spilled].into_iter().flatten() {
                points[column] = Some(level.point);
            }
        }
        let own = points.clone();
        for row in self.program.rows.iter() {
            let columns = || row.terms.iter().map(|(column, _)| *column);
            let last = columns().filter_map(|column| own[column]).max();
            for column in columns().filter(|column| own[*column].is_none()) {
                points[column] = points[column].max(last);
            }
        }
        points.into_iter().map(Option::unwrap_or_default).collect()
    }

    /// A stretch of its points by itself. `settled` has values of all columns; those of points that
    /// are settled count.
    #[must_use]
    pub fn slice(&self, span: &Range<usize>, settled: &[f64], after: After) -> Slice {
        let mut columns = Vec::new();
        let points = self.point_of_columns();
        let own = self.program.columns.iter().enumerate().zip(points);
        let parts: Vec<Part> = own
            .map(|((n, column), point)| {
                let is_after = point >= span.end;
                if point < span.start || (is_after && after == After::Settled) {
                    return Part::Settled(settled[n]);
                }
                if is_after {
                    return Part::Outside {
                        least: column.lower,
                        most: column.upper,
                    };
                }
                columns.push(n);
                Part::Inside(columns.len() - 1)
            })
            .collect();
        let inside = |columns: &Vec<Option<usize>>| {
            let part = |column: usize| parts[column].inside();
            columns.iter().map(|column| column.and_then(part)).collect()
        };
        let mut program = Program::default();
        let own = columns.iter().map(|n| self.program.columns[*n].clone());
        program.columns.extend(own);
        // Where the first row is that says what a row of the whole does; a row may be gone.
        let mut first = Vec::with_capacity(self.program.rows.len());
        for row in self.program.rows.iter() {
            let said = rows(row, &parts);
            first.push((!said.is_empty()).then_some(program.rows.len()));
            program.add_rows(said);
        }
        let levels = self.levels.iter().map(|levels| {
            let own = levels.iter().filter(|level| span.contains(&level.point));
            own.filter_map(|level| level_inside(*level, &first, &parts))
                .collect()
        });
        let levels = levels.collect();
        let form = Formulation {
            program,
            starts: self.starts.iter().map(inside).collect(),
            sizes: self.sizes.iter().map(inside).collect(),
            levels,
            turns: self.turns.clone(),
        };
        Slice { form, columns }
    }
}

impl Slice {
    /// Its part of values of the whole.
    #[must_use]
    pub fn part(&self, whole: &[f64]) -> Vec<f64> {
        self.columns.iter().map(|column| whole[*column]).collect()
    }

    /// Writes values of the slice into values of the whole.
    pub fn put(&self, values: &[f64], whole: &mut [f64]) {
        for (column, value) in self.columns.iter().zip(values) {
            whole[*column] = *value;
        }
    }
}

/// What a row of the whole says of the columns inside.
fn rows(row: &Row, parts: &[Part]) -> Vec<Row> {
    let mut terms = Vec::new();
    // The least and the most that all others add to the sum.
    let (mut least, mut most) = (0.0, 0.0);
    for (column, factor) in &row.terms {
        match parts[*column] {
            Part::Inside(n) => terms.push((n, *factor)),
            Part::Settled(value) => {
                least += factor * value;
                most += factor * value;
            }
            Part::Outside {
                least: low,
                most: high,
            } => {
                let (one, other) = (factor * low, factor * high);
                least += one.min(other);
                most += one.max(other);
            }
        }
    }
    if terms.is_empty() {
        return Vec::new();
    }
    let settled = least >= most;
    let said = |relation: Relation, right: f64| Row {
        name: row.name.clone(),
        terms: terms.clone(),
        relation,
        right,
    };
    let (at_most, at_least) = (row.right - least, row.right - most);
    match row.relation {
        Relation::Equal if settled => vec![said(Relation::Equal, at_most)],
        Relation::Equal => [(Relation::AtMost, at_most), (Relation::AtLeast, at_least)]
            .into_iter()
            .filter(|(_, right)| right.is_finite())
            .map(|(relation, right)| said(relation, right))
            .collect(),
        Relation::AtMost if at_most.is_finite() => vec![said(Relation::AtMost, at_most)],
        Relation::AtLeast if at_least.is_finite() => vec![said(Relation::AtLeast, at_least)],
        Relation::AtMost | Relation::AtLeast => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(relation: Relation) -> Row {
        Row {
            name: "row".into(),
            terms: vec![(0, 2.0), (1, 1.0), (2, -1.0)],
            relation,
            right: 10.0,
        }
    }

    fn sides(relation: Relation, first: Part, last: Part) -> Vec<(Relation, f64)> {
        let rows = rows(&row(relation), &[first, Part::Inside(0), last]);
        assert!(rows.iter().all(|row| row.terms == [(0, 1.0)]));
        rows.iter().map(|row| (row.relation, row.right)).collect()
    }

    #[test]
    fn a_row_says_of_what_is_inside_what_the_rest_leaves_to_it() {
        let between = |least, most| Part::Outside { least, most };
        let (settled, open) = (Part::Settled(3.0), between(0.0, f64::INFINITY));
        use Relation::{AtLeast, AtMost, Equal};
        // 2 * 3 + x - y = 10, and y is 1, in 0 to 5, or anything from 0.
        assert_eq!(sides(Equal, settled, Part::Settled(1.0)), [(Equal, 5.0)]);
        let both = [(AtMost, 9.0), (AtLeast, 4.0)];
        assert_eq!(sides(Equal, settled, between(0.0, 5.0)), both);
        assert_eq!(sides(Equal, settled, open), [(AtLeast, 4.0)]);
        assert_eq!(sides(AtMost, settled, between(0.0, 5.0)), [(AtMost, 9.0)]);
        assert_eq!(sides(AtMost, settled, open), []);
        assert_eq!(sides(AtLeast, settled, open), [(AtLeast, 4.0)]);
        assert_eq!(sides(AtLeast, open, settled), []);
        let outside = [settled, open, open];
        assert!(rows(&row(Equal), &outside).is_empty());
    }

    #[test]
    fn what_was_added_to_a_program_goes_with_what_it_has_to_do_with() {
        use super::super::program::Column;
        let mut program = Program::default();
        for _ in 0..3 {
            program.add_column(Column {
                name: "".into(),
                lower: 0.0,
                upper: 5.0,
                whole: false,
                objective: 1.0,
            });
        }
        // The last column is no start of the one task there is, and priced with its second start.
        program.add_row(Row {
            name: "".into(),
            terms: vec![(0, 1.0), (1, 1.0), (2, 1.0)],
            relation: Relation::AtMost,
            right: 6.0,
        });
        let form = Formulation {
            program,
            starts: vec![vec![Some(0), Some(1)]],
            sizes: vec![vec![None, None]],
            levels: Vec::new(),
            turns: Vec::new(),
        };
        let second = form.slice(&(1..2), &[4.0, 0.0, 0.0], After::Open);
        assert_eq!(second.columns, [1, 2]);
        assert!((second.form.program.rows[0].right - 2.0).abs() < 1e-12);
        assert_eq!(form.slice(&(0..1), &[0.0; 3], After::Open).columns, [0]);
    }
}
