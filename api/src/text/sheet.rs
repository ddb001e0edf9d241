//! A day's work as a page to print.

use askama::Template;
use chrono::NaiveDate;
use scheduler::scenario::Scenario;

use super::figures::{day, number, time_after};
use super::names::Names;
use super::steps;
use crate::domain::publications::Publication;
use crate::domain::roles::Role;
use crate::domain::work::{FloorItem, WorkState};

/// What a sheet is of.
pub(crate) struct Sheet<'a> {
    pub(crate) site: &'a str,
    pub(crate) date: NaiveDate,
    pub(crate) role: Option<Role>,
    /// `A4` or `letter`.
    pub(crate) paper: &'static str,
    pub(crate) published: &'a Publication,
    pub(crate) scenario: &'a Scenario,
}

#[derive(Template)]
#[template(path = "sheet.html")]
struct Page<'a> {
    site: &'a str,
    day: String,
    role: Option<&'static str>,
    paper: &'static str,
    number: i64,
    published: String,
    sections: Vec<Section>,
}

struct Section {
    title: &'static str,
    items: Vec<Item>,
}

struct Item {
    mark: &'static str,
    when: String,
    id: String,
    hands: String,
    headline: String,
    lines: Vec<String>,
    cautions: Vec<String>,
    began: String,
    over: String,
    by: String,
}

/// The page as HTML: nothing in it is fetched from elsewhere.
pub(crate) fn sheet(sheet: &Sheet<'_>, work: &[FloorItem]) -> Result<String, askama::Error> {
    let names = Names::of(sheet.scenario);
    let today = |item: &&FloorItem| {
        let days = item.item.start.date_naive()..=item.item.end.date_naive();
        item.item.start.date_naive() == sheet.date
            || item.record.state == WorkState::Started && days.contains(&sheet.date)
    };
    let of_day: Vec<&FloorItem> = work.iter().filter(today).collect();
    let roles = Role::ALL.into_iter();
    let wanted = roles.filter(|role| sheet.role.is_none_or(|only| only == *role));
    let sections = wanted.filter_map(|role| {
        let items = of_day
            .iter()
            .filter(|item| Role::of(&item.item.step) == role);
        let items: Vec<Item> = items.map(|item| shown(&names, item)).collect();
        let title = role.title();
        (!items.is_empty()).then_some(Section { title, items })
    });
    let published = sheet.published.published_at;
    Page {
        site: sheet.site,
        day: sheet.date.format("%A %-d %B %Y").to_string(),
        role: sheet.role.map(Role::title),
        paper: sheet.paper,
        number: sheet.published.number,
        published: format!("{} {}", day(published), published.format("%H:%M")),
        sections: sections.collect(),
    }
    .render()
}

fn shown(names: &Names<'_>, floor: &FloorItem) -> Item {
    let (item, record) = (&floor.item, &floor.record);
    let from = item.start.format("%H:%M");
    let when = if item.end <= item.start {
        from.to_string()
    } else {
        format!("{from} to {}", time_after(item.end, item.start))
    };
    let hands = if item.hands_min > 0.0 {
        format!("{} min of hands", number(item.hands_min))
    } else {
        String::new()
    };
    let clock = |at: Option<chrono::DateTime<chrono::FixedOffset>>| {
        at.map_or_else(String::new, |at| time_after(at, item.start))
    };
    Item {
        mark: match record.state {
            WorkState::Planned => "",
            WorkState::Started => "/",
            WorkState::Finished => "✓",
            WorkState::Failed => "×",
            WorkState::Skipped => "–",
        },
        when,
        id: item.id.to_string(),
        hands,
        headline: steps::headline(names, &item.step),
        lines: steps::instructions(names, item),
        cautions: item.cautions.iter().map(|c| c.text.clone()).collect(),
        began: clock(record.started_at),
        over: clock(record.ended_at),
        by: record
            .by
            .as_ref()
            .map_or_else(String::new, |by| by.as_str().to_owned()),
    }
}
