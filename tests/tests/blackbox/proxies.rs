//! Who is counted where a proxy stands before the service.

use reqwest::Method;
use tests::Server;

/// Asks without a key, as a proxy would that says whom it was asked by.
fn asked(server: &Server, forwarded: &str) -> u16 {
    let request = server.stranger(Method::GET, "/v1/sites");
    server.send(request.header("Forwarded", forwarded)).status
}

/// Asks until it is told to come again later.
fn exhaust(server: &Server, forwarded: &str) {
    let refused = (0..5000).any(|_| asked(server, forwarded) == 429);
    assert!(refused, "{forwarded} is never slowed down");
}

#[test]
fn behind_a_trusted_proxy_each_client_is_counted_for_itself() {
    let server = Server::start(&["--trusted-proxy", "127.0.0.1"]);
    exhaust(&server, "for=192.0.2.1");
    assert_eq!(asked(&server, "for=192.0.2.2"), 401);
    assert_eq!(asked(&server, "for=\"[2001:db8::1]:4711\""), 401);
    // What the client itself wrote before the proxy did makes no difference.
    let refused = (0..250).any(|n| {
        let made_up = format!("for=198.51.100.{n}, for=192.0.2.1");
        asked(&server, &made_up) == 429
    });
    assert!(
        refused,
        "whoever makes up addresses before the proxy's is never slowed down"
    );
}

#[test]
fn nobody_else_is_believed() {
    let server = Server::start(&["--trusted-proxy", "10.0.0.0/8"]);
    let refused = (0..5000).any(|n| {
        let made_up = format!("for=192.0.{}.{}", n / 250, n % 250);
        asked(&server, &made_up) == 429
    });
    assert!(refused, "whoever makes up addresses is never slowed down");
}
