//! The questions the scheduler answers: what to do, and how much can be ready.

mod bottlenecks;
mod capacity;
mod commitment;
mod confidence;
mod error;
mod export;
mod plan;
mod problem;
mod replan;
mod rounding;
mod size;
mod what_if;

pub use capacity::{
    CapacityAnswer, CapacityCurve, CapacityQuestion, CurvePoint, KegCount, MixPart, capacity,
    capacity_curve,
};
pub use commitment::{Can, CommitmentAnswer, CommitmentQuestion, Touched, commitment};
pub use error::NoAnswer;
pub use export::export_model;
pub use plan::plan;
pub use replan::{
    Change, ChangeKind, Event, Facts, Measured, Replanned, Shortfall, compare, replan,
};

pub use confidence::{
    ConfidenceAnswer, ConfidenceQuestion, Deciding, Measure, ServiceChance, Slack, Spreads,
    Unknown, confidence,
};
pub use size::{Size, TooLarge, estimate};
pub use what_if::{
    BadPatch, Case, Difference, Outcome, ScenarioChange, ServiceDifference, WhatIfAnswer,
    WhatIfQuestion, difference, patched, what_if,
};

use crate::milp::Stop;
use crate::plan::Status;
use crate::search::Limits;

/// What a search's end means for its answer.
fn status_of(gap: f64, stopped: Option<Stop>, limits: Limits) -> Status {
    if gap <= 1e-4 {
        return Status::Optimal;
    }
    if gap <= limits.gap {
        return Status::WithinGap;
    }
    match stopped {
        Some(Stop::Time | Stop::Other) => Status::StoppedByTime,
        Some(Stop::Cancelled) => Status::StoppedByRequest,
        Some(Stop::Enough) | None => Status::GapOpen,
    }
}
