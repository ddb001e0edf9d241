//! Settling turn by turn.

use super::neighborhood::{Hold, Near};
use super::rounds::{StageParams, StopCriteria, WIDE};
use super::{Search, better, gap};
use crate::milp::{NoSolution, Solved, WarmStart};

/// Times the wanted gap that is much to lose in a turn.
const MUCH: f64 = 1.5;

/// A turn, and where it comes among those of a round.
#[derive(Clone, Copy)]
struct Place {
    turn: u8,
    n: usize,
    turns: usize,
}

impl Search<'_> {
    /// Settles tasks turn by turn, near the relaxation's starts.
    pub(super) fn round(&mut self, reach: StageParams) -> Result<(), NoSolution> {
        let mut settled = self.relaxed.values.clone();
        let near = Near::new(self.net, self.form, reach.order);
        let turns = near.turns();
        for (n, &turn) in turns.iter().enumerate() {
            let guide = if n > 0 && reach.look_again {
                self.relaxed_after(&near, &settled, turn, self.goal(reach, turns.len(), n))?
            } else {
                None
            };
            let guide = guide.as_deref().unwrap_or(&settled);
            let place = Place {
                turn,
                n,
                turns: turns.len(),
            };
            let found = self.turn(&near, reach, place, &settled, guide)?;
            let Some(found) = found else {
                return Ok(());
            };
            if reach.first && n == 0 {
                self.first_turn_reached = gap(found.objective, self.bound) <= WIDE;
            }
            // Then later turns would only lose more, slowly; another order may lose less.
            if reach.first && n == 0 && turns.len() > 1 && !self.first_turn_reached {
                return Ok(());
            }
            settled.clone_from(&found.values);
            if n + 1 == turns.len() {
                self.keep(Some(found));
            }
        }
        Ok(())
    }

    /// Where the relaxation starts tasks once the turns before `turn` are settled.
    fn relaxed_after(
        &mut self,
        near: &Near<'_>,
        settled: &[f64],
        turn: u8,
        goal: StopCriteria,
    ) -> Result<Option<Vec<f64>>, NoSolution> {
        let held = near.held(settled, turn, Hold::Exactly);
        let found = self.attempt(&held.relaxed(), goal, WarmStart::Nothing)?;
        Ok(found.map(|solved| solved.values))
    }

    /// Settles the tasks of one turn.
    fn turn(
        &mut self,
        near: &Near<'_>,
        reach: StageParams,
        Place { turn, n, turns }: Place,
        settled: &[f64],
        guide: &[f64],
    ) -> Result<Option<Solved>, NoSolution> {
        let goal = self.goal(reach, turns, n);
        let wanted = gap(goal.enough, self.bound);
        let (narrow, wide) = (
            (reach.width, reach.within),
            (4 * reach.width, f64::INFINITY),
        );
        let ways = [
            (Hold::Exactly, narrow),
            // Earlier turns may leave too little room near by: then look further.
            (Hold::Exactly, wide),
            // They may ask for more than whole kegs and hands can follow: then let them have less.
            (Hold::AtMost, narrow),
        ];
        let mut best: Option<Solved> = None;
        for (way, (hold, near_by)) in ways.into_iter().enumerate() {
            let held = near.held(settled, turn, hold);
            let program = near.settling(held, turn, guide, near_by);
            best = better(best, self.attempt(&program, goal, WarmStart::Nothing)?);
            // In the first round looking further is quick: worth it where much was lost, or where
            // nothing follows.
            let lost = |best: &Solved| {
                let gap = gap(best.objective, self.bound);
                gap > wanted && (n + 1 == turns || gap > MUCH * wanted)
            };
            let look_on = match &best {
                _ if n == 0 || self.stopped.is_some() => false,
                None => true,
                Some(best) => reach.first && way == 0 && lost(best),
            };
            if !look_on {
                break;
            }
        }
        Ok(best)
    }
}
