use chrono::Duration;
use scheduler::scenario::{KegTypeId, MaterialId, ProductId, StoreId};

use super::super::work::{KegsMoved, Pour};
use super::super::{AmountChange, KegChange, MassChange};
use super::*;
use crate::domain::plans::PlanId;

fn reference(text: &str) -> Reference {
    Reference::try_from(text.to_owned()).unwrap()
}

fn start() -> DateTime<FixedOffset> {
    scheduler::sample::fixed().horizon.start
}

fn count(kegs: Vec<super::super::NamedKeg>) -> Record {
    Record::Count(Box::new(Count {
        reference: reference("monday"),
        at: start(),
        stock: scheduler::sample::fixed().stock,
        kegs,
    }))
}

fn movement(change: Change) -> Record {
    Record::Movement(Movement {
        reference: reference("a note"),
        at: start(),
        change,
        kegs: Vec::new(),
    })
}

fn keg_type() -> KegTypeId {
    KegTypeId::parse("keg-19").unwrap()
}

fn store() -> StoreId {
    scheduler::sample::fixed().setup.cold_stores[0].id.clone()
}

fn tonic() -> ProductId {
    ProductId::parse("tonic").unwrap()
}

fn moved(kegs: u32, from: KegPlace, to: KegPlace) -> KegsMoved {
    KegsMoved {
        keg_type: keg_type(),
        kegs,
        from,
        to,
        temperature_c: None,
        cold_at: None,
        cold_c: None,
        litres_each: None,
        pours: Vec::new(),
    }
}

fn work(hours: i64, moved: KegsMoved, kegs: Vec<Grai>) -> Record {
    Record::Work(Box::new(WorkDone {
        reference: reference("work:x/y-1"),
        at: start() + Duration::hours(hours),
        plan: PlanId::new(),
        item: serde_json::from_value("gas-1".into()).unwrap(),
        failed: false,
        uses: Vec::new(),
        moved: Some(moved),
        poured_away: None,
        kegs,
    }))
}

fn books(entries: &[Record]) -> Books {
    let mut books = None;
    for (seq, entry) in (1..).zip(entries) {
        books = Books::after(books, seq, entry);
    }
    books.unwrap()
}

fn clean() -> KegPlace {
    KegPlace::plain(KegState::Clean)
}

fn clean_of(books: &Books) -> u16 {
    Books::standing(&books.stock_at(start()), &keg_type(), &clean())
}

#[test]
fn movements_add_up_on_the_count() {
    let lime = MaterialId::parse("lime-syrup").unwrap();
    let found = books(&[
        count(Vec::new()),
        movement(Change::Ice {
            kg: MassChange::of(40.0),
        }),
        movement(Change::CleanKegs {
            keg_type: keg_type(),
            kegs: KegChange::try_from(-6).unwrap(),
        }),
        movement(Change::Material {
            material: lime.clone(),
            amount: AmountChange::of(5.0),
        }),
    ]);
    assert_eq!(found.wrong, []);
    let stock = found.balance(start()).stock;
    assert!((stock.ice_kg.kilograms() - 110.0).abs() < 1e-9);
    assert_eq!(stock.empty[0].clean, 10);
    let held = stock.materials.iter().find(|m| m.material == lime);
    assert!((held.unwrap().amount.units() - 5.0).abs() < 1e-9);
}

#[test]
fn nothing_goes_below_zero() {
    let found = books(&[
        count(Vec::new()),
        movement(Change::Ice {
            kg: MassChange::of(-70.5),
        }),
    ]);
    let refusal = Refusal::from(found.wrong[0].clone()).to_string();
    assert!(
        refusal.starts_with("this would leave -0.5 kg of ice"),
        "{refusal}"
    );
}

#[test]
fn work_takes_kegs_through_their_states() {
    let (store, tonic) = (store(), tonic());
    let mut fill = moved(2, clean(), KegPlace::filled(&store));
    fill.temperature_c = Some(18.0);
    fill.cold_at = Some(start() + Duration::hours(8));
    fill.cold_c = Some(4.0);
    let gas = moved(2, KegPlace::filled(&store), KegPlace::ready(&tonic, &store));
    let before = books(&[count(Vec::new())]);
    let filled = books(&[count(Vec::new()), work(1, fill.clone(), Vec::new())]);
    assert_eq!(clean_of(&filled), clean_of(&before) - 2);
    let warmth = |hours: i64| -> Vec<f64> {
        let stock = filled.stock_at(start() + Duration::hours(hours));
        let lots = stock.filled.iter();
        lots.map(|lot| lot.temperature_c.celsius()).collect()
    };
    assert!(warmth(2).iter().any(|c| (c - 18.0).abs() < 1e-9));
    assert!(!warmth(9).iter().any(|c| (c - 18.0).abs() < 1e-9));
    let gassed = books(&[
        count(Vec::new()),
        work(1, fill, Vec::new()),
        work(9, gas, Vec::new()),
    ]);
    let lots = gassed.stock_at(start() + Duration::hours(9)).ready;
    let made = lots.iter().filter(|lot| lot.product == tonic);
    assert!(made.map(|lot| lot.kegs).sum::<u16>() >= 2);
    assert_eq!(gassed.balance(start()).missing, []);
}

#[test]
fn what_work_took_and_was_not_there_is_told() {
    let wash = moved(1000, KegPlace::plain(KegState::Dirty), clean());
    let found = books(&[count(Vec::new()), work(1, wash, Vec::new())]);
    let missing = found.balance(start()).missing;
    assert_eq!(missing.len(), 1);
    assert_eq!(missing[0].what, "dirty keg-19");
    assert!(missing[0].amount > 900.0);
    assert_eq!(found.wrong, [], "work is never refused");
}

#[test]
fn kegs_on_tap_empty_as_services_pass_and_come_back_dirty() {
    let mut scenario = scheduler::sample::fixed();
    scenario.stock.on_tap.clear();
    let bare = Record::Count(Box::new(Count {
        reference: reference("bare"),
        at: start(),
        stock: scenario.stock,
        kegs: Vec::new(),
    }));
    let pour = |hours: i64, litres: f64| Pour {
        due: start() + Duration::hours(hours),
        litres,
    };
    let mut tap = moved(
        2,
        KegPlace::ready(&tonic(), &store()),
        KegPlace::on_tap(&tonic()),
    );
    tap.litres_each = Some(18.0);
    tap.pours = vec![pour(5, 20.0), pour(29, 16.0)];
    let back = moved(
        1,
        KegPlace::on_tap(&tonic()),
        KegPlace::plain(KegState::Dirty),
    );
    let tapped = books(&[bare.clone(), work(4, tap.clone(), Vec::new())]);
    let at = |books: &Books, hours: i64| {
        let stock = books.stock_at(start() + Duration::hours(hours));
        let open: Vec<f64> = stock.on_tap.iter().map(|k| k.litres.litres()).collect();
        let empty: u16 = stock.under_way.at_bar.iter().map(|k| k.kegs).sum();
        (open, empty)
    };
    let near = |found: (Vec<f64>, u16), open: &[f64], empty: u16| {
        assert_eq!(found.1, empty, "{found:?}");
        assert_eq!(found.0.len(), open.len(), "{found:?}");
        for (a, b) in found.0.iter().zip(open) {
            assert!((a - b).abs() < 1e-9, "{found:?}");
        }
    };
    near(at(&tapped, 4), &[18.0, 18.0], 0);
    near(at(&tapped, 6), &[16.0], 1);
    near(at(&tapped, 30), &[], 2);
    let returned = books(&[bare, work(4, tap, Vec::new()), work(12, back, Vec::new())]);
    near(at(&returned, 12), &[16.0], 0);
    near(at(&returned, 30), &[], 1);
    let dirty = KegPlace::plain(KegState::Dirty);
    let of = |books: &Books| Books::standing(&books.stock_at(start()), &keg_type(), &dirty);
    assert_eq!(of(&returned), of(&tapped) + 1);
}

#[test]
fn a_name_goes_with_its_keg_and_is_doubted_where_numbers_say_so() {
    let grai = Grai::try_from("06291041500213A117".to_owned()).unwrap();
    let named = super::super::NamedKeg {
        grai: grai.clone(),
        keg_type: keg_type(),
        state: KegState::Clean,
        product: None,
        store: None,
    };
    let fill = |kegs| moved(kegs, clean(), KegPlace::filled(&store()));
    let known = books(&[
        count(vec![named.clone()]),
        work(1, fill(1), vec![grai.clone()]),
    ]);
    let keg = known.keg(&grai).unwrap();
    assert_eq!((keg.place.state, keg.certain), (KegState::Filled, true));
    let all = u32::from(clean_of(&known)) + 1;
    let unnamed = books(&[count(vec![named]), work(1, fill(all), Vec::new())]);
    let keg = unnamed.keg(&grai).unwrap();
    assert_eq!((keg.place.state, keg.certain), (KegState::Clean, false));
}
