//! What people call the things a plan names by id.

use std::collections::BTreeMap;

use model::dechlorination::Agent;
use scheduler::scenario::{
    ContainerMaterial, GasMethod, GasStationId, KegType, KegTypeId, Material, MaterialId, PotId,
    ProductId, RouteId, Scenario, Setup, StoreId,
};

use super::figures::counted;
use super::units::Units;

/// Looks up what people call pots, kegs, products and the rest.
pub(crate) struct Names<'a> {
    scenario: &'a Scenario,
    names: BTreeMap<(Noun, &'a str), &'a str>,
    units: Units,
}

#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Noun {
    Pot,
    Store,
    Keg,
    Station,
    Route,
    Product,
}

impl<'a> Names<'a> {
    pub(crate) fn of(scenario: &'a Scenario) -> Self {
        let setup = &scenario.setup;
        let pots = setup
            .pots
            .iter()
            .map(|x| ((Noun::Pot, x.id.as_str()), x.name.as_str()));
        let stores = setup.cold_stores.iter();
        let stores = stores.map(|x| ((Noun::Store, x.id.as_str()), x.name.as_str()));
        let kegs = setup.keg_types.iter();
        let kegs = kegs.map(|x| ((Noun::Keg, x.id.as_str()), x.name.as_str()));
        let stations = setup.gas_stations.iter();
        let stations = stations.map(|x| ((Noun::Station, x.id.as_str()), x.name.as_str()));
        let routes = setup.routes.iter();
        let routes = routes.map(|x| ((Noun::Route, x.id.as_str()), x.name.as_str()));
        let products = setup.products.iter();
        let products = products.map(|x| ((Noun::Product, x.id.as_str()), x.name.as_str()));
        let names = pots
            .chain(stores)
            .chain(kegs)
            .chain(stations)
            .chain(routes)
            .chain(products)
            .collect();
        Self {
            scenario,
            names,
            units: Units::METRIC,
        }
    }

    /// The same, for people who read other units.
    pub(crate) fn reading(self, units: Units) -> Self {
        Self { units, ..self }
    }

    /// How numbers and dates are written here.
    pub(crate) fn reads(&self) -> Units {
        self.units
    }

    /// A volume with its unit.
    pub(crate) fn litres(&self, litres: f64) -> String {
        self.units.litres(litres).to_string()
    }

    /// A small volume with its unit, to the hundredth of a litre.
    pub(crate) fn dose(&self, litres: f64) -> String {
        self.units.dose(litres).to_string()
    }

    /// A temperature with its unit.
    pub(crate) fn degrees(&self, c: f64) -> String {
        self.units.degrees(c).to_string()
    }

    /// A mass of ice or CO2 with its unit.
    pub(crate) fn mass(&self, kg: f64) -> String {
        self.units.mass(kg).to_string()
    }

    /// A gauge pressure in both units regulators show.
    pub(crate) fn pressure(&self, bar: f64) -> String {
        self.units.gauge(bar)
    }

    fn name<'s>(&'s self, noun: Noun, id: &'s str) -> &'s str {
        self.names.get(&(noun, id)).copied().unwrap_or(id)
    }

    pub(crate) fn pot<'s>(&'s self, id: &'s PotId) -> &'s str {
        self.name(Noun::Pot, id.as_str())
    }

    pub(crate) fn store<'s>(&'s self, id: &'s StoreId) -> &'s str {
        self.name(Noun::Store, id.as_str())
    }

    pub(crate) fn keg<'s>(&'s self, id: &'s KegTypeId) -> &'s str {
        self.name(Noun::Keg, id.as_str())
    }

    pub(crate) fn station<'s>(&'s self, id: &'s GasStationId) -> &'s str {
        self.name(Noun::Station, id.as_str())
    }

    /// The setup that is spoken of.
    pub(crate) fn scenario(&self) -> &'a Scenario {
        self.scenario
    }

    pub(crate) fn setup(&self) -> &'a Setup {
        &self.scenario.setup
    }

    pub(crate) fn route<'s>(&'s self, id: &'s RouteId) -> &'s str {
        self.name(Noun::Route, id.as_str())
    }

    pub(crate) fn product<'s>(&'s self, id: &'s ProductId) -> &'s str {
        self.name(Noun::Product, id.as_str())
    }

    /// `3 kegs (19 L steel keg)`, `12 bottles (1.5 L bottle)`.
    pub(crate) fn containers(&self, count: u32, id: &KegTypeId) -> String {
        let noun = match self.keg_type(id).map(|k| k.material) {
            Some(ContainerMaterial::Pet) => "bottle",
            _ => "keg",
        };
        format!("{} ({})", counted(count, noun), self.keg(id))
    }

    /// The same, by the crate where there are crates.
    pub(crate) fn filled(&self, count: u32, id: &KegTypeId) -> String {
        let each = self.keg_type(id).map_or(1, |k| k.filled_together());
        if each < 2 {
            return self.containers(count, id);
        }
        let crates = count / u32::from(each);
        format!(
            "{} of {}",
            counted(crates, "crate"),
            self.containers(u32::from(each), id)
        )
    }

    fn keg_type(&self, id: &KegTypeId) -> Option<&KegType> {
        let mut types = self.scenario.setup.keg_types.iter();
        types.find(|k| k.id == *id)
    }

    fn material_of(&self, id: &str) -> Option<&Material> {
        let mut materials = self.scenario.setup.materials.iter();
        materials.find(|m| m.id.as_str() == id)
    }

    /// What people call a material.
    pub(crate) fn material<'s>(&'s self, id: &'s str) -> &'s str {
        self.material_of(id).map_or(id, |m| m.name.as_str())
    }

    /// An amount of a material with its unit.
    pub(crate) fn amount(&self, id: &MaterialId, amount: f64) -> String {
        let unit = self.material_of(id.as_str()).map(|m| m.unit.symbol());
        format!("{} {}", self.units.number(amount), unit.unwrap_or(""))
    }

    /// Whether kegs at this station are shaken by hand.
    pub(crate) fn is_shaken(&self, id: &GasStationId) -> bool {
        let mut stations = self.scenario.setup.gas_stations.iter();
        stations.any(|s| s.id == *id && matches!(s.method, GasMethod::Shaken { .. }))
    }

    /// Whether water runs into kegs through a hose, and does not fall.
    pub(crate) fn fills_by_hose(&self) -> bool {
        self.scenario.policy.fall_m.is_none()
    }

    /// What removes the chlorine.
    pub(crate) fn agent(&self) -> &'static str {
        match self.scenario.policy.agent {
            Agent::SodiumAscorbate => "sodium ascorbate",
            Agent::AscorbicAcid => "ascorbic acid",
        }
    }
}
