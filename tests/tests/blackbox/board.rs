//! The board without a browser: its door, its policy, its forms, its picture.

use reqwest::Method;
use serde_json::json;
use tests::{Reply, Server, demo};

const BOARD: &str = "/board/harbour-bar";
const POWER: &str = "/setup/pots/0/power_w";

/// Somebody with a scope, signed in by the form: the cookie they hold.
pub(super) fn signed_in(server: &Server, scope: &str) -> String {
    let person = json!({ "name": scope, "password": "four words, well chosen", "scopes": [scope] });
    let _ = server.post("/v1/people", &person).expect(201);
    let fields = [
        ("name", scope),
        ("password", "four words, well chosen"),
        ("next", "/board"),
    ];
    let reply = send(server, "", "/board/sign-in", &fields);
    assert_eq!((reply.status, reply.header("location")), (303, "/board"));
    let cookie = reply.header("set-cookie");
    assert!(
        cookie.contains("HttpOnly") && cookie.contains("SameSite=Lax"),
        "{cookie}"
    );
    cookie.split(';').next().unwrap().to_owned()
}

pub(super) fn open(server: &Server, cookie: &str, path: &str) -> Reply {
    server.send(server.stranger(Method::GET, path).header("Cookie", cookie))
}

pub(super) fn send(server: &Server, cookie: &str, path: &str, fields: &[(&str, &str)]) -> Reply {
    let written = reqwest::Url::parse_with_params("http://form/", fields).unwrap();
    let request = server.stranger(Method::POST, path).header("Cookie", cookie);
    let request = request.header("Content-Type", "application/x-www-form-urlencoded");
    server.send(request.body(written.query().unwrap().to_owned()))
}

/// The second secret of a session, as the page's forms carry it.
pub(super) fn csrf(page: &str) -> String {
    let after = page.split("name=\"csrf\" value=\"").nth(1).unwrap();
    after.split('"').next().unwrap().to_owned()
}

#[test]
fn strangers_are_led_to_sign_in_and_back() {
    let server = demo::fixed_week();
    let reply = server.send(server.stranger(Method::GET, "/"));
    assert_eq!((reply.status, reply.header("location")), (303, "/board"));
    let reply = server.send(server.stranger(Method::GET, &format!("{BOARD}/stock?units=us")));
    assert_eq!(reply.status, 303);
    let to = "/board/sign-in?next=%2Fboard%2Fharbour-bar%2Fstock%3Funits%3Dus";
    assert_eq!(reply.header("location"), to);
    let page = server.send(server.stranger(Method::GET, to)).text;
    assert!(
        page.contains("value=\"/board/harbour-bar/stock?units=us\""),
        "{page}"
    );
    let elsewhere = server.send(server.stranger(Method::GET, "/board/sign-in?next=//example.org"));
    assert!(elsewhere.text.contains("name=\"next\" value=\"/board\""));
    let wrong = [("name", "nobody"), ("password", "four words, badly chosen")];
    let reply = send(&server, "", "/board/sign-in", &wrong);
    assert_eq!(reply.status, 401);
    assert!(
        reply.text.contains("name or password is wrong"),
        "{}",
        reply.text
    );
}

#[test]
fn pages_load_nothing_from_elsewhere_and_run_nothing_inline() {
    let server = demo::fixed_week();
    let cookie = signed_in(&server, "admin");
    let pages = [
        "today",
        "plans",
        "ready",
        "commitments",
        "demand",
        "stock",
        "setup",
        "setup/pots",
        "setup/products",
        "setup/crew",
        "calculators",
        "calculators/carbonation/pressure",
        "sheets",
        "admin",
    ];
    for page in pages {
        let reply = open(&server, &cookie, &format!("{BOARD}/{page}"));
        assert_eq!(reply.status, 200, "{page}: {}", reply.text);
        let policy = reply.header("content-security-policy");
        assert!(
            policy.starts_with("default-src 'none'") && !policy.contains("unsafe"),
            "{policy}"
        );
        assert_eq!(reply.header("x-content-type-options"), "nosniff");
        let text = reply.text;
        for barred in [
            " style=",
            "<style",
            " onclick=",
            "<script>",
            "src=\"http",
            "href=\"http",
        ] {
            assert!(!text.contains(barred), "{page} has {barred}");
        }
        assert!(text.len() < 200_000, "{page} is {} bytes", text.len());
    }
    let page = open(&server, &cookie, &format!("{BOARD}/today")).text;
    for kind in ["css", "js"] {
        let end = format!(".{kind}\"");
        let before = page.split(&end).next().unwrap();
        let path = format!("{}.{kind}", before.rsplit('"').next().unwrap());
        let reply = server.send(server.stranger(Method::GET, &path));
        assert_eq!(reply.status, 200, "{path}");
        assert!(reply.header("cache-control").contains("immutable"));
    }
    let old = server.send(server.stranger(Method::GET, "/assets/board-0000000000000000.css"));
    assert_eq!(old.status, 404);
}

#[test]
fn forms_need_the_second_secret_and_the_scope() {
    let server = demo::fixed_week();
    let (reader, planner) = (signed_in(&server, "read"), signed_in(&server, "plan"));
    let paste = format!("{BOARD}/demand/paste");
    let table = ("table", "when,tonic\n2026-06-02 21:00,5\n");
    let bare = send(&server, &planner, &paste, &[table]);
    assert_eq!(bare.status, 403, "{}", bare.text);
    assert!(bare.text.contains("no longer good"), "{}", bare.text);
    let wrong = send(&server, &planner, &paste, &[table, ("csrf", "00")]);
    assert_eq!(wrong.status, 403);
    let other = csrf(&open(&server, &reader, &format!("{BOARD}/today")).text);
    assert_eq!(
        send(&server, &planner, &paste, &[table, ("csrf", &other)]).status,
        403
    );
    let too_much = send(&server, &reader, &paste, &[table, ("csrf", &other)]);
    assert_eq!(too_much.status, 403);
    assert!(too_much.text.contains("scope plan"), "{}", too_much.text);
    let admin = open(&server, &planner, &format!("{BOARD}/admin"));
    assert_eq!(admin.status, 403);
    let own = csrf(&open(&server, &planner, &format!("{BOARD}/today")).text);
    let good = send(&server, &planner, &paste, &[table, ("csrf", &own)]);
    assert_eq!(good.status, 303, "{}", good.text);
    let line = server
        .get(&format!("{}/demand/tonic-20260602-2100", demo::SITE))
        .ok();
    assert_eq!(line["litres"], 5.0);
    // A line that is there under another id is replaced, and not doubled.
    let there = ("table", "when,tonic\n2026-06-02 17:00,9\n");
    let again = send(&server, &planner, &paste, &[there, ("csrf", &own)]);
    assert_eq!(again.status, 303, "{}", again.text);
    let line = server.get(&format!("{}/demand/tue-tonic", demo::SITE)).ok();
    assert_eq!(line["litres"], 9.0);
    let doubled = server.get(&format!("{}/demand/tonic-20260602-1700", demo::SITE));
    assert_eq!(doubled.status, 404, "{}", doubled.text);
    let trail = server.get("/v1/audit?limit=500").ok().to_string();
    assert!(
        trail.contains("import_demand") && trail.contains("/demand/paste"),
        "{trail}"
    );
    // Signed out, the cookie opens nothing.
    assert_eq!(
        send(&server, &planner, "/board/sign-out", &[("csrf", &own)]).status,
        303
    );
    assert_eq!(
        open(&server, &planner, &format!("{BOARD}/today")).status,
        303
    );
}

/// A form that is refused: where it goes, what it says, the status, and what the page says.
type Refused = (
    &'static str,
    [(&'static str, &'static str); 2],
    u16,
    [&'static str; 2],
);

const REFUSED: [Refused; 9] = [
    (
        "plans",
        [("start", "someday"), ("days", "7")],
        422,
        ["start", "someday"],
    ),
    (
        "plans",
        [("start", "2026-06-01T06:10"), ("days", "7")],
        422,
        ["step", "start"],
    ),
    (
        "stock/receive",
        [("what", "ice"), ("amount", "lots")],
        422,
        ["amount", "lots"],
    ),
    (
        "stock/receive",
        [("what", "co2"), ("amount", "-900")],
        409,
        ["co2", "role=\"alert\""],
    ),
    (
        "setup",
        [(POWER, "-5"), ("revision", "1")],
        422,
        ["power_w", "-5"],
    ),
    (
        "setup",
        [(POWER, "5000"), ("revision", "9")],
        412,
        ["changed", "since"],
    ),
    (
        "setup/pots",
        [(POWER, "much"), ("revision", "1")],
        422,
        ["power_w", "much"],
    ),
    (
        "setup/pots",
        [(POWER, "5000"), ("revision", "9")],
        412,
        ["changed", "tried out"],
    ),
    (
        "demand/paste",
        [
            ("table", "when,tonic\n2026-06-02 21:00,lots\n"),
            ("from", ""),
        ],
        422,
        ["line 2, House tonic", "lots"],
    ),
];

#[test]
fn a_form_that_is_refused_says_which_field_and_what_is_allowed() {
    let server = demo::fixed_week();
    let cookie = signed_in(&server, "plan");
    let own = csrf(&open(&server, &cookie, &format!("{BOARD}/today")).text);
    for (path, fields, status, parts) in REFUSED {
        let mut all = vec![("csrf", own.as_str())];
        all.extend_from_slice(&fields);
        let reply = send(&server, &cookie, &format!("{BOARD}/{path}"), &all);
        assert_eq!(reply.status, status, "{path}: {}", reply.text);
        for part in parts {
            let said = reply.text.contains(part);
            assert!(said, "{path}: no {part} in {}", reply.text);
        }
    }
}

#[test]
fn a_stock_that_is_counted_and_received_is_in_the_books() {
    let server = demo::fixed_week();
    let cookie = signed_in(&server, "floor");
    let own = csrf(&open(&server, &cookie, &format!("{BOARD}/stock")).text);
    let before = server.get(&format!("{}/stock", demo::SITE)).ok();
    let came = [
        ("csrf", own.as_str()),
        ("what", "ice"),
        ("way", "in"),
        ("amount", "12,5"),
    ];
    assert_eq!(
        send(&server, &cookie, &format!("{BOARD}/stock/receive"), &came).status,
        303
    );
    let after = server.get(&format!("{}/stock", demo::SITE)).ok();
    let ice = |stock: &serde_json::Value| stock["stock"]["ice_kg"].as_f64().unwrap();
    assert!((ice(&after) - ice(&before) - 12.5).abs() < 1e-9);
    let count = [
        ("csrf", own.as_str()),
        ("ice_kg", "41"),
        ("co2_kg", "20"),
        ("clean keg-19", "9"),
        ("dirty keg-19", "2"),
        ("ready 0", "1"),
        ("ready 1", ""),
        ("ready 2", ""),
        ("ready 3", ""),
        ("material ascorbate", "200"),
    ];
    let reply = send(&server, &cookie, &format!("{BOARD}/stock/count"), &count);
    assert_eq!(reply.status, 303, "{}", reply.text);
    let counted = server.get(&format!("{}/stock", demo::SITE)).ok();
    assert!((ice(&counted) - 41.0).abs() < 1e-9);
    assert_eq!(counted["stock"]["ready"].as_array().unwrap().len(), 1);
    let page = open(&server, &cookie, &format!("{BOARD}/stock")).text;
    assert!(page.contains(">41<"), "{page}");
}

#[test]
fn the_week_is_a_picture_at_an_address_of_its_own() {
    let server = demo::fixed_week();
    let reply = server.post(&format!("{}/plans", demo::SITE), &demo::week());
    let path = reply.header("location").to_owned();
    let plan = server.poll(&path, |plan| {
        plan["state"] != "queued" && plan["state"] != "running"
    });
    let id = plan["id"].as_str().unwrap();
    let address = format!("{BOARD}/plans/{id}/week.svg");
    // Another system shows its key.
    let svg = server.get(&address);
    assert_eq!(
        (svg.status, svg.header("content-type")),
        (200, "image/svg+xml; charset=utf-8")
    );
    assert!(
        svg.text.starts_with("<svg xmlns=") && svg.text.len() < 400_000,
        "{}",
        svg.text.len()
    );
    for part in [
        "Large pot",
        "Ready, cold",
        "On tap",
        "Ice in the bin",
        "Service",
    ] {
        assert!(svg.text.contains(part), "no {part}");
    }
    let us = server
        .get(&format!("{address}?units=us&from=2026-06-05&days=1"))
        .text;
    assert!(us.contains("°F") && !us.contains("°C"));
    let none = server.get(&format!("{address}?hours=0"));
    assert_eq!(none.status, 422, "{}", none.text);
    // Nobody sees a plan of a site that is not theirs, by whatever path.
    let key = json!({ "name": "elsewhere", "scopes": ["read"], "sites": ["other-bar"] });
    let key = server.post("/v1/keys", &key).expect(201)["key"]
        .as_str()
        .unwrap()
        .to_owned();
    for path in [address, format!("/board/other-bar/plans/{id}/week.svg")] {
        let reply = server.send(server.request_as(&key, Method::GET, &path));
        assert_eq!(reply.status, 404, "{path}: {}", reply.text);
    }
    let cookie = signed_in(&server, "read");
    let page = open(&server, &cookie, &format!("{BOARD}/plans/{id}/week"));
    assert_eq!(page.status, 200);
    // Over the wire it is compressed; the picture is most of the page.
    assert!(page.text.matches("class=\"ribbon\"").count() > 40);
}
