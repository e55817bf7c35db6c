//! Harm done to parts, machine and people: truth-side monitors that the controller never sees.
//!
//! Thresholds are stated here, before any result is seen. A [`HarmRecord`] keeps the worst value, the sum over time and the first
//! tick at which its threshold was passed.

use crate::math::{abs, max};
use firmware_core::process_image::DRIVES;

/// Speed of a drive that counts as turning, rad/s (about half a revolution a minute). Invented.
pub const TURNING: f64 = 0.05;
/// Share of the film that may be missing while a drive turns under load. Invented.
pub const DRY: f64 = 0.02;
/// Error of a drive against the common ratio, as a share of the fastest drive, that loads the carriers. Invented.
pub const RATIO_ERROR: f64 = 0.15;
/// Load over the resting load from which an error of ratio harms the carriers. Invented.
pub const RATIO_LOAD: f64 = 3.0;
/// Cap-side force, as a share of its largest, from which the plate counts as pressing. Invented.
pub const PRESSING: f64 = 0.05;
/// Downward speed over the fast descent from which the plate counts as falling. Invented.
pub const FALLING: f64 = 1.5;
/// Downward speed with the rod side trapped from which the plate counts as falling, m/s. Invented.
pub const FALLING_WHILE_HELD: f64 = 0.05;

/// One kind of harm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HarmRecord {
    /// Worst value so far, in the unit of its field.
    pub worst: f64,
    /// Sum over time, in the unit of its field times seconds, or as its field says.
    pub sum: f64,
    /// Tick at which the threshold was first passed.
    pub first: Option<u64>,
}

impl HarmRecord {
    /// Harm was done.
    #[must_use]
    pub fn happened(&self) -> bool {
        self.first.is_some()
    }

    pub(super) fn note(&mut self, tick: u64, value: f64, limit: f64, amount: f64) {
        self.worst = max(self.worst, value);
        if value > limit {
            self.sum += amount;
            self.first.get_or_insert(tick);
        }
    }
}

/// All monitors of section 8 of the process model but the final size, which is read from the parts.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Harm {
    /// Load on one part over its strength; harm above 1. Sum: seconds.
    pub part_overload: HarmRecord,
    /// Turning on a gap without film: share of the film that is missing; harm above [`DRY`] while loaded and turning. Sum: joules
    /// of friction work done dry (torque weighted by load and time; scores the plates).
    pub dry_turning: HarmRecord,
    /// Rising off the parts while a drive turns: speed of the fastest drive, rad/s; harm above [`TURNING`]. Sum: seconds.
    pub lift_turning: HarmRecord,
    /// Drives out of their commanded ratio under load: error over the fastest setpoint; harm above [`RATIO_ERROR`] while the load
    /// is over [`RATIO_LOAD`] resting loads. Sum: newton-seconds.
    pub out_of_ratio: HarmRecord,
    /// Warmest plate over its hold temperature, K; harm above 0. Sum: kelvin-seconds.
    pub hot: HarmRecord,
    /// Pressing with the guard open: cap-side force over its largest; harm above [`PRESSING`]. Sum: seconds.
    pub pressing_open: HarmRecord,
    /// Moving the plate or turning a drive with the guard open: the larger of speed over fast descent and turning over
    /// [`TURNING`]; harm above 1. Sum: seconds.
    pub moving_open: HarmRecord,
    /// Falling: downward speed over the fast descent (or over [`FALLING_WHILE_HELD`] with the rod side trapped); harm above
    /// [`FALLING`]. Sum: metres fallen.
    pub falling: HarmRecord,
    /// The plate came down on the carriers instead of parts: load, N, harm above 0. Sum: seconds.
    pub on_carriers: HarmRecord,
}

impl Harm {
    /// Every monitor by name, for reports.
    #[must_use]
    pub fn marks(&self) -> [(&'static str, HarmRecord); 9] {
        [
            ("part overload", self.part_overload),
            ("dry turning", self.dry_turning),
            ("lift while turning", self.lift_turning),
            ("drives out of ratio", self.out_of_ratio),
            ("plate too hot", self.hot),
            ("pressing with guard open", self.pressing_open),
            ("moving with guard open", self.moving_open),
            ("plate fell", self.falling),
            ("plate on carriers", self.on_carriers),
        ]
    }

    /// Any harm at all.
    #[must_use]
    pub fn any(&self) -> bool {
        self.marks().iter().any(|(_, mark)| mark.happened())
    }
}

/// Error of four speeds against the direction of their setpoints, as a share of the fastest setpoint: the common scale that
/// fits best is taken out, so that a coordinated ramp is no error.
pub(super) fn ratio_error(speeds: &[f64; DRIVES], setpoints: &[f64; DRIVES]) -> f64 {
    let (mut dot, mut square, mut fastest) = (0.0, 0.0, 0.0);
    for (speed, set) in speeds.iter().zip(setpoints) {
        dot += speed * set;
        square += set * set;
        fastest = max(fastest, abs(*set));
    }
    if square <= 0.0 {
        return 0.0;
    }
    let scale = dot / square;
    speeds
        .iter()
        .zip(setpoints)
        .fold(0.0, |worst, (speed, set)| {
            max(worst, abs(speed - scale * set))
        })
        / fastest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_common_ramp_is_no_error_and_a_lagging_drive_is() {
        let set = [1.4, 0.5, 2.9, -1.5];
        assert!(ratio_error(&set.map(|s| 0.3 * s), &set) < 1e-12);
        assert!(ratio_error(&[1.4, 0.5, 2.9, 0.0], &set) > 0.3);
        assert_eq!(ratio_error(&[1.0; DRIVES], &[0.0; DRIVES]), 0.0);
    }

    #[test]
    fn a_mark_keeps_the_first_time_and_the_worst() {
        let mut m = HarmRecord::default();
        m.note(5, 0.5, 1.0, 0.1);
        assert!(!m.happened() && m.worst == 0.5 && m.sum == 0.0);
        m.note(6, 2.0, 1.0, 0.1);
        m.note(7, 1.5, 1.0, 0.1);
        assert_eq!((m.first, m.worst), (Some(6), 2.0));
        assert!((m.sum - 0.2).abs() < 1e-15);
    }
}
