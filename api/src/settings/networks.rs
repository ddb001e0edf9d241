//! Addresses and networks, such as `10.0.0.7` and `10.1.0.0/16`.

use std::net::IpAddr;

use ipnet::IpNet;

/// Reads addresses and networks.
///
/// # Errors
/// What is neither.
pub(super) fn parse(given: &[String]) -> Result<Vec<IpNet>, String> {
    let read = |text: &String| {
        let text = text.trim();
        let one = text.parse::<IpAddr>().map(IpNet::from).ok();
        one.or_else(|| text.parse().ok())
            .ok_or_else(|| text.to_owned())
    };
    given.iter().map(read).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_is_a_network_of_one() {
        let given = ["10.0.0.7", " 10.1.0.0/16", "2001:db8:1::/48"].map(str::to_owned);
        let read = parse(&given).unwrap();
        let shown: Vec<String> = read.iter().map(IpNet::to_string).collect();
        assert_eq!(shown, ["10.0.0.7/32", "10.1.0.0/16", "2001:db8:1::/48"]);
    }

    #[test]
    fn what_is_no_address_is_refused() {
        for wrong in ["proxy", "10.0.0.0/33", "10.0.0", ""] {
            assert_eq!(parse(&[wrong.to_owned()]).err(), Some(wrong.to_owned()));
        }
    }
}
