//! Seeds of the random streams. A stream is named, not numbered: a new consumer never shifts another's draws.

use rand_pcg::Pcg64Mcg;

/// The random generator of the whole plant (O'Neill's permuted congruential generator; version pinned because no crate
/// promises the same bits across versions).
pub type Stream = Pcg64Mcg;

/// Seed of the stream that `component` uses for `purpose`, `instance` being a counter where there are several.
/// A hash (64-bit FNV-1a over the names with separators, then an avalanche finish), stable for ever: traces depend on it.
#[must_use]
pub fn substream(seed: u64, component: &str, purpose: &str, instance: u64) -> u64 {
    let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
    let mut eat = |byte: u8| {
        hash = (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
    };
    seed.to_le_bytes().into_iter().for_each(&mut eat);
    component.bytes().for_each(&mut eat);
    eat(0xff);
    purpose.bytes().for_each(&mut eat);
    eat(0xff);
    instance.to_le_bytes().into_iter().for_each(&mut eat);
    hash = (hash ^ (hash >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    hash = (hash ^ (hash >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    hash ^ (hash >> 31)
}

/// The generator for a named stream.
#[must_use]
pub fn stream(seed: u64, component: &str, purpose: &str, instance: u64) -> Stream {
    let low = substream(seed, component, purpose, instance);
    let high = substream(!seed, component, purpose, instance);
    Stream::new((u128::from(high) << 64) | u128::from(low))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_part_of_the_name_matters_and_names_do_not_run_together() {
        let base = substream(1, "cell", "noise", 0);
        for other in [
            substream(2, "cell", "noise", 0),
            substream(1, "gauge", "noise", 0),
            substream(1, "cell", "creep", 0),
            substream(1, "cell", "noise", 1),
            substream(1, "cel", "lnoise", 0),
        ] {
            assert_ne!(base, other);
        }
    }

    #[test]
    fn the_hash_is_frozen() {
        assert_eq!(substream(1, "cell", "noise", 0), FROZEN);
    }
    /// Computed with a second implementation in Python from the definition above; a change of it changes every trace.
    const FROZEN: u64 = 1_527_480_347_879_605_284;
}
