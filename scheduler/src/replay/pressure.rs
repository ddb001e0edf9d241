//! Pressure: never more than 80 % of a keg's stamped rating, nor than the station's highest; the
//! headspace is purged as the site does it.

use model::GaugePressure;
use model::limits::BLOCK_SHARE;

use super::items::{Gas, Head};
use super::violation::{Findings, Rule};
use super::walk::Walk;
use crate::scenario::{GasMethod, KegType};

/// Bar lost in rounding a gauge reading.
const ROUNDING_BAR: f64 = 0.01;

pub(super) fn check(walk: &Walk<'_>, found: &mut Findings) {
    for gas in &walk.items.gassings {
        purged(walk, gas, found);
        for (what, bar) in [
            ("purged", gas.purge),
            ("gassed", gas.regulator),
            ("held", gas.hold),
        ] {
            rated(&gas.head, gas.keg, what, bar, found);
        }
        let GasMethod::Rest { highest_bar, .. } = gas.station.method else {
            continue;
        };
        for (what, bar) in [("purged", gas.purge), ("gassed", gas.regulator)] {
            let allowed = bar.bar() <= highest_bar.bar() + ROUNDING_BAR;
            found.require(allowed, Rule::Pressure, gas.head.place(), || {
                format!(
                    "{what} at {bar}; {} goes up to {highest_bar}",
                    gas.station.id
                )
            });
        }
    }
    for tap in &walk.items.taps {
        rated(&tap.head, tap.keg, "served", tap.serve, found);
    }
}

pub(super) fn rated(
    head: &Head<'_>,
    keg: &KegType,
    what: &str,
    bar: GaugePressure,
    found: &mut Findings,
) {
    let allowed = keg.rating_bar.bar() * BLOCK_SHARE.value();
    found.require(
        bar.bar() <= allowed + ROUNDING_BAR,
        Rule::Pressure,
        head.place(),
        || {
            format!(
                "{what} at {bar}; {} takes {allowed:.1} bar, 80 % of its rating",
                keg.id
            )
        },
    );
}

fn purged(walk: &Walk<'_>, gas: &Gas<'_>, found: &mut Findings) {
    let policy = &walk.scenario.policy;
    let off = (gas.purge.bar() - policy.purge_bar.bar()).abs();
    // Where CO2 was put on at filling, only a lid that was opened lets air in again.
    let closed = gas.product.syrup.is_none() && gas.product.ingredients.is_empty();
    let wanted = match policy.blanket_bar {
        Some(_) if closed => 0,
        _ => policy.purges,
    };
    let same = gas.purges == wanted && off <= ROUNDING_BAR;
    found.require(same, Rule::Pressure, gas.head.place(), || {
        format!(
            "{} purges at {}; it takes {wanted} at {}",
            gas.purges, gas.purge, policy.purge_bar
        )
    });
}
