//! The session's recorder: no rows, only the trace's hash and the ends of the load. So a snapshot stays small.

use firmware_core::math;
use firmware_core::sequence::{Phase, Plate};
use firmware_core::status::Status;
use twinplate_sim::bench::recorder::DEFAULT_EVERY;
use twinplate_sim::bench::{Recorder, TickView, TraceHash};

/// Version of the rows that enter the hash; part of its start value.
const ROWS_VERSION: u16 = 0x7401;

/// Sees every tick; hashes a row of true and measured values every [`DEFAULT_EVERY`] ticks.
#[derive(Clone, Debug)]
pub(super) struct Watcher {
    hash: TraceHash,
    gathered: u32,
    /// Least and most measured load since the last row, and since whoever reads them took them last, N.
    row: [f32; 2],
    pub sample: [f32; 2],
    pub frame: [f32; 2],
}

/// Nothing seen yet.
pub(super) const NO_ENDS: [f32; 2] = [f32::INFINITY, f32::NEG_INFINITY];

impl Watcher {
    pub const fn new() -> Self {
        Self {
            hash: TraceHash::new(ROWS_VERSION),
            gathered: 0,
            row: NO_ENDS,
            sample: NO_ENDS,
            frame: NO_ENDS,
        }
    }
}

/// The load that is shown, N: what presses on parts, `measured` where it does. What the cell feels while the plate is raised, pinned and
/// weighed is none, or what hangs.
pub(super) fn pressing(status: &Status, measured: f32) -> f32 {
    match (status.plate, status.phase) {
        (Plate::Contact, _) => measured,
        (_, Phase::Lift | Phase::Rest) => math::min(status.load.get(), 0.0),
        _ => status.load.get(),
    }
}

fn widen(ends: &mut [f32; 2], value: f32) {
    if value < ends[0] {
        ends[0] = value;
    }
    if value > ends[1] {
        ends[1] = value;
    }
}

impl Recorder for Watcher {
    fn record(&mut self, view: &TickView<'_>) {
        let load = view.status.load_raw.get();
        widen(&mut self.row, load);
        let shown = pressing(view.status, load);
        widen(&mut self.sample, shown);
        widen(&mut self.frame, shown);
        self.gathered += 1;
        if self.gathered < DEFAULT_EVERY {
            return;
        }
        let truth = view.plant.truth();
        let status = view.status;
        self.hash.row(
            view.tick,
            &[
                f64::from(self.row[0]),
                f64::from(self.row[1]),
                f64::from(status.load.get()),
                f64::from(status.reference.get()),
                f64::from(status.size.get()),
                truth.load,
                truth.height,
                truth.speeds[0],
                truth.speeds[1],
                truth.speeds[2],
                truth.speeds[3],
                truth.cap_pressure,
                truth.supply_pressure,
                truth.flow,
                truth.wetness,
                truth.temperatures[0],
                truth.temperatures[1],
                truth.thickness,
            ],
        );
        self.row = NO_ENDS;
        self.gathered = 0;
    }

    fn trace_hash(&self) -> Option<u64> {
        Some(self.hash.value())
    }
}
