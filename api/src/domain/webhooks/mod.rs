//! Webhooks: where events are delivered, and what became of each delivery.

mod network;

use std::fmt;

use chrono::{DateTime, Duration, Utc};
use scheduler::check::Fault;
use scheduler::scenario::SiteId;
use serde::{Deserialize, Serialize};
use url::{Host, Url};
use utoipa::ToSchema;
use uuid::Uuid;

use super::Refusal;
use super::events::EventKind;
use super::words::Note;

pub(crate) use network::is_public;

/// The longest address, in characters.
const LONGEST_URL: usize = 2000;

/// Seconds from each failed attempt to the next: about three days in all, as the Standard Webhooks
/// specification suggests ("Deliverability and reliability").
const WAITS_S: [i64; 9] = [5, 300, 1_800, 7_200, 18_000, 36_000, 50_400, 72_000, 86_400];

/// How long a webhook may fail before it is disabled.
pub(crate) const PATIENCE: Duration = Duration::days(5);

macro_rules! ids {
    ($($(#[doc = $doc:expr])+ $Name:ident, $prefix:literal, $example:literal;)+) => {$(
        $(#[doc = $doc])+
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(try_from = "String", into = "String")]
        pub(crate) struct $Name(Uuid);

        impl $Name {
            pub(crate) fn new() -> Self {
                Self(Uuid::now_v7())
            }
        }

        impl utoipa::PartialSchema for $Name {
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
                utoipa::openapi::ObjectBuilder::new()
                    .schema_type(utoipa::openapi::schema::Type::String)
                    .description(Some(concat!($($doc),+).trim()))
                    .pattern(Some(concat!("^", $prefix, "[0-9a-f]{32}$")))
                    .examples([serde_json::json!($example)])
                    .into()
            }
        }

        impl ToSchema for $Name {}

        impl TryFrom<String> for $Name {
            type Error = String;
            fn try_from(text: String) -> Result<Self, String> {
                let id = text.strip_prefix($prefix).and_then(|id| Uuid::parse_str(id).ok());
                id.map(Self).ok_or_else(|| concat!("an id such as ", $example, " is allowed").to_owned())
            }
        }

        impl From<$Name> for String {
            fn from(id: $Name) -> Self {
                id.to_string()
            }
        }

        impl fmt::Display for $Name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, concat!($prefix, "{}"), self.0.simple())
            }
        }
    )+};
}

ids! {
    /// Names a webhook.
    WebhookId, "hook_", "hook_01975c1e7a587b3e9d2c5d1f0a4b6c7d";
    /// Names a delivery; it is sent as `webhook-id` and stays the same when it is sent again.
    DeliveryId, "msg_", "msg_01975c1e7a587b3e9d2c5d1f0a4b6c7d";
}

/// Where events are to be delivered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct WebhookRequest {
    /// The address: https, with no name or password in it. It must not lead into a private network
    /// unless whoever runs the service allows that.
    #[schema(max_length = 2000, example = "https://till.example/fizzwright")]
    pub(crate) url: String,
    /// Only events of this site; of all sites where none is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) site: Option<SiteId>,
    /// Only events of these types; of all types where the list is empty.
    #[serde(default)]
    #[schema(max_items = 50, example = json!(["plan.published", "work.finished"]))]
    pub(crate) types: Vec<EventKind>,
    /// What it is for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) note: Option<Note>,
    /// False stops deliveries; true starts them again with the events to come.
    #[serde(default = "yes")]
    #[schema(default = true, example = true)]
    pub(crate) enabled: bool,
}

fn yes() -> bool {
    true
}

/// A webhook.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct Webhook {
    /// Its id.
    pub(crate) id: WebhookId,
    /// Where events are delivered, and which.
    #[serde(flatten)]
    pub(crate) request: WebhookRequest,
    /// Since when every delivery has failed (RFC 3339); none while they arrive.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-02T08:05:12Z")]
    pub(crate) failing_since: Option<DateTime<Utc>>,
    /// Why the service stopped delivering, if it did so by itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "every delivery failed for 5 days")]
    pub(crate) disabled_why: Option<String>,
    /// When it was created (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-01T08:05:12Z")]
    pub(crate) created_at: DateTime<Utc>,
}

/// A webhook and the secret its deliveries are signed with.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct WebhookSecret {
    /// The webhook.
    #[serde(flatten)]
    pub(crate) webhook: Webhook,
    /// The secret, in the form of the Standard Webhooks specification. It is shown this once.
    #[schema(example = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw")]
    pub(crate) secret: String,
}

/// How far a delivery has come.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Serialize,
    Deserialize,
    ToSchema,
    strum::IntoStaticStr,
    strum::EnumString,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case", const_into_str)]
pub(crate) enum DeliveryState {
    /// It is to be sent, or sent again.
    Pending,
    /// The receiver answered with a status from 200 to 299.
    Delivered,
    /// It was tried for about three days and is given up; it can be sent again by hand.
    Failed,
}

/// A delivery of an event to a webhook.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = WebhookDelivery)]
pub(crate) struct Delivery {
    /// Its id, sent as `webhook-id`.
    pub(crate) id: DeliveryId,
    /// The webhook.
    pub(crate) webhook: WebhookId,
    /// The event's `seq`.
    #[schema(minimum = 1, example = 1042)]
    pub(crate) seq: i64,
    /// How far it has come.
    #[schema(inline)]
    pub(crate) state: DeliveryState,
    /// How often it was sent.
    #[schema(minimum = 0, example = 2)]
    pub(crate) attempts: i32,
    /// When it is sent next (RFC 3339).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-02T08:10:12Z")]
    pub(crate) next_at: Option<DateTime<Utc>>,
    /// When it was sent last (RFC 3339).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<String>, format = DateTime, example = "2026-06-02T08:05:12Z")]
    pub(crate) last_at: Option<DateTime<Utc>>,
    /// The status the receiver answered with last; none if it did not answer.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 100, maximum = 599, example = 503)]
    pub(crate) last_status: Option<i32>,
    /// What went wrong last.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "the receiver answered with status 503")]
    pub(crate) last_error: Option<String>,
    /// When it was written down (RFC 3339).
    #[schema(value_type = String, format = DateTime, example = "2026-06-02T08:05:12Z")]
    pub(crate) created_at: DateTime<Utc>,
}

/// How an attempt ended.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Attempt {
    /// The status the receiver answered with; none if it did not answer.
    pub(crate) status: Option<u16>,
    /// What went wrong; none if it arrived.
    pub(crate) error: Option<String>,
}

impl Attempt {
    /// Whether the receiver says that it is gone for good: 410.
    pub(crate) fn gone(&self) -> bool {
        self.status == Some(410)
    }
}

/// When to try again after so many attempts; none after the last. `part` of one spreads attempts
/// over a tenth of the wait, so that they do not all come at once.
pub(crate) fn next_attempt(attempts: i32, now: DateTime<Utc>, part: f64) -> Option<DateTime<Utc>> {
    let n = usize::try_from(attempts.max(1) - 1).ok()?;
    let wait = *WAITS_S.get(n)?;
    let more = (wait as f64 * 0.1 * part.clamp(0.0, 1.0)) as i64;
    Some(now + Duration::seconds(wait + more))
}

/// The address of a webhook, if it is one that may be used. Where it leads is checked again before
/// each delivery.
pub(crate) fn check(request: &WebhookRequest, private_allowed: bool) -> Result<Url, Refusal> {
    let refuse = |field: &str, what: &str| {
        Refusal::Invalid(vec![Fault {
            field: field.to_owned(),
            what: what.to_owned(),
        }])
    };
    if request.types.len() > 50 {
        return Err(refuse(
            "types",
            "more than 50 found; at most 50 are allowed",
        ));
    }
    if request.url.chars().count() > LONGEST_URL {
        return Err(refuse("url", "at most 2000 characters are allowed"));
    }
    let url = Url::parse(&request.url)
        .map_err(|error| refuse("url", &format!("{error}; an https address is allowed")))?;
    if url.scheme() != "https" && !(private_allowed && url.scheme() == "http") {
        let what = format!("{} found; https is allowed", url.scheme());
        return Err(refuse("url", &what));
    }
    if !url.username().is_empty() || url.password().is_some() {
        return Err(refuse(
            "url",
            "a name or password found; none is allowed in the address",
        ));
    }
    let address = match url.host() {
        Some(Host::Ipv4(ip)) => Some(ip.into()),
        Some(Host::Ipv6(ip)) => Some(ip.into()),
        Some(Host::Domain(name)) if name.eq_ignore_ascii_case("localhost") => {
            Some(std::net::Ipv4Addr::LOCALHOST.into())
        }
        Some(Host::Domain(_)) => None,
        None => return Err(refuse("url", "no host found; one is needed")),
    };
    if !private_allowed && address.is_some_and(|ip| !is_public(ip)) {
        let what = "it leads into a private network, which is not allowed here";
        return Err(refuse("url", what));
    }
    Ok(url)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn request(url: &str) -> WebhookRequest {
        WebhookRequest {
            url: url.to_owned(),
            site: None,
            types: Vec::new(),
            note: None,
            enabled: true,
        }
    }

    #[test]
    fn addresses_into_private_networks_are_refused() {
        for good in ["https://till.example/x", "https://93.184.215.14:8443/"] {
            assert!(check(&request(good), false).is_ok(), "{good}");
        }
        let bad = [
            "http://till.example/",
            "https://user:pw@till.example/",
            "ftp://till.example/",
            "https://127.0.0.1/",
            "https://2130706433/",
            "https://0x7f.1/",
            "https://[::1]/",
            "https://[::ffff:10.0.0.1]/",
            "https://169.254.169.254/latest",
            "https://LOCALHOST/",
            "nonsense",
        ];
        for bad in bad {
            assert!(check(&request(bad), false).is_err(), "{bad}");
        }
        assert!(check(&request("http://127.0.0.1:80/"), true).is_ok());
    }

    #[test]
    fn attempts_are_spread_over_days_and_then_given_up() {
        let mut at = Utc::now();
        let begun = at;
        let mut attempts = 1;
        while let Some(next) = next_attempt(attempts, at, 0.0) {
            assert!(next > at);
            at = next;
            attempts += 1;
        }
        assert_eq!(attempts, 10);
        let days = (at - begun).num_hours() as f64 / 24.0;
        assert!((3.0..4.0).contains(&days), "{days} days");
    }
}
