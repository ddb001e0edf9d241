//! A keg that takes CO2 through a stone.

use model::about::{CO2_IN_WATER, SPARGING, SUPPLY};
use model::inputs::{
    Barometer, CurrentCarbonation, DrinkTemperature, RegulatorPressure, SupplyFlow, Surface,
    TransferRate, VesselRating, VesselVolume, WantedCarbonation,
};
use model::kinetics::{self, STONE, Supply};
use model::limits::{GAS_RELEASE, HIGH_PRESSURE};
use model::{Carbonation, Elevation, GaugePressure, MassTransfer, SugarContent};
use serde::Serialize;
use utoipa::ToSchema;

use super::{UptakePoint, tends_to};
use crate::app::calculations::calculation::{Calculate, Calculated, Card};
use crate::app::calculations::inputs::inputs;
use crate::app::calculations::minding;
use crate::app::calculations::refused::Refused;
use crate::app::calculations::series::{POINTS, steps};
use crate::app::calculations::values::{
    AbsolutePressureValue, AreaValue, CarbonationValue, ElevationValue, GasFlowValue,
    GaugePressureValue, MassTransferValue, Shown, SugarValue, TemperatureValue, TimeValue,
    VolumeValue,
};

inputs! {
    /// A keg that takes CO2 through a stone.
    SpargedInputs => SpargedEcho at site {
        required {
            /// Temperature of the drink.
            temperature_c: DrinkTemperature => temperature: TemperatureValue,
            /// Pressure it is held at.
            pressure_bar: RegulatorPressure => pressure: GaugePressureValue,
            /// CO2 that is wanted.
            target_g_per_l: WantedCarbonation => target: CarbonationValue,
        }
        defaulted {
            /// Most gas the supply passes.
            flow_l_per_min: SupplyFlow = 1.0 => flow: GasFlowValue,
            /// Liquid in the keg.
            liquid_l: VesselVolume = 18.5 => liquid: VolumeValue,
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

/// The time a stone takes.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct SpargedAnswer {
    /// Time to the CO2 wanted.
    time: TimeValue,
    /// Time it would take if the supply passed any flow.
    unlimited: TimeValue,
    /// CO2 the drink tends to.
    equilibrium: CarbonationValue,
    /// Mass-transfer coefficient kLa that was used.
    coefficient: MassTransferValue,
    /// When each content is reached, at evenly spaced contents.
    curve: Vec<UptakePoint>,
}

impl Calculate for SpargedInputs {
    type Answer = SpargedAnswer;

    const CARD: Card = Card {
        name: "uptake/sparged",
        title: "Carbonating through a stone",
        answers: "How long does a porous stone take to the wanted CO2, when the supply passes no \
                  more than a flow?",
        equations: &[SPARGING, SUPPLY, CO2_IN_WATER],
        blamed: &["target_g_per_l", "pressure_bar", "temperature_c"],
        example: r#"{"temperature_c": 2, "pressure_bar": 2, "target_g_per_l": 7.9, "flow_l_per_min": 2}"#,
    };

    fn calculate(&self) -> Result<Calculated<SpargedAnswer>, Refused> {
        let (at, held) = (self.temperature_c.into(), self.pressure_bar.into());
        let full = tends_to(at, held, self.atmosphere()?, self.sugar_brix())?;
        let supply = Supply {
            coefficient: self
                .coefficient_per_s
                .map_or(STONE.typical(), MassTransfer::from),
            flow: self.flow_l_per_min().into(),
            liquid: self.liquid_l().into(),
        };
        let (start, target) = (
            Carbonation::from(self.start_g_per_l()),
            Carbonation::from(self.target_g_per_l),
        );
        let to = |content| kinetics::supply_time(&supply, start, content, full);
        let end = if target > start { target } else { start };
        let contents = steps(start.grams_per_litre(), end.grams_per_litre(), POINTS);
        let point = |grams| -> Result<UptakePoint, Refused> {
            let content = Carbonation::new(grams)?;
            Ok(UptakePoint::new(to(content)?, content))
        };
        let answer = SpargedAnswer {
            time: Shown::of(to(target)?),
            unlimited: Shown::of(kinetics::time(supply.coefficient, start, target, full)?),
            equilibrium: Shown::of(full),
            coefficient: Shown::of(supply.coefficient),
            curve: contents.map(point).collect::<Result<_, _>>()?,
        };
        Ok(Calculated::new(answer)
            .mind_all(minding::pressure(self.rating_bar, held))
            .mind_if(
                full.grams_per_litre() > 1.02 * target.grams_per_litre(),
                HIGH_PRESSURE,
            )
            .mind(GAS_RELEASE))
    }
}

inputs! {
    /// Gas that bubbles through a keg.
    StoneInputs => StoneEcho at site {
        required {
            /// Temperature of the drink.
            temperature_c: DrinkTemperature => temperature: TemperatureValue,
            /// Pressure it is held at.
            pressure_bar: RegulatorPressure => pressure: GaugePressureValue,
            /// Gas that passes.
            flow_l_per_min: SupplyFlow => flow: GasFlowValue,
        }
        defaulted {
            /// Cross-section of the liquid.
            surface_m2: Surface = 0.0363 => surface: AreaValue,
        }
    }
}

/// How fast a stone carbonates.
#[derive(Debug, Serialize, ToSchema)]
pub(in crate::app::calculations) struct StoneAnswer {
    /// Mass-transfer coefficient kLa, for `uptake/sparged` and `uptake/time-to-target`.
    coefficient: MassTransferValue,
}

impl Calculate for StoneInputs {
    type Answer = StoneAnswer;

    const CARD: Card = Card {
        name: "uptake/stone-coefficient",
        title: "Mass-transfer coefficient of a stone",
        answers: "How fast does gas bubbling through this keg close the gap to equilibrium? The \
                  supply is often the tighter limit: see `uptake/sparged`.",
        equations: &[SPARGING],
        blamed: &["flow_l_per_min", "surface_m2", "pressure_bar"],
        example: r#"{"temperature_c": 2, "pressure_bar": 2, "flow_l_per_min": 2}"#,
    };

    fn calculate(&self) -> Result<Calculated<StoneAnswer>, Refused> {
        let held: GaugePressure = self.pressure_bar.into();
        let coefficient = kinetics::sparged(
            self.flow_l_per_min.into(),
            self.surface_m2().into(),
            held.absolute(self.atmosphere()?)?,
            self.temperature_c.into(),
        )?;
        let answer = StoneAnswer {
            coefficient: Shown::of(coefficient),
        };
        Ok(Calculated::new(answer)
            .mind_all(minding::pressure(None, held))
            .mind(GAS_RELEASE))
    }
}
