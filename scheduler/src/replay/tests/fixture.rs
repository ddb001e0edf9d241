//! The demo bar with four quiet days.

use chrono::{DateTime, Duration, FixedOffset};
use model::Temperature;

use crate::scenario::quantities::{DemandVolume, LitresOnTap, StockMass};
use crate::scenario::{
    Demand, DemandKind, EmptyKegs, FilledKegs, Priority, ReadyKegs, Scenario, Stock, TappedKegs,
    UnderWay,
};

/// An id that is known to be one.
pub(super) fn id<T: TryFrom<String>>(text: &str) -> T
where
    T::Error: std::fmt::Debug,
{
    T::try_from(text.to_owned()).unwrap()
}

/// A time of the first days of June 2026, in Lisbon.
pub(super) fn at(day: i64, hour: i64, minute: i64) -> DateTime<FixedOffset> {
    let monday = DateTime::parse_from_rfc3339("2026-06-01T00:00:00+01:00").unwrap();
    monday + Duration::days(day) + Duration::minutes(hour * 60 + minute)
}

pub(super) fn scenario() -> Scenario {
    let mut scenario = crate::sample::fixed();
    scenario.horizon.days = 4;
    scenario.stock = stock();
    scenario.demand = vec![
        demand("tue-plain", "plain-soda", 1, 12.0),
        demand("wed-plain", "plain-soda", 2, 18.0),
        demand("wed-tonic", "tonic", 2, 10.0),
        demand("thu-plain", "plain-soda", 3, 8.0),
    ];
    scenario
}

fn demand(name: &str, product: &str, day: i64, litres: f64) -> Demand {
    Demand {
        id: id(name),
        product: id(product),
        due: at(day, 17, 0),
        litres: DemandVolume::new(litres).unwrap(),
        priority: Priority::USUAL,
        kind: DemandKind::Forecast,
        note: None,
    }
}

fn stock() -> Stock {
    let empty = |keg: &str, clean, dirty| EmptyKegs {
        keg_type: id(keg),
        clean,
        dirty,
    };
    let ready = |product: &str, keg: &str, store: &str, gassed_at| ReadyKegs {
        product: id(product),
        keg_type: id(keg),
        store: id(store),
        kegs: 1,
        gassed_at,
    };
    Stock {
        empty: vec![empty("keg-19", 3, 2), empty("keg-9", 1, 0)],
        filled: vec![FilledKegs {
            keg_type: id("keg-19"),
            store: id("under-counter"),
            kegs: 1,
            temperature_c: Temperature::of(3.5),
            air_mg_per_l: None,
            co2_g_per_l: None,
        }],
        ready: vec![
            ready("tonic", "keg-19", "walk-in", at(-4, 15, 0)),
            // Past its 21 days on Tuesday at 18:00.
            ready("mineral-soda", "keg-9", "under-counter", at(-20, 18, 0)),
        ],
        on_tap: vec![TappedKegs {
            product: id("ginger-soda"),
            keg_type: id("keg-9"),
            litres: LitresOnTap::of(3.0),
            // Past its 48 hours on Monday at 18:00.
            tapped_at: at(-2, 18, 0),
        }],
        ice_kg: StockMass::of(70.0),
        co2_kg: StockMass::of(5.0),
        materials: Vec::new(),
        deliveries: Vec::new(),
        under_way: UnderWay::default(),
    }
}
