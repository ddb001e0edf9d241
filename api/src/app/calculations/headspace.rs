//! Air trapped in a keg, and what purging does about it.

use model::about::{AIR_AFTER_PURGING, CO2_IN_WATER};
use model::headspace::{self, Fill, Mixing, Purging};
use model::inputs::{
    Barometer, DrinkTemperature, PurgeCount, RegulatorPressure, VesselRating, VesselVolume,
    WaterAir,
};
use model::limits::GAS_RELEASE;
use model::{AbsolutePressure, Elevation, Fraction, GaugePressure, SugarContent, carbonation};
use serde::Serialize;
use utoipa::ToSchema;

use super::calculation::{Calculate, Calculated, Card};
use super::inputs::inputs;
use super::minding;
use super::refused::Refused;
use super::values::{
    AbsolutePressureValue, AirContentValue, CarbonationValue, ElevationValue, GaugePressureValue,
    Shown, SugarValue, TemperatureValue, VolumeValue,
};

inputs! {
    /// A keg just filled, purged and put under pressure.
    SealedKegInputs => SealedKegEcho at site {
        required {
            /// Air dissolved in the water when it was filled.
            air_mg_per_l: WaterAir => air: AirContentValue,
            /// Temperature at which the keg comes to equilibrium.
            temperature_c: DrinkTemperature => temperature: TemperatureValue,
            /// Pressure it is held at.
            pressure_bar: RegulatorPressure => pressure: GaugePressureValue,
        }
        defaulted {
            /// What the keg holds to the brim.
            brim_l: VesselVolume = 19.5 => brim: VolumeValue,
            /// Liquid in it.
            liquid_l: VesselVolume = 18.5 => liquid: VolumeValue,
            /// How often it is purged.
            purges: PurgeCount = 0 => purges: PurgeCount,
            /// Pressure before each vent.
            purge_bar: RegulatorPressure = 2.0 => purge: GaugePressureValue,
            /// How many perfect purges one purge is worth, as `calibration/purges` finds.
            effectiveness: Fraction = 1.0 => effectiveness: Fraction,
            /// Sugar in the drink.
            sugar_brix: SugarContent = 0.0 => sugar: SugarValue,
        }
        optional {
            /// Rating stamped on the keg, to be warned by.
            rating_bar: VesselRating => rating: GaugePressureValue,
        }
        choices {
            /// Whether the keg is shaken between purges.
            mixing: Mixing,
        }
    }
}

/// The keg once it has come to equilibrium.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct SealedKegAnswer {
    /// Partial pressure of the air that is left.
    air: AbsolutePressureValue,
    /// Share of the CO2 that this air keeps out.
    loss: Fraction,
    /// CO2 dissolved in the end.
    carbonation: CarbonationValue,
    /// The same without any air.
    without_air: CarbonationValue,
}

impl Calculate for SealedKegInputs {
    type Answer = SealedKegAnswer;

    const CARD: Card = Card {
        name: "headspace/sealed-keg",
        title: "Air left in a purged keg",
        answers: "How much CO2 does the air in a keg keep out, given headspace, dissolved air, \
                  purges and whether it is shaken between them?",
        equations: &[AIR_AFTER_PURGING, CO2_IN_WATER],
        blamed: &["pressure_bar", "purge_bar", "temperature_c"],
        example: r#"{"air_mg_per_l": 4.75, "temperature_c": 2, "pressure_bar": 2, "purges": 3, "mixing": "prompt"}"#,
    };

    fn calculate(&self) -> Result<Calculated<SealedKegAnswer>, Refused> {
        let (site, held): (_, GaugePressure) = (self.atmosphere()?, self.pressure_bar.into());
        let fill = Fill {
            brim: self.brim_l().into(),
            liquid: self.liquid_l().into(),
            air: self.air_mg_per_l.into(),
            temperature: self.temperature_c.into(),
            atmosphere: site,
        };
        let purging = Purging {
            gauge: self.purge_bar().into(),
            count: self.purges().value(),
            mixing: self.mixing,
        };
        let purging = purging.as_done(self.effectiveness(), site)?;
        let air = headspace::air_pressure(&fill, &purging)?;
        let (total, sugar) = (held.absolute(site)?, self.sugar_brix());
        let holds = |air| carbonation::dissolved(fill.temperature, total, air, sugar);
        let answer = SealedKegAnswer {
            air: Shown::of(air),
            loss: headspace::loss(&fill, &purging, held)?,
            carbonation: Shown::of(holds(air)?),
            without_air: Shown::of(holds(AbsolutePressure::VACUUM)?),
        };
        Ok(Calculated::new(answer)
            .mind_all(minding::pressure(self.rating_bar, held))
            .mind(GAS_RELEASE))
    }
}

inputs! {
    /// A keg to be purged until its air matters little.
    PurgesInputs => PurgesEcho at site {
        required {
            /// Air dissolved in the water when it was filled.
            air_mg_per_l: WaterAir => air: AirContentValue,
            /// Temperature at which the keg comes to equilibrium.
            temperature_c: DrinkTemperature => temperature: TemperatureValue,
            /// Pressure it is held at.
            pressure_bar: RegulatorPressure => pressure: GaugePressureValue,
            /// Share of the CO2 that air may keep out.
            allowed_loss: Fraction => allowed_loss: Fraction,
        }
        defaulted {
            /// What the keg holds to the brim.
            brim_l: VesselVolume = 19.5 => brim: VolumeValue,
            /// Liquid in it.
            liquid_l: VesselVolume = 18.5 => liquid: VolumeValue,
            /// Pressure before each vent.
            purge_bar: RegulatorPressure = 2.0 => purge: GaugePressureValue,
            /// How many perfect purges one purge is worth, as `calibration/purges` finds.
            effectiveness: Fraction = 1.0 => effectiveness: Fraction,
        }
        choices {
            /// Whether the keg is shaken between purges.
            mixing: Mixing,
        }
    }
}

/// How often to purge.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct PurgesAnswer {
    /// The fewest purges that are enough.
    #[schema(minimum = 0, maximum = 1000, example = 3)]
    purges: u32,
    /// Share of the CO2 that air then keeps out.
    loss: Fraction,
}

impl Calculate for PurgesInputs {
    type Answer = PurgesAnswer;

    const CARD: Card = Card {
        name: "headspace/purges-needed",
        title: "Purges that a keg needs",
        answers: "How often must a keg be purged so that air keeps out no more than this share of \
                  its CO2? Purging promptly never removes dissolved air.",
        equations: &[AIR_AFTER_PURGING],
        blamed: &["allowed_loss", "purge_bar"],
        example: r#"{"air_mg_per_l": 4.75, "temperature_c": 2, "pressure_bar": 2, "allowed_loss": 0.03, "mixing": "prompt"}"#,
    };

    fn calculate(&self) -> Result<Calculated<PurgesAnswer>, Refused> {
        let (site, held): (_, GaugePressure) = (self.atmosphere()?, self.pressure_bar.into());
        let fill = Fill {
            brim: self.brim_l().into(),
            liquid: self.liquid_l().into(),
            air: self.air_mg_per_l.into(),
            temperature: self.temperature_c.into(),
            atmosphere: site,
        };
        let purging = Purging {
            gauge: self.purge_bar().into(),
            count: 0,
            mixing: self.mixing,
        };
        let really = purging.as_done(self.effectiveness(), site)?;
        let allowed = self.allowed_loss;
        let purges = headspace::purges_needed(&fill, really.gauge, self.mixing, held, allowed)?;
        let done = Purging {
            count: purges,
            ..really
        };
        let answer = PurgesAnswer {
            purges,
            loss: headspace::loss(&fill, &done, held)?,
        };
        Ok(Calculated::new(answer)
            .mind_all(minding::pressure(None, self.purge_bar().into()))
            .mind(GAS_RELEASE))
    }
}
