//! How far things may be from what a plan reckons with.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rand_distr::{Distribution, StandardNormal};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// How far things may be from what a plan reckons with. A factor `f` means that 19 times of 20 the
/// truth lies between `1/f` and `f` times the plan's figure (log-normal about it); an interval of
/// kelvins means the same for a difference (normal about it). 1, or 0 K, switches a spread off.
///
/// The physical spreads are those stated for the models where nothing was calibrated on site;
/// readings make them smaller. Those of people, ice and demand are common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Spreads {
    /// Heating time of each pot: burner efficiency is known to 30 %.
    #[schema(minimum = 1, maximum = 10, example = 1.3)]
    pub heating: f64,
    /// Cooling time of kegs in each cold store: cold-store times are known to a factor of 1.5.
    #[schema(minimum = 1, maximum = 10, example = 1.5)]
    pub cooling: f64,
    /// Uptake of CO2 by resting kegs: known to a factor of 2.
    #[schema(minimum = 1, maximum = 10, example = 2.0)]
    pub resting: f64,
    /// Uptake of CO2 by shaken kegs: known to a factor of 3.
    #[schema(minimum = 1, maximum = 10, example = 3.0)]
    pub shaking: f64,
    /// Ice the machine makes (common practice, no source).
    #[schema(minimum = 1, maximum = 10, example = 1.15)]
    pub ice_rate: f64,
    /// Ice a boil takes; wet ice takes 5 to 15 % more.
    #[schema(minimum = 1, maximum = 10, example = 1.1)]
    pub ice_need: f64,
    /// Ice the bar takes (common practice, no source).
    #[schema(minimum = 1, maximum = 10, example = 1.2)]
    pub bar_draw: f64,
    /// Minutes of hands for each work item (common practice, no source).
    #[schema(minimum = 1, maximum = 10, example = 1.3)]
    pub hands: f64,
    /// Litres of a forecast (common practice, no source).
    #[schema(minimum = 1, maximum = 10, example = 1.3)]
    pub forecast: f64,
    /// Litres of a booking (common practice, no source).
    #[schema(minimum = 1, maximum = 10, example = 1.05)]
    pub booking: f64,
    /// Tap water, in kelvins (common practice, no source).
    #[schema(minimum = 0, maximum = 20, example = 2.0)]
    pub tap_water_k: f64,
    /// Air in each cold store, in kelvins (common practice, no source).
    #[schema(minimum = 0, maximum = 10, example = 0.5)]
    pub store_air_k: f64,
    /// Part of its CO2 with which a keg is good enough to be served (common practice, no source).
    #[schema(minimum = 0.5, maximum = 1, example = 0.9)]
    pub enough_co2: f64,
    /// Minutes people stay on to finish what they are at (common practice, no source).
    #[schema(minimum = 0, maximum = 120, example = 15.0)]
    pub overtime_min: f64,
}

impl Default for Spreads {
    fn default() -> Self {
        Self {
            heating: 1.3,
            cooling: 1.5,
            resting: 2.0,
            shaking: 3.0,
            ice_rate: 1.15,
            ice_need: 1.1,
            bar_draw: 1.2,
            hands: 1.3,
            forecast: 1.3,
            booking: 1.05,
            tap_water_k: 2.0,
            store_air_k: 0.5,
            enough_co2: 0.9,
            overtime_min: 15.0,
        }
    }
}

impl Spreads {
    /// Everything is as planned.
    #[must_use]
    pub fn none() -> Self {
        Self {
            heating: 1.0,
            cooling: 1.0,
            resting: 1.0,
            shaking: 1.0,
            ice_rate: 1.0,
            ice_need: 1.0,
            bar_draw: 1.0,
            hands: 1.0,
            forecast: 1.0,
            booking: 1.0,
            tap_water_k: 0.0,
            store_air_k: 0.0,
            ..Self::default()
        }
    }

    /// The first field that is out of its range: its name, what was found, what is allowed.
    pub(super) fn fault(&self) -> Option<(&'static str, String)> {
        let factors = [
            ("heating", self.heating),
            ("cooling", self.cooling),
            ("resting", self.resting),
            ("shaking", self.shaking),
            ("ice_rate", self.ice_rate),
            ("ice_need", self.ice_need),
            ("bar_draw", self.bar_draw),
            ("hands", self.hands),
            ("forecast", self.forecast),
            ("booking", self.booking),
        ];
        let factors = factors.map(|(name, found)| (name, found, 1.0..=10.0));
        let others = [
            ("tap_water_k", self.tap_water_k, 0.0..=20.0),
            ("store_air_k", self.store_air_k, 0.0..=10.0),
            ("enough_co2", self.enough_co2, 0.5..=1.0),
            ("overtime_min", self.overtime_min, 0.0..=120.0),
        ];
        let mut all = factors.into_iter().chain(others);
        let (name, found, range) = all.find(|(_, found, range)| !range.contains(found))?;
        let (least, most) = (range.start(), range.end());
        Some((name, format!("{found} found; {least} to {most} is allowed")))
    }
}

/// Numbers of one replay: the same for the same seed and replay, whatever the order and machine.
pub(super) struct Draws(ChaCha8Rng);

impl Draws {
    pub(super) fn of(seed: u64, replay: u32) -> Self {
        let mut stream = ChaCha8Rng::seed_from_u64(seed);
        stream.set_stream(u64::from(replay));
        Self(stream)
    }

    fn normal(&mut self) -> f64 {
        StandardNormal.sample(&mut self.0)
    }

    /// A factor that lies between `1/f` and `f` 19 times of 20.
    pub(super) fn factor(&mut self, f: f64) -> f64 {
        (self.normal() * f.ln() / TWO_SIDED_95).exp()
    }

    /// A difference that lies between `-d` and `d` 19 times of 20.
    pub(super) fn difference(&mut self, d: f64) -> f64 {
        self.normal() * d / TWO_SIDED_95
    }
}

/// Standard deviations within which a normal variable lies 19 times of 20 (its 97.5 % quantile).
const TWO_SIDED_95: f64 = 1.959_964;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nineteen_of_twenty_factors_lie_within() {
        let mut draws = Draws::of(7, 0);
        let within = (0..20_000).filter(|_| (0.5..=2.0).contains(&draws.factor(2.0)));
        let share = within.count() as f64 / 20_000.0;
        // Three standard errors of a share of 0.95 over 20,000 draws are 0.0046.
        assert!((share - 0.95).abs() < 0.0046, "{share}");
    }

    #[test]
    fn a_replay_has_its_own_numbers_and_always_the_same() {
        let first = |replay| Draws::of(7, replay).factor(2.0);
        assert!((first(3) - first(3)).abs() < 1e-12);
        assert!((first(3) - first(4)).abs() > 1e-6);
    }
}
