//! The `Forwarded` header (RFC 7239), read from its end.
//!
//! Each proxy adds what it saw on the right. Only what trusted proxies added may be believed, and
//! whatever stands to the left may be made up by the client; so it is read from right to left, and
//! nothing on the left can change what the right means.

use std::net::{IpAddr, SocketAddr};

/// What a proxy says about whom it was asked by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Hop {
    /// An address.
    Address(IpAddr),
    /// `unknown`, an obfuscated name, or nothing that can be read.
    Hidden,
}

/// What stands in a header, the latest first.
pub(super) fn hops(header: &str) -> impl Iterator<Item = Hop> {
    from_the_right(header, ',').map(hop)
}

fn hop(element: &str) -> Hop {
    let mut named = from_the_right(element, ';').filter_map(|pair| {
        let (name, value) = pair.split_once('=')?;
        name.trim().eq_ignore_ascii_case("for").then_some(value)
    });
    match (named.next(), named.next()) {
        (Some(value), None) => address(value.trim()).map_or(Hop::Hidden, Hop::Address),
        _ => Hop::Hidden,
    }
}

/// An address with or without a port, in quotes or not; one of version 6 stands in brackets.
fn address(value: &str) -> Option<IpAddr> {
    let bare = value.strip_prefix('"').and_then(|v| v.strip_suffix('"'));
    let bare = bare.unwrap_or(value);
    let with_port = || Some(bare.parse::<SocketAddr>().ok()?.ip());
    let found = match bare.strip_prefix('[').and_then(|v| v.strip_suffix(']')) {
        Some(inner) => IpAddr::V6(inner.parse().ok()?),
        None => IpAddr::V4(match bare.parse() {
            Ok(address) => address,
            Err(_) => return with_port().map(|ip| ip.to_canonical()),
        }),
    };
    Some(found.to_canonical())
}

/// The parts of a text between separators that stand outside quotes, from its end to its start.
fn from_the_right(text: &str, separator: char) -> impl Iterator<Item = &str> {
    let mut rest = Some(text);
    std::iter::from_fn(move || {
        let text = rest?;
        let (before, part) = match last_outside_quotes(text, separator) {
            Some(at) => (Some(&text[..at]), &text[at + separator.len_utf8()..]),
            None => (None, text),
        };
        rest = before;
        Some(part)
    })
    .filter(|part| !part.trim().is_empty())
}

fn last_outside_quotes(text: &str, separator: char) -> Option<usize> {
    let mut quoted = false;
    for (at, c) in text.char_indices().rev() {
        if c == '"' && !(quoted && escaped(&text[..at])) {
            quoted = !quoted;
        } else if c == separator && !quoted {
            return Some(at);
        }
    }
    None
}

/// Whether what follows is escaped: an odd number of backslashes stands before it.
fn escaped(before: &str) -> bool {
    before.chars().rev().take_while(|c| *c == '\\').count() % 2 == 1
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(header: &str, expected: &str) {
        let shown = hops(header).map(|hop| match hop {
            Hop::Address(ip) => ip.to_string(),
            Hop::Hidden => "?".to_owned(),
        });
        assert_eq!(shown.collect::<Vec<_>>().join(" "), expected, "{header}");
    }

    /// The examples of RFC 7239, sections 4, 6 and 7.1.
    #[test]
    fn the_examples_of_the_specification_are_read() {
        check("for=\"_gazonk\"", "?");
        check("For=\"[2001:db8:cafe::17]:4711\"", "2001:db8:cafe::17");
        check("for=192.0.2.60;proto=http;by=203.0.113.43", "192.0.2.60");
        check(
            "for=192.0.2.43, for=198.51.100.17",
            "198.51.100.17 192.0.2.43",
        );
        check(
            "for=192.0.2.43, for=\"[2001:db8:cafe::17]\", for=unknown",
            "? 2001:db8:cafe::17 192.0.2.43",
        );
        check("for=\"192.0.2.43:47011\"", "192.0.2.43");
    }

    #[test]
    fn nothing_on_the_left_changes_what_the_right_means() {
        check("for=\"evil, for=192.0.2.1", "192.0.2.1 ?");
        check("for=\"\\, for=192.0.2.1", "192.0.2.1 ?");
        check(
            "for=10.0.0.1, for=192.0.2.1;host=\"a, for=9.9.9.9\"",
            "192.0.2.1 10.0.0.1",
        );
        check(
            "for=192.0.2.1;host=\"a\\\", for=9.9.9.9;x=\\\"\"",
            "192.0.2.1",
        );
    }

    #[test]
    fn what_cannot_be_read_hides_who_it_was() {
        check("", "");
        check(" , ,", "");
        check("for=", "?");
        check("proto=https", "?");
        check("for=192.0.2.1;for=192.0.2.2", "?");
        check("for=300.1.1.1", "?");
        check("for=2001:db8::1", "?");
        check("for=\"[::ffff:192.0.2.1]\"", "192.0.2.1");
    }
}
