//! The rows of a set, one after the other, lowest first: few of them are set, so no loop goes over all.

/// Index and bit of each row of a set.
pub(super) struct Rows(pub u64);

impl Iterator for Rows {
    type Item = (usize, u64);

    fn next(&mut self) -> Option<Self::Item> {
        if self.0 == 0 {
            return None;
        }
        let index = self.0.trailing_zeros();
        let bit = 1_u64.wrapping_shl(index);
        self.0 &= !bit;
        Some((usize::try_from(index).unwrap_or(usize::MAX), bit))
    }
}
