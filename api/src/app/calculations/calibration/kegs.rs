//! What happens in a site's kegs: residual air, purges, uptake.

use model::about::REGRESSION;
use model::calibration::{self, AirReading, ContentReading, PurgeReading};
use model::headspace::{Mixing, Purging};
use model::inputs::{
    Amount, Barometer, CurrentCarbonation, PurgeCount, RegulatorPressure, ShortWait, TransferRate,
    WantedCarbonation, WaterAir,
};
use model::kinetics::SHAKEN;
use model::{Elevation, Factor, Fraction, MassTransfer};

use super::{estimate, estimated, trusted};
use crate::app::calculations::calculation::{Calculate, Calculated, Card};
use crate::app::calculations::inputs::inputs;
use crate::app::calculations::refused::Refused;
use crate::app::calculations::values::{
    AbsolutePressureValue, AirContentValue, CarbonationValue, ElevationValue, GaugePressureValue,
    MassTransferValue, TimeValue,
};

inputs! {
    /// Air measured where the model gives a value.
    AirReadingInputs => AirReadingEcho {
        required {
            /// What the model says, as `air/after-heating` or `air/reaeration`; oxygen alone if the
            /// meter shows that.
            modelled_mg_per_l: WaterAir => modelled: AirContentValue,
            /// What the meter says, of the same gas.
            measured_mg_per_l: WaterAir => measured: AirContentValue,
        }
    }
}

inputs! {
    /// Air measured after heating, or after standing open.
    AirFactorInputs => AirFactorEcho {
        defaulted {
            /// The factor expected.
            theory: Factor = 1.0 => theory: Factor,
        }
        optional {
            /// Where the estimate is to be used, mg/L by the model; refused outside the readings.
            use_at: Amount => use_at: Amount,
        }
        lists {
            /// The readings.
            readings: AirReadingInputs[1, 500] => AirReadingEcho,
        }
    }
}

estimate! {
    /// Air measured over air modelled.
    AirFactorAnswer: Factor
}

impl Calculate for AirFactorInputs {
    type Answer = AirFactorAnswer;

    const CARD: Card = Card {
        name: "calibration/air-factor",
        title: "Air really left over air by theory",
        answers: "How much more air than equilibrium does this site's heating leave, or its water \
                  take up again? One factor for each.",
        equations: &[REGRESSION],
        blamed: &["readings"],
        example: r#"{"readings": [{"modelled_mg_per_l": 1.5, "measured_mg_per_l": 2.2}, {"modelled_mg_per_l": 1, "measured_mg_per_l": 1.6}]}"#,
    };

    fn calculate(&self) -> Result<Calculated<AirFactorAnswer>, Refused> {
        let readings: Vec<AirReading> = self
            .readings
            .iter()
            .map(|reading| AirReading {
                modelled: reading.modelled_mg_per_l.into(),
                measured: reading.measured_mg_per_l.into(),
            })
            .collect();
        let found = trusted(
            calibration::air_factor(&readings, self.theory())?,
            self.use_at,
        )?;
        Ok(Calculated::new(
            estimated!(AirFactorAnswer from found, Factor),
        ))
    }
}

inputs! {
    /// Headspace air found after purging.
    PurgeReadingInputs => PurgeReadingEcho {
        required {
            /// How often the keg was purged.
            purges: PurgeCount => purges: PurgeCount,
            /// Pressure before each vent.
            purge_bar: RegulatorPressure => purge: GaugePressureValue,
            /// Share of the headspace air that was left.
            air_left: Fraction => air_left: Fraction,
        }
    }
}

inputs! {
    /// Kegs that were purged promptly and looked at.
    PurgeWorthInputs => PurgeWorthEcho at site {
        defaulted {
            /// The effectiveness expected.
            theory: Fraction = 1.0 => theory: Fraction,
        }
        optional {
            /// Where the estimate is to be used, number of purges; refused outside the readings.
            use_at: Amount => use_at: Amount,
        }
        lists {
            /// The readings; those without air left are left out.
            readings: PurgeReadingInputs[1, 500] => PurgeReadingEcho,
        }
    }
}

estimate! {
    /// Perfect purges that one purge is worth.
    PurgeWorthAnswer: Factor
}

impl Calculate for PurgeWorthInputs {
    type Answer = PurgeWorthAnswer;

    const CARD: Card = Card {
        name: "calibration/purges",
        title: "What a purge is really worth",
        answers: "How many perfect purges is one of this site's purges worth?",
        equations: &[REGRESSION],
        blamed: &["readings"],
        example: r#"{"readings": [{"purges": 1, "purge_bar": 2, "air_left": 0.42}, {"purges": 3, "purge_bar": 2, "air_left": 0.07}]}"#,
    };

    fn calculate(&self) -> Result<Calculated<PurgeWorthAnswer>, Refused> {
        let readings: Vec<PurgeReading> = self
            .readings
            .iter()
            .map(|reading| PurgeReading {
                purging: Purging {
                    gauge: reading.purge_bar.into(),
                    count: reading.purges.value(),
                    mixing: Mixing::Prompt,
                },
                air_left: reading.air_left,
            })
            .collect();
        let found = calibration::purges(&readings, self.atmosphere()?, self.theory())?;
        let found = trusted(found, self.use_at)?;
        Ok(Calculated::new(
            estimated!(PurgeWorthAnswer from found, Factor),
        ))
    }
}

inputs! {
    /// CO2 measured at a time.
    ContentReadingInputs => ContentReadingEcho {
        required {
            /// Time since the start.
            time_s: ShortWait => time: TimeValue,
            /// CO2 then.
            carbonation_g_per_l: CurrentCarbonation => carbonation: CarbonationValue,
        }
    }
}

inputs! {
    /// A keg that was shaken or sparged, and measured on the way.
    MassTransferInputs => MassTransferEcho {
        required {
            /// CO2 it tends to, as `carbonation/dissolved` gives it.
            equilibrium_g_per_l: WantedCarbonation => equilibrium: CarbonationValue,
        }
        defaulted {
            /// CO2 at the start.
            start_g_per_l: CurrentCarbonation = 0.0 => start: CarbonationValue,
        }
        optional {
            /// The coefficient expected; the middle of the range for shaking where nothing is said.
            theory_per_s: TransferRate => theory: MassTransferValue,
            /// Where the estimate is to be used, share of the gap closed; refused outside the
            /// readings.
            use_at: Amount => use_at: Amount,
        }
        lists {
            /// The readings; those that have closed more than 98 % of the gap are left out.
            readings: ContentReadingInputs[1, 500] => ContentReadingEcho,
        }
    }
}

estimate! {
    /// Mass-transfer coefficient of a method.
    MassTransferAnswer: MassTransferValue
}

impl Calculate for MassTransferInputs {
    type Answer = MassTransferAnswer;

    const CARD: Card = Card {
        name: "calibration/mass-transfer",
        title: "How fast a method carbonates, from readings",
        answers: "How fast does this person's shaking, or this stone, really carbonate?",
        equations: &[REGRESSION],
        blamed: &["readings", "equilibrium_g_per_l"],
        example: r#"{"equilibrium_g_per_l": 9.1, "readings": [{"time_s": 60, "carbonation_g_per_l": 2.9}, {"time_s": 120, "carbonation_g_per_l": 4.9}, {"time_s": 240, "carbonation_g_per_l": 7.2}]}"#,
    };

    fn calculate(&self) -> Result<Calculated<MassTransferAnswer>, Refused> {
        let readings: Vec<ContentReading> = self
            .readings
            .iter()
            .map(|reading| ContentReading {
                time: reading.time_s.into(),
                content: reading.carbonation_g_per_l.into(),
            })
            .collect();
        let theory = self
            .theory_per_s
            .map_or(SHAKEN.typical(), MassTransfer::from);
        let (start, full) = (self.start_g_per_l().into(), self.equilibrium_g_per_l.into());
        let found = calibration::mass_transfer(&readings, start, full, theory)?;
        let found = trusted(found, self.use_at)?;
        Ok(Calculated::new(
            estimated!(MassTransferAnswer from found, MassTransfer),
        ))
    }
}
