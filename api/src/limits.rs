//! How often somebody may ask.

use std::num::NonZeroU32;
use std::time::Duration;

use governor::clock::{Clock, DefaultClock};
use governor::middleware::StateInformationMiddleware;
use governor::state::keyed::DashMapStateStore;
use governor::{Quota, RateLimiter};

use crate::domain::Refusal;

type Limiter =
    RateLimiter<String, DashMapStateStore<String>, DefaultClock, StateInformationMiddleware>;

/// Tries to sign in under one name, in a minute.
const SIGN_INS: NonZeroU32 = NonZeroU32::new(10).unwrap();

/// Requests without a key that works, from one address, in a minute.
const STRANGERS: NonZeroU32 = NonZeroU32::new(300).unwrap();

/// How often somebody may ask. Each process counts for itself.
pub(crate) struct Limits {
    clock: DefaultClock,
    actors: Option<(NonZeroU32, Limiter)>,
    strangers: Limiter,
    sign_ins: Limiter,
}

/// What is left of a caller's quota.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Left {
    pub(crate) quota: u32,
    pub(crate) remaining: u32,
}

fn limiter(per_minute: NonZeroU32) -> Limiter {
    RateLimiter::keyed(Quota::per_minute(per_minute))
        .with_middleware::<StateInformationMiddleware>()
}

impl Limits {
    /// No limit for those who are known where `per_minute` is 0.
    pub(crate) fn new(per_minute: u32) -> Self {
        Self {
            clock: DefaultClock::default(),
            actors: NonZeroU32::new(per_minute).map(|quota| (quota, limiter(quota))),
            strangers: limiter(STRANGERS),
            sign_ins: limiter(SIGN_INS),
        }
    }

    /// Counts a request of somebody who is known.
    pub(crate) fn count(&self, actor: &str) -> Result<Option<Left>, Refusal> {
        let Some((quota, limiter)) = &self.actors else {
            return Ok(None);
        };
        let remaining = self.check(limiter, actor)?;
        Ok(Some(Left {
            quota: quota.get(),
            remaining,
        }))
    }

    /// Counts a request without a key that works.
    pub(crate) fn count_stranger(&self, address: &str) -> Result<(), Refusal> {
        self.check(&self.strangers, address).map(drop)
    }

    /// Counts a try to sign in.
    pub(crate) fn count_sign_in(&self, name: &str) -> Result<(), Refusal> {
        self.check(&self.sign_ins, &name.to_lowercase()).map(drop)
    }

    fn check(&self, limiter: &Limiter, who: &str) -> Result<u32, Refusal> {
        // Those who have not asked for a while are forgotten.
        if limiter.len() > 10_000 {
            limiter.retain_recent();
        }
        match limiter.check_key(&who.to_owned()) {
            Ok(state) => Ok(state.remaining_burst_capacity()),
            Err(until) => {
                let wait = until.wait_time_from(self.clock.now());
                Err(Refusal::TooMany {
                    seconds: (wait + Duration::from_millis(999)).as_secs().max(1),
                })
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_has_a_quota_of_their_own() {
        let limits = Limits::new(3);
        let remaining = |who| limits.count(who).map(|left| left.unwrap().remaining);
        assert_eq!(remaining("a").unwrap(), 2);
        assert_eq!(remaining("a").unwrap(), 1);
        assert_eq!(remaining("a").unwrap(), 0);
        let Err(Refusal::TooMany { seconds }) = remaining("a") else {
            panic!("a fourth is let through");
        };
        assert!((1..=20).contains(&seconds), "{seconds}");
        assert_eq!(remaining("b").unwrap(), 2);
        assert_eq!(Limits::new(0).count("a").unwrap(), None);
    }
}
