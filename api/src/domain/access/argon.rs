//! Argon2id over memory that is used again: what hashing takes is taken once for each thread that
//! hashes, and not anew for each password.

use std::cell::RefCell;

use argon2::password_hash::phc::{Output, ParamsString, PasswordHash, Salt};
use argon2::{Algorithm, Argon2, Block, Params, Version};

/// Bytes of the salt and of what is kept, as the library's own choice is.
const SALT: usize = 16;
const OUTPUT: usize = 32;

thread_local! {
    static MEMORY: RefCell<Vec<Block>> = const { RefCell::new(Vec::new()) };
}

/// What is kept of a new password: Argon2id with the library's parameters (19 MiB, two passes, one
/// lane), which are those OWASP's password storage cheat sheet names.
pub(super) fn hash(password: &str) -> Result<String, Box<dyn std::error::Error + Send + Sync>> {
    let mut salt = [0; SALT];
    getrandom::fill(&mut salt).map_err(|error| error.to_string())?;
    let argon2 = Argon2::default();
    let mut made = [0; OUTPUT];
    digest(&argon2, password, &salt, &mut made).map_err(|error| error.to_string())?;
    let kept = || -> Option<PasswordHash> {
        Some(PasswordHash {
            algorithm: Algorithm::default().ident(),
            version: Some(Version::default().into()),
            params: ParamsString::try_from(argon2.params()).ok()?,
            salt: Some(Salt::new(&salt).ok()?),
            hash: Some(Output::new(&made).ok()?),
        })
    };
    let kept = kept().ok_or("a hash cannot be written")?;
    Ok(kept.to_string())
}

/// Whether a password is the one that was hashed; nothing if what is kept is no hash.
pub(super) fn matches(password: &str, kept: &str) -> Option<bool> {
    let kept = PasswordHash::new(kept).ok()?;
    let (salt, expected) = (kept.salt.as_ref()?, kept.hash.as_ref()?);
    let algorithm = Algorithm::try_from(kept.algorithm.as_str()).ok()?;
    let version = match kept.version {
        Some(version) => Version::try_from(version).ok()?,
        None => Version::default(),
    };
    let argon2 = Argon2::new(algorithm, version, Params::try_from(&kept).ok()?);
    let mut made = vec![0; expected.len()];
    digest(&argon2, password, salt, &mut made).ok()?;
    // The library compares outputs in constant time.
    Some(Output::new(&made).ok()? == *expected)
}

fn digest(
    argon2: &Argon2<'_>,
    password: &str,
    salt: &[u8],
    made: &mut [u8],
) -> Result<(), argon2::Error> {
    MEMORY.with_borrow_mut(|memory| {
        let needed = argon2.params().block_count();
        if memory.len() < needed {
            memory.resize(needed, Block::default());
        }
        argon2.hash_password_into_with_memory(
            password.as_bytes(),
            salt,
            made,
            &mut memory[..needed],
        )
    })
}

#[cfg(test)]
mod tests {
    use argon2::password_hash::{PasswordHasher, PasswordVerifier};

    use super::*;

    #[test]
    fn it_says_what_the_library_says_though_memory_is_used_again() {
        for password in ["four words, well chosen", "four others, as good", ""] {
            let ours = hash(password).unwrap();
            assert_eq!(matches(password, &ours), Some(true));
            assert_eq!(matches("something else", &ours), Some(false));
            let read = PasswordHash::new(&ours).unwrap();
            assert!(
                Argon2::default()
                    .verify_password(password.as_bytes(), &read)
                    .is_ok()
            );
            let theirs: PasswordHash = Argon2::default()
                .hash_password(password.as_bytes())
                .unwrap();
            assert_eq!(matches(password, &theirs.to_string()), Some(true));
        }
        assert_eq!(matches("anything", "no hash"), None);
    }
}
