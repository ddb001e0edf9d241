//! Secrets: random, and long enough that nobody guesses them.

use data_encoding::{BASE64, HEXLOWER};

use super::Refusal;
use super::access::random;

/// The secret of a webhook: `whsec_` and 24 random bytes in base64, which need no padding.
pub(crate) fn webhook() -> Result<String, Refusal> {
    Ok(format!("whsec_{}", BASE64.encode(&random::<24>()?)))
}

/// The secret part of an address: 32 random bytes in hexadecimal.
pub(crate) fn address() -> Result<String, Refusal> {
    Ok(HEXLOWER.encode(&random::<32>()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn secrets_are_long_and_never_the_same() {
        let one = webhook().unwrap();
        assert_eq!(one.len(), "whsec_".len() + 32);
        assert_ne!(one, webhook().unwrap());
        assert!(standardwebhooks::Webhook::new(&one).is_ok());
        assert_eq!(address().unwrap().len(), 64);
    }
}
