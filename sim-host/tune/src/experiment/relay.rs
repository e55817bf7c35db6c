//! A relay's recording read in two ways.

use super::port::Experimenter;
use super::{NoRecording, RelayReading};
use crate::rules;
use twinplate_linear::limit::{Cycle, Relay};
use twinplate_linear::{Line, ultimate};
use twinplate_sim::math::{abs, max, min};

/// Cycles left out until the swing is steady.
const SETTLING_CYCLES: usize = 4;

/// Means over the steady cycles, and the two readings.
pub(super) fn read(
    port: &Experimenter,
    relay: Relay,
    gain: f64,
) -> Result<RelayReading, NoRecording> {
    let none = |why: String| NoRecording::NoCycle(why);
    let turns: Vec<usize> = port.turns.iter().map(|turn| *turn as usize).collect();
    let Some(steady) = turns.get(SETTLING_CYCLES..).filter(|turns| turns.len() > 2) else {
        return Err(none(format!("{} turns", turns.len())));
    };
    let mut amplitude = 0.0;
    for pair in steady.windows(2) {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for output in &port.output[pair[0]..pair[1]] {
            low = min(low, *output);
            high = max(high, *output);
        }
        amplitude += 0.5 * (high - low);
    }
    let cycles = steady.len() - 1;
    let cycle = Cycle {
        period: (steady[cycles] - steady[0]) as f64 * 1e-3 / cycles as f64,
        amplitude: amplitude / cycles as f64,
    };
    let describing = rules::relay_reading(&relay, &cycle).map_err(|e| none(e.to_string()))?;
    let exact = rules::relay_exact(&relay, &cycle, gain).map_err(|e| none(e.to_string()))?;
    let exact_ultimate = ultimate(&Line::plain(exact))
        .map_err(|e| none(e.to_string()))?
        .ok_or_else(|| none("no gain makes the model swing".to_owned()))?;
    debug_assert!(abs(exact.gain - gain) < 1e-9 * abs(gain));
    Ok(RelayReading {
        relay,
        cycle,
        cycles,
        describing,
        exact,
        exact_ultimate,
    })
}
