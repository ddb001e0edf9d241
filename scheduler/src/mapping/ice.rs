//! The ice bin: filled by the machine while it runs, drawn by the bar first, overflowing when full.

use std::collections::BTreeMap;

use super::calendar::ice_machine_runs;
use super::under_way;
use crate::network::Resource;
use crate::scenario::{Scenario, Weekday};
use crate::timeline::Timeline;

/// The bin as a resource.
pub(super) fn bin(scenario: &Scenario, timeline: &Timeline) -> Resource {
    let ice = &scenario.setup.ice;
    let start = scenario.stock.ice_kg.kilograms();
    let size = ice.bin_kg.kilograms().max(start);
    let flows = Flows::of(scenario, timeline, size);
    let steps = timeline.steps();
    let made = |t: usize| flows.made.get(t).copied().unwrap_or(0.0);
    // What a step makes comes before what it uses, and must find room: so the level left by a
    // step is below the bin's size by what the next step makes.
    let room: Vec<f64> = (0..=steps)
        .map(|t| (size - made(t + 1).max(flows.before_bar[t])).max(0.0))
        .collect();
    let usual = (size - made(1)).max(0.0);
    let steady = room[..steps].iter().all(|r| (r - usual).abs() < 1e-12);
    let mut resource = Resource::named("ice").starting(start).spilling();
    resource = if steady {
        resource.at_most(usual)
    } else {
        resource.at_most(room)
    };
    for t in 0..=steps {
        if t > 0 {
            resource.supply(t, flows.made[t]);
        }
        if flows.brought[t] > 0.0 {
            resource.supply(t, flows.brought[t]);
        }
        if flows.drawn[t] > 0.0 {
            resource.supply(t, -flows.drawn[t]);
        }
    }
    resource
}

/// What comes into the bin and what the bar takes, by point.
struct Flows {
    made: Vec<f64>,
    drawn: Vec<f64>,
    /// What was ordered before the plan.
    brought: Vec<f64>,
    /// Room that must be there besides what a step leaves, so that what the machine makes in the
    /// step before the bar comes finds as much room as it would without soda.
    before_bar: Vec<f64>,
}

impl Flows {
    /// The bar cannot take more than there would be if soda took nothing.
    ///
    /// What it takes within a step is taken at the step's start, as far as it was there then. Of
    /// what the machine makes in that step before the bar comes, only that counts which finds room
    /// if soda takes nothing.
    fn of(scenario: &Scenario, timeline: &Timeline, size: f64) -> Self {
        let runs = ice_machine_runs(scenario, timeline);
        let per_minute = scenario.setup.ice.rate_kg_per_h.kilograms_per_hour() / 60.0;
        let step = timeline.step_minutes() as usize;
        let mut draws = bar_draws(scenario, timeline);
        for (t, kg) in under_way::ice(scenario, timeline) {
            *draws.entry(t * step).or_insert(0.0) += kg;
        }
        let mut flows = Self::nothing(timeline.steps() + 1);
        let mut alone = Alone::starting(scenario.stock.ice_kg.kilograms());
        // Taken within the step, of what was there at its start: until then it needs its room.
        let mut still_there = 0.0;
        for minute in 0..=runs.len() {
            if minute > 0 && runs[minute - 1] {
                alone.gain(per_minute, size);
                flows.made[minute.div_ceil(step)] += per_minute;
            }
            let (t, within) = (minute / step, minute % step);
            if within == 0 {
                let coming = under_way::ice_coming(scenario, timeline, t);
                alone.bring(coming, size);
                flows.brought[t] = coming;
                alone.step();
                still_there = 0.0;
            }
            let Some(wanted) = draws.get(&minute) else {
                continue;
            };
            let (now, later) = alone.take(*wanted);
            flows.drawn[t] += now;
            if within > 0 {
                flows.drawn[t + 1] += later;
                flows.made[t + 1] = alone.gained;
                still_there += now;
                flows.before_bar[t] = alone.most_over_start.max(0.0) + still_there;
            }
        }
        flows
    }

    fn nothing(points: usize) -> Self {
        Self {
            made: vec![0.0; points],
            drawn: vec![0.0; points],
            brought: vec![0.0; points],
            before_bar: vec![0.0; points],
        }
    }
}

/// The bin if soda takes nothing.
struct Alone {
    kg: f64,
    /// Of what was there when the step began, what is still there.
    from_start: f64,
    /// What found room since the step began.
    gained: f64,
    /// What the bar took since the step began.
    taken: f64,
    /// The most by which the bin was fuller, when the bar came, than when the step began.
    most_over_start: f64,
}

impl Alone {
    fn starting(kg: f64) -> Self {
        Self {
            kg,
            from_start: kg,
            gained: 0.0,
            taken: 0.0,
            most_over_start: 0.0,
        }
    }

    fn gain(&mut self, kg: f64, size: f64) {
        let found_room = kg.min((size - self.kg).max(0.0));
        self.kg += found_room;
        self.gained += found_room;
    }

    fn bring(&mut self, kg: f64, size: f64) {
        self.kg = (self.kg + kg).min(size);
    }

    fn step(&mut self) {
        self.from_start = self.kg;
        self.gained = 0.0;
        self.taken = 0.0;
        self.most_over_start = 0.0;
    }

    /// What the bar takes of what was there when the step began, and of what was made since.
    fn take(&mut self, wanted: f64) -> (f64, f64) {
        self.most_over_start = self.most_over_start.max(self.gained - self.taken);
        let taken = wanted.min(self.kg);
        let now = taken.min(self.from_start);
        self.kg -= taken;
        self.taken += taken;
        self.from_start -= now;
        (now, taken - now)
    }
}

/// What the bar wants, by minute.
fn bar_draws(scenario: &Scenario, timeline: &Timeline) -> BTreeMap<usize, f64> {
    let mut draws = BTreeMap::new();
    for draw in &scenario.setup.ice.bar_draw {
        let days = &draw.days;
        for at in timeline.daily(|day| days.contains(&Weekday::from(day)), draw.at) {
            let minute = (at - timeline.start()).num_seconds().div_euclid(60);
            if let Ok(minute) = usize::try_from(minute) {
                *draws.entry(minute).or_insert(0.0) += draw.kg.kilograms();
            }
        }
    }
    draws
}

#[cfg(test)]
mod tests {
    use model::Temperature;

    use super::*;
    use crate::scenario::quantities::{IceRate, StockMass};
    use crate::scenario::{Grid, IceDraw};

    /// 40 kg in a bin for 42 kg, 6 kg an hour, hourly steps; the bar takes 30 kg at twenty past.
    fn site(at: &str) -> Scenario {
        let mut scenario = crate::sample::fixed();
        scenario.horizon.grid_minutes = Grid::Hour;
        scenario.horizon.days = 1;
        scenario.stock.ice_kg = StockMass::of(40.0);
        let ice = &mut scenario.setup.ice;
        ice.bin_kg = StockMass::of(42.0);
        ice.rate_kg_per_h = IceRate::of(6.0);
        ice.temperature_c = Temperature::of(-3.0);
        ice.bar_draw = vec![IceDraw {
            days: vec![Weekday::Mon],
            at: at.parse().unwrap(),
            kg: StockMass::of(30.0),
        }];
        scenario
    }

    #[test]
    fn what_finds_no_room_before_the_bar_comes_does_not_count() {
        let scenario = site("06:40:00");
        let timeline = scenario.horizon.timeline(scenario.site.time_zone);
        let flows = Flows::of(&scenario, &timeline, 42.0);
        // By hand: full at 6:20, so 2 kg before 6:40; then 2 kg more until seven.
        assert!((flows.made[1] - 4.0).abs() < 1e-9, "{}", flows.made[1]);
        assert!((flows.drawn[0] - 30.0).abs() < 1e-9);
        // 10 kg may be left by six o'clock's work: with the bar's 30 kg and 2 kg it is full.
        assert!((flows.before_bar[0] - 32.0).abs() < 1e-9);
    }

    #[test]
    fn the_bar_takes_what_is_there_and_what_was_made_since() {
        let mut scenario = site("06:20:00");
        scenario.stock.ice_kg = StockMass::of(5.0);
        let timeline = scenario.horizon.timeline(scenario.site.time_zone);
        let flows = Flows::of(&scenario, &timeline, 42.0);
        // 5 kg at six, 2 kg by twenty past.
        assert!((flows.drawn[0] - 5.0).abs() < 1e-9);
        assert!((flows.drawn[1] - 2.0).abs() < 1e-9);
        assert!((flows.made[1] - 6.0).abs() < 1e-9);
    }
}
