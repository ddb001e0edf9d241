//! What may be put into the queue, and by whom.

use scheduler::answer::estimate;
use scheduler::check::Checked;

use crate::domain::Refusal;
use crate::domain::plans::PlanRequest;

/// Bounds of what is searched in the background.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Bounds {
    /// Searches of one site that may be open, which is queued or running.
    pub(crate) open_per_site: u32,
    /// Searches of one caller that may be open.
    pub(crate) open_per_caller: u32,
    /// The longest time limit that may be asked for, in seconds.
    pub(crate) longest_time_limit_s: f64,
    /// Megabytes that one search may take, as estimated.
    pub(crate) largest_search_mb: u32,
}

/// Who asks for a search, and within which bounds.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Admission {
    pub(crate) bounds: Bounds,
    /// The caller as the queue knows it; none where the service itself asks.
    pub(crate) caller: Option<String>,
}

impl Bounds {
    /// Refuses a scenario whose search would take too much memory. It takes a while to tell.
    pub(crate) fn check_size(&self, scenario: &Checked) -> Result<(), Refusal> {
        let allowed = usize::try_from(self.largest_search_mb).unwrap_or(usize::MAX);
        let size = estimate(scenario)?;
        size.within(&scenario.horizon, allowed)
            .map_err(|large| Refusal::field("days", large.to_string()))
    }

    /// Refuses a time limit that is longer than the service allows.
    pub(crate) fn check(&self, request: &PlanRequest) -> Result<(), Refusal> {
        let Some(asked) = request.time_limit_s.map(|limit| limit.seconds()) else {
            return Ok(());
        };
        let longest = self.longest_time_limit_s;
        if asked <= longest {
            return Ok(());
        }
        let what = format!("{asked} s found; this service allows up to {longest} s");
        Err(Refusal::field("time_limit_s", what))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::plans::TimeLimit;

    #[test]
    fn a_time_limit_up_to_the_longest_is_allowed() {
        let bounds = Bounds {
            open_per_site: 1,
            open_per_caller: 1,
            longest_time_limit_s: 90.0,
            largest_search_mb: 1000,
        };
        let scenario = scheduler::sample::fixed();
        let asked = |seconds: Option<f64>| {
            let request = PlanRequest {
                start: scenario.horizon.start,
                days: 7,
                grid_minutes: scenario.horizon.grid_minutes,
                time_limit_s: seconds.map(|s| TimeLimit::new(s).unwrap()),
                gap: None,
            };
            bounds.check(&request)
        };
        assert!(asked(None).is_ok());
        assert!(asked(Some(90.0)).is_ok());
        let refused = asked(Some(90.5)).unwrap_err().to_string();
        assert!(refused.contains("time_limit_s"), "{refused}");
        assert!(refused.contains("90 s"), "{refused}");
    }
}
