//! Service: what the plan serves is on tap when it is due, not too old, and kegs come back empty.
//!
//! A service due inside a step counts at the step's start.

use super::begun;
use super::duties::{Duties, Tapped, kegs, minute, service_minutes};
use super::items::{Head, Return, Stale};
use super::tap::{DROP_L, Line};
use super::violation::{Findings, Rule};
use super::walk::Walk;
use crate::plan::Served;
use crate::scenario::{DemandId, KegType, Product};

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    for served in &walk.plan.services {
        stands_in(walk, served, found);
    }
    for product in &walk.scenario.setup.products {
        let mut bar = Bar::of(walk, product);
        for (now, event) in events(walk, product) {
            bar.happen(now, event, found);
        }
    }
}

/// Litres poured for a line of demand.
struct Pouring<'a> {
    demand: &'a DemandId,
    litres: f64,
}

/// Litres of a product that are poured for a line: its own, or those that stand in.
fn poured(served: &Served, product: &Product) -> f64 {
    let others = served.instead.iter();
    if served.product == product.id {
        served.served_l - others.map(|o| o.litres).sum::<f64>()
    } else {
        let of_it = others.filter(|o| o.product == product.id);
        of_it.map(|o| o.litres).sum()
    }
}

/// Another product is poured only where it may stand in, and no more of it than is served.
fn stands_in(walk: &Walk<'_>, served: &Served, found: &mut Findings) {
    let at = usize::try_from(walk.minute(served.due.to_utc())).unwrap_or(0);
    let products = walk.scenario.setup.products.iter();
    let wanted = products.filter(|p| p.id == served.product);
    let allowed: Vec<_> = wanted.flat_map(|p| &p.substitutes).collect();
    let mut sum = 0.0;
    for other in &served.instead {
        sum += other.litres;
        let may = allowed.iter().any(|s| s.product == other.product);
        if !may || other.litres < -1e-6 {
            let text = format!(
                "{} L of {} for {}, which may not stand in for {}",
                other.litres, other.product, served.demand, served.product
            );
            found.add(Rule::Service, at, None, text);
        }
    }
    if sum > served.served_l + DROP_L {
        let text = format!(
            "{sum:.1} L stand in at {}; {} L are served",
            served.demand, served.served_l
        );
        found.add(Rule::Service, at, None, text);
    }
}

/// What is on tap, or waits to come back, of one product and keg type.
pub(crate) struct AtBar {
    pub product: usize,
    pub keg: usize,
    /// Litres in a keg, and the minute until which it is good.
    pub open: Vec<(f64, i64)>,
    /// Minutes from which emptied kegs may come back.
    pub empty: Vec<i64>,
}

/// What stands at the bar just before a minute, as the walk sees it.
pub(super) fn just_before(walk: &Walk<'_>, minute: i64, found: &mut Findings) -> Vec<AtBar> {
    let mut all = Vec::new();
    for (n, product) in walk.scenario.setup.products.iter().enumerate() {
        let mut bar = Bar::of(walk, product);
        for (now, event) in events(walk, product) {
            if now < minute {
                bar.happen(now, event, found);
            }
        }
        all.extend(bar.lines.iter().enumerate().map(|(keg, line)| AtBar {
            product: n,
            keg,
            open: line.open().collect(),
            empty: line.empty().to_vec(),
        }));
    }
    all
}

/// What happens at the bar, in the order in which it happens within a minute.
enum Event<'a> {
    Return(&'a Return<'a>),
    Tap(usize, Tapped),
    Serve(Pouring<'a>),
    Stale(&'a Stale<'a>),
}

impl Event<'_> {
    fn rank(&self) -> u8 {
        match self {
            Self::Tap(..) => 0,
            Self::Stale(_) => 1,
            Self::Return(_) => 2,
            Self::Serve(_) => 3,
        }
    }
}

fn events<'a>(walk: &'a Walk<'_>, product: &Product) -> Vec<(i64, Event<'a>)> {
    let mut events = Vec::new();
    for (line, keg) in walk.scenario.setup.keg_types.iter().enumerate() {
        let tapped = kegs(walk, product, keg).into_iter();
        events.extend(tapped.map(|k| (k.tapped, Event::Tap(line, k))));
    }
    let returns = walk
        .items
        .returns
        .iter()
        .filter(|r| r.product.id == product.id);
    events.extend(returns.map(|r| (minute(r.head.start), Event::Return(r))));
    let stales = walk
        .items
        .stales
        .iter()
        .filter(|s| s.product.id == product.id);
    events.extend(stales.map(|s| (minute(s.head.start), Event::Stale(s))));
    let step = minute(walk.grid);
    for served in &walk.plan.services {
        let due = walk.minute(served.due.to_utc());
        let litres = poured(served, product);
        if litres > 0.0 {
            let demand = &served.demand;
            let pouring = Pouring { demand, litres };
            events.push((due - due.rem_euclid(step), Event::Serve(pouring)));
        }
    }
    events.sort_by_key(|(at, event)| (*at, event.rank()));
    events
}

/// One product on tap, in kegs of every type.
struct Bar<'w, 's> {
    walk: &'w Walk<'s>,
    lines: Vec<Line>,
    duties: Vec<Duties>,
}

impl<'w, 's> Bar<'w, 's> {
    fn of(walk: &'w Walk<'s>, product: &Product) -> Self {
        let types = &walk.scenario.setup.keg_types;
        let lines = types.iter().map(|keg| {
            let mut line = Line::default();
            for (from, kegs) in begun::at_bar(walk, &product.id, &keg.id) {
                line.waiting(kegs, from);
            }
            line
        });
        Self {
            walk,
            lines: lines.collect(),
            duties: types
                .iter()
                .map(|keg| Duties::of(walk, product, keg))
                .collect(),
        }
    }

    /// Where the kegs of an item are among the lines.
    fn line_of(&self, keg: &KegType, head: &Head<'_>, found: &mut Findings) -> Option<usize> {
        let types = &self.walk.scenario.setup.keg_types;
        let line = types.iter().position(|known| known.id == keg.id);
        found.require(line.is_some(), Rule::Frame, head.place(), || {
            format!("the setup has no keg type \"{}\"", keg.id)
        });
        line
    }

    fn happen(&mut self, now: i64, event: Event<'_>, found: &mut Findings) {
        match event {
            Event::Return(back) => self.take_back(back, now, found),
            Event::Tap(line, keg) => self.lines[line].tap(keg.litres, keg.good_until),
            Event::Serve(pouring) => self.serve(&pouring, now, found),
            Event::Stale(stale) => self.pour_away(stale, now, found),
        }
    }

    fn serve(&mut self, pouring: &Pouring<'_>, now: i64, found: &mut Findings) {
        let mut missing = pouring.litres;
        let mut too_old = 0.0;
        while missing > 1e-9 {
            let Some((line, litres)) = self.next(now, missing) else {
                break;
            };
            let free_at = now + service_minutes(self.walk);
            let poured = self.lines[line].pour(litres, now, free_at);
            self.lines[line].served += poured.litres;
            missing -= poured.litres;
            too_old += poured.too_old;
            if poured.litres <= 0.0 {
                break;
            }
        }
        let at = usize::try_from(now).unwrap_or(0);
        if missing > DROP_L {
            let there = pouring.litres - missing;
            let text = format!(
                "{} is served {} L; {there:.1} L are on tap",
                pouring.demand, pouring.litres
            );
            found.add(Rule::Service, at, None, text);
        }
        if too_old > DROP_L {
            let text = format!(
                "{} is served {too_old:.1} L that were on tap too long",
                pouring.demand
            );
            found.add(Rule::Freshness, at, None, text);
        }
    }

    /// The line to pour from next, and how much of `missing` to pour from it.
    fn next(&self, now: i64, missing: f64) -> Option<(usize, f64)> {
        let room = |line: usize, keep: bool| {
            let kept = if keep {
                self.duties[line].kept_back(now)
            } else {
                0.0
            };
            self.lines[line].litres() - kept
        };
        for keep in [true, false] {
            let able = (0..self.lines.len()).filter(|line| room(*line, keep) > DROP_L / 10.0);
            let first = able.min_by_key(|line| {
                let due = self.duties[*line].next(self.lines[*line].served);
                (
                    due.map_or(i64::MAX, |(at, _)| at),
                    self.lines[*line].oldest(),
                )
            });
            if let Some(line) = first {
                let due = self.duties[line].next(self.lines[line].served);
                let chunk = due.map_or(f64::INFINITY, |(_, litres)| litres);
                return Some((line, missing.min(room(line, keep)).min(chunk)));
            }
        }
        None
    }

    fn pour_away(&mut self, stale: &Stale<'_>, now: i64, found: &mut Findings) {
        let Some(line) = self.line_of(stale.keg, &stale.head, found) else {
            return;
        };
        let poured = self.lines[line].pour(stale.litres, now, now);
        let enough = poured.litres >= stale.litres - DROP_L;
        found.require(enough, Rule::Service, stale.head.place(), || {
            format!(
                "{:.1} L poured away; {:.1} L are on tap",
                stale.litres, poured.litres
            )
        });
    }

    fn take_back(&mut self, back: &Return<'_>, now: i64, found: &mut Findings) {
        let Some(line) = self.line_of(back.keg, &back.head, found) else {
            return;
        };
        let free = self.lines[line].take_back(back.kegs, now);
        found.require(free == back.kegs, Rule::Return, back.head.place(), || {
            format!(
                "{} come back; {free} are empty and past their service",
                back.kegs
            )
        });
    }
}
