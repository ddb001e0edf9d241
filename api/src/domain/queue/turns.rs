//! Whose turn it is: sites take turns, then the callers of a site, then first come, first served
//! (fair queueing, as round robin over two levels).

use std::collections::{BTreeMap, BTreeSet};

/// A search that waits for a solver.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Waiting {
    /// Its id, as it is kept.
    pub(crate) key: String,
    pub(crate) site: String,
    /// Who asked; nothing where that is not known.
    pub(crate) caller: String,
    /// Processes that died while it was searched.
    pub(crate) deaths: i32,
}

/// When sites, and callers of sites, last had a turn: larger is later.
#[derive(Debug, Clone, Default)]
pub(crate) struct LastTurns {
    sites: BTreeMap<String, i64>,
    callers: BTreeMap<(String, String), i64>,
}

impl LastTurns {
    /// Notes the last turn of a caller of a site.
    pub(crate) fn note(&mut self, site: &str, caller: &str, turn: i64) {
        let of_site = self.sites.entry(site.to_owned()).or_insert(turn);
        *of_site = turn.max(*of_site);
        self.callers
            .insert((site.to_owned(), caller.to_owned()), turn);
    }

    /// A turn after all of these.
    #[cfg(test)]
    fn following(&self) -> i64 {
        self.sites.values().max().map_or(1, |last| last + 1)
    }

    fn of_site(&self, site: &str) -> i64 {
        self.sites.get(site).copied().unwrap_or(0)
    }

    fn of_caller(&self, waiting: &Waiting) -> i64 {
        let key = (waiting.site.clone(), waiting.caller.clone());
        self.callers.get(&key).copied().unwrap_or(0)
    }
}

/// The search whose turn it is. `waiting` is in the order of asking; of several with the same
/// claim, the one that was asked for first comes first.
pub(crate) fn next<'a>(waiting: &'a [Waiting], last: &LastTurns) -> Option<&'a Waiting> {
    let sites: BTreeSet<&str> = waiting.iter().map(|w| w.site.as_str()).collect();
    let first_of = |site: &str| waiting.iter().position(|w| w.site == site);
    let site = sites
        .into_iter()
        .min_by_key(|site| (last.of_site(site), first_of(site)))?;
    let of_site = waiting.iter().filter(|w| w.site == site);
    // `min_by_key` gives the first of those that are equal.
    of_site.min_by_key(|w| last.of_caller(w))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn waiting(key: &str, site: &str, caller: &str) -> Waiting {
        Waiting {
            key: key.to_owned(),
            site: site.to_owned(),
            caller: caller.to_owned(),
            deaths: 0,
        }
    }

    /// The order in which everything that waits is served.
    fn served(mut waiting: Vec<Waiting>) -> String {
        let mut last = LastTurns::default();
        let mut order = String::new();
        while let Some(found) = next(&waiting, &last).cloned() {
            last.note(&found.site, &found.caller, last.following());
            waiting.retain(|w| w.key != found.key);
            order.push_str(&found.key);
        }
        order
    }

    #[test]
    fn sites_take_turns_and_then_their_callers() {
        let many = vec![
            waiting("a", "one", "x"),
            waiting("b", "one", "x"),
            waiting("c", "one", "x"),
            waiting("d", "one", "y"),
            waiting("e", "two", "x"),
            waiting("f", "two", "z"),
        ];
        assert_eq!(served(many), "aedfbc");
    }

    #[test]
    fn one_caller_of_one_site_is_served_in_the_order_of_asking() {
        let many = ["a", "b", "c"].map(|key| waiting(key, "one", "x"));
        assert_eq!(served(many.to_vec()), "abc");
        assert_eq!(next(&[], &LastTurns::default()), None);
    }
}
