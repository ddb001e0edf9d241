//! Passwords that are guessed first: the commonest, and those made of what everybody knows.
//!
//! Nothing is asked of how a password is composed (OWASP ASVS 5, 6.2).

use std::collections::HashSet;
use std::sync::LazyLock;

/// The commonest passwords, in small letters: those that are long enough, and words that are made so by
/// digits and signs around them.
static COMMON: LazyLock<HashSet<&'static str>> = LazyLock::new(|| {
    let lines = include_str!("common_passwords.txt").lines();
    lines.filter(|line| !line.starts_with('#')).collect()
});

/// Words everybody knows of whoever signs in here.
const OF_THE_HOUSE: [&str; 6] = ["fizzwright", "soda", "keg", "tonic", "water", "admin"];

/// What is repeated over and over makes a password no better.
const LONGEST_REPEATED: usize = 3;

/// Letters a password has at least beside what everybody knows.
const LETTERS_OF_ITS_OWN: usize = 4;

/// Why a password would be guessed soon, if it would. `name` is that of whoever is to use it.
pub(super) fn why(password: &str, name: &str) -> Option<&'static str> {
    let small = password.to_lowercase();
    let core = small.trim_matches(|c: char| !c.is_alphabetic());
    if COMMON.contains(small.as_str()) || COMMON.contains(core) {
        return Some("it is one of the commonest passwords there are; choose another");
    }
    if repeats(&small) {
        return Some("it repeats the same few characters; choose another");
    }
    if known(&small, name) {
        return Some("it is made of your name or of words of this service; choose another");
    }
    None
}

fn repeats(text: &str) -> bool {
    let letters: Vec<char> = text.chars().collect();
    (1..=LONGEST_REPEATED)
        .any(|period| (period..letters.len()).all(|n| letters[n] == letters[n - period]))
}

/// Whether little is left without the names everybody knows, signs and digits.
fn known(text: &str, name: &str) -> bool {
    let name = name.to_lowercase();
    let words = name.split_whitespace().chain([name.as_str()]);
    let words = words.chain(OF_THE_HOUSE);
    let mut left = text.to_owned();
    let mut found = false;
    for word in words.filter(|word| word.chars().count() >= LONGEST_REPEATED) {
        found |= left.contains(word);
        left = left.replace(word, " ");
    }
    let own = left.chars().filter(|c| c.is_alphabetic()).count();
    found && own < LETTERS_OF_ITS_OWN
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_guessed_first_is_refused() {
        for password in [
            "qwertyuiop",
            "1234567890",
            "Password123",
            "manchester1!",
            "monkey1234",
            "!!Dragon2024",
            "soda-water-2026",
            "aaaaaaaaaaaa",
            "12121212121212",
            "ines-ines-2026",
            "Fizzwright2026",
            "ines.fizzwright.1",
        ] {
            assert!(why(password, "Ines").is_some(), "{password}");
        }
    }

    #[test]
    fn nothing_else_is() {
        for password in [
            "four words, well chosen",
            "3fa2-91bc-0de4-77aa",
            "zzyzx road 7",
            "correct horse battery",
            "ines likes tonic water",
            "überraschung!",
            "1029384711",
        ] {
            assert_eq!(why(password, "Ines"), None, "{password}");
        }
        // A short name is in many words.
        assert_eq!(why("anaconda-an", "An"), None);
    }
}
