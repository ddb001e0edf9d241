//! What flows: water with sugar in it.

use crate::published::{sucrose, viscosity};
use crate::{Error, SugarContent, Temperature, water};

/// Sugar, in °Bx and its square, in the logarithm of the viscosity over that of water: through
/// handbook values of sucrose at 20 °C held from memory (1.146, 1.333, 1.589 and 1.945 times water
/// at 5, 10, 15 and 20 °Bx), within 0.5 %. Cold sugar thickens water a little more.
const THICKENS: [f64; 2] = [0.024_25, 0.000_45];

/// A drink in a line. The CO2 dissolved in it changes density and viscosity by less than 0.3 %
/// (engineering estimate); bubbles change both, and are not in here.
///
/// ```
/// use model::{SugarContent, Temperature, dispensing::Drink};
///
/// let soda = Drink { temperature: Temperature::of(4.0), sugar: SugarContent::of(0.0) };
/// assert!((soda.density()? - 1000.0).abs() < 0.1);
/// assert!((soda.viscosity()? - 1.567e-3).abs() < 2e-6);
/// # Ok::<(), model::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drink {
    /// Its temperature, -1 to 60 °C.
    pub temperature: Temperature,
    /// Sugar in it.
    pub sugar: SugarContent,
}

impl Drink {
    /// Its density, kg/m³.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`] outside -1 to 60 °C.
    ///
    /// See [`Drink`] for an example.
    pub fn density(&self) -> Result<f64, Error> {
        self.in_range()?;
        let sweet = sucrose::density(self.sugar.brix())? / sucrose::density(0.0)?;
        Ok(water::density(self.temperature)? * 1e3 * sweet)
    }

    /// Its dynamic viscosity, Pa s: IAPWS 2008 for water, times what sugar does to it.
    ///
    /// # Errors
    ///
    /// As [`Drink::density`].
    ///
    /// See [`Drink`] for an example.
    pub fn viscosity(&self) -> Result<f64, Error> {
        self.in_range()?;
        let brix = self.sugar.brix();
        let thicker = (brix * (THICKENS[0] + brix * THICKENS[1])).exp();
        Ok(viscosity::water(self.temperature.celsius() + 273.15)? * thicker)
    }

    fn in_range(&self) -> Result<(), Error> {
        let c = self.temperature.celsius();
        crate::quantity::within(c, "temperature of a drink in a line", "°C", -1.0, 60.0)?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::Drink;
    use crate::{SugarContent, Temperature};

    #[test]
    fn sugar_thickens_as_the_handbook_says() {
        let at = |brix| Drink {
            temperature: Temperature::of(20.0),
            sugar: SugarContent::new(brix).unwrap(),
        };
        let water = at(0.0).viscosity().unwrap();
        // IAPWS 2008: 1.0016 mPa s at 20 °C.
        assert!((water * 1e3 - 1.0016).abs() < 1e-3);
        for (brix, times) in [(5.0, 1.146), (10.0, 1.333), (15.0, 1.589), (20.0, 1.945)] {
            let found = at(brix).viscosity().unwrap() / water;
            assert!((found / times - 1.0).abs() < 5e-3, "{brix}: {found}");
        }
    }
}
