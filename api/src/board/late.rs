//! What is late, in words, and what of it speaks for a new plan.

use chrono::{DateTime, Duration, FixedOffset};

use crate::domain::work::{FloorItem, WorkState};
use crate::text::figures::duration;

/// How much later than planned still counts as in time: common practice, no source.
const IN_TIME: Duration = Duration::minutes(10);

/// How an item is late, if it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Late {
    /// It should have begun.
    NotBegun(i64),
    /// It should be over.
    NotOver(i64),
    /// It was over later than planned.
    Ended(i64),
}

impl Late {
    pub(super) fn of(floor: &FloorItem, now: DateTime<FixedOffset>) -> Option<Self> {
        let (item, record) = (&floor.item, &floor.record);
        let behind = |at: DateTime<FixedOffset>, planned: DateTime<FixedOffset>| {
            let late = at - planned;
            (late > IN_TIME).then(|| late.num_minutes())
        };
        match record.state {
            WorkState::Planned => behind(now, item.start).map(Self::NotBegun),
            WorkState::Started => behind(now, item.end).map(Self::NotOver),
            WorkState::Finished => behind(record.ended_at?, item.end).map(Self::Ended),
            WorkState::Failed | WorkState::Skipped => None,
        }
    }

    /// In words, for a card.
    pub(super) fn words(&self) -> String {
        match self {
            Self::NotBegun(minutes) => format!("Late: should have begun {} ago", span(*minutes)),
            Self::NotOver(minutes) => format!("Late: should have been over {} ago", span(*minutes)),
            Self::Ended(minutes) => format!("{} later than planned", span(*minutes)),
        }
    }
}

/// What speaks for a new plan: what failed, was left out, or came late. Latest last.
pub(super) fn reasons(work: &[FloorItem]) -> Vec<String> {
    let mut found: Vec<(DateTime<FixedOffset>, String)> = Vec::new();
    for floor in work {
        let id = &floor.item.id;
        let Some(at) = floor.record.since() else {
            continue;
        };
        let began = floor
            .record
            .started_at
            .map(|began| began - floor.item.start);
        let said = match floor.record.state {
            WorkState::Failed => Some(format!("{id} failed")),
            WorkState::Skipped => Some(format!("{id} was skipped")),
            WorkState::Finished => {
                Late::of(floor, at).map(|late| format!("{id} was over {}", late.words()))
            }
            WorkState::Started => began
                .filter(|late| *late > IN_TIME)
                .map(|late| format!("{id} began {} later than planned", span(late.num_minutes()))),
            WorkState::Planned => None,
        };
        found.extend(said.map(|said| (at, said)));
    }
    found.sort();
    found.into_iter().map(|(_, said)| said).collect()
}

/// `40 min`, `3 h`, `176 days`.
fn span(minutes: i64) -> String {
    match minutes {
        minutes if minutes >= 2 * 24 * 60 => format!("{} days", minutes / (24 * 60)),
        minutes if minutes >= 10 * 60 => format!("{} h", minutes / 60),
        minutes => duration(minutes as f64),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::plans::PlanId;
    use crate::domain::work::WorkRecord;

    fn at(hour: u32, minute: u32) -> DateTime<FixedOffset> {
        let text = format!("2026-06-02T{hour:02}:{minute:02}:00+01:00");
        DateTime::parse_from_rfc3339(&text).unwrap()
    }

    /// A wash from nine to half past.
    fn wash(state: WorkState, began: Option<u32>, over: Option<u32>) -> FloorItem {
        let json = r#"{ "id": "wash-1", "start": "2026-06-02T09:00:00+01:00",
            "end": "2026-06-02T09:30:00+01:00", "hands_min": 10.0, "kind": "wash",
            "keg_type": "keg-19", "kegs": 2 }"#;
        FloorItem {
            plan: PlanId::new(),
            item: serde_json::from_str(json).unwrap(),
            record: WorkRecord {
                state,
                started_at: began.map(|minute| at(9, minute)),
                ended_at: over.map(|minute| at(9, minute)),
                ..WorkRecord::PLANNED
            },
        }
    }

    #[test]
    fn work_is_late_after_ten_minutes() {
        let planned = wash(WorkState::Planned, None, None);
        assert_eq!(Late::of(&planned, at(9, 10)), None);
        let late = Late::of(&planned, at(9, 40)).unwrap();
        assert_eq!(late.words(), "Late: should have begun 40 min ago");
        let started = wash(WorkState::Started, Some(0), None);
        assert_eq!(Late::of(&started, at(9, 40)), None);
        assert_eq!(Late::of(&started, at(9, 41)), Some(Late::NotOver(11)));
    }

    #[test]
    fn what_failed_or_came_late_speaks_for_a_new_plan() {
        let work = [
            wash(WorkState::Finished, Some(0), Some(30)),
            wash(WorkState::Finished, Some(0), Some(55)),
            wash(WorkState::Failed, Some(0), Some(20)),
            wash(WorkState::Planned, None, None),
        ];
        let said = reasons(&work);
        assert_eq!(
            said,
            ["wash-1 failed", "wash-1 was over 25 min later than planned"]
        );
    }
}
