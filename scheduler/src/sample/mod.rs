//! A demo site: an invented harbour bar with a week of demand.

mod demand;
mod setup;

use chrono::{DateTime, Datelike, Days, Duration, NaiveTime, TimeZone};
use chrono_tz::Tz;
use model::{ChlorineResidual, Elevation, Temperature};

use crate::scenario::quantities::{LitresOnTap, MaterialAmount, StockMass};
use crate::scenario::{
    EmptyKegs, Grid, Horizon, KegTypeId, MaterialId, MaterialStock, Policy, ProductId, ReadyKegs,
    Scenario, Site, SiteId, Stock, StoreId, TapWater, TappedKegs, UnderWay,
};

/// The demo site's time zone.
pub const ZONE: Tz = Tz::Europe__Lisbon;

/// The demo scenario for the week from the first Monday after `today` (on that day, if it is a
/// Monday), 06:00 by the site's clock. Every call with the same day gives the same scenario.
///
/// ```
/// use chrono::TimeZone;
/// let day = chrono_tz::Europe::Lisbon.with_ymd_and_hms(2026, 6, 1, 9, 0, 0).unwrap();
/// let scenario = scheduler::sample::scenario(day);
/// assert_eq!(scenario.horizon.start.to_rfc3339(), "2026-06-01T06:00:00+01:00");
/// assert!(scenario.check().is_ok());
/// ```
#[must_use]
pub fn scenario(today: DateTime<Tz>) -> Scenario {
    let monday = first_monday(today);
    Scenario {
        site: site(),
        setup: setup::setup(),
        policy: Policy::usual(),
        horizon: Horizon {
            start: monday.fixed_offset(),
            days: 7,
            grid_minutes: Grid::Half,
            until: None,
        },
        stock: stock(monday),
        demand: demand::week(monday),
    }
}

/// The fixed-date copy of the demo that tests use: the week of 1 June 2026.
#[must_use]
pub fn fixed() -> Scenario {
    let monday = ZONE.with_ymd_and_hms(2026, 6, 1, 6, 0, 0);
    scenario(
        monday
            .earliest()
            .unwrap_or_else(|| DateTime::UNIX_EPOCH.with_timezone(&ZONE)),
    )
}

fn first_monday(today: DateTime<Tz>) -> DateTime<Tz> {
    let today = today.with_timezone(&ZONE).date_naive();
    let wait = (7 - today.weekday().num_days_from_monday()) % 7;
    let monday = today + Days::new(u64::from(wait));
    let six = NaiveTime::from_hms_opt(6, 0, 0).unwrap_or_default();
    // No clock change of this zone falls on a Monday morning.
    ZONE.from_local_datetime(&monday.and_time(six))
        .earliest()
        .unwrap_or_else(|| monday.and_time(six).and_utc().with_timezone(&ZONE))
}

/// A wall-clock time some days after the demo's Monday.
fn at(monday: DateTime<Tz>, days: u64, hour: u32, minute: u32) -> DateTime<chrono::FixedOffset> {
    let date = monday.date_naive() + Days::new(days);
    let time = NaiveTime::from_hms_opt(hour, minute, 0).unwrap_or_default();
    ZONE.from_local_datetime(&date.and_time(time))
        .earliest()
        .map_or_else(|| monday.fixed_offset(), |t| t.fixed_offset())
}

/// An id that is known to be one.
#[allow(
    clippy::expect_used,
    reason = "the ids of the demo are literals, checked by its test"
)]
fn id<T: TryFrom<String>>(text: &str) -> T
where
    T::Error: std::fmt::Debug,
{
    T::try_from(text.to_owned()).expect("the demo's ids are valid")
}

fn site() -> Site {
    Site {
        id: id::<SiteId>("harbour-bar"),
        name: "Harbour bar".to_owned(),
        time_zone: ZONE,
        elevation_m: Elevation::of(60.0),
        room_c: Temperature::of(23.0),
        water: TapWater {
            temperature_c: Temperature::of(17.0),
            total_chlorine_mg_per_l: ChlorineResidual::of(0.7),
        },
        currency: "EUR".to_owned(),
    }
}

fn stock(monday: DateTime<Tz>) -> Stock {
    let ready = |product: &str, keg: &str, store: &str, kegs: u16, days: i64| ReadyKegs {
        product: id::<ProductId>(product),
        keg_type: id::<KegTypeId>(keg),
        store: id::<StoreId>(store),
        kegs,
        gassed_at: (monday - Duration::days(days)).fixed_offset(),
    };
    let empty = |keg: &str, clean: u16, dirty: u16| EmptyKegs {
        keg_type: id::<KegTypeId>(keg),
        clean,
        dirty,
    };
    let material = |name: &str, amount: f64| MaterialStock {
        material: id::<MaterialId>(name),
        amount: MaterialAmount::new(amount).unwrap_or(MaterialAmount::of(0.0)),
    };
    Stock {
        empty: vec![empty("keg-19", 16, 12), empty("keg-9", 11, 11)],
        filled: Vec::new(),
        ready: vec![
            ready("plain-soda", "keg-19", "walk-in", 3, 4),
            ready("tonic", "keg-19", "walk-in", 1, 4),
            ready("mineral-soda", "keg-9", "under-counter", 2, 5),
            ready("ginger-soda", "keg-9", "under-counter", 2, 3),
        ],
        on_tap: vec![TappedKegs {
            product: id::<ProductId>("plain-soda"),
            keg_type: id::<KegTypeId>("keg-19"),
            litres: LitresOnTap::of(6.0),
            tapped_at: (monday - Duration::hours(36)).fixed_offset(),
        }],
        ice_kg: StockMass::of(70.0),
        co2_kg: StockMass::of(21.0),
        materials: vec![
            material("ascorbate", 250.0),
            material("ginger-syrup", 9.0),
            material("quinine-syrup", 14.0),
        ],
        deliveries: Vec::new(),
        under_way: UnderWay::default(),
    }
}
