//! What stands beside an answer: equations, ranges, uncertainty, cautions.

use model::about::{Basis, Equation, Uncertainty};
use model::limits::{Caution, Evidence, RuleVerdict, Verdict};
use serde::Serialize;
use utoipa::ToSchema;

/// An equation behind an answer.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct EquationNote {
    /// What it gives.
    #[schema(example = "CO2 dissolved at equilibrium with a pressure")]
    gives: &'static str,
    /// Its form in words or symbols.
    #[schema(example = "dC/dt = kLa (C* - C)")]
    form: &'static str,
    /// Where it is written, and what of it is from memory.
    #[schema(example = "Weiss 1974, Marine Chemistry 2:203-215")]
    source: &'static str,
    /// Where it holds.
    #[schema(example = "-1 to 40 °C, up to 20 bar")]
    valid: &'static str,
    /// How far off it may be.
    uncertainty: UncertaintyNote,
}

/// How far off an equation may be.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct UncertaintyNote {
    /// In words.
    #[schema(example = "1.5 % against published measurements")]
    says: &'static str,
    /// Half width over the value, as a share of 1; *within a factor f* is f - 1. Null where no one
    /// number says it.
    #[schema(minimum = 0, maximum = 10, example = 0.015)]
    relative: Option<f64>,
    /// What it rests on.
    basis: BasisNote,
}

/// What an uncertainty rests on.
#[derive(Debug, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum BasisNote {
    /// A definition or a balance: exact for exact inputs.
    Exact,
    /// The spread against published data or other equations.
    Compared,
    /// Nothing is published: an estimate.
    Estimate,
}

/// The range an input may have.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct ValidRange {
    /// Path of the field; `[]` stands for each entry of a list.
    #[schema(example = "temperature_c")]
    input: String,
    /// What it is called.
    #[schema(example = "temperature of a drink")]
    quantity: &'static str,
    /// Its unit; empty for a plain number.
    #[schema(example = "°C")]
    unit: &'static str,
    /// The smallest value allowed.
    #[schema(example = -1.0)]
    lowest: f64,
    /// The largest value allowed.
    #[schema(example = 40.0)]
    highest: f64,
}

impl ValidRange {
    pub(super) fn new(
        input: &str,
        quantity: &'static str,
        unit: &'static str,
        bounds: [f64; 2],
    ) -> Self {
        let [lowest, highest] = bounds;
        Self {
            input: input.to_owned(),
            quantity,
            unit,
            lowest,
            highest,
        }
    }

    /// The same range, of a field in each entry of a list.
    pub(super) fn inside(mut self, list: &str) -> Self {
        self.input = format!("{list}[].{}", self.input);
        self
    }
}

/// Something to mind.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct CautionNote {
    /// Whether a limit or rule would be broken: then do not do it.
    #[schema(example = false)]
    forbidden: bool,
    /// When it matters, or what is limited.
    #[schema(example = "a vessel is put under pressure")]
    about: String,
    /// What happens, and what to do; or what was found and what is allowed.
    #[schema(example = "the rating stamped on it goes first; stay below 80 % of it")]
    says: String,
    /// Where it comes from.
    #[schema(example = "solubility of CO2: Weiss 1974")]
    source: String,
    /// Whether the source was read or remembered.
    evidence: EvidenceNote,
}

/// Whether a source was read or remembered.
#[derive(Debug, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum EvidenceNote {
    /// The source, or a copy of its text, was read.
    LookedUp,
    /// From memory: check before relying on it.
    FromMemory,
}

/// A value held against a limit.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct VerdictNote {
    /// Within the limit, or exactly at it.
    #[schema(example = true)]
    accepted: bool,
    /// What is limited.
    #[schema(example = "pressure in a vessel")]
    what: &'static str,
    /// The value judged.
    #[schema(example = 6.1)]
    value: f64,
    /// The highest value allowed.
    #[schema(example = 7.2)]
    limit: f64,
    /// What is left before the limit; negative beyond it.
    #[schema(example = 1.1)]
    margin: f64,
    /// The unit of the three.
    #[schema(example = "bar gauge")]
    unit: &'static str,
    /// Where the limit is written.
    #[schema(example = "80 % of the rating stamped on the vessel")]
    source: &'static str,
    /// Whether the source was read or remembered.
    evidence: EvidenceNote,
}

/// A way of working held against a rule.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct RuleNote {
    /// Whether the rule is kept.
    #[schema(example = true)]
    accepted: bool,
    /// The section that holds the rule.
    #[schema(example = "5-203.15")]
    section: &'static str,
    /// What it asks for.
    #[schema(example = "ice used as food or to cool food is made from drinking water")]
    says: &'static str,
    /// Where it is written.
    #[schema(example = "FDA Food Code, read in 2VAC5-585-2270")]
    source: &'static str,
    /// Whether the source was read or remembered.
    evidence: EvidenceNote,
}

impl From<&Equation> for EquationNote {
    fn from(equation: &Equation) -> Self {
        Self {
            gives: equation.gives,
            form: equation.form,
            source: equation.source,
            valid: equation.valid,
            uncertainty: equation.uncertainty.into(),
        }
    }
}

impl From<Uncertainty> for UncertaintyNote {
    fn from(uncertainty: Uncertainty) -> Self {
        Self {
            says: uncertainty.says,
            relative: uncertainty.relative,
            basis: match uncertainty.basis {
                Basis::Exact => BasisNote::Exact,
                Basis::Compared => BasisNote::Compared,
                Basis::Estimate => BasisNote::Estimate,
            },
        }
    }
}

impl From<Evidence> for EvidenceNote {
    fn from(evidence: Evidence) -> Self {
        match evidence {
            Evidence::LookedUp => Self::LookedUp,
            Evidence::FromMemory => Self::FromMemory,
        }
    }
}

impl From<Caution> for CautionNote {
    fn from(caution: Caution) -> Self {
        Self {
            forbidden: false,
            about: caution.when.to_owned(),
            says: caution.says.to_owned(),
            source: caution.source.to_owned(),
            evidence: caution.evidence.into(),
        }
    }
}

impl From<Verdict> for CautionNote {
    fn from(verdict: Verdict) -> Self {
        let (value, limit) = (verdict.value, verdict.limit);
        Self {
            forbidden: !verdict.accepted,
            about: limit.what.to_owned(),
            says: format!(
                "{value:.2} {0} found; {1} {0} is allowed",
                limit.unit, limit.value
            ),
            source: limit.source.to_owned(),
            evidence: limit.evidence.into(),
        }
    }
}

impl From<RuleVerdict> for CautionNote {
    fn from(RuleVerdict { accepted, rule }: RuleVerdict) -> Self {
        Self {
            forbidden: !accepted,
            about: format!("section {}", rule.section),
            says: rule.says.to_owned(),
            source: rule.source.to_owned(),
            evidence: rule.evidence.into(),
        }
    }
}

impl From<Verdict> for VerdictNote {
    fn from(verdict: Verdict) -> Self {
        let limit = verdict.limit;
        Self {
            accepted: verdict.accepted,
            what: limit.what,
            value: verdict.value,
            limit: limit.value,
            margin: verdict.margin,
            unit: limit.unit,
            source: limit.source,
            evidence: limit.evidence.into(),
        }
    }
}

impl From<RuleVerdict> for RuleNote {
    fn from(RuleVerdict { accepted, rule }: RuleVerdict) -> Self {
        Self {
            accepted,
            section: rule.section,
            says: rule.says,
            source: rule.source,
            evidence: rule.evidence.into(),
        }
    }
}
