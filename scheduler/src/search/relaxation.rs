//! A program without its whole numbers.

use super::fallback_plan::out_of_time;
use super::{Limits, time_decomposition};
use crate::milp::{Formulation, NoSolution, Settings, Solved, Stop, WarmStart, Watch, solve};
use crate::network::Network;

/// The relaxation of a network's program, or what takes its place where there is no time for it: on
/// a horizon of many weeks, or where the limit comes first. Then it has no prices, and its bound is
/// what all that is wanted is worth.
///
/// # Errors
/// [`NoSolution`] if there is none, or somebody asked to stop.
pub fn relaxation(
    net: &Network,
    form: &Formulation,
    limits: Limits,
    watch: Watch<'_>,
) -> Result<Solved, NoSolution> {
    match time_decomposition::is_long(net, limits) {
        true => out_of_time(net, form, 0.0, watch),
        false => relaxed(net, form, limits.seconds, watch),
    }
}

/// Solves a program without its whole numbers. Where time is over first, what is known then.
pub(super) fn relaxed(
    net: &Network,
    form: &Formulation,
    seconds: f64,
    watch: Watch<'_>,
) -> Result<Solved, NoSolution> {
    if seconds <= 0.0 {
        return out_of_time(net, form, 0.0, watch);
    }
    let settings = Settings {
        seconds,
        ..Settings::default()
    };
    match solve(&form.program.relaxed(), settings, WarmStart::Nothing, watch) {
        Ok(solved) if solved.stopped.is_none() => Ok(solved),
        Ok(Solved {
            stopped: Some(Stop::Time),
            ..
        })
        | Err(NoSolution::Stopped(Stop::Time)) => out_of_time(net, form, seconds, watch),
        Ok(solved) => Err(NoSolution::Stopped(solved.stopped.unwrap_or(Stop::Other))),
        Err(error) => Err(error),
    }
}
