//! Neutralising chlorine with ascorbate.
//!
//! One mole of ascorbate takes up one mole of chlorine as Cl2. Monochloramine,
//! when measured as Cl2, takes the same amount but reacts more slowly. So dose
//! by *total* chlorine, and verify with a test strip.

use crate::limits::{Caution, Evidence};
use crate::{ChlorineResidual, Error, Fraction, Mass, Volume};

/// Overdose that field manuals add (Tikkanen et al., Guidance Manual for the
/// Disposal of Chlorinated Water, AWWARF): 10 %.
pub const FIELD_OVERDOSE: Fraction = Fraction::of(0.10);

/// A fixed dose is no measurement.
pub const MEASURE_FIRST: Caution = Caution {
    when: "a fixed dose is used",
    says: "the dose covers less chlorine than drinking water may hold; measure total chlorine, dose \
           by it, and verify with a strip",
    source: "40 CFR 141.65: 4 mg/L of chlorine or chloramines; 1:1 stoichiometry",
    evidence: Evidence::LookedUp,
};

/// Molar mass of Cl2, g/mol.
const CHLORINE_MOLAR_MASS: f64 = 70.906;

/// What is added to the water.
///
/// ```
/// use model::dechlorination::Agent;
///
/// assert!((Agent::SodiumAscorbate.per_chlorine() - 2.794).abs() < 1e-3);
/// assert!((Agent::AscorbicAcid.per_chlorine() - 2.484).abs() < 1e-3);
/// ```
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize, utoipa::ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Agent {
    /// Sodium ascorbate, neutral in taste: 198.106 g/mol.
    SodiumAscorbate,
    /// Ascorbic acid (vitamin C), slightly sour: 176.124 g/mol.
    AscorbicAcid,
}

impl Agent {
    /// Grams of agent that neutralise a gram of chlorine as Cl2.
    ///
    /// 1:1 molar stoichiometry; field guides print 2.8 and 2.5. See [`Agent`]
    /// for an example.
    #[must_use]
    pub const fn per_chlorine(self) -> f64 {
        let molar_mass = match self {
            Self::SodiumAscorbate => 198.106,
            Self::AscorbicAcid => 176.124,
        };
        molar_mass / CHLORINE_MOLAR_MASS
    }
}

/// How much to add to water with this total chlorine.
///
/// # Errors
///
/// [`Error::OutOfRange`] never for quantities in range.
///
/// ```
/// use model::{ChlorineResidual, Volume};
/// use model::dechlorination::{self, Agent, FIELD_OVERDOSE};
///
/// // 4 mg/L, the most that US drinking-water rules allow, in 30 L.
/// let dose = dechlorination::dose(
///     Agent::SodiumAscorbate,
///     ChlorineResidual::of(4.0),
///     Volume::of(30.0),
///     FIELD_OVERDOSE,
/// )?;
/// assert!((dose.grams() - 0.369).abs() < 0.001);
/// # Ok::<(), model::Error>(())
/// ```
pub fn dose(
    agent: Agent,
    total_chlorine: ChlorineResidual,
    water: Volume,
    overdose: Fraction,
) -> Result<Mass, Error> {
    let chlorine_grams = total_chlorine.milligrams_per_litre() * water.litres() / 1000.0;
    let grams = chlorine_grams * agent.per_chlorine() * (1.0 + overdose.value());
    Ok(Mass::from_grams(grams)?)
}

/// The total chlorine that a given dose covers.
///
/// # Errors
///
/// [`Error::OutOfRange`] when that is more than a [`ChlorineResidual`] can be,
/// as for any dose in no water.
///
/// ```
/// use model::{Fraction, Mass, Volume};
/// use model::dechlorination::{self, Agent};
///
/// // Common practice, no source: 5 mg of sodium ascorbate per litre.
/// let covered = dechlorination::covers(
///     Agent::SodiumAscorbate,
///     Mass::from_grams(0.005)?,
///     Volume::of(1.0),
///     Fraction::NONE,
/// )?;
/// assert!((covered.milligrams_per_litre() - 1.79).abs() < 0.01);
/// # Ok::<(), model::Error>(())
/// ```
pub fn covers(
    agent: Agent,
    dose: Mass,
    water: Volume,
    overdose: Fraction,
) -> Result<ChlorineResidual, Error> {
    if dose.kilograms() <= 0.0 {
        return Ok(ChlorineResidual::new(0.0)?);
    }
    let chlorine_milligrams =
        dose.grams() * 1000.0 / (agent.per_chlorine() * (1.0 + overdose.value()));
    Ok(ChlorineResidual::new(chlorine_milligrams / water.litres())?)
}
