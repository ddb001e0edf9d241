//! What is around the work: ice for the bar, services, and what is on hand.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};

use super::floor::{Phase, ReadyKeg, What};
use super::layout::Layout;
use crate::plan::{Step, TapStep};
use crate::recipe::NoRecipe;
use crate::scenario::{DemandKind, Weekday};

/// Lines of demand due at a service, and kegs planned to be tapped for it: type and number.
type Due = (Vec<usize>, Vec<(usize, usize)>);

impl Layout<'_> {
    pub(super) fn bar_draws(&self, phases: &mut Vec<Phase>) {
        let timeline = self.context.timeline;
        for draw in &self.context.scenario.setup.ice.bar_draw {
            let days = &draw.days;
            for at in timeline.daily(|day| days.contains(&Weekday::from(day)), draw.at) {
                let at = (at - timeline.start()).num_seconds() as f64 / 60.0;
                if at >= 0.0 && at < self.minute(self.plan.end) {
                    phases.push(Phase {
                        at,
                        what: What::Draw {
                            kg: draw.kg.kilograms(),
                        },
                    });
                }
            }
        }
        for coming in &self.context.scenario.stock.under_way.ice_coming {
            let kg = coming.kg.kilograms();
            phases.push(Phase {
                at: self.minute(coming.at),
                what: What::Deliver { kg },
            });
        }
        for boil in &self.context.scenario.stock.under_way.boils {
            if let Some(at) = boil.chill_at {
                let kg = boil.ice_kg.kilograms();
                phases.push(Phase {
                    at: self.minute(at),
                    what: What::Draw { kg },
                });
            }
        }
    }

    /// Services by product and step, with the lines due then and the kegs planned to be tapped.
    pub(super) fn services(&self, phases: &mut Vec<Phase>) -> Result<(), NoRecipe> {
        let scenario = self.context.scenario;
        let mut services: BTreeMap<(usize, usize), Due> = BTreeMap::new();
        let step =
            |at: DateTime<FixedOffset>| self.context.timeline.step_of(at.to_utc()).unwrap_or(0);
        for (n, line) in scenario.demand.iter().enumerate() {
            let service = services
                .entry((step(line.due), self.product(&line.product)?))
                .or_default();
            service.0.push(n);
        }
        for item in &self.plan.work {
            if let Step::Tap(TapStep {
                product,
                keg_type,
                kegs,
                ..
            }) = &item.step
            {
                let service = services
                    .entry((step(item.start), self.product(product)?))
                    .or_default();
                service.1.push((self.keg(keg_type)?, *kegs as usize));
            }
        }
        let grid = self.context.timeline.step_minutes();
        for ((step, product), (mut lines, taps)) in services {
            // Who is served first: by priority, bookings before forecasts.
            lines.sort_by_key(|n| {
                let line = &scenario.demand[*n];
                (line.priority, line.kind == DemandKind::Forecast, *n)
            });
            phases.push(Phase {
                at: step as f64 * grid,
                what: What::Serve {
                    product,
                    lines,
                    taps,
                },
            });
        }
        Ok(())
    }

    pub(super) fn clean(&self) -> Vec<Vec<f64>> {
        let (setup, stock) = (&self.context.scenario.setup, &self.context.scenario.stock);
        let types = setup.keg_types.iter();
        types
            .map(|keg| {
                let empty = stock.empty.iter().filter(|e| e.keg_type == keg.id);
                let now: usize = empty.map(|e| usize::from(e.clean)).sum();
                let mut clean = vec![0.0; now];
                for wash in stock
                    .under_way
                    .washing
                    .iter()
                    .filter(|w| w.keg_type == keg.id)
                {
                    let until = self.minute(wash.until);
                    clean.extend((0..wash.kegs).map(|_| until));
                }
                clean
            })
            .collect()
    }

    pub(super) fn ready(&self) -> Result<Vec<Vec<ReadyKeg>>, NoRecipe> {
        let (setup, stock) = (&self.context.scenario.setup, &self.context.scenario.stock);
        let mut ready = vec![Vec::new(); setup.products.len()];
        let standing = stock
            .ready
            .iter()
            .map(|r| (&r.product, &r.keg_type, r.kegs, r.gassed_at));
        let gassing = stock.under_way.gassing.iter();
        let gassing = gassing.map(|g| (&g.product, &g.keg_type, g.kegs, g.ready_at));
        for (product, keg, kegs, at) in standing.chain(gassing) {
            let (p, keg, at) = (self.product(product)?, self.keg(keg)?, self.minute(at));
            let good = at + setup.products[p].shelf_days.days() * 1440.0;
            ready[p].extend((0..kegs).map(|_| ReadyKeg { at, keg, good }));
        }
        Ok(ready)
    }

    pub(super) fn on_tap(&self) -> Result<Vec<Vec<(f64, f64)>>, NoRecipe> {
        let setup = &self.context.scenario.setup;
        let mut on_tap = vec![Vec::new(); setup.products.len()];
        for open in &self.context.scenario.stock.on_tap {
            let p = self.product(&open.product)?;
            let life = setup.products[p].on_tap_h.hours() * 60.0;
            on_tap[p].push((open.litres.litres(), self.minute(open.tapped_at) + life));
        }
        Ok(on_tap)
    }
}
