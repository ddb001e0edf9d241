//! Events: everything that happened, in order.

use chrono::{DateTime, FixedOffset, Utc};
use scheduler::plan::WorkId;
use scheduler::scenario::{DemandId, SiteId};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Revision;
use super::codes::Grai;
use super::plans::PlanId;
use super::readings::Reading;
use super::stock::Reference;
use super::words::{Note, Who};

macro_rules! kinds {
    ($($(#[doc = $doc:expr])+ $Kind:ident: $name:tt;)+) => {
        /// What kind of thing happened.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
        pub(crate) enum EventKind {
            $($(#[doc = $doc])+ #[serde(rename = $name)] $Kind,)+
        }

        impl EventKind {
            /// Every kind there is.
            pub(crate) const ALL: &[Self] = &[$(Self::$Kind,)+];

            pub(crate) fn as_str(self) -> &'static str {
                match self { $(Self::$Kind => $name,)+ }
            }
        }
    };
}

kinds! {
    /// A site was created.
    SiteCreated: "site.created";
    /// A site's facts were changed.
    SiteChanged: "site.changed";
    /// A new revision of a setup was stored.
    SetupChanged: "setup.changed";
    /// Lines of demand were put, replaced or taken away.
    DemandChanged: "demand.changed";
    /// A count or a movement was recorded.
    StockRecorded: "stock.recorded";
    /// What finished or failed work did to the stock was booked.
    StockBooked: "stock.booked";
    /// A plan was requested.
    PlanRequested: "plan.requested";
    /// A plan is done.
    PlanDone: "plan.done";
    /// There is no plan, and the reason is known.
    PlanFailed: "plan.failed";
    /// A plan was cancelled.
    PlanCancelled: "plan.cancelled";
    /// A plan was published.
    PlanPublished: "plan.published";
    /// A work item was started.
    WorkStarted: "work.started";
    /// A work item is over.
    WorkFinished: "work.finished";
    /// A work item failed.
    WorkFailed: "work.failed";
    /// A work item was not done.
    WorkSkipped: "work.skipped";
    /// A reading was logged against work.
    ReadingLogged: "reading.logged";
    /// A question has its answer.
    QuestionAnswered: "question.answered";
    /// A question has no answer, and the reason is known.
    QuestionFailed: "question.failed";
    /// A question was cancelled.
    QuestionCancelled: "question.cancelled";
    /// A commitment is held.
    CommitmentHeld: "commitment.held";
    /// A commitment was accepted and is a line of demand now.
    CommitmentAccepted: "commitment.accepted";
    /// A commitment was let go.
    CommitmentReleased: "commitment.released";
    /// A held commitment was not accepted in time.
    CommitmentExpired: "commitment.expired";
    /// Parameters that were fitted to readings were accepted into the setup.
    CalibrationAccepted: "calibration.accepted";
}

impl EventKind {
    pub(crate) fn parse(name: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|kind| kind.as_str() == name)
    }
}

/// What happened, as far as it concerns the kind of event; other fields are left out.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema)]
pub(crate) struct EventData {
    /// The plan, or the one the work belongs to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) plan: Option<PlanId>,
    /// The plan that was published before, or that is replanned.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) replaces: Option<PlanId>,
    /// The question or commitment.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) question: Option<PlanId>,
    /// The work item.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) item: Option<WorkId>,
    /// When it happened on the floor (RFC 3339).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-02T09:05:00+01:00")]
    pub(crate) at: Option<DateTime<FixedOffset>>,
    /// Who said so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) by: Option<Who>,
    /// What else was said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) note: Option<Note>,
    /// The reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) reading: Option<Reading>,
    /// Kegs the work was done with that were named.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(crate) named_kegs: Vec<Grai>,
    /// The revision that was made.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) revision: Option<Revision>,
    /// The place of the entry in the stock ledger.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, example = 12)]
    pub(crate) entry: Option<i64>,
    /// The caller's own name for the entry in the stock ledger.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) reference: Option<Reference>,
    /// Lines of demand that were put.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(crate) demand: Vec<DemandId>,
    /// Lines of demand that were taken away.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(crate) demand_gone: Vec<DemandId>,
    /// Until when something lasts, such as a hold (RFC 3339).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-02T09:20:00+01:00")]
    pub(crate) until: Option<DateTime<FixedOffset>>,
    /// Why there is no plan or answer: a code of `GET /v1/problems`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = "stopped")]
    pub(crate) code: Option<String>,
}

/// Something that happened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[schema(as = ServiceEvent)]
pub(crate) struct Event {
    /// Its place in the order of everything that happened; later events have larger numbers, and
    /// none becomes visible after one with a larger number.
    #[schema(minimum = 1, example = 1042)]
    pub(crate) seq: i64,
    /// What kind of thing happened.
    #[serde(rename = "type")]
    #[schema(inline)]
    pub(crate) kind: EventKind,
    /// When it was recorded (RFC 3339, UTC: events of all sites share one clock).
    #[schema(value_type = String, format = DateTime, example = "2026-06-02T08:05:12.345678Z")]
    pub(crate) timestamp: DateTime<Utc>,
    /// The site.
    pub(crate) site: SiteId,
    /// What happened, as far as it concerns this kind of event.
    pub(crate) data: EventData,
}

/// How far somebody has read: the `seq` of the last event they have, 0 for none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(try_from = "u64")]
pub(crate) struct ReadTo(i64);

/// Why a number is not the `seq` of an event.
#[derive(Debug, thiserror::Error)]
#[error("{0} found; 0 to {most} are allowed", most = ReadTo::MOST)]
pub(crate) struct BadReadTo(u64);

impl ReadTo {
    /// The largest number that every reader of JSON takes as it is (RFC 8259, section 6).
    pub(crate) const MOST: i64 = 9_007_199_254_740_991;

    pub(crate) fn seq(self) -> i64 {
        self.0
    }
}

impl TryFrom<u64> for ReadTo {
    type Error = BadReadTo;
    fn try_from(number: u64) -> Result<Self, BadReadTo> {
        match i64::try_from(number) {
            Ok(seq) if seq <= Self::MOST => Ok(Self(seq)),
            _ => Err(BadReadTo(number)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_is_found_by_its_name() {
        for kind in EventKind::ALL {
            assert_eq!(EventKind::parse(kind.as_str()), Some(*kind));
            let json = serde_json::to_value(kind).unwrap();
            assert_eq!(json, kind.as_str());
        }
    }

    #[test]
    fn nobody_has_read_past_what_can_be_counted() {
        let most = u64::try_from(ReadTo::MOST).unwrap();
        assert_eq!(ReadTo::try_from(0).unwrap().seq(), 0);
        assert_eq!(ReadTo::try_from(most).unwrap().seq(), ReadTo::MOST);
        assert!(ReadTo::try_from(most + 1).is_err());
        assert!(ReadTo::try_from(u64::MAX).is_err());
    }
}
