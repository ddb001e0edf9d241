//! A first setup and a first week from what a person knows.
//!
//! A bar knows its pots, kegs and nights; it cannot know how many watts its fridge has to spare or
//! how fast a keg takes up CO2. A draft takes the [`Answers`] to ten questions, fills in the rest
//! with what is usual, and says of each such value that it is [assumed](Assumption), between what
//! it lies and where it comes from. What comes out is a [`Scenario`] like any other.

mod answers;
mod assumed;
mod check;
mod cold;
mod crew;
mod drinks;
mod gas;
mod ice;
mod kegs;
mod names;
mod nights;
mod place;
mod pots;
mod routes;
mod shelf;
mod stock;
#[cfg(test)]
mod tests;

pub use answers::{
    Answers, ColdAnswer, DrinkAnswer, Fizz, FridgeKind, GasBoardAnswer, GasWay, IceSupplyAnswer,
    KegAnswer, KegsWanted, LabelRate, NightAnswer, Place, PotAnswer, RatedPower, ShiftAnswer,
};
pub use assumed::{Assumption, COMMON};
pub use shelf::{Template, shelf};

use chrono::{DateTime, Utc};
use model::GaugePressure;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::scenario::{Faults, KegType, Policy, Scenario, Setup};
use assumed::Notes;

/// The pressure of a purge where the board and the kegs allow it, in bar.
const PURGE_BAR: f64 = 2.0;

/// A first setup and a first week.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Draft {
    /// The site, its setup, what is taken to be there and what is wanted in the next seven days.
    pub scenario: Scenario,
    /// Everything in it that nobody told.
    pub assumed: Vec<Assumption>,
}

/// A first setup and a first week from what a person knows. The week begins at six in the morning of
/// the day after `now`, by the bar's clock.
///
/// # Errors
/// [`Faults`], every one of them, by the field of the answers it is about.
///
/// ```
/// # let answers = serde_json::json!({
/// #     "name": "Corner bar",
/// #     "place": { "time_zone": "Europe/Madrid" },
/// #     "pots": [{ "litres": 40.0, "kw": 3.0 }],
/// #     "cold": [{ "kind": "under_counter", "kegs": 8 }],
/// #     "kegs": [{ "litres": 19.0, "count": 10 }],
/// #     "gas": { "connections": 4, "highest_bar": 2.5 },
/// #     "ice": { "bag_kg": 20.0 },
/// #     "crew": [{ "days": ["wed", "thu", "fri"], "from": "10:00:00", "to": "16:00:00" }],
/// #     "drinks": [{ "name": "Plain soda", "fizz": "high" }],
/// #     "nights": [{ "days": ["fri", "sat"], "opens": "18:00:00", "kegs": 2.0 }],
/// # });
/// # let answers: scheduler::draft::Answers = serde_json::from_value(answers)?;
/// let now = "2026-06-01T09:00:00Z".parse()?;
/// let draft = scheduler::draft::draft(&answers, now)?;
/// assert!(draft.assumed.iter().any(|a| a.field == "setup.pots[0].efficiency"));
/// assert!(draft.scenario.check().is_ok());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn draft(answers: &Answers, now: DateTime<Utc>) -> Result<Draft, Faults> {
    let faults = check::answers(answers);
    if !faults.is_empty() {
        return Err(Faults(faults));
    }
    let way = gas::way(answers);
    let mut made = with(answers, way, now);
    if check::may_choose(answers, way) && !check::rests_reach(&made.scenario) {
        made = with(answers, GasWay::Shake, now);
    }
    let faults = check::pressures(answers, &made.scenario);
    if !faults.is_empty() {
        return Err(Faults(faults));
    }
    match made.scenario.clone().check() {
        Ok(_) => Ok(made),
        Err(Faults(faults)) => Err(Faults(faults.into_iter().map(check::of_answer).collect())),
    }
}

fn with(answers: &Answers, way: GasWay, now: DateTime<Utc>) -> Draft {
    let mut notes = Notes::default();
    let site = place::site(answers, &mut notes);
    let pots = pots::pots(answers, &mut notes);
    let cold_stores = cold::stores(answers, &mut notes);
    let keg_types = kegs::types(answers, &mut notes);
    let both = (&keg_types[..], &cold_stores[..]);
    let gas_stations = vec![gas::station(answers, way, both, &mut notes)];
    let both = (&pots[..], &cold_stores[..]);
    let setup = Setup {
        routes: routes::routes(answers, &site, both, &mut notes),
        circuits: Vec::new(),
        ice: ice::ice(answers, &mut notes),
        gas_stations,
        wash: crew::wash(&mut notes),
        crew: crew::crew(answers, &mut notes),
        products: drinks::products(answers, &mut notes),
        costs: crew::costs(&mut notes),
        cylinders: None,
        cylinder_room: None,
        materials: Vec::new(),
        quiet_hours: Vec::new(),
        outages: Vec::new(),
        pots,
        cold_stores,
        keg_types,
    };
    let policy = policy(answers, &setup, &mut notes);
    let horizon = nights::horizon(answers, now);
    let demand = nights::demand(answers, &horizon, &setup, &policy, &mut notes);
    let stock = stock::stock(answers, (&setup, &demand), &mut notes);
    let scenario = Scenario {
        site,
        setup,
        policy,
        horizon,
        stock,
        demand,
    };
    Draft {
        assumed: notes.read(&scenario),
        scenario,
    }
}

fn policy(answers: &Answers, setup: &Setup, notes: &mut Notes) -> Policy {
    notes.usual(
        "policy",
        "",
        "three purges, a tenth more agent than needed, 3 % lost in foam and lines",
    );
    Policy {
        gas_at_c: cold::gassed_at(&setup.cold_stores),
        purge_bar: purge(answers, &setup.keg_types),
        ..Policy::usual()
    }
}

fn purge(answers: &Answers, kegs: &[KegType]) -> GaugePressure {
    let bar = gas::highest(answers, kegs).bar().min(PURGE_BAR);
    GaugePressure::new(bar).unwrap_or(GaugePressure::of(PURGE_BAR))
}
