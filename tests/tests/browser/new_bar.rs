//! Somebody else's bar: from an empty database to a printed prep sheet, on a phone, with what a person
//! knows.

use std::path::Path;

use chrono::{DateTime, FixedOffset};
use serde_json::json;
use tests::Server;
use tests::browser::Browser;

use super::{NAME, PASSWORD, pages};

/// The most values that may have to be typed, chosen or ticked.
const MOST: usize = 40;

const PHONE: (u32, u32) = (360, 740);
const SIZES: [(&str, (u32, u32)); 3] = [
    ("360", PHONE),
    ("tablet", (820, 1180)),
    ("desk", (1280, 800)),
];

/// Somebody who counts what they have to say.
struct Person<'a> {
    browser: &'a Browser,
    said: usize,
}

impl Person<'_> {
    fn types(&mut self, name: &str, text: &str) {
        self.browser.fill(&format!("[name='{name}']"), text);
        self.said += 1;
    }

    fn ticks(&mut self, name: &str, value: &str) {
        let script = "document.querySelector(arguments[0]).click()";
        let css = format!("[name='{name}'][value='{value}']");
        let _ = self.browser.wait_for(&css);
        let _ = self.browser.run(script, json!([css]));
        self.said += 1;
    }

    /// What is known of the bar.
    fn tells(&mut self) {
        for (name, text) in [
            ("name", "Corner bar"),
            ("place.time_zone", "madrid"),
            ("pots[0].litres", "40"),
            ("pots[0].kw", "3"),
            ("cold[0].kegs", "8"),
            ("kegs[0].litres", "19"),
            ("kegs[0].count", "10"),
            ("gas.connections", "4"),
            ("gas.highest_bar", "2.5"),
            ("ice.bag_kg", "44 lb"),
            ("crew[0].from", "11am"),
            ("crew[0].to", "5pm"),
            ("drinks[0].name", "Plain soda"),
            ("drinks[1].name", "Ginger soda"),
            ("drinks[1].fizz", "medium"),
            ("drinks[2].name", "Tonic"),
            ("nights[0].kegs", "2"),
            ("nights[1].kegs", "3"),
        ] {
            self.types(name, text);
        }
        // The week begins tomorrow, whatever day that is: somebody is there every day.
        for day in ["mon", "tue", "wed", "thu", "fri", "sat", "sun"] {
            self.ticks("crew[0].days", day);
        }
        self.ticks("drinks[1].sweet", "yes");
        self.ticks("drinks[2].sweet", "yes");
        self.ticks("nights[0].days", "thu");
        self.ticks("nights[1].days", "fri");
        self.ticks("nights[1].days", "sat");
    }
}

#[test]
fn a_bar_of_ones_own_in_a_browser() {
    let server = Server::empty();
    let person = json!({ "name": NAME, "password": PASSWORD, "scopes": ["admin"] });
    let _ = server.post("/v1/people", &person).expect(201);
    let browser = Browser::start();
    let kept = pages::pictures();
    browser.resize(PHONE);
    browser.go(&format!("{}/board", server.root()));
    browser.fill("[name=name]", NAME);
    browser.fill("[name=password]", PASSWORD);
    browser.click("button.go");
    browser.click("a[href='/board/new']");
    let _ = browser.wait_for("form.ten");

    // What is wrong is told at its field, all at once, and what was typed stays.
    let mut somebody = Person {
        browser: &browser,
        said: 2,
    };
    somebody.tells();
    browser.fill("[name='gas.highest_bar']", "lots");
    browser.fill("[name='crew[0].to']", "soon");
    browser.click("form.ten button.go");
    let notice = browser.wait_for(".notice");
    assert!(notice.contains("2 things are not right yet"), "{notice}");
    look(&browser, &kept, "new-wrong");
    let typed = browser.run(
        "return document.querySelector(\"[name='pots[0].litres']\").value",
        json!([]),
    );
    assert_eq!(typed, "40");
    // The browser itself notes that this was answered by 422.
    let _ = browser.console();
    browser.fill("[name='gas.highest_bar']", "2.5");
    browser.fill("[name='crew[0].to']", "5pm");
    look(&browser, &kept, "new");
    assert!(somebody.said <= MOST, "{} values", somebody.said);

    browser.click("form.ten button.go");
    let _ = browser.wait_for("form[action$='/publish'] button");
    look(&browser, &kept, "new-plan");
    browser.click("a[href$='/confidence']");
    let told = browser.wait_for("#measure + *");
    assert!(!told.is_empty());
    look(&browser, &kept, "new-confidence");
    browser.click("main > p > a.button");
    browser.click("form[action$='/publish'] button");
    let _ = browser.wait_for("[aria-current=page][href$='/today']");
    assumed(&server, &browser, &kept);
    sheet(&server, &browser, &kept);
    copied(&server, &browser);
    let said = browser.console();
    assert!(said.is_empty(), "{said:#?}");
}

/// What nobody told is marked on the pages of the setup, until somebody changes it.
fn assumed(server: &Server, browser: &Browser, kept: &Path) {
    let part = format!("{}/board/corner-bar/setup/pots", server.root());
    browser.go(&part);
    let _ = browser.wait_for("form.setup-form");
    let marked = "return document.querySelector(\"[name='/setup/pots/0/efficiency']\") \
        .closest('label').querySelector('.assumed') !== null";
    assert_eq!(browser.run(marked, json!([])), true);
    look(browser, kept, "setup-assumed");
    browser.fill("[name='/setup/pots/0/efficiency']", "0.9");
    browser.click("form.setup-form p.sticky button.go");
    let _ = browser.wait_for("[name=revision][value='2']");
    assert_eq!(browser.run(marked, json!([])), false);
    browser.go(&format!("{}/board/corner-bar/setup", server.root()));
    let _ = browser.wait_for(".assumed");
    look(browser, kept, "setup-main-assumed");
}

/// The first day's prep sheet with a boil on it, on paper.
fn sheet(server: &Server, browser: &Browser, kept: &Path) {
    let published = server.get("/v1/sites/corner-bar/published").ok();
    let plan = published["plan"].as_str().unwrap();
    let work = server.get(&format!("/v1/plans/{plan}/work?kind=boil")).ok();
    let start = work["work"][0]["start"].as_str().unwrap();
    let start: DateTime<FixedOffset> = start.parse().unwrap();
    let day = start.date_naive();
    browser.go(&format!(
        "{}/board/corner-bar/sheets?date={day}",
        server.root()
    ));
    browser.click("form[action$='/sheet'] button.go");
    let _ = browser.wait_for("h1");
    look(browser, kept, "new-sheet");
    let paper = browser.chromium("Page.printToPDF", json!({ "preferCSSPageSize": true }));
    // "%PDF-" in base64.
    let paper = paper["data"].as_str().unwrap();
    assert!(paper.starts_with("JVBERi0"), "it is printed");
    assert!(browser.text().contains("40 L pot"), "{}", browser.text());
}

/// The bar is taken out as one file and put in again as another.
fn copied(server: &Server, browser: &Browser) {
    let file = server.get("/v1/sites/corner-bar/export").ok().to_string();
    browser.go(&format!("{}/board/new?like=hall", server.root()));
    let litres = "return document.querySelector(\"[name='pots[0].litres']\").value";
    let _ = browser.wait_for("form.ten");
    assert_eq!(browser.run(litres, json!([])), "100 L");
    let open = "document.querySelector('details.put-in').open = true";
    let _ = browser.run(open, json!([]));
    let form = "form[action$='/import']";
    browser.fill(&format!("{form} [name=file]"), &file);
    browser.fill(&format!("{form} [name=name]"), "Second bar");
    browser.fill(&format!("{form} [name=id]"), "second-bar");
    browser.click(&format!("{form} button"));
    let plate = browser.wait_for(".plate .site");
    assert_eq!(plate, "Second bar");
    let copy = server.get("/v1/sites/second-bar/setup").ok();
    assert_eq!(copy, server.get("/v1/sites/corner-bar/setup").ok());
}

/// A page in three widths: as a picture, no wider than its window, and without a fault of its own.
fn look(browser: &Browser, kept: &Path, name: &str) {
    for (size, window) in SIZES {
        browser.resize(window);
        browser.picture(&kept.join(format!("{name}-{size}.png")));
        let wide = browser.run("return document.documentElement.scrollWidth", json!([]));
        assert!(
            wide.as_u64().unwrap() <= u64::from(window.0),
            "{name} {size}: {wide} wide"
        );
    }
    browser.resize(PHONE);
    let wrong = pages::violations(browser);
    assert!(wrong.is_empty(), "{name}: {wrong:#?}");
}
