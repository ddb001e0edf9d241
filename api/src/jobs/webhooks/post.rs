//! Sends one delivery, signed as the Standard Webhooks specification describes.

use std::net::SocketAddr;
use std::time::Duration;

use chrono::{DateTime, Utc};
use reqwest::Client;
use reqwest::redirect::Policy;
use tokio::net::lookup_host;
use tokio::time::timeout;
use url::{Host, Url};

use crate::domain::webhooks::{Attempt, is_public};
use crate::storage::webhooks::Parcel;

/// How long a receiver may take.
const TIMEOUT: Duration = Duration::from_secs(15);

/// How long looking up a name may take.
const LOOK_UP: Duration = Duration::from_secs(5);

/// Sends deliveries.
pub(super) struct Postman {
    private_allowed: bool,
}

impl Postman {
    pub(super) fn new(private_allowed: bool) -> Self {
        // It may be installed already; then there is nothing to do.
        let _ = rustls::crypto::ring::default_provider().install_default();
        Self { private_allowed }
    }

    /// Sends a delivery and says how that ended.
    pub(super) async fn send(&self, parcel: &Parcel, now: DateTime<Utc>) -> Attempt {
        match self.post(parcel, now).await {
            Ok(status) if (200..300).contains(&status) => Attempt {
                status: Some(status),
                error: None,
            },
            Ok(status) => Attempt {
                status: Some(status),
                error: Some(format!("the receiver answered with status {status}")),
            },
            Err(error) => Attempt {
                status: None,
                error: Some(error),
            },
        }
    }

    async fn post(&self, parcel: &Parcel, now: DateTime<Utc>) -> Result<u16, String> {
        let url = Url::parse(&parcel.url).map_err(|error| error.to_string())?;
        let addresses = self.addresses(&url).await?;
        let mut client = Client::builder()
            .timeout(TIMEOUT)
            .redirect(Policy::none())
            .no_proxy();
        // The addresses that were checked are those that are used: no second look-up.
        if let Some(Host::Domain(name)) = url.host() {
            client = client.resolve_to_addrs(name, &addresses);
        }
        let client = client.build().map_err(|error| told(&error))?;
        let id = parcel.delivery.to_string();
        let signature = sign(&parcel.secret, &id, now, &parcel.body)?;
        let answer = client
            .post(url)
            .header("content-type", "application/json")
            .header(
                "user-agent",
                concat!("fizzwright/", env!("CARGO_PKG_VERSION")),
            )
            .header("webhook-id", &id)
            .header("webhook-timestamp", now.timestamp().to_string())
            .header("webhook-signature", signature)
            .body(parcel.body.clone())
            .send()
            .await
            .map_err(|error| told(&error))?;
        Ok(answer.status().as_u16())
    }

    /// Where the address leads, if it may lead there: all of it must be on the open internet.
    async fn addresses(&self, url: &Url) -> Result<Vec<SocketAddr>, String> {
        let port = url.port_or_known_default().unwrap_or(443);
        let host = url.host().ok_or("the address has no host")?;
        let found: Vec<SocketAddr> = match host {
            Host::Domain(name) => timeout(LOOK_UP, lookup_host((name, port)))
                .await
                .map_err(|_| format!("{name} was not resolved in time"))?
                .map_err(|error| format!("{name} cannot be resolved: {error}"))?
                .collect(),
            Host::Ipv4(ip) => vec![SocketAddr::new(ip.into(), port)],
            Host::Ipv6(ip) => vec![SocketAddr::new(ip.into(), port)],
        };
        if found.is_empty() {
            return Err("the host has no address".to_owned());
        }
        if !self.private_allowed && found.iter().any(|address| !is_public(address.ip())) {
            return Err("the host leads into a private network".to_owned());
        }
        Ok(found)
    }
}

/// The signature over id, time and body.
pub(super) fn sign(
    secret: &str,
    id: &str,
    now: DateTime<Utc>,
    body: &str,
) -> Result<String, String> {
    let signer = standardwebhooks::Webhook::new(secret).map_err(|error| error.to_string())?;
    signer
        .sign(id, now.timestamp(), body.as_bytes())
        .map_err(|error| error.to_string())
}

/// The error and its causes, without the address, which the log has already.
fn told(error: &reqwest::Error) -> String {
    let mut text = if error.is_timeout() {
        "the receiver did not answer in time".to_owned()
    } else if error.is_connect() {
        "no connection to the receiver".to_owned()
    } else {
        "the delivery could not be sent".to_owned()
    };
    let mut next = std::error::Error::source(error);
    while let Some(cause) = next {
        text = format!("{text}: {cause}");
        next = cause.source();
    }
    text.chars().take(500).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_specification_s_example_is_signed_as_it_says() {
        // The example of the Standard Webhooks reference libraries' own tests, from memory.
        let at = DateTime::from_timestamp(1_614_265_330, 0).unwrap();
        let signature = sign(
            "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw",
            "msg_p5jXN8AQM9LWM0D4loKWxJek",
            at,
            "{\"test\": 2432232314}",
        );
        assert_eq!(
            signature.unwrap(),
            "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="
        );
    }

    #[actix_web::test]
    async fn a_private_address_is_never_asked() {
        let postman = Postman::new(false);
        for url in ["https://localhost/", "https://127.0.0.1/", "https://[::1]/"] {
            let refused = postman.addresses(&Url::parse(url).unwrap()).await;
            assert!(refused.unwrap_err().contains("private"), "{url}");
        }
        let allowed = Postman::new(true);
        let url = Url::parse("http://127.0.0.1:81/").unwrap();
        let found = allowed.addresses(&url).await;
        assert_eq!(found.unwrap()[0].port(), 81);
    }
}
