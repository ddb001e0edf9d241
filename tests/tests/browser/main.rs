//! The board in a real browser: the main job, questions, a paste, a replanning; and each page, wide
//! and on a phone, held against axe-core, with an empty console and a picture kept.
//!
//! Debian's chromium and chromium-driver are needed (`make setup` installs them); axe-core is
//! pinned in `tests/browser`. The pictures are under the target folder, in `board`.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "tests may fail loudly"
)]

mod changes;
mod journey;
mod new_bar;
mod pages;

use serde_json::json;
use tests::browser::Browser;
use tests::{Server, demo};

/// Who signs in.
const NAME: &str = "Ines";
const PASSWORD: &str = "four words, well chosen";

/// A server with the demo's fixed week and its plan, and somebody who may do everything.
fn stage() -> (Server, String) {
    let server = demo::fixed_week();
    let person = json!({ "name": NAME, "password": PASSWORD, "scopes": ["admin"] });
    let _ = server.post("/v1/people", &person).expect(201);
    let path = demo::planned(&server);
    let id = path.rsplit('/').next().unwrap().to_owned();
    (server, id)
}

/// Signs in by the form.
fn sign_in(browser: &Browser) {
    browser.fill("[name=name]", NAME);
    browser.fill("[name=password]", PASSWORD);
    browser.click("button.go");
    let _ = browser.wait_for(".plate");
}

#[test]
fn the_board_in_a_browser() {
    let (server, plan) = stage();
    let browser = Browser::start();
    browser.resize((1280, 800));
    journey::main_job(&server, &browser, &plan);
    journey::questions(&server, &browser);
    changes::compare(&server, &browser, &plan);
    changes::ready(&server, &browser);
    changes::count(&server, &browser);
    changes::setup(&server, &browser);
    changes::webhook(&server, &browser);
    pages::all(&server, &browser);
    // What is worth money is the pages as they are; a console that stays silent says so.
    let said = browser.console();
    assert!(said.is_empty(), "{said:#?}");
}
