//! Why each work item was changed.

use super::deviations::{About, Deviation, time};
use super::moves::{Change, ChangeKind};
use super::published::{self, PublishedStart};
use super::shortfalls::Broken;
use crate::decode::Context;
use crate::mapping::{Scarce, SodaNetwork};
use crate::plan::{BoilStep, FillStep, GasStep, Plan, Step, TapStep, WorkId, WorkItem};

/// What reasons are looked for in.
pub(super) struct Why<'a> {
    pub context: Context<'a>,
    pub soda: &'a SodaNetwork,
    pub deviations: &'a [Deviation],
    pub broken: &'a [Broken],
    /// The whole published plan, and the new one.
    pub published: &'a Plan,
    pub new: &'a Plan,
}

/// At most this many reasons are given for one change.
const MOST: usize = 3;

impl Why<'_> {
    /// Gives every change its reasons.
    pub(super) fn explain(&self, changes: &mut [Change]) {
        let changed: Vec<(WorkId, ChangeKind)> = changes
            .iter()
            .map(|change| (change.item.clone(), change.change))
            .collect();
        for change in changes {
            change.why = self.reasons(change, &changed);
            change.why.truncate(MOST);
        }
    }

    fn reasons(&self, change: &Change, changed: &[(WorkId, ChangeKind)]) -> Vec<String> {
        let mut why = self.events(&change.item);
        let item = self.item(change);
        if let Some(item) = item {
            for source in sources(item) {
                why.extend(
                    self.events(source)
                        .into_iter()
                        .map(|e| format!("rests on it: {e}")),
                );
            }
            why.extend(self.resources(item));
            why.extend(follows(item, changed));
        }
        if !why.is_empty() {
            return why;
        }
        let told = self.deviations.iter().take(MOST).map(|d| d.text.clone());
        match change.change {
            ChangeKind::Dropped => vec!["it is not needed any more".to_owned()],
            ChangeKind::Added | ChangeKind::Resized => {
                let told = told.collect::<Vec<_>>().join("; ");
                vec![match told.is_empty() {
                    true => "serves what else would be short".to_owned(),
                    false => format!("makes up for this: {told}"),
                }]
            }
            ChangeKind::Moved => vec!["makes room for other work that was changed".to_owned()],
        }
    }

    /// The item as it was published; the new one, if it was added.
    fn item(&self, change: &Change) -> Option<&WorkItem> {
        let plan = match change.change {
            ChangeKind::Added => self.new,
            _ => self.published,
        };
        plan.work.iter().find(|item| item.id == change.item)
    }

    /// What happened to an item itself.
    fn events(&self, id: &WorkId) -> Vec<String> {
        let about = self.deviations.iter();
        about
            .filter(|d| matches!(&d.about, About::Item(item) if item == id))
            .map(|d| d.text.clone())
            .collect()
    }

    /// What the item takes that would run short if everything stayed.
    fn resources(&self, item: &WorkItem) -> Vec<String> {
        let kept = published::starts_of(self.context, self.soda, item);
        let Some((task, PublishedStart { .. })) = kept else {
            return Vec::new();
        };
        let takes = |broken: &&Broken| {
            let mut moves = self.soda.net.task(task).moves.iter();
            moves.any(|m| m.resource == broken.id && (m.per_start < 0.0 || m.per_size < 0.0))
        };
        let short = self.broken.iter().filter(takes);
        short
            .map(|broken| {
                let told = &broken.told;
                let what = format!(
                    "{} would be {} {} short at {} if everything stayed",
                    told.resource,
                    told.missing,
                    told.unit,
                    time(told.at)
                );
                match self.behind(broken) {
                    Some(because) => format!("{what}: {because}"),
                    None => what,
                }
            })
            .collect()
    }

    /// The deviation that lies behind a shortfall, where that is plain.
    fn behind(&self, broken: &Broken) -> Option<String> {
        let name = &self.soda.net.resource(broken.id).name;
        let direct = self.deviations.iter().find(|d| match &d.about {
            About::Resource(start) => name.starts_with(start.as_str()),
            About::Item(item) => self.touches(item, broken),
            About::Demand => false,
        });
        let only = self
            .deviations
            .first()
            .filter(|_| self.deviations.len() == 1);
        direct.or(only).map(|d| d.text.clone())
    }

    /// Whether a published item has to do with a shortfall.
    fn touches(&self, id: &WorkId, broken: &Broken) -> bool {
        let item = self.published.work.iter().find(|item| item.id == *id);
        match (item.map(|item| &item.step), broken.scarce) {
            (Some(Step::Boil(BoilStep { pot, .. })), Some(Scarce::Pot(p))) => {
                self.context.scenario.setup.pots[p].id == *pot
            }
            (Some(Step::Boil(_)), None) => {
                let name = &self.soda.net.resource(broken.id).name;
                name.starts_with("water ") || name.starts_with("cold ")
            }
            (Some(Step::Fill(_)), None) => {
                self.soda.net.resource(broken.id).name.starts_with("cold ")
            }
            (Some(Step::Gas(_)), None) => {
                self.soda.net.resource(broken.id).name.starts_with("ready ")
            }
            (Some(Step::Gas(_)), Some(Scarce::Connections(_)))
            | (Some(Step::Wash(_)), Some(Scarce::Washing | Scarce::Kegs(_)))
            | (Some(Step::Ice(_)), Some(Scarce::Ice)) => true,
            _ => false,
        }
    }
}

/// Work that an item's water or kegs come from.
fn sources(item: &WorkItem) -> Vec<&WorkId> {
    match &item.step {
        Step::Fill(FillStep { from, .. }) => from.iter().collect(),
        Step::Gas(GasStep { from, .. }) | Step::Tap(TapStep { from, .. }) => from
            .iter()
            .filter_map(|source| source.item.as_ref())
            .collect(),
        _ => Vec::new(),
    }
}

/// Sources that were changed themselves.
fn follows(item: &WorkItem, changed: &[(WorkId, ChangeKind)]) -> Vec<String> {
    let mut told = Vec::new();
    for source in sources(item) {
        if let Some((id, kind)) = changed.iter().find(|(id, _)| id == source) {
            let how = match kind {
                ChangeKind::Moved => "was moved",
                ChangeKind::Resized => "is larger or smaller now",
                ChangeKind::Dropped => "was dropped",
                ChangeKind::Added => "is new",
            };
            told.push(format!("follows {id}, which {how}"));
        }
    }
    told
}
