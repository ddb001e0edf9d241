//! What kegs and places allow at all, whatever is done.

use crate::mapping::{SodaNetwork, Work};
use crate::milp::{Column, Program, Relation, Row, Settings, WarmStart, Watch, solve};
use crate::network::ResourceId;

/// The most kegs that can stand ready at the last point, by the kegs that exist and the places
/// they can stand in: no plan has more. Infinity where this cannot be told.
///
/// A keg that stands ready and does not count stays where it is, unless it can be emptied.
#[must_use]
pub(crate) fn ceiling(soda: &SodaNetwork, counted: &[ResourceId], watch: Watch<'_>) -> f64 {
    let program = program(soda, counted);
    let settings = Settings {
        gap: 0.0,
        ..Settings::default()
    };
    solve(
        &program,
        settings,
        WarmStart::Nothing,
        Watch::quiet(watch.cancel),
    )
    .map_or(f64::INFINITY, |solved| (solved.bound + 1e-6).floor())
}

fn program(soda: &SodaNetwork, counted: &[ResourceId]) -> Program {
    let (mut program, stages) = (Program::default(), &soda.stages);
    let mut in_store: Vec<Vec<(usize, f64)>> = vec![Vec::new(); stages.places.len()];
    for (k, stores) in stages.cold.iter().enumerate() {
        let mut of_type = Vec::new();
        for (s, within) in in_store.iter_mut().enumerate().take(stores.len()) {
            let column = program.add_column(Column {
                name: format!("kegs[{k},{s}]").into(),
                lower: 0.0,
                upper: 10_000.0,
                whole: true,
                objective: 1.0,
            });
            of_type.push((column, 1.0));
            within.push((column, place(soda, k, s)));
        }
        program.add_row(at_most(of_type, kegs(soda, k, counted)));
    }
    for (s, terms) in in_store.into_iter().enumerate() {
        program.add_row(at_most(terms, places(soda, s, counted)));
    }
    program
}

fn at_most(terms: Vec<(usize, f64)>, right: f64) -> Row {
    Row {
        name: "at most".into(),
        terms,
        relation: Relation::AtMost,
        right,
    }
}

/// What there is of a resource at the start, and comes from outside later.
fn all_of(soda: &SodaNetwork, id: ResourceId) -> f64 {
    let resource = soda.net.resource(id);
    resource.initial + resource.supply.values().filter(|x| **x > 0.0).sum::<f64>()
}

/// Places a keg of a type takes in a store; none where nothing is filled into it. A fill may put
/// away several, such as a crate.
fn place(soda: &SodaNetwork, keg: usize, store: usize) -> f64 {
    let tasks = soda.net.tasks().zip(&soda.work);
    let fills = tasks.filter(
        |(_, work)| matches!(work, Work::Fill { keg: k, store: s, .. } if (*k, *s) == (keg, store)),
    );
    let places = soda.stages.places[store];
    let clean = soda.stages.clean[keg];
    let taken = |task: &crate::network::Task, id: ResourceId| -> f64 {
        let moves = task.moves.iter().filter(|m| m.resource == id);
        moves.map(|m| -m.per_start).sum()
    };
    fills
        .map(|((_, task), _)| taken(task, places) / taken(task, clean).max(1.0))
        .fold(0.0, f64::max)
}

/// Whether kegs that stand ready in one of these resources count, or can be emptied.
fn movable(soda: &SodaNetwork, level: ResourceId, counted: &[ResourceId]) -> bool {
    counted.contains(&level)
        || soda.net.tasks().any(|(_, task)| {
            task.moves
                .iter()
                .any(|m| m.resource == level && m.per_start < 0.0)
                && (0..soda.net.points()).any(|t| task.most.at(t) > 0.0)
        })
}

/// Kegs of a type that could stand ready in the end.
fn kegs(soda: &SodaNetwork, keg: usize, counted: &[ResourceId]) -> f64 {
    let stages = &soda.stages;
    let empty = all_of(soda, stages.clean[keg]) + all_of(soda, stages.dirty[keg]);
    let cold: f64 = stages.cold[keg].iter().map(|id| all_of(soda, *id)).sum();
    let ready = soda.ready.iter().filter(|(_, k, _)| *k == keg);
    let levels = ready.flat_map(|(_, _, levels)| levels);
    let ready: f64 = levels
        .filter(|id| movable(soda, **id, counted))
        .map(|id| all_of(soda, *id))
        .sum();
    empty + cold + ready + tapped(soda, keg)
}

/// Kegs of a type that are on tap and could come back.
fn tapped(soda: &SodaNetwork, keg: usize) -> f64 {
    let tasks = soda.net.tasks().zip(&soda.work);
    let returns =
        tasks.filter(|(_, work)| matches!(work, Work::Return { keg: k, .. } if *k == keg));
    returns.map(|((_, task), _)| returned(soda, task)).sum()
}

/// The most kegs one task can bring back: what has been drained, and what is still on tap.
fn returned(soda: &SodaNetwork, task: &crate::network::Task) -> f64 {
    let Some(drain) = task.moves.iter().find(|m| m.per_start < 0.0) else {
        return 0.0;
    };
    let brings = soda.net.tasks().filter(|(_, other)| {
        other
            .moves
            .iter()
            .any(|m| m.resource == drain.resource && m.per_size > 0.0)
    });
    let on_tap = brings
        .flat_map(|(_, other)| &other.moves)
        .filter(|m| m.per_size < 0.0);
    let mut levels: Vec<ResourceId> = on_tap.map(|m| m.resource).collect();
    levels.sort_unstable();
    levels.dedup();
    let litres: f64 = levels.iter().map(|id| all_of(soda, *id)).sum();
    ((all_of(soda, drain.resource) + litres) / -drain.per_start + 1e-6).floor()
}

/// Places of a store in which kegs could stand that count.
fn places(soda: &SodaNetwork, store: usize, counted: &[ResourceId]) -> f64 {
    let stages = &soda.stages;
    let mut free = all_of(soda, stages.places[store]);
    for (keg, stores) in stages.cold.iter().enumerate() {
        let each = place(soda, keg, store);
        free += stores.get(store).map_or(0.0, |id| all_of(soda, *id)) * each;
        for (_, _, levels) in soda.ready.iter().filter(|(_, k, _)| *k == keg) {
            let here = levels.iter().filter(|id| stands_in(soda, **id, store));
            let counts = here.filter(|id| movable(soda, **id, counted));
            free += counts.map(|id| all_of(soda, *id)).sum::<f64>() * each;
        }
    }
    free
}

/// Whether kegs of a resource stand in a store.
fn stands_in(soda: &SodaNetwork, level: ResourceId, store: usize) -> bool {
    let own = soda
        .net
        .tasks()
        .zip(&soda.work)
        .filter(|(_, work)| match work {
            Work::Gas { store: s, .. }
            | Work::Discard { store: s, .. }
            | Work::Tap { store: s, .. } => *s == store,
            _ => false,
        });
    own.into_iter()
        .any(|((_, task), _)| task.moves.iter().any(|m| m.resource == level))
}
