//! What a setup may be and is yet dangerous. It is told when the setup is stored, and again beside the
//! work of a plan; what nobody should do at all is refused by [`Scenario::check`].

use model::limits::{self, SealedKeg};
use model::{GaugePressure, Mass, SugarContent, Temperature, Volume};
use serde::Serialize;
use utoipa::ToSchema;

use crate::plan::{Caution, CautionKind};
use crate::recipe::{atmosphere, goes_into, held_at};
use crate::scenario::{ColdStore, KegType, Product, Scenario};

/// A keg rating over this many times that of a usual steel keg is taken to be a slip of the pen
/// (common practice, no source: kegs are stamped for 4 to 9 bar).
const UNUSUAL: f64 = 1.5;

/// As warm as a kitchen or a van gets on a hot day: what a sealed keg has to stand wherever it is
/// left (common practice, no source).
const HOT_DAY: Temperature = Temperature::of(30.0);

/// Water warmer than this is not gassed behind a bar (common practice, no source: 1 to 5 °C, and
/// never warmer than a cellar).
const WARM_GASSING: Temperature = Temperature::of(10.0);

/// Rooms smaller than this are no rooms to stand a cylinder in (common practice, no source): one
/// that is harmless even there is not asked about.
const SMALL_ROOM_M3: f64 = 10.0;

/// Something dangerous, and the field that makes it so.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct Danger {
    /// Path of the field, such as `setup.cold_stores[0].air_c`.
    #[schema(example = "setup.cold_stores[0].air_c")]
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
    add("policy.gas_at_c".to_owned(), warm_gassing(scenario));
    add("setup.cylinder_room".to_owned(), room(scenario));
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
pub(crate) fn rating(keg: &KegType) -> Option<Caution> {
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

/// A room that the gas of one full cylinder makes dangerous, where nothing gives alarm.
pub(crate) fn room(scenario: &Scenario) -> Option<Caution> {
    let cylinder = scenario.setup.costs.co2_cylinder_kg;
    let mass = Mass::new(cylinder.kilograms()).ok()?;
    let (lasting, at_once) = (limits::NIOSH_CEILING_15_MINUTES, limits::IMMEDIATE_DANGER);
    let text = match &scenario.setup.cylinder_room {
        None => {
            let gas_m3 = limits::released(mass).ok()?.litres() / 1e3;
            let reaches = |ppm: f64| gas_m3 / (ppm / 1e6);
            if reaches(lasting.value) < SMALL_ROOM_M3 {
                return None;
            }
            format!(
                "How large is the room the CO2 stands in? A full cylinder of {cylinder} that leaks \
                 brings one of less than {:.0} m³ over {} ppm ({}), and one of less than {:.0} m³ \
                 over {} ppm, which kills ({}). Say its volume, and have an alarm there.",
                reaches(lasting.value),
                lasting.value,
                lasting.source,
                reaches(at_once.value),
                at_once.value,
                at_once.source,
            )
        }
        Some(room) => {
            let volume = Volume::new(room.volume_m3.cubic_metres() * 1e3).ok()?;
            let ppm = limits::room_after_release(mass, volume).ok()?.ppm();
            if lasting.judge(ppm).accepted || room.co2_alarm {
                return None;
            }
            let passed = if at_once.judge(ppm).accepted {
                lasting
            } else {
                at_once
            };
            format!(
                "A full cylinder of {cylinder} that leaks brings the {} it stands in to {:.1} % of \
                 CO2; {} % are allowed ({}, {}). Put up a CO2 alarm, and ventilate.",
                room.volume_m3,
                ppm / 1e4,
                passed.value / 1e4,
                passed.what,
                passed.source,
            )
        }
    };
    Some(say(CautionKind::CarbonDioxide, text))
}

/// Water that is gassed warm: it takes a pressure that grows with the temperature.
pub(crate) fn warm_gassing(scenario: &Scenario) -> Option<Caution> {
    let warm = scenario.policy.gas_at_c;
    if warm <= WARM_GASSING {
        return None;
    }
    let products = scenario.setup.products.iter();
    let strongest = products.max_by(|a, b| {
        let content = |p: &Product| p.carbonation_g_per_l.grams_per_litre();
        content(a).total_cmp(&content(b))
    })?;
    let bar = |at: Temperature| held_at(scenario, strongest, at).map(GaugePressure::bar);
    let cold = Temperature::of(4.0);
    let pressures = match (bar(warm), bar(cold)) {
        (Ok(warm), Ok(cold)) => format!(": {warm:.1} bar where {cold:.1} bar do at 4 °C"),
        // More than the equations answer.
        _ => String::new(),
    };
    Some(say(
        CautionKind::Pressure,
        format!(
            "Water of up to {warm} may be gassed. \"{}\" then takes a high pressure{pressures}, and \
             foams when it is opened. Gas it at 1 to 5 °C (common practice).",
            strongest.id
        ),
    ))
}

/// A keg that, sealed and left in the room on a hot day, passes 80 % of what it is stamped for.
pub(crate) fn left_to_warm(
    scenario: &Scenario,
    (product, keg, store): (&Product, &KegType, &ColdStore),
) -> Option<Caution> {
    let room = if scenario.site.room_c > HOT_DAY {
        scenario.site.room_c
    } else {
        HOT_DAY
    };
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
            "A sealed \"{}\" of {} that warms to {room}, as on a hot day, comes to {reached}; it is \
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
    use crate::scenario::CylinderRoom;
    use crate::scenario::quantities::{CylinderRoomVolume, StockMass};

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
            after(|s| s.setup.keg_types[0].rating_bar = GaugePressure::of(15.0)),
            ["setup.keg_types[0].rating_bar"]
        );
        assert_eq!(
            after(|s| s.policy.gas_at_c = Temperature::of(25.0)),
            ["policy.gas_at_c"]
        );
    }

    /// What is said of the room of a cylinder, kg, in so many m³, with or without an alarm.
    fn told(kg: f64, room: Option<(f64, bool)>) -> Option<String> {
        let mut scenario = crate::sample::fixed();
        scenario.setup.costs.co2_cylinder_kg = StockMass::of(kg);
        scenario.setup.cylinder_room = room.map(|(m3, co2_alarm)| CylinderRoom {
            volume_m3: CylinderRoomVolume::of(m3),
            co2_alarm,
        });
        room_of(&scenario)
    }

    fn room_of(scenario: &Scenario) -> Option<String> {
        super::room(scenario).map(|caution| caution.text)
    }

    /// 1 kg is 543.5 L at 20 °C and one atmosphere: 37.5 kg are 20.4 m³, which is 3 % of 680 m³ and
    /// 4 % of 510 m³; 9 kg in 60 m³ are 8.2 % (density of CO2 by CoolProp 8.0.0: 1.8393 kg/m³).
    #[test]
    fn a_room_is_asked_about_and_judged() {
        let asked = told(37.5, None).unwrap();
        assert!(asked.contains("less than 680 m³") && asked.contains("less than 510 m³"));
        let small = told(9.0, Some((60.0, false))).unwrap();
        assert!(
            small.contains("to 8.2 % of CO2; 4 % are allowed"),
            "{small}"
        );
        let larger = told(9.0, Some((150.0, false))).unwrap();
        assert!(larger.contains("3 % are allowed"), "{larger}");
        assert_eq!(told(9.0, Some((60.0, true))), None);
        assert_eq!(told(9.0, Some((200.0, false))), None);
        assert_eq!(told(0.4, None), None);
    }

    /// By Weiss 1974 8.2 g/L need about 1.9 bar on the gauge at 4 °C and 4.7 bar at 25 °C.
    #[test]
    fn warm_gassing_says_what_it_takes() {
        let mut scenario = crate::sample::fixed();
        scenario.policy.gas_at_c = Temperature::of(25.0);
        let text = warm_gassing(&scenario).unwrap().text;
        assert!(text.contains("where 1.9 bar do at 4 °C"), "{text}");
        scenario.policy.gas_at_c = Temperature::of(10.0);
        assert_eq!(warm_gassing(&scenario), None);
    }

    /// 14 g/L at 2 °C need some 3.6 bar on the gauge (solubility of Weiss 1974), which more than
    /// doubles at 30 °C: over 80 % of 9 bar. The demo's 8.2 g/L stay below.
    #[test]
    fn a_strong_drink_must_not_stand_warm() {
        let strong = after(|s| s.setup.products[0].carbonation_g_per_l = Carbonation::of(14.0));
        assert_eq!(strong, ["setup.products[0].carbonation_g_per_l"]);
    }
}
