//! Webhooks: delivered to a receiver of our own, which verifies the signature with Python's own
//! library.

use std::io::{Read, Write};
use std::net::TcpListener;
use std::process::{Command, Stdio};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::Duration;

use serde_json::{Value, json};
use tests::{Server, demo};

/// Verifies as the specification says, with nothing but Python's standard library.
const VERIFY: &str = r#"
import base64, hashlib, hmac, json, sys
told = json.load(sys.stdin)
key = base64.b64decode(told["secret"].removeprefix("whsec_"))
signed = f'{told["id"]}.{told["timestamp"]}.{told["body"]}'.encode()
mine = "v1," + base64.b64encode(hmac.new(key, signed, hashlib.sha256).digest()).decode()
assert any(hmac.compare_digest(mine, given) for given in told["signature"].split(" ")), mine
"#;

/// A request as it came.
#[derive(Debug)]
struct Came {
    headers: Value,
    body: String,
}

/// A receiver that answers with these statuses in turn, the last one for ever.
fn receiver(statuses: &'static [u16]) -> (String, Receiver<Came>) {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = format!("http://{}/hook", listener.local_addr().unwrap());
    let (sender, came) = channel();
    std::thread::spawn(move || {
        for (n, stream) in listener.incoming().enumerate() {
            let mut stream = stream.unwrap();
            let request = read(&mut stream);
            let status = statuses[n.min(statuses.len() - 1)];
            let answer =
                format!("HTTP/1.1 {status} X\r\nContent-Length: 0\r\nConnection: close\r\n\r\n");
            let _ = stream.write_all(answer.as_bytes());
            if sender.send(request).is_err() {
                return;
            }
        }
    });
    (address, came)
}

/// A receiver that answers each request when it is told to.
fn slow_receiver() -> (String, Receiver<Came>, Sender<()>) {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = format!("http://{}/hook", listener.local_addr().unwrap());
    let (sender, came) = channel();
    let (tell, told) = channel();
    std::thread::spawn(move || {
        for stream in listener.incoming() {
            let mut stream = stream.unwrap();
            let known = sender.send(read(&mut stream));
            if known.is_err() || told.recv().is_err() {
                return;
            }
            let answer = b"HTTP/1.1 204 X\r\nContent-Length: 0\r\nConnection: close\r\n\r\n";
            let _ = stream.write_all(answer);
        }
    });
    (address, came, tell)
}

fn read(stream: &mut impl Read) -> Came {
    let mut bytes = Vec::new();
    let mut part = [0; 4096];
    loop {
        let text = String::from_utf8_lossy(&bytes).into_owned();
        if let Some((head, body)) = text.split_once("\r\n\r\n") {
            let mut headers = json!({});
            for line in head.lines().skip(1) {
                let (name, value) = line.split_once(": ").unwrap();
                headers[name.to_lowercase()] = json!(value);
            }
            let length: usize = headers["content-length"].as_str().unwrap().parse().unwrap();
            if body.len() >= length {
                let body = body.to_owned();
                return Came { headers, body };
            }
        }
        let n = stream.read(&mut part).unwrap();
        assert!(n > 0, "the request ends early");
        bytes.extend_from_slice(&part[..n]);
    }
}

fn verify(secret: &str, came: &Came) -> bool {
    let told = json!({
        "secret": secret,
        "id": came.headers["webhook-id"],
        "timestamp": came.headers["webhook-timestamp"],
        "signature": came.headers["webhook-signature"],
        "body": came.body,
    });
    let mut python = Command::new("python3")
        .args(["-c", VERIFY])
        .stdin(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("python3 is there; `make setup` installs it");
    let mut stdin = python.stdin.take().unwrap();
    stdin.write_all(told.to_string().as_bytes()).unwrap();
    drop(stdin);
    python.wait().unwrap().success()
}

fn server() -> Server {
    Server::start(&["--private-webhooks"])
}

fn happen(server: &Server) {
    let site = demo::scenario()["site"].clone();
    let _ = server.post("/v1/sites", &site).expect(201);
}

const PATIENCE: Duration = Duration::from_secs(30);

#[test]
fn events_are_delivered_signed_and_logged() {
    let server = server();
    let (address, came) = receiver(&[204]);
    let hook = json!({ "url": address, "types": ["site.created"], "note": "the till" });
    let reply = server.post("/v1/webhooks", &hook);
    let made = reply.expect(201);
    let path = reply.header("location").to_owned();
    let secret = made["secret"].as_str().unwrap();
    assert!(secret.starts_with("whsec_"));
    let shown = server.get(&path).ok();
    assert!(!shown.to_string().contains("whsec_"), "{shown}");
    happen(&server);
    let first = came.recv_timeout(PATIENCE).unwrap();
    assert!(verify(secret, &first), "{first:?}");
    assert!(!verify("whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw", &first));
    let event: Value = serde_json::from_str(&first.body).unwrap();
    assert_eq!(event, server.get("/v1/events").ok()["events"][0]);

    let log = format!("{path}/deliveries");
    let done = |log: &Value| log["deliveries"][0]["state"] == "delivered";
    let told = server.poll(&log, done);
    assert_eq!(told["deliveries"][0]["last_status"], 204);
    assert_eq!(told["deliveries"][0]["id"], first.headers["webhook-id"]);

    // Sent again, it has the same id; with a new secret, the old one is worth nothing.
    let renewed = server.post(&format!("{path}/secret"), &json!({})).ok();
    let id = told["deliveries"][0]["id"].as_str().unwrap();
    let _ = server
        .post(&format!("{log}/{id}/resend"), &json!({}))
        .expect(202);
    let again = came.recv_timeout(PATIENCE).unwrap();
    assert_eq!(again.headers["webhook-id"], first.headers["webhook-id"]);
    assert_eq!(again.body, first.body);
    assert!(!verify(secret, &again));
    assert!(verify(renewed["secret"].as_str().unwrap(), &again));

    // Only what is wanted; nothing once it is gone.
    let _ = server
        .post(
            &format!("{log}/msg_01975c1e7a587b3e9d2c5d1f0a4b6c7d/resend"),
            &json!({}),
        )
        .problem(404, "unknown_delivery");
    assert_eq!(server.delete(&path).status, 204);
    let _ = server.get(&path).problem(404, "unknown_webhook");
}

#[test]
fn a_receiver_that_fails_is_asked_again_and_one_that_is_gone_is_not() {
    let server = server();
    let (failing, came) = receiver(&[503, 200]);
    let (gone, _kept) = receiver(&[410]);
    let hook = |url: &str| {
        let reply = server.post("/v1/webhooks", &json!({ "url": url }));
        let _ = reply.expect(201);
        reply.header("location").to_owned()
    };
    let (failing, gone) = (hook(&failing), hook(&gone));
    happen(&server);
    let first = came.recv_timeout(PATIENCE).unwrap();
    let second = came.recv_timeout(PATIENCE).unwrap();
    assert_eq!(first.headers["webhook-id"], second.headers["webhook-id"]);
    let log = server.poll(&format!("{failing}/deliveries"), |log| {
        log["deliveries"][0]["state"] == "delivered"
    });
    assert_eq!(log["deliveries"][0]["attempts"], 2);
    let disabled = server.poll(&gone, |hook| hook["enabled"] == false);
    assert!(disabled["disabled_why"].as_str().unwrap().contains("410"));
    let mut back = json!({ "url": disabled["url"], "enabled": true });
    let enabled = server.put(&gone, &back).ok();
    assert_eq!(enabled["enabled"], true);
    back["site"] = json!("nowhere");
    let _ = server.put(&gone, &back).problem(404, "unknown_site");
}

#[test]
fn receivers_do_not_wait_for_each_other() {
    let server = server();
    let (slow, came_slowly, tell) = slow_receiver();
    let (quick, came) = receiver(&[204]);
    let hook = |url: &str| {
        let reply = server.post("/v1/webhooks", &json!({ "url": url }));
        let _ = reply.expect(201);
        reply.header("location").to_owned()
    };
    let slow = hook(&slow);
    let _ = hook(&quick);
    happen(&server);
    let first = came_slowly.recv_timeout(PATIENCE).unwrap();
    let _ = came.recv_timeout(PATIENCE).unwrap();
    // While the slow one has not answered, more happens, and the quick one hears of it.
    let mut site = demo::scenario()["site"].clone();
    for id in ["second-bar", "third-bar"] {
        site["id"] = json!(id);
        let _ = server.post("/v1/sites", &site).expect(201);
        let next = came.recv_timeout(PATIENCE).unwrap();
        assert!(next.body.contains(id), "{next:?}");
    }
    // The slow one was asked once, and nothing else was sent to it meanwhile.
    assert!(came_slowly.try_recv().is_err());
    tell.send(()).unwrap();
    let log = format!("{slow}/deliveries");
    let id = &first.headers["webhook-id"];
    let first = |log: &Value| {
        let mut all = log["deliveries"].as_array().unwrap().iter();
        all.find(|found| found["id"] == *id).unwrap().clone()
    };
    let log = server.poll(&log, |log| first(log)["state"] == "delivered");
    assert_eq!(first(&log)["attempts"], 1, "{log}");
}

#[test]
fn private_networks_are_refused_unless_allowed() {
    let strict = Server::empty();
    for url in [
        "http://till.example/",
        "https://127.0.0.1:9/",
        "https://10.0.0.1/",
        "https://[::1]/",
        "https://localhost/",
    ] {
        let reply = strict.post("/v1/webhooks", &json!({ "url": url }));
        let problem = reply.problem(422, "invalid");
        assert_eq!(problem["errors"][0]["field"], "url", "{url}");
    }
}
