//! Many replays together: how often each service is met, and which work decides it.

use std::collections::BTreeSet;

use super::floor::{Floor, What};
use super::replays::Replays;
use super::run::{Outcome, run};
use super::sampling::Luck;
use super::spreads::Draws;
use crate::answer::NoAnswer;

/// What many replays came to.
pub(super) struct Tally {
    pub replays: u32,
    /// By line: how often it was met.
    pub met: Vec<u32>,
    /// By line: how often it was missed though all work it rests on was in time.
    pub missed_in_time: Vec<u32>,
    /// By line: litres missing on average.
    pub missing: Vec<f64>,
    /// By item: in which replays it was late.
    pub late: Vec<Vec<bool>>,
    /// By line: in which replays it was met.
    pub met_in: Vec<Vec<bool>>,
}

/// Replays a floor many times, with the same luck for the same seed.
///
/// # Errors
/// [`NoAnswer::Stopped`] if somebody asked to stop.
pub(super) fn tally(floor: &Floor, replays: &Replays<'_>) -> Result<Tally, NoAnswer> {
    let (spreads, count, seed) = (replays.spreads, replays.count, replays.seed);
    let as_planned = run(floor, &Luck::as_planned(floor), spreads.overtime_min);
    let before: Vec<BTreeSet<usize>> = (0..floor.lines.len()).map(|n| rests_on(floor, n)).collect();
    let mut tally = Tally {
        replays: count,
        met: vec![0; floor.lines.len()],
        missed_in_time: vec![0; floor.lines.len()],
        missing: vec![0.0; floor.lines.len()],
        late: vec![Vec::new(); floor.ids.len()],
        met_in: vec![Vec::new(); floor.lines.len()],
    };
    for replay in 0..count {
        replays.look_up(replay)?;
        let luck = Luck::draw(floor, &replays.shaken, spreads, Draws::of(seed, replay));
        let outcome = run(floor, &luck, spreads.overtime_min);
        tally.note(&outcome, &as_planned, &before);
    }
    for missing in &mut tally.missing {
        *missing /= f64::from(count.max(1));
    }
    Ok(tally)
}

impl Tally {
    fn note(&mut self, outcome: &Outcome, as_planned: &Outcome, before: &[BTreeSet<usize>]) {
        for (item, late) in self.late.iter_mut().enumerate() {
            late.push(outcome.late(item, as_planned));
        }
        for (line, met) in outcome.met.iter().enumerate() {
            self.met[line] += u32::from(*met);
            self.met_in[line].push(*met);
            self.missing[line] += outcome.missing[line];
            let in_time = before[line]
                .iter()
                .all(|item| !outcome.late(*item, as_planned));
            self.missed_in_time[line] += u32::from(!met && in_time);
        }
    }

    /// The mean number of services met.
    pub(super) fn services_met(&self) -> f64 {
        let met: u32 = self.met.iter().sum();
        f64::from(met) / f64::from(self.replays.max(1))
    }

    /// By how much more often a line is missed when an item is late than when it is not, with the
    /// standard error of that; none where one of the two is too rare to tell.
    pub(super) fn decides(&self, item: usize, line: usize) -> Option<(f64, f64)> {
        let (mut late, mut missed_late, mut missed) = (0_u32, 0_u32, 0_u32);
        for (is_late, met) in self.late[item].iter().zip(&self.met_in[line]) {
            late += u32::from(*is_late);
            missed += u32::from(!met);
            missed_late += u32::from(*is_late && !met);
        }
        let in_time = self.replays - late;
        if late < RARE || in_time < RARE {
            return None;
        }
        let share = |part: u32, all: u32| f64::from(part) / f64::from(all);
        let (a, b) = (
            share(missed_late, late),
            share(missed - missed_late, in_time),
        );
        let variance = a * (1.0 - a) / f64::from(late) + b * (1.0 - b) / f64::from(in_time);
        Some((a - b, variance.sqrt()))
    }
}

/// Fewer replays than this say nothing.
const RARE: u32 = 20;

/// Work that a line's service rests on: gassings of its product that are planned to be ready by
/// then, the fills their kegs come from, the boils of those, and the boils before them in their
/// pots on the same day.
pub(super) fn rests_on(floor: &Floor, line: usize) -> BTreeSet<usize> {
    let mut found = BTreeSet::new();
    let mut of_line = None;
    for phase in &floor.phases {
        if let What::Serve { product, lines, .. } = &phase.what
            && lines.contains(&line)
        {
            of_line = Some((*product, phase.at));
        }
    }
    let Some((product, due)) = of_line else {
        return found;
    };
    // Sources come before what rests on them, so one look backwards finds all.
    for phase in floor.phases.iter().rev() {
        match &phase.what {
            What::Gas {
                item,
                from,
                ready,
                product: made,
                ..
            } if *made == product && *ready <= due => {
                found.insert(*item);
                found.extend(from.iter().filter_map(|(made, _)| *made));
            }
            What::Fill { item, boils, .. } if found.contains(item) => found.extend(boils.iter()),
            _ => {}
        }
    }
    found.extend(earlier_boils(floor, &found));
    found
}

/// Boils that come before others in the same pot within a day.
fn earlier_boils(floor: &Floor, of: &BTreeSet<usize>) -> Vec<usize> {
    let lit: Vec<(usize, usize, f64)> = floor
        .phases
        .iter()
        .filter_map(|phase| match phase.what {
            What::Light { item, pot, .. } => Some((item, pot, phase.at)),
            _ => None,
        })
        .collect();
    let mut earlier = Vec::new();
    for (_, pot, at) in lit.iter().filter(|(item, ..)| of.contains(item)) {
        let before = lit
            .iter()
            .filter(|(_, p, t)| p == pot && t < at && at - t < 12.0 * 60.0);
        earlier.extend(before.map(|(item, ..)| *item));
    }
    earlier
}
