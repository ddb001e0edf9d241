//! Which addresses are on the open internet.
//!
//! What is refused is what the special-purpose address registries (RFC 6890) mark as not globally
//! reachable, and multicast.

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};

/// Whether an address is on the open internet.
pub(crate) fn is_public(ip: IpAddr) -> bool {
    match ip {
        IpAddr::V4(ip) => v4(ip),
        IpAddr::V6(ip) => v6(ip),
    }
}

fn v4(ip: Ipv4Addr) -> bool {
    let [a, b, c, _] = ip.octets();
    let special = ip.is_unspecified()
        || a == 0
        || ip.is_private()
        || ip.is_loopback()
        || ip.is_link_local()
        || ip.is_broadcast()
        || ip.is_documentation()
        || ip.is_multicast()
        // Shared by carriers (RFC 6598), protocol assignments, benchmarks (RFC 2544), reserved.
        || (a == 100 && (64..128).contains(&b))
        || (a == 192 && b == 0 && c == 0)
        || (a == 198 && (18..20).contains(&b))
        || a >= 240;
    !special
}

fn v6(ip: Ipv6Addr) -> bool {
    // An address of version 4 in other clothes: mapped, compatible, NAT64 (RFC 6052), 6to4.
    if let Some(inner) = ip.to_ipv4() {
        return v4(inner);
    }
    let s = ip.segments();
    let low = Ipv4Addr::from(((u32::from(s[6])) << 16) | u32::from(s[7]));
    if s[..6] == [0x64, 0xff9b, 0, 0, 0, 0] {
        return v4(low);
    }
    if s[0] == 0x2002 {
        return v4(Ipv4Addr::from((u32::from(s[1]) << 16) | u32::from(s[2])));
    }
    // Global unicast is 2000::/3; out of it the registries take protocol assignments and examples.
    let global = s[0] & 0xe000 == 0x2000;
    let protocol = s[0] == 0x2001 && s[1] < 0x0200;
    let example = s[0] == 0x2001 && s[1] == 0x0db8 || s[0] == 0x3fff && s[1] < 0x1000;
    global && !protocol && !example
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn special_addresses_are_not_public() {
        let special = [
            "0.0.0.0",
            "0.1.2.3",
            "10.1.2.3",
            "100.64.0.1",
            "127.0.0.1",
            "169.254.169.254",
            "172.16.0.1",
            "172.31.255.255",
            "192.0.0.1",
            "192.0.2.1",
            "192.168.1.1",
            "198.18.0.1",
            "198.51.100.7",
            "203.0.113.9",
            "224.0.0.1",
            "240.0.0.1",
            "255.255.255.255",
            "::",
            "::1",
            "::ffff:192.168.1.1",
            "::10.0.0.1",
            "64:ff9b::a00:1",
            "2002:0a00:0001::1",
            "2001:db8::1",
            "2001::1",
            "3fff::1",
            "fc00::1",
            "fd12:3456::1",
            "fe80::1",
            "ff02::1",
        ];
        for ip in special {
            assert!(!is_public(ip.parse().unwrap()), "{ip}");
        }
        let open = [
            "1.1.1.1",
            "8.8.8.8",
            "100.63.0.1",
            "172.32.0.1",
            "192.0.1.1",
            "2606:4700::1111",
            "2a00:1450::1",
            "64:ff9b::101:101",
        ];
        for ip in open {
            assert!(is_public(ip.parse().unwrap()), "{ip}");
        }
    }
}
