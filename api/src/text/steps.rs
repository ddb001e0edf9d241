//! One thing to do, as sentences with numbers a person can act on.

use chrono::{DateTime, FixedOffset};
use scheduler::plan::{
    BoilStep, CautionKind, CylinderStep, DiscardStep, FillStep, GasStep, IceStep, ReturnStep,
    Source, StaleStep, Step, TapStep, WashStep, WorkId, WorkItem,
};

use super::co2_range;
use super::figures::{counted, duration};
use super::names::Names;
use super::visits;

/// What to do, in a few words.
pub(crate) fn headline(names: &Names<'_>, step: &Step) -> String {
    match step {
        Step::Boil(BoilStep { pot, route, .. }) => {
            format!("Boil in \"{}\": {}", names.pot(pot), names.route(route))
        }
        Step::Fill(FillStep { keg_type, kegs, .. }) => {
            format!("Fill {}", names.filled(*kegs, keg_type))
        }
        Step::Wash(WashStep { keg_type, kegs }) => {
            format!("Wash and sanitise {}", names.containers(*kegs, keg_type))
        }
        Step::Cylinder(CylinderStep { cylinders, .. }) => {
            format!("Change {}", counted(*cylinders, "CO2 cylinder"))
        }
        Step::Ice(IceStep { kg, .. }) => format!("Take in {} of ordered ice", names.mass(*kg)),
        Step::Gas(_) | Step::Tap(_) | Step::Stale(_) | Step::Return(_) | Step::Discard(_) => {
            with_product(names, step)
        }
    }
}

/// The same for steps that concern a product.
fn with_product(names: &Names<'_>, step: &Step) -> String {
    let of_product = |kegs: &u32, product, keg_type| {
        format!(
            "{} of {}",
            names.containers(*kegs, keg_type),
            names.product(product)
        )
    };
    match step {
        Step::Gas(GasStep {
            product,
            keg_type,
            kegs,
            station,
            ..
        }) => format!(
            "Gas {} on \"{}\"",
            of_product(kegs, product, keg_type),
            names.station(station)
        ),
        Step::Tap(TapStep {
            product,
            keg_type,
            kegs,
            ..
        }) => {
            format!("Take to the tap {}", of_product(kegs, product, keg_type))
        }
        Step::Return(ReturnStep {
            product,
            keg_type,
            kegs,
        }) => {
            format!("Take in, emptied, {}", of_product(kegs, product, keg_type))
        }
        Step::Discard(DiscardStep {
            product,
            keg_type,
            kegs,
            ..
        }) => format!(
            "Empty, past their shelf life, {}",
            of_product(kegs, product, keg_type)
        ),
        Step::Stale(StaleStep {
            product, litres, ..
        }) => format!(
            "Pour away {} of {}, on tap too long",
            names.litres(*litres),
            names.product(product)
        ),
        Step::Boil(_) | Step::Fill(_) | Step::Wash(_) | Step::Ice(_) | Step::Cylinder(_) => {
            String::new()
        }
    }
}

/// What a caution is about, in a word or two.
pub(crate) fn minded(kind: CautionKind) -> &'static str {
    match kind {
        CautionKind::HotWater => "Hot water",
        CautionKind::Pressure => "Pressure",
        CautionKind::CarbonDioxide => "CO2 in the air",
        CautionKind::Food => "Clean hands, clean ice",
        CautionKind::Backflow => "Backflow",
    }
}

/// How to do it, one sentence or two per line.
pub(crate) fn instructions(names: &Names<'_>, item: &WorkItem) -> Vec<String> {
    match &item.step {
        Step::Boil(step) => boil(names, item, step),
        Step::Fill(step) => fill(names, item, step),
        Step::Gas(step) => gas(names, item, step),
        Step::Tap(TapStep {
            store,
            from,
            serve_bar,
            ..
        }) => vec![format!(
            "From \"{}\"{}; serve at {}.",
            names.store(store),
            sources(from),
            names.pressure(*serve_bar)
        )],
        Step::Stale(StaleStep { keg_type, .. }) => {
            vec![format!(
                "It is what is left in a tapped keg ({}).",
                names.keg(keg_type)
            )]
        }
        Step::Return(_) => vec!["Put with what waits for the wash.".to_owned()],
        Step::Discard(DiscardStep { store, .. }) => {
            vec![format!(
                "Out of \"{}\"; then put with what waits for the wash.",
                names.store(store)
            )]
        }
        Step::Wash(_) => Vec::new(),
        Step::Cylinder(CylinderStep { co2_kg_each, .. }) => vec![format!(
            "Take off what is empty. Each full one gives {} before it is changed in its turn.",
            names.mass(*co2_kg_each)
        )],
        Step::Ice(IceStep { order_by, .. }) => {
            vec![format!(
                "Order it by {}.",
                names.reads().time_after(*order_by, item.start)
            )]
        }
    }
}

fn boil(names: &Names<'_>, item: &WorkItem, step: &BoilStep) -> Vec<String> {
    let BoilStep {
        tap_l,
        agent_g,
        agent_ml,
        heat_to_c,
        heating_min,
        hold_min,
        air_mg_per_l,
        chill_at,
        fill_from,
        makes_l,
        left_l,
        ..
    } = step;
    let mut lines = vec![format!(
        "Put in {} of tap water{}. Heat to {} (about {}){}.",
        names.litres(*tap_l),
        agent(names, *agent_g, *agent_ml),
        names.degrees(*heat_to_c),
        duration(*heating_min),
        kept_hot(*hold_min),
    )];
    let at = clock(names, *chill_at, item);
    lines.extend(visits::chilling(names, step).map(|how| format!("{at}: {how}.")));
    let left = if *left_l > 0.05 {
        format!(" Pour away the {} left over.", names.litres(*left_l))
    } else {
        String::new()
    };
    lines.push(format!(
        "Fill from {} on; the pot must be empty by {}. It makes {} with {air} mg/L of \
         air left in it.{left}",
        clock(names, *fill_from, item),
        clock(names, item.end, item),
        names.litres(*makes_l),
        air = names.reads().fixed(*air_mg_per_l, 1)
    ));
    lines
}

fn kept_hot(minutes: f64) -> String {
    match minutes > 0.0 {
        true => format!(" and keep it there for {}", duration(minutes)),
        false => String::new(),
    }
}

/// What removes the chlorine, as it can be measured out; nothing where there is none.
fn agent(names: &Names<'_>, grams: f64, millilitres: Option<f64>) -> String {
    match millilitres {
        Some(ml) => format!(
            ", stir in {} mL of stock solution (10 g of {} in 1 L of water, made today)",
            names.reads().number(ml),
            names.agent()
        ),
        None if grams > 0.0 => format!(
            ", stir in {} g of {}",
            names.reads().fixed(grams, 2),
            names.agent()
        ),
        None => String::new(),
    }
}

fn fill(names: &Names<'_>, item: &WorkItem, step: &FillStep) -> Vec<String> {
    let FillStep {
        from,
        store,
        litres_each,
        at_c,
        blanket,
        cold_at,
        ..
    } = step;
    let from: Vec<&str> = from.iter().map(WorkId::as_str).collect();
    let mut lines = vec![format!(
        "{} into each, at {}, out of {}. Put them into \"{}\"; cold enough to gas from {}.",
        names.litres(*litres_each),
        names.degrees(*at_c),
        from.join(" and "),
        names.store(store),
        clock(names, *cold_at, item)
    )];
    if names.fills_by_hose() {
        lines.push("Fill through a hose that reaches the bottom.".to_owned());
    }
    if let Some(blanket) = blanket {
        lines.push(format!(
            "As soon as the lid is on, purge each {} times to {}, and leave it coupled at {} until \
             it is gassed.",
            blanket.purges,
            names.pressure(blanket.purge_bar),
            names.pressure(blanket.bar)
        ));
    }
    lines
}

fn gas(names: &Names<'_>, item: &WorkItem, step: &GasStep) -> Vec<String> {
    let (store, from) = (names.store(&step.store), sources(&step.from));
    let mut lines = vec![format!("In \"{store}\"{from}.")];
    lines.extend(put_in(names, step));
    lines.push(pressures(names, step));
    if let Some(air) = step.air_mg_per_l {
        let air = names.reads().fixed(air, 1);
        lines.push(format!("Its water holds {air} mg/L of air by then."));
    }
    lines.push(format!(
        "Each takes {} g of CO2 and comes to {target}{sure}. Ready {}.",
        names.reads().number(step.co2_g_each),
        clock(names, step.ready_at, item),
        target = names.reads().co2(step.target_g_per_l),
        sure = match co2_range::of(names.scenario(), step) {
            Some(range) => format!(", {} 19 times of 20", names.reads().co2_between(range)),
            None => String::new(),
        }
    ));
    lines
}

/// What goes into each keg before it is shut.
fn put_in(names: &Names<'_>, step: &GasStep) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some(syrup) = &step.syrup {
        lines.push(format!(
            "Draw {each} of water off each and put in {each} of {}.",
            names.material(syrup.as_str()),
            each = names.dose(step.syrup_l_each)
        ));
    }
    let doses = step.ingredients.iter().map(|dose| {
        let name = names.material(dose.material.as_str());
        let amount = names.amount(&dose.material, dose.amount_each);
        format!("{amount} of {name}")
    });
    let doses: Vec<String> = doses.collect();
    if !doses.is_empty() {
        lines.push(format!("Put {} into each.", doses.join(" and ")));
    }
    lines
}

/// What is set, for how long, and what then. A keg that was purged when it was filled, and has been
/// shut since, is not purged again.
fn pressures(names: &Names<'_>, step: &GasStep) -> String {
    let how = match names.is_shaken(&step.station) {
        true => format!("shake for {}", duration(step.uptake_min)),
        false => format!("leave for {}", duration(step.uptake_min)),
    };
    let then = held(names, step.hold_bar, step.regulator_bar);
    let purge = match step.purges {
        0 => String::new(),
        times => format!(
            "Purge {times} times to {}. ",
            names.pressure(step.purge_bar)
        ),
    };
    let regulator = names.pressure(step.regulator_bar);
    format!("{purge}Set the regulator to {regulator} and {how}. {then}")
}

/// A gauge that is turned down does not let out what is already in the headspace.
fn held(names: &Names<'_>, hold_bar: f64, regulator_bar: f64) -> String {
    let hold = names.pressure(hold_bar);
    match hold_bar < regulator_bar {
        true => format!(
            "Then turn it down to {hold} and vent the headspace until the gauge shows that."
        ),
        false => format!("Then hold at {hold}."),
    }
}

fn clock(names: &Names<'_>, at: DateTime<FixedOffset>, item: &WorkItem) -> String {
    names.reads().time_after(at, item.start)
}

/// `, 2 from fill-3 and 1 from stock`; nothing where it goes without saying.
fn sources(from: &[Source]) -> String {
    if from.is_empty() {
        return String::new();
    }
    let parts: Vec<String> = from
        .iter()
        .map(|source| match &source.item {
            Some(id) => format!("{} from {id}", source.kegs),
            None => format!("{} from stock", source.kegs),
        })
        .collect();
    format!(", {}", parts.join(" and "))
}
