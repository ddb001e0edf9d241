//! What a setup may be and is yet dangerous. It is told when the setup is stored, and again beside the
//! work of a plan; what nobody should do at all is refused by [`Scenario::check`].

use model::limits::{self, SealedKeg};
use model::{GaugePressure, SugarContent, Temperature, Volume};

use crate::plan::{Caution, CautionKind};
use crate::recipe::{atmosphere, goes_into, held_at};
use crate::scenario::{ColdStore, KegType, Product, Scenario};

/// A keg rating over this many times that of a usual steel keg is taken to be a slip of the pen
/// (common practice, no source: kegs are stamped for 4 to 9 bar).
const UNUSUAL: f64 = 1.5;

/// Something dangerous, and the field that makes it so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Danger {
    /// Path of the field, such as `setup.cold_stores[0].air_c`.
    pub field: String,
    /// What to mind.
    pub caution: Caution,
}

/// Everything in a scenario that may be so and is yet dangerous, in the order of its fields.
///
/// ```
/// let mut scenario = scheduler::sample::fixed();
/// assert!(scheduler::check::dangers(&scenario).is_empty());
/// scenario.setup.cold_stores[0].air_c = model::Temperature::of(-0.9);
/// let found = scheduler::check::dangers(&scenario);
/// assert_eq!(found[0].field, "setup.cold_stores[0].air_c");
/// ```
#[must_use]
pub fn dangers(scenario: &Scenario) -> Vec<Danger> {
    let setup = &scenario.setup;
    let mut found = Vec::new();
    let mut add = |field: String, caution: Option<Caution>| {
        found.extend(caution.map(|caution| Danger { field, caution }));
    };
    add(
        "site.water.total_chlorine_mg_per_l".to_owned(),
        chlorine(scenario),
    );
    for (n, store) in setup.cold_stores.iter().enumerate() {
        add(format!("setup.cold_stores[{n}].air_c"), freezing(store));
    }
    for (n, keg) in setup.keg_types.iter().enumerate() {
        add(format!("setup.keg_types[{n}].rating_bar"), rating(keg));
    }
    for (n, product) in setup.products.iter().enumerate() {
        let kegs = setup.keg_types.iter().filter(|keg| goes_into(product, keg));
        let stores = || setup.cold_stores.iter();
        let mut warm = kegs.flat_map(|keg| stores().map(move |store| (keg, store)));
        let first = warm.find_map(|(keg, store)| left_to_warm(scenario, (product, keg, store)));
        add(format!("setup.products[{n}].carbonation_g_per_l"), first);
    }
    found
}

/// Tap water that holds more chlorine than drinking water may.
pub(crate) fn chlorine(scenario: &Scenario) -> Option<Caution> {
    let found = scenario.site.water.total_chlorine_mg_per_l;
    let verdict = limits::CHLORINE.judge(found.milligrams_per_litre());
    (!verdict.accepted).then(|| {
        let (most, source) = (verdict.limit.value, verdict.limit.source);
        say(
            CautionKind::Food,
            format!(
                "{found} of chlorine are more than the {most} mg/L that drinking water may hold \
                 ({source}): measure again, and do not use water that really holds so much."
            ),
        )
    })
}

/// A store in which plain water freezes if it stands for long enough.
pub(crate) fn freezing(store: &ColdStore) -> Option<Caution> {
    let verdict = limits::freezing(store.air_c, SugarContent::of(0.0)).ok()?;
    (!verdict.accepted).then(|| {
        say(
            CautionKind::Pressure,
            format!(
                "\"{}\" has {}: water freezes in it if it stands for long enough, and ice bursts \
                 kegs and lines. Set it to 1 °C or more.",
                store.id, store.air_c
            ),
        )
    })
}

/// A rating that no keg is stamped with.
fn rating(keg: &KegType) -> Option<Caution> {
    let usual = GaugePressure::from_psi(limits::STEEL_KEG_RATING.value).ok()?;
    let usual = usual.bar();
    (keg.rating_bar.bar() > usual * UNUSUAL).then(|| {
        say(
            CautionKind::Pressure,
            format!(
                "{} is more than kegs are made for (a steel keg is stamped {usual:.0} bar): read \
                 the stamp of \"{}\" again. It decides what the keg is brought to.",
                keg.rating_bar, keg.id
            ),
        )
    })
}

/// A keg that, sealed and left in the room, passes 80 % of what it is stamped for.
pub(crate) fn left_to_warm(
    scenario: &Scenario,
    (product, keg, store): (&Product, &KegType, &ColdStore),
) -> Option<Caution> {
    let room = scenario.site.room_c;
    let sealed = SealedKeg {
        brim: Volume::new(keg.brim_l.litres()).ok()?,
        liquid: Volume::new(keg.fill_l.litres()).ok()?,
        temperature: store.air_c,
        held: held_at(scenario, product, store.air_c).ok()?,
        sugar: product.sugar_brix,
        atmosphere: atmosphere(scenario).ok()?,
    };
    let warm = |at: Temperature| limits::warm_pressure(&sealed, at);
    let reached = match warm(room) {
        Ok(bar) if limits::vessel(keg.rating_bar, bar).accepted => return None,
        Ok(bar) => format!("{:.1} bar", bar.bar()),
        // More than the equations answer is more than any keg takes.
        Err(_) => "more than any keg takes".to_owned(),
    };
    Some(say(
        CautionKind::Pressure,
        format!(
            "A sealed \"{}\" of {} that warms to the room's {room} comes to {reached}; it is \
             stamped for {}, and 80 % of that is allowed. Never let it stand warm; vent it if it \
             has to.",
            keg.id, product.id, keg.rating_bar
        ),
    ))
}

fn say(kind: CautionKind, text: String) -> Caution {
    Caution { kind, text }
}

#[cfg(test)]
mod tests {
    use model::{Carbonation, ChlorineResidual};

    use super::*;

    /// The dangers of the demo after one change.
    fn after(change: impl Fn(&mut Scenario)) -> Vec<String> {
        let mut scenario = crate::sample::fixed();
        change(&mut scenario);
        dangers(&scenario).into_iter().map(|d| d.field).collect()
    }

    #[test]
    fn each_danger_names_its_field() {
        assert_eq!(after(|_| ()), Vec::<String>::new());
        assert_eq!(
            after(|s| s.site.water.total_chlorine_mg_per_l = ChlorineResidual::of(50.0)),
            ["site.water.total_chlorine_mg_per_l"]
        );
        assert_eq!(
            after(|s| s.setup.cold_stores[1].air_c = Temperature::of(-0.9)),
            ["setup.cold_stores[1].air_c"]
        );
        assert_eq!(
            after(|s| s.setup.keg_types[0].rating_bar = GaugePressure::of(40.0)),
            ["setup.keg_types[0].rating_bar"]
        );
    }

    /// 14 g/L at 2 °C need some 3.6 bar on the gauge (solubility of Weiss 1974), which more than
    /// doubles in a room of 23 °C: over 80 % of 9 bar. The demo's 8.2 g/L stay below.
    #[test]
    fn a_strong_drink_must_not_stand_warm() {
        let strong = after(|s| s.setup.products[0].carbonation_g_per_l = Carbonation::of(14.0));
        assert_eq!(strong, ["setup.products[0].carbonation_g_per_l"]);
    }
}
