//! A keg shaken by hand.

use model::about::{CO2_IN_WATER, SHAKING};
use model::inputs::{
    Barometer, CurrentCarbonation, DrinkTemperature, RegulatorPressure, TransferRate, VesselRating,
    WaitMinutes,
};
use model::kinetics::{self, SHAKEN};
use model::{Elevation, MassTransfer, SugarContent};
use serde::Serialize;
use utoipa::ToSchema;

use super::{UptakePoint, curve, tends_to};
use crate::app::calculations::calculation::{Calculate, Calculated, Card};
use crate::app::calculations::inputs::inputs;
use crate::app::calculations::minding;
use crate::app::calculations::refused::Refused;
use crate::app::calculations::values::{
    AbsolutePressureValue, CarbonationValue, ElevationValue, GaugePressureValue, MassTransferValue,
    Shown, SugarValue, TemperatureValue, TimeValue,
};

inputs! {
    /// A keg shaken under gas.
    ShakenInputs => ShakenEcho at site {
        required {
            /// Temperature of the drink.
            temperature_c: DrinkTemperature => temperature: TemperatureValue,
            /// Pressure it is held at.
            pressure_bar: RegulatorPressure => pressure: GaugePressureValue,
            /// How long it is shaken.
            time_min: WaitMinutes => time: TimeValue,
        }
        defaulted {
            /// CO2 in it at the start.
            start_g_per_l: CurrentCarbonation = 0.0 => start: CarbonationValue,
            /// Sugar in the drink.
            sugar_brix: SugarContent = 0.0 => sugar: SugarValue,
        }
        optional {
            /// The site's own mass-transfer coefficient, as `calibration/mass-transfer` finds; the
            /// middle of the planning range where nothing is said.
            coefficient_per_s: TransferRate => own_coefficient: MassTransferValue,
            /// Rating stamped on the keg, to be warned by.
            rating_bar: VesselRating => rating: GaugePressureValue,
        }
    }
}

/// CO2 taken up by shaking.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct ShakenAnswer {
    /// CO2 dissolved at the end.
    carbonation: CarbonationValue,
    /// The same at the slow end of the planning range.
    slow: CarbonationValue,
    /// The same at the fast end of the planning range.
    fast: CarbonationValue,
    /// CO2 the drink tends to.
    equilibrium: CarbonationValue,
    /// Mass-transfer coefficient kLa that was used.
    coefficient: MassTransferValue,
    /// CO2 at evenly spaced times, from the start to the end.
    curve: Vec<UptakePoint>,
}

impl Calculate for ShakenInputs {
    type Answer = ShakenAnswer;

    const CARD: Card = Card {
        name: "uptake/shaken",
        title: "CO2 taken up by a shaken keg",
        answers: "How carbonated is a keg after being shaken hard under pressure for a time? The \
                  supply is taken to keep up.",
        equations: &[SHAKING, CO2_IN_WATER],
        blamed: &["pressure_bar", "temperature_c"],
        example: r#"{"temperature_c": 2, "pressure_bar": 2, "time_min": 5}"#,
    };

    fn calculate(&self) -> Result<Calculated<ShakenAnswer>, Refused> {
        let (at, held) = (self.temperature_c.into(), self.pressure_bar.into());
        let full = tends_to(at, held, self.atmosphere()?, self.sugar_brix())?;
        let (start, time) = (self.start_g_per_l().into(), self.time_min.into());
        let own = self.coefficient_per_s.map(MassTransfer::from);
        let used = own.unwrap_or(SHAKEN.typical());
        let after = |coefficient| kinetics::after(coefficient, start, full, time);
        let answer = ShakenAnswer {
            carbonation: Shown::of(after(used)?),
            slow: Shown::of(after(SHAKEN.low)?),
            fast: Shown::of(after(SHAKEN.high)?),
            equilibrium: Shown::of(full),
            coefficient: Shown::of(used),
            curve: curve(time, |time| kinetics::after(used, start, full, time))?,
        };
        Ok(Calculated::new(answer).mind_all(minding::pressure(self.rating_bar, held)))
    }
}
