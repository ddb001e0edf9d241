//! Things that must be used within a time: water in a pot, gassed kegs, litres on tap.

use super::Builder;
use crate::network::{Resource, ResourceId, Task};

/// A stock that must be used within a time, oldest first.
///
/// Besides its level it keeps an account: what has left it, less what has passed its time. While
/// that account is not negative, enough has left for nothing to be too old.
#[derive(Debug, Clone, Copy)]
pub(super) struct Perishable {
    /// What is there.
    pub level: ResourceId,
    /// What has left, less what has passed its time.
    pub account: ResourceId,
}

impl Builder<'_> {
    /// What must be thrown away at once.
    pub(super) fn owed(&mut self, account: Resource) -> ResourceId {
        let account = self.resource(account);
        self.within_time.push(account);
        account
    }

    pub(super) fn perishable(&mut self, level: Resource) -> Perishable {
        let account = Resource::named(format!("{} within time", level.name));
        let perishable = Perishable {
            level: self.resource(level),
            account: self.resource(account),
        };
        self.within_time.push(perishable.account);
        perishable
    }
}

impl Perishable {
    /// Brings `amount` for each start at `offset`, good for `life` steps.
    pub(super) fn brought(self, task: Task, offset: usize, life: usize, amount: f64) -> Task {
        task.per_start(self.level, offset, amount)
            .per_start(self.account, offset + life, -amount)
    }

    /// The same for each unit of size.
    pub(super) fn brought_by_size(self, task: Task, offset: usize, life: usize) -> Task {
        task.per_size(self.level, offset, 1.0)
            .per_size(self.account, offset + life, -1.0)
    }

    /// Takes `amount` for each start, at the start.
    pub(super) fn taken(self, task: Task, amount: f64) -> Task {
        task.per_start(self.level, 0, -amount)
            .per_start(self.account, 0, amount)
    }

    /// Takes a unit for each unit of size, at the start.
    pub(super) fn taken_by_size(self, task: Task) -> Task {
        task.per_size(self.level, 0, -1.0)
            .per_size(self.account, 0, 1.0)
    }
}
