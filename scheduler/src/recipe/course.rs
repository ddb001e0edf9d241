//! How warm a keg is while it rests under pressure, and what it takes up meanwhile.

use std::f64::consts::PI;

use model::air::Standing;
use model::cooling::{self, State, Surroundings};
use model::kinetics::StillKeg;
use model::{
    AbsolutePressure, AirContent, Area, Carbonation, Length, SugarContent, Temperature, TimeSpan,
    Volume,
};

use super::NoRecipe;
use super::cool::container;
use crate::scenario::KegType;

/// Inner surface of the liquid over the area of the outer diameter (wall and curve; estimate).
const SURFACE_SHARE: f64 = 0.95;

/// Minutes over which a keg's temperature is taken as one: a filled keg follows its store with a
/// time constant of five hours and more.
const SLICE_MINUTES: f64 = 60.0;

/// A keg this near to its store's temperature has it, in kelvins: 0.2 % of its CO2.
const SETTLED_K: f64 = 0.05;

/// Water hotter than this is outside what the law of CO2 in water is known for.
const HOT: Temperature = Temperature::of(40.0);

/// A resting keg, from when it is coupled to when it is turned down.
pub(super) struct Course {
    slices: Vec<(StillKeg, TimeSpan)>,
}

impl Course {
    /// A keg that has one temperature when it is coupled, and rests for some minutes.
    pub(super) fn of(
        keg: &KegType,
        around: Surroundings,
        from: Temperature,
        minutes: f64,
    ) -> Result<Self, NoRecipe> {
        let area = PI / 4.0 * keg.diameter_m.metres().powi(2) * SURFACE_SHARE;
        let (liquid, surface) = (Volume::new(keg.fill_l.litres())?, Area::new(area)?);
        let still = |celsius: f64| -> Result<StillKeg, NoRecipe> {
            Ok(StillKeg {
                liquid,
                surface,
                temperature: Temperature::new(celsius)?,
            })
        };
        let count = (minutes / SLICE_MINUTES).ceil().max(1.0);
        let slice = TimeSpan::from_minutes(minutes / count)?;
        let mut states = vec![State::BLANK; count as usize + 1];
        cooling::curve(&container(keg)?, around, from, slice, &mut states)?;
        let mut slices = Vec::new();
        for (n, ends) in states.windows(2).enumerate() {
            let (first, last) = (ends[0].temperature, ends[1].temperature);
            if (first - around.air).kelvins().abs() < SETTLED_K {
                let rest = (count - n as f64) * slice.minutes();
                slices.push((still(around.air.celsius())?, TimeSpan::from_minutes(rest)?));
                break;
            }
            let middle = f64::midpoint(first.celsius(), last.celsius());
            slices.push((still(middle)?, slice));
        }
        Ok(Self { slices })
    }

    /// CO2 it holds at the end, with what it held before, under a total pressure of which a part
    /// is air. While it is too hot for the law it takes up none: hot water holds next to nothing.
    pub(super) fn content(
        &self,
        before: Carbonation,
        (total, air, sugar): (AbsolutePressure, AbsolutePressure, SugarContent),
    ) -> Result<Carbonation, NoRecipe> {
        let mut content = before;
        for (keg, time) in &self.slices {
            if keg.temperature > HOT {
                continue;
            }
            let reached = model::carbonation::dissolved(keg.temperature, total, air, sugar)?;
            content = keg.after(content, reached, *time)?;
        }
        Ok(content)
    }

    /// Air its water holds at the end, with what it held before, while it stands under air.
    pub(super) fn air(
        &self,
        before: AirContent,
        atmosphere: AbsolutePressure,
    ) -> Result<AirContent, NoRecipe> {
        let mut air = before;
        for (keg, time) in &self.slices {
            let standing = Standing {
                temperature: keg.temperature,
                atmosphere,
                depth: Length::new(keg.liquid.litres() / 1000.0 / keg.surface.square_metres())?,
                transfer: model::air::still_surface(keg.temperature)?,
            };
            air = model::air::reaerated(&standing, air, *time)?;
        }
        Ok(air)
    }

    /// Its temperature at the end.
    pub(super) fn end(&self) -> Temperature {
        let last = self.slices.last();
        last.map_or(Temperature::FREEZING, |(keg, _)| keg.temperature)
    }
}

#[cfg(test)]
mod tests {
    use model::Elevation;

    use super::*;
    use crate::recipe::surroundings;

    fn course(from: f64, hours: f64) -> Course {
        let setup = crate::sample::fixed().setup;
        let air = model::atmosphere::pressure_at(Elevation::of(0.0)).unwrap();
        let around = surroundings(&setup.cold_stores[0], air);
        Course::of(
            &setup.keg_types[0],
            around,
            Temperature::of(from),
            hours * 60.0,
        )
        .unwrap()
    }

    /// At one temperature throughout it is the law of a still keg (model reference: 2 °C and 2 bar
    /// on the gauge bring half of 9.1 g/L in 30.5 h).
    #[test]
    fn a_keg_as_cold_as_its_store_follows_one_law() {
        let total = AbsolutePressure::of(3.013_25);
        let (none, water) = (AbsolutePressure::VACUUM, SugarContent::of(0.0));
        let content = course(2.0, 30.5)
            .content(Carbonation::NONE, (total, none, water))
            .unwrap();
        assert!((content.grams_per_litre() - 4.55).abs() < 0.1, "{content}");
    }

    /// Water of 4 °C in a store of 2 °C ends near the store's temperature, and takes up less than
    /// water of 2 °C and more than water that stays at 4 °C.
    #[test]
    fn a_keg_that_cools_while_it_rests_lies_between() {
        let total = AbsolutePressure::of(4.0);
        let (none, water) = (AbsolutePressure::VACUUM, SugarContent::of(0.0));
        let content = |from: f64| {
            let content = course(from, 20.0)
                .content(Carbonation::NONE, (total, none, water))
                .unwrap();
            content.grams_per_litre()
        };
        assert!((course(4.0, 30.0).end().celsius() - 2.0).abs() < 0.1);
        assert!(content(4.0) < content(2.0));
        // A keg of 6 °C loses twice what one of 4 °C loses.
        let (little, much) = (content(2.0) - content(4.0), content(2.0) - content(6.0));
        assert!((much / little - 2.0).abs() < 0.3, "{little} and {much} g/L");
    }
}
