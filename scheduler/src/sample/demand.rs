//! A week of demand for the demo bar: a quiet start, a busy weekend, one booked event.

use chrono::DateTime;
use chrono_tz::Tz;

use super::{at, id};
use crate::scenario::quantities::DemandVolume;
use crate::scenario::{Demand, DemandKind, Priority};

/// Days after Monday, by their short names.
const DAYS: [&str; 7] = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];

/// Litres wanted at each evening's service, Monday to Sunday.
const WEEK: [(&str, [f64; 7]); 6] = [
    ("plain-soda", [12.0, 14.0, 18.0, 25.0, 52.0, 62.0, 28.0]),
    ("mineral-soda", [4.0, 5.0, 7.0, 9.0, 17.0, 20.0, 9.0]),
    ("soft-soda", [0.0, 5.0, 0.0, 7.0, 10.0, 13.0, 6.0]),
    ("citrus-soda", [0.0, 5.0, 6.0, 8.0, 15.0, 17.0, 7.0]),
    ("ginger-soda", [4.0, 5.0, 6.0, 8.0, 16.0, 19.0, 8.0]),
    ("tonic", [7.0, 8.0, 10.0, 14.0, 30.0, 35.0, 14.0]),
];

/// What a booked party on Saturday afternoon wants.
const PARTY: [(&str, f64); 3] = [("plain-soda", 36.0), ("ginger-soda", 9.0), ("tonic", 18.0)];

pub(super) fn week(monday: DateTime<Tz>) -> Vec<Demand> {
    let mut lines = Vec::new();
    for (day, (days, short)) in (0_u64..).zip(DAYS).enumerate() {
        for (product, litres) in WEEK {
            if litres[day] > 0.0 {
                lines.push(Demand {
                    id: id(&format!("{short}-{product}")),
                    product: id(product),
                    due: at(monday, days, 17, 0),
                    litres: volume(litres[day]),
                    priority: Priority::USUAL,
                    kind: DemandKind::Forecast,
                    note: None,
                });
            }
        }
    }
    for (product, litres) in PARTY {
        lines.push(Demand {
            id: id(&format!("party-{product}")),
            product: id(product),
            due: at(monday, 5, 15, 0),
            litres: volume(litres),
            priority: Priority::USUAL,
            kind: DemandKind::Booking,
            note: Some("Anniversary party, 60 guests".to_owned()),
        });
    }
    lines
}

fn volume(litres: f64) -> DemandVolume {
    DemandVolume::new(litres).unwrap_or(DemandVolume::of(1.0))
}
