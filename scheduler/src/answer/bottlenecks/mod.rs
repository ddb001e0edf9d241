//! What stops there being more: guessed from a relaxation's prices, confirmed by solving again with
//! one more.

mod ground;
mod when;

use std::ops::Range;
use std::time::Instant;

use super::problem::Problem;
use super::rounding::tenths;
use crate::decode::Context;
use crate::mapping::{Scarce, SodaNetwork, Work};
use crate::milp::{Formulation, Solved, Watch};
use crate::plan::{BindingStretch, Reason, Served};
use crate::search::{Limits, SearchOutcome};
use ground::{Ground, Settled};
pub(super) use when::none_left;

/// How many resources are confirmed by solving again, and how many at most where a shortage is
/// still unexplained.
const CONFIRMED: (usize, usize) = (3, 6);

/// Part of an answer's time that is left to reasons, and their bounds in seconds: a reason is no
/// reason to wait.
const SHARE: f64 = 0.15;
const SECONDS: (f64, f64) = (0.5, 30.0);

/// Less than this is not worth naming.
const NOTHING: f64 = 0.05;

/// Days before a shortage that are looked at where the whole horizon is not relaxed, and days from
/// it on.
const AROUND_DAYS: (i64, i64) = (3, 4);

/// The limits of an answer's search: reasons take the rest.
pub(super) fn searching(limits: Limits) -> Limits {
    limits.part(1.0 - SHARE)
}

/// How long reasons may be sought.
#[derive(Debug, Clone, Copy)]
struct Patience {
    began: Instant,
    seconds: f64,
}

impl Patience {
    /// What a search left of an answer's time.
    fn after(found: &SearchOutcome, limits: Limits) -> Self {
        let (least, most) = SECONDS;
        Self {
            began: Instant::now(),
            seconds: (limits.seconds - found.seconds).clamp(least, most),
        }
    }

    fn left(&self) -> f64 {
        self.seconds - self.began.elapsed().as_secs_f64()
    }
}

/// Says of each line that is short why it is: of which resources one more would let more litres be
/// served.
pub(super) fn shortage(
    problem: Problem<'_>,
    found: &SearchOutcome,
    limits: Limits,
    services: &mut [Served],
    watch: Watch<'_>,
) {
    if watch.cancelled() {
        return;
    }
    let patience = Patience::after(found, limits);
    let mut short: Vec<usize> = (0..services.len())
        .filter(|n| services[*n].short_l > 0.0)
        .collect();
    if !found.relaxed.duals.is_empty() {
        let ground = Ground::whole(problem, &found.relaxed, watch);
        explain(&ground, services, &short, patience);
        return;
    }
    // A horizon too long to be relaxed in time: the days around each shortage by themselves.
    short.sort_by_key(|n| services[*n].due);
    while let Some(first) = short.first()
        && patience.left() > 0.0
        && !watch.cancelled()
    {
        let context = problem.context;
        let span = around(context, &services[*first]);
        let until = context.stamp(span.end.min(context.timeline.steps()));
        let inside = short.iter().take_while(|n| services[**n].due < until);
        let inside: Vec<usize> = inside.copied().collect();
        short.drain(..inside.len().max(1));
        let settled = Settled {
            values: &found.values,
            span,
        };
        let Some(ground) = Ground::stretch(problem, settled, patience.left(), watch) else {
            continue;
        };
        explain(&ground, services, &inside, patience);
    }
}

/// Points around a line that is short.
fn around(context: Context<'_>, line: &Served) -> Range<usize> {
    let timeline = context.timeline;
    let due = line.due.to_utc();
    let (before, after) = AROUND_DAYS;
    let from = timeline.step_from(due - chrono::Duration::days(before));
    let until = timeline.step_from(due + chrono::Duration::days(after));
    from..until.min(timeline.steps() + 1)
}

/// Gives each of some lines that are short its reasons.
fn explain(ground: &Ground<'_>, services: &mut [Served], short: &[usize], patience: Patience) {
    let lines = services.len();
    let litres = |soda: &SodaNetwork, form: &Formulation, solved: &Solved| {
        litres_by_line(soda, form, &solved.values, lines)
    };
    // Lines that get all they want in the relaxation cannot get more of anything there.
    let before = litres(ground.soda, &ground.form, &ground.relaxed);
    let open = short.iter().copied();
    let open: Vec<usize> = open
        .filter(|n| before[*n] < services[*n].wanted_l - NOTHING)
        .collect();
    let measure = Measure {
        unit: "L",
        before: &before,
        of: &litres,
    };
    let confirmed = confirm(ground, measure, &open, patience);
    for n in short {
        let gains = confirmed.iter().map(|(reason, gains)| (reason, gains[*n]));
        services[*n].why = of_line(&services[*n], gains);
    }
}

/// Of what is known to help, what helps a line most; if nothing does, what helps others most.
fn of_line<'a>(line: &Served, gains: impl Iterator<Item = (&'a Reason, f64)>) -> Vec<Reason> {
    let early = |stretch: &&BindingStretch| stretch.from < line.due;
    let (mut here, mut others) = (Vec::new(), Vec::new());
    for (reason, gains) in gains {
        let mut reason = reason.clone();
        // The relaxation may be short of more here, and of less elsewhere.
        let gains = tenths(gains.min(line.short_l));
        reason.here_l = Some(gains.max(0.0));
        if gains <= 0.0 {
            others.push(reason);
            continue;
        }
        let before: Vec<_> = reason.binds.iter().filter(early).cloned().collect();
        if !before.is_empty() {
            reason.binds = before;
        }
        here.push(reason);
    }
    here.sort_by(|a, b| b.here_l.unwrap_or(0.0).total_cmp(&a.here_l.unwrap_or(0.0)));
    others.truncate(CONFIRMED.0);
    match here.is_empty() {
        true => others,
        false => here,
    }
}

/// What stops a capacity from being higher. `kegs` counts them in a solution.
pub(super) fn capacity(
    problem: Problem<'_>,
    found: &SearchOutcome,
    limits: Limits,
    kegs: &dyn Fn(&Solved) -> f64,
    watch: Watch<'_>,
) -> Vec<Reason> {
    if watch.cancelled() {
        return Vec::new();
    }
    let ground = Ground::whole(problem, &found.relaxed, watch);
    let counted = |_: &SodaNetwork, _: &Formulation, solved: &Solved| vec![kegs(solved)];
    let before = [kegs(&found.relaxed)];
    let patience = Patience::after(found, limits);
    let measure = Measure {
        unit: "kegs",
        before: &before,
        of: &counted,
    };
    let confirmed = confirm(&ground, measure, &[0], patience);
    confirmed.into_iter().map(|(reason, _)| reason).collect()
}

/// Measures what a solution brings, such as litres by line of demand.
#[derive(Clone, Copy)]
struct Measure<'a> {
    unit: &'a str,
    /// What the ground brings.
    before: &'a [f64],
    /// What a solution brings.
    of: &'a dyn Fn(&SodaNetwork, &Formulation, &Solved) -> Vec<f64>,
}

/// Solves the relaxation again with one more of each promising resource, and keeps what helps, most
/// helpful first, with what each measure gains. More are tried while one of `open` gains nothing.
fn confirm(
    ground: &Ground<'_>,
    measure: Measure<'_>,
    open: &[usize],
    patience: Patience,
) -> Vec<(Reason, Vec<f64>)> {
    let scenario = ground.context.scenario;
    let mut open = open.to_vec();
    let mut confirmed: Vec<(Reason, Vec<f64>)> = Vec::new();
    let mut tried = 0;
    for more in ground.promising() {
        let an_hour = more.limit.scarce == Scarce::HourOfHands;
        if !an_hour && (tried >= CONFIRMED.1 || (tried >= CONFIRMED.0 && open.is_empty())) {
            break;
        }
        tried += usize::from(!an_hour);
        let Some((soda, form, solved)) = ground.with(&more, patience.left()) else {
            continue;
        };
        let after = (measure.of)(&soda, &form, &solved);
        let gains: Vec<f64> = after
            .iter()
            .zip(measure.before)
            .map(|(a, b)| a - b)
            .collect();
        let brings: f64 = gains.iter().sum();
        if brings <= NOTHING {
            continue;
        }
        open.retain(|n| gains[*n] <= NOTHING);
        let reason = Reason {
            resource: more.limit.scarce.resource(scenario),
            one_more: ground.called(&more),
            brings: tenths(brings),
            unit: measure.unit.to_owned(),
            here_l: None,
            binds: when::binds(ground, &more),
        };
        confirmed.push((reason, gains));
    }
    confirmed.sort_by(|a, b| b.0.brings.total_cmp(&a.0.brings));
    confirmed
}

/// Litres served in a solution, by line of demand.
fn litres_by_line(
    soda: &SodaNetwork,
    form: &Formulation,
    values: &[f64],
    lines: usize,
) -> Vec<f64> {
    let mut litres = vec![0.0; lines];
    for ((id, _), work) in soda.net.tasks().zip(&soda.work) {
        if let Work::Serve { line, .. } = work {
            let columns = (0..soda.net.points()).filter_map(|t| form.size(id, t));
            litres[*line] += columns.map(|c| values[c]).sum::<f64>();
        }
    }
    litres
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decode;
    use crate::mapping::network;
    use crate::recipe::Recipes;
    use crate::sample;
    use crate::scenario::quantities::DemandVolume;
    use crate::search::search;

    /// Far more than can be made: it is told of what there is too little, by the relaxation of the
    /// whole and, where that is missing, by those of the days around each shortage.
    #[test]
    fn a_shortage_has_reasons_whether_or_not_the_whole_is_relaxed() {
        let mut scenario = sample::fixed();
        for line in &mut scenario.demand {
            line.litres = DemandVolume::new(line.litres.litres() * 2.5).unwrap();
        }
        let scenario = scenario.check().unwrap();
        let recipes = Recipes::of(&scenario).unwrap();
        let timeline = scenario.horizon.timeline(scenario.site.time_zone);
        let soda = network(&scenario, &recipes, &timeline);
        let form = soda.formulate(&scenario, &timeline);
        let context = Context {
            scenario: &scenario,
            recipes: &recipes,
            timeline: &timeline,
        };
        let problem = Problem::new(context, &soda, &form);
        // Reasons are sought in what the search leaves of its time: enough on a busy machine.
        let limits = Limits {
            gap: 0.2,
            seconds: 1200.0,
            ..Limits::default()
        };
        let found = search(&soda.net, &form, limits, Watch::default()).unwrap();
        let starts = decode::starts(&soda, &form, &found.values);
        let services = decode::served(context, &starts);
        let unrelaxed = SearchOutcome {
            relaxed: Solved::known(&form.program, found.values.clone()),
            ..found.clone()
        };
        let told = |found: &SearchOutcome| {
            let mut services = services.clone();
            shortage(problem, found, limits, &mut services, Watch::default());
            let met = services.iter().filter(|line| line.short_l <= 0.0);
            assert!(met.into_iter().all(|line| line.why.is_empty()));
            services.retain(|line| line.short_l > 0.0);
            services
        };
        let whole = told(&found);
        assert!(whole.iter().all(|line| !line.why.is_empty()));
        sound(&whole);
        let days = told(&unrelaxed);
        sound(&days);
        let weekend = days.iter().filter(|line| line.short_l > 30.0);
        for line in weekend {
            let ice = |reason: &&Reason| reason.resource == "ice";
            assert!(line.why.iter().any(|reason| ice(&reason)), "{line:?}");
        }
    }

    fn sound(lines: &[Served]) {
        for reason in lines.iter().flat_map(|line| &line.why) {
            assert!(
                reason.brings > 0.0 && !reason.binds.is_empty(),
                "{reason:?}"
            );
            let in_order = reason.binds.windows(2).all(|b| b[0].until < b[1].from);
            let some_time = reason.binds.iter().all(|b| b.from < b.until);
            assert!(in_order && some_time, "{reason:?}");
        }
        for line in lines {
            let here: Vec<f64> = line.why.iter().filter_map(|r| r.here_l).collect();
            assert_eq!(here.len(), line.why.len());
            // Either what helps this line, most helpful first, or what only helps others.
            assert!(here.is_sorted_by(|a, b| a >= b), "{here:?}");
            let helps = |litres: &f64| *litres > 0.0;
            assert!(
                here.iter().all(helps) || !here.iter().any(helps),
                "{here:?}"
            );
        }
    }
}
