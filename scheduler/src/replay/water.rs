//! Water: kegs are filled from named boils, while their water stands in the pot, with no more than
//! was made; the rest is accounted for.

use super::items::Fill;
use super::violation::{Findings, Rule};
use super::walk::{Walk, filled_at};

/// Litres lost in rounding one figure.
const DROP_L: f64 = 0.1;
/// Kelvins by which the water of a fill may differ from its boil's.
const SAME_KELVIN: f64 = 0.5;

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    let mut there: Vec<f64> = walk.items.boils.iter().map(|b| b.makes_l).collect();
    let mut fills: Vec<&Fill<'_>> = walk.items.fills.iter().collect();
    fills.sort_by_key(|f| f.head.start);
    for fill in fills {
        in_time(walk, fill, found);
        draw(walk, fill, &mut there, found);
    }
    left_over(walk, found);
}

/// A fill takes its step: it starts when the water is ready and ends before the pot must be empty.
fn in_time(walk: &Walk<'_>, fill: &Fill<'_>, found: &mut Findings) {
    let (from, until) = (fill.head.start, fill.head.start + walk.grid);
    let place = fill.head.place();
    for boil in fill.from.iter().map(|n| &walk.items.boils[*n]) {
        let stands = from >= boil.fill_from && until <= boil.head.end;
        found.require(stands, Rule::Water, place, || {
            let (first, last) = (walk.time(boil.fill_from), walk.time(boil.head.end));
            format!(
                "the water of {} stands from {first} to {last}",
                boil.head.id
            )
        });
        if let Some(longest) = walk.scenario.policy.water_stands_min {
            let stands = until.saturating_sub(boil.chill_at) as f64;
            found.require(
                stands <= longest.minutes() + 0.1,
                Rule::Water,
                place,
                || {
                    format!(
                        "in kegs {stands} min after {} was heated; {longest} is allowed",
                        boil.head.id
                    )
                },
            );
        }
        found.require(boil.route.id == fill.route.id, Rule::Water, place, || {
            let (named, made) = (&fill.route.id, &boil.route.id);
            format!(
                "water by route {named} from {}, which runs route {made}",
                boil.head.id
            )
        });
    }
    let warm = filled_at(fill.route);
    let same = (fill.at - warm).kelvins().abs() <= SAME_KELVIN;
    found.require(same, Rule::Water, place, || {
        format!(
            "filled at {}; route {} fills at {warm}",
            fill.at, fill.route.id
        )
    });
}

/// The pot that must be empty first is drained first.
fn draw(walk: &Walk<'_>, fill: &Fill<'_>, there: &mut [f64], found: &mut Findings) {
    let wanted = f64::from(fill.kegs) * fill.litres_each;
    let mut boils = fill.from.clone();
    boils.sort_by_key(|n| walk.items.boils[*n].head.end);
    let all: f64 = boils.iter().map(|n| there[*n]).sum();
    let mut missing = wanted;
    for n in boils {
        let taken = missing.min(there[n]);
        there[n] -= taken;
        missing -= taken;
    }
    found.require(missing <= DROP_L, Rule::Water, fill.head.place(), || {
        format!("{wanted:.1} L filled; {all:.1} L are left of its boils")
    });
}

/// What a route's boils make is filled or left over.
fn left_over(walk: &Walk<'_>, found: &mut Findings) {
    for route in &walk.scenario.setup.routes {
        let boils = || walk.items.boils.iter().filter(|b| b.route.id == route.id);
        let made: f64 = boils().map(|b| b.makes_l).sum();
        let left: f64 = boils().map(|b| b.left_l).sum();
        let fills = walk.items.fills.iter().filter(|f| f.route.id == route.id);
        let filled: f64 = fills.map(|f| f64::from(f.kegs) * f.litres_each).sum();
        let (Some(last), rounding) = (boils().next_back(), DROP_L * boils().count() as f64) else {
            continue;
        };
        let same = (made - filled - left).abs() <= rounding;
        found.require(same, Rule::Water, last.head.place(), || {
            format!(
                "route {} makes {made:.1} L and fills {filled:.1} L, but {left:.1} L are said to \
                 be left",
                route.id
            )
        });
    }
}
