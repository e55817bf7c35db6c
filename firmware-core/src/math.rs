//! The few numeric conversions and comparisons of the core, in one place so that their rounding is the same on every target.
//!
//! `f32::min`/`max` may return either zero when both compare equal, and differ between targets; these do not.

/// The smaller number; `a` where they compare equal.
#[must_use]
pub const fn min(a: f32, b: f32) -> f32 {
    if b < a { b } else { a }
}

/// The larger number; `a` where they compare equal.
#[must_use]
pub const fn max(a: f32, b: f32) -> f32 {
    if b > a { b } else { a }
}

/// `value` held between `low` and `high` (callers keep `low <= high`; if not, `high` wins). Never panics, unlike `f32::clamp`.
#[must_use]
pub const fn hold(value: f32, low: f32, high: f32) -> f32 {
    min(max(value, low), high)
}

/// Exact up to 24 bits; load-cell counts have no more.
#[must_use]
#[allow(clippy::cast_precision_loss)] // 24-bit counts and micrometre heights are exact; rounding beyond that is defined by IEEE 754.
pub(crate) const fn from_i32(value: i32) -> f32 {
    value as f32
}

/// Tick counts as f32; rounding beyond 2^24 is defined by IEEE 754 and irrelevant to the deadlines it is used for.
#[must_use]
#[allow(clippy::cast_precision_loss)]
pub(crate) const fn from_u32(value: u32) -> f32 {
    value as f32
}

/// Exact.
#[must_use]
pub(crate) fn from_i16(value: i16) -> f32 {
    f32::from(value)
}

/// Exact.
#[must_use]
pub(crate) fn from_u16(value: u16) -> f32 {
    f32::from(value)
}

/// Rounds half up and saturates to `0..=u16::MAX`; NaN gives 0.
#[must_use]
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // `as` saturates and maps NaN to 0: exactly what is wanted.
pub(crate) const fn to_u16(value: f32) -> u16 {
    (value + 0.5) as u16
}

/// Rounds half away from zero and saturates to i16; NaN gives 0.
#[must_use]
#[allow(clippy::cast_possible_truncation)] // `as` saturates and maps NaN to 0.
pub(crate) const fn to_i16(value: f32) -> i16 {
    (value + 0.5_f32.copysign(value)) as i16
}

/// Rounds up to whole ticks and saturates; negative and NaN give 0.
#[must_use]
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // `as` saturates and maps NaN to 0.
pub(crate) const fn to_ticks(seconds: f32) -> u32 {
    let ticks = seconds * 1000.0;
    let whole = ticks as u32;
    if from_u32(whole) < ticks {
        whole.saturating_add(1)
    } else {
        whole
    }
}

/// Tangent of an angle from 0 to below an eighth of a turn, rad; of one beyond, that of the bound.
///
/// The bound is on the bits, where a compiler follows it: an image then carries nothing of the reduction of larger angles, 5 kB of code
/// and 3 kB of table, and no division of doubles.
#[must_use]
#[inline(never)] // one caller of the library's function, into which it goes whole
pub(crate) fn tan(angle: f32) -> f32 {
    libm::tanf(f32::from_bits(angle.to_bits().min(BOUND)))
}

/// The largest float below an eighth of a turn.
const BOUND: u32 = core::f32::consts::FRAC_PI_4.to_bits() - 1;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn conversions_saturate_and_round() {
        assert_eq!(to_u16(-3.0), 0);
        assert_eq!(to_u16(1e9), u16::MAX);
        assert_eq!(to_u16(1.5), 2);
        assert_eq!(to_u16(f32::NAN), 0);
        assert_eq!(to_i16(-1.5), -2);
        assert_eq!(to_i16(1.5), 2);
        assert_eq!((to_i16(1.4), to_i16(-1.4), to_i16(0.0)), (1, -1, 0));
        assert_eq!((to_i16(1e9), to_i16(-1e9)), (i16::MAX, i16::MIN));
        assert_eq!((to_i16(-0.0), to_i16(f32::NAN)), (0, 0));
        assert_eq!((to_ticks(0.0101), to_ticks(0.5)), (11, 500));
        assert_eq!((to_ticks(-1.0), to_ticks(f32::NAN)), (0, 0));
        assert_eq!(to_ticks(1e9), u32::MAX);
    }

    /// Every corner that parameters may have, and a step of their bits each.
    #[test]
    fn the_tangent_is_the_librarys_up_to_an_eighth_of_a_turn() {
        for bits in (0..=BOUND).step_by(997) {
            let angle = f32::from_bits(bits);
            assert_eq!(tan(angle).to_bits(), libm::tanf(angle).to_bits(), "{angle}");
        }
        assert_eq!(
            tan(3.0).to_bits(),
            libm::tanf(f32::from_bits(BOUND)).to_bits()
        );
    }

    /// Of two that compare equal it is the first, bit for bit: minus zero and zero do.
    #[test]
    fn of_equals_the_first_is_taken() {
        for (a, b) in [(0.0_f32, -0.0_f32), (-0.0, 0.0)] {
            assert_eq!(min(a, b).to_bits(), a.to_bits());
            assert_eq!(max(a, b).to_bits(), a.to_bits());
        }
    }
}
