//! What a limit is, and what comes of holding a value against it.

/// Whether a source was read or remembered. See [`Limit`] for an example.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Evidence {
    /// The source, or a copy of its text, was read.
    LookedUp,
    /// From memory: check before relying on it.
    FromMemory,
}

/// A number not to be passed.
///
/// ```
/// use model::limits::{Evidence, OSHA_EIGHT_HOURS};
///
/// assert!((OSHA_EIGHT_HOURS.value - 5000.0).abs() < 1e-9);
/// assert_eq!(OSHA_EIGHT_HOURS.evidence, Evidence::LookedUp);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// What is limited.
    pub what: &'static str,
    /// The highest value allowed.
    pub value: f64,
    /// Its unit.
    pub unit: &'static str,
    /// Where it is written.
    pub source: &'static str,
    /// How it was obtained.
    pub evidence: Evidence,
}

/// A rule without a number.
///
/// ```
/// assert_eq!(model::limits::BACKFLOW.section, "5-203.15");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rule {
    /// The section that holds it.
    pub section: &'static str,
    /// What it asks for.
    pub says: &'static str,
    /// Where it is written.
    pub source: &'static str,
    /// How it was obtained.
    pub evidence: Evidence,
}

/// Something to mind that is neither a number nor a rule.
///
/// ```
/// use model::limits::{CAUTIONS, Evidence};
///
/// assert!(CAUTIONS.iter().all(|caution| !caution.source.is_empty()));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Caution {
    /// When it matters.
    pub when: &'static str,
    /// What happens, and what to do.
    pub says: &'static str,
    /// Where it comes from.
    pub source: &'static str,
    /// How it was obtained.
    pub evidence: Evidence,
}

/// A value held against a limit.
///
/// ```
/// use model::limits::OSHA_EIGHT_HOURS;
///
/// let verdict = OSHA_EIGHT_HOURS.judge(4000.0);
/// assert!(verdict.accepted);
/// assert!((verdict.margin - 1000.0).abs() < 1e-9);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Verdict {
    /// Within the limit, or exactly at it.
    pub accepted: bool,
    /// The value judged.
    pub value: f64,
    /// The limit it was held against, in the same unit.
    pub limit: Limit,
    /// What is left before the limit; negative beyond it.
    pub margin: f64,
}

/// A way of working held against a rule.
///
/// ```
/// use model::limits::BACKFLOW;
///
/// assert!(!BACKFLOW.judge(false).accepted);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RuleVerdict {
    /// Whether the rule is kept.
    pub accepted: bool,
    /// The rule.
    pub rule: Rule,
}

impl Rule {
    /// A verdict on whether it is kept.
    ///
    /// See [`RuleVerdict`] for an example.
    #[must_use]
    pub const fn judge(self, accepted: bool) -> RuleVerdict {
        RuleVerdict {
            accepted,
            rule: self,
        }
    }
}

impl Limit {
    /// Holds a value in the unit of the limit against it.
    ///
    /// See [`Verdict`] for an example.
    #[must_use]
    pub fn judge(self, value: f64) -> Verdict {
        Verdict {
            accepted: value <= self.value,
            value,
            limit: self,
            margin: self.value - value,
        }
    }
}
