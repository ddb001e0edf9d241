//! Work as iCalendar (RFC 5545).

use chrono::{DateTime, Duration, FixedOffset, Utc};
use icalendar::{Alarm, Calendar, Component, Event, EventLike, EventStatus, Property};
use scheduler::scenario::Scenario;

use super::names::Names;
use super::steps;
use super::visits;
use crate::domain::plans::PlanId;
use crate::domain::roles::Role;
use crate::domain::trace::TraceStep;
use crate::domain::work::{self, WorkState};

/// How often a subscriber should look again.
const AGAIN: Duration = Duration::minutes(15);

/// What a calendar is of.
pub(crate) struct Feed<'a> {
    /// What people call the site.
    pub(crate) site: &'a str,
    pub(crate) role: Option<Role>,
    /// The first of the plans that were replanned from each other: items keep their names in that
    /// line, so it and the name are what a moved item is known by.
    pub(crate) root: PlanId,
    /// How often a plan was published; later ones outrank those before.
    pub(crate) number: i64,
    pub(crate) published_at: DateTime<FixedOffset>,
    pub(crate) scenario: &'a Scenario,
}

/// The calendar as text.
pub(crate) fn calendar(feed: &Feed<'_>, work: &[TraceStep]) -> String {
    let names = Names::of(feed.scenario);
    let title = match feed.role {
        Some(role) => format!("{}: {}", feed.site, role.title()),
        None => feed.site.to_owned(),
    };
    let mut calendar = Calendar::empty();
    calendar.append_property(Property::new("VERSION", "2.0"));
    calendar.append_property(Property::new("PRODID", "-//Fizzwright//Work//EN"));
    calendar.append_property(Property::new("METHOD", "PUBLISH"));
    calendar.name(&title);
    calendar.ttl(&AGAIN);
    let wanted = |step: &&TraceStep| {
        feed.role
            .is_none_or(|role| role == Role::of(&step.item.step))
    };
    for step in work.iter().filter(wanted) {
        calendar.push(event(feed, &names, step));
        if let Some(visit) = visit(feed, &names, step) {
            calendar.push(visit);
        }
    }
    calendar.to_string()
}

/// No calendar, because nothing is published.
pub(crate) fn empty(site: &str) -> String {
    let mut calendar = Calendar::empty();
    calendar.append_property(Property::new("VERSION", "2.0"));
    calendar.append_property(Property::new("PRODID", "-//Fizzwright//Work//EN"));
    calendar.name(site);
    calendar.ttl(&AGAIN);
    calendar.to_string()
}

fn event(feed: &Feed<'_>, names: &Names<'_>, step: &TraceStep) -> Event {
    let item = &step.item;
    let (start, end) = times(step);
    let mut text: Vec<String> = steps::instructions(names, item);
    text.extend(
        item.cautions
            .iter()
            .map(|caution| format!("! {}", caution.text)),
    );
    if item.hands_min > 0.0 {
        text.push(format!("Minutes of hands: {:.0}", item.hands_min));
    }
    text.push(format!("Work item {}", item.id));
    let status = match step.record.state {
        WorkState::Planned | WorkState::Started | WorkState::Finished => EventStatus::Confirmed,
        WorkState::Failed | WorkState::Skipped => EventStatus::Cancelled,
    };
    let id = format!("{}.{}", item.id, feed.root);
    let headline = steps::headline(names, &item.step);
    let mut event = Entry {
        id: &id,
        headline: &headline,
        text: &text,
        start,
        end,
    }
    .event(feed);
    event
        .status(status)
        .add_property("CATEGORIES", item.step.kind());
    event.done()
}

/// What every event says.
struct Entry<'a> {
    /// What it is known by.
    id: &'a str,
    headline: &'a str,
    text: &'a [String],
    start: DateTime<Utc>,
    end: DateTime<Utc>,
}

impl Entry<'_> {
    fn event(&self, feed: &Feed<'_>) -> Event {
        let mut event = Event::with_uid(&format!("{}@fizzwright", self.id));
        event
            .summary(self.headline)
            .description(&self.text.join("\n"))
            .timestamp(feed.published_at.to_utc())
            .starts(self.start)
            .ends(self.end)
            .add_property("SEQUENCE", feed.number.to_string())
            .add_property("TRANSP", "TRANSPARENT");
        event
    }
}

/// The later visit to an item that is not over, with an alarm when it is due.
fn visit(feed: &Feed<'_>, names: &Names<'_>, step: &TraceStep) -> Option<Event> {
    let item = &step.item;
    let visit = work::later(&feed.scenario.setup, item)?;
    let due = work::due(&visit, item, &step.record)?.to_utc();
    let headline = visits::headline(names, item);
    let mut text = visits::instructions(names, item);
    let cautions = item.cautions.iter();
    let cautions = cautions.filter(|caution| visits::concerns(item, caution.kind));
    text.extend(cautions.map(|caution| format!("! {}", caution.text)));
    text.push(format!("Minutes of hands: {:.0}", visit.hands_min));
    text.push(format!("Work item {}", item.id));
    let length = Duration::minutes(visit.hands_min.ceil() as i64).max(Duration::minutes(5));
    let id = format!("{}.{}.{}", item.id, visit.kind.as_str(), feed.root);
    let mut event = Entry {
        id: &id,
        headline: &headline,
        text: &text,
        start: due,
        end: due + length,
    }
    .event(feed);
    event
        .status(EventStatus::Confirmed)
        .add_property("CATEGORIES", visit.kind.as_str())
        .alarm(Alarm::display(&headline, Duration::zero()));
    Some(event.done())
}

/// When it was done, as far as that is known, or is to be done. Nothing takes no time at all.
fn times(step: &TraceStep) -> (DateTime<Utc>, DateTime<Utc>) {
    let (item, record) = (&step.item, &step.record);
    let begun = record.started_at.unwrap_or(item.start);
    let end = record.ended_at.unwrap_or(begun + (item.end - item.start));
    let start = begun.min(end);
    let end = end.max(start + Duration::minutes(5));
    (start.to_utc(), end.to_utc())
}
