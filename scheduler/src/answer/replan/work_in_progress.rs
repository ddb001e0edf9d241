//! Work that was under way already when the published plan started, and still is.

use chrono::Duration;

use super::execution_state::Past;
use super::facts::{Event, Facts};
use super::initial_state::batch;
use super::water;
use crate::decode::Context;
use crate::scenario::quantities::{StepMinutes, StockMass};
use crate::scenario::{BoilUnderWay, PotOutOfUse, UnderWay};

pub(super) fn of(context: Context<'_>, past: &Past<'_>, facts: &Facts) -> UnderWay {
    let before = &context.scenario.stock.under_way;
    let mut now = UnderWay::default();
    let gone = (past.from - context.scenario.horizon.start).num_minutes() as f64;
    let left =
        |needs: StepMinutes| StepMinutes::new((needs.minutes() - gone).max(0.0)).unwrap_or(needs);
    for boil in &before.boils {
        boil_goes_on(context, past, facts, boil, &mut now);
    }
    for gas in before.gassing.iter().filter(|g| g.ready_at >= past.from) {
        let mut gas = gas.clone();
        gas.hands_min = left(gas.hands_min);
        now.gassing.push(gas);
    }
    for wash in before.washing.iter().filter(|w| w.until > past.from) {
        let mut wash = wash.clone();
        wash.hands_min = left(wash.hands_min);
        now.washing.push(wash);
    }
    let coming = before.ice_coming.iter().filter(|i| i.at >= past.from);
    now.ice_coming.extend(coming.cloned());
    let out = before.out_of_use.iter().filter(|p| p.until > past.from);
    now.out_of_use.extend(out.cloned());
    now
}

fn boil_goes_on(
    context: Context<'_>,
    past: &Past<'_>,
    facts: &Facts,
    boil: &BoilUnderWay,
    now: &mut UnderWay,
) {
    let mut boil = boil.clone();
    for event in facts.events.iter().filter(|e| *e.item() == boil.item) {
        match event {
            Event::Late { minutes, .. } => {
                let late = Duration::minutes(i64::from(*minutes));
                boil.chill_at = boil.chill_at.map(|at| at + late);
                boil.fill_from += late;
                boil.until += late;
            }
            Event::Failed { out_until, .. } => {
                let out = out_until.filter(|until| *until > past.from);
                now.out_of_use.extend(out.map(|until| PotOutOfUse {
                    pot: boil.pot.clone(),
                    until,
                }));
                return;
            }
            Event::Finished { .. } | Event::Skipped { .. } => return,
            Event::Started { .. } => {}
        }
    }
    if boil.until <= past.from {
        return;
    }
    let gone = (past.from - context.scenario.horizon.start).num_minutes() as f64;
    let hands = (boil.hands_min.minutes() - gone).max(0.0);
    boil.hands_min = StepMinutes::new(hands).unwrap_or(boil.hands_min);
    boil.litres = batch(
        water::left(past, &context.scenario.stock.under_way)
            .get(&boil.item)
            .copied(),
    );
    boil.chill_at = boil.chill_at.filter(|at| *at >= past.from);
    if boil.chill_at.is_none() {
        boil.ice_kg = StockMass::of(0.0);
    }
    boil.fill_from = boil.fill_from.max(past.from);
    now.boils.push(boil);
}
