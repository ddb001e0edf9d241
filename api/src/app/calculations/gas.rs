//! Where the CO2 of a cylinder goes.

use model::about::{CO2_GAS, CO2_IN_WATER, DRAW_OFF, WEIGHING};
use model::gas_budget::{self, Cylinder, GassedKeg};
use model::inputs::{
    Barometer, CylinderConductance, CylinderTemperature, CylinderWeight, DrinkTemperature,
    GasPerKeg, GasTemperature, PurgeCount, RegulatorPressure, RoomTemperature, VesselRating,
    VesselVolume,
};
use model::limits::{CYLINDER_GAUGE, GAS_RELEASE};
use model::{Elevation, GaugePressure, SugarContent};
use serde::Serialize;
use utoipa::ToSchema;

use super::calculation::{Calculate, Calculated, Card};
use super::inputs::inputs;
use super::minding;
use super::refused::Refused;
use super::values::{
    AbsolutePressureValue, ConductanceValue, ElevationValue, GaugePressureValue, MassFlowValue,
    MassValue, Shown, SugarValue, TemperatureValue, VolumeValue,
};

inputs! {
    /// A keg to be gassed and poured.
    KegBudgetInputs => KegBudgetEcho at site {
        required {
            /// Temperature of keg and drink.
            temperature_c: DrinkTemperature => temperature: TemperatureValue,
            /// Pressure it is carbonated and poured at.
            pressure_bar: RegulatorPressure => pressure: GaugePressureValue,
        }
        defaulted {
            /// What the keg holds to the brim.
            brim_l: VesselVolume = 19.5 => brim: VolumeValue,
            /// Liquid in it.
            liquid_l: VesselVolume = 18.5 => liquid: VolumeValue,
            /// How often it is purged.
            purges: PurgeCount = 3 => purges: PurgeCount,
            /// Pressure before each vent.
            purge_bar: RegulatorPressure = 2.0 => purge: GaugePressureValue,
            /// Sugar in the drink.
            sugar_brix: SugarContent = 0.0 => sugar: SugarValue,
        }
        optional {
            /// Rating stamped on the keg, to be warned by.
            rating_bar: VesselRating => rating: GaugePressureValue,
        }
    }
}

/// Where the CO2 of a keg goes.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct KegBudgetAnswer {
    /// Dissolved in the drink.
    dissolved: MassValue,
    /// In the headspace once carbonated.
    headspace: MassValue,
    /// Vented in purging.
    purges: MassValue,
    /// Gas that takes the place of the poured drink.
    push: MassValue,
    /// All of it, without leaks.
    total: MassValue,
}

impl Calculate for KegBudgetInputs {
    type Answer = KegBudgetAnswer;

    const CARD: Card = Card {
        name: "gas/keg-budget",
        title: "CO2 that a keg takes",
        answers: "How much CO2 does a keg take from purging to the last glass, were it free of air?",
        equations: &[CO2_IN_WATER, CO2_GAS],
        blamed: &["pressure_bar", "purge_bar", "temperature_c"],
        example: r#"{"temperature_c": 2, "pressure_bar": 2}"#,
    };

    fn calculate(&self) -> Result<Calculated<KegBudgetAnswer>, Refused> {
        let held: GaugePressure = self.pressure_bar.into();
        let budget = gas_budget::keg(&GassedKeg {
            brim: self.brim_l().into(),
            liquid: self.liquid_l().into(),
            temperature: self.temperature_c.into(),
            held,
            purge: self.purge_bar().into(),
            purges: self.purges().value(),
            sugar: self.sugar_brix(),
            atmosphere: self.atmosphere()?,
        })?;
        let answer = KegBudgetAnswer {
            dissolved: Shown::of(budget.dissolved),
            headspace: Shown::of(budget.headspace),
            purges: Shown::of(budget.purges),
            push: Shown::of(budget.push),
            total: Shown::of(budget.total()?),
        };
        Ok(Calculated::new(answer)
            .mind_all(minding::pressure(self.rating_bar, held))
            .mind(GAS_RELEASE))
    }
}

inputs! {
    /// A vessel filled with gas.
    FillingInputs => FillingEcho at site {
        required {
            /// Volume of the vessel.
            vessel_l: VesselVolume => vessel: VolumeValue,
            /// Pressure of the gas in it.
            pressure_bar: RegulatorPressure => pressure: GaugePressureValue,
        }
        defaulted {
            /// Temperature of the gas.
            temperature_c: GasTemperature = 20.0 => temperature: TemperatureValue,
        }
    }
}

/// Gas in a vessel.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct FillingAnswer {
    /// CO2 that fills it.
    gas: MassValue,
}

impl Calculate for FillingInputs {
    type Answer = FillingAnswer;

    const CARD: Card = Card {
        name: "gas/filling",
        title: "CO2 that fills an empty vessel",
        answers: "How much CO2 does it take to push the water out of a keg and leave it full of gas?",
        equations: &[CO2_GAS],
        blamed: &["pressure_bar", "temperature_c"],
        example: r#"{"vessel_l": 19.5, "pressure_bar": 0.5}"#,
    };

    fn calculate(&self) -> Result<Calculated<FillingAnswer>, Refused> {
        let held: GaugePressure = self.pressure_bar.into();
        let gas = gas_budget::filling_with_gas(
            self.vessel_l.into(),
            held,
            self.temperature_c().into(),
            self.atmosphere()?,
        )?;
        Ok(Calculated::new(FillingAnswer {
            gas: Shown::of(gas),
        })
        .mind_all(minding::pressure(None, held))
        .mind(GAS_RELEASE))
    }
}

inputs! {
    /// A cylinder on the scales.
    CylinderInputs => CylinderEcho {
        required {
            /// Weight of the empty cylinder, stamped on it.
            tare_kg: CylinderWeight => tare: MassValue,
            /// Weight now.
            gross_kg: CylinderWeight => gross: MassValue,
        }
        defaulted {
            /// CO2 that one keg takes, as `gas/keg-budget` gives it.
            per_keg_g: GasPerKeg = 295.0 => per_keg: MassValue,
        }
    }
}

/// What is in a cylinder.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct CylinderAnswer {
    /// CO2 left.
    contents: MassValue,
    /// Whole kegs it is for, without leaks.
    #[schema(minimum = 0, example = 30)]
    kegs: u32,
}

impl Calculate for CylinderInputs {
    type Answer = CylinderAnswer;

    const CARD: Card = Card {
        name: "gas/cylinder",
        title: "CO2 left in a cylinder, and the kegs it is for",
        answers: "How much CO2 is left by weight, and how many kegs is it for? The gauge does not \
                  tell: see `properties/cylinder-pressure`.",
        equations: &[WEIGHING],
        blamed: &["gross_kg", "tare_kg"],
        example: r#"{"tare_kg": 11.3, "gross_kg": 20.37}"#,
    };

    fn calculate(&self) -> Result<Calculated<CylinderAnswer>, Refused> {
        let cylinder = Cylinder {
            tare: self.tare_kg.into(),
            gross: self.gross_kg.into(),
        };
        let answer = CylinderAnswer {
            contents: Shown::of(cylinder.contents()?),
            kegs: cylinder.kegs(self.per_keg_g().into())?,
        };
        Ok(Calculated::new(answer)
            .mind(CYLINDER_GAUGE)
            .mind(GAS_RELEASE))
    }
}

inputs! {
    /// A cylinder in a room.
    DrawOffInputs => DrawOffEcho {
        required {
            /// Conductance from the room to the wall wet with liquid, from experience; nothing is
            /// published.
            conductance_w_per_k: CylinderConductance => conductance: ConductanceValue,
        }
        defaulted {
            /// Temperature of the room.
            room_c: RoomTemperature = 20.0 => room: TemperatureValue,
            /// Coldest the cylinder may get.
            coldest_c: CylinderTemperature = 0.0 => coldest: TemperatureValue,
        }
    }
}

/// Gas that can be drawn for hours.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct DrawOffAnswer {
    /// Steady flow the heat of the room evaporates.
    flow: MassFlowValue,
}

impl Calculate for DrawOffInputs {
    type Answer = DrawOffAnswer;

    const CARD: Card = Card {
        name: "gas/draw-off",
        title: "Gas a cylinder gives for hours",
        answers: "How much gas can be drawn without the cylinder getting colder than wanted? Short \
                  draws may be faster.",
        equations: &[DRAW_OFF],
        blamed: &["coldest_c", "room_c"],
        example: r#"{"conductance_w_per_k": 1.5, "room_c": 20, "coldest_c": 0}"#,
    };

    fn calculate(&self) -> Result<Calculated<DrawOffAnswer>, Refused> {
        let flow = gas_budget::draw_off_limit(
            self.conductance_w_per_k.into(),
            self.room_c().into(),
            self.coldest_c().into(),
        )?;
        Ok(Calculated::new(DrawOffAnswer {
            flow: Shown::of(flow),
        })
        .mind(GAS_RELEASE))
    }
}
