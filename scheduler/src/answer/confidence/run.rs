//! One replay: delays run through the work.
//!
//! Work starts at its planned time, or when what it needs is there: its pot, hands, ice, clean
//! kegs, a connection, cold kegs. Who is planned first goes first. Hands are shared within a step,
//! as in the plan; what does not fit runs on into the next. At a service the kegs planned for it
//! are tapped if they are ready, and others of the product if they are needed, oldest first.

use super::floor::{Floor, Ice, Need, ReadyKeg, What};
use super::sampling::Luck;

/// Minutes that stand for never.
const NEVER: f64 = 1e8;
/// Minutes by which work may be over later and not count as late.
const ON_TIME_MIN: f64 = 1.0;
/// Part of what is wanted that may be missing from a service that counts as met.
const MET_PART: f64 = 0.01;
/// Kilograms of ice and minutes of hands below which nothing is missing.
const HAIR: f64 = 0.05;

/// What one replay came to.
#[derive(Clone)]
pub(super) struct Outcome {
    /// Minute at which each item is over: hot and chilled, cold, ready, clean.
    pub over: Vec<f64>,
    /// Litres missing, by line of demand.
    pub missing: Vec<f64>,
    /// Whether each line is served.
    pub met: Vec<bool>,
}

impl Outcome {
    /// Whether an item is over later than in another replay.
    pub(super) fn late(&self, item: usize, than: &Self) -> bool {
        self.over[item] > than.over[item] + ON_TIME_MIN
    }
}

/// Replays a floor once.
pub(super) fn run(floor: &Floor, luck: &Luck, overtime_min: f64) -> Outcome {
    let mut state = State::of(floor, luck, overtime_min);
    for phase in &floor.phases {
        state.phase(phase.at, &phase.what);
    }
    state.outcome
}

struct State<'a> {
    floor: &'a Floor,
    luck: &'a Luck,
    overtime: f64,
    hands: Vec<f64>,
    pot_free: Vec<f64>,
    /// When each boil is hot, and from when it may be filled.
    hot: Vec<f64>,
    fill_from: Vec<f64>,
    /// When connections and washing stations become free.
    connections: Vec<Vec<f64>>,
    stations: Vec<f64>,
    clean: Vec<Vec<f64>>,
    ready: Vec<Vec<ReadyKeg>>,
    on_tap: Vec<Vec<(f64, f64)>>,
    bin: Bin,
    outcome: Outcome,
}

impl<'a> State<'a> {
    fn of(floor: &'a Floor, luck: &'a Luck, overtime: f64) -> Self {
        let items = floor.ids.len();
        let free = |count: &usize| vec![0.0; *count];
        Self {
            floor,
            luck,
            overtime,
            hands: floor.hands.clone(),
            pot_free: vec![0.0; floor.pots],
            hot: vec![0.0; items],
            fill_from: vec![0.0; items],
            connections: floor.stations.iter().map(free).collect(),
            stations: vec![0.0; floor.wash_stations],
            clean: floor.clean.clone(),
            ready: floor.ready.clone(),
            on_tap: floor.on_tap.clone(),
            bin: Bin::of(floor.ice, luck.ice_rate),
            outcome: Outcome {
                over: vec![0.0; items],
                missing: vec![0.0; floor.lines.len()],
                met: vec![true; floor.lines.len()],
            },
        }
    }

    fn phase(&mut self, at: f64, what: &What) {
        match what {
            What::Light {
                item,
                pot,
                heat,
                hold,
            } => self.light(at, (*item, *pot), *heat, *hold),
            What::Chill {
                item,
                pot,
                ice_kg,
                bath,
            } => {
                self.chill(at, (*item, *pot), *ice_kg, *bath);
            }
            What::Fill { .. } => self.fill(at, what),
            What::Gas { .. } => self.gas(at, what),
            What::Wash {
                item,
                keg,
                kegs,
                minutes,
            } => {
                self.wash(at, *item, (*keg, *kegs), *minutes);
            }
            What::Deliver { kg } => self.bin.put(at, *kg),
            What::Draw { kg } => self.bin.draw(at, kg * self.luck.bar_draw),
            What::Serve {
                product,
                lines,
                taps,
            } => self.serve(at, *product, lines, taps),
        }
    }

    fn light(&mut self, at: f64, (item, pot): (usize, usize), heat: f64, hold: f64) {
        let start = at.max(self.pot_free[pot]);
        let Need { all, each, .. } = self.floor.needs[item];
        let lit = start + self.work(start, all * self.luck.hands[item], each);
        self.hot[item] = lit + heat * self.luck.heating[pot] + hold;
    }

    fn chill(&mut self, at: f64, (item, pot): (usize, usize), ice_kg: f64, bath: f64) {
        let hot = at.max(self.hot[item]);
        let start = self.bin.wait_for(hot, ice_kg * self.luck.ice_need[item]);
        let minutes = self.floor.needs[item].last_all;
        let late = self.work(start, minutes * self.luck.hands[item], minutes);
        self.fill_from[item] = start + late + bath;
        self.pot_free[pot] = self.pot_free[pot].max(self.fill_from[item]);
        self.outcome.over[item] = self.fill_from[item];
    }

    fn fill(&mut self, at: f64, what: &What) {
        let What::Fill {
            item,
            boils,
            pots,
            keg,
            kegs,
            cooling,
            store,
        } = what
        else {
            return;
        };
        let water = boils.iter().map(|boil| self.fill_from[*boil]);
        let water = water.fold(at, f64::max);
        let start = take(&mut self.clean[*keg], *kegs).max(water);
        let Need { all, each, .. } = self.floor.needs[*item];
        let full = start + self.work(start, all * self.luck.hands[*item], each) + self.floor.grid;
        for pot in pots {
            self.pot_free[*pot] = self.pot_free[*pot].max(full);
        }
        let (slower, warmer) = self.luck.stores[*store];
        self.outcome.over[*item] = full + self.floor.cooling[*cooling].minutes(warmer) * slower;
    }

    fn gas(&mut self, at: f64, what: &What) {
        let What::Gas {
            item,
            from,
            station,
            kegs,
            ready,
            couple,
            uptake,
            shaken,
            product,
            keg,
        } = what
        else {
            return;
        };
        let cold = from
            .iter()
            .filter_map(|(made, _)| Some(self.outcome.over[(*made)?]));
        let cold = cold.fold(at, f64::max);
        let start = self.connect(*station, *kegs).max(cold);
        let Need {
            all,
            each,
            last_all,
        } = self.floor.needs[*item];
        let slower = self.luck.uptake[*station];
        // Who shakes a keg needs as long as it takes up its gas.
        let factor = if *shaken {
            self.luck.hands[*item] * slower.max(1.0)
        } else {
            self.luck.hands[*item]
        };
        let late = self.work(start, all * factor, each);
        let gassed = start + late + couple + uptake * slower;
        // Somebody is planned to be there when it is ready; later, whoever comes next.
        let over = if gassed <= *ready {
            *ready
        } else {
            self.attended(gassed)
        };
        self.work(over, last_all * self.luck.hands[*item], last_all);
        self.disconnect(*station, *kegs, over);
        self.outcome.over[*item] = over;
        let good = over + self.floor.keeps[*product].0;
        self.ready[*product].extend((0..*kegs).map(|_| ReadyKeg {
            at: over,
            keg: *keg,
            good,
        }));
    }

    fn wash(&mut self, at: f64, item: usize, (keg, kegs): (usize, usize), minutes: f64) {
        let start = take(&mut self.stations, kegs).max(at);
        let Need { all, each, .. } = self.floor.needs[item];
        let over = start + self.work(start, all * self.luck.hands[item], each) + minutes;
        self.stations.extend((0..kegs).map(|_| over));
        self.clean[keg].extend((0..kegs).map(|_| over));
        self.outcome.over[item] = over;
    }

    /// Takes minutes of hands from a start on; how much later than planned the work is done.
    fn work(&mut self, start: f64, minutes: f64, each: f64) -> f64 {
        let grid = self.floor.grid;
        let first = (start / grid) as usize;
        let planned = ((each - HAIR) / grid).ceil().max(1.0);
        let mut left = minutes;
        let mut step = first;
        while let Some(free) = self.hands.get_mut(step) {
            let now = left.min(*free);
            *free -= now;
            left -= now;
            let shift_ends = self
                .floor
                .hands
                .get(step + 1)
                .is_none_or(|next| *next <= 0.0)
                && self.floor.hands[step] > 0.0;
            if left <= HAIR || (shift_ends && left <= self.overtime) {
                let steps = (step - first) as f64 + 1.0;
                return (steps - planned).max(0.0) * grid;
            }
            step += 1;
        }
        NEVER
    }

    /// The first minute from `at` on at which somebody is there.
    fn attended(&self, at: f64) -> f64 {
        let grid = self.floor.grid;
        let first = (at / grid) as usize;
        let steps = self.floor.hands.iter().enumerate().skip(first);
        let mut there = steps.filter(|(_, hands)| **hands > 0.0);
        there
            .next()
            .map_or(NEVER, |(step, _)| at.max(step as f64 * grid))
    }

    /// When so many connections are free.
    fn connect(&mut self, station: usize, kegs: usize) -> f64 {
        take(&mut self.connections[station], kegs)
    }

    fn disconnect(&mut self, station: usize, kegs: usize, at: f64) {
        self.connections[station].extend((0..kegs).map(|_| at));
    }

    fn serve(&mut self, at: f64, product: usize, lines: &[usize], taps: &[(usize, usize)]) {
        let life = self.floor.keeps[product].1;
        self.on_tap[product].retain(|(litres, good)| *good >= at && *litres > 0.0);
        let mut planned: Vec<usize> = taps
            .iter()
            .flat_map(|(keg, kegs)| std::iter::repeat_n(*keg, *kegs))
            .collect();
        for line in lines {
            let mut left = self.luck.wanted[*line];
            left -= pour(&mut self.on_tap[product], left);
            while left > 1e-9 {
                let wanted = planned.pop();
                let Some(keg) = self.tap(product, wanted, at) else {
                    // Others of the product may be ready.
                    if wanted.is_some() {
                        continue;
                    }
                    break;
                };
                self.on_tap[product].push((self.floor.yields[keg], at + life));
                left -= pour(&mut self.on_tap[product], left);
            }
            self.outcome.missing[*line] = left.max(0.0);
            self.outcome.met[*line] = left <= self.luck.wanted[*line] * MET_PART;
        }
    }

    /// Takes the oldest ready keg, of a type if one is named.
    fn tap(&mut self, product: usize, keg: Option<usize>, at: f64) -> Option<usize> {
        let ready = &mut self.ready[product];
        let fits = |(_, ready): &(usize, &ReadyKeg)| {
            ready.at <= at && ready.good >= at && keg.is_none_or(|keg| keg == ready.keg)
        };
        let oldest = ready
            .iter()
            .enumerate()
            .filter(fits)
            .min_by(|(_, a), (_, b)| a.at.total_cmp(&b.at));
        let (position, _) = oldest?;
        Some(ready.remove(position).keg)
    }
}

/// Takes the first so many that become free; when the last of them does.
fn take(free: &mut Vec<f64>, count: usize) -> f64 {
    free.sort_by(f64::total_cmp);
    if free.len() < count {
        free.clear();
        return NEVER;
    }
    free.drain(..count).fold(0.0, f64::max)
}

/// Pours litres, oldest first; how many there were.
fn pour(on_tap: &mut Vec<(f64, f64)>, litres: f64) -> f64 {
    let mut left = litres;
    for (there, _) in on_tap.iter_mut() {
        let now = left.min(*there);
        *there -= now;
        left -= now;
    }
    on_tap.retain(|(litres, _)| *litres > 1e-9);
    litres - left
}

/// The ice bin, followed from one event to the next.
struct Bin {
    at: f64,
    kg: f64,
    ice: Ice,
    rate: f64,
}

impl Bin {
    fn of(ice: Ice, factor: f64) -> Self {
        Self {
            at: 0.0,
            kg: ice.start_kg,
            ice,
            rate: ice.per_minute * factor,
        }
    }

    fn until(&mut self, at: f64) {
        if at > self.at {
            self.kg = (self.kg + (at - self.at) * self.rate).min(self.ice.bin_kg);
            self.at = at;
        }
    }

    fn put(&mut self, at: f64, kg: f64) {
        self.until(at);
        self.kg = (self.kg + kg).min(self.ice.bin_kg);
    }

    fn draw(&mut self, at: f64, kg: f64) {
        self.until(at);
        self.kg = (self.kg - kg).max(0.0);
    }

    /// Takes ice as soon as there is enough; when that is.
    fn wait_for(&mut self, at: f64, kg: f64) -> f64 {
        self.until(at);
        let missing = kg - self.kg;
        if missing <= HAIR {
            self.kg = (self.kg - kg).max(0.0);
            return at;
        }
        if self.rate <= 0.0 || kg > self.ice.bin_kg {
            return NEVER;
        }
        // What is made meanwhile goes into the pot at once.
        let wait = missing / self.rate;
        let then = at.max(self.at) + wait;
        self.at = then;
        self.kg = 0.0;
        then
    }
}
