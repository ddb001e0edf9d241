//! Settling a long horizon piece by piece.
//!
//! The relaxation of many weeks takes a minute. But what is boiled this week hardly depends on what
//! is wanted in a month: so the horizon is settled from its beginning to its end, a week at a time,
//! each with two days after it in sight and everything before it as it was settled. The whole is
//! relaxed meanwhile where there is another thread for it, or after that, and what is left of the
//! time is spent as on any other horizon, with the pieces as a solution that is known.

use std::cell::Cell;
use std::ops::Range;
use std::panic::resume_unwind;
use std::time::Instant;

use super::fallback_plan::{out_of_time, without_time};
use super::{Asked, Limits, Search, fix_and_optimize, relaxed};
use crate::milp::{After, Formulation, NoSolution, Progress, Shape, Slice, Solved, Stop, Watch};
use crate::network::Network;

/// A horizon of more points than this is long: sixteen days of half hours.
const LONG: usize = 768;

/// A program with more decisions in rules than this is not solved twice at the same time.
const LARGE: usize = 2_000_000;

/// Points that are settled at a time: a week of half hours.
const PIECE: usize = 336;

/// Points after them that are in sight.
const SIGHT: usize = 96;

/// Times its even share of the time left that one piece may take.
const MORE: f64 = 2.0;

/// Good enough for a piece: what it leaves is small beside what the weeks differ by.
const PIECE_GAP: f64 = 1e-2;

/// How far a rule may be broken by what is put together, as the solver itself takes it.
const TOLERANCE: f64 = 1e-5;

/// Whether a horizon is settled in pieces first.
pub(super) fn is_long(net: &Network, limits: Limits) -> bool {
    net.points() > LONG && !limits.whole_worth
}

/// A search of a long horizon that knows what its pieces come to.
pub(super) fn start<'a>(
    net: &'a Network,
    form: &'a Formulation,
    limits: Limits,
    watch: Watch<'a>,
) -> Result<Search<'a>, NoSolution> {
    let long = Long {
        net,
        form,
        limits,
        watch,
        began: Instant::now(),
        lengths: (PIECE, SIGHT),
    };
    long.start()
}

/// A long horizon under way.
struct Long<'a> {
    net: &'a Network,
    form: &'a Formulation,
    limits: Limits,
    watch: Watch<'a>,
    began: Instant,
    /// Points of a piece, and points after it that are in sight.
    lengths: (usize, usize),
}

/// A stretch of points that is settled at a time.
struct Piece {
    own: Range<usize>,
    /// The same, with what is in sight after it.
    sight: Range<usize>,
}

/// What is known of the whole, and what its pieces come to.
type Both = (
    Result<Solved, NoSolution>,
    Result<Option<Solved>, NoSolution>,
);

impl<'a> Long<'a> {
    fn start(&self) -> Result<Search<'a>, NoSolution> {
        let (net, form) = (self.net, self.form);
        // What is known of the whole without its relaxation: once somebody asks to stop there is no
        // time to find out.
        let all = out_of_time(net, form, 0.0, self.watch)?;
        let (whole, settled) = match self.limits.threads {
            0 | 1 => self.one_after_the_other(),
            // Two copies of it at once would be too much.
            _ if Shape::of_program(&form.program).nonzeros > LARGE => self.one_after_the_other(),
            _ => self.side_by_side(),
        };
        let settled = settled?;
        let whole = match (whole, &settled) {
            // What is settled is a plan, however little is known of others.
            (Err(NoSolution::Stopped(Stop::Cancelled)), Some(_)) => Solved {
                stopped: Some(Stop::Cancelled),
                seconds: self.spent(),
                ..all
            },
            (whole, _) => whole?,
        };
        let (limits, began) = (self.limits, self.began);
        let asked = Asked {
            net,
            form,
            limits,
            watch: self.watch,
        };
        let mut search = Search::begun(asked, whole, began);
        search.keep(settled);
        Ok(search)
    }

    /// The whole is relaxed on a thread of its own meanwhile.
    fn side_by_side(&self) -> Both {
        let (net, form) = (self.net, self.form);
        let (seconds, cancel) = (self.limits.seconds, self.watch.cancel);
        std::thread::scope(|threads| {
            let whole = threads.spawn(move || {
                let quiet = Watch::quiet(cancel);
                relaxed(net, form, seconds, quiet)
            });
            let settled = self.settled().and_then(|settled| {
                // Until the whole is relaxed, what is settled is made better.
                let left = |best: &Solved| {
                    self.tell(Some(best.objective));
                    match whole.is_finished() {
                        true => 0.0,
                        false => self.left(),
                    }
                };
                self.improved(settled, &left)
            });
            let whole = whole.join();
            (whole.unwrap_or_else(|panic| resume_unwind(panic)), settled)
        })
    }

    /// The whole is relaxed in what is left of the time after one walk through the horizon: a plan
    /// is worth more than a bound.
    fn one_after_the_other(&self) -> Both {
        let windows = Cell::new(fix_and_optimize::in_a_walk(self.net.points()));
        let settled = self.settled().and_then(|settled| {
            let left = |best: &Solved| {
                self.tell(Some(best.objective));
                let to_go = windows.get();
                windows.set(to_go.saturating_sub(1));
                if to_go > 0 { self.left() } else { 0.0 }
            };
            self.improved(settled, &left)
        });
        let quiet = Watch::quiet(self.watch.cancel);
        let whole = relaxed(self.net, self.form, self.left(), quiet);
        (whole, settled)
    }

    fn improved(
        &self,
        mut settled: Option<Solved>,
        left: &dyn Fn(&Solved) -> f64,
    ) -> Result<Option<Solved>, NoSolution> {
        if let Some(best) = &mut settled {
            let (points, cancel) = (self.net.points(), self.watch.cancel);
            fix_and_optimize::improve(self.form, points, best, cancel, left)?;
        }
        Ok(settled)
    }

    fn spent(&self) -> f64 {
        self.began.elapsed().as_secs_f64()
    }

    fn left(&self) -> f64 {
        (self.limits.seconds - self.spent()).max(0.0)
    }

    fn pieces(&self) -> Vec<Piece> {
        let (points, (length, in_sight)) = (self.net.points(), self.lengths);
        let mut pieces = Vec::new();
        let mut from = 0;
        while from < points {
            // What would be left is no piece of its own.
            let until = match from + length {
                until if until + in_sight >= points => points,
                until => until,
            };
            pieces.push(Piece {
                own: from..until,
                sight: from..(until + in_sight).min(points),
            });
            from = until;
        }
        pieces
    }

    /// Settles piece by piece. What is settled first may leave no way on, since it sees but some of
    /// what follows: then what lies before is settled again, together with it. None where no way
    /// leads through the whole horizon.
    fn settled(&self) -> Result<Option<Solved>, NoSolution> {
        let mut values = vec![0.0; self.form.program.columns.len()];
        let pieces = self.pieces();
        for n in 0..pieces.len() {
            let left = self.left();
            let seconds = (left / (pieces.len() - n) as f64 * MORE).min(left);
            if !self.settle(&pieces[..=n], seconds, &mut values)? {
                return Ok(None);
            }
        }
        let fits = self.form.program.broken(&values, TOLERANCE).is_none();
        Ok(fits.then(|| Solved::known(&self.form.program, values)))
    }

    /// Settles the last of some pieces with those before it as they are; or with the one before
    /// it, the two before it, and so on. Whether there was a way.
    fn settle(
        &self,
        pieces: &[Piece],
        seconds: f64,
        values: &mut [f64],
    ) -> Result<bool, NoSolution> {
        let Some(last) = pieces.last() else {
            return Ok(true);
        };
        for first in pieces.iter().rev() {
            let span = first.own.start..last.sight.end;
            let slice = self.form.slice(&span, values, After::Open);
            match self.piece(&slice, seconds.min(self.left())) {
                Ok(found) => {
                    slice.put(&found, values);
                    return Ok(true);
                }
                Err(NoSolution::Infeasible) => {}
                Err(error) => return Err(error),
            }
        }
        Ok(false)
    }

    /// Searches one piece as if there were nothing after it. Without time it does as little as it
    /// can.
    fn piece(&self, slice: &Slice, seconds: f64) -> Result<Vec<f64>, NoSolution> {
        let limits = Limits {
            seconds,
            gap: self.limits.gap.max(PIECE_GAP),
            ..self.limits
        };
        // What a piece is worth says nothing of the whole.
        let report = |_: Progress| self.tell(None);
        let watch = Watch {
            cancel: self.watch.cancel,
            progress: &report,
        };
        let mut search = match seconds > 0.0 {
            true => Search::start(self.net, &slice.form, limits, watch)?,
            false => {
                let asked = Asked {
                    net: self.net,
                    form: &slice.form,
                    limits,
                    watch,
                };
                Search::begun(asked, without_time(&slice.form), Instant::now())
            }
        };
        search.whole()?;
        Ok(search.finish()?.values)
    }

    fn tell(&self, best: Option<f64>) {
        (self.watch.progress)(Progress {
            seconds: self.spent(),
            best,
            bound: None,
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::search::{demo_week, search};

    #[test]
    fn pieces_make_a_whole() {
        let (soda, form) = demo_week();
        // With a second thread the whole is relaxed beside its pieces.
        let limits = Limits {
            gap: 5e-3,
            threads: 2,
            ..Limits::default()
        };
        let watch = Watch::default();
        let whole = search(&soda.net, &form, limits, watch).unwrap();
        let long = |seconds: f64| Long {
            net: &soda.net,
            form: &form,
            limits: Limits { seconds, ..limits },
            watch,
            began: Instant::now(),
            lengths: (96, 96),
        };
        // Enough on a machine that does other things too: pieces end when they are good enough.
        let pieces = long(600.0);
        assert_eq!(pieces.pieces().len(), 3);
        let search = pieces.start().unwrap();
        assert!((search.bound - whole.bound).abs() <= 1e-6 * whole.bound);
        let found = search.best.expect("pieces that fit together");
        assert!(form.program.broken(&found.values, TOLERANCE).is_none());
        assert!(found.objective <= whole.bound + 1e-6 && found.objective >= 0.9 * whole.bound);
        // Without time there is still a plan, if hardly more than none.
        let hasty = long(0.0).start().unwrap().finish().unwrap();
        assert!(form.program.broken(&hasty.values, TOLERANCE).is_none());
        assert!(hasty.bound >= whole.objective && hasty.objective <= found.objective);
        assert_eq!(hasty.stopped, Some(Stop::Time));
    }
}
