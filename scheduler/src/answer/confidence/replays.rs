//! Many replays as a search that can be watched and stopped.

use std::time::Instant;

use super::{ConfidenceQuestion, Spreads};
use crate::answer::NoAnswer;
use crate::milp::{Progress, Stop, Watch};
use crate::scenario::{GasMethod, Scenario};

/// Replays between two reports of how far it is.
const QUIET: u32 = 256;

/// How often everything is replayed, with what luck, and who watches.
pub(super) struct Replays<'a> {
    pub(super) count: u32,
    pub(super) seed: u64,
    pub(super) spreads: &'a Spreads,
    /// Whether each gassing point shakes its kegs.
    pub(super) shaken: Vec<bool>,
    watch: Watch<'a>,
    began: Instant,
}

impl<'a> Replays<'a> {
    pub(super) fn new(
        scenario: &Scenario,
        question: &'a ConfidenceQuestion,
        watch: Watch<'a>,
    ) -> Self {
        let stations = scenario.setup.gas_stations.iter();
        let shaken = stations.map(|s| matches!(s.method, GasMethod::Shaken { .. }));
        Self {
            count: question.replays,
            seed: question.seed,
            spreads: &question.spreads,
            shaken: shaken.collect(),
            watch,
            began: Instant::now(),
        }
    }

    /// The same replays with other spreads.
    pub(super) fn with<'b>(&'b self, spreads: &'b Spreads) -> Replays<'b> {
        Replays {
            count: self.count,
            seed: self.seed,
            spreads,
            shaken: self.shaken.clone(),
            watch: self.watch,
            began: self.began,
        }
    }

    /// Looks up before a replay: tells now and then that it goes on.
    ///
    /// # Errors
    /// [`NoAnswer::Stopped`] if somebody asked to stop.
    pub(super) fn look_up(&self, replay: u32) -> Result<(), NoAnswer> {
        if self.watch.cancelled() {
            return Err(NoAnswer::Stopped(Stop::Cancelled));
        }
        if replay.is_multiple_of(QUIET) {
            (self.watch.progress)(Progress {
                seconds: self.began.elapsed().as_secs_f64(),
                best: None,
                bound: None,
            });
        }
        Ok(())
    }
}
