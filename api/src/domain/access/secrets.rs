//! Secrets: made at random, shown once, kept as hashes.

use data_encoding::HEXLOWER;
use sha2::{Digest, Sha256};

use crate::domain::Refusal;

/// What a caller shows to be recognised: which key or session it is, and its secret.
#[derive(Clone, PartialEq, Eq)]
pub(crate) struct Token {
    kind: &'static str,
    pub(crate) id: String,
    secret: String,
}

/// Characters of the part that names the key.
const ID: usize = 12;
/// Characters of the secret part: 256 bits.
const SECRET: usize = 64;

impl Token {
    pub(crate) const KEY: &'static str = "fizz";
    pub(crate) const SESSION: &'static str = "fizzs";
    pub(crate) const DEVICE: &'static str = "fizzd";

    /// A new token of a kind.
    pub(crate) fn new(kind: &'static str) -> Result<Self, Refusal> {
        Ok(Self {
            kind,
            id: random_digits::<{ ID / 2 }>()?,
            secret: random_digits::<{ SECRET / 2 }>()?,
        })
    }

    /// A token as a caller shows it.
    pub(crate) fn parse(kind: &'static str, text: &str) -> Option<Self> {
        let rest = text.strip_prefix(kind)?.strip_prefix('_')?;
        let (id, secret) = rest.split_once('_')?;
        let hex =
            |text: &str, length| text.len() == length && HEXLOWER.decode(text.as_bytes()).is_ok();
        (hex(id, ID) && hex(secret, SECRET)).then(|| Self {
            kind,
            id: id.to_owned(),
            secret: secret.to_owned(),
        })
    }

    /// The text that is shown once.
    pub(crate) fn reveal(&self) -> String {
        format!("{}_{}_{}", self.kind, self.id, self.secret)
    }

    /// What is kept of it.
    pub(crate) fn hash(&self) -> String {
        hash(&[self.reveal().as_bytes()])
    }

    /// A second secret that only the holder of this one can know, and that says nothing about it.
    pub(crate) fn derived(&self, purpose: &str) -> String {
        hash(&[purpose.as_bytes(), self.reveal().as_bytes()])
    }
}

impl std::fmt::Debug for Token {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}_{}_…", self.kind, self.id)
    }
}

/// SHA-256 over parts that are told apart, in hexadecimal.
pub(crate) fn hash(parts: &[&[u8]]) -> String {
    let mut hasher = Sha256::new();
    for part in parts {
        hasher.update((part.len() as u64).to_be_bytes());
        hasher.update(part);
    }
    HEXLOWER.encode(&hasher.finalize())
}

/// A password nobody has to think of: 128 random bits, in groups that can be read out.
pub(crate) fn made_up_password() -> Result<String, Refusal> {
    let digits = random_digits::<16>()?;
    let groups: Vec<&str> = (0..digits.len())
        .step_by(4)
        .map(|n| &digits[n..n + 4])
        .collect();
    Ok(groups.join("-"))
}

/// Random bytes.
pub(crate) fn random<const N: usize>() -> Result<[u8; N], Refusal> {
    let mut made = [0; N];
    getrandom::fill(&mut made)
        .map_err(|error| Refusal::internal(format!("no random numbers: {error}")))?;
    Ok(made)
}

/// Random bytes, in hexadecimal.
fn random_digits<const N: usize>() -> Result<String, Refusal> {
    Ok(HEXLOWER.encode(&random::<N>()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_token_is_read_as_it_was_shown() {
        let token = Token::new(Token::KEY).unwrap();
        let shown = token.reveal();
        assert_eq!(shown.len(), "fizz_".len() + ID + 1 + SECRET);
        assert_eq!(Token::parse(Token::KEY, &shown), Some(token.clone()));
        assert_eq!(Token::parse(Token::SESSION, &shown), None);
        assert_ne!(Token::new(Token::KEY).unwrap(), token);
        for wrong in [
            "",
            "fizz_",
            "fizz_12_34",
            &shown[1..],
            &shown.to_uppercase(),
        ] {
            assert_eq!(Token::parse(Token::KEY, wrong), None, "{wrong}");
        }
    }

    #[test]
    fn nothing_that_is_kept_or_logged_holds_the_secret() {
        let token = Token::new(Token::KEY).unwrap();
        for text in [token.hash(), format!("{token:?}"), token.derived("csrf")] {
            assert!(!text.contains(&token.secret), "{text}");
        }
    }

    #[test]
    fn a_password_that_is_made_up_has_128_random_bits() {
        let password = made_up_password().unwrap();
        let digits = password.chars().filter(char::is_ascii_hexdigit);
        assert_eq!(digits.count(), 32, "{password}");
        assert_ne!(made_up_password().unwrap(), password);
    }

    #[test]
    fn parts_are_told_apart() {
        assert_ne!(hash(&[b"ab", b"c"]), hash(&[b"a", b"bc"]));
        // FIPS 180-4's own example, "abc", with the length before it taken off.
        let mut plain = Sha256::new();
        plain.update(b"abc");
        assert_eq!(
            HEXLOWER.encode(&plain.finalize()),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
