//! What somebody reports about a work item, and what is recorded after it.

use chrono::{DateTime, Duration, FixedOffset, Utc};
use scheduler::check::Fault;
use scheduler::plan::{Step, WorkItem};
use serde::Deserialize;
use utoipa::ToSchema;

use super::{Deed, WorkRecord};
use crate::domain::codes::{Codes, Grai};
use crate::domain::readings::{self, ReadingReport};
use crate::domain::words::{Note, Who};
use crate::domain::{Refusal, stock};

/// How much later than now a report may say that something happened: clocks differ.
const AHEAD: Duration = Duration::minutes(10);

/// What somebody reports about a work item.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub(crate) struct WorkReport {
    /// When it happened (RFC 3339); now where nothing is said. Not later than ten minutes from now.
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-02T09:05:00+01:00")]
    #[serde(
        default,
        deserialize_with = "scheduler::scenario::instants::instant_if_any"
    )]
    pub(crate) at: Option<DateTime<FixedOffset>>,
    /// Who says so.
    pub(crate) by: Option<Who>,
    /// What else there is to say.
    pub(crate) note: Option<Note>,
    /// What was measured.
    #[schema(max_items = 100)]
    pub(crate) readings: Vec<ReadingReport>,
    /// Kegs it was done with that are known one by one, by GRAI, if somebody looked; at most as many
    /// as the item has.
    #[schema(max_items = 1000)]
    pub(crate) named_kegs: Vec<Grai>,
}

/// What somebody reports about a work item that failed.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub(crate) struct FailureReport {
    /// When it happened (RFC 3339); now where nothing is said. Not later than ten minutes from now.
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-02T10:30:00+01:00")]
    #[serde(
        default,
        deserialize_with = "scheduler::scenario::instants::instant_if_any"
    )]
    pub(crate) at: Option<DateTime<FixedOffset>>,
    /// Until when the pot of a boil is out of use (RFC 3339); none if it may be used at once.
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-02T14:00:00+01:00")]
    #[serde(
        default,
        deserialize_with = "scheduler::scenario::instants::instant_if_any"
    )]
    pub(crate) out_until: Option<DateTime<FixedOffset>>,
    /// Who says so.
    pub(crate) by: Option<Who>,
    /// What else there is to say.
    pub(crate) note: Option<Note>,
    /// What was measured.
    #[schema(max_items = 100)]
    pub(crate) readings: Vec<ReadingReport>,
    /// Kegs it was done with that are known one by one, by GRAI, if somebody looked; at most as many
    /// as the item has.
    #[schema(max_items = 1000)]
    pub(crate) named_kegs: Vec<Grai>,
}

/// A report, whatever it is about.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct RecordedWork {
    pub(crate) deed: Deed,
    pub(crate) at: Option<DateTime<FixedOffset>>,
    pub(crate) out_until: Option<DateTime<FixedOffset>>,
    pub(crate) by: Option<Who>,
    pub(crate) note: Option<Note>,
    pub(crate) readings: Vec<ReadingReport>,
    pub(crate) named_kegs: Vec<Grai>,
}

impl RecordedWork {
    pub(crate) fn of(deed: Deed, report: WorkReport) -> Self {
        Self {
            deed,
            at: report.at,
            out_until: None,
            by: report.by,
            note: report.note,
            readings: report.readings,
            named_kegs: report.named_kegs,
        }
    }

    pub(crate) fn failure(report: FailureReport) -> Self {
        Self {
            deed: Deed::Fail,
            at: report.at,
            out_until: report.out_until,
            by: report.by,
            note: report.note,
            readings: report.readings,
            named_kegs: report.named_kegs,
        }
    }

    /// Checks what the report says by itself, and of kegs against the site's codes.
    pub(crate) fn check(
        &self,
        item: &WorkItem,
        codes: &Codes,
        now: DateTime<Utc>,
    ) -> Result<(), Refusal> {
        let mut faults = readings::faults(&self.readings);
        faults.extend(self.kegs_at_fault(item, codes));
        let latest = now + AHEAD;
        let mut early = |field: String, at: DateTime<FixedOffset>| {
            if at > latest {
                faults.push(Fault {
                    field,
                    what: format!(
                        "{} found; not later than ten minutes from now is allowed, {}",
                        at.to_rfc3339(),
                        latest.to_rfc3339()
                    ),
                });
            }
        };
        if let Some(at) = self.at {
            early("at".to_owned(), at);
        }
        for (n, reading) in self.readings.iter().enumerate() {
            if let Some(at) = reading.at {
                early(format!("readings[{n}].at"), at);
            }
        }
        if self.out_until.is_some() && !matches!(item.step, Step::Boil(_)) {
            faults.push(Fault {
                field: "out_until".to_owned(),
                what: format!(
                    "{} is no boil; only a boil's pot can be out of use",
                    item.id
                ),
            });
        }
        if faults.is_empty() {
            Ok(())
        } else {
            Err(Refusal::Invalid(faults))
        }
    }

    fn kegs_at_fault(&self, item: &WorkItem, codes: &Codes) -> Vec<Fault> {
        if self.named_kegs.is_empty() {
            return Vec::new();
        }
        match stock::moved(item, false) {
            Some(moved) => stock::named(
                "named_kegs",
                &self.named_kegs,
                (&moved.keg_type, moved.kegs),
                codes,
            ),
            None => vec![Fault {
                field: "named_kegs".to_owned(),
                what: format!("kegs are named, but {} is not about kegs", item.id),
            }],
        }
    }

    /// What is recorded after the report; the same as before where it only repeats what is known.
    pub(crate) fn apply(
        &self,
        item: &WorkItem,
        before: &WorkRecord,
        now: DateTime<FixedOffset>,
    ) -> Result<WorkRecord, Refusal> {
        if self.repeats(before) {
            return Ok(before.clone());
        }
        if !self.deed.may(before.state) {
            return Err(Refusal::WrongWorkState {
                item: item.id.clone(),
                state: before.state,
                wanted: self.deed.brings(),
            });
        }
        let at = self.at.unwrap_or(now);
        if let Some(started) = before.started_at.filter(|started| at < *started) {
            return Err(Refusal::field(
                "at",
                format!(
                    "{} found; {} was started at {}, and this cannot be earlier",
                    at.to_rfc3339(),
                    item.id,
                    started.to_rfc3339()
                ),
            ));
        }
        let starts = self.deed == Deed::Start;
        Ok(WorkRecord {
            state: self.deed.brings(),
            started_at: if starts { Some(at) } else { before.started_at },
            ended_at: (!starts).then_some(at),
            out_until: self.out_until,
            by: self.by.clone().or_else(|| before.by.clone()),
            note: self.note.clone().or_else(|| before.note.clone()),
            named_kegs: if self.named_kegs.is_empty() {
                before.named_kegs.clone()
            } else {
                self.named_kegs.clone()
            },
        })
    }

    /// Whether it says what is known already: a repeat may leave the time out or say the same.
    fn repeats(&self, known: &WorkRecord) -> bool {
        let same_time = self.at.is_none() || self.at == known.since();
        let same_end = self.out_until.is_none() || self.out_until == known.out_until;
        let same_kegs = self.named_kegs.is_empty() || self.named_kegs == known.named_kegs;
        self.deed.brings() == known.state && same_time && same_end && same_kegs
    }
}

#[cfg(test)]
mod tests {
    use super::super::WorkState;
    use super::*;

    fn item() -> WorkItem {
        let json = r#"{ "id": "wash-1", "start": "2026-06-02T09:00:00+01:00",
            "end": "2026-06-02T09:30:00+01:00", "hands_min": 10.0, "kind": "wash",
            "keg_type": "keg-19", "kegs": 2 }"#;
        serde_json::from_str(json).unwrap()
    }

    fn at(minute: u32) -> DateTime<FixedOffset> {
        let text = format!("2026-06-02T09:{minute:02}:00+01:00");
        DateTime::parse_from_rfc3339(&text).unwrap()
    }

    fn told(deed: Deed, minute: Option<u32>) -> RecordedWork {
        let report = WorkReport {
            at: minute.map(at),
            ..WorkReport::default()
        };
        RecordedWork::of(deed, report)
    }

    fn in_state(state: WorkState) -> WorkRecord {
        WorkRecord {
            state,
            started_at: Some(at(5)),
            ended_at: (state != WorkState::Started).then(|| at(20)),
            ..WorkRecord::PLANNED
        }
    }

    #[test]
    fn only_what_can_follow_follows() {
        use WorkState::{Failed, Finished, Skipped, Started};
        let deeds = [Deed::Start, Deed::Finish, Deed::Fail, Deed::Skip];
        for state in [Started, Finished, Failed, Skipped] {
            for deed in deeds {
                let found = told(deed, Some(30)).apply(&item(), &in_state(state), at(40));
                let allowed = state == Started && matches!(deed, Deed::Finish | Deed::Fail);
                assert_eq!(found.is_ok(), allowed, "{deed:?} after {state:?}");
            }
        }
        for deed in deeds {
            let found = told(deed, Some(30)).apply(&item(), &WorkRecord::PLANNED, at(40));
            assert_eq!(found.unwrap().state, deed.brings());
        }
    }

    #[test]
    fn a_repeat_changes_nothing() {
        let known = in_state(WorkState::Finished);
        for minute in [None, Some(20)] {
            let again = told(Deed::Finish, minute).apply(&item(), &known, at(50));
            assert_eq!(again.unwrap(), known);
        }
        assert!(
            told(Deed::Finish, Some(21))
                .apply(&item(), &known, at(50))
                .is_err()
        );
    }

    #[test]
    fn nothing_ends_before_it_starts() {
        let refusal = told(Deed::Finish, Some(4))
            .apply(&item(), &in_state(WorkState::Started), at(50))
            .unwrap_err();
        assert!(refusal.to_string().starts_with("at: "), "{refusal}");
    }
}
