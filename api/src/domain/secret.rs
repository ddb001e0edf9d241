//! Secrets: random, and long enough that nobody guesses them.

use super::Refusal;

/// Letters of base64 (RFC 4648).
const STANDARD: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// Random bytes.
fn random<const N: usize>() -> Result<[u8; N], Refusal> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(|error| Refusal::internal(error.to_string()))?;
    Ok(bytes)
}

/// The secret of a webhook: `whsec_` and 24 random bytes in base64, which need no padding.
pub(crate) fn webhook() -> Result<String, Refusal> {
    let mut text = "whsec_".to_owned();
    for part in random::<24>()?.chunks(3) {
        let bits = part
            .iter()
            .fold(0_usize, |bits, byte| bits << 8 | usize::from(*byte));
        for shift in [18, 12, 6, 0] {
            text.push(char::from(STANDARD[bits >> shift & 63]));
        }
    }
    Ok(text)
}

/// The secret part of an address: 32 random bytes in hexadecimal.
pub(crate) fn address() -> Result<String, Refusal> {
    let bytes = random::<32>()?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
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
