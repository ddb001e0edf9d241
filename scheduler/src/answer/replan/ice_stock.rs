//! Ice in the bin at the present: what was made, less what the bar and the boils took.

use chrono::{DateTime, Duration, FixedOffset};

use super::execution_state::{Fate, Past};
use super::facts::Facts;
use crate::decode::Context;
use crate::plan::{BoilStep, IceStep, Plan, Step};
use crate::scenario::Weekday;
use crate::scenario::quantities::StockMass;

/// Kilograms of ice just before the new plan starts. Where it was measured, the ice made between
/// now and then is added.
pub(super) fn level(context: Context<'_>, past: &Past<'_>, facts: &Facts, happened: &Plan) -> f64 {
    let changes = changes(context, past, happened);
    follow(context, past.from, &changes, facts)
}

/// What comes (above zero) and goes at an instant, besides the machine's making.
type Change = (DateTime<FixedOffset>, f64);

fn changes(context: Context<'_>, past: &Past<'_>, happened: &Plan) -> Vec<Change> {
    let mut changes = bar_draws(context);
    let under_way = &context.scenario.stock.under_way;
    for boil in &under_way.boils {
        changes.extend(boil.chill_at.map(|at| (at, -boil.ice_kg.kilograms())));
    }
    changes.extend(
        under_way
            .ice_coming
            .iter()
            .map(|i| (i.at, i.kg.kilograms())),
    );
    for item in &happened.work {
        match item.step {
            Step::Boil(BoilStep {
                chill_at,
                ice_in_kg,
                ice_bath_kg,
                ..
            }) => {
                // A boil that failed before it was chilled took no ice.
                let taken = match past.fate(&item.id) {
                    Some(Fate::Failed(at)) => chill_at < *at,
                    _ => true,
                };
                if taken {
                    changes.push((chill_at, -(ice_in_kg + ice_bath_kg)));
                }
            }
            Step::Ice(IceStep { kg, .. }) => changes.push((item.start, kg)),
            _ => {}
        }
    }
    changes.sort_by_key(|(at, _)| *at);
    changes
}

fn bar_draws(context: Context<'_>) -> Vec<Change> {
    let mut draws = Vec::new();
    for draw in &context.scenario.setup.ice.bar_draw {
        let days = &draw.days;
        let at = context
            .timeline
            .daily(|day| days.contains(&Weekday::from(day)), draw.at);
        draws.extend(at.map(|at| (context.timeline.stamp(at), -draw.kg.kilograms())));
    }
    draws
}

/// Follows the bin minute by minute from the start of the plan before. What happens in the last minute is left to the new plan.
fn follow(
    context: Context<'_>,
    until: DateTime<FixedOffset>,
    changes: &[Change],
    facts: &Facts,
) -> f64 {
    let ice = &context.scenario.setup.ice;
    let made = ice.rate_kg_per_h.kilograms_per_hour() / 60.0;
    let mut kg = context.scenario.stock.ice_kg.kilograms();
    let size = ice.bin_kg.kilograms().max(kg);
    let start = context.scenario.horizon.start;
    let minutes = (until - start).num_minutes();
    for minute in 0..=minutes {
        let now = start + Duration::minutes(minute);
        if minute > 0 {
            kg = (kg + made).min(size);
        }
        if minute == minutes {
            let measured = facts.measured.ice_kg.filter(|_| facts.now >= until);
            kg = measured.map_or(kg, StockMass::kilograms);
            break;
        }
        let next = now + Duration::minutes(1);
        let here = changes.iter().filter(|(at, _)| now <= *at && *at < next);
        kg = (kg + here.map(|(_, change)| change).sum::<f64>()).clamp(0.0, size);
        if let Some(measured) = facts.measured.ice_kg
            && now <= facts.now
            && facts.now < next
        {
            kg = measured.kilograms();
        }
    }
    kg
}
