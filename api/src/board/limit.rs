//! What limits a plan or a capacity, in the words of a site.

use scheduler::plan::Reason;
use scheduler::scenario::Setup;

use super::called::in_words;
use crate::text::limits;
use crate::text::units::Units;

/// Said where nothing is known to limit.
pub(super) const NOTHING_HELPS: &str = "No one thing more was found to help.";

/// What limits, and what one more would bring.
pub(super) struct Limit {
    pub(super) resource: String,
    pub(super) one_more: String,
    pub(super) brings: String,
    /// When it binds; empty where that is not known.
    pub(super) when: String,
}

impl Limit {
    pub(super) fn told(setup: &Setup, units: Units, why: &Reason) -> Self {
        Self {
            resource: in_words(setup, &why.resource),
            one_more: in_words(setup, &why.one_more),
            brings: limits::brings(why, units),
            when: limits::when(&why.binds, units).unwrap_or_default(),
        }
    }
}
