//! Where: the facts of the place.

use model::{ChlorineResidual, Elevation, Temperature};

use super::answers::Answers;
use super::assumed::Notes;
use super::names;
use crate::scenario::{Site, TapWater};

pub(super) fn site(answers: &Answers, notes: &mut Notes) -> Site {
    let place = &answers.place;
    if place.elevation_m.is_none() {
        notes.usual(
            "site.elevation_m",
            "0 to 500 m",
            "not far above the sea; water boils 0.3 °C lower for each 100 m",
        );
    }
    notes.usual("site.room_c", "18 to 28 °C", "a kitchen");
    if place.tap_c.is_none() {
        notes.usual(
            "site.water.temperature_c",
            "8 to 22 °C",
            "it changes with the seasons; hold a thermometer into it",
        );
    }
    notes.usual(
        "site.water.total_chlorine_mg_per_l",
        "0 to 1 mg/L",
        "the waterworks tells it, or a test strip for chlorine and chloramine",
    );
    if place.currency.is_none() {
        notes.usual("site.currency", "", "money is only compared with money");
    }
    Site {
        id: names::id(&answers.name, "bar", &mut Vec::new()),
        name: answers.name.trim().to_owned(),
        time_zone: place.time_zone,
        elevation_m: place.elevation_m.unwrap_or(Elevation::of(100.0)),
        room_c: Temperature::of(22.0),
        water: TapWater {
            temperature_c: place.tap_c.unwrap_or(Temperature::of(15.0)),
            total_chlorine_mg_per_l: ChlorineResidual::of(0.5),
        },
        currency: place.currency.clone().unwrap_or("EUR".to_owned()),
    }
}
