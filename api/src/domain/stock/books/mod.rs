//! The books: what follows from the entries of the ledger, one after the other in order of time.
//!
//! They are always worked out from the entries. What storage keeps of them is a copy to start from.

mod amounts;
mod bar;
mod lots;

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use model::Temperature;
use scheduler::check::Fault;
use scheduler::scenario::{FilledKegs, KegTypeId, Stock};
use serde::{Deserialize, Serialize};

use super::balance::{Balance, Missing};
use super::kegs::{KegAt, KegPlace, KegState};
use super::work::WorkDone;
use super::{Change, Count, Movement, Record, Reference};
use crate::domain::Refusal;
use crate::domain::codes::Grai;
use bar::Tapped;

/// What follows from the entries of a ledger so far.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Books {
    counted: Reference,
    counted_at: DateTime<FixedOffset>,
    movements: usize,
    work: usize,
    /// What was counted, moved on; kegs filled or tapped by work are beside it.
    stock: Stock,
    cooling: Vec<Cooling>,
    tapped: Vec<Tapped>,
    missing: Vec<Missing>,
    kegs: BTreeMap<Grai, KegAt>,
    /// What entries since the last count said that cannot be.
    pub(crate) wrong: Vec<Wrong>,
}

/// Kegs that work has filled.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Cooling {
    kegs: FilledKegs,
    cold_at: DateTime<FixedOffset>,
    cold_c: Temperature,
}

/// Why an entry cannot be.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) enum Wrong {
    BelowZero(String),
    Field { field: String, what: String },
}

impl From<Wrong> for Refusal {
    fn from(wrong: Wrong) -> Self {
        match wrong {
            Wrong::BelowZero(what) => Self::BelowZero { what },
            Wrong::Field { field, what } => Self::Invalid(vec![Fault { field, what }]),
        }
    }
}

impl Books {
    /// The books after one more entry; none before the first count.
    pub(crate) fn after(books: Option<Self>, seq: i64, record: &Record) -> Option<Self> {
        match record {
            Record::Count(count) => Some(Self::counted(books, seq, count)),
            Record::Movement(movement) => books.map(|mut books| {
                books.movements += 1;
                books.moved(seq, movement);
                books
            }),
            Record::Work(work) => books.map(|mut books| {
                books.work += 1;
                books.worked(seq, work);
                books
            }),
        }
    }

    fn counted(before: Option<Self>, seq: i64, count: &Count) -> Self {
        let mut books = Self {
            counted: count.reference.clone(),
            counted_at: count.at,
            movements: 0,
            work: 0,
            stock: count.stock.clone(),
            cooling: Vec::new(),
            tapped: Vec::new(),
            missing: Vec::new(),
            kegs: before.map(|books| books.kegs).unwrap_or_default(),
            wrong: Vec::new(),
        };
        for keg in &count.kegs {
            let at = (count.at, seq);
            books.put(&keg.grai, &keg.keg_type, keg.place(), at);
        }
        books.doubt(Some(seq));
        books
    }

    fn moved(&mut self, seq: i64, movement: &Movement) {
        let (keg_type, kegs, state) = match &movement.change {
            Change::Ice { kg } => {
                self.stock.ice_kg = self.mass(self.stock.ice_kg, kg.kilograms(), "ice");
                return;
            }
            Change::Co2 { kg } => {
                self.stock.co2_kg = self.mass(self.stock.co2_kg, kg.kilograms(), "CO2");
                return;
            }
            Change::Material { material, amount } => {
                self.material(material, amount.units());
                return;
            }
            Change::CleanKegs { keg_type, kegs } => (keg_type, kegs.kegs(), KegState::Clean),
            Change::DirtyKegs { keg_type, kegs } => (keg_type, kegs.kegs(), KegState::Dirty),
        };
        let place = KegPlace::plain(state);
        let held = self.empty(keg_type, state);
        let left = i32::from(*held) + kegs;
        *held = u16::try_from(left.max(0)).unwrap_or(u16::MAX);
        if !(0..=i32::from(u16::MAX)).contains(&left) {
            let what = format!("this would leave {left} {} kegs of type {keg_type}", place);
            self.wrong.push(Wrong::BelowZero(what));
        }
        for (n, grai) in movement.kegs.iter().enumerate() {
            let to = if kegs < 0 { KegState::Gone } else { state };
            if let Some(what) = self.cannot_move(grai, (keg_type, kegs), &place) {
                let field = format!("kegs[{n}]");
                self.wrong.push(Wrong::Field { field, what });
            }
            self.put(grai, keg_type, KegPlace::plain(to), (movement.at, seq));
        }
        let named = self.named(keg_type, &place);
        let held = usize::from(*self.empty(keg_type, state));
        if kegs < 0 && named > held {
            let what = format!(
                "{held} {place} kegs of type {keg_type} would be left, but {named} are known \
                 there by their GRAI; name those that leave"
            );
            let field = "kegs".to_owned();
            self.wrong.push(Wrong::Field { field, what });
        }
        self.doubt(None);
    }

    /// Why a named keg cannot be among those that come in or go out.
    fn cannot_move(
        &self,
        grai: &Grai,
        (keg_type, kegs): (&KegTypeId, i32),
        place: &KegPlace,
    ) -> Option<String> {
        let known = self.kegs.get(grai)?;
        if known.keg_type != *keg_type {
            let known = &known.keg_type;
            return Some(format!("this keg is of type {known}, not {keg_type}"));
        }
        if !known.certain {
            return None;
        }
        let here = known.place == *place;
        let gone = known.place.state == KegState::Gone;
        let (wrong, way) = if kegs < 0 {
            (!here, "goes out")
        } else {
            (!gone, "comes in")
        };
        wrong.then(|| {
            format!(
                "by the books this keg is {} since entry {}; it cannot be one that {way} as {place}",
                known.place, known.entry
            )
        })
    }

    fn worked(&mut self, seq: i64, work: &WorkDone) {
        for used in &work.uses {
            self.use_up(seq, &used.material, used.amount);
        }
        if let Some(poured) = &work.poured_away {
            self.pour_away(poured, work.at);
        }
        let Some(moved) = &work.moved else {
            return;
        };
        let short = self.take(moved, work.at);
        if short > 0 {
            self.missing.push(Missing {
                what: format!("{} {}", moved.from, moved.keg_type),
                amount: f64::from(short),
                entry: seq,
            });
        }
        self.give(moved, work.at);
        for grai in &work.kegs {
            self.put(grai, &moved.keg_type, moved.to.clone(), (work.at, seq));
        }
        self.doubt(None);
    }

    fn put(
        &mut self,
        grai: &Grai,
        keg_type: &KegTypeId,
        place: KegPlace,
        (since, entry): (DateTime<FixedOffset>, i64),
    ) {
        let keg = KegAt {
            grai: grai.clone(),
            keg_type: keg_type.clone(),
            place,
            since,
            entry,
            certain: true,
        };
        self.kegs.insert(grai.clone(), keg);
    }

    /// Kegs known by their GRAI in a state.
    fn named(&self, keg_type: &KegTypeId, place: &KegPlace) -> usize {
        let here = |keg: &&KegAt| keg.keg_type == *keg_type && keg.place == *place && keg.certain;
        self.kegs.values().filter(here).count()
    }

    /// Where fewer kegs are than are known by name, it is no longer certain of any of them, but of
    /// those that an entry has just counted.
    fn doubt(&mut self, counted: Option<i64>) {
        let mut known: BTreeMap<(KegTypeId, KegPlace), u16> = BTreeMap::new();
        for keg in self.kegs.values().filter(|keg| keg.certain) {
            if keg.place.state != KegState::Gone {
                let kind = (keg.keg_type.clone(), keg.place.clone());
                *known.entry(kind).or_default() += 1;
            }
        }
        if known.is_empty() {
            return;
        }
        // Before any service has passed: emptied kegs at the bar are there like those on tap.
        let stock = self.stock_at(self.counted_at);
        for ((keg_type, place), named) in known {
            if named > Self::standing(&stock, &keg_type, &place) {
                let here = |keg: &&mut KegAt| {
                    keg.keg_type == keg_type && keg.place == place && Some(keg.entry) != counted
                };
                for keg in self.kegs.values_mut().filter(here) {
                    keg.certain = false;
                }
            }
        }
    }

    /// What is on hand, as it is at an instant: kegs cool and are poured from until then.
    pub(crate) fn stock_at(&self, at: DateTime<FixedOffset>) -> Stock {
        let mut stock = self.stock.clone();
        for lot in &self.cooling {
            let mut kegs = lot.kegs.clone();
            if at >= lot.cold_at {
                kegs.temperature_c = lot.cold_c;
            }
            let alike = |f: &&mut FilledKegs| {
                (&f.keg_type, &f.store, f.temperature_c)
                    == (&kegs.keg_type, &kegs.store, kegs.temperature_c)
            };
            match stock.filled.iter_mut().find(alike) {
                Some(known) => known.kegs = known.kegs.saturating_add(kegs.kegs),
                None => stock.filled.push(kegs),
            }
        }
        for lot in &self.tapped {
            stock.on_tap.extend(lot.open(at));
            stock.under_way.at_bar.extend(lot.at_bar(at));
        }
        // What was gassed or tapped since counts as of this instant.
        for lot in &mut stock.ready {
            lot.gassed_at = lot.gassed_at.min(at);
        }
        for keg in &mut stock.on_tap {
            keg.tapped_at = keg.tapped_at.min(at);
        }
        stock
    }

    /// What is on hand at an instant, and how it is known.
    pub(crate) fn balance(&self, at: DateTime<FixedOffset>) -> Balance {
        Balance {
            counted: self.counted.clone(),
            counted_at: self.counted_at,
            movements: self.movements,
            work: self.work,
            stock: self.stock_at(at),
            missing: self.missing.clone(),
        }
    }

    /// Kegs that are known by their GRAI.
    pub(crate) fn kegs(&self) -> impl Iterator<Item = &KegAt> {
        self.kegs.values()
    }

    /// Where a keg is.
    pub(crate) fn keg(&self, grai: &Grai) -> Option<&KegAt> {
        self.kegs.get(grai)
    }
}

#[cfg(test)]
mod tests;
