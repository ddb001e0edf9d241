//! The time to a wanted content, by any method.

use model::about::{CO2_IN_WATER, SHAKING, SPARGING, STILL_UPTAKE, SUPPLY};
use model::inputs::{
    Barometer, CurrentCarbonation, DrinkTemperature, RegulatorPressure, SupplyFlow, Surface,
    TransferRate, VesselRating, VesselVolume, WantedCarbonation,
};
use model::kinetics::{self, PlanningRange, SHAKEN, STONE, StillKeg, Supply};
use model::limits::HIGH_PRESSURE;
use model::{Carbonation, Elevation, MassTransfer, SugarContent, Temperature, TimeSpan};
use serde::Serialize;
use utoipa::ToSchema;

use super::tends_to;
use crate::app::calculations::calculation::{Calculate, Calculated, Card};
use crate::app::calculations::inputs::inputs;
use crate::app::calculations::minding;
use crate::app::calculations::refused::Refused;
use crate::app::calculations::values::{
    AbsolutePressureValue, AreaValue, CarbonationValue, ElevationValue, GasFlowValue,
    GaugePressureValue, MassTransferValue, Shown, SugarValue, TemperatureValue, TimeValue,
    VolumeValue,
};

/// How CO2 gets in.
#[derive(Debug, Clone, Copy, Serialize, serde::Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(in crate::app::calculations) enum UptakeMethod {
    /// The keg stands still.
    Still,
    /// It is shaken hard by hand.
    Shaken,
    /// The gas comes through a porous stone.
    Sparged,
}

inputs! {
    /// A content wanted, and how it is to be reached. Where nothing is said it is a full 19 L steel
    /// keg.
    TimeToTargetInputs => TimeToTargetEcho at site {
        required {
            /// Temperature of the drink.
            temperature_c: DrinkTemperature => temperature: TemperatureValue,
            /// Pressure it is held at: that of the content wanted or, for a limited time, a higher
            /// one.
            pressure_bar: RegulatorPressure => pressure: GaugePressureValue,
            /// CO2 that is wanted.
            target_g_per_l: WantedCarbonation => target: CarbonationValue,
        }
        defaulted {
            /// CO2 in it at the start.
            start_g_per_l: CurrentCarbonation = 0.0 => start: CarbonationValue,
            /// Liquid in the keg.
            liquid_l: VesselVolume = 18.5 => liquid: VolumeValue,
            /// Surface of the liquid, for a keg standing still.
            surface_m2: Surface = 0.0363 => surface: AreaValue,
            /// Sugar in the drink.
            sugar_brix: SugarContent = 0.0 => sugar: SugarValue,
        }
        optional {
            /// The site's own mass-transfer coefficient for shaking or a stone; the middle of the
            /// planning range where nothing is said.
            coefficient_per_s: TransferRate => own_coefficient: MassTransferValue,
            /// Most gas the supply passes, for shaking or a stone; any flow where nothing is said.
            flow_l_per_min: SupplyFlow => flow: GasFlowValue,
            /// Rating stamped on the keg, to be warned by.
            rating_bar: VesselRating => rating: GaugePressureValue,
        }
        choices {
            /// How CO2 gets in.
            method: UptakeMethod,
        }
    }
}

/// The time it takes.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct TimeToTargetAnswer {
    /// Time to the CO2 wanted.
    time: TimeValue,
    /// The same at the fast end of what is likely; null with a coefficient of the site's own.
    fastest: Option<TimeValue>,
    /// The same at the slow end of what is likely; null with a coefficient of the site's own.
    slowest: Option<TimeValue>,
    /// CO2 the drink tends to, if it is left at that pressure.
    equilibrium: CarbonationValue,
}

impl Calculate for TimeToTargetInputs {
    type Answer = TimeToTargetAnswer;

    const CARD: Card = Card {
        name: "uptake/time-to-target",
        title: "Time to a wanted carbonation",
        answers: "How long does it take to the wanted CO2, standing still, shaken or through a \
                  stone? At a pressure above that of the content wanted the keg must be turned \
                  down in time.",
        equations: &[STILL_UPTAKE, SHAKING, SPARGING, SUPPLY, CO2_IN_WATER],
        blamed: &["target_g_per_l", "pressure_bar", "temperature_c"],
        example: r#"{"temperature_c": 2, "pressure_bar": 4, "target_g_per_l": 9.1, "method": "still"}"#,
    };

    fn calculate(&self) -> Result<Calculated<TimeToTargetAnswer>, Refused> {
        let (at, held) = (self.temperature_c.into(), self.pressure_bar.into());
        let full = tends_to(at, held, self.atmosphere()?, self.sugar_brix())?;
        let target = Carbonation::from(self.target_g_per_l);
        let [time, fastest, slowest] = match self.method {
            UptakeMethod::Still => self.still(at, full)?,
            UptakeMethod::Shaken => self.moved(&SHAKEN, full)?,
            UptakeMethod::Sparged => self.moved(&STONE, full)?,
        };
        let known = self.coefficient_per_s.is_some() && !matches!(self.method, UptakeMethod::Still);
        let answer = TimeToTargetAnswer {
            time: Shown::of(time),
            fastest: Shown::of((!known).then_some(fastest)),
            slowest: Shown::of((!known).then_some(slowest)),
            equilibrium: Shown::of(full),
        };
        Ok(Calculated::new(answer)
            .mind_all(minding::pressure(self.rating_bar, held))
            .mind_if(
                full.grams_per_litre() > 1.02 * target.grams_per_litre(),
                HIGH_PRESSURE,
            ))
    }
}

impl TimeToTargetInputs {
    /// Time of a keg standing still: as calculated, and within what the equation is good for.
    fn still(&self, at: Temperature, full: Carbonation) -> Result<[TimeSpan; 3], Refused> {
        let keg = StillKeg {
            liquid: self.liquid_l().into(),
            surface: self.surface_m2().into(),
            temperature: at,
        };
        let time = keg.time(
            self.start_g_per_l().into(),
            self.target_g_per_l.into(),
            full,
        )?;
        let factor = 1.0 + STILL_UPTAKE.uncertainty.relative.unwrap_or(0.0);
        let scaled = |by: f64| TimeSpan::new(time.seconds() * by);
        Ok([time, scaled(1.0 / factor)?, scaled(factor)?])
    }

    /// Time of shaking or a stone: with the coefficient to be used, and at both ends of its range.
    fn moved(&self, range: &PlanningRange, full: Carbonation) -> Result<[TimeSpan; 3], Refused> {
        let (start, target) = (self.start_g_per_l().into(), self.target_g_per_l.into());
        let used = self
            .coefficient_per_s
            .map_or(range.typical(), MassTransfer::from);
        let time = |coefficient| match self.flow_l_per_min {
            None => kinetics::time(coefficient, start, target, full),
            Some(flow) => {
                let supply = Supply {
                    coefficient,
                    flow: flow.into(),
                    liquid: self.liquid_l().into(),
                };
                kinetics::supply_time(&supply, start, target, full)
            }
        };
        Ok([time(used)?, time(range.high)?, time(range.low)?])
    }
}
