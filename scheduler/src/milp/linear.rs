//! Solving linear programs: by the simplex method, and where that takes too many steps, by the
//! interior point method.
//!
//! Where much more is wanted than can be made, a relaxation has a great many corners that are worth
//! nearly the same, and the simplex method walks along them: 68,000 steps on the demo week with
//! three times its demand, sixteen seconds, where the interior point method takes one. On ordinary
//! weeks the simplex method is the faster one. Steps are counted and not seconds, so that every
//! machine takes the same way.

use std::time::Instant;

use super::Program;
use super::callback::Watch;
use super::engine::{NoSolution, Settings, Solved, Stop, WarmStart, run};
use super::model_loader::Way;

/// Steps for each row of a program after which the simplex method has taken too many. Relaxations
/// of ordinary horizons take half as many to two thirds.
const STEPS_PER_ROW: f64 = 1.25;

/// Steps that are never too many.
const FEW_STEPS: i32 = 1000;

pub(super) fn solve(
    program: &Program,
    settings: Settings,
    known: WarmStart<'_>,
    watch: Watch<'_>,
) -> Result<Solved, NoSolution> {
    let steps = program.rows.len() as f64 * STEPS_PER_ROW;
    let steps = (steps as i32).max(FEW_STEPS);
    within(steps, program, settings, known, watch)
}

fn within(
    steps: i32,
    program: &Program,
    settings: Settings,
    known: WarmStart<'_>,
    watch: Watch<'_>,
) -> Result<Solved, NoSolution> {
    let began = Instant::now();
    let left = || Settings {
        seconds: settings.seconds - began.elapsed().as_secs_f64(),
        ..settings
    };
    let first = run(program, settings, Way::Steps(steps), known, watch);
    let too_many = match &first {
        Ok(solved) => solved.stopped == Some(Stop::Other),
        Err(error) => *error == NoSolution::Stopped(Stop::Other),
    };
    if !too_many {
        return first;
    }
    let interior = run(program, left(), Way::Interior, WarmStart::Nothing, watch);
    let found = match interior {
        // It could not tell; the simplex method can, if slowly.
        Err(NoSolution::Failed(_)) => run(program, left(), Way::Usual, known, watch),
        found => found,
    };
    found.map(|solved| Solved {
        seconds: began.elapsed().as_secs_f64(),
        ..solved
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::milp::{Column, Relation, Row};

    /// Sends what 30 places have to 30 others that want it, each way at its own cost.
    fn transport() -> Program {
        const PLACES: usize = 30;
        let mut program = Program::default();
        let way = |from: usize, to: usize| from * PLACES + to;
        for n in 0..PLACES * PLACES {
            program.add_column(Column {
                name: format!("way {n}").into(),
                lower: 0.0,
                upper: f64::INFINITY,
                whole: false,
                objective: -(1.0 + (n * 7919 % 101) as f64),
            });
        }
        for place in 0..PLACES {
            let row = |name: &str, ways: Vec<usize>, relation, right| Row {
                name: format!("{name} {place}").into(),
                terms: ways.into_iter().map(|n| (n, 1.0)).collect(),
                relation,
                right,
            };
            let out = (0..PLACES).map(|to| way(place, to)).collect();
            program.add_row(row("has", out, Relation::AtMost, 9.0));
            let into = (0..PLACES).map(|from| way(from, place)).collect();
            let wanted = 5.0 + (place % 4) as f64;
            program.add_row(row("wants", into, Relation::AtLeast, wanted));
        }
        program
    }

    #[test]
    fn either_method_finds_what_the_other_does() {
        let program = transport();
        let (settings, watch) = (Settings::default(), Watch::default());
        let found = |steps| within(steps, &program, settings, WarmStart::Nothing, watch).unwrap();
        let (simplex, interior) = (found(i32::MAX), found(10));
        let apart = (simplex.objective - interior.objective).abs();
        assert!(simplex.objective < 0.0 && apart <= -1e-6 * simplex.objective);
        assert_eq!(program.broken(&interior.values, 1e-6), None);
        assert!(interior.basis.is_some() && interior.stopped.is_none());
        // Ten steps really are too few.
        let few = run(
            &program,
            settings,
            Way::Steps(10),
            WarmStart::Nothing,
            watch,
        );
        let stopped = few.map_or_else(
            |error| error,
            |few| NoSolution::Stopped(few.stopped.unwrap()),
        );
        assert_eq!(stopped, NoSolution::Stopped(Stop::Other));
        // The same again, to the last bit.
        assert_eq!(found(10).values, interior.values);
    }
}
