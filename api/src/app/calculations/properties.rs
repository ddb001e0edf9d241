//! Properties of water, ice and CO2 gas.

use model::about::{
    ACIDITY, BOILING, CO2_GAS, CO2_VAPOUR, ICE_PROPERTIES, STEAM, WATER_PROPERTIES,
};
use model::inputs::{
    Acidity, Barometer, CurrentCarbonation, CylinderTemperature, DrinkTemperature, GasTemperature,
    IceTemperature, LiquidTemperature, RegulatorPressure,
};
use model::limits::{self, CYLINDER_GAUGE, GAS_RELEASE};
use model::{
    Density, Elevation, GaugePressure, SpecificEnergy, acidity, carbon_dioxide, ice, water,
};
use serde::Serialize;
use utoipa::ToSchema;

use super::calculation::{Calculate, Calculated, Card};
use super::inputs::inputs;
use super::minding;
use super::notes::VerdictNote;
use super::refused::Refused;
use super::values::{
    AbsolutePressureValue, CarbonationValue, DensityValue, ElevationValue, GaugePressureValue,
    Shown, SpecificEnergyValue, TemperatureValue,
};

inputs! {
    /// Water at a temperature.
    WaterInputs => WaterEcho {
        required {
            /// Temperature of the water.
            temperature_c: LiquidTemperature => temperature: TemperatureValue,
        }
    }
}

/// What water is like.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct WaterAnswer {
    /// Mass of a volume.
    density: DensityValue,
    /// Heat it holds.
    enthalpy: SpecificEnergyValue,
    /// Pressure of its vapour.
    vapour_pressure: AbsolutePressureValue,
}

impl Calculate for WaterInputs {
    type Answer = WaterAnswer;

    const CARD: Card = Card {
        name: "properties/water",
        title: "Properties of water",
        answers: "How heavy is water, how much heat does it hold and how strong is its vapour?",
        equations: &[WATER_PROPERTIES, BOILING],
        blamed: &["temperature_c"],
        example: r#"{"temperature_c": 4}"#,
    };

    fn calculate(&self) -> Result<Calculated<WaterAnswer>, Refused> {
        let at = self.temperature_c.into();
        let answer = WaterAnswer {
            density: Shown::of(Density::new(water::density(at)? * 1000.0)?),
            enthalpy: Shown::of(SpecificEnergy::new(water::enthalpy(at)?)?),
            vapour_pressure: Shown::of(water::saturation_pressure(at)?),
        };
        Ok(Calculated::new(answer).mind_all(minding::hot(at)))
    }
}

inputs! {
    /// Ice at a temperature.
    IceInputs => IceEcho {
        required {
            /// Temperature of the ice.
            temperature_c: IceTemperature => temperature: TemperatureValue,
        }
    }
}

/// What ice is like.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct IceAnswer {
    /// Heat it holds, less than nothing: it lacks the heat of fusion.
    enthalpy: SpecificEnergyValue,
    /// Heat that warms a kilogram of it to melted water at 0 °C.
    to_water: SpecificEnergyValue,
}

impl Calculate for IceInputs {
    type Answer = IceAnswer;

    const CARD: Card = Card {
        name: "properties/ice",
        title: "Heat in ice",
        answers: "How much heat does ice of this temperature take until it has melted?",
        equations: &[ICE_PROPERTIES, WATER_PROPERTIES],
        blamed: &["temperature_c"],
        example: r#"{"temperature_c": -5}"#,
    };

    fn calculate(&self) -> Result<Calculated<IceAnswer>, Refused> {
        let held = ice::enthalpy(self.temperature_c.into())?;
        let melted = water::enthalpy(model::Temperature::FREEZING)?;
        Ok(Calculated::new(IceAnswer {
            enthalpy: Shown::of(SpecificEnergy::new(held)?),
            to_water: Shown::of(SpecificEnergy::new(melted - held)?),
        }))
    }
}

inputs! {
    /// CO2 gas.
    GasInputs => GasEcho at site {
        required {
            /// Temperature of the gas.
            temperature_c: GasTemperature => temperature: TemperatureValue,
            /// Pressure of the gas.
            pressure_bar: RegulatorPressure => pressure: GaugePressureValue,
        }
    }
}

/// What CO2 gas is like.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct GasAnswer {
    /// Mass of a volume.
    density: DensityValue,
}

impl Calculate for GasInputs {
    type Answer = GasAnswer;

    const CARD: Card = Card {
        name: "properties/carbon-dioxide",
        title: "Density of CO2 gas",
        answers: "How heavy is a litre of CO2 at this pressure and temperature?",
        equations: &[CO2_GAS],
        blamed: &["temperature_c", "pressure_bar"],
        example: r#"{"temperature_c": 20, "pressure_bar": 0}"#,
    };

    fn calculate(&self) -> Result<Calculated<GasAnswer>, Refused> {
        let held: GaugePressure = self.pressure_bar.into();
        let density = carbon_dioxide::density(
            self.temperature_c.into(),
            held.absolute(self.atmosphere()?)?,
        )?;
        let answer = GasAnswer {
            density: Shown::of(Density::new(density)?),
        };
        Ok(Calculated::new(answer).mind(GAS_RELEASE))
    }
}

inputs! {
    /// A cylinder that still holds liquid.
    CylinderPressureInputs => CylinderPressureEcho at site {
        required {
            /// Temperature of the cylinder.
            temperature_c: CylinderTemperature => temperature: TemperatureValue,
        }
    }
}

/// What its gauge shows.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct CylinderPressureAnswer {
    /// Pressure in the cylinder, counted from vacuum.
    absolute: AbsolutePressureValue,
    /// What a gauge shows.
    gauge: GaugePressureValue,
}

impl Calculate for CylinderPressureInputs {
    type Answer = CylinderPressureAnswer;

    const CARD: Card = Card {
        name: "properties/cylinder-pressure",
        title: "Pressure in a CO2 cylinder",
        answers: "What does the gauge of a cylinder show while it holds liquid? It tells the \
                  temperature, not what is left.",
        equations: &[CO2_VAPOUR],
        blamed: &["temperature_c"],
        example: r#"{"temperature_c": 20}"#,
    };

    fn calculate(&self) -> Result<Calculated<CylinderPressureAnswer>, Refused> {
        let pressure = carbon_dioxide::vapour_pressure(self.temperature_c.into())?;
        let answer = CylinderPressureAnswer {
            absolute: Shown::of(pressure),
            gauge: Shown::of(pressure.gauge(self.atmosphere()?)?),
        };
        Ok(Calculated::new(answer).mind(CYLINDER_GAUGE))
    }
}

inputs! {
    /// Steam over water at a temperature.
    SteamPropertiesInputs => SteamPropertiesEcho {
        required {
            /// Temperature of water and steam.
            temperature_c: LiquidTemperature => temperature: TemperatureValue,
        }
    }
}

/// What steam is like.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct SteamPropertiesAnswer {
    /// Mass of a volume.
    density: DensityValue,
    /// Heat that turns water into it.
    vaporisation: SpecificEnergyValue,
    /// Heat it holds.
    enthalpy: SpecificEnergyValue,
    /// Its pressure.
    pressure: AbsolutePressureValue,
}

impl Calculate for SteamPropertiesInputs {
    type Answer = SteamPropertiesAnswer;

    const CARD: Card = Card {
        name: "properties/steam",
        title: "Properties of steam",
        answers: "How heavy is steam over water of this temperature, and how much heat does it take \
                  away?",
        equations: &[STEAM, BOILING, WATER_PROPERTIES],
        blamed: &["temperature_c"],
        example: r#"{"temperature_c": 100}"#,
    };

    fn calculate(&self) -> Result<Calculated<SteamPropertiesAnswer>, Refused> {
        let at = self.temperature_c.into();
        let answer = SteamPropertiesAnswer {
            density: Shown::of(Density::new(water::steam_density(at)? * 1000.0)?),
            vaporisation: Shown::of(SpecificEnergy::new(water::vaporisation_heat(at)?)?),
            enthalpy: Shown::of(SpecificEnergy::new(water::steam_enthalpy(at)?)?),
            pressure: Shown::of(water::saturation_pressure(at)?),
        };
        Ok(Calculated::new(answer).mind_all(minding::hot(at)))
    }
}

inputs! {
    /// Pure water with CO2 in it.
    AcidityInputs => AcidityEcho {
        required {
            /// CO2 dissolved.
            carbonation_g_per_l: CurrentCarbonation => carbonation: CarbonationValue,
            /// Temperature of the water.
            temperature_c: DrinkTemperature => temperature: TemperatureValue,
        }
    }
}

/// How sour it is.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct AcidityAnswer {
    /// Acidity.
    ph: Acidity,
    /// How far it is below pH 6, where it must not touch copper or brass.
    copper: VerdictNote,
}

impl Calculate for AcidityInputs {
    type Answer = AcidityAnswer;

    const CARD: Card = Card {
        name: "properties/acidity",
        title: "Acidity of carbonated water",
        answers: "How sour does CO2 make pure water, and may it touch copper? Bicarbonate of tap \
                  water raises the pH by up to one unit, acids in a drink lower it.",
        equations: &[ACIDITY],
        blamed: &["carbonation_g_per_l", "temperature_c"],
        example: r#"{"carbonation_g_per_l": 9.1, "temperature_c": 2}"#,
    };

    fn calculate(&self) -> Result<Calculated<AcidityAnswer>, Refused> {
        let (content, at) = (self.carbonation_g_per_l.into(), self.temperature_c.into());
        let copper = limits::soda_on_copper(content, at)?;
        let answer = AcidityAnswer {
            ph: Acidity::new(acidity::ph(content, at)?)?,
            copper: copper.into(),
        };
        Ok(Calculated::new(answer).mind_if(!copper.accepted, copper))
    }
}
