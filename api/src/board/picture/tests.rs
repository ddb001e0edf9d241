//! The picture of a small plan made by hand.

use chrono::{DateTime, FixedOffset};
use scheduler::plan::Plan;
use scheduler::sample;

use super::axis::View;
use super::drawing::{Picture, draw};
use super::lanes::layout;
use super::streams::{Lane, streams};
use crate::text::units::Units;

fn plan() -> Plan {
    serde_json::from_str(include_str!("../../text/sample_plan.json")).unwrap()
}

fn at(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

fn view() -> View {
    View {
        from: plan().start,
        to: plan().end,
        zone: sample::ZONE,
    }
}

#[test]
fn water_passes_the_lanes_in_order() {
    let holds = streams(&sample::fixed(), &plan());
    let of = |id: &str| {
        let named = holds.iter();
        let id = id.to_owned();
        named.filter(move |h| h.item.as_ref().is_some_and(|i| i.as_str() == id))
    };
    let boil = of("boil-1").next().unwrap();
    assert_eq!(boil.lane, Lane::Pot("large-pot".to_owned()));
    assert!(
        (boil.at(boil.from) - 17.0).abs() < 1e-9,
        "tap water of the demo site"
    );
    assert!((boil.at(at("2026-06-01T10:10:00+01:00")) - 96.0).abs() < 1e-9);
    assert!((boil.at(boil.to) - 10.0).abs() < 1e-9);
    // One of the three kegs filled is gassed; two wait until the end.
    let waits: Vec<u32> = of("fill-1").map(|h| h.kegs).collect();
    assert_eq!(waits, [1, 2]);
    let gassed = of("gas-1").next().unwrap();
    let from_fill = gassed
        .comes_from
        .iter()
        .map(|(n, _)| holds[*n].item.clone().unwrap());
    assert_eq!(
        from_fill.map(|i| i.to_string()).collect::<Vec<_>>(),
        ["fill-1"]
    );
    let tapped = of("tap-1").next().unwrap();
    assert_eq!((tapped.lane.clone(), tapped.kegs), (Lane::Tap, 1));
    // The plan pours nothing after it is tapped, so it stands for as long as it is good.
    let scenario = sample::fixed();
    let product = scenario
        .setup
        .products
        .iter()
        .find(|p| Some(&p.id) == tapped.product.as_ref());
    let good = product.unwrap().on_tap_h.hours();
    assert!(((tapped.to - tapped.from).num_minutes() as f64 - good * 60.0).abs() < 1.0);
}

#[test]
fn no_ribbon_lies_on_another() {
    let scenario = sample::fixed();
    let holds = streams(&scenario, &plan());
    let layout = layout(&scenario, &holds, &view(), 0.0);
    for (a, one) in holds.iter().enumerate() {
        for (b, other) in holds.iter().enumerate().skip(a + 1) {
            let (Some((y, h)), Some((z, k))) = (layout.ribbons[a], layout.ribbons[b]) else {
                continue;
            };
            let same_lane = one.lane == other.lane;
            let same_time = one.from < other.to && other.from < one.to;
            if same_lane && same_time {
                assert!(y + h <= z + 1e-9 || z + k <= y + 1e-9, "{one:?} {other:?}");
            }
        }
    }
}

#[test]
fn a_picture_says_all_in_words_too() {
    let (scenario, plan) = (sample::fixed(), plan());
    let picture = Picture {
        scenario: &scenario,
        plan: &plan,
        seen: &[],
        units: Units::METRIC,
        view: view(),
        now: plan.start,
        links: None,
    };
    let (svg, rows) = draw(&picture);
    assert!(svg.starts_with("<svg xmlns=") && svg.trim_end().ends_with("</svg>"));
    assert!(
        !svg.contains("style="),
        "the pages' policy allows no styles in attributes"
    );
    // A shortage is a gap in its gate.
    assert!(
        svg.contains("class=\"gap\"") && svg.contains("10 L short"),
        "{svg}"
    );
    let ribbons = svg.matches("class=\"ribbon\"").count();
    assert_eq!(rows.len(), ribbons);
    assert!(rows.iter().any(|row| row.heat == "96 °C to 10 °C"));
}

#[test]
fn what_is_not_shown_is_not_drawn() {
    let (scenario, plan) = (sample::fixed(), plan());
    let day = View {
        from: at("2026-06-05T00:00:00+01:00"),
        to: at("2026-06-06T00:00:00+01:00"),
        zone: sample::ZONE,
    };
    let picture = Picture {
        scenario: &scenario,
        plan: &plan,
        seen: &[],
        units: Units::US,
        view: day,
        now: plan.start,
        links: Some("/board/harbour-bar/plans/x/work".to_owned()),
    };
    let (svg, rows) = draw(&picture);
    assert!(rows.iter().all(|row| row.item != "boil-1"));
    assert!(svg.contains("°F") && !svg.contains("°C"));
}
