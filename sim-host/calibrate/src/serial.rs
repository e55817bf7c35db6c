//! Residuals that hang together: neighbours in time say less than independent rows, and intervals must be wider for it.

use twinplate_sim::math::{max, sqrt};

/// Factor on standard deviations, at least 1, from the residuals' own correlation: the root of one plus twice the sum of the correlations
/// of neighbours, next neighbours and so on, to the first that is not positive (initial positive sequence). `parts` are stretches that
/// follow each other in time; between two of them nothing is compared.
pub(crate) fn widening(parts: &[&[f64]]) -> f64 {
    let square: f64 = parts
        .iter()
        .flat_map(|part| part.iter())
        .map(|r| r * r)
        .sum();
    if square <= 0.0 {
        return 1.0;
    }
    let longest = parts.iter().map(|part| part.len()).max().unwrap_or(0);
    let count: usize = parts.iter().map(|part| part.len()).sum();
    // A correlation that chance alone gives so many rows, one in forty, is none.
    let noise = 2.0 / sqrt(count as f64);
    let mut sum = 0.0;
    for lag in 1..longest / 3 {
        let product: f64 = parts
            .iter()
            .map(|part| {
                let later = part.get(lag..).unwrap_or(&[]);
                part.iter().zip(later).map(|(a, b)| a * b).sum::<f64>()
            })
            .sum();
        let correlation = product / square;
        if correlation < noise {
            break;
        }
        sum += correlation;
    }
    max(sqrt(1.0 + 2.0 * sum), 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A mean over blocks of `n` equal values is as sure as one over the blocks: the factor is the root of `n`, nearly.
    #[test]
    fn equal_neighbours_widen_by_their_number() {
        let mut state = 1_u64;
        let mut sign = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            if state >> 40 & 1 == 0 { 1.0 } else { -1.0 }
        };
        let alone: Vec<f64> = (0..4000).map(|_| sign()).collect();
        assert!(widening(&[&alone]) < 1.1, "{}", widening(&[&alone]));
        let blocks: Vec<f64> = alone[..400].iter().flat_map(|value| [*value; 10]).collect();
        let widened = widening(&[&blocks]);
        assert!((2.6..3.6).contains(&widened), "{widened}");
        assert_eq!(widening(&[&[0.0; 5]]), 1.0);
    }
}
