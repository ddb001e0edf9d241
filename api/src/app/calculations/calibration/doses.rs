//! Ice and ascorbate a site really uses.

use model::about::REGRESSION;
use model::calibration::{self, DoseReading, IceReading};
use model::inputs::{Amount, AscorbateDose, IceMass};
use model::{Factor, IceFactor};

use super::{estimate, estimated, trusted};
use crate::app::calculations::calculation::{Calculate, Calculated, Card};
use crate::app::calculations::inputs::inputs;
use crate::app::calculations::refused::Refused;
use crate::app::calculations::values::MassValue;

inputs! {
    /// A batch cooled with ice.
    IceReadingInputs => IceReadingEcho {
        required {
            /// Ice that theory asked for, with a factor of 1.
            theory_kg: IceMass => theory: MassValue,
            /// Ice really used.
            used_kg: IceMass => used: MassValue,
        }
    }
}

inputs! {
    /// Batches cooled with ice.
    IceFactorInputs => IceFactorEcho {
        defaulted {
            /// The ice factor expected.
            theory: IceFactor = 1.1 => theory: IceFactor,
        }
        optional {
            /// Where the estimate is to be used, kg of ice by theory; refused outside the readings.
            use_at: Amount => use_at: Amount,
        }
        lists {
            /// The batches.
            readings: IceReadingInputs[1, 500] => IceReadingEcho,
        }
    }
}

estimate! {
    /// Ice used over ice needed by theory.
    IceFactorAnswer: Factor
}

impl Calculate for IceFactorInputs {
    type Answer = IceFactorAnswer;

    const CARD: Card = Card {
        name: "calibration/ice-factor",
        title: "Ice really used over ice by theory",
        answers: "How much more ice than theory does this site use?",
        equations: &[REGRESSION],
        blamed: &["readings"],
        example: r#"{"readings": [{"theory_kg": 8, "used_kg": 9}, {"theory_kg": 10, "used_kg": 11.5}]}"#,
    };

    fn calculate(&self) -> Result<Calculated<IceFactorAnswer>, Refused> {
        let readings: Vec<IceReading> = self
            .readings
            .iter()
            .map(|reading| IceReading {
                theory: reading.theory_kg.into(),
                used: reading.used_kg.into(),
            })
            .collect();
        let found = calibration::ice_factor(&readings, self.theory())?;
        let found = trusted(found, self.use_at)?;
        Ok(Calculated::new(
            estimated!(IceFactorAnswer from found, Factor),
        ))
    }
}

inputs! {
    /// A batch of water brought to no chlorine by a strip.
    DoseReadingInputs => DoseReadingEcho {
        required {
            /// Dose by stoichiometry, without any overdose.
            theory_g: AscorbateDose => theory: MassValue,
            /// Dose it really took.
            used_g: AscorbateDose => used: MassValue,
        }
    }
}

inputs! {
    /// Batches of water dosed until a strip showed no chlorine.
    DoseFactorInputs => DoseFactorEcho {
        defaulted {
            /// The dose factor expected.
            theory: Factor = 1.1 => theory: Factor,
        }
        optional {
            /// Where the estimate is to be used, g by stoichiometry; refused outside the readings.
            use_at: Amount => use_at: Amount,
        }
        lists {
            /// The batches.
            readings: DoseReadingInputs[1, 500] => DoseReadingEcho,
        }
    }
}

estimate! {
    /// Dose used over dose by stoichiometry.
    DoseFactorAnswer: Factor
}

impl Calculate for DoseFactorInputs {
    type Answer = DoseFactorAnswer;

    const CARD: Card = Card {
        name: "calibration/ascorbate-dose",
        title: "Ascorbate really used over ascorbate by theory",
        answers: "How much more ascorbate than stoichiometry does this water take?",
        equations: &[REGRESSION],
        blamed: &["readings"],
        example: r#"{"readings": [{"theory_g": 0.3, "used_g": 0.36}]}"#,
    };

    fn calculate(&self) -> Result<Calculated<DoseFactorAnswer>, Refused> {
        let readings: Vec<DoseReading> = self
            .readings
            .iter()
            .map(|reading| DoseReading {
                theory: reading.theory_g.into(),
                used: reading.used_g.into(),
            })
            .collect();
        let found = calibration::dose_factor(&readings, self.theory())?;
        let found = trusted(found, self.use_at)?;
        Ok(Calculated::new(
            estimated!(DoseFactorAnswer from found, Factor),
        ))
    }
}
