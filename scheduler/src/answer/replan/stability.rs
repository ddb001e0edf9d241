//! Settling the new plan: everything stays if it can; otherwise as little as possible is moved.

use super::published::Published;
use crate::answer::NoAnswer;
use crate::answer::problem::Problem;
use crate::mapping::Work;
use crate::milp::{NoSolution, Program, Row, Settings, Solved, Stop, WarmStart, Watch, solve};
use crate::network::Count;
use crate::search::{Limits, SearchOutcome, relaxation, search};

/// Litres by which a published boil may differ: what rounding its figures cost.
const ROUNDING_L: f64 = 0.011;

/// Nodes of the search that takes back needless moves; a count, so that every machine agrees.
const NODES: i32 = 400;

/// Values below this count as nothing.
const NOTHING: f64 = 1e-6;

/// Seconds that keeping everything always has, however little time there is.
const PATIENCE_SECONDS: f64 = 5.0;

/// The plan in which all published work stays, with what is promised of the lines of demand if it
/// can be; none if the work cannot stay, or it is not known in time.
pub(in crate::answer) fn keep(
    problem: Problem<'_>,
    published: &Published,
    promised: &[Row],
    limits: Limits,
    watch: Watch<'_>,
) -> Result<Option<Solved>, NoAnswer> {
    let settings = Settings {
        seconds: limits.seconds.max(PATIENCE_SECONDS),
        ..Settings::default()
    };
    let nothing: &[Row] = &[];
    // First with the ice that was ordered, then with any; last without what was promised.
    let tries = [promised, nothing].into_iter();
    let tries = tries.skip(usize::from(promised.is_empty()));
    for (promised, ice_too) in tries.flat_map(|rules| [(rules, true), (rules, false)]) {
        let mut program = held(problem, published, ice_too);
        program.add_rows(promised.iter().cloned());
        match solve(&program, settings, WarmStart::Nothing, watch) {
            Ok(solved) => return Ok(Some(solved)),
            Err(NoSolution::Infeasible | NoSolution::Stopped(Stop::Time)) => {}
            Err(other) => return Err(other.into()),
        }
    }
    Ok(None)
}

/// The program with every whole start as published.
fn held(problem: Problem<'_>, published: &Published, ice_too: bool) -> Program {
    let Problem { soda, form, .. } = problem;
    let mut program = form.program.relaxed();
    for ((id, task), work) in soda.net.tasks().zip(&soda.work) {
        let ice = *work == Work::BuyIce;
        if task.count != Count::Whole && !(ice && ice_too) {
            continue;
        }
        for t in 0..soda.net.points() {
            let Some(column) = form.starts(id, t) else {
                continue;
            };
            let kept = published.get(&(id, t));
            let count = kept.map_or(0.0, |kept| f64::from(kept.count));
            let upper = program.columns[column].upper;
            program.columns[column].lower = count.min(upper);
            program.columns[column].upper = count.min(upper);
            let (Some(size), Some(litres)) = (form.size(id, t), kept.and_then(|k| k.size)) else {
                continue;
            };
            let bounds = &mut program.columns[size];
            let rounding = if ice { 0.0 } else { ROUNDING_L };
            bounds.lower = (litres - rounding).clamp(bounds.lower, bounds.upper);
            bounds.upper = (litres + rounding).clamp(bounds.lower, bounds.upper);
        }
    }
    program
}

/// The best plan found anywhere, with needless moves taken back.
pub(in crate::answer) fn move_some(
    problem: Problem<'_>,
    published: &Published,
    kept: Option<&Solved>,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<SearchOutcome, NoAnswer> {
    let Problem { soda, form, .. } = problem;
    // Not from the kept plan: one that is good enough would end the search before it has looked.
    let mut found = match (search(&soda.net, form, limits, watch), kept) {
        (Err(NoSolution::Stopped(stop)), Some(kept)) => stays(problem, kept, stop, watch)?,
        (found, _) => found?,
    };
    let near = near(problem, published, &found.values);
    if let Some(kept) = kept.filter(|kept| kept.objective > found.objective) {
        found.objective = kept.objective;
        found.values.clone_from(&kept.values);
    }
    let settings = Settings {
        gap: 1e-6,
        seconds: (limits.seconds - found.seconds).max(1.0),
        enough: None,
        nodes: Some(NODES),
    };
    match solve(&near, settings, WarmStart::Solution(&found.values), watch) {
        Ok(better) if better.objective > found.objective => {
            found.objective = better.objective;
            found.values = better.values;
        }
        Ok(_) | Err(NoSolution::Infeasible | NoSolution::Stopped(_)) => {}
        Err(other) => return Err(other.into()),
    }
    found.bound = found.bound.max(found.objective);
    Ok(found)
}

/// Nothing better was found in time: everything stays.
fn stays(
    problem: Problem<'_>,
    kept: &Solved,
    stop: Stop,
    watch: Watch<'_>,
) -> Result<SearchOutcome, NoSolution> {
    let hasty = Limits {
        seconds: 0.0,
        ..Limits::default()
    };
    let relaxed = relaxation(&problem.soda.net, problem.form, hasty, watch)?;
    Ok(SearchOutcome {
        values: kept.values.clone(),
        objective: kept.objective,
        bound: relaxed.bound.max(kept.objective),
        stopped: Some(stop),
        seconds: kept.seconds,
        relaxed,
    })
}

/// The program with starts only where they are published, or where `values` has them.
fn near(problem: Problem<'_>, published: &Published, values: &[f64]) -> Program {
    let Problem { soda, form, .. } = problem;
    let mut program = form.program.clone();
    for (id, task) in soda.net.tasks() {
        if task.count != Count::Whole {
            continue;
        }
        for t in 0..soda.net.points() {
            let Some(column) = form.starts(id, t) else {
                continue;
            };
            if published.contains_key(&(id, t)) || values[column] > NOTHING {
                continue;
            }
            program.columns[column].upper = 0.0;
            if let Some(size) = form.size(id, t) {
                program.columns[size].upper = 0.0;
            }
        }
    }
    program
}
