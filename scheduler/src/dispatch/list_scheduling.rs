//! A crew that walks through the horizon once and always does the next useful thing.

use super::Outcome;
use super::crew::Crew;
use super::inventory_profile::Ledger;
use super::rules::{Act, Rule};
use crate::network::ResourceId;

/// Less water than this is nothing to fill.
const NOTHING: f64 = 1e-6;

impl Crew<'_> {
    /// What comes of working by these rules, one for each point; none if something could not be
    /// put right.
    pub(super) fn work(&self, rules: &[Rule], counted: &[ResourceId]) -> Option<Outcome> {
        let last = self.soda.net.points() - 1;
        let mut ledger = Ledger::new(&self.soda.net, &self.soda.stages.within_time);
        for (t, rule) in rules.iter().enumerate() {
            self.settle(&mut ledger, t)?;
            if self.busy[t] {
                Step {
                    crew: self,
                    rule,
                    t,
                    last,
                }
                .act(&mut ledger);
            }
        }
        let kegs = counted.iter().map(|id| (*id, ledger.level(*id, last)));
        let cold = self.soda.stages.cold.iter().flatten();
        Some(Outcome {
            kegs: kegs.collect(),
            nearly: cold.map(|id| ledger.level(*id, last)).sum(),
            levels: ledger.levels(),
            starts: ledger.starts,
        })
    }

    /// Throws away what is past its time.
    fn settle(&self, ledger: &mut Ledger<'_>, t: usize) -> Option<()> {
        for (task, account) in &self.rids {
            let debt = ledger.debt(*account, t);
            if debt <= 0.0 {
                continue;
            }
            if self.soda.net.task(*task).size.is_some() {
                ledger.start(*task, t, debt);
            } else {
                while ledger.debt(*account, t) > 0.0 && ledger.start(*task, t, 0.0) {}
            }
        }
        let mut accounts = self.soda.stages.within_time.iter();
        accounts.all(|id| ledger.debt(*id, t) <= 0.0).then_some(())
    }
}

/// A crew at work in one step.
struct Step<'a> {
    crew: &'a Crew<'a>,
    rule: &'a Rule,
    t: usize,
    last: usize,
}

impl Step<'_> {
    fn act(&self, ledger: &mut Ledger<'_>) {
        for task in &self.crew.deliveries {
            let most = self.crew.soda.net.task(*task).size.map_or(0.0, |s| s.most);
            ledger.start(*task, self.t, most);
        }
        for act in self.rule.order {
            match act {
                Act::Fill => self.fill(ledger),
                Act::Gas => self.gas(ledger),
                Act::Boil => self.boil(ledger),
                Act::Wash => self.wash(ledger),
            }
        }
    }

    fn fill(&self, ledger: &mut Ledger<'_>) {
        let small_first = usize::from(self.rule.small_first);
        let last_store_first = usize::from(self.rule.last_store_first);
        let mut left = self.rule.pace;
        for n in &self.crew.fill_orders[small_first][last_store_first] {
            let fill = &self.crew.fills[*n];
            let water = self.crew.soda.stages.water[fill.route];
            while left > 0
                && self.t + fill.ready <= self.last
                && ledger.level(water, self.t) >= fill.litres - NOTHING
                && ledger.start(fill.task, self.t, 0.0)
            {
                left -= 1;
            }
        }
    }

    fn gas(&self, ledger: &mut Ledger<'_>) {
        let mut left = self.rule.pace;
        for n in &self.crew.gas_orders[usize::from(self.rule.slow_first)] {
            let gassing = &self.crew.gassings[*n];
            let cold = self.crew.soda.stages.cold[gassing.keg][gassing.store];
            while left > 0
                && self.t + gassing.ready <= self.last
                && ledger.level(cold, self.t) >= 1.0 - NOTHING
                && ledger.start(gassing.task, self.t, 0.0)
            {
                left -= 1;
            }
        }
    }

    fn wash(&self, ledger: &mut Ledger<'_>) {
        let mut left = self.rule.pace;
        for task in &self.crew.washes {
            while left > 0 && ledger.start(*task, self.t, 0.0) {
                left -= 1;
            }
        }
    }

    /// Boils what the empty kegs could take that no water is meant for yet.
    fn boil(&self, ledger: &mut Ledger<'_>) {
        let orders = &self.crew.boil_orders[usize::from(self.rule.fullest)];
        for n in &orders[self.rule.route % orders.len()] {
            let boil = &self.crew.boils[*n];
            let after = self.crew.after_boil[boil.route];
            if after.is_none_or(|after| self.t + boil.chilled + after > self.last) {
                continue;
            }
            let wanted = self.wanted(ledger);
            if wanted < boil.least {
                break;
            }
            ledger.start(boil.task, self.t, wanted.min(boil.most));
        }
    }

    /// Litres that empty kegs could take and no water is meant for yet.
    fn wanted(&self, ledger: &Ledger<'_>) -> f64 {
        let stages = &self.crew.soda.stages;
        let level = |id: ResourceId| ledger.level(id, self.last).max(0.0);
        let litres = |k: usize| {
            let fills = self.crew.fills.iter().filter(|f| f.keg == k);
            fills.map(|f| f.litres).fold(0.0, f64::max)
        };
        let empty = (0..stages.clean.len())
            .map(|k| (level(stages.clean[k]) + level(stages.dirty[k])) * litres(k));
        let water = stages.water.iter().map(|id| level(*id));
        empty.sum::<f64>() - water.sum::<f64>()
    }
}
