//! A keg standing still.

use model::about::{CO2_IN_WATER, STILL_UPTAKE};
use model::inputs::{
    Barometer, CurrentCarbonation, DrinkTemperature, RegulatorPressure, Surface, VesselRating,
    VesselVolume, WaitHours,
};
use model::kinetics::{self, StillKeg};
use model::{Elevation, SugarContent};
use serde::Serialize;
use utoipa::ToSchema;

use super::{UptakePoint, curve, tends_to};
use crate::app::calculations::calculation::{Calculate, Calculated, Card};
use crate::app::calculations::inputs::inputs;
use crate::app::calculations::minding;
use crate::app::calculations::refused::Refused;
use crate::app::calculations::values::{
    AbsolutePressureValue, AreaValue, CarbonationValue, ElevationValue, GaugePressureValue,
    MassTransferValue, Shown, SugarValue, TemperatureValue, TimeValue, VolumeValue,
};

inputs! {
    /// A keg standing still under gas. Where nothing is said it is a full 19 L steel keg.
    StillInputs => StillEcho at site {
        required {
            /// Temperature of the drink.
            temperature_c: DrinkTemperature => temperature: TemperatureValue,
            /// Pressure it is held at.
            pressure_bar: RegulatorPressure => pressure: GaugePressureValue,
            /// How long it stands.
            time_h: WaitHours => time: TimeValue,
        }
        defaulted {
            /// CO2 in it at the start.
            start_g_per_l: CurrentCarbonation = 0.0 => start: CarbonationValue,
            /// Liquid in the keg.
            liquid_l: VesselVolume = 18.5 => liquid: VolumeValue,
            /// Surface of the liquid.
            surface_m2: Surface = 0.0363 => surface: AreaValue,
            /// Sugar in the drink.
            sugar_brix: SugarContent = 0.0 => sugar: SugarValue,
        }
        optional {
            /// Rating stamped on the keg, to be warned by.
            rating_bar: VesselRating => rating: GaugePressureValue,
        }
    }
}

/// CO2 taken up.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct UptakeAnswer {
    /// CO2 dissolved at the end.
    carbonation: CarbonationValue,
    /// CO2 the drink tends to.
    equilibrium: CarbonationValue,
    /// Mass-transfer coefficient kLa at the start.
    coefficient: MassTransferValue,
    /// CO2 at evenly spaced times, from the start to the end.
    curve: Vec<UptakePoint>,
}

impl Calculate for StillInputs {
    type Answer = UptakeAnswer;

    const CARD: Card = Card {
        name: "uptake/still",
        title: "CO2 taken up by a keg standing still",
        answers: "How carbonated is a keg after standing under pressure for a time?",
        equations: &[STILL_UPTAKE, CO2_IN_WATER],
        blamed: &["pressure_bar", "temperature_c"],
        example: r#"{"temperature_c": 2, "pressure_bar": 2, "time_h": 168}"#,
    };

    fn calculate(&self) -> Result<Calculated<UptakeAnswer>, Refused> {
        let (at, held) = (self.temperature_c.into(), self.pressure_bar.into());
        let full = tends_to(at, held, self.atmosphere()?, self.sugar_brix())?;
        let keg = StillKeg {
            liquid: self.liquid_l().into(),
            surface: self.surface_m2().into(),
            temperature: at,
        };
        let (start, time) = (self.start_g_per_l().into(), self.time_h.into());
        let answer = UptakeAnswer {
            carbonation: Shown::of(keg.after(start, full, time)?),
            equilibrium: Shown::of(full),
            coefficient: Shown::of(keg.coefficient(kinetics::gap(start, full))?),
            curve: curve(time, |time| keg.after(start, full, time))?,
        };
        Ok(Calculated::new(answer).mind_all(minding::pressure(self.rating_bar, held)))
    }
}
