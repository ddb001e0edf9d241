//! What people call the fields of the setup, in the order in which they would tell them.

use super::super::schema::label;

/// Fields and what people call them. Those that are not here are called by the contract's name and
/// come after those that are.
const NAMES: [(&str, &str); 102] = [
    ("name", "Name"),
    ("id", "Short name, for other systems"),
    // Pots and circuits.
    ("volume_l", "Holds"),
    ("smallest_fill_l", "Least water"),
    ("power_w", "Heating power"),
    ("efficiency", "Part of the heat that reaches the water"),
    ("circuit", "On the circuit or burner"),
    // Stores.
    ("air_c", "Air temperature"),
    ("places", "Places in the cold"),
    ("cooling_w", "Cooling power to spare"),
    ("air_speed_m_per_s", "Speed of the air over the kegs"),
    // Ice.
    ("rate_kg_per_h", "Ice made in an hour"),
    ("bin_kg", "The bin holds"),
    ("temperature_c", "Temperature of the ice"),
    ("from_treated_water", "Made from water without chlorine"),
    ("factor", "Ice really used over ice needed"),
    ("air_mg_per_kg", "Air in the ice"),
    ("bar_draw", "What the bar takes"),
    ("purchase", "Buying more"),
    ("price_per_kg", "Price of a kilogram, delivered"),
    ("fee", "Price of a delivery"),
    ("largest_kg", "Most in one delivery"),
    ("lead_min", "From order to delivery"),
    ("delivered", "Delivered"),
    ("kg", "How much"),
    // Kegs.
    ("material", "Material"),
    ("fill_l", "Filled with"),
    ("brim_l", "Holds up to the lid"),
    ("rating_bar", "Pressure stamped on it"),
    ("empty_kg", "Weight, empty"),
    ("diameter_m", "Diameter"),
    ("height_m", "Height"),
    ("hottest_fill_c", "Hottest water it may be filled with"),
    ("per_crate", "Bottles in a crate"),
    ("fill_min", "Hands to fill one"),
    // Gassing points.
    ("connections", "Kegs coupled at once"),
    ("method", "How the CO2 gets in"),
    ("highest_bar", "Highest pressure of the regulator"),
    ("hours", "Hours a keg may rest"),
    ("kla_per_s", "How fast shaking takes CO2 up (kLa)"),
    ("couple_min", "Hands to couple a keg"),
    ("uncouple_min", "Hands to take a keg off"),
    ("keg_types", "Kegs"),
    ("stores", "Stores"),
    ("pots", "Pots"),
    // Routes.
    ("heat_to_c", "Heated to"),
    ("hold_min", "Kept there"),
    ("chill", "Chilled by"),
    ("to_c", "Chilled to"),
    ("conductance_w_per_k", "Heat the pot gives to the bath"),
    ("extra_ice_kg", "Ice lost around the pot, a boil"),
    // Products.
    ("carbonation_g_per_l", "CO2 in the drink"),
    ("sugar_brix", "Sugar in the drink"),
    ("syrup", "Syrup"),
    ("ml_per_l", "Syrup in a litre of drink"),
    ("per_l", "In a litre of drink"),
    ("ingredients", "What else goes in"),
    ("shelf_days", "Keeps after gassing"),
    ("on_tap_h", "Good on tap for"),
    ("gas_stations", "Gassing points"),
    ("substitutes", "What may stand in for it"),
    ("safety", "What should always stand ready"),
    ("product", "Product"),
    ("litres", "Litres"),
    ("price_per_l", "What a litre counts for"),
    // Crew.
    ("shifts", "Shifts"),
    ("days", "Days"),
    ("at", "At"),
    ("from", "From"),
    ("until", "Until"),
    ("to", "To"),
    ("hands", "People"),
    ("breaks", "Breaks"),
    ("closed", "Closed on"),
    ("start_boil_min", "Hands to start a boil"),
    ("chill_min", "Hands to chill a boil"),
    ("fill_keg_min", "Hands to fill a keg"),
    ("stations", "Kegs washed at once"),
    ("minutes", "A wash takes"),
    ("hands_min", "Hands for each keg"),
    // Cylinders.
    ("coupled", "Cylinders coupled at once"),
    ("residual_kg", "Left in one that is changed"),
    ("volume_m3", "Volume of the room, m³"),
    ("co2_alarm", "Has a CO2 alarm"),
    ("change_min", "Hands to change one"),
    // Policy.
    ("gas_at_c", "Warmest water that is gassed"),
    ("purges", "Purges before gassing"),
    ("purge_bar", "Purged at"),
    ("tap_c", "Temperature at the tap"),
    ("fall_m", "Water falls into a keg from"),
    ("blanket_bar", "Filled kegs are kept under"),
    ("blanket_min", "Hands to put a keg under CO2"),
    ("blanket_connections", "Connections for kegs that wait"),
    ("agent", "What takes out the chlorine"),
    ("agent_margin", "Agent over the exact dose"),
    ("serving_loss", "Lost to foam and lines"),
    ("service_h", "A service lasts"),
    ("short_per_l", "What a litre that is not served counts for"),
    ("water_stands_min", "Chilled water may stand for"),
    // Costs.
    ("hands_per_h", "An hour of work"),
    ("heat_per_kwh", "A kilowatt hour of heat"),
    ("co2_per_kg", "A kilogram of CO2"),
];

/// What people call a field of a unit.
pub(super) fn called(name: &str, unit: &str) -> String {
    let known = NAMES.iter().find(|(field, _)| *field == name);
    known.map_or_else(|| label(name, unit), |(_, said)| (*said).to_owned())
}

/// Where a field comes among others.
pub(super) fn place(name: &str) -> usize {
    let place = NAMES.iter().position(|(field, _)| *field == name);
    place.unwrap_or(NAMES.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_field_has_one_name_and_stands_where_it_is_told() {
        let fields: std::collections::BTreeSet<_> = NAMES.iter().map(|(field, _)| field).collect();
        assert_eq!(fields.len(), NAMES.len());
        assert_eq!(
            called("kla_per_s", "1/s"),
            "How fast shaking takes CO2 up (kLa)"
        );
        assert_eq!(called("wash_per_keg", "money"), "Wash per keg");
        assert!(place("volume_l") < place("power_w") && place("power_w") < place("wash_per_keg"));
    }
}
