//! What the protocol's side of the service knows and holds between requests.

use std::time::Duration;

use ipnet::IpNet;

use super::arrival::Bodies;
use super::client::TrustedProxies;
use super::uploads::Uploads;

/// Shared by all requests.
#[derive(Debug)]
pub(crate) struct HttpState {
    /// What is held of bodies that are arriving.
    pub(super) bodies: Bodies,
    /// Places for uploads that are read while they arrive.
    pub(crate) uploads: Uploads,
    /// Whose word is taken for where a request comes from.
    pub(super) trusted_proxies: TrustedProxies,
}

impl HttpState {
    /// Bodies have so long to go on arriving, and these networks are of trusted proxies.
    pub(crate) fn new(body_timeout: Duration, trusted_proxies: Vec<IpNet>) -> Self {
        Self {
            bodies: Bodies::new(body_timeout),
            uploads: Uploads::new(body_timeout),
            trusted_proxies: TrustedProxies(trusted_proxies),
        }
    }
}
