//! The solver: HiGHS, through good_lp. Nothing outside this folder knows of it.

use std::time::Instant;

use highs::{HighsModelStatus, SolvedModel};
use highs_sys::{Highs_getBasis, HighsInt};

use super::callback::Watch;
use super::model_loader::{Way, configure, load, start_at, start_from};
use super::program::Program;
use super::{linear, solver_thread};

/// How to solve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// Stop when the best solution is proven within this part of the bound.
    pub gap: f64,
    /// Stop after this many seconds, keeping the best solution so far.
    pub seconds: f64,
    /// Stop once a solution is worth this much.
    pub enough: Option<f64>,
    /// Stop after this many nodes of the search tree, the same on every machine.
    pub nodes: Option<i32>,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            gap: 1e-4,
            seconds: 600.0,
            enough: None,
            nodes: None,
        }
    }
}

/// Why a solve ended before its bound was proven.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stop {
    /// The time was over.
    Time,
    /// Somebody asked to stop.
    Cancelled,
    /// A solution was worth what was asked for.
    Enough,
    /// The limit of nodes, or another limit of the solver.
    Other,
}

/// Where a linear program's optimum sits: which bounds its columns and rows rest on. A similar
/// program is solved much faster from there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Basis {
    pub(super) columns: Vec<HighsInt>,
    pub(super) rows: Vec<HighsInt>,
}

/// What is known before a solve.
#[derive(Debug, Clone, Copy)]
pub enum WarmStart<'a> {
    /// Nothing.
    Nothing,
    /// A solution.
    Solution(&'a [f64]),
    /// The basis of a similar linear program.
    Basis(&'a Basis),
}

/// A solution, and how good it is known to be.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// Value of each column.
    pub values: Vec<f64>,
    /// Worth of the solution.
    pub objective: f64,
    /// What no solution can exceed.
    pub bound: f64,
    /// Why it ended before the wanted gap was proven; none if it is proven.
    pub stopped: Option<Stop>,
    /// What one more unit on the right-hand side of each row would bring (linear programs only).
    pub duals: Vec<f64>,
    /// What one more unit of each column would bring (linear programs only).
    pub column_prices: Vec<f64>,
    /// Its basis (linear programs only).
    pub basis: Option<Basis>,
    /// Seconds it took.
    pub seconds: f64,
}

impl Solved {
    /// A solution that is known without a solve, with nothing known of what others are worth.
    #[must_use]
    pub fn known(program: &Program, values: Vec<f64>) -> Self {
        Self {
            objective: program.objective(&values),
            bound: f64::INFINITY,
            stopped: None,
            duals: Vec::new(),
            column_prices: Vec::new(),
            basis: None,
            seconds: 0.0,
            values,
        }
    }
}

/// Why there is no solution.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoSolution {
    /// The rows contradict each other.
    #[error("the rules of the program contradict each other")]
    Infeasible,
    /// Worth can grow without end.
    #[error("the worth of the program can grow without end")]
    Unbounded,
    /// A limit was reached before a first solution.
    #[error("stopped before a first solution was found")]
    Stopped(Stop),
    /// The solver failed.
    #[error("the solver failed: {0}")]
    Failed(String),
}

/// Solves a program, starting from what is known.
///
/// One thread of its own, fixed seed: the same program gives the same answer wherever no time limit cuts in.
///
/// # Errors
/// [`NoSolution`], telling apart why there is none.
pub fn solve(
    program: &Program,
    settings: Settings,
    known: WarmStart<'_>,
    watch: Watch<'_>,
) -> Result<Solved, NoSolution> {
    match program.columns.iter().any(|column| column.whole) {
        true => run(program, settings, Way::Usual, known, watch),
        false => linear::solve(program, settings, known, watch),
    }
}

/// Solves a program in one way.
pub(super) fn run(
    program: &Program,
    settings: Settings,
    way: Way,
    known: WarmStart<'_>,
    watch: Watch<'_>,
) -> Result<Solved, NoSolution> {
    let began = Instant::now();
    solver_thread::wait_for_room(program, settings, watch)?;
    let mut model = load(program, watch)?;
    // Handing it over is a part of its time.
    let settings = Settings {
        seconds: settings.seconds - began.elapsed().as_secs_f64(),
        ..settings
    };
    configure(&mut model, settings, way)?;
    match known {
        WarmStart::Nothing => {}
        WarmStart::Solution(values) => start_from(&mut model, values),
        WarmStart::Basis(basis) => start_at(&mut model, basis),
    }
    let solved = solver_thread::run(model, settings, watch)?;
    let mut found = outcome(program, &solved)?;
    if found.stopped == Some(Stop::Cancelled) && !watch.cancelled() {
        found.stopped = Some(Stop::Enough);
    }
    Ok(found)
}

fn basis_of(solved: &SolvedModel, columns: usize, rows: usize) -> Option<Basis> {
    let mut basis = Basis {
        columns: vec![0; columns],
        rows: vec![0; rows],
    };
    // SAFETY: the instance is alive and writes one status for each column and row.
    let status = unsafe {
        Highs_getBasis(
            solved.as_ptr(),
            basis.columns.as_mut_ptr(),
            basis.rows.as_mut_ptr(),
        )
    };
    (status == highs_sys::STATUS_OK).then_some(basis)
}

fn outcome(program: &Program, solved: &SolvedModel) -> Result<Solved, NoSolution> {
    let status = solved.status();
    let stopped = match status {
        HighsModelStatus::Optimal
        | HighsModelStatus::ObjectiveBound
        | HighsModelStatus::ObjectiveTarget
        | HighsModelStatus::ModelEmpty => None,
        HighsModelStatus::ReachedTimeLimit => Some(Stop::Time),
        HighsModelStatus::ReachedInterrupt => Some(Stop::Cancelled),
        HighsModelStatus::ReachedIterationLimit
        | HighsModelStatus::ReachedSolutionLimit
        | HighsModelStatus::ReachedMemoryLimit => Some(Stop::Other),
        HighsModelStatus::Infeasible => return Err(NoSolution::Infeasible),
        // Every column of a plan is bounded, so only the first half can be true of one.
        HighsModelStatus::UnboundedOrInfeasible => return Err(NoSolution::Infeasible),
        HighsModelStatus::Unbounded => return Err(NoSolution::Unbounded),
        other => return Err(NoSolution::Failed(format!("{other:?}"))),
    };
    // Asked as a number: where there is nothing to decide, or no time for anything, it is none of
    // those that the bindings know, and they panic.
    let found = solved.int_info_value(c"primal_solution_status");
    let feasible = found.is_ok_and(|found| found == i64::from(highs_sys::SOLUTION_STATUS_FEASIBLE));
    if !feasible && status != HighsModelStatus::ModelEmpty {
        return Err(stopped.map_or_else(
            || NoSolution::Failed("no solution came back".to_owned()),
            NoSolution::Stopped,
        ));
    }
    let solution = solved.get_solution();
    let values = solution.columns().to_vec();
    let objective = program.objective(&values);
    let whole = program.columns.iter().any(|c| c.whole);
    let bound = match solved.double_info_value(c"mip_dual_bound") {
        Ok(bound) if whole => bound.max(objective),
        _ => objective,
    };
    Ok(Solved {
        objective,
        bound,
        stopped,
        duals: solution.dual_rows().to_vec(),
        column_prices: solution.dual_columns().to_vec(),
        basis: if whole {
            None
        } else {
            basis_of(solved, program.columns.len(), program.rows.len())
        },
        values,
        seconds: run_time(solved),
    })
}

fn run_time(solved: &SolvedModel) -> f64 {
    // SAFETY: the instance is alive; the call only reads from it.
    unsafe { highs_sys::Highs_getRunTime(solved.as_ptr()) }
}

#[cfg(test)]
mod tests {
    use super::super::{Column, Relation, Row};
    use super::*;

    #[test]
    fn where_there_is_nothing_to_decide_it_is_decided() {
        let nothing = Program::default();
        let watch = Watch::default();
        let solved = solve(&nothing, Settings::default(), WarmStart::Nothing, watch).unwrap();
        assert!(solved.values.is_empty());
    }

    fn column(worth: f64, upper: f64, whole: bool) -> Column {
        Column {
            name: "".into(),
            lower: 0.0,
            upper,
            whole,
            objective: worth,
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

    /// Worth 3x + 2y with x + y <= 4.5, x <= 3: x = 3, y = 1.5, by hand.
    fn small(whole: bool) -> Program {
        Program {
            columns: vec![column(3.0, 3.0, whole), column(2.0, 9.0, whole)],
            rows: vec![row(&[(0, 1.0), (1, 1.0)], Relation::AtMost, 4.5)].into(),
        }
    }

    #[test]
    fn a_linear_program_has_its_optimum_and_prices() {
        let solved = solve(
            &small(false),
            Settings::default(),
            WarmStart::Nothing,
            Watch::default(),
        )
        .unwrap();
        assert!((solved.objective - 12.0).abs() < 1e-9);
        // One more unit on the right is one more y, worth 2; one more x instead of y brings 1.
        assert!((solved.duals[0] - 2.0).abs() < 1e-9, "{solved:?}");
        assert!((solved.column_prices[0] - 1.0).abs() < 1e-9, "{solved:?}");
    }

    #[test]
    fn a_whole_program_has_its_optimum_and_bound() {
        let solved = solve(
            &small(true),
            Settings::default(),
            WarmStart::Nothing,
            Watch::default(),
        )
        .unwrap();
        assert!((solved.objective - 11.0).abs() < 1e-9);
        assert!((solved.bound - 11.0).abs() < 1e-2);
        assert_eq!(solved.stopped, None);
    }

    #[test]
    fn contradictions_and_endless_worth_are_told_apart() {
        let mut program = small(false);
        program.add_row(row(&[(0, 1.0)], Relation::AtLeast, 5.0));
        let found = solve(
            &program,
            Settings::default(),
            WarmStart::Nothing,
            Watch::default(),
        );
        assert_eq!(found, Err(NoSolution::Infeasible));
        let program = Program {
            columns: vec![column(1.0, f64::INFINITY, false)],
            rows: vec![row(&[(0, 1.0)], Relation::AtLeast, 0.0)].into(),
        };
        let found = solve(
            &program,
            Settings::default(),
            WarmStart::Nothing,
            Watch::default(),
        );
        assert_eq!(found, Err(NoSolution::Unbounded));
    }

    #[test]
    fn a_cancelled_solve_does_not_start() {
        let cancel = std::sync::atomic::AtomicBool::new(true);
        let watch = Watch::quiet(&cancel);
        let found = solve(&small(true), Settings::default(), WarmStart::Nothing, watch);
        assert_eq!(found, Err(NoSolution::Stopped(Stop::Cancelled)));
    }
}
