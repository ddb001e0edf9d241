//! Signing in while somebody guesses passwords, and while many do at once.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{IpAddr, TcpStream};
use std::thread;
use std::time::Duration;

use reqwest::Method;
use reqwest::blocking::Client;
use serde_json::json;
use tests::{Reply, Server};

const PASSWORD: &str = "four words, well chosen";

const WRONG: &str = "some other words";

/// Goes on until too many have come, however slow the machine is.
fn until_refused(tries: impl Iterator<Item = u16>) -> Vec<u16> {
    let mut seen = Vec::new();
    for status in tries {
        seen.push(status);
        if status == 429 {
            return seen;
        }
    }
    panic!("never refused: {seen:?}");
}

fn ines(server: &Server) {
    let body = json!({ "name": "Ines", "password": PASSWORD, "scopes": ["plan"] });
    let _ = server.post("/v1/people", &body).expect(201);
}

/// Signs in from one of this machine's own addresses.
fn sign_in_from(server: &Server, address: &str, password: &str) -> u16 {
    let from: IpAddr = address.parse().unwrap();
    let client = Client::builder()
        .no_proxy()
        .local_address(from)
        .timeout(Duration::from_secs(120))
        .build()
        .unwrap();
    let body = json!({ "name": "Ines", "password": password });
    let asked = client.post(format!("{}/v1/session", server.root()));
    asked.json(&body).send().unwrap().status().as_u16()
}

fn sign_in_with(server: &Server, cookies: &str, password: &str) -> Reply {
    let body = json!({ "name": "Ines", "password": password });
    let asked = server.stranger(Method::POST, "/v1/session").json(&body);
    server.send(asked.header("Cookie", cookies))
}

/// The cookies an answer sets, to be sent back.
fn cookies(reply: &Reply) -> Vec<String> {
    let set = reply.headers.get_all("set-cookie").iter();
    set.map(|cookie| {
        let text = cookie.to_str().unwrap();
        text.split(';').next().unwrap().to_owned()
    })
    .collect()
}

#[test]
fn guesses_from_elsewhere_lock_nobody_out_where_they_signed_in_before() {
    let server = Server::empty();
    ines(&server);
    assert_eq!(sign_in_from(&server, "127.0.0.1", PASSWORD), 200);
    // Guesses under her name, each from another address, until no more are looked at from elsewhere.
    let guesses = (1..=250).map(|n| sign_in_from(&server, &format!("127.0.1.{n}"), WRONG));
    let guesses: Vec<u16> = until_refused(guesses);
    assert!(guesses.contains(&401), "{guesses:?}");
    assert_eq!(sign_in_from(&server, "127.0.0.1", PASSWORD), 200);
}

#[test]
fn guesses_from_the_same_address_do_not_lock_out_a_known_browser() {
    let server = Server::empty();
    ines(&server);
    let reply = sign_in_with(&server, "a=b", PASSWORD);
    let _ = reply.ok();
    let kept = cookies(&reply);
    let browser = kept.iter().find(|c| c.starts_with("fizzwright_browser="));
    let browser = browser.expect("a token of the browser");
    let guesses: Vec<u16> = (0..12)
        .map(|_| sign_in_with(&server, "a=b", "some other words").status)
        .collect();
    assert_eq!(guesses.last(), Some(&429));
    let _ = sign_in_with(&server, "a=b", PASSWORD).problem(429, "too_many_requests");
    let _ = sign_in_with(&server, browser, PASSWORD).ok();
    // It opens nothing by itself.
    let with_it = server
        .stranger(Method::GET, "/v1/sites")
        .header("Cookie", browser);
    let _ = server.send(with_it).problem(401, "unauthenticated");
    // Who has the browser has no more guesses than others have.
    let guesses: Vec<u16> = (0..12)
        .map(|_| sign_in_with(&server, browser, "some other words").status)
        .collect();
    assert_eq!(guesses.last(), Some(&429));
}

/// What a process has taken of memory at the most, in kilobytes.
fn peak_kb(process: u32) -> u64 {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).unwrap();
    let line = status.lines().find(|line| line.starts_with("VmHWM:"));
    let number = line.unwrap().split_whitespace().nth(1).unwrap();
    number.parse().unwrap()
}

/// Sends one try to sign in over a connection of its own; gives the status and the whole answer.
fn try_made_up(address: &str, n: usize) -> (u16, String) {
    let body = json!({ "name": format!("nobody {n}"), "password": PASSWORD }).to_string();
    let mut stream = TcpStream::connect(address).unwrap();
    stream
        .set_read_timeout(Some(Duration::from_secs(120)))
        .unwrap();
    write!(
        stream,
        "POST /v1/session HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\
         Content-Type: application/json\r\nContent-Length: {}\r\n\r\n{body}",
        body.len()
    )
    .unwrap();
    let mut reader = BufReader::new(stream);
    let mut first = String::new();
    reader.read_line(&mut first).unwrap();
    let status = first.split(' ').nth(1).unwrap_or_default().parse().unwrap();
    let mut rest = String::new();
    reader.read_to_string(&mut rest).unwrap();
    (status, rest.to_lowercase())
}

#[test]
fn many_who_sign_in_at_once_take_no_memory_and_hold_nobody_up() {
    let server = Server::empty();
    let before = peak_kb(server.process());
    let address = server.root().strip_prefix("http://").unwrap();
    let answers = thread::scope(|scope| {
        let tries: Vec<_> = (0..200)
            .map(|n| scope.spawn(move || try_made_up(address, n)))
            .collect();
        // Meanwhile somebody works.
        for _ in 0..5 {
            let _ = server.get("/v1/sites").ok();
        }
        let ended = tries.into_iter().map(|one| one.join().unwrap());
        ended.collect::<Vec<_>>()
    });
    for (status, rest) in &answers {
        match status {
            401 => assert!(rest.contains("bad_sign_in"), "{rest}"),
            429 | 503 => assert!(rest.contains("retry-after"), "{rest}"),
            other => panic!("{other}: {rest}"),
        }
    }
    let hashed = answers.iter().filter(|(status, _)| *status == 401).count();
    assert!((1..=65).contains(&hashed), "{hashed} were hashed");
    let grown = peak_kb(server.process()) - before;
    assert!(grown < 200_000, "{grown} kB more than before");
    // Whoever signs in once that is over can, from a known place or after a while.
    let _ = server.get("/v1/sites").ok();
}
