//! What is changed and asked beyond the day's work: what if, sets of kegs, a full count, the setup,
//! webhooks.

use serde_json::json;
use tests::browser::Browser;
use tests::{Server, demo};

const BOARD: &str = "/board/harbour-bar";

/// A plan beside another one, and beside a what-if.
pub(super) fn compare(server: &Server, browser: &Browser, first: &str) {
    let root = server.root();
    browser.go(&format!("{root}{BOARD}/plans/{first}/compare"));
    let offered = browser.wait_for("select[name=with]");
    assert!(offered.contains("a replanning"), "{offered}");
    let itself = browser.run(
        "return document.querySelectorAll(`option[value='${arguments[0]}']`).length",
        json!([first]),
    );
    assert_eq!(itself, 0, "a plan beside itself");
    browser.fill("[name=kegs]", "4");
    browser.click(".what-if button.go");
    let figures = browser.wait_for("table.cases");
    assert!(
        figures.contains("4 more kegs") && figures.contains("Served"),
        "{figures}"
    );
}

/// Kegs of each product, and whole sets; the curve comes without moving what is below it.
pub(super) fn ready(server: &Server, browser: &Browser) {
    let root = server.root();
    browser.go(&format!("{root}{BOARD}/ready?start=2026-06-01T06:00"));
    let hidden = "return getComputedStyle(document.querySelector('.mix')).display";
    assert_eq!(browser.run(hidden, json!([])), "none");
    let height = "return document.querySelector('.curve-place').offsetHeight";
    let before = browser.run(height, json!([]));
    browser.fill("[name=by]", "2026-06-03T17:00");
    browser.fill("[name=product]", "*mix");
    assert_eq!(browser.run(hidden, json!([])), "flex");
    browser.fill("[name='mix tonic']", "2");
    browser.fill("[name='mix plain-soda']", "1");
    browser.click(".ready-form button.go");
    assert!(browser.wait_for(".giant").contains("set"));
    let _ = browser.wait_for(".curve-note[hidden]");
    assert_eq!(
        browser.run(height, json!([])),
        before,
        "the curve moves the page"
    );
}

/// A count of everything, and what it put right.
pub(super) fn count(server: &Server, browser: &Browser) {
    let root = server.root();
    browser.go(&format!("{root}{BOARD}/stock"));
    browser.click("#count + details summary");
    browser.fill("[name='tap 0']", "2,5");
    browser.fill("[name='filled new']", "2");
    browser.fill("[name='filled new temperature']", "5");
    browser.click("form[action$='/stock/count'] button.go");
    let _ = browser.wait_for("#corrected");
    let text = browser.text();
    assert!(
        text.contains("on tap in") && text.contains("filled"),
        "{text}"
    );
    let stock = server.get(&format!("{}/stock", demo::SITE)).ok()["stock"].clone();
    assert_eq!(stock["on_tap"][0]["litres"], 2.5, "{stock}");
}

/// A stronger heater is told of while it is typed, and a product is added.
pub(super) fn setup(server: &Server, browser: &Browser) {
    let root = server.root();
    browser.go(&format!("{root}{BOARD}/setup/pots"));
    let before = browser.wait_for("#physics");
    browser.fill("[name='/setup/pots/0/power_w']", "12000");
    let changed = "const done = arguments[arguments.length - 1]; const place = document.getElementById('physics'); \
        const look = () => place.textContent === arguments[0] ? setTimeout(look, 50) : done(true); look()";
    let _ = browser.run_later(changed, json!([before]));
    browser.click("p.sticky button.go");
    let _ = browser.wait_for("[name='/setup/pots/0/power_w'][value='12000']");
    let stored = server.get(&format!("{}/setup", demo::SITE)).ok();
    assert_eq!(stored["setup"]["pots"][0]["power_w"], 12000.0);

    browser.go(&format!("{root}{BOARD}/setup/products"));
    let known = stored["setup"]["products"].as_array().unwrap().len();
    browser.click("button[name=add][value='/setup/products']");
    browser.fill(
        &format!("[name='/setup/products/{known}/name']"),
        "Ginger soda",
    );
    browser.fill(&format!("[name='/setup/products/{known}/id']"), "ginger");
    browser.click("p.sticky button.go");
    let _ = browser.wait_for(&format!("[name='/setup/products/{known}/id'][readonly]"));
    let stored = server.get(&format!("{}/setup", demo::SITE)).ok();
    assert_eq!(stored["setup"]["products"][known]["name"], "Ginger soda");
}

/// A webhook is made, its secret is shown once, and it is taken away.
pub(super) fn webhook(server: &Server, browser: &Browser) {
    let root = server.root();
    browser.go(&format!("{root}{BOARD}/admin"));
    let form = "form[action$='/admin/webhooks']";
    let _ = browser.wait_for(form);
    let open = "document.querySelector(arguments[0]).closest('details').open = true";
    let _ = browser.run(open, json!([form]));
    browser.fill(&format!("{form} [name=url]"), "https://till.example/told");
    browser.click(&format!("{form} button.go"));
    assert!(browser.wait_for(".offer code").starts_with("whsec_"));
    browser.go(&format!("{root}{BOARD}/admin"));
    assert!(!browser.text().contains("whsec_"));
    browser.click("[aria-label='Take away https://till.example/told']");
    let _ = browser.wait_for(".plate");
    let hooks = server.get("/v1/webhooks").ok();
    assert_eq!(hooks["webhooks"].as_array().unwrap().len(), 0, "{hooks}");
}
