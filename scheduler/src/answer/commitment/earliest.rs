//! The earliest service at which all of a commitment can be had.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use chrono::{DateTime, FixedOffset};

use super::program::{nobody_yields, only_litres_count, protect, serving};
use super::question::{CommitmentQuestion, with_line};
use super::{Before, most};
use crate::answer::NoAnswer;
use crate::check::Checked;
use crate::mapping::{SodaNetwork, Work, network};
use crate::milp::{NoSolution, Program, Settings, Stop, WarmStart, Watch, formulate, solve};
use crate::network::Series;
use crate::recipe::Recipes;
use crate::scenario::DemandId;
use crate::search::Limits;
use crate::timeline::Timeline;

/// Litres below this are rounding.
const NOTHING_L: f64 = 0.02;

/// Steps after the first possible one at which a plan is tried, one after the other.
const TRIES: [usize; 6] = [0, 1, 3, 7, 15, 31];

/// Times its own share of the time that the proof of how early it could be may take.
const FIRST: f64 = 2.0;

/// The earliest service found, and the proof of how early it could be.
pub(super) struct Earliest {
    pub found: Option<DateTime<FixedOffset>>,
    pub not_before: Option<DateTime<FixedOffset>>,
}

/// Looks for the earliest service after the one asked about.
pub(super) fn find(
    scenario: &Checked,
    question: &CommitmentQuestion,
    before: &Before,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<Earliest, NoAnswer> {
    let more = with_line(scenario, question, question.due)?;
    let timeline = more.horizon.timeline(more.site.time_zone);
    let until = Instant::now() + Duration::from_secs_f64(limits.seconds * FIRST);
    let first = first_possible(&more, &timeline, &before.served, until, watch)?;
    let Some(first) = first else {
        return Ok(Earliest {
            found: None,
            not_before: None,
        });
    };
    let mut earliest = Earliest {
        found: None,
        not_before: Some(timeline.stamp(timeline.at(first))),
    };
    for after in TRIES {
        let at = timeline.stamp(timeline.at(first + after));
        if at.to_utc() > timeline.end() {
            break;
        }
        let then = with_line(scenario, question, at)?;
        let (litres, _) = most(&then, before, limits, watch)?;
        let wanted = then.demand.last().map_or(0.0, |line| line.litres.litres());
        if litres >= wanted - NOTHING_L {
            earliest.found = Some(at);
            break;
        }
    }
    Ok(earliest)
}

/// The first step by which all of the last line could be had, poured whenever there is some: no
/// plan that pours it at one service can be earlier. Where time is over first, the first step that
/// is not known to be too early.
fn first_possible(
    more: &Checked,
    timeline: &Timeline,
    before: &BTreeMap<DemandId, f64>,
    until: Instant,
    watch: Watch<'_>,
) -> Result<Option<usize>, NoAnswer> {
    watch.look_up()?;
    let recipes = Recipes::of(more)?;
    let mut soda = network(more, &recipes, timeline);
    let line = more.demand.len() - 1;
    let wanted = more.demand[line].litres.litres();
    let due = timeline
        .step_of(more.demand[line].due.to_utc())
        .unwrap_or(0);
    pour_any_time(&mut soda, more, line, due);
    // Without the whole-keg rules, which know the services only.
    let mut form = formulate(&soda.net);
    only_litres_count(&soda, &mut form, line);
    let lines: Vec<DemandId> = more.demand.iter().map(|line| line.id.clone()).collect();
    protect((&soda, &mut form), &lines, before, nobody_yields());
    let program = form.program.relaxed();
    let serve: Vec<(usize, usize)> = (0..soda.net.points())
        .flat_map(|t| at_step(&soda, &form, line, t))
        .collect();
    debug_assert_eq!(serve.len(), serving(&soda, &form, line).len());
    // None where there is no time left to tell.
    let by = |step: usize| -> Result<Option<bool>, NoAnswer> {
        let seconds = until.saturating_duration_since(Instant::now());
        let litres = by_step(&program, &serve, step, seconds, watch)?;
        Ok(litres.map(|litres| litres >= wanted - NOTHING_L))
    };
    let (mut no, mut yes) = (due, timeline.steps());
    if by(yes)? == Some(false) {
        return Ok(None);
    }
    if by(no)? != Some(false) {
        return Ok(Some(no));
    }
    while yes - no > 1 {
        let middle = usize::midpoint(no, yes);
        match by(middle)? {
            Some(true) => yes = middle,
            Some(false) => no = middle,
            // Not before the next step, as far as is known.
            None => return Ok(Some(no + 1)),
        }
    }
    Ok(Some(yes))
}

/// Steps and columns of what is poured for a line at a step.
fn at_step(
    soda: &SodaNetwork,
    form: &crate::milp::Formulation,
    line: usize,
    t: usize,
) -> Vec<(usize, usize)> {
    let tasks = soda.net.tasks().zip(&soda.work);
    tasks
        .filter(|(_, work)| matches!(work, Work::Serve { line: l, .. } if *l == line))
        .filter_map(|((id, _), _)| Some((t, form.size(id, t)?)))
        .collect()
}

/// The most litres poured up to a step; none if that cannot be told in time.
fn by_step(
    program: &Program,
    serve: &[(usize, usize)],
    step: usize,
    time: Duration,
    watch: Watch<'_>,
) -> Result<Option<f64>, NoAnswer> {
    let mut program = program.clone();
    for (_, column) in serve.iter().filter(|(t, _)| *t > step) {
        program.columns[*column].upper = 0.0;
    }
    let settings = Settings {
        seconds: time.as_secs_f64(),
        ..Settings::default()
    };
    match solve(&program, settings, WarmStart::Nothing, watch) {
        Ok(solved) if solved.stopped.is_some() => Ok(None),
        Ok(solved) => Ok(Some(solved.objective)),
        Err(NoSolution::Infeasible) => Ok(Some(0.0)),
        Err(NoSolution::Stopped(Stop::Time)) => Ok(None),
        Err(other) => Err(other.into()),
    }
}

/// Lets the last line's product be tapped and poured at every step from its service on.
fn pour_any_time(soda: &mut SodaNetwork, more: &Checked, line: usize, due: usize) {
    let product = more.index().product(&more.demand[line].product);
    let points = soda.net.points();
    let tasks: Vec<_> = soda.net.tasks().map(|(id, _)| id).collect();
    for (id, work) in tasks.into_iter().zip(soda.work.clone()) {
        let (from, most) = match work {
            Work::Tap {
                product: p, store, ..
            } if Some(p) == product => (due, f64::from(more.setup.cold_stores[store].places)),
            Work::Serve { line: l, .. } if l == line => (due, 1.0),
            Work::Stale { product: p, .. } if Some(p) == product => (0, 1.0),
            _ => continue,
        };
        let task = soda.net.task_mut(id);
        let series = (0..points).map(|t| {
            let own = task.most.at(t);
            if t >= from { own.max(most) } else { own }
        });
        task.most = Series::ByPoint(series.collect());
    }
}
