//! Which part lies in which pocket of a load, so that the plate lies level.
//!
//! A plate on a gimbal leans by the plane that fits the parts' tops. Its slope goes with the moments of the heights about the centre.
//! As the machine turns, the part of the moment that the carriers' centres have goes round with the orbit, and that of the pockets about
//! their centres turns with the spin of the carriers: at the worst moment both point one way. So the sum of the two lengths is what is
//! made small, by exchanging parts two by two until no exchange helps, from several beginnings.

use twinplate_sim::math::{cos, hypot, max, sin};
use twinplate_sim::model::{Batch, Geometry};
use twinplate_sim::plant::places::{LaidIn, laid_in};
use twinplate_sim::plant::seed::substream;

/// Beginnings besides that of a row of thick and thin ones in turn.
const BEGINNINGS: u64 = 8;
/// Pieces from which one beginning must do: their number makes up for it.
const MANY: usize = 300;
/// Rounds of exchanges at most.
const ROUNDS: usize = 200;
/// Lean over the whole plate under which nobody can tell it from level, m.
const LEVEL: f64 = 1e-9;

/// The pockets of a load.
#[derive(Clone, Debug)]
pub struct Layout {
    /// Pocket of each piece, as the plant has them: parts first, then dummies.
    pub laid: Vec<LaidIn>,
    /// Of each piece, m: its carrier's centre from the machine's, its own from that.
    arms: Vec<[[f64; 2]; 2]>,
    /// What makes a lean of a moment, m over m².
    over: f64,
    parts: usize,
}

impl Layout {
    /// Of a batch as it is dealt into its machine.
    #[must_use]
    pub fn of(geometry: &Geometry, batch: &Batch) -> Self {
        let laid = laid_in(geometry, batch);
        let orbit = geometry.radius_orbit();
        let arms: Vec<[[f64; 2]; 2]> = laid
            .iter()
            .map(|lies| {
                let angle = std::f64::consts::TAU * f64::from(lies.pocket.carrier)
                    / f64::from(geometry.carriers.max(1));
                let centre = [orbit * cos(angle), orbit * sin(angle)];
                let [x, y] = lies.place;
                [centre, [x - centre[0], y - centre[1]]]
            })
            .collect();
        // Half of the sum of squares of the arms: what a plane's slope is the moment over, in a layout that has no preferred direction.
        let squares: f64 = arms
            .iter()
            .flatten()
            .map(|[x, y]| 0.5 * (x * x + y * y))
            .sum();
        Self {
            laid,
            arms,
            over: geometry.plate_outer / max(squares, f64::MIN_POSITIVE),
            parts: batch.parts as usize,
        }
    }

    fn moments(&self, heights: &[f64]) -> [[f64; 2]; 2] {
        let mean = heights.iter().sum::<f64>() / heights.len().max(1) as f64;
        let mut sums = [[0.0; 2]; 2];
        for (arms, height) in self.arms.iter().zip(heights) {
            add(&mut sums, arms, height - mean);
        }
        sums
    }

    fn size(&self, moments: &[[f64; 2]; 2]) -> f64 {
        self.over * moments.iter().map(|[x, y]| hypot(*x, *y)).sum::<f64>()
    }

    /// How much higher one side of the plate lies than the other at most as the machine turns, over the whole plate, m, where all these
    /// pieces touch: heights in the order of the pieces.
    #[must_use]
    pub fn lean(&self, heights: &[f64]) -> f64 {
        self.size(&self.moments(heights))
    }

    /// Parts, by their number in `thickness`, in the order of the pieces: one carrier after the other is filled as they come, pocket by
    /// pocket, but the dummies' pockets.
    #[must_use]
    pub(super) fn in_turn(&self, parts: usize) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.parts).collect();
        let place = |i: &usize| {
            (
                self.laid[*i].pocket.carrier,
                self.laid[*i].pocket.pocket,
                *i,
            )
        };
        order.sort_by_key(place);
        let mut chosen = vec![0; parts];
        for (next, piece) in order.into_iter().enumerate() {
            if piece < parts {
                chosen[piece] = next;
            }
        }
        chosen
    }

    /// Parts, by their number in `thickness`, in the order of the pieces, so that the plate lies as level as exchanges of two parts
    /// make it. `dummy` is the thickness of the dummies, m.
    #[must_use]
    pub fn balanced(&self, thickness: &[f64], dummy: f64) -> Vec<usize> {
        let n = self.parts.min(thickness.len());
        let mut best: Option<(f64, Vec<usize>)> = None;
        let others = if n > MANY { 0 } else { BEGINNINGS };
        for beginning in 0..=others {
            let mut chosen = begin(thickness, n, beginning);
            let lean = self.exchange(&mut chosen, thickness, dummy);
            if best
                .as_ref()
                .is_none_or(|(least, _)| lean < *least * (1.0 - 1e-9))
            {
                best = Some((lean, chosen));
            }
            if lean < LEVEL {
                break;
            }
        }
        best.map_or_else(Vec::new, |(_, chosen)| chosen)
    }

    /// Exchanges parts two by two while that helps; gives the lean that is left.
    fn exchange(&self, chosen: &mut [usize], thickness: &[f64], dummy: f64) -> f64 {
        let n = chosen.len();
        let heights: Vec<f64> = (0..self.laid.len())
            .map(|piece| chosen.get(piece).map_or(dummy, |part| thickness[*part]))
            .collect();
        let mut moments = self.moments(&heights);
        let mut size = self.size(&moments);
        for _ in 0..ROUNDS {
            let mut helped = false;
            for i in 0..n {
                for j in i + 1..n {
                    let more = thickness[chosen[j]] - thickness[chosen[i]];
                    let mut tried = moments;
                    add(&mut tried, &self.arms[i], more);
                    add(&mut tried, &self.arms[j], -more);
                    let now = self.size(&tried);
                    // Less by what is no rounding.
                    if now < size * (1.0 - 1e-9) {
                        (moments, size, helped) = (tried, now, true);
                        chosen.swap(i, j);
                    }
                }
            }
            if !helped || size < LEVEL {
                break;
            }
        }
        size
    }
}

fn add(sums: &mut [[f64; 2]; 2], arms: &[[f64; 2]; 2], height: f64) {
    for (sum, arm) in sums.iter_mut().zip(arms) {
        sum[0] += arm[0] * height;
        sum[1] += arm[1] * height;
    }
}

/// Beginning 0: thickest, thinnest, next thickest and so on; others: shuffled, each its own way.
fn begin(thickness: &[f64], n: usize, beginning: u64) -> Vec<usize> {
    let mut sorted: Vec<usize> = (0..n).collect();
    if beginning == 0 {
        sorted.sort_by(|a, b| thickness[*b].total_cmp(&thickness[*a]).then(a.cmp(b)));
        return (0..n)
            .map(|i| sorted[if i % 2 == 0 { i / 2 } else { n - 1 - i / 2 }])
            .collect();
    }
    for i in (1..n).rev() {
        let drawn = substream(beginning, "lay-in", "beginning", i as u64);
        // Below i + 1, which fits.
        let j = usize::try_from(drawn % (i as u64 + 1)).unwrap_or(0);
        sorted.swap(i, j);
    }
    sorted
}
