//! Kegs by size: how large they are, what they weigh and what they take.

use std::f64::consts::PI;

use model::{GaugePressure, Temperature, limits};

use super::answers::{Answers, KegAnswer};
use super::assumed::Notes;
use super::names;
use crate::scenario::quantities::{
    ContainerVolume, OuterLength, PlacesPerContainer, StepMinutes, VesselMass,
};
use crate::scenario::{ContainerMaterial, KegType};

/// Inner volume and filling of a steel keg over what it is called by: 19.5 and 18.5 L for 19 L.
const KEG: (f64, f64) = (1.026, 0.974);
/// The same of a bottle.
const BOTTLE: (f64, f64) = (1.05, 0.97);
/// What a PET bottle for fizzy drinks is taken to stand, in bar.
const BOTTLE_RATING: GaugePressure = GaugePressure::of(5.0);
/// PET softens; colder water is filled into it.
const BOTTLE_HOTTEST: Temperature = Temperature::of(40.0);
/// Room of a crate over that of its bottles.
const CRATE: f64 = 1.5;

pub(super) fn types(answers: &Answers, notes: &mut Notes) -> Vec<KegType> {
    let mut taken = Vec::new();
    let kegs = answers.kegs.iter().enumerate();
    let first = answers.kegs.first();
    kegs.map(|(n, answer)| {
        note(answer, n, notes);
        let places = first.map_or(1.0, |first| places(answer, first));
        let places = PlacesPerContainer::new(places.clamp(0.05, 4.0));
        let made = match answer.bottles_per_crate {
            None => keg(answer, &mut taken),
            Some(bottles) => bottle(answer, bottles, &mut taken),
        };
        KegType {
            places: places.unwrap_or(PlacesPerContainer::of(1.0)),
            ..made
        }
    })
    .collect()
}

/// Places that one keg or bottle takes, where one of the kind that is told first takes one; a crate
/// of them, if that is bottles.
fn places(answer: &KegAnswer, first: &KegAnswer) -> f64 {
    let room = |keg: &KegAnswer| match keg.bottles_per_crate {
        None => keg.litres.litres(),
        Some(_) => keg.litres.litres() * CRATE,
    };
    let whole = room(first) * f64::from(first.bottles_per_crate.unwrap_or(1));
    room(answer) / whole
}

fn keg(answer: &KegAnswer, taken: &mut Vec<String>) -> KegType {
    let litres = answer.litres.litres();
    let name = format!("{} L steel keg", shown(litres));
    // Slim ones up to 25 L; those above are wider.
    let diameter = match litres {
        x if x <= 25.0 => 0.22,
        x if x <= 35.0 => 0.30,
        _ => 0.39,
    };
    let brim = litres * KEG.0;
    let height = brim / 1000.0 / (PI / 4.0 * diameter * diameter) + 0.05;
    KegType {
        id: names::id(&format!("keg {}", shown(litres)), "keg", taken),
        name,
        material: ContainerMaterial::Steel,
        brim_l: volume(brim),
        fill_l: volume(litres * KEG.1),
        empty_kg: VesselMass::new(1.8 + 0.125 * litres).unwrap_or(VesselMass::of(4.2)),
        diameter_m: length(diameter),
        height_m: length(height),
        rating_bar: steel_rating(),
        hottest_fill_c: Temperature::of(90.0),
        places: PlacesPerContainer::of(1.0),
        per_crate: None,
        fill_min: None,
    }
}

fn bottle(answer: &KegAnswer, bottles: u16, taken: &mut Vec<String>) -> KegType {
    let litres = answer.litres.litres();
    // As a bottle of one litre, larger and smaller alike.
    let scale = litres.cbrt();
    KegType {
        id: names::id(&format!("bottle {}", shown(litres)), "bottle", taken),
        name: format!("{} L PET bottle", shown(litres)),
        material: ContainerMaterial::Pet,
        brim_l: volume(litres * BOTTLE.0),
        fill_l: volume(litres * BOTTLE.1),
        empty_kg: VesselMass::new(0.05 * litres).unwrap_or(VesselMass::of(0.03)),
        diameter_m: length(0.085 * scale),
        height_m: length(0.28 * scale),
        rating_bar: BOTTLE_RATING,
        hottest_fill_c: BOTTLE_HOTTEST,
        places: PlacesPerContainer::of(0.1),
        per_crate: Some(bottles),
        fill_min: Some(StepMinutes::of(1.0)),
    }
}

fn note(answer: &KegAnswer, n: usize, notes: &mut Notes) {
    let field = |name: &str| format!("setup.keg_types[{n}].{name}");
    let crate_of = answer.bottles_per_crate.is_some();
    notes.usual(
        field("brim_l"),
        "±3 %",
        "weigh one full of water to the brim",
    );
    notes.usual(
        field("fill_l"),
        "±3 %",
        "a headspace is left, and room for the dip tube",
    );
    notes.usual(field("empty_kg"), "±30 %", "by size; put one on a scale");
    notes.usual(field("diameter_m"), "±15 %", "by size");
    notes.usual(field("height_m"), "±15 %", "by size");
    if crate_of {
        notes.usual(
            field("rating_bar"),
            "",
            "bottles made for fizzy drinks only; what is marked on yours goes first",
        );
        notes.usual(
            field("fill_min"),
            "0.5 to 3 min",
            "one bottle filled and capped",
        );
    } else {
        let rating = limits::STEEL_KEG_RATING;
        notes.from(
            rating.source,
            (field("rating_bar"), "4 to 9 bar"),
            "the stamp on yours goes first: read it and put it here",
        );
    }
    notes.usual(
        field("hottest_fill_c"),
        "",
        if crate_of {
            "PET softens when it is hot; what is marked on yours goes first"
        } else {
            "steel; mind the seals"
        },
    );
    notes.usual(
        field("places"),
        "",
        "by size, beside the kegs that were told first",
    );
}

fn steel_rating() -> GaugePressure {
    let stamped = GaugePressure::from_psi(limits::STEEL_KEG_RATING.value);
    // Shown in tenths, downwards.
    let tenths = stamped.map(|bar| (bar.bar() * 10.0).floor() / 10.0);
    tenths
        .and_then(GaugePressure::new)
        .unwrap_or(GaugePressure::of(8.9))
}

fn volume(litres: f64) -> ContainerVolume {
    let tenths = (litres * 100.0).round() / 100.0;
    ContainerVolume::new(tenths.clamp(0.5, 100.0)).unwrap_or(ContainerVolume::of(19.0))
}

fn length(metres: f64) -> OuterLength {
    let centimetres = (metres * 1000.0).round() / 1000.0;
    OuterLength::new(centimetres.clamp(0.03, 2.0)).unwrap_or(OuterLength::of(0.3))
}

/// Litres without a tail of zeros.
fn shown(litres: f64) -> String {
    format!("{}", (litres * 100.0).round() / 100.0)
}
