//! Water: kegs are filled from named boils, while their water stands in the pot, with no more than
//! was made; the rest is accounted for.

use super::items::{Boiled, Fill};
use super::violation::{Findings, Rule};
use super::walk::{Walk, filled_at};

/// Litres lost in rounding one figure.
const DROP_L: f64 = 0.1;
/// Kelvins by which the water of a fill may differ from its boil's.
const SAME_KELVIN: f64 = 0.5;

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    let mut there = Pots {
        planned: walk.items.boils.iter().map(|b| b.makes_l).collect(),
        begun: walk.items.begun.iter().map(|b| b.litres).collect(),
    };
    let mut fills: Vec<&Fill<'_>> = walk.items.fills.iter().collect();
    fills.sort_by_key(|f| f.head.start);
    for fill in fills {
        in_time(walk, fill, found);
        draw(walk, fill, &mut there, found);
    }
    left_over(walk, found);
}

/// Litres left of each boil.
struct Pots {
    planned: Vec<f64>,
    begun: Vec<f64>,
}

impl Pots {
    fn of(&mut self, boil: Boiled) -> &mut f64 {
        match boil {
            Boiled::Planned(n) => &mut self.planned[n],
            Boiled::Begun(n) => &mut self.begun[n],
        }
    }
}

/// Heated water is in kegs before it has stood for too long.
fn stands_long(walk: &Walk<'_>, fill: &Fill<'_>, found: &mut Findings) {
    let Some(longest) = walk.scenario.policy.water_stands_min else {
        return;
    };
    let until = fill.head.start + walk.grid;
    for from in &fill.from {
        // How long a boil that began before the plan may stand was that plan's matter.
        let Boiled::Planned(n) = from else { continue };
        let boil = &walk.items.boils[*n];
        let stands = until.saturating_sub(boil.chill_at) as f64;
        let fresh = stands <= longest.minutes() + 0.1;
        found.require(fresh, Rule::Water, fill.head.place(), || {
            let id = boil.head.id;
            format!("in kegs {stands} min after {id} was heated; {longest} is allowed")
        });
    }
}

/// A fill takes its step: it starts when the water is ready and ends before the pot must be empty.
fn in_time(walk: &Walk<'_>, fill: &Fill<'_>, found: &mut Findings) {
    let (from, until) = (fill.head.start, fill.head.start + walk.grid);
    let place = fill.head.place();
    stands_long(walk, fill, found);
    for water in fill.from.iter().map(|boil| walk.items.water(*boil)) {
        let stands = from >= water.fill_from && until <= water.until;
        found.require(stands, Rule::Water, place, || {
            let (first, last) = (walk.time(water.fill_from), walk.time(water.until));
            format!("the water of {} stands from {first} to {last}", water.id)
        });
        found.require(water.route.id == fill.route.id, Rule::Water, place, || {
            let (named, made) = (&fill.route.id, &water.route.id);
            format!(
                "water by route {named} from {}, which runs route {made}",
                water.id
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
fn draw(walk: &Walk<'_>, fill: &Fill<'_>, there: &mut Pots, found: &mut Findings) {
    let wanted = f64::from(fill.kegs) * fill.litres_each;
    let mut boils = fill.from.clone();
    boils.sort_by_key(|boil| walk.items.water(*boil).until);
    let all: f64 = boils.iter().map(|boil| *there.of(*boil)).sum();
    let mut missing = wanted;
    for boil in boils {
        let left = there.of(boil);
        let taken = missing.min(*left);
        *left -= taken;
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
        // What is left of a boil that was started before is not stated.
        let begun = walk.items.begun.iter().filter(|b| b.route.id == route.id);
        let begun: f64 = begun.map(|b| b.litres).sum();
        let balance = made - filled - left;
        let same = balance <= rounding && balance >= -(begun + rounding);
        found.require(same, Rule::Water, last.head.place(), || {
            format!(
                "route {} makes {made:.1} L and fills {filled:.1} L, but {left:.1} L are said to \
                 be left",
                route.id
            )
        });
    }
}
