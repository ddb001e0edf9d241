//! Ways from the tap into a cold keg.

use model::{Temperature, atmosphere, water};

use super::answers::{Answers, FridgeKind};
use super::assumed::Notes;
use super::{ice, names};
use crate::scenario::quantities::StepMinutes;
use crate::scenario::{Chill, ColdStore, Pot, PotId, Route, Site, StoreId};

/// As hot as water is made where it does not boil earlier.
const HOT: f64 = 94.0;
/// How far below its boiling point it stays elsewhere.
const BELOW_BOILING: f64 = 1.0;
/// How warm kegs go into the fridge where ice does only half of the work.
const HALF: Temperature = Temperature::of(20.0);

/// Ice until it is cold enough to gas, ice for half the way, and nothing where a walk-in takes kegs
/// that are still hot.
pub(super) fn routes(
    answers: &Answers,
    site: &Site,
    (pots, stores): (&[Pot], &[ColdStore]),
    notes: &mut Notes,
) -> Vec<Route> {
    let heat_to_c = hot(site);
    let gas_at = super::cold::gassed_at(stores);
    let all = || stores.iter().map(|store| store.id.clone()).collect();
    let pots: Vec<PotId> = pots.iter().map(|pot| pot.id.clone()).collect();
    let route = |id: &str, name: &str, chill, stores: Vec<StoreId>| Route {
        id: names::known(id),
        name: name.to_owned(),
        heat_to_c,
        hold_min: StepMinutes::of(0.0),
        chill,
        pots: pots.clone(),
        stores,
    };
    let mut routes = Vec::new();
    if ice::any(answers) {
        let chill = Chill::IceInWater { to_c: gas_at };
        routes.push(route(
            "all-ice",
            "Ice in the water until cold",
            chill,
            all(),
        ));
        let chill = Chill::IceInWater { to_c: HALF };
        let name = "Some ice in the water, then the fridge";
        routes.push(route("half-ice", name, chill, all()));
    }
    let rooms = walk_ins(answers, stores);
    if !rooms.is_empty() && routes.is_empty() {
        routes.push(route(
            "no-ice",
            "Hot kegs into the walk-in",
            Chill::None,
            rooms,
        ));
    }
    notes.usual(
        "setup.routes",
        "",
        "water is heated just below its boiling point, held there for five minutes and chilled with \
         ice, so that fridges need not",
    );
    routes
}

fn walk_ins(answers: &Answers, stores: &[ColdStore]) -> Vec<StoreId> {
    let both = answers.cold.iter().zip(stores);
    both.filter(|(answer, _)| answer.kind == FridgeKind::WalkIn)
        .map(|(_, store)| store.id.clone())
        .collect()
}

/// How hot water is made here: it boils earlier the higher the bar lies.
fn hot(site: &Site) -> Temperature {
    let boiling = atmosphere::pressure_at(site.elevation_m).and_then(water::boiling_point);
    let below = boiling.map_or(HOT, |at| (at.celsius() - BELOW_BOILING).floor());
    Temperature::new(below.min(HOT)).unwrap_or(Temperature::of(HOT))
}
