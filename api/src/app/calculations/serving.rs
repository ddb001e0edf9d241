//! From the keg to the glass, as far as physics goes.

use model::about::{CO2_IN_WATER, GLASS, ICE_BALANCE, STILL_UPTAKE, YIELD};
use model::inputs::{
    Barometer, CurrentCarbonation, DrinkTemperature, GlassMass, IceMass, IceTemperature,
    LossVolume, Pour, RegulatorPressure, RoomTemperature, Surface, VesselVolume, WaitHours,
};
use model::limits::ICE_SOURCE;
use model::serving::{self, Glass, OnTap, PourLosses};
use model::{Carbonation, Elevation, Fraction, SugarContent};
use serde::Serialize;
use utoipa::ToSchema;

use super::calculation::{Calculate, Calculated, Card};
use super::inputs::inputs;
use super::minding;
use super::refused::Refused;
use super::uptake::{UptakePoint, curve};
use super::values::{
    AbsolutePressureValue, AreaValue, CarbonationValue, ElevationValue, GaugePressureValue,
    MassValue, Shown, SugarValue, TemperatureValue, TimeValue, VolumeValue,
};

inputs! {
    /// A keg to be poured.
    YieldInputs => YieldEcho {
        defaulted {
            /// Liquid in the keg.
            liquid_l: VesselVolume = 18.5 => liquid: VolumeValue,
            /// Share of what leaves the tap that is thrown away as foam (common practice, no
            /// source).
            foam: Fraction = 0.05 => foam: Fraction,
            /// Liquid left in the line when the keg is changed (common practice, no source).
            line_l: LossVolume = 0.2 => line: VolumeValue,
            /// Liquid the dip tube does not reach (common practice, no source).
            heel_l: LossVolume = 0.2 => heel: VolumeValue,
            /// Drink in one glass, without its ice.
            serving_l: Pour = 0.25 => serving: VolumeValue,
        }
    }
}

/// What a keg yields.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct YieldAnswer {
    /// Drink that reaches glasses.
    poured: VolumeValue,
    /// Whole glasses of it.
    #[schema(minimum = 0, example = 68)]
    servings: u32,
}

impl Calculate for YieldInputs {
    type Answer = YieldAnswer;

    const CARD: Card = Card {
        name: "serving/yield",
        title: "What a keg really yields",
        answers: "How many litres and glasses does a keg give after foam, line and heel? The losses \
                  are inputs: physics does not settle them.",
        equations: &[YIELD],
        blamed: &["liquid_l", "serving_l"],
        example: r#"{"liquid_l": 18.5, "serving_l": 0.25}"#,
    };

    fn calculate(&self) -> Result<Calculated<YieldAnswer>, Refused> {
        let losses = PourLosses {
            foam: self.foam(),
            line: self.line_l().into(),
            heel: self.heel_l().into(),
        };
        let liquid = self.liquid_l().into();
        Ok(Calculated::new(YieldAnswer {
            poured: Shown::of(serving::poured_volume(liquid, &losses)?),
            servings: serving::servings(liquid, &losses, self.serving_l().into())?,
        }))
    }
}

inputs! {
    /// A cold drink and a warm glass.
    WarmGlassInputs => WarmGlassEcho at site {
        required {
            /// Temperature of the drink.
            drink_c: DrinkTemperature => drink_temperature: TemperatureValue,
            /// CO2 in it.
            carbonation_g_per_l: CurrentCarbonation => carbonation: CarbonationValue,
        }
        defaulted {
            /// Drink in the glass.
            drink_l: Pour = 0.25 => drink: VolumeValue,
            /// Mass of the glass.
            glass_kg: GlassMass = 0.35 => glass: MassValue,
            /// Temperature of the glass.
            glass_c: RoomTemperature = 22.0 => glass_temperature: TemperatureValue,
            /// Sugar in the drink.
            sugar_brix: SugarContent = 0.0 => sugar: SugarValue,
        }
    }
}

/// A drink in a glass.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct WarmGlassAnswer {
    /// Temperature once drink and glass agree.
    temperature: TemperatureValue,
    /// CO2 the drink keeps however long it stands, were the air above it pure CO2.
    stable: CarbonationValue,
    /// Share of its CO2 that is free to leave as bubbles. How much leaves in the pour depends on
    /// foam, nozzle and glass: no physics settles it.
    at_risk: Fraction,
    /// CO2 that the drink would keep in a glass as cold as itself and does not in this one: what a
    /// warm glass costs at the least.
    cost: CarbonationValue,
}

impl Calculate for WarmGlassInputs {
    type Answer = WarmGlassAnswer;

    const CARD: Card = Card {
        name: "serving/warm-glass",
        title: "A cold drink in a warm glass",
        answers: "How warm does the drink get, how much of its CO2 is then free to leave, and how much \
                  of that would a chilled glass have kept?",
        equations: &[GLASS, CO2_IN_WATER],
        blamed: &["glass_kg", "glass_c", "drink_l"],
        example: r#"{"drink_c": 4, "carbonation_g_per_l": 7.9, "glass_kg": 0.35, "glass_c": 22}"#,
    };

    fn calculate(&self) -> Result<Calculated<WarmGlassAnswer>, Refused> {
        let poured = serving::poured(
            self.drink_l().into(),
            self.drink_c.into(),
            self.carbonation_g_per_l.into(),
            self.sugar_brix(),
            Glass {
                mass: self.glass_kg().into(),
                temperature: self.glass_c().into(),
            },
            self.atmosphere()?,
        )?;
        Ok(Calculated::new(WarmGlassAnswer {
            temperature: Shown::of(poured.temperature),
            stable: Shown::of(poured.stable),
            at_risk: poured.at_risk,
            cost: Shown::of(poured.cost),
        }))
    }
}

inputs! {
    /// A drink over ice.
    GlassIceInputs => GlassIceEcho {
        required {
            /// Temperature of the drink.
            drink_c: DrinkTemperature => drink_temperature: TemperatureValue,
            /// CO2 in it.
            carbonation_g_per_l: CurrentCarbonation => carbonation: CarbonationValue,
            /// Ice in the glass.
            ice_kg: IceMass => ice: MassValue,
        }
        defaulted {
            /// Drink in the glass.
            drink_l: Pour = 0.2 => drink: VolumeValue,
            /// Temperature of the ice.
            ice_c: IceTemperature = 0.0 => ice_temperature: TemperatureValue,
        }
    }
}

/// A drink that has cooled itself on ice.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct GlassIceAnswer {
    /// Temperature once drink and ice agree.
    temperature: TemperatureValue,
    /// Ice that has melted into it.
    melted: MassValue,
    /// Share of the drink that is meltwater.
    dilution: Fraction,
    /// CO2 in the diluted drink, had none escaped: the most there can be.
    carbonation: CarbonationValue,
}

impl Calculate for GlassIceInputs {
    type Answer = GlassIceAnswer;

    const CARD: Card = Card {
        name: "serving/glass-ice",
        title: "A drink over ice",
        answers: "How cold and how thin does a drink get over ice, before heat comes in from glass \
                  and room? Ice also gives bubbles places to form: no physics settles that.",
        equations: &[GLASS, ICE_BALANCE],
        blamed: &["ice_kg", "drink_c"],
        example: r#"{"drink_c": 6, "carbonation_g_per_l": 7.9, "ice_kg": 0.15}"#,
    };

    fn calculate(&self) -> Result<Calculated<GlassIceAnswer>, Refused> {
        let iced = serving::over_ice(
            self.drink_l().into(),
            self.drink_c.into(),
            self.carbonation_g_per_l.into(),
            self.ice_kg.into(),
            self.ice_c().into(),
        )?;
        let answer = GlassIceAnswer {
            temperature: Shown::of(iced.temperature),
            melted: Shown::of(iced.melted),
            dilution: iced.dilution,
            carbonation: Shown::of(iced.content),
        };
        Ok(Calculated::new(answer).mind(ICE_SOURCE.judge(true)))
    }
}

inputs! {
    /// A keg on tap.
    OnTapInputs => OnTapEcho at site {
        required {
            /// Temperature of the drink.
            temperature_c: DrinkTemperature => temperature: TemperatureValue,
            /// Serving pressure.
            pressure_bar: RegulatorPressure => pressure: GaugePressureValue,
            /// CO2 in it at the start.
            carbonation_g_per_l: CurrentCarbonation => carbonation: CarbonationValue,
            /// How long it is on tap.
            time_h: WaitHours => time: TimeValue,
        }
        defaulted {
            /// Liquid left.
            liquid_l: VesselVolume = 10.0 => liquid: VolumeValue,
            /// Surface of the liquid.
            surface_m2: Surface = 0.0363 => surface: AreaValue,
            /// Sugar in the drink.
            sugar_brix: SugarContent = 0.0 => sugar: SugarValue,
        }
    }
}

/// A keg after a time on tap.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct OnTapAnswer {
    /// CO2 in it then; where it was above its equilibrium, the lowest it can fall to.
    carbonation: CarbonationValue,
    /// CO2 the keg tends to.
    equilibrium: CarbonationValue,
    /// Whether it may lose CO2: its pressure is below that of its content.
    #[schema(example = false)]
    may_go_flat: bool,
    /// CO2 at evenly spaced times, from the start to the end; where it may go flat, the lowest it
    /// can fall to.
    curve: Vec<UptakePoint>,
}

impl Calculate for OnTapInputs {
    type Answer = OnTapAnswer;

    const CARD: Card = Card {
        name: "serving/on-tap",
        title: "A keg's CO2 after a time on tap",
        answers: "How carbonated is what is left after days on tap? How long a drink keeps its taste \
                  is not physics: set a shelf life for each product.",
        equations: &[STILL_UPTAKE, CO2_IN_WATER],
        blamed: &["pressure_bar", "temperature_c"],
        example: r#"{"temperature_c": 4, "pressure_bar": 2.5, "carbonation_g_per_l": 8, "time_h": 48}"#,
    };

    fn calculate(&self) -> Result<Calculated<OnTapAnswer>, Refused> {
        let keg = OnTap {
            liquid: self.liquid_l().into(),
            surface: self.surface_m2().into(),
            temperature: self.temperature_c.into(),
            held: self.pressure_bar.into(),
            sugar: self.sugar_brix(),
            atmosphere: self.atmosphere()?,
        };
        let (content, time) = (
            Carbonation::from(self.carbonation_g_per_l),
            self.time_h.into(),
        );
        let equilibrium = keg.equilibrium()?;
        let answer = OnTapAnswer {
            carbonation: Shown::of(serving::content_after(&keg, content, time)?),
            equilibrium: Shown::of(equilibrium),
            may_go_flat: content > equilibrium,
            curve: curve(time, |time| serving::content_after(&keg, content, time))?,
        };
        Ok(Calculated::new(answer).mind_all(minding::pressure(None, keg.held)))
    }
}
