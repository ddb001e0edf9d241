//! Where a request comes from: the address of the peer, or the one that trusted proxies tell of.

use std::net::{IpAddr, Ipv6Addr};

use actix_web::http::header::FORWARDED;
use actix_web::{HttpRequest, web};
use ipnet::IpNet;

use super::forwarded::{Hop, hops};
use super::state::HttpState;

/// The proxies whose word is taken for where a request comes from.
#[derive(Debug, Clone, Default)]
pub(super) struct TrustedProxies(pub(super) Vec<IpNet>);

impl TrustedProxies {
    fn has(&self, address: &IpAddr) -> bool {
        self.0.iter().any(|network| network.contains(address))
    }

    /// The first address on the way back from the service that is no trusted proxy's. Where the way
    /// breaks off, it is the last proxy's.
    fn client<'a>(&self, peer: IpAddr, headers: impl Iterator<Item = &'a str>) -> IpAddr {
        let mut client = peer.to_canonical();
        for hop in headers.flat_map(hops) {
            if !self.has(&client) {
                break;
            }
            match hop {
                Hop::Address(address) => client = address,
                Hop::Hidden => break,
            }
        }
        client
    }
}

/// The address a request comes from, if there is one.
fn address(request: &HttpRequest) -> Option<IpAddr> {
    let peer = request.peer_addr()?.ip();
    let state = request.app_data::<web::Data<HttpState>>()?;
    let headers: Vec<&str> = request
        .headers()
        .get_all(FORWARDED)
        // What cannot be read as text hides who it was.
        .map(|value| value.to_str().unwrap_or("for=unknown"))
        .collect();
    let latest_first = headers.into_iter().rev();
    Some(state.trusted_proxies.client(peer, latest_first))
}

/// The address a request comes from, as text; nothing where it has none.
pub(crate) fn client_address(request: &HttpRequest) -> String {
    address(request).map_or_else(String::new, |address| address.to_string())
}

/// What requests from one place are counted under: the address, or the network where one customer
/// has as many addresses as they like (a /64 of version 6).
pub(crate) fn client_network(request: &HttpRequest) -> String {
    address(request).map_or_else(String::new, |address| network(address).to_string())
}

fn network(address: IpAddr) -> IpAddr {
    match address {
        IpAddr::V4(_) => address,
        IpAddr::V6(ip) => {
            let [a, b, c, d, ..] = ip.segments();
            Ipv6Addr::new(a, b, c, d, 0, 0, 0, 0).into()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(peer: &str, headers: &[&str], expected: &str) {
        let given = ["127.0.0.1/32", "10.0.0.0/8", "2001:db8:1::/48"];
        let trusted = TrustedProxies(given.map(|text| text.parse().unwrap()).to_vec());
        let found = trusted.client(peer.parse().unwrap(), headers.iter().rev().copied());
        assert_eq!(found.to_string(), expected, "{peer} {headers:?}");
    }

    #[test]
    fn only_trusted_proxies_are_believed() {
        check("192.0.2.1", &["for=198.51.100.1"], "192.0.2.1");
        check("127.0.0.1", &["for=198.51.100.1"], "198.51.100.1");
        check("::ffff:127.0.0.1", &["for=198.51.100.1"], "198.51.100.1");
        check("127.0.0.1", &[], "127.0.0.1");
    }

    #[test]
    fn the_way_back_ends_at_the_first_that_is_not_trusted() {
        let made_up = "for=9.9.9.9, for=198.51.100.1, for=10.0.0.2";
        check("127.0.0.1", &[made_up], "198.51.100.1");
        check(
            "127.0.0.1",
            &[
                "for=9.9.9.9",
                "for=198.51.100.1",
                "for=\"[2001:db8:1::9]:80\"",
            ],
            "198.51.100.1",
        );
        check("127.0.0.1", &["for=10.0.0.3, for=10.0.0.2"], "10.0.0.3");
    }

    #[test]
    fn where_the_way_breaks_off_it_is_the_last_proxy() {
        check("127.0.0.1", &["for=9.9.9.9, for=unknown"], "127.0.0.1");
        check("127.0.0.1", &["for=_hidden, for=10.0.0.2"], "10.0.0.2");
    }

    #[test]
    fn a_customers_addresses_count_as_one() {
        let of = |text: &str| network(text.parse().unwrap()).to_string();
        assert_eq!(of("2001:db8:1:2:3:4:5:6"), "2001:db8:1:2::");
        assert_eq!(of("192.0.2.7"), "192.0.2.7");
    }
}
