//! What the demo bar makes soda with. All of it is invented.

use chrono::NaiveTime;
use model::{
    AirSpeed, Carbonation, Conductance, GaugePressure, Mass, MassTransfer, SugarContent,
    Temperature,
};

use super::id;
use crate::scenario::quantities::{
    ContainerVolume, CoolingPower, CylinderRoomVolume, Efficiency, HeaterPower, Hours, IceAir,
    IceRate, OuterLength, PlacesPerContainer, PotVolume, Price, ShelfDays, StepMinutes, StockMass,
    SyrupShare, VesselMass,
};
use crate::scenario::{
    Chill, ColdStore, ContainerMaterial, Costs, Crew, CylinderRoom, GasMethod, GasStation, Ice,
    IceDraw, IcePurchase, KegType, Pot, Product, Route, Setup, Shift, Syrup, Wash, Weekday,
};

pub(super) fn setup() -> Setup {
    Setup {
        pots: pots(),
        circuits: Vec::new(),
        cold_stores: cold_stores(),
        ice: ice(),
        keg_types: keg_types(),
        gas_stations: gas_stations(),
        wash: Wash {
            stations: 2,
            minutes: StepMinutes::of(20.0),
            hands_min: StepMinutes::of(6.0),
        },
        crew: crew(),
        routes: routes(),
        products: products(),
        costs: Costs {
            hands_per_h: Price::of(14.0),
            heat_per_kwh: Price::of(0.24),
            co2_per_kg: Price::of(3.2),
            ice_per_kg: Price::of(0.03),
            wash_per_keg: Price::of(0.35),
            co2_cylinder_kg: StockMass::of(9.0),
        },
        cylinders: None,
        cylinder_room: Some(CylinderRoom {
            volume_m3: CylinderRoomVolume::of(60.0),
            co2_alarm: true,
        }),
        materials: Vec::new(),
        quiet_hours: Vec::new(),
        outages: Vec::new(),
    }
}

fn pots() -> Vec<Pot> {
    vec![
        Pot {
            id: id("large-pot"),
            name: "Large pot".to_owned(),
            volume_l: PotVolume::of(60.0),
            smallest_fill_l: PotVolume::of(12.0),
            power_w: HeaterPower::of(4500.0),
            efficiency: Efficiency::of(0.85),
            empty_kg: VesselMass::of(9.0),
            circuit: None,
        },
        Pot {
            id: id("small-pot"),
            name: "Small pot".to_owned(),
            volume_l: PotVolume::of(32.0),
            smallest_fill_l: PotVolume::of(6.0),
            power_w: HeaterPower::of(3000.0),
            efficiency: Efficiency::of(0.85),
            empty_kg: VesselMass::of(5.0),
            circuit: None,
        },
    ]
}

fn cold_stores() -> Vec<ColdStore> {
    vec![
        ColdStore {
            id: id("walk-in"),
            name: "Walk-in".to_owned(),
            places: 24,
            air_c: Temperature::of(2.0),
            air_speed_m_per_s: AirSpeed::of(1.0),
            blanket_connections: None,
            cooling_w: CoolingPower::of(700.0),
        },
        ColdStore {
            id: id("under-counter"),
            name: "Under the counter".to_owned(),
            places: 8,
            air_c: Temperature::of(3.0),
            air_speed_m_per_s: AirSpeed::of(0.0),
            blanket_connections: None,
            cooling_w: CoolingPower::of(180.0),
        },
    ]
}

fn ice() -> Ice {
    use Weekday::{Fri, Mon, Sat, Sun, Thu, Tue, Wed};
    let draw = |days: &[Weekday], kg: f64| IceDraw {
        days: days.to_vec(),
        at: time(17, 0),
        kg: StockMass::new(kg).unwrap_or(StockMass::of(0.0)),
    };
    Ice {
        rate_kg_per_h: IceRate::of(6.0),
        bin_kg: StockMass::of(110.0),
        temperature_c: Temperature::of(-3.0),
        factor: None,
        air_mg_per_kg: IceAir::of(12.0),
        from_treated_water: true,
        bar_draw: vec![
            draw(&[Mon, Tue, Wed, Thu, Sun], 45.0),
            draw(&[Fri, Sat], 80.0),
        ],
        purchase: Some(IcePurchase {
            price_per_kg: Price::of(0.55),
            lead_min: StepMinutes::of(1200.0),
            largest_kg: StockMass::of(60.0),
            delivered: Vec::new(),
            fee: None,
        }),
    }
}

fn keg_types() -> Vec<KegType> {
    vec![
        KegType {
            id: id("keg-19"),
            name: "19 L steel keg".to_owned(),
            material: ContainerMaterial::Steel,
            brim_l: ContainerVolume::of(19.5),
            fill_l: ContainerVolume::of(18.5),
            empty_kg: VesselMass::of(4.2),
            diameter_m: OuterLength::of(0.22),
            height_m: OuterLength::of(0.56),
            rating_bar: GaugePressure::of(9.0),
            hottest_fill_c: Temperature::of(90.0),
            places: PlacesPerContainer::of(1.0),
            per_crate: None,
            fill_min: None,
        },
        KegType {
            id: id("keg-9"),
            name: "9.5 L steel keg".to_owned(),
            material: ContainerMaterial::Steel,
            brim_l: ContainerVolume::of(9.8),
            fill_l: ContainerVolume::of(9.2),
            empty_kg: VesselMass::of(2.9),
            diameter_m: OuterLength::of(0.22),
            height_m: OuterLength::of(0.34),
            rating_bar: GaugePressure::of(9.0),
            hottest_fill_c: Temperature::of(90.0),
            places: PlacesPerContainer::of(0.5),
            per_crate: None,
            fill_min: None,
        },
    ]
}

fn gas_stations() -> Vec<GasStation> {
    vec![
        GasStation {
            id: id("resting-rack"),
            name: "Resting rack".to_owned(),
            connections: 8,
            keg_types: vec![id("keg-19"), id("keg-9")],
            stores: vec![id("walk-in")],
            couple_min: StepMinutes::of(6.0),
            uncouple_min: StepMinutes::of(2.0),
            method: GasMethod::Rest {
                highest_bar: GaugePressure::of(5.0),
                hours: vec![
                    Hours::of(20.0),
                    Hours::of(24.0),
                    Hours::of(44.0),
                    Hours::of(48.0),
                ],
            },
        },
        GasStation {
            id: id("shaking-bench"),
            name: "Shaking bench".to_owned(),
            connections: 2,
            keg_types: vec![id("keg-19"), id("keg-9")],
            stores: vec![id("walk-in"), id("under-counter")],
            couple_min: StepMinutes::of(6.0),
            uncouple_min: StepMinutes::of(1.0),
            method: GasMethod::Shaken {
                kla_per_s: MassTransfer::of(0.006),
            },
        },
    ]
}

fn crew() -> Crew {
    use Weekday::{Fri, Mon, Sat, Thu, Tue, Wed};
    let shift = |days: &[Weekday], from: u32, to: u32| Shift {
        days: days.to_vec(),
        from: time(from, 0),
        to: time(to, 0),
        hands: 1,
        breaks: Vec::new(),
    };
    Crew {
        shifts: vec![
            shift(&[Mon, Tue, Wed, Thu, Fri, Sat], 9, 16),
            shift(&[Wed, Thu, Fri], 11, 15),
        ],
        closed: Vec::new(),
        start_boil_min: StepMinutes::of(12.0),
        chill_min: StepMinutes::of(8.0),
        fill_keg_min: StepMinutes::of(5.0),
    }
}

fn routes() -> Vec<Route> {
    let pots = || vec![id("large-pot"), id("small-pot")];
    let heat_to_c = Temperature::of(94.0);
    // Kept hot for no time: the air that is left is reckoned at equilibrium.
    let hold_min = StepMinutes::of(0.0);
    vec![
        Route {
            id: id("all-ice"),
            name: "Ice in the water until cold".to_owned(),
            heat_to_c,
            hold_min,
            chill: Chill::IceInWater {
                to_c: Temperature::of(4.0),
            },
            pots: pots(),
            stores: vec![id("walk-in"), id("under-counter")],
        },
        Route {
            id: id("half-ice"),
            name: "Some ice in the water, then the cold store".to_owned(),
            heat_to_c,
            hold_min,
            chill: Chill::IceInWater {
                to_c: Temperature::of(20.0),
            },
            pots: pots(),
            stores: vec![id("walk-in"), id("under-counter")],
        },
        Route {
            id: id("ice-bath"),
            name: "Covered pot in an ice bath, then the cold store".to_owned(),
            heat_to_c,
            hold_min,
            chill: Chill::IceBath {
                to_c: Temperature::of(25.0),
                conductance_w_per_k: Conductance::of(90.0),
                extra_ice_kg: Mass::of(4.0),
            },
            pots: vec![id("small-pot")],
            stores: vec![id("walk-in")],
        },
    ]
}

fn products() -> Vec<Product> {
    let water = |name: &str, title: &str, carbonation: Carbonation| Product {
        id: id(name),
        name: title.to_owned(),
        carbonation_g_per_l: carbonation,
        sugar_brix: SugarContent::of(0.0),
        syrup: None,
        shelf_days: ShelfDays::of(21.0),
        on_tap_h: Hours::of(72.0),
        keg_types: Vec::new(),
        gas_stations: Vec::new(),
        ingredients: Vec::new(),
        safety: None,
        substitutes: Vec::new(),
    };
    let sweet = |product: Product, brix: SugarContent, syrup: &str, share: SyrupShare| Product {
        sugar_brix: brix,
        syrup: Some(Syrup {
            material: id(syrup),
            ml_per_l: share,
        }),
        shelf_days: ShelfDays::of(10.0),
        on_tap_h: Hours::of(48.0),
        ..product
    };
    vec![
        water("plain-soda", "Plain soda", Carbonation::of(7.4)),
        water("mineral-soda", "Mineral soda", Carbonation::of(8.2)),
        water("soft-soda", "Softly sparkling water", Carbonation::of(4.6)),
        water("citrus-soda", "Citrus peel soda", Carbonation::of(7.0)),
        sweet(
            water("ginger-soda", "Ginger soda", Carbonation::of(6.2)),
            SugarContent::of(8.5),
            "ginger-syrup",
            SyrupShare::of(125.0),
        ),
        sweet(
            water("tonic", "House tonic", Carbonation::of(7.2)),
            SugarContent::of(9.0),
            "quinine-syrup",
            SyrupShare::of(110.0),
        ),
    ]
}

fn time(hour: u32, minute: u32) -> NaiveTime {
    NaiveTime::from_hms_opt(hour, minute, 0).unwrap_or_default()
}
