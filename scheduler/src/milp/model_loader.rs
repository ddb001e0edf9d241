//! Handing a program to the solver, and what is known of it.

use good_lp::solvers::highs::highs as highs_solver;
use good_lp::{Constraint, Expression, ProblemVariables, SolverModel, Variable, variable};
use highs::Model;
use highs_sys::{Highs_setBasis, Highs_setSparseSolution, HighsInt};

use super::callback::Watch;
use super::engine::{Basis, NoSolution, Settings};
use super::program::{Program, Relation, Row};

/// How a program is solved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Way {
    /// By the simplex method, and branching where it has whole columns, for as long as it takes.
    Usual,
    /// By the simplex method, for so many steps; then it ends with `Stop::Other`.
    Steps(i32),
    /// By the interior point method.
    Interior,
}

/// Rows that are handed over between two looks at the watch.
const LOOK_EVERY: usize = 4096;

/// Hands the program to good_lp, which hands it to HiGHS.
pub(super) fn load(program: &Program, watch: Watch<'_>) -> Result<Model, NoSolution> {
    let mut variables = ProblemVariables::new();
    let columns: Vec<Variable> = program
        .columns
        .iter()
        .map(|column| {
            let bounded = variable().min(column.lower).max(column.upper);
            variables.add(if column.whole {
                bounded.integer()
            } else {
                bounded
            })
        })
        .collect();
    let mut objective = Expression::with_capacity(columns.len());
    for (column, variable) in program.columns.iter().zip(&columns) {
        if column.objective.abs() > 0.0 {
            objective.add_mul(column.objective, *variable);
        }
    }
    let mut problem = variables.maximise(objective).using(highs_solver);
    for (n, row) in program.rows.iter().enumerate() {
        if n % LOOK_EVERY == 0 {
            watch.look_up()?;
        }
        problem.add_constraint(constraint(row, &columns));
    }
    watch.look_up()?;
    problem
        .try_into_inner()
        .map_err(|e| NoSolution::Failed(e.to_string()))
}

fn constraint(row: &Row, columns: &[Variable]) -> Constraint {
    let mut sum = Expression::with_capacity(row.terms.len());
    for (column, factor) in &row.terms {
        sum.add_mul(*factor, columns[*column]);
    }
    match row.relation {
        Relation::Equal => sum.eq(row.right),
        Relation::AtMost => sum.leq(row.right),
        Relation::AtLeast => sum.geq(row.right),
    }
}

/// Says how it is to be solved.
pub(super) fn configure(model: &mut Model, settings: Settings, way: Way) -> Result<(), NoSolution> {
    let failed = |e| NoSolution::Failed(format!("{e:?}"));
    match way {
        Way::Usual => {}
        Way::Steps(steps) => model
            .try_set_option("simplex_iteration_limit", steps)
            .map_err(failed)?,
        Way::Interior => model.try_set_option("solver", "ipx").map_err(failed)?,
    }
    model.try_set_option("threads", 1).map_err(failed)?;
    model.try_set_option("random_seed", 1).map_err(failed)?;
    model
        .try_set_option("mip_rel_gap", settings.gap)
        .map_err(failed)?;
    model
        .try_set_option("time_limit", settings.seconds.max(0.0))
        .map_err(failed)?;
    if let Some(nodes) = settings.nodes {
        model
            .try_set_option("mip_max_nodes", nodes)
            .map_err(failed)?;
    }
    // A small cut pool: these programs are small, and separating cuts for them took most of the
    // time at the root.
    model
        .try_set_option("mip_pool_soft_limit", 100)
        .map_err(failed)?;
    model
        .try_set_option("mip_pool_age_limit", 2)
        .map_err(failed)?;
    Ok(())
}

/// Starts from values of all columns.
pub(super) fn start_from(model: &mut Model, values: &[f64]) {
    let entries: Vec<(HighsInt, f64)> = values
        .iter()
        .enumerate()
        .filter_map(|(n, x)| HighsInt::try_from(n).ok().map(|n| (n, *x)))
        .collect();
    let (index, value): (Vec<_>, Vec<_>) = entries.into_iter().unzip();
    let count = HighsInt::try_from(index.len()).unwrap_or(0);
    // SAFETY: both arrays have `count` entries and outlive the call, which copies them.
    unsafe {
        Highs_setSparseSolution(model.as_mut_ptr(), count, index.as_ptr(), value.as_ptr());
    }
}

/// Starts from a basis, if it is one of a program of this shape.
pub(super) fn start_at(model: &mut Model, basis: &Basis) {
    let fits = model.num_cols() == basis.columns.len() && model.num_rows() == basis.rows.len();
    if fits {
        let (columns, rows) = (basis.columns.as_ptr(), basis.rows.as_ptr());
        // SAFETY: the arrays have as many entries as the model has columns and rows, and outlive
        // the call, which copies them.
        unsafe { Highs_setBasis(model.as_mut_ptr(), columns, rows) };
    }
}
