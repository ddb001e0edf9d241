//! What becomes of a search whose process died while it was going on.
//!
//! A death of the whole process tells little about one search: it may have been killed from
//! outside, or by another search. So a death counts against nobody at first. A search that a few
//! processes in a row have died with is a *suspect*: it goes back into the queue like any other,
//! but it is searched alone, so that no innocent dies with the guilty, and only by a process that
//! has lived for a while without it, twice as long each time. A process that is killed every few
//! seconds by somebody else never gets that far, so it clears nobody and condemns nobody; one that
//! lives well until the suspect is taken up condemns it in the end.

use std::time::Duration;

/// From so many deaths on a search is a suspect.
const SUSPECT: i32 = 3;

/// After so many deaths a search is not tried again. By then processes have lived well without it
/// for half a minute, a minute, two, four and eight, and died with it each time.
pub(crate) const GIVE_UP: i32 = 12;

/// Whether a search is searched alone.
pub(crate) fn is_suspect(deaths: i32) -> bool {
    deaths >= SUSPECT
}

/// How long a process must have lived before it takes up a search that others died with.
pub(crate) fn probation(deaths: i32) -> Duration {
    let doublings = u32::try_from(deaths - SUSPECT).ok();
    doublings.map_or(Duration::ZERO, |n| Duration::from_secs(1 << n.min(9)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_few_deaths_count_against_nobody_and_more_make_it_wait_longer() {
        for deaths in 0..SUSPECT {
            assert!(!is_suspect(deaths));
            assert_eq!(probation(deaths), Duration::ZERO);
        }
        assert!(is_suspect(SUSPECT));
        assert_eq!(probation(SUSPECT), Duration::from_secs(1));
        assert_eq!(probation(SUSPECT + 4), Duration::from_secs(16));
        assert_eq!(probation(i32::MAX), Duration::from_secs(512));
    }

    /// A process that is killed every few seconds, whatever it does, condemns nobody.
    #[test]
    fn no_search_is_given_up_where_every_process_is_short_lived() {
        let lives = Duration::from_millis(4500);
        let mut deaths = 0;
        for _ in 0..1000 {
            if probation(deaths) < lives {
                deaths += 1;
            }
        }
        assert!(deaths < GIVE_UP, "{deaths}");
    }

    /// One that kills whoever takes it up is given up within half an hour of service.
    #[test]
    fn a_search_that_kills_is_given_up() {
        let lived: Duration = (0..GIVE_UP).map(probation).sum();
        assert!(lived < Duration::from_secs(1800), "{lived:?}");
    }
}
