//! The largest load that one part bore, as reports tell it.

use crate::finding::significant;
use serde::Serialize;
use twinplate_sim::bench::summary::Summary;
use twinplate_sim::model::{Of, Shown};

/// The largest load on one part in a run, first contacts apart: those are bounded, not computed, and judged with it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LargestPart {
    /// N.
    pub load_n: f64,
    /// Times what each part would have borne had all shared alike.
    pub times_mean: f64,
    /// Number of the part, from 1.
    pub part: u32,
    /// Carrier, from 1, counter-clockwise.
    pub carrier: u32,
    /// Pocket in the carrier, from 1: circle by circle as the batch has them, each counter-clockwise from its first, which points outwards
    /// as the carrier is laid in where the circle has no phase.
    pub pocket: u32,
    /// When, s.
    pub time_s: f64,
}

impl LargestPart {
    /// Of a run; `None` where nothing was pressed.
    #[must_use]
    pub fn of(summary: &Summary) -> Option<Self> {
        let (most, pocket) = summary.largest_part?;
        Some(Self {
            load_n: most.load,
            times_mean: most.load / most.mean,
            part: u32::try_from(most.part)
                .unwrap_or(u32::MAX)
                .saturating_add(1),
            carrier: pocket.carrier.saturating_add(1),
            pocket: pocket.pocket.saturating_add(1),
            // Ticks of a run are far below 2^53.
            #[allow(clippy::cast_precision_loss)]
            time_s: most.tick as f64 / 1e3,
        })
    }

    /// One clause.
    #[must_use]
    pub fn words(&self, shown: &Shown) -> String {
        format!(
            "largest load on one part {} (part {}, carrier {}, pocket {}, at {:.1} s), {} times the mean",
            shown.tell(Of::Load, self.load_n, 3),
            self.part,
            self.carrier,
            self.pocket,
            self.time_s,
            significant(self.times_mean, 3)
        )
    }
}
