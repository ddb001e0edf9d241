//! Figures in the units people read: litres, degrees Celsius and bar, or US gallons, degrees
//! Fahrenheit and psi.

use std::fmt;

use model::units::{Unit, converted};

use super::figures::{number, pressure};

/// Which units somebody reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Units {
    /// L, °C, kg, bar.
    #[default]
    Metric,
    /// US gal, °F, lb, psi.
    Us,
}

/// A number with its unit, each on its own for large type.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Figure {
    pub(crate) value: String,
    pub(crate) unit: &'static str,
}

impl fmt::Display for Figure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.value, self.unit)
    }
}

impl Units {
    pub(crate) fn as_str(self) -> &'static str {
        match self {
            Self::Metric => "metric",
            Self::Us => "us",
        }
    }

    pub(crate) fn parse(text: &str) -> Option<Self> {
        [Self::Metric, Self::Us]
            .into_iter()
            .find(|units| units.as_str() == text)
    }

    fn figure(self, value: f64, metric: Unit, us: Unit) -> Figure {
        let unit = self.of(metric, us);
        Figure {
            value: number(converted(value, metric, unit)),
            unit: symbol(unit),
        }
    }

    /// One of two units.
    pub(crate) fn of(self, metric: Unit, us: Unit) -> Unit {
        match self {
            Self::Metric => metric,
            Self::Us => us,
        }
    }

    pub(crate) fn litres(self, litres: f64) -> Figure {
        self.figure(litres, Unit::L, Unit::UsGal)
    }

    pub(crate) fn degrees(self, c: f64) -> Figure {
        self.figure(c, Unit::C, Unit::F)
    }

    pub(crate) fn mass(self, kg: f64) -> Figure {
        self.figure(kg, Unit::Kg, Unit::Lb)
    }

    pub(crate) fn bar(self, bar: f64) -> Figure {
        match self {
            Self::Metric => Figure {
                value: format!("{bar:.2}"),
                unit: "bar",
            },
            Self::Us => Figure {
                value: format!("{:.1}", converted(bar, Unit::Bar, Unit::Psi)),
                unit: "psi",
            },
        }
    }

    /// A small volume, with two decimals.
    pub(crate) fn dose(self, litres: f64) -> String {
        let unit = self.of(Unit::L, Unit::UsGal);
        let value = converted(litres, Unit::L, unit);
        format!("{value:.2} {}", symbol(unit))
    }

    /// A gauge pressure in both units regulators show, the one that is read first.
    pub(crate) fn gauge(self, bar: f64) -> String {
        match self {
            Self::Metric => pressure(bar),
            Self::Us => format!("{} ({bar:.2} bar)", self.bar(bar)),
        }
    }
}

/// How people write a unit on a wall.
fn symbol(unit: Unit) -> &'static str {
    match unit {
        Unit::UsGal => "gal",
        other => other.symbol(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_come_in_the_units_that_are_read() {
        // 5 US gal are 18.927 L (NIST SP 811, table B.8); 212 °F are 100 °C; 1 bar is 14.504 psi.
        for (metric, us, found) in [
            (
                "18.9 L",
                "5 gal",
                [Units::Metric, Units::Us].map(|u| u.litres(18.927).to_string()),
            ),
            (
                "100 °C",
                "212 °F",
                [Units::Metric, Units::Us].map(|u| u.degrees(100.0).to_string()),
            ),
            (
                "1.00 bar",
                "14.5 psi",
                [Units::Metric, Units::Us].map(|u| u.bar(1.0).to_string()),
            ),
            (
                "10 kg",
                "22 lb",
                [Units::Metric, Units::Us].map(|u| u.mass(10.0).to_string()),
            ),
        ] {
            assert_eq!(found, [metric, us]);
        }
    }

    #[test]
    fn a_choice_is_written_as_it_is_read() {
        for units in [Units::Metric, Units::Us] {
            assert_eq!(Units::parse(units.as_str()), Some(units));
        }
        assert_eq!(Units::parse("furlongs"), None);
    }
}
