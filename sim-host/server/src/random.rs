//! Words that cannot be guessed: tokens, seats, names of stations. The one place with randomness from the system; nothing simulated
//! depends on it but the seed of an attempt that was given none, and that seed is recorded.

/// Letters and digits that are not taken for one another.
const LETTERS: &[u8; 32] = b"abcdefghijkmnpqrstuvwxyz23456789";

/// A word of so many letters, five bits each.
///
/// # Errors
/// A system that gives no random bytes.
pub fn word(letters: usize) -> std::io::Result<String> {
    let mut bytes = vec![0; letters];
    fill(&mut bytes)?;
    let letter = |byte: &u8| char::from(LETTERS[usize::from(byte % 32)]);
    Ok(bytes.iter().map(letter).collect())
}

/// A seed of 32 bits: short enough to be typed.
///
/// # Errors
/// A system that gives no random bytes.
pub fn seed() -> std::io::Result<u64> {
    let mut bytes = [0; 4];
    fill(&mut bytes)?;
    Ok(u64::from(u32::from_le_bytes(bytes)))
}

fn fill(bytes: &mut [u8]) -> std::io::Result<()> {
    getrandom::fill(bytes).map_err(|error| std::io::Error::other(error.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_have_the_length_and_differ() {
        let words: std::collections::BTreeSet<String> =
            (0..100).map(|_| word(26).expect("given")).collect();
        assert_eq!(words.len(), 100);
        for word in words {
            assert_eq!(word.len(), 26);
            assert!(super::super::gate::is_token(&word));
        }
    }
}
