//! Random scenarios: small sites with every kind of scarcity, for a day or two.

use chrono::{DateTime, Duration, FixedOffset, NaiveTime, TimeZone};
use model::{AirSpeed, Elevation, GaugePressure, Temperature};
use scheduler::sample;
use scheduler::scenario::quantities as q;
use scheduler::scenario::{
    Break, Chill, Circuit, ColdStore, ContainerMaterial, Cylinders, Demand, DemandKind, Equipment,
    FilledKegs, GasMethod, Grid, KegType, Noisy, Outage, Pot, Priority, QuietHours, ReadyKegs,
    SafetyStock, Scenario, Shift, Substitute, TappedKegs, Weekday,
};

use crate::choices::Choices;
use crate::supplies;

/// An id that is known to be one.
pub(crate) fn id<T: TryFrom<String>>(text: &str) -> T
where
    T::Error: std::fmt::Debug,
{
    T::try_from(text.to_owned()).unwrap()
}

/// A time of day, on any minute.
pub(crate) fn time(hour: u16, minute: u16) -> NaiveTime {
    NaiveTime::from_hms_opt(u32::from(hour % 24), u32::from(minute), 0).unwrap()
}

/// Every day of the week.
pub(crate) const ALWAYS: [Weekday; 7] = [
    Weekday::Mon,
    Weekday::Tue,
    Weekday::Wed,
    Weekday::Thu,
    Weekday::Fri,
    Weekday::Sat,
    Weekday::Sun,
];

/// The scenario these bytes choose; it may still be refused by its check.
pub(crate) fn scenario(bytes: &[u8]) -> Scenario {
    let c = &mut Choices::of(bytes);
    let mut scenario = sample::fixed();
    horizon(c, &mut scenario);
    policy(c, &mut scenario);
    pots(c, &mut scenario);
    stores(c, &mut scenario);
    kegs(c, &mut scenario);
    stations(c, &mut scenario);
    routes(c, &mut scenario);
    crew(c, &mut scenario);
    products(c, &mut scenario);
    supplies::ice(c, &mut scenario);
    stock(c, &mut scenario);
    supplies::materials(c, &mut scenario);
    demand(c, &mut scenario);
    calendar(c, &mut scenario);
    blanket(c, &mut scenario);
    scenario
}

fn horizon(c: &mut Choices<'_>, scenario: &mut Scenario) {
    // A plain Monday, and the Saturdays before the clocks change.
    let (month, day) = c.one_of(&[(6, 1), (3, 28), (10, 24)]);
    let hour = c.one_of(&[6, 8, 0, 13]);
    let start = sample::ZONE.with_ymd_and_hms(2026, month, day, hour, 0, 0);
    scenario.horizon.start = start.unwrap().fixed_offset();
    scenario.horizon.days = c.one_of(&[1, 1, 1, 1, 2]);
    scenario.horizon.grid_minutes = c.one_of(&[
        Grid::Hour,
        Grid::Hour,
        Grid::Half,
        Grid::Hour,
        Grid::Half,
        Grid::Quarter,
    ]);
    scenario.site.elevation_m = Elevation::new(c.one_of(&[0.0, 60.0, 800.0])).unwrap();
    scenario.site.water.temperature_c = Temperature::new(c.between(10.0, 25.0)).unwrap();
}

fn policy(c: &mut Choices<'_>, scenario: &mut Scenario) {
    let policy = &mut scenario.policy;
    policy.gas_at_c = Temperature::new(c.one_of(&[6.0, 5.0, 4.0])).unwrap();
    policy.service_h = q::Hours::new(c.one_of(&[2.0, 6.0, 0.75])).unwrap();
    policy.serving_loss = q::Share::new(c.one_of(&[0.0, 0.03, 0.1])).unwrap();
    if c.one_in(5) {
        policy.water_stands_min = Some(q::StepMinutes::new(c.between(60.0, 240.0)).unwrap());
    }
}

/// A site in four keeps filled kegs under CO2, where no drink has less than that keeps in it.
fn blanket(c: &mut Choices<'_>, scenario: &mut Scenario) {
    let products = scenario.setup.products.iter();
    let least = products.map(|p| p.carbonation_g_per_l.grams_per_litre());
    if least.fold(f64::INFINITY, f64::min) < 4.6 || !c.one_in(4) {
        return;
    }
    scenario.policy.blanket_bar = Some(GaugePressure::new(c.between(0.1, 0.3)).unwrap());
    for store in &mut scenario.setup.cold_stores {
        if c.one_in(2) {
            store.blanket_connections = Some(c.number(2, 12));
        }
    }
}

fn pots(c: &mut Choices<'_>, scenario: &mut Scenario) {
    let setup = &mut scenario.setup;
    setup.pots = (0..c.number(1, 3))
        .map(|n| Pot {
            id: id(&format!("pot-{n}")),
            name: format!("Pot {n}"),
            volume_l: q::PotVolume::new(c.between(25.0, 70.0)).unwrap(),
            smallest_fill_l: q::PotVolume::new(c.between(3.0, 12.0)).unwrap(),
            power_w: q::HeaterPower::new(c.between(2000.0, 6000.0)).unwrap(),
            efficiency: q::Efficiency::of(0.85),
            empty_kg: q::VesselMass::of(6.0),
            circuit: None,
        })
        .collect();
    if c.one_in(3) {
        setup.circuits = vec![Circuit {
            id: id("ring"),
            name: "Ring main".to_owned(),
            power_w: q::HeaterPower::new(c.between(6000.0, 9000.0)).unwrap(),
        }];
        for pot in &mut setup.pots {
            pot.circuit = Some(id("ring")).filter(|_| !c.one_in(4));
        }
    }
}

fn stores(c: &mut Choices<'_>, scenario: &mut Scenario) {
    scenario.setup.cold_stores = (0..c.number(1, 2))
        .map(|n| ColdStore {
            id: id(&format!("store-{n}")),
            name: format!("Store {n}"),
            places: c.number(4, 16),
            air_c: Temperature::new(c.one_of(&[1.0, 2.0, 3.0])).unwrap(),
            air_speed_m_per_s: AirSpeed::new(c.one_of(&[1.0, 0.0])).unwrap(),
            blanket_connections: None,
            cooling_w: q::CoolingPower::new(c.between(2000.0, 100.0)).unwrap(),
        })
        .collect();
}

fn kegs(c: &mut Choices<'_>, scenario: &mut Scenario) {
    let types = &mut scenario.setup.keg_types;
    match c.number(0, 3) {
        0 => types.truncate(1),
        1 => {}
        2 => {
            types.truncate(1);
            types.push(bottles(c));
        }
        _ => types.push(bottles(c)),
    }
    if c.one_in(4) {
        types[0].fill_min = Some(q::StepMinutes::new(c.between(1.0, 40.0)).unwrap());
    }
}

/// Plastic bottles, some in crates.
fn bottles(c: &mut Choices<'_>) -> KegType {
    KegType {
        id: id("bottle"),
        name: "4 L plastic bottle".to_owned(),
        material: ContainerMaterial::Pet,
        brim_l: q::ContainerVolume::of(4.2),
        fill_l: q::ContainerVolume::of(4.0),
        empty_kg: q::VesselMass::of(0.1),
        diameter_m: q::OuterLength::of(0.15),
        height_m: q::OuterLength::of(0.3),
        rating_bar: GaugePressure::of(8.0),
        hottest_fill_c: Temperature::of(30.0),
        places: q::PlacesPerContainer::of(0.25),
        per_crate: c.one_of(&[Some(4), None, Some(3)]),
        fill_min: Some(q::StepMinutes::of(1.0)),
    }
}

fn stations(c: &mut Choices<'_>, scenario: &mut Scenario) {
    let setup = &mut scenario.setup;
    let kegs: Vec<_> = setup.keg_types.iter().map(|k| k.id.clone()).collect();
    let stores: Vec<_> = setup.cold_stores.iter().map(|s| s.id.clone()).collect();
    for station in &mut setup.gas_stations {
        station.keg_types = kegs.clone();
        station.stores = stores.clone();
        station.connections = c.number(2, 6);
        station.couple_min = q::StepMinutes::new(c.one_of(&[2.0, 6.0, 35.0])).unwrap();
        if let GasMethod::Rest { hours, .. } = &mut station.method {
            *hours = vec![q::Hours::new(c.one_of(&[12.0, 8.0, 20.0])).unwrap()];
        }
    }
    match c.number(0, 2) {
        0 => drop(setup.gas_stations.remove(0)),
        1 => {}
        _ => setup.gas_stations[0].stores.truncate(1),
    }
    setup.wash.stations = c.number(1, 3);
    setup.wash.minutes = q::StepMinutes::new(c.one_of(&[20.0, 10.0, 70.0])).unwrap();
}

fn routes(c: &mut Choices<'_>, scenario: &mut Scenario) {
    let setup = &mut scenario.setup;
    let stores: Vec<_> = setup.cold_stores.iter().map(|s| s.id.clone()).collect();
    let pots: Vec<_> = setup.pots.iter().map(|p| p.id.clone()).collect();
    for route in &mut setup.routes {
        route.stores = stores.clone();
        route.pots = pots.clone();
        route.heat_to_c = Temperature::new(c.one_of(&[90.0, 94.0])).unwrap();
    }
    let mut hot = setup.routes[0].clone();
    hot.id = id("hot");
    hot.chill = Chill::None;
    hot.heat_to_c = Temperature::of(85.0);
    setup.routes.push(hot);
    // The first three chill; the last fills steel hot.
    match c.number(0, 4) {
        0 => setup.routes.truncate(1),
        1 => setup.routes.truncate(2),
        2 => setup.routes.truncate(3),
        3 => drop(setup.routes.drain(1..3)),
        _ => {}
    }
}

fn crew(c: &mut Choices<'_>, scenario: &mut Scenario) {
    let crew = &mut scenario.setup.crew;
    crew.shifts = (0..c.number(1, 2))
        .map(|_| {
            let (from, to) = (c.number(6, 11), c.number(14, 23));
            let minute = c.one_of(&[0, 30, 20]);
            let breaks = if c.one_in(3) {
                vec![Break {
                    from: time(12, c.one_of(&[0, 30, 50])),
                    to: time(13, c.one_of(&[0, 15, 30])),
                }]
            } else {
                Vec::new()
            };
            Shift {
                days: ALWAYS.to_vec(),
                from: time(from, minute),
                to: time(to, minute),
                hands: c.number(1, 3),
                breaks,
            }
        })
        .collect();
    crew.fill_keg_min = q::StepMinutes::new(c.one_of(&[5.0, 12.0, 1.0])).unwrap();
    crew.closed.clear();
}

fn products(c: &mut Choices<'_>, scenario: &mut Scenario) {
    let products = &mut scenario.setup.products;
    products.retain(|p| ["plain-soda", "ginger-soda", "tonic"].contains(&p.id.as_str()));
    products.truncate(usize::from(c.number(1, 3)));
    for product in products.iter_mut() {
        product.shelf_days = q::ShelfDays::new(c.one_of(&[21.0, 2.0, 0.5])).unwrap();
        product.on_tap_h = q::Hours::new(c.one_of(&[48.0, 5.0, 1.25])).unwrap();
        if c.one_in(4) {
            product.safety = Some(SafetyStock {
                litres: q::DemandVolume::new(c.between(3.0, 40.0)).unwrap(),
                price_per_l: q::Price::new(c.between(0.1, 5.0)).unwrap(),
            });
        }
    }
    if products.len() > 1 && c.one_in(3) {
        let other = products[1].id.clone();
        products[0].substitutes = vec![Substitute {
            product: other,
            price_per_l: q::Price::new(c.between(0.0, 15.0)).unwrap(),
        }];
    }
}

fn stock(c: &mut Choices<'_>, scenario: &mut Scenario) {
    let (setup, stock) = (&scenario.setup, &mut scenario.stock);
    let start = scenario.horizon.start;
    let before = |hours: u16| start - Duration::hours(i64::from(hours));
    stock.empty = setup
        .keg_types
        .iter()
        .map(|keg| scheduler::scenario::EmptyKegs {
            keg_type: keg.id.clone(),
            clean: c.number(0, 6),
            dirty: c.number(0, 4),
        })
        .collect();
    let keg = |c: &mut Choices<'_>| {
        let types = &setup.keg_types;
        types[usize::from(c.number(0, 2)) % types.len()].id.clone()
    };
    let store = |c: &mut Choices<'_>| {
        let stores = &setup.cold_stores;
        stores[usize::from(c.number(0, 1)) % stores.len()]
            .id
            .clone()
    };
    let product = |c: &mut Choices<'_>| {
        let products = &setup.products;
        products[usize::from(c.number(0, 2)) % products.len()]
            .id
            .clone()
    };
    stock.filled = (0..c.one_of(&[0, 1, 2]))
        .map(|_| FilledKegs {
            keg_type: keg(c),
            store: store(c),
            kegs: c.number(1, 3),
            temperature_c: Temperature::new(c.one_of(&[3.0, 8.0, 25.0, 70.0])).unwrap(),
            air_mg_per_l: None,
            co2_g_per_l: None,
        })
        .collect();
    stock.ready = (0..c.one_of(&[0, 1, 2, 3]))
        .map(|_| ReadyKegs {
            product: product(c),
            keg_type: keg(c),
            store: store(c),
            kegs: c.number(1, 2),
            gassed_at: before(c.one_of(&[2, 11, 40, 600])),
        })
        .collect();
    stock.on_tap = (0..c.one_of(&[0, 0, 1, 2]))
        .map(|_| TappedKegs {
            product: product(c),
            keg_type: keg(c),
            litres: q::LitresOnTap::new(c.between(0.5, 4.0)).unwrap(),
            tapped_at: before(c.one_of(&[1, 4, 30, 80])),
        })
        .collect();
    co2(c, scenario);
}

fn co2(c: &mut Choices<'_>, scenario: &mut Scenario) {
    scenario.stock.co2_kg = q::StockMass::new(c.one_of(&[9.0, 0.4, 1.2, 10.1])).unwrap();
    if c.one_in(3) {
        scenario.setup.cylinders = Some(Cylinders {
            coupled: c.one_of(&[1, 2]),
            residual_kg: q::StockMass::new(c.one_of(&[0.3, 0.0])).unwrap(),
            change_min: q::StepMinutes::new(c.one_of(&[10.0, 0.0, 40.0])).unwrap(),
        });
        scenario.setup.costs.co2_cylinder_kg = q::StockMass::new(c.one_of(&[9.0, 1.0])).unwrap();
    }
}

/// An instant of the horizon, on any minute.
pub(crate) fn instant(c: &mut Choices<'_>, scenario: &Scenario) -> DateTime<FixedOffset> {
    let clock = scenario.horizon.timeline(scenario.site.time_zone);
    let minutes = (clock.end() - clock.start()).num_minutes();
    let part = i64::from(c.number(0, 240));
    let minute = minutes * part / 240 + i64::from(c.one_of(&[0, 0, 7]));
    clock.stamp(clock.start() + Duration::minutes(minute.min(minutes)))
}

fn demand(c: &mut Choices<'_>, scenario: &mut Scenario) {
    let lines = (0..c.number(1, 4))
        .map(|n| {
            let products = &scenario.setup.products;
            let product = usize::from(c.number(0, 2)) % products.len();
            Demand {
                id: id(&format!("line-{n}")),
                product: products[product].id.clone(),
                due: instant(c, scenario),
                litres: q::DemandVolume::new(c.between(2.0, 60.0)).unwrap(),
                priority: Priority::try_from(c.one_of(&[3, 1, 5])).unwrap(),
                kind: c.one_of(&[DemandKind::Forecast, DemandKind::Booking]),
                note: None,
            }
        })
        .collect();
    scenario.demand = lines;
}

fn calendar(c: &mut Choices<'_>, scenario: &mut Scenario) {
    use Noisy::{Heating, IceMachine, Shaking, Washing};
    if c.one_in(3) {
        let quiet = QuietHours {
            days: ALWAYS.to_vec(),
            from: time(c.number(0, 23), c.one_of(&[0, 30, 10])),
            to: time(c.number(0, 23), c.one_of(&[0, 30, 50])),
            silent: vec![c.one_of(&[Heating, IceMachine, Washing, Shaking])],
        };
        scenario.setup.quiet_hours = vec![quiet];
    }
    for _ in 0..c.one_of(&[0, 0, 1, 2]) {
        let setup = &scenario.setup;
        let (equipment, in_parts) = match c.number(0, 4) {
            0 => (Equipment::IceMachine, false),
            1 => (Equipment::Washing, true),
            2 => {
                let pot = setup.pots[0].id.clone();
                (Equipment::Pot { pot }, false)
            }
            3 => {
                let store = setup.cold_stores[0].id.clone();
                (Equipment::Places { store }, true)
            }
            _ => {
                let station = setup.gas_stations[0].id.clone();
                (Equipment::Connections { station }, true)
            }
        };
        let from = instant(c, scenario) - Duration::hours(i64::from(c.one_of(&[0, 2])));
        let outage = Outage {
            equipment,
            from,
            until: from + Duration::minutes(i64::from(c.one_of(&[60, 150, 615]))),
            lost: Some(c.number(1, 3)).filter(|_| in_parts && c.one_in(2)),
            note: None,
        };
        scenario.setup.outages.push(outage);
    }
}
