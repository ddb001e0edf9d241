//! What is wrong with a scenario: what its fields say about each other, and everything a document gets
//! wrong at once. Only a [`Checked`] scenario can be planned.

mod calendar;
mod dangers;
mod demand;
mod index;
mod materials;
mod reachable;
mod read_all;
mod safety;
mod setup;
mod stock;
mod under_way;

use std::collections::BTreeSet;
use std::fmt::Display;
use std::ops::Deref;

use crate::scenario::Scenario;

pub use crate::scenario::{Fault, Faults};
pub use dangers::{Danger, dangers};
pub(crate) use dangers::{chlorine, freezing, left_to_warm, rating, room, warm_gassing};
pub use demand::LARGEST_DEMAND_LINES;
pub(crate) use index::Index;
pub use read_all::read_all;

/// A scenario whose fields agree with each other; only such a one can be planned.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    scenario: Scenario,
    index: Index,
}

impl Deref for Checked {
    type Target = Scenario;
    fn deref(&self) -> &Scenario {
        &self.scenario
    }
}

impl Checked {
    /// The scenario, to be changed and checked again.
    #[must_use]
    pub fn into_inner(self) -> Scenario {
        self.scenario
    }

    /// Where each id of the setup stands.
    pub(crate) fn index(&self) -> &Index {
        &self.index
    }
}

impl Scenario {
    /// Checks what the fields say about each other: names that are used exist, a smallest fill is
    /// below the volume, a service lies inside the horizon, something can carbonate each keg type,
    /// and nothing planned would be dangerous.
    ///
    /// # Errors
    /// [`Faults`], one for each thing that is wrong.
    pub fn check(self) -> Result<Checked, Faults> {
        let mut faults = Collector::default();
        setup::check(&self, &mut faults);
        calendar::check(&self.setup, &mut faults);
        materials::check(&self, &mut faults);
        stock::check(&self, &mut faults);
        under_way::check(&self, &mut faults);
        demand::check(&self, &mut faults);
        // The rest computes with the setup, so it needs one whose names and bounds hold.
        if faults.0.is_empty() {
            safety::check(&self, &mut faults);
        }
        if faults.0.is_empty() {
            reachable::check(&self, &mut faults);
        }
        if faults.0.is_empty() {
            let index = Index::of(&self.setup);
            Ok(Checked {
                scenario: self,
                index,
            })
        } else {
            Err(Faults(faults.0))
        }
    }
}

/// Collects faults; each method names the field, what was found and what is allowed.
#[derive(Default)]
struct Collector(Vec<Fault>);

impl Collector {
    fn add(&mut self, field: impl Into<String>, what: impl Into<String>) {
        self.0.push(Fault {
            field: field.into(),
            what: what.into(),
        });
    }

    /// `id` must be one of `known`.
    fn known<I: Ord + Display>(&mut self, field: String, noun: &str, id: &I, known: &BTreeSet<&I>) {
        if !known.contains(id) {
            let names: Vec<String> = known.iter().take(20).map(ToString::to_string).collect();
            self.add(
                field,
                format!(
                    "there is no {noun} \"{id}\"; the setup has: {}",
                    names.join(", ")
                ),
            );
        }
    }

    /// Every id in `list` must be one of `known`.
    fn all_known<I: Ord + Display>(
        &mut self,
        field: &str,
        noun: &str,
        list: &[I],
        known: &BTreeSet<&I>,
    ) {
        for (n, id) in list.iter().enumerate() {
            self.known(format!("{field}[{n}]"), noun, id, known);
        }
    }

    /// `items` must have between `least` and `most` entries.
    fn count(&mut self, field: &str, found: usize, least: usize, most: usize) {
        if !(least..=most).contains(&found) {
            self.add(
                field,
                format!("{found} entries found; {least} to {most} are allowed"),
            );
        }
    }

    /// Ids must not repeat.
    fn unique<'a, I: Ord + Display + 'a>(
        &mut self,
        field: &str,
        noun: &str,
        ids: impl IntoIterator<Item = &'a I>,
    ) {
        let mut seen = BTreeSet::new();
        for (n, id) in ids.into_iter().enumerate() {
            if !seen.insert(id) {
                self.add(
                    format!("{field}[{n}].id"),
                    format!("a second {noun} \"{id}\"; each id is allowed once"),
                );
            }
        }
    }

    /// A name people can read.
    fn name(&mut self, field: String, name: &str) {
        let length = name.chars().count();
        if !(1..=120).contains(&length) || name.trim().is_empty() {
            self.add(
                field,
                format!("a name of {length} characters; 1 to 120 are allowed, not all blank"),
            );
        }
    }
}
