//! The life of the process: what it does first, and how it ends.

use std::net::TcpListener;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tests::{Server, demo, fizzwright, program};

/// A request that keeps the solver busy for a while.
fn hard() -> Value {
    let mut body = demo::week();
    body["grid_minutes"] = json!(15);
    body["gap"] = json!(0);
    body["time_limit_s"] = json!(100);
    body
}

fn terminate(process: u32) {
    let sent = Command::new("kill")
        .args(["-TERM", &process.to_string()])
        .status();
    assert!(sent.unwrap().success());
}

#[test]
fn a_port_that_is_taken_leaves_no_trace_in_the_database() {
    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = taken.local_addr().unwrap().to_string();
    let dir = tempfile::tempdir().unwrap();
    let database = dir.path().join("x.sqlite");
    let arguments = [
        "serve",
        "--demo",
        "--listen",
        &address,
        "--database",
        database.to_str().unwrap(),
    ];
    let ended = fizzwright(&arguments, b"");
    assert_eq!(ended.code, Some(1), "{}", ended.err);
    assert!(ended.err.contains("--listen"), "{}", ended.err);
    assert!(!ended.out.contains("fizz_"), "{}", ended.out);
    assert!(!database.exists());
}

#[test]
fn a_first_key_that_cannot_be_written_is_not_made() {
    let dir = tempfile::tempdir().unwrap();
    let database = dir.path().join("x.sqlite");
    let nowhere = dir.path().join("nowhere").join("key");
    let serve = |key: &std::path::Path| {
        Command::new(program::path())
            .args(["serve", "--listen", "127.0.0.1:0", "--database"])
            .arg(&database)
            .arg("--key-file")
            .arg(key)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap()
    };
    let ended = serve(&nowhere).wait_with_output().unwrap();
    assert_eq!(ended.status.code(), Some(1));
    let said = String::from_utf8_lossy(&ended.stderr);
    assert!(said.contains("--key-file"), "{said}");
    // The next start makes it.
    let key = dir.path().join("key");
    let mut child = serve(&key);
    let begun = Instant::now();
    let written = || std::fs::read_to_string(&key).is_ok_and(|text| text.starts_with("fizz_"));
    while !written() {
        assert!(begun.elapsed() < Duration::from_secs(60), "there is no key");
        std::thread::sleep(Duration::from_millis(20));
    }
    child.kill().unwrap();
    child.wait().unwrap();
}

#[test]
fn a_stop_puts_the_search_back_into_the_queue() {
    let mut server = demo::fixed_week();
    let reply = server.post(&format!("{}/plans", demo::SITE), &hard());
    let path = reply.header("location").to_owned();
    let _ = server.poll(&path, |plan| plan["state"] == "running");
    terminate(server.process());
    let ended = server.ended();
    assert!(ended.success(), "{ended}");
    let id = path.rsplit('/').next().unwrap();
    let row = format!("SELECT state, deaths FROM plans WHERE id = '{id}'");
    assert_eq!(server.sql(&row), "queued|0");
}

#[test]
fn a_second_signal_does_not_wait_for_the_grace() {
    let mut server = Server::start(&["--shutdown-grace-s", "600"]);
    // A request that never ends holds a polite stop up.
    let address = server.root().trim_start_matches("http://").to_owned();
    let mut half = std::net::TcpStream::connect(address).unwrap();
    let head = "POST /v1/session HTTP/1.1\r\nhost: x\r\ncontent-type: application/json\r\n\
                content-length: 100\r\n\r\n{";
    std::io::Write::write_all(&mut half, head.as_bytes()).unwrap();
    assert_eq!(server.get("/healthz").status, 200);
    terminate(server.process());
    std::thread::sleep(Duration::from_millis(300));
    terminate(server.process());
    let begun = Instant::now();
    let _ = server.ended();
    assert!(begun.elapsed() < Duration::from_secs(60));
}

#[test]
fn a_search_that_does_not_look_up_does_not_outlast_the_grace() {
    let mut server = Server::start(&["--shutdown-grace-s", "1"]);
    demo::store(&server);
    let mut body = hard();
    body["days"] = json!(56);
    let reply = server.post(&format!("{}/plans", demo::SITE), &body);
    let path = reply.header("location").to_owned();
    let _ = server.poll(&path, |plan| plan["state"] == "running");
    // Wherever in its work it is.
    std::thread::sleep(Duration::from_millis(700));
    terminate(server.process());
    let begun = Instant::now();
    let _ = server.ended();
    assert!(
        begun.elapsed() < Duration::from_secs(15),
        "{:?}",
        begun.elapsed()
    );
}
