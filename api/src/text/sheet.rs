//! A day's work as a page to print.

use std::collections::BTreeMap;

use askama::Template;
use chrono::{DateTime, FixedOffset, NaiveDate};
use scheduler::plan::{CautionKind, Step, WorkItem};
use scheduler::scenario::Scenario;
use strum::VariantArray;

use super::figures::{day, number, time_after};
use super::names::Names;
use super::steps;
use super::units::Units;
use super::visits;
use crate::domain::publications::Publication;
use crate::domain::roles::Role;
use crate::domain::work::{self, FloorItem, WorkState};

/// What a sheet is of.
pub(crate) struct Sheet<'a> {
    pub(crate) site: &'a str,
    pub(crate) date: NaiveDate,
    pub(crate) role: Option<Role>,
    /// `A4` or `letter`.
    pub(crate) paper: &'static str,
    pub(crate) units: Units,
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
    /// What to mind in all of it: a word, and what it says.
    minds: Vec<(&'static str, String)>,
    items: Vec<Item>,
}

struct Item {
    mark: &'static str,
    when: String,
    id: String,
    hands: String,
    headline: String,
    lines: Vec<String>,
    /// What to mind, in a word each; a number that is of this item only is with it.
    minds: Vec<(&'static str, String)>,
    began: String,
    over: String,
    by: String,
}

/// The page as HTML: nothing in it is fetched from elsewhere.
pub(crate) fn sheet(sheet: &Sheet<'_>, work: &[FloorItem]) -> Result<String, askama::Error> {
    let names = Names::of(sheet.scenario).reading(sheet.units);
    let today = |item: &&FloorItem| {
        let days = item.item.start.date_naive()..=item.item.end.date_naive();
        item.item.start.date_naive() == sheet.date
            || item.record.state == WorkState::Started && days.contains(&sheet.date)
    };
    let of_day: Vec<&FloorItem> = work.iter().filter(today).collect();
    let roles = Role::VARIANTS.iter().copied();
    let wanted = roles.filter(|role| sheet.role.is_none_or(|only| only == *role));
    let sections = wanted.filter_map(|role| {
        let items = of_day
            .iter()
            .filter(|item| Role::of(&item.item.step) == role);
        let items: Vec<&&FloorItem> = items.collect();
        let minds = minds(&items);
        let whole = items
            .iter()
            .map(|item| (item.item.start, shown(&names, item, &minds)));
        let later = work.iter().filter(|item| Role::of(&item.item.step) == role);
        let later = later.filter_map(|item| visit(sheet, &names, item, &minds));
        // What is gone to again is seen to before new work begins.
        let mut items: Vec<(DateTime<FixedOffset>, Item)> = later.chain(whole).collect();
        items.sort_by_key(|(at, _)| *at);
        let items: Vec<Item> = items.into_iter().map(|(_, item)| item).collect();
        let title = role.title();
        (!items.is_empty()).then_some(Section {
            title,
            minds,
            items,
        })
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

/// What to mind in more than one of some items, said once.
fn minds(items: &[&&FloorItem]) -> Vec<(&'static str, String)> {
    let mut told: BTreeMap<&str, (usize, &'static str)> = BTreeMap::new();
    for caution in items.iter().flat_map(|item| &item.item.cautions) {
        let known = told.entry(caution.text.as_str());
        known.or_insert((0, steps::minded(caution.kind))).0 += 1;
    }
    let often = told.into_iter().filter(|(_, (times, _))| *times > 1);
    often
        .map(|(text, (_, title))| (title, text.to_owned()))
        .collect()
}

/// What to mind at an item: a word for what is said above, all of it for what is not.
fn minded(
    item: &WorkItem,
    above: &[(&'static str, String)],
    concerns: impl Fn(CautionKind) -> bool,
) -> Vec<(&'static str, String)> {
    let cautions = item.cautions.iter();
    let told = cautions.filter(|c| concerns(c.kind)).map(|caution| {
        let said = above.iter().any(|(_, text)| *text == caution.text);
        let text = if said { "" } else { &caution.text };
        (steps::minded(caution.kind), text.to_owned())
    });
    told.collect()
}

/// The later visit to an item, if it is due on the sheet's day.
fn visit(
    sheet: &Sheet<'_>,
    names: &Names<'_>,
    floor: &FloorItem,
    above: &[(&'static str, String)],
) -> Option<(DateTime<FixedOffset>, Item)> {
    let visit = work::later(&sheet.scenario.setup, &floor.item)?;
    let due = work::due(&visit, &floor.item, &floor.record)?;
    if due.date_naive() != sheet.date {
        return None;
    }
    let item = Item {
        mark: "",
        when: due.format("%H:%M").to_string(),
        hands: format!("{} min of hands", number(visit.hands_min)),
        headline: visits::headline(names, &floor.item),
        lines: visits::instructions(names, &floor.item),
        minds: minded(&floor.item, above, |kind| {
            visits::concerns(&floor.item, kind)
        }),
        began: String::new(),
        over: String::new(),
        by: String::new(),
        ..shown(names, floor, above)
    };
    Some((due, item))
}

fn shown(names: &Names<'_>, floor: &FloorItem, above: &[(&'static str, String)]) -> Item {
    let (item, record) = (&floor.item, &floor.record);
    let from = item.start.format("%H:%M");
    let when = if item.end <= item.start {
        from.to_string()
    } else {
        format!("{from} to {}", time_after(item.end, item.start))
    };
    let hands = match item.step {
        _ if item.hands_min <= 0.0 => String::new(),
        // It is gone to twice.
        Step::Boil(_) | Step::Gas(_) => format!("{} min of hands in all", number(item.hands_min)),
        _ => format!("{} min of hands", number(item.hands_min)),
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
        minds: minded(item, above, |_| true),
        began: clock(record.started_at),
        over: clock(record.ended_at),
        by: record
            .by
            .as_ref()
            .map_or_else(String::new, |by| by.as_str().to_owned()),
    }
}
