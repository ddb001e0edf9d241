//! How CO2 gets into the drink with time: still, shaken, through a stone.

use model::about::{CO2_IN_WATER, SHAKING, SPARGING, STILL_UPTAKE, SUPPLY};
use model::inputs::{
    Barometer, CurrentCarbonation, DrinkTemperature, RegulatorPressure, SupplyFlow, Surface,
    TransferRate, VesselRating, VesselVolume, WaitHours, WaitMinutes, WantedCarbonation,
};
use model::kinetics::{self, PlanningRange, SHAKEN, STONE, StillKeg, Supply};
use model::limits::{GAS_RELEASE, HIGH_PRESSURE};
use model::{
    AbsolutePressure, Carbonation, Elevation, GaugePressure, MassTransfer, SugarContent,
    Temperature, TimeSpan, carbonation,
};
use serde::Serialize;
use utoipa::ToSchema;

use super::calculation::{Calculate, Card, Found};
use super::inputs::inputs;
use super::minding;
use super::refused::Refused;
use super::series::{POINTS, instants, steps};
use super::values::{
    AbsolutePressureValue, AreaValue, CarbonationValue, ElevationValue, GasFlowValue,
    GaugePressureValue, MassTransferValue, Shown, SugarValue, TemperatureValue, TimeValue,
    VolumeValue,
};

/// CO2 at a time.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct UptakePoint {
    /// Time since the start.
    time: TimeValue,
    /// CO2 dissolved.
    carbonation: CarbonationValue,
}

impl UptakePoint {
    pub(super) fn new(time: TimeSpan, content: Carbonation) -> Self {
        Self {
            time: Shown::of(time),
            carbonation: Shown::of(content),
        }
    }
}

/// CO2 at evenly spaced times.
pub(super) fn curve(
    end: TimeSpan,
    after: impl Fn(TimeSpan) -> Result<Carbonation, model::Error>,
) -> Result<Vec<UptakePoint>, Refused> {
    let points = instants(end, POINTS)?.map(|time| Ok(UptakePoint::new(time, after(time)?)));
    points.collect()
}

/// What a drink tends to under gas without air.
fn tends_to(
    at: Temperature,
    held: GaugePressure,
    site: AbsolutePressure,
    sugar: SugarContent,
) -> Result<Carbonation, Refused> {
    let total = held.absolute(site)?;
    Ok(carbonation::dissolved(
        at,
        total,
        AbsolutePressure::VACUUM,
        sugar,
    )?)
}

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
pub(super) struct UptakeAnswer {
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

    fn calculate(&self) -> Result<Found<UptakeAnswer>, Refused> {
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
        Ok(Found::new(answer).mind_all(minding::pressure(self.rating_bar, held)))
    }
}

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
pub(super) struct ShakenAnswer {
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

    fn calculate(&self) -> Result<Found<ShakenAnswer>, Refused> {
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
        Ok(Found::new(answer).mind_all(minding::pressure(self.rating_bar, held)))
    }
}

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
pub(super) struct SpargedAnswer {
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

    fn calculate(&self) -> Result<Found<SpargedAnswer>, Refused> {
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
        Ok(Found::new(answer)
            .mind_all(minding::pressure(self.rating_bar, held))
            .mind_if(
                full.grams_per_litre() > 1.02 * target.grams_per_litre(),
                HIGH_PRESSURE,
            )
            .mind(GAS_RELEASE))
    }
}

/// How CO2 gets in.
#[derive(Debug, Clone, Copy, Serialize, serde::Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(super) enum UptakeMethod {
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
pub(super) struct TimeToTargetAnswer {
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

    fn calculate(&self) -> Result<Found<TimeToTargetAnswer>, Refused> {
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
        Ok(Found::new(answer)
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
