//! Generators made from the declared ranges, shared by the property tests.
#![allow(dead_code, unreachable_pub)] // each test uses some of them

use proptest::prelude::{Strategy, any, prop_oneof};

/// A quantity somewhere in the range it declares.
#[macro_export]
macro_rules! in_range {
    ($Quantity:ty) => {
        proptest::strategy::Strategy::prop_map(<$Quantity>::RANGE, |value| {
            <$Quantity>::new(value).unwrap()
        })
    };
    ($Quantity:ty, $range:expr) => {
        proptest::strategy::Strategy::prop_map($range, |value| <$Quantity>::new(value).unwrap())
    };
}

/// A quantity anywhere, the ends of its range and tiny values more often.
#[macro_export]
macro_rules! anywhere {
    ($Quantity:ty) => {
        proptest::strategy::Strategy::prop_filter_map(
            $crate::common::number(<$Quantity>::MIN, <$Quantity>::MAX),
            "outside the range",
            |value| <$Quantity>::new(value).ok(),
        )
    };
}

/// Numbers in a range, at its ends, close to zero, or anything a float can be.
pub fn number(min: f64, max: f64) -> impl Strategy<Value = f64> {
    prop_oneof![
        8 => min..=max,
        2 => proptest::sample::select(vec![min, max, 0.0, -0.0, 1.0, f64::MIN_POSITIVE, 1e-300]),
        1 => any::<f64>(),
        2 => (-3.0..3.0_f64).prop_map(|power| 10.0_f64.powf(power)),
    ]
}
