//! Which runs the ranking of assumed keys takes.

use twinplate_sim::assumed::{ENDS, Rule, Width, assumed};
use twinplate_sim::model::{Deviations, Machine, Varied};

/// Keys of a machine that are tried, and the runs that takes: what two ends have in common is run once.
pub(super) struct Tries {
    pub keys: Vec<&'static Rule>,
    /// A key and an end for each run.
    pub made: Vec<(&'static Rule, f64)>,
    /// Which run each end of each key is; none where that end is the machine as assumed.
    pub of: Vec<[Option<usize>; 2]>,
}

impl Tries {
    pub fn of(machine: &Machine) -> Self {
        let keys: Vec<&'static Rule> = assumed(machine).filter(|rule| rule.varies()).collect();
        let deviated = |rule: &Rule, end: f64| {
            let deviations = rule.deviated(machine, end);
            match rule.width {
                // A width that the envelope has anyhow is all there is to it, whichever key asks.
                Width::Declared(..) => Deviations {
                    assumed: Varied::Nominal,
                    ..deviations
                },
                _ => deviations,
            }
        };
        let mut made: Vec<(&'static Rule, f64)> = Vec::new();
        let mut run = |rule: &'static Rule, end: f64| {
            let wanted = deviated(rule, end);
            if wanted == Deviations::NOMINAL {
                return None;
            }
            let known = made
                .iter()
                .position(|(rule, end)| deviated(rule, *end) == wanted);
            Some(known.unwrap_or_else(|| {
                made.push((rule, end));
                made.len() - 1
            }))
        };
        let of = keys
            .iter()
            .map(|rule| ENDS.map(|end| run(rule, end)))
            .collect();
        Self { keys, made, of }
    }
}
