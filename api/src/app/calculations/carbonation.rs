//! How much CO2 a drink holds at a pressure, and the pressure a content needs.

use model::about::{CO2_IN_SUGAR, CO2_IN_WATER};
use model::inputs::{
    AirPressure, Barometer, DrinkTemperature, RegulatorPressure, VesselRating, WantedCarbonation,
};
use model::{AbsolutePressure, Elevation, GaugePressure, SugarContent, carbonation};
use serde::Serialize;
use utoipa::ToSchema;

use super::calculation::{Calculate, Calculated, Card};
use super::inputs::inputs;
use super::minding;
use super::refused::Refused;
use super::values::{
    AbsolutePressureValue, CarbonationValue, ElevationValue, GaugePressureValue, Shown, SugarValue,
    TemperatureValue,
};

inputs! {
    /// A drink at equilibrium with its gas.
    DissolvedInputs => DissolvedEcho at site {
        required {
            /// Temperature of the drink.
            temperature_c: DrinkTemperature => temperature: TemperatureValue,
            /// Pressure it is held at.
            pressure_bar: RegulatorPressure => pressure: GaugePressureValue,
        }
        defaulted {
            /// Air left in the keg, as its partial pressure; `headspace/sealed-keg` finds it.
            air_kpa: AirPressure = 0.0 => air: AbsolutePressureValue,
            /// Sugar in the drink.
            sugar_brix: SugarContent = 0.0 => sugar: SugarValue,
        }
        optional {
            /// Rating stamped on the vessel, to be warned by.
            rating_bar: VesselRating => rating: GaugePressureValue,
        }
    }
}

/// What the drink holds.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct DissolvedAnswer {
    /// CO2 dissolved in the end.
    carbonation: CarbonationValue,
    /// The same without the air.
    without_air: CarbonationValue,
    /// The same without air and sugar: plain water.
    in_water: CarbonationValue,
    /// Total pressure counted from vacuum.
    total_pressure: AbsolutePressureValue,
}

impl Calculate for DissolvedInputs {
    type Answer = DissolvedAnswer;

    const CARD: Card = Card {
        name: "carbonation/dissolved",
        title: "CO2 a drink holds at a pressure",
        answers: "How much CO2 does a drink hold once it has come to equilibrium at this \
                  temperature and pressure? How long that takes is another question: see \
                  `uptake/time-to-target`.",
        equations: &[CO2_IN_WATER, CO2_IN_SUGAR],
        blamed: &["pressure_bar", "temperature_c"],
        example: r#"{"temperature_c": 2, "pressure_bar": 2}"#,
    };

    fn calculate(&self) -> Result<Calculated<DissolvedAnswer>, Refused> {
        let held: GaugePressure = self.pressure_bar.into();
        let total = held.absolute(self.atmosphere()?)?;
        let at = self.temperature_c.into();
        let holds = |air, sugar| carbonation::dissolved(at, total, air, sugar);
        let (none, sugar) = (AbsolutePressure::VACUUM, self.sugar_brix());
        let answer = DissolvedAnswer {
            carbonation: Shown::of(holds(self.air_kpa().into(), sugar)?),
            without_air: Shown::of(holds(none, sugar)?),
            in_water: Shown::of(holds(none, SugarContent::of(0.0))?),
            total_pressure: Shown::of(total),
        };
        Ok(Calculated::new(answer)
            .mind_all(minding::pressure(self.rating_bar, held))
            .mind_all(minding::cold(at, sugar)?))
    }
}

inputs! {
    /// A content wanted.
    PressureInputs => PressureEcho at site {
        required {
            /// CO2 that is wanted.
            target_g_per_l: WantedCarbonation => target: CarbonationValue,
            /// Temperature of the drink.
            temperature_c: DrinkTemperature => temperature: TemperatureValue,
        }
        defaulted {
            /// Air left in the keg, as its partial pressure; `headspace/sealed-keg` finds it.
            air_kpa: AirPressure = 0.0 => air: AbsolutePressureValue,
            /// Sugar in the drink.
            sugar_brix: SugarContent = 0.0 => sugar: SugarValue,
        }
        optional {
            /// Rating stamped on the vessel, to be warned by.
            rating_bar: VesselRating => rating: GaugePressureValue,
        }
    }
}

/// The pressure to set.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct PressureAnswer {
    /// What the gauge must show.
    pressure: GaugePressureValue,
    /// The same counted from vacuum.
    total_pressure: AbsolutePressureValue,
}

impl Calculate for PressureInputs {
    type Answer = PressureAnswer;

    const CARD: Card = Card {
        name: "carbonation/pressure",
        title: "Pressure for a wanted carbonation",
        answers: "At which pressure does a drink of this temperature settle at the wanted CO2? The \
                  inverse of `carbonation/dissolved`.",
        equations: &[CO2_IN_WATER, CO2_IN_SUGAR],
        blamed: &["target_g_per_l", "temperature_c"],
        example: r#"{"target_g_per_l": 7.9, "temperature_c": 2}"#,
    };

    fn calculate(&self) -> Result<Calculated<PressureAnswer>, Refused> {
        let (at, sugar) = (self.temperature_c.into(), self.sugar_brix());
        let target = self.target_g_per_l.into();
        let total = carbonation::pressure_for(target, at, self.air_kpa().into(), sugar)?;
        let held = total.gauge(self.atmosphere()?)?;
        let answer = PressureAnswer {
            pressure: Shown::of(held),
            total_pressure: Shown::of(total),
        };
        Ok(Calculated::new(answer)
            .mind_all(minding::pressure(self.rating_bar, held))
            .mind_all(minding::cold(at, sugar)?))
    }
}
