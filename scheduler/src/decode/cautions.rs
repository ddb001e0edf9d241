//! The usual cautions for a step. They defer to the vessel's stamp, local code and licensed
//! practice.

use crate::check;
use crate::plan::{BoilStep, Caution, CautionKind, FillStep, GasStep, Step, TapStep};
use crate::scenario::{KegTypeId, ProductId, Scenario, StoreId};

/// Water hotter than this scalds in seconds (common practice, no source).
const SCALDING_C: f64 = 50.0;

pub(super) fn of(scenario: &Scenario, step: &Step) -> Vec<Caution> {
    let mut cautions = usual(scenario, step);
    cautions.extend(dangers(scenario, step));
    cautions
}

/// What the setup makes dangerous about a step.
fn dangers(scenario: &Scenario, step: &Step) -> Vec<Caution> {
    let setup = &scenario.setup;
    let found = match step {
        Step::Boil(_) => vec![check::chlorine(scenario)],
        Step::Fill(FillStep { store, .. }) => {
            let store = setup.cold_stores.iter().find(|s| s.id == *store);
            vec![store.and_then(check::freezing)]
        }
        Step::Gas(GasStep {
            product,
            keg_type,
            store,
            ..
        }) => {
            let keg = setup.keg_types.iter().find(|k| k.id == *keg_type);
            vec![
                keg.and_then(check::rating),
                check::warm_gassing(scenario),
                check::room(scenario),
                sealed(scenario, (product, keg_type, store)),
            ]
        }
        Step::Tap(TapStep {
            product,
            keg_type,
            store,
            ..
        }) => vec![sealed(scenario, (product, keg_type, store))],
        Step::Cylinder(_) => vec![check::room(scenario)],
        _ => Vec::new(),
    };
    found.into_iter().flatten().collect()
}

/// A sealed keg of a product out of a store, left to warm.
fn sealed(
    scenario: &Scenario,
    (product, keg, store): (&ProductId, &KegTypeId, &StoreId),
) -> Option<Caution> {
    let setup = &scenario.setup;
    let product = setup.products.iter().find(|p| p.id == *product)?;
    let keg = setup.keg_types.iter().find(|k| k.id == *keg)?;
    let store = setup.cold_stores.iter().find(|s| s.id == *store)?;
    check::left_to_warm(scenario, (product, keg, store))
}

fn usual(scenario: &Scenario, step: &Step) -> Vec<Caution> {
    match step {
        Step::Boil(BoilStep {
            ice_in_kg,
            ice_bath_kg,
            ..
        }) => boil(scenario, *ice_in_kg > 0.0, *ice_bath_kg > 0.0),
        Step::Fill(step) => fill(step),
        Step::Gas(GasStep { regulator_bar, .. }) => gas(*regulator_bar),
        Step::Cylinder(_) => cylinder(),
        Step::Tap(_) => vec![say(
            CautionKind::Pressure,
            "Keep kegs cold until they are tapped: a sealed keg that warms up gains pressure. \
             Vent before opening a lid.",
        )],
        _ => Vec::new(),
    }
}

fn fill(step: &FillStep) -> Vec<Caution> {
    let mut cautions = Vec::new();
    if step.at_c > SCALDING_C {
        cautions.push(say(
            CautionKind::HotWater,
            "Hot filling: wear gloves and a face shield, mark the keg HOT, and put CO2 on before \
             it cools, or its lid draws in air.",
        ));
    }
    if let Some(blanket) = &step.blanket {
        cautions.extend(gas(blanket.purge_bar.max(blanket.bar)));
    }
    cautions
}

fn boil(scenario: &Scenario, ice_in: bool, bath: bool) -> Vec<Caution> {
    let mut cautions = vec![
        say(
            CautionKind::HotWater,
            "Scalding water: move no full pot, keep the lid on, keep clear of the steam.",
        ),
        say(
            CautionKind::Backflow,
            "Fill through an air gap or a backflow preventer, with no copper or brass after it.",
        ),
    ];
    if ice_in {
        cautions.push(say(
            CautionKind::Food,
            "Ice becomes part of the drink: only ice made from drinking water, scooped with a \
             clean scoop.",
        ));
        if !scenario.setup.ice.from_treated_water {
            cautions.push(say(
                CautionKind::Food,
                "This ice is made from untreated water and brings its chlorine along; the dose \
                 covers it. Test the mix with a strip.",
            ));
        }
    }
    if bath {
        cautions.push(say(
            CautionKind::Food,
            "Bath ice has touched the outside of the pot: throw it away, never use it in drinks.",
        ));
    }
    cautions
}

fn gas(regulator_bar: f64) -> Vec<Caution> {
    vec![
        say(
            CautionKind::Pressure,
            &format!(
                "{regulator_bar} bar: check the keg's stamp, its relief valve and its lid first; \
                 never exceed the stamp."
            ),
        ),
        say(
            CautionKind::CarbonDioxide,
            "CO2 is heavier than air and smothers: ventilate, heed the CO2 alarm, and do not stay \
             in a cold room where gas hisses.",
        ),
    ]
}

fn cylinder() -> Vec<Caution> {
    vec![
        say(
            CautionKind::Pressure,
            "Close the valve and vent the line before uncoupling; keep cylinders upright and \
             chained; check the new joint with soapy water.",
        ),
        say(
            CautionKind::CarbonDioxide,
            "A leaking cylinder can fill a cellar with CO2: ventilate and heed the CO2 alarm.",
        ),
    ]
}

fn say(kind: CautionKind, text: &str) -> Caution {
    Caution {
        kind,
        text: text.to_owned(),
    }
}
