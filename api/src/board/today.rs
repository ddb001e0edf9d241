//! Today: what to do now and next of the published plan.

use actix_web::{HttpResponse, web};
use askama::Template;
use chrono::{DateTime, Days, Duration, FixedOffset, NaiveDate};
use scheduler::scenario::{Site, SiteId};
use serde::Deserialize;

use super::cards::Card;
use super::error_page::ErrorPage;
use super::late::{Late, reasons};
use super::page::{Nav, Shell, shown};
use super::principal::Principal;
use crate::app;
use crate::domain::plans::{PlanId, PlanState, PlanSummary};
use crate::domain::publications::Publication;
use crate::domain::work::{FloorItem, Visit, WorkState};
use crate::domain::{Refusal, time, work};
use crate::http::{Params, SitePath, TypedPath};
use crate::service::Service;
use crate::storage::plans::Made;
use crate::storage::{Connection, plans, publications, sites};
use crate::text::names::Names;
use crate::text::units::Units;

/// What began or should have begun longer ago is only counted, by day.
const RECENT: Duration = Duration::hours(24);

/// Which day to look at, and in which units.
#[derive(Debug, Default, Deserialize)]
pub(super) struct TodayParams {
    #[serde(
        default,
        deserialize_with = "scheduler::scenario::instants::date_if_any"
    )]
    day: Option<NaiveDate>,
}

/// A day with work nobody said anything about.
struct Forgotten {
    href: String,
    day: String,
    count: usize,
}

/// The work of the published plan, as it stands.
struct Floor {
    number: i64,
    published: String,
    plan: PlanId,
    /// What speaks for a new plan.
    reasons: Vec<String>,
    title: String,
    now: Vec<Card>,
    next: Vec<Card>,
    done: Vec<Card>,
    forgotten: Vec<Forgotten>,
    before: String,
    after: String,
    is_today: bool,
    as_of: String,
}

/// A plan that could be published.
struct Candidate {
    id: PlanId,
    made: String,
    done: bool,
}

#[derive(Template)]
#[template(path = "board/today.html")]
struct Page {
    shell: Shell,
    floor: Option<Floor>,
    candidate: Option<Candidate>,
}

pub(super) async fn read(
    service: web::Data<Service>,
    visitor: Principal,
    TypedPath(SitePath { site }): TypedPath<SitePath>,
    Params(params): Params<TodayParams>,
) -> Result<HttpResponse, ErrorPage> {
    let page = service
        .store
        .read(move |conn| page(conn, &visitor, &site, params.day))
        .await?;
    shown(200, &page)
}

fn page(
    conn: &mut Connection,
    visitor: &Principal,
    site: &SiteId,
    asked: Option<NaiveDate>,
) -> Result<Page, Refusal> {
    let site = sites::load(conn, site)?;
    let shell = Shell::of(visitor, &site, Nav::Today);
    let published = publications::current(conn, &site.id, site.time_zone)?;
    let Some(published) = published else {
        let newest = newest(conn, &site, visitor.units)?;
        return Ok(Page {
            shell,
            floor: None,
            candidate: newest,
        });
    };
    let made = plans::made(conn, published.plan)?;
    let work = app::publication::floor_of_site(conn, &site, &published)?;
    let now = time::now().with_timezone(&site.time_zone).fixed_offset();
    let floor = Looking {
        base: &shell.base,
        made: &made,
        units: visitor.units,
        published: &published,
        now,
    }
    .floor(&work, asked);
    Ok(Page {
        shell,
        floor: Some(floor),
        candidate: None,
    })
}

/// The newest plan that is or will be one.
fn newest(conn: &mut Connection, site: &Site, units: Units) -> Result<Option<Candidate>, Refusal> {
    let known = plans::list(conn, &site.id, None, 20, site.time_zone)?;
    let alive =
        |plan: &PlanSummary| !matches!(plan.state, PlanState::Failed | PlanState::Cancelled);
    Ok(known.into_iter().find(alive).map(|plan| Candidate {
        id: plan.id,
        made: units.day_and_time(plan.created_at),
        done: plan.state == PlanState::Done,
    }))
}

/// What the work is looked at with.
struct Looking<'a> {
    base: &'a str,
    made: &'a Made,
    units: Units,
    published: &'a Publication,
    now: DateTime<FixedOffset>,
}

impl Looking<'_> {
    fn floor(&self, work: &[FloorItem], asked: Option<NaiveDate>) -> Floor {
        let today = self.now.date_naive();
        let date = asked.unwrap_or_else(|| self.first_day(work));
        let is_today = date == today;
        let names = Names::of(&self.made.scenario).reading(self.units);
        let card = |item: &FloorItem| Card::of(self.base, &names, self.units, item, self.now);
        let mut floor = Floor {
            number: self.published.number,
            published: self.units.day_and_time(self.published.published_at),
            plan: self.published.plan,
            reasons: reasons(work),
            title: match (is_today, asked) {
                (true, _) => "Today".to_owned(),
                _ => self.units.locale.day(date),
            },
            now: Vec::new(),
            next: Vec::new(),
            done: Vec::new(),
            forgotten: self.forgotten(work, date),
            before: self.link(date.checked_sub_days(Days::new(1)).unwrap_or(date)),
            after: self.link(date.checked_add_days(Days::new(1)).unwrap_or(date)),
            is_today,
            as_of: self.as_of().format(super::fields::LOCAL).to_string(),
        };
        let mut cards: Vec<(DateTime<FixedOffset>, Section, Card)> = Vec::new();
        for item in work {
            if let Some((visit, due)) = self.visit(item)
                && due.date_naive() == date
            {
                let section = self.section(is_today, due);
                let card = Card::of_visit(card(item), &names, self.units, item, &visit, due);
                cards.push((due, section, card));
            }
        }
        // What is gone to again is seen to before new work begins.
        for item in work {
            if let Some(section) = self.place(item, date) {
                cards.push((item.item.start, section, card(item)));
            }
        }
        cards.sort_by_key(|(at, ..)| *at);
        for (_, section, card) in cards {
            match section {
                Section::Now => floor.now.push(card),
                Section::Next => floor.next.push(Card {
                    brief: true,
                    ..card
                }),
                Section::Done => floor.done.push(card),
            }
        }
        floor.done.reverse();
        floor
    }

    /// The later visit to an item, and when it is due as things stand.
    fn visit(&self, floor: &FloorItem) -> Option<(Visit, DateTime<FixedOffset>)> {
        let visit = work::later(&self.made.scenario.setup, &floor.item)?;
        let due = work::due(&visit, &floor.item, &floor.record)?;
        Some((visit, due))
    }

    fn section(&self, is_today: bool, due: DateTime<FixedOffset>) -> Section {
        match is_today && due <= self.now + Duration::minutes(10) {
            true => Section::Now,
            false => Section::Next,
        }
    }

    /// Today, or the first day after it on which there is something to do.
    fn first_day(&self, work: &[FloorItem]) -> NaiveDate {
        let today = self.now.date_naive();
        let open = work
            .iter()
            .filter(|item| item.record.state == WorkState::Started || self.is_recent(item));
        let first = open.map(|item| item.item.start.date_naive()).min();
        first.map_or(today, |first| first.max(today))
    }

    fn is_recent(&self, floor: &FloorItem) -> bool {
        floor.record.state == WorkState::Planned && floor.item.start > self.now - RECENT
    }

    fn place(&self, floor: &FloorItem, date: NaiveDate) -> Option<Section> {
        let today = date == self.now.date_naive();
        let of_day = floor.item.start.date_naive() == date;
        match floor.record.state {
            WorkState::Started if of_day || today => Some(Section::Now),
            WorkState::Planned if today && self.is_recent(floor) && self.begins(floor) => {
                Some(Section::Now)
            }
            WorkState::Planned if of_day => Some(Section::Next),
            WorkState::Finished | WorkState::Failed | WorkState::Skipped => {
                let told_today = floor.record.since().map(|at| at.date_naive()) == Some(date);
                (of_day || told_today).then_some(Section::Done)
            }
            _ => None,
        }
    }

    fn begins(&self, floor: &FloorItem) -> bool {
        floor.item.start <= self.now + Duration::minutes(10)
    }

    /// Days before the one that is shown with work nobody said anything about.
    fn forgotten(&self, work: &[FloorItem], date: NaiveDate) -> Vec<Forgotten> {
        let mut found: Vec<(NaiveDate, usize)> = Vec::new();
        for floor in work {
            let day = floor.item.start.date_naive();
            let waiting = floor.record.state == WorkState::Planned && !self.is_recent(floor);
            let late = matches!(Late::of(floor, self.now), Some(Late::NotBegun(_)));
            if !waiting || !late || day == date {
                continue;
            }
            match found.iter_mut().find(|(known, _)| *known == day) {
                Some((_, count)) => *count += 1,
                None => found.push((day, 1)),
            }
        }
        let shown = |(day, count): (NaiveDate, usize)| Forgotten {
            href: self.link(day),
            day: self.units.locale.day(day),
            count,
        };
        found.into_iter().map(shown).collect()
    }

    fn link(&self, day: NaiveDate) -> String {
        format!("{}/today?day={day}", self.base)
    }

    /// The present, inside the plan: what a new plan starts from.
    fn as_of(&self) -> DateTime<FixedOffset> {
        let plan = &self.made.plan;
        self.now.clamp(plan.start, plan.end)
    }
}

enum Section {
    Now,
    Next,
    Done,
}
