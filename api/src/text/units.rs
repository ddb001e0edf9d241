//! Figures in the units people read: litres, degrees Celsius and bar, or US gallons, degrees
//! Fahrenheit and psi.

use std::fmt;

use chrono::{DateTime, FixedOffset};
use model::units::{Unit, converted};

use super::figures::number;
use super::locale::Locale;

/// Which system of units somebody reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum System {
    /// L, °C, kg, bar.
    #[default]
    Metric,
    /// US gal, °F, lb, psi.
    Us,
}

/// Which units somebody reads, and how their numbers and dates are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Units {
    system: System,
    pub(crate) locale: Locale,
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
    pub(crate) const METRIC: Self = Self {
        system: System::Metric,
        locale: Locale::PLAIN,
    };
    pub(crate) const US: Self = Self {
        system: System::Us,
        locale: Locale::PLAIN,
    };

    pub(crate) fn as_str(self) -> &'static str {
        match self.system {
            System::Metric => "metric",
            System::Us => "us",
        }
    }

    pub(crate) fn parse(text: &str) -> Option<Self> {
        let system = match text {
            "metric" => System::Metric,
            "us" => System::Us,
            _ => return None,
        };
        Some(Self {
            system,
            locale: Locale::PLAIN,
        })
    }

    /// The same units, written as people do elsewhere.
    pub(crate) fn written(self, locale: Locale) -> Self {
        Self { locale, ..self }
    }

    pub(crate) fn is_us(self) -> bool {
        self.system == System::Us
    }

    /// A number with as many digits as a person can measure.
    pub(crate) fn number(self, value: f64) -> String {
        self.locale.written(&number(value))
    }

    /// The same as it stands in a field.
    pub(crate) fn typed(self, value: f64) -> String {
        self.locale.typed(&number(value))
    }

    /// A number with so many decimals.
    pub(crate) fn fixed(self, value: f64, decimals: usize) -> String {
        self.locale.written(&format!("{value:.decimals$}"))
    }

    /// `Mon 1 June 09:00`.
    pub(crate) fn day_and_time(self, at: DateTime<FixedOffset>) -> String {
        self.locale.day_and_time(at)
    }

    /// `Monday 1 June`.
    pub(crate) fn day(self, at: DateTime<FixedOffset>) -> String {
        self.locale.day(at.date_naive())
    }

    /// `09:00`, or `Tue 2 June 09:00` if that is not the day of `from`.
    pub(crate) fn time_after(
        self,
        at: DateTime<FixedOffset>,
        from: DateTime<FixedOffset>,
    ) -> String {
        if at.date_naive() == from.date_naive() {
            at.format("%H:%M").to_string()
        } else {
            self.day_and_time(at)
        }
    }

    fn figure(self, value: f64, metric: Unit, us: Unit) -> Figure {
        let unit = self.of(metric, us);
        Figure {
            value: self.number(converted(value, metric, unit)),
            unit: symbol(unit),
        }
    }

    /// One of two units.
    pub(crate) fn of(self, metric: Unit, us: Unit) -> Unit {
        match self.system {
            System::Metric => metric,
            System::Us => us,
        }
    }

    /// The unit somebody reads in place of a metric one.
    pub(crate) fn read_in(self, metric: Unit) -> Unit {
        match metric {
            Unit::L => self.of(Unit::L, Unit::UsGal),
            Unit::C => self.of(Unit::C, Unit::F),
            Unit::Bar => self.of(Unit::Bar, Unit::Psi),
            Unit::Kg => self.of(Unit::Kg, Unit::Lb),
            other => other,
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
        match self.system {
            System::Metric => Figure {
                value: self.fixed(bar, 2),
                unit: "bar",
            },
            System::Us => Figure {
                value: self.fixed(converted(bar, Unit::Bar, Unit::Psi), 0),
                unit: "psi",
            },
        }
    }

    /// A small volume, with two decimals.
    pub(crate) fn dose(self, litres: f64) -> Figure {
        let unit = self.of(Unit::L, Unit::UsGal);
        Figure {
            value: self.fixed(converted(litres, Unit::L, unit), 2),
            unit: symbol(unit),
        }
    }

    /// CO2 in a drink, in both ways people speak of it, the one that is read first.
    pub(crate) fn co2(self, g_per_l: f64) -> String {
        let (grams, volumes) = (self.fixed(g_per_l, 1), self.volumes(g_per_l));
        match self.system {
            System::Metric => format!("{grams} g/L ({volumes})"),
            System::Us => format!("{volumes} ({grams} g/L)"),
        }
    }

    /// The lowest and the highest CO2 there may be, in what is read first.
    pub(crate) fn co2_between(self, [low, high]: [f64; 2]) -> String {
        let (unit, per) = match self.system {
            System::Metric => ("g/L", Unit::GPerL),
            System::Us => ("volumes", Unit::Volumes),
        };
        let [low, high] = [low, high].map(|g| self.fixed(converted(g, Unit::GPerL, per), 1));
        format!("{low} to {high} {unit}")
    }

    /// The same in volumes alone: litres of CO2 gas, at 0 °C and one atmosphere, in a litre.
    pub(crate) fn volumes(self, g_per_l: f64) -> String {
        let volumes = converted(g_per_l, Unit::GPerL, Unit::Volumes);
        format!("{} volumes", self.fixed(volumes, 1))
    }

    /// A gauge pressure in both units regulators show, the one that is read first, to what a gauge
    /// shows: plans are made of steps of 0.05 bar, which are 0.7 psi.
    pub(crate) fn gauge(self, bar: f64) -> String {
        let psi = converted(bar, Unit::Bar, Unit::Psi);
        let (bar, psi) = (self.fixed(bar, 2), self.fixed(psi, 0));
        match self.system {
            System::Metric => format!("{bar} bar ({psi} psi)"),
            System::Us => format!("{psi} psi ({bar} bar)"),
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
        // 5 US gal are 18.927 L (NIST SP 811, table B.8); 212 °F are 100 °C; 1 bar is 14.504 psi, and gauges
        // show whole ones.
        for (metric, us, found) in [
            (
                "18.9 L",
                "5 gal",
                [Units::METRIC, Units::US].map(|u| u.litres(18.927).to_string()),
            ),
            (
                "100 °C",
                "212 °F",
                [Units::METRIC, Units::US].map(|u| u.degrees(100.0).to_string()),
            ),
            (
                "1.00 bar",
                "15 psi",
                [Units::METRIC, Units::US].map(|u| u.bar(1.0).to_string()),
            ),
            (
                "10 kg",
                "22 lb",
                [Units::METRIC, Units::US].map(|u| u.mass(10.0).to_string()),
            ),
        ] {
            assert_eq!(found, [metric, us]);
        }
    }

    #[test]
    fn pressures_come_in_both_units() {
        assert_eq!(Units::METRIC.gauge(2.0), "2.00 bar (29 psi)");
        assert_eq!(Units::US.gauge(2.0), "29 psi (2.00 bar)");
        let comma = Units::METRIC.written(Locale::of("de").unwrap());
        assert_eq!(comma.gauge(2.0), "2,00 bar (29 psi)");
    }

    /// 1 volume is 1.9768 g/L of real gas at 0 °C and one atmosphere (CoolProp 8.0.0).
    #[test]
    fn co2_comes_in_grams_and_in_volumes() {
        assert_eq!(Units::METRIC.co2(7.4), "7.4 g/L (3.7 volumes)");
        assert_eq!(Units::US.co2(7.9), "4.0 volumes (7.9 g/L)");
    }

    #[test]
    fn a_choice_is_written_as_it_is_read() {
        for units in [Units::METRIC, Units::US] {
            assert_eq!(Units::parse(units.as_str()), Some(units));
        }
        assert_eq!(Units::parse("furlongs"), None);
    }
}
