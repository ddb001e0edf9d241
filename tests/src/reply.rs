//! What a server answered.

use serde_json::Value;

/// What the server answered.
#[derive(Debug)]
pub struct Reply {
    /// HTTP status.
    pub status: u16,
    /// Headers, lower-case names.
    pub headers: reqwest::header::HeaderMap,
    /// Body as text.
    pub text: String,
}

impl Reply {
    /// The body as JSON.
    ///
    /// # Panics
    /// If it is not JSON.
    #[must_use]
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.text).unwrap_or_else(|e| panic!("not JSON: {e}\n{}", self.text))
    }

    /// The body as JSON, after checking the status.
    ///
    /// # Panics
    /// If the status is not this one.
    #[must_use]
    pub fn expect(&self, status: u16) -> Value {
        assert_eq!(self.status, status, "{}", self.text);
        self.json()
    }

    /// The body of a 200.
    #[must_use]
    pub fn ok(&self) -> Value {
        self.expect(200)
    }

    /// A header's value.
    ///
    /// # Panics
    /// If there is no such header.
    #[must_use]
    pub fn header(&self, name: &str) -> &str {
        let value = self
            .headers
            .get(name)
            .unwrap_or_else(|| panic!("no header {name}"));
        value.to_str().expect("a plain header")
    }

    /// Checks that this is a problem document with a code and status, and gives it.
    ///
    /// # Panics
    /// If it is not.
    #[must_use]
    pub fn problem(&self, status: u16, code: &str) -> Value {
        let document = self.expect(status);
        assert_eq!(self.header("content-type"), "application/problem+json");
        assert_eq!(document["code"], code, "{document}");
        assert_eq!(document["status"], status, "{document}");
        assert_eq!(document["type"], format!("/v1/problems/{code}"));
        for field in ["title", "detail"] {
            assert!(
                !document[field].as_str().expect("text").is_empty(),
                "{document}"
            );
        }
        document
    }
}
