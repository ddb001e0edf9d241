//! What honest callers notice of attacks: the time of `GET /v1/sites` and the service's memory, with
//! each attack and without it, from one run.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::process::{Command, Stdio};
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use reqwest::Method;
use serde_json::{Value, json};
use tests::{Server, demo};

use super::{memory, percentile};

/// How long each attack goes on.
const LASTS: Duration = Duration::from_secs(6);

/// How long memory has to come back.
const RESTS: Duration = Duration::from_secs(5);

/// An attack: what it is called, and what it sends once, again and again until it is told to stop.
type Attack = (&'static str, usize, fn(&Server, usize));

const ATTACKS: [Attack; 6] = [
    ("compressed bodies (8 at once)", 8, compressed),
    ("sign-ins with made-up names (200 at once)", 200, sign_in),
    ("patches that copy what they copied (8 at once)", 8, patch),
    ("stalled uploads (530 at once)", 530, stalled),
    ("plans of an hour (100)", 4, long_plan),
    ("curves with a reading key (18 at once)", 18, curve),
];

/// What an honest caller saw in a while.
struct Seen {
    median_ms: f64,
    p99_ms: f64,
    failed: usize,
}

/// Prints a row for each attack, each on a server of its own.
pub(crate) fn timed() {
    println!(
        "| Attack | honest GET, median ms: without | during | ratio | p99 ms: without | during | \
         honest failures | memory MB: before | peak | after |"
    );
    println!("|---|---|---|---|---|---|---|---|---|---|");
    for attack in &ATTACKS {
        row(attack);
    }
    println!();
}

fn row((name, callers, once): &Attack) {
    let server = demo::fixed_week();
    let _ = honest(&server, Duration::from_secs(1));
    let without = honest(&server, LASTS);
    let (before, _) = memory(&server);
    let stop = AtomicBool::new(false);
    let during = thread::scope(|scope| {
        for n in 0..*callers {
            let (server, stop) = (&server, &stop);
            scope.spawn(move || {
                while !stop.load(Ordering::SeqCst) {
                    once(server, n);
                }
            });
        }
        thread::sleep(Duration::from_millis(500));
        let during = honest(&server, LASTS);
        stop.store(true, Ordering::SeqCst);
        during
    });
    let (_, peak) = memory(&server);
    cancel_all(&server);
    thread::sleep(RESTS);
    let (after, _) = memory(&server);
    println!(
        "| {name} | {:.1} | {:.1} | {:.1} | {:.1} | {:.1} | {} | {before:.0} | {peak:.0} | {after:.0} |",
        without.median_ms,
        during.median_ms,
        during.median_ms / without.median_ms,
        without.p99_ms,
        during.p99_ms,
        during.failed,
    );
}

/// An honest caller who asks for the sites, a hundred times a second at most.
fn honest(server: &Server, lasts: Duration) -> Seen {
    let (begun, mut took, mut failed) = (Instant::now(), Vec::new(), 0);
    while begun.elapsed() < lasts {
        let asked = Instant::now();
        let reply = server.request(Method::GET, "/v1/sites").send();
        took.push(asked.elapsed().as_secs_f64() * 1000.0);
        if reply.map_or(true, |reply| reply.status() != 200) {
            failed += 1;
        }
        thread::sleep(Duration::from_millis(10));
    }
    Seen {
        median_ms: percentile(&mut took, 0.5),
        p99_ms: percentile(&mut took, 0.99),
        failed,
    }
}

/// A zstd frame of blocks that each repeat one byte (RFC 8878): 33 KB that say 1.3 GB.
fn repeated() -> Vec<u8> {
    let mut frame = vec![0x28, 0xb5, 0x2f, 0xfd, 0x00, 0x58];
    let block: u32 = 128 * 1024;
    for n in 0..10_000_u32 {
        let header = (block << 3) | (1 << 1) | u32::from(n == 9_999);
        frame.extend_from_slice(&header.to_le_bytes()[..3]);
        frame.push(b' ');
    }
    frame
}

/// What gzip makes of 1.3 GB of zeros.
fn packed() -> Vec<u8> {
    let mut gzip = Command::new("bash")
        .args(["-c", "head -c 1300000000 /dev/zero | gzip -1"])
        .stdout(Stdio::piped())
        .spawn()
        .expect("gzip runs");
    let mut bytes = Vec::new();
    let mut out = gzip.stdout.take().expect("stdout is piped");
    out.read_to_end(&mut bytes).expect("gzip writes");
    let _ = gzip.wait();
    bytes
}

fn compressed(server: &Server, n: usize) {
    static PACKED: OnceLock<Vec<u8>> = std::sync::OnceLock::new();
    let (coding, body) = match n % 2 {
        0 => ("zstd", repeated()),
        _ => ("gzip", PACKED.get_or_init(packed).clone()),
    };
    let request = server
        .stranger(Method::POST, "/v1/session")
        .header("Content-Type", "application/json")
        .header("Content-Encoding", coding);
    let _ = request.body(body).send();
}

fn sign_in(server: &Server, n: usize) {
    let body = json!({ "name": format!("nobody-{n}"), "password": "four words, badly chosen" });
    let _ = server
        .stranger(Method::POST, "/v1/session")
        .json(&body)
        .send();
}

fn patch(server: &Server, _: usize) {
    let copies: Vec<Value> = (0..24)
        .map(|n| json!({ "op": "copy", "from": "/setup", "path": format!("/setup/x{n}") }))
        .collect();
    let changes = json!([{ "label": "all of it twice", "patch": copies }]);
    let mut body = demo::week();
    body["changes"] = changes;
    let path = format!("{}/what-if", demo::SITE);
    let _ = server.request(Method::POST, &path).json(&body).send();
}

fn stalled(server: &Server, _: usize) {
    let address = server.root().trim_start_matches("http://").to_owned();
    let Ok(mut stream) = TcpStream::connect(address) else {
        return;
    };
    let _ = stream.set_read_timeout(Some(LASTS + Duration::from_secs(1)));
    let head = format!(
        "POST {}/demand HTTP/1.1\r\nHost: bar\r\nAuthorization: Bearer {}\r\n\
         Content-Type: text/csv\r\nContent-Length: 4000000\r\n\r\nid,product,due,litres\r\n",
        demo::SITE,
        server.key()
    );
    let _ = stream.write_all(head.as_bytes());
    let _ = stream.read(&mut [0; 512]);
}

fn long_plan(server: &Server, _: usize) {
    let mut body = demo::week();
    body["time_limit_s"] = json!(3600);
    body["gap"] = json!(0);
    let path = format!("{}/plans", demo::SITE);
    let _ = server.request(Method::POST, &path).json(&body).send();
    thread::sleep(Duration::from_millis(200));
}

fn curve(server: &Server, _: usize) {
    let path = format!("{}/capacity/curve", demo::SITE);
    let request = server.request(Method::POST, &path).json(&demo::week());
    let _ = request.timeout(LASTS).send();
}

/// Cancels what is still asked for.
fn cancel_all(server: &Server) {
    let plans = server
        .get(&format!("{}/plans?limit=500", demo::SITE))
        .json();
    for plan in plans["plans"].as_array().into_iter().flatten() {
        let id = plan["id"].as_str().unwrap_or_default();
        let _ = server.post(&format!("/v1/plans/{id}/cancel"), &json!({}));
    }
}
