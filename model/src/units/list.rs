//! Every unit, declared once: its name, symbol, kind and size.

use uom::si::{
    area, energy, f64 as si, length, mass, mass_rate, pressure, velocity, volume, volume_rate,
};

use crate::Carbonation;

/// The size of a unit in the SI unit, by `uom`.
macro_rules! size {
    ($Quantity:ident, $module:ident :: $unit:ident, $base:ident) => {
        si::$Quantity::new::<$module::$unit>(1.0).get::<$module::$base>()
    };
}

macro_rules! units {
    (
        $($Kind:ident($kind:literal) in $Si:ident {
            $($Unit:ident: $name:tt, $symbol:literal, $size:expr;)+
        })+
    ) => {
        /// What a unit measures.
        ///
        /// ```
        /// use model::units::{Kind, Unit};
        ///
        /// assert_eq!(Kind::Pressure.si(), Unit::Pa);
        /// ```
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Kind {
            $(#[doc = $kind] $Kind,)+
        }

        /// A unit, named as fields end.
        ///
        /// ```
        /// use model::units::Unit;
        ///
        /// assert_eq!(Unit::UsGal.symbol(), "US gal");
        /// ```
        #[derive(
            Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize,
            utoipa::ToSchema,
        )]
        pub enum Unit {
            $($(#[doc = $symbol] #[serde(rename = $name)] $Unit,)+)+
        }

        impl Kind {
            /// The unit of the SI.
            #[must_use]
            pub const fn si(self) -> Unit {
                match self { $(Self::$Kind => Unit::$Si,)+ }
            }

            /// What it is called.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$Kind => $kind,)+ }
            }
        }

        impl Unit {
            /// Every unit there is.
            pub const ALL: [Self; [$($(stringify!($Unit)),+),+].len()] = [$($(Self::$Unit),+),+];

            /// What it measures.
            #[must_use]
            pub const fn kind(self) -> Kind {
                match self { $($(Self::$Unit => Kind::$Kind,)+)+ }
            }

            /// The name used in fields.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $($(Self::$Unit => $name,)+)+ }
            }

            /// How it is written beside a number.
            #[must_use]
            pub const fn symbol(self) -> &'static str {
                match self { $($(Self::$Unit => $symbol,)+)+ }
            }

            fn size(self) -> f64 {
                match self { $($(Self::$Unit => $size,)+)+ }
            }
        }
    };
}

units! {
    Temperature("temperature") in K {
        K: "k", "K", 1.0;
        C: "c", "°C", 1.0;
        F: "f", "°F", 5.0 / 9.0;
    }
    TemperatureDifference("temperature difference") in DifferenceK {
        DifferenceK: "difference_k", "K", 1.0;
        DifferenceF: "difference_f", "°F difference", 5.0 / 9.0;
    }
    Pressure("pressure") in Pa {
        Pa: "pa", "Pa", 1.0;
        Hpa: "hpa", "hPa", 100.0;
        Kpa: "kpa", "kPa", 1000.0;
        Bar: "bar", "bar", 1e5;
        Atm: "atm", "atm", 101_325.0;
        Psi: "psi", "psi", size!(Pressure, pressure::psi, pascal);
        InHg: "inhg", "inHg at 0 °C", size!(Pressure, pressure::inch_of_mercury_32, pascal);
    }
    Volume("volume") in M3 {
        M3: "m3", "m³", 1.0;
        L: "l", "L", 1e-3;
        Ml: "ml", "mL", 1e-6;
        UsGal: "us_gal", "US gal", size!(Volume, volume::gallon, cubic_meter);
        UsFlOz: "us_fl_oz", "US fl oz", size!(Volume, volume::fluid_ounce, cubic_meter);
        Ft3: "ft3", "ft³", size!(Volume, volume::cubic_foot, cubic_meter);
    }
    Mass("mass") in Kg {
        Kg: "kg", "kg", 1.0;
        G: "g", "g", 1e-3;
        Lb: "lb", "lb", size!(Mass, mass::pound, kilogram);
        Oz: "oz", "oz", size!(Mass, mass::ounce, kilogram);
    }
    Time("time") in S {
        S: "s", "s", 1.0;
        Min: "min", "min", 60.0;
        H: "h", "h", 3600.0;
        D: "d", "d", 86_400.0;
    }
    Length("length") in M {
        M: "m", "m", 1.0;
        Mm: "mm", "mm", 1e-3;
        Ft: "ft", "ft", size!(Length, length::foot, meter);
        Inch: "inch", "in", size!(Length, length::inch, meter);
    }
    Area("area") in M2 {
        M2: "m2", "m²", 1.0;
        Ft2: "ft2", "ft²", size!(Area, area::square_foot, square_meter);
    }
    Speed("speed") in MPerS {
        MPerS: "m_per_s", "m/s", 1.0;
        CmPerH: "cm_per_h", "cm/h", 0.01 / 3600.0;
        FtPerMin: "ft_per_min", "ft/min", size!(Velocity, velocity::foot_per_minute, meter_per_second);
    }
    Power("power") in W {
        W: "w", "W", 1.0;
        BtuPerH: "btu_per_h", "Btu(IT)/h", size!(Energy, energy::btu_it, joule) / 3600.0;
    }
    Energy("energy") in J {
        J: "j", "J", 1.0;
        Kwh: "kwh", "kWh", 3.6e6;
        Btu: "btu", "Btu(IT)", size!(Energy, energy::btu_it, joule);
    }
    Conductance("conductance") in WPerK {
        WPerK: "w_per_k", "W/K", 1.0;
        BtuPerHF: "btu_per_h_f", "Btu(IT)/(h °F)", size!(Energy, energy::btu_it, joule) / 3600.0 * 1.8;
    }
    SpecificEnergy("energy per mass") in JPerKg {
        JPerKg: "j_per_kg", "J/kg", 1.0;
        KjPerKg: "kj_per_kg", "kJ/kg", 1000.0;
        BtuPerLb: "btu_per_lb", "Btu(IT)/lb", size!(Energy, energy::btu_it, joule) / size!(Mass, mass::pound, kilogram);
    }
    Concentration("mass per volume") in KgPerM3 {
        KgPerM3: "kg_per_m3", "kg/m³", 1.0;
        GPerL: "g_per_l", "g/L", 1.0;
        MgPerL: "mg_per_l", "mg/L", 1e-3;
        KgPerL: "kg_per_l", "kg/L", 1000.0;
        LbPerUsGal: "lb_per_us_gal", "lb/US gal",
            size!(Mass, mass::pound, kilogram) / size!(Volume, volume::gallon, cubic_meter);
        Volumes: "volumes", "volumes of CO2, real gas at 0 °C and 1 atm", Carbonation::VOLUME;
        IdealVolumes: "ideal_volumes", "volumes of CO2, ideal gas at 0 °C and 1 atm",
            Carbonation::IDEAL_VOLUME;
        WarmVolumes: "volumes_at_15_c", "volumes of CO2, real gas at 15 °C and 1 atm",
            Carbonation::WARM_VOLUME;
    }
    MassFlow("mass flow") in KgPerS {
        KgPerS: "kg_per_s", "kg/s", 1.0;
        KgPerH: "kg_per_h", "kg/h", 1.0 / 3600.0;
        GPerD: "g_per_d", "g/d", 1e-3 / 86_400.0;
        LbPerH: "lb_per_h", "lb/h", size!(MassRate, mass_rate::pound_per_hour, kilogram_per_second);
    }
    VolumeFlow("volume flow") in M3PerS {
        M3PerS: "m3_per_s", "m³/s", 1.0;
        LPerMin: "l_per_min", "L/min", 1e-3 / 60.0;
        UsGalPerMin: "us_gal_per_min", "US gal/min",
            size!(VolumeRate, volume_rate::gallon_per_minute, cubic_meter_per_second);
        Ft3PerH: "ft3_per_h", "ft³/h", size!(Volume, volume::cubic_foot, cubic_meter) / 3600.0;
    }
    Rate("rate") in PerS {
        PerS: "per_s", "1/s", 1.0;
        PerH: "per_h", "1/h", 1.0 / 3600.0;
    }
    Share("share") in PerOne {
        PerOne: "per_one", "1", 1.0;
        Percent: "percent", "%", 0.01;
        Ppm: "ppm", "ppm", 1e-6;
        Brix: "brix", "°Bx (g of sugar in 100 g)", 0.01;
    }
}

impl Unit {
    /// What is added to a value before it is scaled: only temperatures have a
    /// zero of their own.
    const fn shift(self) -> f64 {
        match self {
            Self::C => 273.15,
            Self::F => 459.67,
            _ => 0.0,
        }
    }

    pub(super) fn to_si(self, value: f64) -> f64 {
        (value + self.shift()) * self.size()
    }

    pub(super) fn of_si(self, value: f64) -> f64 {
        value / self.size() - self.shift()
    }
}
