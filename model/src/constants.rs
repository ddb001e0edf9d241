//! Constants of nature and of matter, each written once.

/// Molar gas constant, J/(mol K). CODATA 2018 (exact).
pub(crate) const GAS_CONSTANT: f64 = 8.314_462_618;
/// Molar gas constant, cm³ bar/(mol K).
pub(crate) const GAS_CONSTANT_CM3_BAR: f64 = 83.144_626_18;
/// One standard atmosphere, bar.
pub(crate) const ATMOSPHERE_BAR: f64 = 1.013_25;
/// Standard gravity, m/s².
pub(crate) const GRAVITY: f64 = 9.806_65;
/// Stefan–Boltzmann constant, W/(m² K⁴). CODATA 2018.
pub(crate) const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-8;

/// Molar mass of CO2, g/mol.
pub(crate) const CO2_MOLAR_MASS: f64 = 44.0095;
/// Molar mass of water, g/mol.
pub(crate) const WATER_MOLAR_MASS: f64 = 18.015_28;
/// Molar mass of nitrogen, g/mol.
pub(crate) const NITROGEN_MOLAR_MASS: f64 = 28.0134;
/// Molar mass of oxygen, g/mol.
pub(crate) const OXYGEN_MOLAR_MASS: f64 = 31.9988;
/// Molar mass of argon, g/mol.
pub(crate) const ARGON_MOLAR_MASS: f64 = 39.948;

/// Heat capacity of stainless steel, J/(kg K): EN 10088-1, grades 1.4301 and 1.4401 at ambient
/// temperature (as quoted on a public page).
pub(crate) const STEEL_HEAT_CAPACITY: f64 = 500.0;
