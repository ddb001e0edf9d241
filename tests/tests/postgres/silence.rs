//! A PostgreSQL that hangs, a process that freezes while it writes, a database that only reads:
//! answered in time, and gone on with afterwards.

use std::path::PathBuf;
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tests::cluster::{self, Cluster};
use tests::proxy::Proxy;
use tests::{Reply, Server, demo};

/// Asks again until what is answered has a status.
fn until(status: u16, ask: impl Fn() -> Reply) -> Reply {
    let begun = Instant::now();
    loop {
        let reply = ask();
        if reply.status == status {
            return reply;
        }
        let late = begun.elapsed() > Duration::from_secs(60);
        assert!(!late, "it stays {}: {}", reply.status, reply.text);
        thread::sleep(Duration::from_millis(50));
    }
}

fn ice(n: usize) -> Value {
    json!({ "reference": format!("delivery-{n}"), "at": "2026-06-02T08:00:00+01:00",
        "change": { "of": "ice", "kg": 0.5 } })
}

fn delivered(server: &Server, n: usize) -> Reply {
    server.post(&format!("{}/stock/movements", demo::SITE), &ice(n))
}

/// Sends a signal to a server's process.
fn signal(server: &Server, name: &str) {
    let sent = Command::new("kill")
        .args([name, &server.process().to_string()])
        .status();
    assert!(sent.unwrap().success());
}

#[test]
fn a_postgresql_that_hangs_is_answered_for_and_a_stop_is_obeyed() {
    let cluster = cluster::asked_for().unwrap();
    let proxy = Proxy::to(&cluster.socket());
    let url = Cluster::through(&cluster.fresh(), proxy.port());
    let limits = ["--database-timeout-seconds", "3", "--shutdown-grace-s", "3"];
    let server = Server::on(&url, &limits);
    demo::store(&server);
    proxy.hold(true);
    let read = server.get("/v1/sites");
    let _ = read.problem(503, "storage_unavailable");
    assert_eq!(read.header("retry-after"), "5");
    let _ = delivered(&server, 1).expect(503);
    let _ = server.get("/readyz").problem(503, "unavailable");
    assert_eq!(server.get("/healthz").status, 200);
    proxy.hold(false);
    let _ = until(200, || server.get("/readyz"));
    // It was made or not, and is made once.
    let _ = until(200, || delivered(&server, 1));
    assert_eq!(
        server.get(&format!("{}/stock", demo::SITE)).ok()["movements"],
        1
    );
    proxy.hold(true);
    thread::scope(|scope| {
        // A request is being answered meanwhile, or given up.
        scope.spawn(|| drop(server.request(reqwest::Method::GET, "/v1/sites").send()));
        signal(&server, "-TERM");
        let process = PathBuf::from(format!("/proc/{}/stat", server.process()));
        let begun = Instant::now();
        // A process that ended and was not waited for is a zombie.
        while std::fs::read_to_string(&process).is_ok_and(|stat| !stat.contains(") Z ")) {
            assert!(begun.elapsed() < Duration::from_secs(40), "it goes on");
            thread::sleep(Duration::from_millis(50));
        }
    });
}

#[test]
fn a_process_that_freezes_while_it_writes_holds_up_nobody_for_long() {
    let cluster = cluster::asked_for().unwrap();
    let one = demo::fixed_week();
    let other = Server::on(one.database(), &[]);
    let over = AtomicBool::new(false);
    thread::scope(|scope| {
        for writer in 0..4 {
            let (one, over) = (&one, &over);
            scope.spawn(move || {
                let path = format!("{}/stock/movements", demo::SITE);
                for n in 0.. {
                    let body = ice(1000 * (writer + 1) + n);
                    // The one that is frozen answers late or never.
                    let sent = one.request(reqwest::Method::POST, &path).json(&body);
                    if over.load(Ordering::SeqCst) || sent.send().is_err() {
                        return;
                    }
                }
            });
        }
        let held = "SELECT count(*) FROM pg_locks JOIN pg_database d ON d.oid = database \
            WHERE locktype = 'advisory' AND objid = 1937075318 AND granted \
            AND datname = current_database()";
        // Frozen in the middle of a write, by luck that is tried for.
        let caught = (0..200).any(|_| {
            signal(&one, "-STOP");
            thread::sleep(Duration::from_millis(20));
            let caught = cluster.sql(one.database(), held) == "1";
            if !caught {
                signal(&one, "-CONT");
                thread::sleep(Duration::from_millis(7));
            }
            caught
        });
        assert!(caught, "it was never frozen while it wrote");
        // The database had its first key before this one started.
        let path = format!("{}/stock/movements", demo::SITE);
        let asked = other.request_as(one.key(), reqwest::Method::POST, &path);
        let body = json!({ "reference": "other", "at": "2026-06-02T08:00:00+01:00",
            "change": { "of": "ice", "kg": 0.5 } });
        let reply = other.send(asked.json(&body));
        over.store(true, Ordering::SeqCst);
        signal(&one, "-CONT");
        assert_eq!(reply.status, 201, "{}", reply.text);
    });
    // The one that was frozen goes on as well.
    let _ = until(201, || delivered(&one, 1));
}

#[test]
fn a_database_that_only_reads_is_not_ready_and_says_so() {
    let cluster = cluster::asked_for().unwrap();
    let server = demo::fixed_week();
    let name = "current_database()";
    let set = |to: &str| {
        let change = format!(
            "SET TRANSACTION READ WRITE; DO $$ BEGIN EXECUTE format('ALTER DATABASE %I SET \
             default_transaction_read_only = {to}', {name}); END $$"
        );
        let _ = cluster.sql(server.database(), &change);
        // It holds for connections that are made from now on.
        let end = format!(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity \
             WHERE datname = {name} AND pid <> pg_backend_pid()"
        );
        let _ = cluster.sql(server.database(), &end);
    };
    set("on");
    let refused = until(503, || delivered(&server, 1));
    let _ = refused.problem(503, "storage_unavailable");
    assert_eq!(refused.header("retry-after"), "5");
    let _ = until(503, || server.get("/readyz"));
    let _ = until(200, || server.get("/v1/sites"));
    set("off");
    let _ = until(200, || server.get("/readyz"));
    let _ = until(201, || delivered(&server, 2));
}

#[test]
fn a_database_of_a_newer_version_is_refused() {
    let cluster = cluster::asked_for().unwrap();
    let url = cluster.fresh();
    let _ = tests::fizzwright(&["migrate", "--database", &url], b"").well();
    let newer = "INSERT INTO __diesel_schema_migrations (version) VALUES ('29991231000000')";
    let _ = cluster.sql(&url, newer);
    let ended = tests::fizzwright(
        &["serve", "--listen", "127.0.0.1:0", "--database", &url],
        b"",
    );
    assert_eq!(ended.code, Some(1));
    assert!(ended.err.contains("29991231000000"), "{}", ended.err);
}
