//! Taking chlorine out of tap water.

use model::about::{ASCORBATE, CARBON_FILTER};
use model::dechlorination::{self, Agent, CarbonFilter, Chlorine};
use model::inputs::{AscorbateDose, AscorbateOverdose, Batch, FilterVolume, TapFlow};
use model::limits::{CHLORAMINES, CHLORINE};
use model::{ChlorineResidual, Fraction, Volume};
use serde::Serialize;
use utoipa::ToSchema;

use super::calculation::{Calculate, Calculated, Card};
use super::inputs::inputs;
use super::refused::Refused;
use super::values::{ChlorineValue, MassValue, Shown, TimeValue, VolumeValue, WaterFlowValue};

inputs! {
    /// Water with chlorine in it.
    AscorbateInputs => AscorbateEcho {
        required {
            /// Total chlorine as measured, free chlorine and chloramine, as Cl2.
            total_chlorine_mg_per_l: ChlorineResidual => total_chlorine: ChlorineValue,
            /// Water to be treated.
            water_l: Batch => water: VolumeValue,
        }
        defaulted {
            /// Share added beyond stoichiometry; field manuals add 10 %.
            overdose: AscorbateOverdose = 0.1 => overdose: Fraction,
        }
        optional {
            /// Free chlorine as measured, to tell chloramine apart.
            free_chlorine_mg_per_l: ChlorineResidual => free_chlorine: ChlorineValue,
        }
        choices {
            /// What is added.
            agent: Agent,
        }
    }
}

/// How much to add.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct AscorbateAnswer {
    /// What to add to all of the water.
    dose: MassValue,
    /// What to add to each litre.
    per_litre: MassValue,
    /// Chloramine, as Cl2; null where free chlorine was not measured.
    chloramine: Option<ChlorineValue>,
    /// Whether most of it is chloramine, which reacts more slowly: wait and verify with a strip.
    /// Null where free chlorine was not measured.
    #[schema(example = false)]
    chloraminated: Option<bool>,
}

impl Calculate for AscorbateInputs {
    type Answer = AscorbateAnswer;

    const CARD: Card = Card {
        name: "dechlorination/ascorbate",
        title: "Ascorbate that takes out the chlorine",
        answers: "How much sodium ascorbate or ascorbic acid neutralises the measured chlorine? \
                  Dose by total chlorine: a strip for free chlorine alone misses chloramine.",
        equations: &[ASCORBATE],
        blamed: &["free_chlorine_mg_per_l", "total_chlorine_mg_per_l"],
        example: r#"{"agent": "sodium_ascorbate", "total_chlorine_mg_per_l": 4, "water_l": 30}"#,
    };

    fn calculate(&self) -> Result<Calculated<AscorbateAnswer>, Refused> {
        let (total, overdose) = (self.total_chlorine_mg_per_l, self.overdose().into());
        let dose = |water| dechlorination::dose(self.agent, total, water, overdose);
        let apart = self.free_chlorine_mg_per_l;
        let apart = apart.map(|free| Chlorine::new(free, total)).transpose()?;
        let chloramine = apart.map(|apart| apart.combined()).transpose()?;
        let answer = AscorbateAnswer {
            dose: Shown::of(dose(self.water_l.into())?),
            per_litre: Shown::of(dose(Volume::of(1.0))?),
            chloramine: Shown::of(chloramine),
            chloraminated: apart.map(|apart| apart.is_chloraminated()).transpose()?,
        };
        let lawful = CHLORINE.judge(total.milligrams_per_litre());
        let chloramine = chloramine.map(|c| CHLORAMINES.judge(c.milligrams_per_litre()));
        let unlawful = chloramine.filter(|verdict| !verdict.accepted);
        Ok(Calculated::new(answer)
            .mind_if(!lawful.accepted, lawful)
            .mind_all(unlawful.map(Into::into)))
    }
}

inputs! {
    /// A dose in some water.
    DoseCoversInputs => DoseCoversEcho {
        required {
            /// What is added to all of the water.
            dose_g: AscorbateDose => dose: MassValue,
            /// Water that is treated.
            water_l: Batch => water: VolumeValue,
        }
        defaulted {
            /// Share of the dose that is to be spare.
            overdose: AscorbateOverdose = 0.0 => overdose: Fraction,
        }
        choices {
            /// What is added.
            agent: Agent,
        }
    }
}

/// What a dose covers.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct DoseCoversAnswer {
    /// Total chlorine it neutralises.
    covers: ChlorineValue,
    /// The most chlorine that drinking-water rules of the US allow, for comparison.
    allowed_in_mains: ChlorineValue,
}

impl Calculate for DoseCoversInputs {
    type Answer = DoseCoversAnswer;

    const CARD: Card = Card {
        name: "dechlorination/dose-covers",
        title: "Chlorine that a dose covers",
        answers: "How much chlorine does this dose neutralise? The usual 5 mg/L (common practice, no \
                  source) covers less than tap water may hold.",
        equations: &[ASCORBATE],
        blamed: &["dose_g", "water_l"],
        example: r#"{"agent": "sodium_ascorbate", "dose_g": 0.15, "water_l": 30}"#,
    };

    fn calculate(&self) -> Result<Calculated<DoseCoversAnswer>, Refused> {
        let (dose, water) = (self.dose_g.into(), self.water_l.into());
        let covers = dechlorination::covers(self.agent, dose, water, self.overdose().into())?;
        let short = CHLORINE.value > covers.milligrams_per_litre();
        let answer = DoseCoversAnswer {
            covers: Shown::of(covers),
            allowed_in_mains: Shown::of(ChlorineResidual::new(CHLORINE.value)?),
        };
        Ok(Calculated::new(answer).mind_if(short, dechlorination::MEASURE_FIRST))
    }
}

inputs! {
    /// A carbon filter with the rating printed on it.
    CarbonFilterInputs => CarbonFilterEcho {
        required {
            /// Volume of the carbon bed.
            bed_l: FilterVolume => bed: VolumeValue,
            /// Water it is rated for.
            rated_volume_l: FilterVolume => rated_volume: VolumeValue,
            /// Chlorine in the water it is rated with.
            rated_chlorine_mg_per_l: ChlorineResidual => rated_chlorine: ChlorineValue,
            /// Flow through it.
            flow_l_per_min: TapFlow => flow: WaterFlowValue,
            /// Chlorine in the water that passes.
            chlorine_mg_per_l: ChlorineResidual => chlorine: ChlorineValue,
        }
        optional {
            /// Water that has passed already; then the share used up is given.
            passed_l: FilterVolume => passed: VolumeValue,
        }
    }
}

/// How long the filter does.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct CarbonFilterAnswer {
    /// Empty-bed contact time.
    contact_time: TimeValue,
    /// Water of this chlorine that exhausts the rating.
    lasts_for: VolumeValue,
    /// Share of the rating used up; null where it is not said what has passed.
    used_up: Option<Fraction>,
}

impl Calculate for CarbonFilterInputs {
    type Answer = CarbonFilterAnswer;

    const CARD: Card = Card {
        name: "dechlorination/carbon-filter",
        title: "A carbon filter instead of ascorbate",
        answers: "How long is the water in touch with the carbon, and how much water does its rating \
                  last for? How long a bed really lasts is not physics: the maker's rating is an \
                  input.",
        equations: &[CARBON_FILTER],
        blamed: &["chlorine_mg_per_l", "rated_chlorine_mg_per_l"],
        example: r#"{"bed_l": 1, "rated_volume_l": 6000, "rated_chlorine_mg_per_l": 2, "flow_l_per_min": 2, "chlorine_mg_per_l": 4, "passed_l": 1500}"#,
    };

    fn calculate(&self) -> Result<Calculated<CarbonFilterAnswer>, Refused> {
        let filter = CarbonFilter {
            bed: self.bed_l.into(),
            rated_volume: self.rated_volume_l.into(),
            rated_chlorine: self.rated_chlorine_mg_per_l,
        };
        let chlorine = self.chlorine_mg_per_l;
        let used_up = self
            .passed_l
            .map(|passed| filter.used_up(passed.into(), chlorine));
        Ok(Calculated::new(CarbonFilterAnswer {
            contact_time: Shown::of(filter.contact_time(self.flow_l_per_min.into())?),
            lasts_for: Shown::of(filter.lasts_for(chlorine)?),
            used_up: used_up.transpose()?,
        })
        .mind(dechlorination::CHLORAMINE_PASSES))
    }
}
