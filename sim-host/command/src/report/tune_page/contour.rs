//! Lines of equal value on a grid, and the edge of the stable region row by row.

use twinplate_sim::math::{abs, limit, log10};
use twinplate_tune::plane::Plane;

/// A straight piece of a line, from and to.
pub(super) type Piece = [[f64; 2]; 2];

/// Pieces of the line on which `values` (row by row over `x` and `y`) equal `level`, by marching squares: each cell's border is
/// crossed where the straight line between two corners reaches the level. In a saddle the two pieces do not cross.
pub(super) fn contour(x: &[f64], y: &[f64], values: &[f64], level: f64) -> Vec<Piece> {
    let at = |row: usize, column: usize| values[row * x.len() + column] - level;
    let mut pieces = Vec::new();
    for row in 1..y.len() {
        for column in 1..x.len() {
            // Round the cell, so that neighbours in the list share a border.
            let corners = [
                (row - 1, column - 1),
                (row - 1, column),
                (row, column),
                (row, column - 1),
            ];
            let mut crossed: Vec<[f64; 2]> = Vec::with_capacity(4);
            for n in 0..4 {
                let (a, b) = (corners[n], corners[(n + 1) % 4]);
                let (va, vb) = (at(a.0, a.1), at(b.0, b.1));
                if (va < 0.0) != (vb < 0.0) {
                    let share = va / (va - vb);
                    crossed.push([
                        x[a.1] + share * (x[b.1] - x[a.1]),
                        y[a.0] + share * (y[b.0] - y[a.0]),
                    ]);
                }
            }
            pieces.extend(crossed.chunks_exact(2).map(|pair| [pair[0], pair[1]]));
        }
    }
    pieces
}

/// Beyond any picture, in decades.
const FAR: f64 = 9.0;

/// Edge of the stable region: for each row of the plane the decade of the gain from which on the nominal loop swings. It follows
/// from the gain margin exactly, because a row has one integral time. Far right where nothing swings, far left where everything does.
pub(super) fn stability_rows(plane: &Plane) -> Vec<f64> {
    let columns = plane.kc.len();
    (0..plane.ti.len())
        .map(|row| {
            let of_row = &plane.margins[row * columns..(row + 1) * columns];
            // Both lie at the edge: the last that is stable, or the first that is not.
            let (column, margins) = match of_row.iter().rposition(|m| m.stable) {
                Some(last) => (last, &of_row[last]),
                None => (0, &of_row[0]),
            };
            let edge = log10(abs(plane.kc[column])) + log10(margins.gain);
            limit(edge, -FAR, FAR)
        })
        .collect()
}

/// Value between two points of a list with rising abscissas; the nearest end beyond it.
pub(super) fn between(x: &[f64], values: &[f64], at: f64) -> f64 {
    let after = x.partition_point(|&x| x < at);
    if after == 0 {
        return values.first().copied().unwrap_or(0.0);
    }
    if after >= x.len() {
        return values.last().copied().unwrap_or(0.0);
    }
    let share = (at - x[after - 1]) / (x[after] - x[after - 1]);
    values[after - 1] + share * (values[after] - values[after - 1])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plane_has_straight_contours() {
        // z = x + 2 y at 2.5: every piece lies on that line, and they span the grid.
        let (x, y) = ([0.0, 1.0, 2.0, 3.0], [0.0, 1.0, 2.0]);
        let values: Vec<f64> = y
            .iter()
            .flat_map(|y| x.iter().map(move |x| x + 2.0 * y))
            .collect();
        let pieces = contour(&x, &y, &values, 2.5);
        assert!(!pieces.is_empty());
        let mut length = 0.0;
        for [a, b] in pieces {
            for point in [a, b] {
                assert!((point[0] + 2.0 * point[1] - 2.5).abs() < 1e-12, "{point:?}");
            }
            length += (a[0] - b[0]).hypot(a[1] - b[1]);
        }
        // From (2.5, 0) to (0, 1.25).
        assert!((length - 2.5_f64.hypot(1.25)).abs() < 1e-12, "{length}");
    }

    #[test]
    fn a_value_between_two_points_lies_on_their_line() {
        let (x, v) = ([0.0, 2.0, 3.0], [1.0, 5.0, 4.0]);
        assert_eq!(between(&x, &v, 1.0), 3.0);
        assert_eq!(between(&x, &v, -1.0), 1.0);
        assert_eq!(between(&x, &v, 9.0), 4.0);
    }
}
