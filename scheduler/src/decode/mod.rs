//! From the program's values to a plan people can work by.
//!
//! The program counts kegs; here they get their history: every fill knows its boils, every gassing
//! the fills, every tapping the gassings, oldest first.

mod boils;
mod cautions;
mod gassings;
mod kegs;
mod minor;
mod needs;
mod pool;
mod reserves;
mod served;
mod starts;

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};

pub(crate) use reserves::reserves;
pub(crate) use served::served;
pub(crate) use starts::{Start, starts};

use crate::check::Checked;
use crate::mapping::Work;
use crate::plan::{Need, Step, TapStep, WorkId, WorkItem};
use crate::recipe::Recipes;
use crate::scenario::Scenario;
use crate::timeline::Timeline;

/// What decoding looks things up in.
#[derive(Clone, Copy)]
pub(crate) struct Context<'a> {
    pub scenario: &'a Checked,
    pub recipes: &'a Recipes,
    pub timeline: &'a Timeline,
}

impl Context<'_> {
    /// Instant at which a step starts, on the site's clock.
    pub(crate) fn stamp(&self, step: usize) -> DateTime<FixedOffset> {
        self.timeline.stamp(self.timeline.at(step))
    }

    /// CO2 that pushes out the kegs of a tapping, in kilograms.
    pub(crate) fn push_kg(&self, tap: &TapStep) -> f64 {
        let index = self.scenario.index();
        let product = index.product(&tap.product);
        let keg = index.keg_type(&tap.keg_type);
        let each = match (product, keg, index.store(&tap.store)) {
            (Some(product), Some(keg), Some(store)) => self.recipes.push_kg(product, keg, store),
            _ => 0.0,
        };
        each * f64::from(tap.kegs)
    }
}

/// Turns the starts of tasks into work items, in order of time.
pub(crate) fn work(context: Context<'_>, starts: &[Start]) -> Vec<WorkItem> {
    let mut writer = Writer::after(context.scenario);
    let boils = boils::write(context, starts, &mut writer);
    let cold = kegs::fills(context, starts, boils, &mut writer);
    let ready = gassings::write(context, starts, cold, &mut writer);
    kegs::taps(context, starts, ready, &mut writer);
    minor::write(context, starts, &mut writer);
    let mut items = writer.items;
    for item in &mut items {
        item.cautions = cautions::of(context.scenario, &item.step);
    }
    sort(&mut items);
    items
}

/// Puts items in order of time.
pub(crate) fn sort(items: &mut [WorkItem]) {
    items.sort_by(|a, b| {
        let order = |item: &WorkItem| (item.start, rank(&item.step));
        order(a).cmp(&order(b)).then_with(|| a.id.cmp(&b.id))
    });
}

/// What a plan uses up, and whether there is enough of it.
pub(crate) fn needs(context: Context<'_>, items: &[WorkItem]) -> Vec<Need> {
    needs::of(context, items)
}

/// Order of items that start at the same time: what frees and brings things first.
fn rank(step: &Step) -> u8 {
    match step {
        Step::Ice(_) => 0,
        Step::Cylinder(_) => 1,
        Step::Return(_) => 2,
        Step::Discard(_) => 3,
        Step::Wash(_) => 4,
        Step::Boil(_) => 5,
        Step::Fill(_) => 6,
        Step::Gas(_) => 7,
        Step::Tap(_) => 8,
        Step::Stale(_) => 9,
    }
}

/// Collects items and gives each an id of its own: kind and number, in the order written.
#[derive(Default)]
struct Writer {
    items: Vec<WorkItem>,
    numbers: BTreeMap<&'static str, usize>,
}

impl Writer {
    /// Boils get other names than those that are under way.
    fn after(scenario: &Scenario) -> Self {
        let boils = scenario.stock.under_way.boils.iter();
        let highest = boils.filter_map(|boil| boil.item.number()).max();
        let mut writer = Self::default();
        writer
            .numbers
            .extend(highest.map(|number| ("boil", number)));
        writer
    }

    fn add(
        &mut self,
        (start, end): (DateTime<FixedOffset>, DateTime<FixedOffset>),
        hands_min: f64,
        step: Step,
    ) -> WorkId {
        let number = self.numbers.entry(step.kind()).or_default();
        *number += 1;
        let id = WorkId::new(step.kind(), *number);
        self.items.push(WorkItem {
            id: id.clone(),
            start,
            end,
            hands_min: round(hands_min, 1),
            step,
            cautions: Vec::new(),
        });
        id
    }
}

/// Rounds for people: a plan says 24.7 kg, not 24.700000001.
fn round(value: f64, digits: i32) -> f64 {
    let scale = 10.0_f64.powi(digits);
    (value * scale).round() / scale
}

/// Starts of one kind of work, in order of time.
fn of_kind<'a, T>(
    starts: &'a [Start],
    pick: impl Fn(&Work) -> Option<T> + 'a,
) -> impl Iterator<Item = (&'a Start, T)> {
    starts
        .iter()
        .filter_map(move |start| Some((start, pick(&start.work)?)))
}

/// Minutes of hands as the crew's part of the setup states them.
fn crew(scenario: &Scenario) -> &crate::scenario::Crew {
    &scenario.setup.crew
}
