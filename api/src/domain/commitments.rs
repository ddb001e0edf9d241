//! Commitments: something more that is asked for, held for a while, and accepted or let go.

use chrono::{DateTime, Duration, FixedOffset, Utc};
use scheduler::answer::{Can, CommitmentAnswer, CommitmentQuestion};
use scheduler::check::{Checked, Fault};
use scheduler::scenario::quantities::DemandVolume;
use scheduler::scenario::{Demand, DemandId, DemandKind, Grid, KegTypeId, Priority, ProductId};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Refusal;
use super::events::EventKind;
use super::plans::{Gap, PlanId, PlanRequest, TimeLimit};
use super::questions::Question;
use super::words::Who;

/// The longest hold, in minutes: a week.
const LONGEST_HOLD: u32 = 10_080;

/// What an answer rests on: after any of these it may be another.
pub(crate) const BASIS: [EventKind; 6] = [
    EventKind::SiteChanged,
    EventKind::SetupChanged,
    EventKind::DemandChanged,
    EventKind::StockRecorded,
    EventKind::CommitmentHeld,
    EventKind::CommitmentAccepted,
];

/// Can this be taken too, in these days?
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct CommitmentRequest {
    /// From when on work can be done (RFC 3339 with an offset), on a full grid step.
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T06:00:00+01:00")]
    #[serde(deserialize_with = "scheduler::scenario::instants::instant")]
    pub(crate) start: DateTime<FixedOffset>,
    /// Days by the site's clock that are looked at.
    #[schema(minimum = 1, maximum = 56, example = 7)]
    pub(crate) days: u8,
    /// Minutes of a step.
    pub(crate) grid_minutes: Grid,
    /// The product.
    pub(crate) product: ProductId,
    /// How much, in litres; this or `kegs` is needed.
    #[serde(default)]
    pub(crate) litres: Option<DemandVolume>,
    /// How much, in full kegs, less what foam and lines take.
    #[serde(default)]
    #[schema(minimum = 1, maximum = 500, example = 2)]
    pub(crate) kegs: Option<u16>,
    /// The keg type those kegs are counted in; the largest the product goes into, where none is
    /// named.
    #[serde(default)]
    pub(crate) keg_type: Option<KegTypeId>,
    /// The service it is for (RFC 3339 with an offset).
    #[schema(value_type = String, format = DateTime, example = "2026-06-06T18:00:00+01:00")]
    #[serde(deserialize_with = "scheduler::scenario::instants::instant")]
    pub(crate) due: DateTime<FixedOffset>,
    /// Seconds to search at most; 60 where nothing is said.
    #[serde(default)]
    pub(crate) time_limit_s: Option<TimeLimit>,
    /// Good enough: part of the bound; 0.001 where nothing is said.
    #[serde(default)]
    pub(crate) gap: Option<Gap>,
}

impl CommitmentRequest {
    /// The days to look at, and the question.
    pub(crate) fn parts(self) -> (PlanRequest, CommitmentQuestion) {
        let stretch = PlanRequest {
            start: self.start,
            days: self.days,
            grid_minutes: self.grid_minutes,
            time_limit_s: self.time_limit_s,
            gap: self.gap,
        };
        let question = CommitmentQuestion {
            product: self.product,
            litres: self.litres,
            kegs: self.kegs,
            keg_type: self.keg_type,
            due: self.due,
        };
        (stretch, question)
    }
}

/// Refuses a question that has no answer, before it waits for a solver.
pub(crate) fn check(scenario: &Checked, question: &CommitmentQuestion) -> Result<(), Refusal> {
    let mut faults: Vec<Fault> = Vec::new();
    let mut refuse = |field: &str, what: String| {
        faults.push(Fault {
            field: field.to_owned(),
            what,
        });
    };
    if scenario
        .setup
        .products
        .iter()
        .all(|p| p.id != question.product)
    {
        let known: Vec<&str> = scenario
            .setup
            .products
            .iter()
            .map(|p| p.id.as_str())
            .collect();
        let known = known.join(", ");
        let found = &question.product;
        refuse(
            "product",
            format!("there is no product \"{found}\"; the setup has: {known}"),
        );
    }
    let timeline = scenario.horizon.timeline(scenario.site.time_zone);
    let (from, to) = (
        timeline.stamp(timeline.start()),
        timeline.stamp(timeline.end()),
    );
    if question.due < from || question.due > to {
        refuse(
            "due",
            format!(
                "{} found; {} to {} is allowed (inside the days looked at)",
                question.due.to_rfc3339(),
                from.to_rfc3339(),
                to.to_rfc3339()
            ),
        );
    }
    if question.litres.is_some() == question.kegs.is_some() {
        refuse(
            "litres",
            "one of `litres` and `kegs` is needed, and not both".to_owned(),
        );
    }
    if let Some(kegs) = question.kegs.filter(|kegs| !(1..=500).contains(kegs)) {
        refuse("kegs", format!("{kegs} found; 1 to 500 are allowed"));
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Refusal::Invalid(faults))
    }
}

/// What became of a commitment.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Serialize,
    Deserialize,
    ToSchema,
    strum::IntoStaticStr,
    strum::EnumString,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case", const_into_str)]
pub(crate) enum Standing {
    /// It was asked about and nothing more.
    Asked,
    /// It is held: what it needs is not promised to other commitments.
    Held,
    /// It is a line of demand now.
    Accepted,
    /// It was let go.
    Released,
    /// It was held and not accepted in time.
    Expired,
}

/// A commitment: the question, its answer once there is one, and what became of it.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct Commitment {
    /// The question and its answer.
    #[serde(flatten)]
    pub(crate) question: Question,
    /// What became of it.
    #[schema(inline)]
    pub(crate) standing: Standing,
    /// Until when it is held (RFC 3339).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-01T08:20:00+01:00")]
    pub(crate) held_until: Option<DateTime<FixedOffset>>,
    /// The line of demand it became.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) demand: Option<DemandId>,
}

/// How long to hold a commitment.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct HoldRequest {
    /// Minutes from now.
    #[schema(minimum = 1, maximum = 10080, example = 15)]
    pub(crate) minutes: u32,
    /// Whether to hold it though the services the answer names are served less.
    #[serde(default)]
    pub(crate) others_yield: bool,
}

/// How to accept a commitment.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct AcceptRequest {
    /// The caller's own reference for the line of demand it becomes; one that is not used yet.
    pub(crate) demand: DemandId,
    /// 1 is served first, 5 last; 3 where nothing is said.
    #[serde(default)]
    pub(crate) priority: Option<Priority>,
    /// What people call it.
    #[serde(default)]
    #[schema(max_length = 200, example = "Wedding, 80 guests")]
    pub(crate) note: Option<String>,
    /// Who accepts it.
    #[serde(default)]
    pub(crate) by: Option<Who>,
}

/// How to let a commitment go.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub(crate) struct ReleaseRequest {
    /// Who lets it go.
    pub(crate) by: Option<Who>,
}

impl HoldRequest {
    /// Until when it is to be held.
    pub(crate) fn until(&self, now: DateTime<Utc>) -> Result<DateTime<Utc>, Refusal> {
        if (1..=LONGEST_HOLD).contains(&self.minutes) {
            return Ok(now + Duration::minutes(i64::from(self.minutes)));
        }
        let found = self.minutes;
        Err(Refusal::field(
            "minutes",
            format!("{found} found; 1 to {LONGEST_HOLD} is allowed"),
        ))
    }
}

impl Commitment {
    /// The answer, which must be there.
    fn answer(&self) -> Result<&CommitmentAnswer, Refusal> {
        let (id, state) = (self.question.id, self.question.state);
        let answer = self.question.commitment.as_ref();
        answer.ok_or(Refusal::Unanswered { id, state })
    }

    /// Refuses to hold what cannot be taken, or what is no longer open.
    pub(crate) fn admit_hold(&self, request: &HoldRequest) -> Result<(), Refusal> {
        let answer = self.answer()?;
        let can = match answer.can {
            Can::Yes => true,
            Can::IfOthersYield => request.others_yield,
            Can::No => false,
        };
        if !can {
            let most_l = answer.most_l;
            return Err(Refusal::CannotBeTaken { most_l });
        }
        match self.standing {
            Standing::Asked | Standing::Held | Standing::Expired => Ok(()),
            Standing::Accepted | Standing::Released => Err(self.wrong("held")),
        }
    }

    /// The line of demand it becomes; none if it is that line already.
    pub(crate) fn admit_accept(&self, request: &AcceptRequest) -> Result<Option<Demand>, Refusal> {
        let answer = self.answer()?;
        match self.standing {
            Standing::Accepted if self.demand.as_ref() == Some(&request.demand) => Ok(None),
            Standing::Held => {
                let litres = DemandVolume::new(answer.wanted_l).map_err(Refusal::internal)?;
                Ok(Some(Demand {
                    id: request.demand.clone(),
                    product: answer.product.clone(),
                    due: answer.due,
                    litres,
                    priority: request.priority.unwrap_or(Priority::USUAL),
                    kind: DemandKind::Booking,
                    note: request.note.clone(),
                }))
            }
            _ => Err(self.wrong("accepted")),
        }
    }

    /// Whether letting it go changes anything.
    pub(crate) fn admit_release(&self) -> Result<bool, Refusal> {
        match self.standing {
            Standing::Asked | Standing::Held => Ok(true),
            Standing::Released | Standing::Expired => Ok(false),
            Standing::Accepted => Err(self.wrong("released")),
        }
    }

    fn wrong(&self, wanted: &'static str) -> Refusal {
        Refusal::WrongStanding {
            id: self.question.id,
            standing: self.standing,
            wanted,
        }
    }
}

/// What is held for a while, as other commitments must see it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Hold {
    pub(crate) id: PlanId,
    pub(crate) answer: CommitmentAnswer,
}

impl Hold {
    /// The line it would be.
    pub(crate) fn line(&self) -> Result<Demand, Refusal> {
        Ok(Demand {
            id: DemandId::parse(&format!("hold-{}", self.id)).map_err(Refusal::internal)?,
            product: self.answer.product.clone(),
            due: self.answer.due,
            litres: DemandVolume::new(self.answer.wanted_l).map_err(Refusal::internal)?,
            priority: Priority::USUAL,
            kind: DemandKind::Booking,
            note: None,
        })
    }
}
