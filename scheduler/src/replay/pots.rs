//! Pots: one boil at a time, of a size the pot takes.

use super::begun;
use super::items::Boil;
use super::violation::{Findings, Rule};
use super::walk::Walk;

/// A pot that is overfull by less than this part is a rounding.
const ROUNDING: f64 = 0.002;

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    one_at_a_time(walk, found);
    for boil in &walk.items.boils {
        size(walk, boil, found);
        let route = boil.route;
        let may = route.pots.contains(&boil.pot.id);
        found.require(may, Rule::Pot, boil.head.place(), || {
            format!(
                "route {} is run in {}, which it may not use",
                route.id, boil.pot.id
            )
        });
    }
}

/// A pot is taken from the start of a boil until it must be empty.
fn one_at_a_time(walk: &Walk<'_>, found: &mut Findings) {
    for pot in &walk.scenario.setup.pots {
        let mut boils: Vec<_> = walk
            .items
            .boils
            .iter()
            .filter(|b| b.pot.id == pot.id)
            .collect();
        boils.sort_by_key(|b| b.head.start);
        let taken = begun::pot_until(walk, &pot.id);
        if let (Some(first), Some(until)) = (boils.first(), taken) {
            let free = first.head.start >= until;
            found.require(free, Rule::Pot, first.head.place(), || {
                format!(
                    "{} is taken or out of use until {}",
                    pot.id,
                    walk.time(until)
                )
            });
        }
        for pair in boils.windows(2) {
            let (first, next) = (pair[0], pair[1]);
            let free = next.head.start >= first.head.end;
            found.require(free, Rule::Pot, next.head.place(), || {
                let until = walk.time(first.head.end);
                format!("{} is taken by {} until {until}", pot.id, first.head.id)
            });
        }
    }
}

/// The pot holds its water at the hottest and, with melted ice in it, at the end.
fn size(walk: &Walk<'_>, boil: &Boil<'_>, found: &mut Findings) {
    let place = boil.head.place();
    let tap = walk.scenario.site.water.temperature_c;
    let Some(cold) = found.known(Rule::Pot, place, model::water::density(tap)) else {
        return;
    };
    let Some(hot) = found.known(Rule::Pot, place, model::water::density(boil.heat_to)) else {
        return;
    };
    let room = boil.pot.volume_l.litres();
    let most = (boil.tap_l * cold / hot).max(boil.makes_l);
    found.require(most <= room * (1.0 + ROUNDING), Rule::Pot, place, || {
        format!("{most:.2} L at its fullest; {} holds {room} L", boil.pot.id)
    });
    let least = boil.pot.smallest_fill_l.litres();
    found.require(
        boil.tap_l >= least * (1.0 - ROUNDING),
        Rule::Pot,
        place,
        || {
            format!(
                "{:.2} L to heat; at least {least} L in {}",
                boil.tap_l, boil.pot.id
            )
        },
    );
}
