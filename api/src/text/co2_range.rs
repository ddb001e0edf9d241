//! How far the CO2 of a gassed keg may be off, by the model's error budget.

use model::kinetics::StillKeg;
use model::uncertainty::{Budget, HeldKeg, RestedKeg};
use model::{Area, GaugePressure, TimeSpan, Volume, atmosphere};
use scheduler::plan::GasStep;
use scheduler::scenario::{GasMethod, Scenario};

/// Lowest and highest content of 19 kegs out of 20, g/L; nothing where the physics does not reach.
pub(crate) fn of(scenario: &Scenario, step: &GasStep) -> Option<[f64; 2]> {
    let budget = budget(scenario, step)?;
    let target = step.target_g_per_l;
    let part = |off: f64| target * off / budget.value;
    let (down, up) = (part(budget.down()), part(budget.up()));
    let known = budget.value > 0.0 && (down + up).is_finite();
    known.then(|| [(target - down).max(0.0), target + up])
}

fn budget(scenario: &Scenario, step: &GasStep) -> Option<Budget> {
    let setup = &scenario.setup;
    let product = setup.products.iter().find(|p| p.id == step.product)?;
    let keg = setup.keg_types.iter().find(|k| k.id == step.keg_type)?;
    let store = setup.cold_stores.iter().find(|s| s.id == step.store)?;
    let station = setup.gas_stations.iter().find(|s| s.id == step.station)?;
    let gas = |bar: f64| {
        Some(HeldKeg {
            temperature: store.air_c,
            held: GaugePressure::new(bar).ok()?,
            sugar: product.sugar_brix,
            atmosphere: atmosphere::pressure_at(scenario.site.elevation_m).ok()?,
        })
    };
    let found = match station.method {
        GasMethod::Rest { .. } => {
            let width = keg.diameter_m.metres();
            let rested = RestedKeg {
                gas: gas(step.regulator_bar)?,
                keg: StillKeg {
                    liquid: Volume::new(keg.fill_l.litres()).ok()?,
                    surface: Area::new(std::f64::consts::PI / 4.0 * width * width).ok()?,
                    temperature: store.air_c,
                },
                time: TimeSpan::from_hours(step.uptake_min / 60.0).ok()?,
            };
            rested.budget()
        }
        GasMethod::Shaken { .. } => gas(step.hold_bar)?.budget(),
    };
    found.ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use scheduler::plan::{Plan, Step};

    fn gassing() -> GasStep {
        let plan: Plan = serde_json::from_str(include_str!("sample_plan.json")).unwrap();
        let mut steps = plan.work.into_iter().map(|item| item.step);
        let found = steps.find_map(|step| match step {
            Step::Gas(gas) => Some(gas),
            _ => None,
        });
        found.unwrap()
    }

    #[test]
    fn a_rest_is_less_sure_than_a_shake() {
        let (scenario, step) = (scheduler::sample::fixed(), gassing());
        let rested = of(&scenario, &step).unwrap();
        let mut shaken = scenario.clone();
        let station = shaken.setup.gas_stations.iter_mut();
        for station in station.filter(|s| s.id == step.station) {
            station.method = GasMethod::Shaken {
                kla_per_s: model::MassTransfer::of(0.006),
            };
        }
        let surer = of(&shaken, &step).unwrap();
        let width = |[low, high]: [f64; 2]| high - low;
        assert!(width(rested) > 2.0 * width(surer), "{rested:?} {surer:?}");
        for [low, high] in [rested, surer] {
            assert!(low < step.target_g_per_l && step.target_g_per_l < high);
        }
    }
}
