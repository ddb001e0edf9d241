//! What was kept for long enough is thrown away, but nothing that is still in use.

use serde_json::{Value, json};
use tests::{Server, cluster, database, demo};

/// Longer ago than anything is kept.
const OLD: &str = "2020-01-01 00:00:00";

/// A plan that was cancelled.
fn plan(server: &Server) -> String {
    let reply = server.post(&format!("{}/plans", demo::SITE), &demo::week());
    let _ = reply.expect(202);
    let path = reply.header("location").to_owned();
    let cancelled = server.post(&format!("{path}/cancel"), &json!({}));
    assert!(cancelled.status < 300, "{}", cancelled.text);
    let _ = server.poll(&path, demo::ended);
    path.rsplit('/').next().unwrap().to_owned()
}

/// Lets a year go by that records do not know of.
fn age(server: &Server, changes: &str) {
    let guards = [
        ("events", "events_are_not_rewritten"),
        ("audit", "audit_is_not_rewritten"),
        ("setup_revisions", "setup_revisions_are_not_rewritten"),
    ];
    let mut sql = String::new();
    for (table, trigger) in guards {
        sql += &if cluster::asked_for().is_some() {
            format!("ALTER TABLE {table} DISABLE TRIGGER USER; ")
        } else {
            format!("DROP TRIGGER {trigger}; ")
        };
    }
    sql += changes;
    if cluster::asked_for().is_some() {
        for (table, _) in guards {
            sql += &format!("; ALTER TABLE {table} ENABLE TRIGGER USER");
        }
    }
    let _ = database::sql(server, &sql);
}

fn events(list: &Value) -> Vec<i64> {
    let events = list["events"].as_array().unwrap();
    events
        .iter()
        .map(|event| event["seq"].as_i64().unwrap())
        .collect()
}

#[test]
fn what_is_old_goes_and_what_is_in_use_stays() {
    let mut server = demo::fixed_week();
    let setup = format!("{}/setup", demo::SITE);
    let read = server.get(&setup);
    let mut changed = read.ok();
    changed["setup"]["ice"]["bin_kg"] = json!(91.0);
    let put = server.put_if(&setup, read.header("etag"), &changed);
    assert!(put.status < 300, "{}", put.text);
    let (kept, gone) = (plan(&server), plan(&server));
    let last = server.get("/v1/events").ok();
    let last = events(&last).pop().unwrap();
    age(
        &server,
        &format!(
            "UPDATE plans SET created_at = '{OLD}', finished_at = '{OLD}'; \
             INSERT INTO publications (site, number, plan, published_at) \
                 VALUES ('harbour-bar', 1, '{kept}', '{OLD}'); \
             INSERT INTO readings (id, site, plan, item, kind, value, unit, at, recorded_at) VALUES \
                 ('01000000-0000-7000-8000-000000000001', 'harbour-bar', '{kept}', 'boil-1', \
                  'temperature', 2, 'c', '{OLD}', '{OLD}'); \
             UPDATE events SET at = '{OLD}'; \
             UPDATE audit SET at = '{OLD}' WHERE seq <= 2; \
             UPDATE setup_revisions SET created_at = '{OLD}'"
        ),
    );
    server.crash_and_restart();
    let count = |table: &str| database::sql(&server, &format!("SELECT count(*) FROM {table}"));
    let begun = std::time::Instant::now();
    while (count("plans").as_str(), count("events").as_str()) != ("1", "1") {
        let late = begun.elapsed() > std::time::Duration::from_secs(60);
        assert!(
            !late,
            "{} plans, {} events",
            count("plans"),
            count("events")
        );
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    // The published plan, its readings and the newest setup are in use.
    let _ = server.get(&format!("/v1/plans/{kept}")).ok();
    let _ = server
        .get(&format!("/v1/plans/{gone}"))
        .problem(404, "unknown_plan");
    assert_eq!(count("readings"), "1");
    let _ = server.poll(&format!("{setup}/revisions"), |list| {
        list["revisions"].as_array().unwrap().len() == 1
    });
    assert_eq!(server.get(&setup).ok()["setup"]["ice"]["bin_kg"], 91.0);
    // The last event says how far everything has come; whoever was behind is told.
    let all = server.get("/v1/events").ok();
    assert_eq!(events(&all), [last]);
    let _ = server.get("/v1/events?after=1").problem(410, "events_gone");
    let behind = server.get(&format!("/v1/events?after={}", last - 1)).ok();
    assert_eq!(events(&behind), [last]);
    let trail = server.poll("/v1/audit", |trail| trail["entries"][0]["seq"] == 3);
    assert!(trail["entries"].as_array().unwrap().len() > 1);
    // Nobody else gets past the guards.
    let _ = server
        .post(&format!("{}/plans", demo::SITE), &demo::week())
        .expect(202);
}
