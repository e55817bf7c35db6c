//! Digests that tell parameters, recipes and machines apart.

use super::ParamsWire;

/// A small order-dependent digest: multiply, add, rotate. Not cryptographic: it guards against mix-ups, not malice.
#[derive(Clone, Copy, Debug)]
pub struct Digest(u32);

impl Digest {
    /// A fresh digest.
    #[must_use]
    pub const fn new() -> Self {
        Self(0x9E37_79B9)
    }
    /// Mixes one word in.
    pub const fn word(&mut self, word: u32) {
        self.0 = (self.0.rotate_left(13) ^ word)
            .wrapping_mul(0x85EB_CA6B)
            .wrapping_add(0xC2B2_AE35);
    }
    /// The digest.
    #[must_use]
    pub const fn finish(self) -> u32 {
        let x = (self.0 ^ (self.0 >> 16)).wrapping_mul(0x7FEB_352D);
        x ^ (x >> 15)
    }
}

impl Default for Digest {
    fn default() -> Self {
        Self::new()
    }
}

/// Stable identity of a machine from its name.
#[must_use]
pub fn machine_id(name: &str) -> u32 {
    let mut h = Digest::new();
    for byte in name.bytes() {
        h.word(u32::from(byte));
    }
    h.finish()
}

impl ParamsWire {
    /// Order-dependent 32-bit digest of every field, the same on every target.
    pub(super) fn hash(&self) -> u32 {
        let mut h = Digest::new();
        h.word(u32::from(self.schema));
        h.word(self.machine_id);
        h.word(self.cell_range_counts.cast_unsigned());
        for f in [
            self.cell_scale.get(),
            self.weight.get(),
            self.tare_band.get(),
            self.cap_scale.get(),
            self.rod_scale.get(),
            self.line_tolerance.get(),
            self.resting.get(),
            self.line_gain.get(),
            self.lag.get(),
            self.slew.get(),
            self.kc.get(),
            self.ti.get(),
            self.setpoint_weight.get(),
            self.deadband.get(),
            self.lowest.get(),
            self.filter.get(),
            self.governor_gain.get(),
            self.governor_margin.get(),
            self.initial.get(),
            self.first_contact.get(),
            self.contact.get(),
            self.stuck.get(),
            self.rated.get(),
            self.band.get(),
            self.band_share.get(),
            self.ramp_max.get(),
            self.height_raised.get(),
            self.approach.get(),
            self.contact_tolerance.get(),
            self.drive_ramp.get(),
            self.speed_tolerance.get(),
            self.setup_speed.get(),
            self.flow_min.get(),
            self.flow_max.get(),
            self.temperature_high.get(),
            self.temperature_very_high.get(),
        ] {
            h.word(f.to_bits());
        }
        for (torque, (speed, fixed)) in self
            .torque_max
            .iter()
            .zip(self.speed_max.iter().zip(&self.fixed))
        {
            h.word(torque.get().to_bits());
            h.word(speed.get().to_bits());
            h.word(u32::from(*fixed));
        }
        for n in [
            self.dead_time.0,
            self.travel_time.0,
            self.lift_time.0,
            u32::from(self.supply_min),
            u32::from(self.estop_category),
            self.stop_time.0,
            self.coast_time.0,
            self.hold_time.0,
            self.settle_limit.0,
        ] {
            h.word(n);
        }
        h.finish()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;
    use std::format;
    use std::vec::Vec;

    /// Recipes on file carry digests, so none may ever come out otherwise. Worked out apart from this code: of nothing, and of
    /// one name.
    #[test]
    fn a_digest_on_file_stays_what_it_was() {
        assert_eq!(Digest::new().finish(), 0x641E_D1CA);
        assert_eq!(machine_id("sample"), 0xA123_43F1);
    }

    /// Names that differ by little are told apart, and half the bits differ: of 2000 at random two would be equal once in 2000 times.
    #[test]
    fn names_that_are_nearly_alike_are_told_apart() {
        let ids: Vec<u32> = (0..2_000)
            .map(|n| machine_id(&format!("machine {n}")))
            .collect();
        let distinct: BTreeSet<&u32> = ids.iter().collect();
        assert_eq!(distinct.len(), ids.len());
        let differ: u32 = ids.windows(2).map(|w| (w[0] ^ w[1]).count_ones()).sum();
        let pairs = 1_999;
        assert!((15 * pairs..17 * pairs).contains(&differ), "{differ}");
    }
}
