//! The same bits on other parts: one that works out its floats by routines, and one with doubles in hardware.

use crate::copy::{build, tree};
use crate::runs::play_named;
use twinplate_sim::demo;

#[test]
#[ignore = "long: an image for each part, and a cycle of every recipe on it"]
fn whole_cycles_are_the_same_on_a_cortex_m3_and_a_cortex_m7() {
    for part in ["m3", "m7"] {
        let image = build(part, &tree().join("firmware-core/board"));
        let image = image.unwrap_or_else(|error| panic!("{part}: {error}"));
        for recipe in demo::recipes() {
            let played = play_named(&recipe, &image);
            let played = played.unwrap_or_else(|error| panic!("{part}, {recipe}: {error}"));
            played
                .ended
                .unwrap_or_else(|error| panic!("{part}, {recipe}: {error}"));
            let (ticks, hash) = (played.bench.tick(), played.bench.control_hash());
            println!("{part}, {recipe}: {ticks} ticks, {hash:016x}");
        }
    }
}
