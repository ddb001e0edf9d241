//! Traces: a request's span goes on with the caller's trace and arrives at a receiver.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use reqwest::Method;
use tests::{Server, fizzwright};

/// What came: path, type of the content, body.
type Came = (String, String, Vec<u8>);

/// A receiver that takes everything.
fn receiver() -> (String, Receiver<Came>) {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = format!("http://{}", listener.local_addr().unwrap());
    let (sender, came) = channel();
    std::thread::spawn(move || {
        for stream in listener.incoming() {
            let stream = stream.unwrap();
            // One client that keeps its connection; whatever it sends is one request after another.
            while let Some(request) = taken(&stream) {
                if sender.send(request).is_err() {
                    return;
                }
            }
        }
    });
    (address, came)
}

fn taken(stream: &TcpStream) -> Option<Came> {
    let mut lines = BufReader::new(stream);
    let mut line = String::new();
    let first = lines.read_line(&mut line).ok().filter(|read| *read > 0);
    first?;
    let path = line.split(' ').nth(1)?.to_owned();
    let (mut length, mut kind) = (0, String::new());
    loop {
        line.clear();
        lines.read_line(&mut line).ok()?;
        let (name, value) = match line.trim().split_once(':') {
            Some((name, value)) => (name.to_lowercase(), value.trim().to_owned()),
            None => break,
        };
        match name.as_str() {
            "content-length" => length = value.parse().ok()?,
            "content-type" => kind = value,
            _ => {}
        }
    }
    let mut body = vec![0; length];
    lines.read_exact(&mut body).ok()?;
    let mut out = stream;
    out.write_all(b"HTTP/1.1 200 OK\r\ncontent-length: 0\r\n\r\n")
        .ok()?;
    Some((path, kind, body))
}

fn holds(body: &[u8], part: &[u8]) -> bool {
    body.windows(part.len()).any(|window| window == part)
}

/// Trace and parent are the example of the W3C recommendation on trace context, section 3.2.
#[test]
fn a_request_goes_on_with_its_callers_trace() {
    let (address, came) = receiver();
    let mut server = Server::start(&["--otlp-endpoint", &address]);
    let parent = "00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01";
    let request = server.request(Method::GET, "/v1/sites");
    let reply = server.send(request.header("traceparent", parent));
    assert_eq!(reply.status, 200);
    // Stopped politely, it sends what it has.
    server.stop_and_restart();
    let mut bodies = Vec::new();
    let trace = 0x0af7_6519_16cd_43dd_8448_eb21_1c80_319c_u128.to_be_bytes();
    let span = 0xb7ad_6b71_6920_3331_u64.to_be_bytes();
    while let Ok((path, kind, body)) = came.recv_timeout(Duration::from_secs(10)) {
        assert_eq!(path, "/v1/traces");
        assert_eq!(kind, "application/x-protobuf");
        if holds(&body, &trace) {
            assert!(holds(&body, &span), "the caller's span is the parent");
            assert!(holds(&body, b"list_sites"), "what it was is told");
            assert!(holds(&body, b"fizzwright"), "and by whom");
            assert!(!holds(&body, server.key().as_bytes()), "but nothing secret");
            return;
        }
        bodies.push(body.len());
    }
    panic!("no span of that trace came; batches of {bodies:?} bytes did");
}

#[test]
fn a_secret_address_is_in_no_trace() {
    let (address, came) = receiver();
    let mut server = Server::start(&["--otlp-endpoint", &address]);
    let secret = "5f2b0c7d".repeat(8);
    for path in [
        format!("/v1/calendars/{secret}.ics"),
        format!("/v1/{secret}"),
    ] {
        let reply = server.send(server.stranger(Method::GET, &path));
        assert_eq!(reply.status, 404);
    }
    server.stop_and_restart();
    let mut told = false;
    while let Ok((_, _, body)) = came.recv_timeout(Duration::from_secs(10)) {
        assert!(!holds(&body, secret.as_bytes()));
        told |= holds(&body, b"/v1/calendars/{secret}.ics");
        if told && holds(&body, b"/v1/*") {
            return;
        }
    }
    panic!("the patterns of the paths did not come");
}

#[test]
fn nothing_is_sent_where_nothing_is_set() {
    let shown = fizzwright(&["config"], b"").well();
    assert!(!shown.out.contains("otlp"), "{}", shown.out);
    let wrong = fizzwright(&["config", "--otlp-endpoint", "grpc://h:4317"], b"");
    assert_eq!(wrong.code, Some(2));
    let text = wrong.err;
    assert!(
        text.contains("otlp_endpoint") && text.contains("http"),
        "{text}"
    );
}
