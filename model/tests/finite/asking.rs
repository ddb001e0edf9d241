//! What only questions need: units, verdicts, gaps.

use model::cooling::{Container, Surroundings};
use model::heating::Heater;
use model::limits::{self, WettedMaterial, WettedPlace};
use model::units::{Unit, convert, converted};
use model::{Carbonation, Conductance, Fraction, Power, Temperature, TimeSpan, kinetics};
use proptest::prelude::{any, prop_assert, proptest};

use crate::{anywhere, check, finite};

proptest! {
    #[test]
    fn units(value in any::<f64>(), size in -1e9..1e9_f64) {
        for from in Unit::ALL {
            for to in Unit::ALL {
                check("convert", convert(value, from, to));
                if from.kind() == to.kind() {
                    let there = converted(size, from, to);
                    let back = converted(there, to, from);
                    // A temperature loses digits to the zero of its scale.
                    prop_assert!((back - size).abs() <= 1e-9 * size.abs() + 1e-6, "{from:?} {to:?}");
                }
            }
        }
    }

    #[test]
    fn heaters_and_gaps(
        power in anywhere!(Power),
        efficiency in anywhere!(Fraction),
        loss in anywhere!(Conductance),
        room in anywhere!(Temperature),
        time in anywhere!(TimeSpan),
        one in anywhere!(Carbonation),
        other in anywhere!(Carbonation),
    ) {
        check("used", Heater { power, efficiency, loss, room }.used_in(time));
        finite("gap", &kinetics::gap(one, other));
        let store = Surroundings::still(room);
        let keg = Container::STEEL_KEG_19_L;
        let warm = Temperature::of(60.0);
        check("cooling", limits::perishable_cooling_from(&keg, store, warm));
    }

    #[test]
    fn copper(ph in 0.0..=14.0_f64) {
        for material in [WettedMaterial::Copper, WettedMaterial::Plastic] {
            for place in [WettedPlace::BeforeCarbonator, WettedPlace::Drink] {
                let (rule, margin) = limits::copper(material, place, ph);
                finite("copper", &(rule, margin));
            }
        }
    }
}
