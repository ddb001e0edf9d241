//! A locked database, a full disk, a client that goes away: nothing lost, a clear answer, and on it
//! goes. With a file of SQLite's.

use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::process::{Command, Stdio};

use serde_json::{Value, json};
use tests::{Server, demo};

const STOCK: &str = "/v1/sites/harbour-bar/stock";

fn ice(n: usize) -> Value {
    json!({ "reference": format!("delivery-{n}"), "at": "2026-06-02T08:00:00+01:00",
        "change": { "of": "ice", "kg": 0.5 } })
}

/// Holds the database's lock until its input ends.
const HOLD: &str = "
import sqlite3, sys
held = sqlite3.connect(sys.argv[1], isolation_level=None)
held.execute('BEGIN IMMEDIATE')
print('held', flush=True)
sys.stdin.read()
held.execute('ROLLBACK')
";

#[test]
fn a_locked_database_is_a_clear_answer_and_nothing_is_lost() {
    let server = demo::fixed_week();
    let mut other = Command::new("python3")
        .args(["-c", HOLD, server.database()])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("python3 runs");
    let mut said = String::new();
    let out = other.stdout.take().expect("it is piped");
    BufReader::new(out).read_line(&mut said).unwrap();
    assert_eq!(said.trim(), "held");

    let moves = format!("{STOCK}/movements");
    let refused = server.post(&moves, &ice(1));
    let problem = refused.problem(503, "storage_unavailable");
    assert_eq!(refused.header("retry-after"), "5");
    assert!(!problem.to_string().contains("sqlite"), "{problem}");
    // What is only read goes on.
    assert_eq!(server.get(STOCK).ok()["movements"], 0);

    drop(other.stdin.take());
    assert!(other.wait().unwrap().success());
    let _ = server.post(&moves, &ice(1)).expect(201);
    assert_eq!(server.get(STOCK).ok()["movements"], 1);
}

#[test]
fn a_full_disk_is_a_clear_answer_and_what_was_acknowledged_is_kept() {
    let mut server = Server::cramped(1500);
    demo::store(&server);
    let moves = format!("{STOCK}/movements");
    let full = (0..5000).find_map(|n| {
        let reply = server.post(&moves, &ice(n));
        (reply.status != 201).then_some((n, reply))
    });
    let (kept, reply) = full.expect("there is no room at last");
    assert!(kept > 0);
    let _ = reply.problem(503, "storage_unavailable");
    assert_eq!(server.get(STOCK).ok()["movements"], kept);
    assert_eq!(server.get("/healthz").status, 200);
    // There is room again: it goes on by itself.
    let freed = Command::new("prlimit")
        .args(["--fsize=unlimited:unlimited", "--pid"])
        .arg(server.process().to_string())
        .status()
        .expect("prlimit runs");
    assert!(freed.success());
    let _ = server.post(&moves, &ice(kept)).expect(201);
    server.crash_and_restart();
    assert_eq!(server.get(STOCK).ok()["movements"], kept + 1);
}

#[test]
fn a_client_that_goes_away_leaves_nothing_half_done() {
    let server = demo::fixed_week();
    let address = server.root().trim_start_matches("http://").to_owned();
    let body = ice(1).to_string();
    for part in [0, 1, body.len() / 2, body.len() - 1] {
        let mut stream = TcpStream::connect(&address).unwrap();
        let head = format!(
            "POST {STOCK}/movements HTTP/1.1\r\nhost: x\r\nauthorization: Bearer {}\r\n\
             content-type: application/json\r\ncontent-length: {}\r\n\r\n",
            server.key(),
            body.len()
        );
        stream.write_all(head.as_bytes()).unwrap();
        stream.write_all(&body.as_bytes()[..part]).unwrap();
        drop(stream);
    }
    // One that sends everything and does not wait: it is done or not, and a repeat tells which.
    let mut stream = TcpStream::connect(&address).unwrap();
    let head = format!(
        "GET /v1/events/stream HTTP/1.1\r\nhost: x\r\nauthorization: Bearer {}\r\n\r\n",
        server.key()
    );
    stream.write_all(head.as_bytes()).unwrap();
    drop(stream);
    assert_eq!(server.get(STOCK).ok()["movements"], 0);
    let _ = server
        .post(&format!("{STOCK}/movements"), &ice(1))
        .expect(201);
    assert_eq!(server.get(STOCK).ok()["movements"], 1);
}
