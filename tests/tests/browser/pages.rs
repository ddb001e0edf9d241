//! Each page, wide and on a phone: accessible, silent, no wider than its window, and kept as a picture.

use std::fs;
use std::path::PathBuf;
use std::sync::OnceLock;

use serde_json::json;
use tests::browser::Browser;
use tests::{Server, demo, foreign, node};

/// Pages of the site, with what their pictures are called.
const PAGES: &[(&str, &str)] = &[
    ("today", "/today"),
    ("day", "/today?day=2026-06-01"),
    ("item", "/plans/PLAN/work/ITEM"),
    ("plans", "/plans"),
    ("plan", "/plans/PLAN"),
    ("week", "/plans/PLAN/week"),
    ("week-day", "/plans/PLAN/week?from=2026-06-05&days=1"),
    ("compare", "/plans/PLAN/compare"),
    ("ready", "/ready?by=2026-06-05T17:00&start=2026-06-01T06:00"),
    ("commitments", "/commitments"),
    ("demand", "/demand?from=2026-06-01"),
    ("stock", "/stock"),
    ("setup", "/setup"),
    ("setup-pots", "/setup/pots"),
    ("setup-products", "/setup/products"),
    ("setup-stations", "/setup/gas-stations"),
    ("setup-crew", "/setup/crew"),
    ("calculators", "/calculators"),
    ("calculator", "/calculators/carbonation/pressure"),
    ("sheets", "/sheets"),
    ("admin", "/admin"),
];

const SIZES: [(&str, (u32, u32)); 2] = [("wide", (1280, 800)), ("phone", (390, 844))];

/// What axe-core is asked: the success criteria of WCAG up to 2.2, levels A and AA.
const AXE: &str = "const done = arguments[arguments.length - 1]; \
    axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] }) \
    .then((found) => done(found.violations.map((v) => v.id + ': ' + v.help + ' — ' + \
    v.nodes.map((n) => n.target.join(' ') + ' ' + n.failureSummary).join(' | '))))";

pub(super) fn all(server: &Server, browser: &Browser) {
    let kept = pictures();
    let published = server.get(&format!("{}/published", demo::SITE)).ok();
    let plan = published["plan"].as_str().unwrap().to_owned();
    let work = server.get(&format!("/v1/plans/{plan}/work?kind=gas")).ok();
    let item = work["work"][0]["id"].as_str().unwrap().to_owned();
    let mut wrong = Vec::new();
    for (size, window) in SIZES {
        for (name, path) in PAGES {
            let path = path.replace("PLAN", &plan).replace("ITEM", &item);
            browser.resize(window);
            browser.go(&format!("{}/board/harbour-bar{path}", server.root()));
            let _ = browser.wait_for("h1");
            browser.picture(&kept.join(format!("{name}-{size}.png")));
            let wide = browser.run("return document.documentElement.scrollWidth", json!([]));
            if wide.as_u64().unwrap() > u64::from(window.0) {
                wrong.push(format!("{name} {size}: {wide} wide"));
            }
            for violation in violations(browser) {
                wrong.push(format!("{name} {size}: {violation}"));
            }
            wrong.extend(
                browser
                    .console()
                    .iter()
                    .map(|said| format!("{name} {size}: {said}")),
            );
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// What axe-core finds on the page.
pub(super) fn violations(browser: &Browser) -> Vec<String> {
    static AXE_CORE: OnceLock<String> = OnceLock::new();
    let axe = AXE_CORE.get_or_init(|| {
        let why = "to fetch axe-core, which looks at the board's pages";
        let folder = tests::here().join("browser");
        let home = node::with(&folder, "browser-node", why);
        fs::read_to_string(home.join("node_modules/axe-core/axe.min.js")).unwrap()
    });
    let _ = browser.run(axe, json!([]));
    let found = browser.run_later(AXE, json!([]));
    let found = found.as_array().unwrap().iter();
    found.map(ToString::to_string).collect()
}

/// Where the pictures are kept.
pub(super) fn pictures() -> PathBuf {
    let folder = foreign::target().join("board");
    fs::create_dir_all(&folder).unwrap();
    folder
}
