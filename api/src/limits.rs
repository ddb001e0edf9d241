//! How often somebody may ask.

use std::num::NonZeroU32;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Duration;

use governor::clock::{Clock, DefaultClock};
use governor::middleware::StateInformationMiddleware;
use governor::state::keyed::DashMapStateStore;
use governor::{Quota, RateLimiter};

use crate::domain::Refusal;
use crate::domain::access::{Familiar, hash};

type Limiter =
    RateLimiter<String, DashMapStateStore<String>, DefaultClock, StateInformationMiddleware>;

/// Tries to sign in under one name from one address or with one known browser, in a minute.
const SIGN_INS: NonZeroU32 = NonZeroU32::new(10).unwrap();

/// Tries to sign in under one name from all addresses nobody of that name ever signed in from, in a
/// minute: guesses that come from everywhere.
const SIGN_INS_FROM_ELSEWHERE: NonZeroU32 = NonZeroU32::new(30).unwrap();

/// Tries to sign in from one address under whatever names, in a minute.
const SIGN_INS_THERE: NonZeroU32 = NonZeroU32::new(60).unwrap();

/// Checks between two looks at whether there are callers to be forgotten.
const BETWEEN_LOOKS: u32 = 1024;

/// Callers that may be remembered before those who have not asked for a while are forgotten.
const REMEMBERED: usize = 10_000;

/// Requests without a key that works, from one address, in a minute.
const STRANGERS: NonZeroU32 = NonZeroU32::new(300).unwrap();

/// How often somebody may ask. Each process counts for itself.
pub(crate) struct Limits {
    clock: DefaultClock,
    actors: Option<(NonZeroU32, Limiter)>,
    strangers: Limiter,
    sign_ins: SignIns,
    /// Checks so far.
    checks: AtomicU32,
}

/// Tries to sign in, counted by what they have in common.
struct SignIns {
    name_and_address: Limiter,
    name: Limiter,
    address: Limiter,
    device: Limiter,
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
            sign_ins: SignIns {
                name_and_address: limiter(SIGN_INS),
                name: limiter(SIGN_INS_FROM_ELSEWHERE),
                address: limiter(SIGN_INS_THERE),
                device: limiter(SIGN_INS),
            },
            checks: AtomicU32::new(0),
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

    /// Counts a try to sign in from an address, whoever it is. A known browser is not counted here.
    pub(crate) fn count_sign_in_there(&self, address: &str) -> Result<(), Refusal> {
        self.check(&self.sign_ins.address, address).map(drop)
    }

    /// Counts a try to sign in under a name.
    ///
    /// Who guesses somebody's password from elsewhere uses up what there is for elsewhere, and not
    /// what that person has where they signed in before.
    pub(crate) fn count_sign_in(
        &self,
        name: &str,
        address: &str,
        familiar: &Familiar,
    ) -> Result<(), Refusal> {
        let name = name.to_lowercase();
        // Names are made up by whoever asks, and may be long.
        let both = hash(&[name.as_bytes(), address.as_bytes()]);
        match familiar {
            Familiar::Device(id) => {
                let device = hash(&[name.as_bytes(), id.as_bytes()]);
                self.check(&self.sign_ins.device, &device).map(drop)
            }
            Familiar::Address => self.check(&self.sign_ins.name_and_address, &both).map(drop),
            Familiar::No => {
                self.check(&self.sign_ins.name_and_address, &both)?;
                let name = hash(&[name.as_bytes()]);
                self.check(&self.sign_ins.name, &name).map(drop)
            }
        }
    }

    fn check(&self, limiter: &Limiter, who: &str) -> Result<u32, Refusal> {
        // Those who have not asked for a while are forgotten.
        let checks = self.checks.fetch_add(1, Ordering::Relaxed);
        let looks = checks.is_multiple_of(BETWEEN_LOOKS);
        if looks && limiter.len() > REMEMBERED {
            limiter.retain_recent();
            limiter.shrink_to_fit();
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

    #[test]
    fn guesses_from_elsewhere_do_not_lock_out_whoever_signed_in_before() {
        let limits = Limits::new(0);
        let no = |address: &str| limits.count_sign_in("Ines", address, &Familiar::No);
        for _ in 0..10 {
            no("a").unwrap();
        }
        assert!(matches!(no("a"), Err(Refusal::TooMany { .. })));
        for address in ["b", "c"] {
            for _ in 0..10 {
                no(address).unwrap();
            }
        }
        assert!(no("d").is_err(), "guesses from everywhere have an end");
        let known = |familiar: &Familiar| limits.count_sign_in("ines", "e", familiar);
        known(&Familiar::Address).unwrap();
        known(&Familiar::Device("x".to_owned())).unwrap();
        limits.count_sign_in("Ida", "a", &Familiar::No).unwrap();
    }

    #[test]
    fn tries_under_made_up_names_are_counted_by_address() {
        let limits = Limits::new(0);
        let tries = (0..70).map(|_| limits.count_sign_in_there("a"));
        assert_eq!(tries.filter(Result::is_ok).count(), 60);
        limits.count_sign_in_there("b").unwrap();
    }
}
