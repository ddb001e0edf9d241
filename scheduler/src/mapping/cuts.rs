//! Whole-keg rules: inequalities every plan satisfies, which the relaxation alone does not see.
//!
//! Drink comes in whole kegs. What is served of a product at the services of a stretch of time
//! comes from kegs tapped during it or, within the life on tap, before it. So with `a` the litres
//! a keg yields, `N` the kegs tapped, `S` the litres short and `b` the litres wanted less what is
//! on tap at the start, `Σ a N + S ≥ b`. Rounding this with divisor `d` and `f = frac(b / d)`
//! gives the mixed-integer rounding inequality (Nemhauser & Wolsey 1990)
//!
//! `Σ (floor(a / d) + min(1, frac(a / d) / f)) N + S / (d f) ≥ ceil(b / d)`
//!
//! They cut off no plan, only fractions of kegs, and bring the relaxation's bound close to the
//! best plan.

use super::worth::poured_for;
use super::{SodaNetwork, Work};
use crate::check::Checked;
use crate::milp::{Formulation, Relation, Row, Shape};
use crate::timeline::Timeline;

/// Fractions nearer to a whole keg than this give no useful rule.
const USEFUL: f64 = 0.02;

/// Days from the first service of a stretch to its last. A longer one has so many kegs that
/// rounding to a whole one says little, and there are as many of them as pairs of services.
const STRETCH_DAYS: f64 = 7.0;

/// A column and its factor in a sum of litres.
type Term = (usize, f64);

/// Adds the whole-keg rules of every product and stretch of services.
pub(super) fn add(
    scenario: &Checked,
    timeline: &Timeline,
    soda: &SodaNetwork,
    form: &mut Formulation,
) {
    let far = steps_apart(timeline);
    for product in 0..scenario.setup.products.len() {
        let story = Story::of(scenario, timeline, soda, form, product);
        for first in 0..story.services.len() {
            for last in first..story.first_too_far(first, far) {
                let rows = story.rules((first, last), far);
                form.program.add_rows(rows);
            }
        }
    }
}

/// How many whole-keg rules there are at most, and how long they are, counted without writing them
/// down.
pub(super) fn shape(scenario: &Checked, timeline: &Timeline, soda: &SodaNetwork) -> Shape {
    let far = steps_apart(timeline);
    let mut shape = Shape::default();
    for product in 0..scenario.setup.products.len() {
        let (services, life) = services(scenario, timeline, product);
        let of = |wanted: fn(&Work, usize) -> bool| {
            soda.work
                .iter()
                .filter(|work| wanted(work, product))
                .count()
        };
        let taps = of(|work, n| matches!(work, Work::Tap { product, .. } if *product == n));
        let serves = of(|work, n| matches!(work, Work::Serve { product, .. } if *product == n));
        // Litres that are served come from each of a service's ways to be served.
        let each = serves.div_ceil(services.len().max(1));
        let rules = scenario.setup.keg_types.len();
        for (first, step) in services.iter().enumerate() {
            let lives = services.partition_point(|other| *other < step.saturating_sub(life));
            let end = services.partition_point(|other| *other <= step + far);
            for last in first..end {
                shape += Shape {
                    rows: rules,
                    columns: 0,
                    nonzeros: rules * (taps * (last + 1 - lives) + each * (last + 1 - first)),
                };
            }
        }
    }
    shape
}

/// Steps from the first service of a stretch to its last.
fn steps_apart(timeline: &Timeline) -> usize {
    (STRETCH_DAYS * 24.0 * 60.0 / timeline.step_minutes()) as usize
}

/// Steps at which a product may be poured, in order, and how many steps a tapped keg is good for.
fn services(scenario: &Checked, timeline: &Timeline, product: usize) -> (Vec<usize>, usize) {
    let product = &scenario.setup.products[product];
    let due = |n: &usize| scenario.demand[*n].due.to_utc();
    // Its kegs may also be poured for lines of products it stands in for.
    let lines = poured_for(scenario, &product.id);
    let steps = lines.iter().map(|n| timeline.step_of(due(n)).unwrap_or(0));
    let mut services: Vec<usize> = steps.collect();
    services.sort_unstable();
    services.dedup();
    let life = product.on_tap_h.hours() * 60.0 / timeline.step_minutes();
    (services, life as usize)
}

/// What happens to one product at its services.
struct Story {
    name: String,
    /// Steps of the services, in order.
    services: Vec<usize>,
    /// Litres wanted at each.
    wanted: Vec<f64>,
    /// Columns of the litres served at each.
    served: Vec<Vec<usize>>,
    /// Columns of kegs tapped at each, with the litres a keg yields.
    tapped: Vec<Vec<Term>>,
    /// Litres on tap at the start.
    on_tap: f64,
    /// Steps a tapped keg is good for.
    life: usize,
}

impl Story {
    fn of(
        scenario: &Checked,
        timeline: &Timeline,
        soda: &SodaNetwork,
        form: &Formulation,
        product: usize,
    ) -> Self {
        let (setup, id) = (&scenario.setup, &scenario.setup.products[product].id);
        let step_of = |n: usize| {
            timeline
                .step_of(scenario.demand[n].due.to_utc())
                .unwrap_or(0)
        };
        let lines = poured_for(scenario, id);
        let (services, life) = services(scenario, timeline, product);
        let at = |step: usize| services.binary_search(&step).ok();
        let mut story = Self {
            name: id.to_string(),
            wanted: vec![0.0; services.len()],
            served: vec![Vec::new(); services.len()],
            tapped: vec![Vec::new(); services.len()],
            on_tap: 0.0,
            life,
            services: services.clone(),
        };
        for n in &lines {
            if let Some(s) = at(step_of(*n)).filter(|_| scenario.demand[*n].product == *id) {
                story.wanted[s] += scenario.demand[*n].litres.litres();
            }
        }
        let open = scenario.stock.on_tap.iter().filter(|t| t.product == *id);
        story.on_tap = open.map(|t| t.litres.litres()).sum();
        let loss = scenario.policy.serving_loss.ratio();
        for ((task, _), work) in soda.net.tasks().zip(&soda.work) {
            for (s, &step) in services.iter().enumerate() {
                match work {
                    Work::Tap {
                        product: p, keg, ..
                    } if *p == product => {
                        let yields = setup.keg_types[*keg].fill_l.litres() * (1.0 - loss);
                        let column = form.starts(task, step);
                        story.tapped[s].extend(column.map(|c| (c, yields)));
                    }
                    // Only what is poured of itself counts against its kegs.
                    Work::Serve {
                        line, product: p, ..
                    } if *p == product
                        && scenario.demand[*line].product == *id
                        && step_of(*line) == step =>
                    {
                        story.served[s].extend(form.size(task, step));
                    }
                    _ => {}
                }
            }
        }
        story
    }

    /// The first service more than `far` steps after service `first`.
    fn first_too_far(&self, first: usize, far: usize) -> usize {
        self.services
            .partition_point(|step| *step <= self.services[first] + far)
    }

    /// The rules for the services from `first` to `last`, no further than `far` apart, one for
    /// each size of keg as divisor.
    fn rules(&self, (first, last): (usize, usize), far: usize) -> Vec<Row> {
        let wanted: f64 = self.wanted[first..=last].iter().sum();
        let from = self.services[first].saturating_sub(self.life);
        let kegs: Vec<Term> = (0..=last)
            .filter(|s| self.services[*s] >= from)
            .flat_map(|s| self.tapped[s].iter().copied())
            .collect();
        let served: Vec<usize> = self.served[first..=last]
            .iter()
            .flatten()
            .copied()
            .collect();
        let mut divisors: Vec<f64> = kegs.iter().map(|(_, litres)| *litres).collect();
        divisors.sort_by(f64::total_cmp);
        divisors.dedup();
        // What is on tap at the start is too old in later weeks. In the first it counts throughout:
        // to forget it sooner lowers the bound of the demo week by nothing.
        let too_old = self.services[first] > self.life.max(far);
        let on_tap = if too_old { 0.0 } else { self.on_tap };
        let name = format!("whole_kegs[{},{first},{last}]", self.name);
        let stretch = Stretch {
            name,
            kegs,
            served,
            wanted,
            on_tap,
        };
        let rules = divisors.into_iter();
        rules.filter_map(|d| stretch.rule(d)).collect()
    }
}

/// Services that follow each other, and what they may be served from.
struct Stretch {
    name: String,
    /// Kegs that may be tapped for them, with the litres each yields.
    kegs: Vec<Term>,
    /// Columns of litres served.
    served: Vec<usize>,
    /// Litres wanted.
    wanted: f64,
    /// Litres on tap at the start that may still be poured.
    on_tap: f64,
}

impl Stretch {
    /// One rounded rule; none where rounding says nothing.
    fn rule(&self, divisor: f64) -> Option<Row> {
        let needed = (self.wanted - self.on_tap) / divisor;
        let fraction = needed - needed.floor();
        if needed <= 0.0 || !(USEFUL..=1.0 - 1e-6).contains(&fraction) {
            return None;
        }
        let round = |a: f64| {
            let ratio = a / divisor + 1e-9;
            ratio.floor() + ((ratio - ratio.floor()) / fraction).min(1.0)
        };
        let per_litre = 1.0 / (divisor * fraction);
        let kegs = self.kegs.iter();
        let mut terms: Vec<Term> = kegs.map(|(c, litres)| (*c, round(*litres))).collect();
        // What is short is what is wanted less what is served.
        terms.extend(self.served.iter().map(|c| (*c, -per_litre)));
        Some(Row {
            name: format!("{}/{divisor:.2}", self.name).into(),
            terms,
            relation: Relation::AtLeast,
            right: needed.ceil() - self.wanted * per_litre,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 20 L wanted, kegs of 9 and 18 L: whatever is served, the rule holds for every whole choice.
    #[test]
    fn no_whole_choice_is_cut_off() {
        let twenty = Stretch {
            name: "r".to_owned(),
            kegs: vec![(0, 9.0), (1, 18.0)],
            served: vec![2],
            wanted: 20.0,
            on_tap: 1.5,
        };
        for divisor in [9.0, 18.0] {
            let row = twenty.rule(divisor).unwrap();
            for small in 0..4 {
                for large in 0..3 {
                    let litres = f64::from(small) * 9.0 + f64::from(large) * 18.0 + 1.5;
                    let served = litres.min(20.0);
                    let left = row.terms[0].1 * f64::from(small)
                        + row.terms[1].1 * f64::from(large)
                        + row.terms[2].1 * served;
                    assert!(left >= row.right - 1e-9, "{small} {large} {divisor}");
                }
            }
        }
    }

    #[test]
    fn stretches_end_within_a_week() {
        let story = Story {
            name: "plain".to_owned(),
            services: vec![20, 68, 356, 404],
            wanted: vec![10.0; 4],
            served: vec![Vec::new(); 4],
            tapped: (0..4).map(|s| vec![(s, 18.0)]).collect(),
            on_tap: 4.0,
            life: 120,
        };
        let ends: Vec<usize> = (0..4).map(|s| story.first_too_far(s, 336)).collect();
        assert_eq!(ends, [3, 4, 4, 4]);
        // What was on tap at the start counts in the first week: 20 less 4 are wanted of the first
        // two, all 20 of the last two.
        for ((first, last), right) in [((0, 1), 1.0 - 20.0 / 16.0), ((2, 3), 2.0 - 20.0 / 2.0)] {
            let rules = story.rules((first, last), 336);
            assert!((rules[0].right - right).abs() < 1e-9, "{rules:?}");
        }
    }

    /// Half a large keg would do for 9.25 L by the litre; the rule asks for a whole small one more.
    #[test]
    fn a_fraction_of_a_keg_is_cut_off() {
        let small = Stretch {
            name: "r".to_owned(),
            kegs: vec![(0, 9.0)],
            served: vec![1],
            wanted: 20.0,
            on_tap: 0.0,
        };
        let row = small.rule(9.0).unwrap();
        let left = row.terms[0].1 * (20.0 / 9.0) + row.terms[1].1 * 20.0;
        assert!(left < row.right - 0.1);
    }
}
