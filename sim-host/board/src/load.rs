//! Instructions of the ticks, by phase.

use firmware_core::sequence::{ALL_PHASES, Phase};

/// Instructions a tick at most that are counted apart; above it ticks are counted as this many.
const MOST: usize = 1 << 20;

/// Instructions of every tick so far.
#[derive(Clone, Debug)]
pub struct Load {
    phases: Vec<Count>,
    check: u32,
    link: Count,
}

#[derive(Clone, Debug, Default)]
struct Count {
    ticks: Vec<u32>,
}

impl Count {
    fn note(&mut self, instructions: f64) {
        let index = (instructions as usize).min(MOST);
        if self.ticks.len() <= index {
            self.ticks.resize(index + 1, 0);
        }
        if let Some(ticks) = self.ticks.get_mut(index) {
            *ticks = ticks.saturating_add(1);
        }
    }
}

/// Instructions of the ticks of one phase.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PhaseLoad {
    /// The phase; none: of all of them.
    pub phase: Option<Phase>,
    /// Ticks.
    pub ticks: u64,
    /// Fewest.
    pub least: u32,
    /// Mean.
    pub mean: f64,
    /// As many as 999 of 1000 ticks take at most.
    pub nearly_all: u32,
    /// Most.
    pub most: u32,
}

impl Default for Load {
    fn default() -> Self {
        Self {
            phases: vec![Count::default(); ALL_PHASES.len()],
            check: 0,
            link: Count::default(),
        }
    }
}

impl Load {
    pub(crate) fn note(&mut self, phase: Phase, instructions: f64) {
        let place = ALL_PHASES.iter().position(|other| *other == phase);
        let Some(count) = place.and_then(|place| self.phases.get_mut(place)) else {
            return;
        };
        count.note(instructions);
    }

    pub(crate) fn note_link(&mut self, instructions: f64) {
        self.link.note(instructions);
    }

    /// What link and store took between two ticks.
    #[must_use]
    pub fn link(&self) -> Option<PhaseLoad> {
        of(None, &self.link.ticks)
    }

    pub(crate) fn note_check(&mut self, instructions: f64) {
        self.check = self.check.max(instructions as u32);
    }

    /// Most instructions that the check of a recipe took, between two ticks; 0 where none was loaded.
    #[must_use]
    pub const fn check(&self) -> u32 {
        self.check
    }

    /// One row a phase that occurred, then all of them together.
    #[must_use]
    pub fn table(&self) -> Vec<PhaseLoad> {
        let mut rows: Vec<PhaseLoad> = ALL_PHASES
            .iter()
            .zip(&self.phases)
            .filter_map(|(phase, count)| of(Some(*phase), &count.ticks))
            .collect();
        let longest = self
            .phases
            .iter()
            .map(|count| count.ticks.len())
            .max()
            .unwrap_or(0);
        let mut all = vec![0_u32; longest];
        for count in &self.phases {
            for (sum, ticks) in all.iter_mut().zip(&count.ticks) {
                *sum = sum.saturating_add(*ticks);
            }
        }
        rows.extend(of(None, &all));
        rows
    }
}

fn of(phase: Option<Phase>, ticks: &[u32]) -> Option<PhaseLoad> {
    let total: u64 = ticks.iter().map(|&count| u64::from(count)).sum();
    if total == 0 {
        return None;
    }
    let taken = || ticks.iter().enumerate().filter(|(_, count)| **count > 0);
    let sum: f64 = taken()
        .map(|(instructions, count)| instructions as f64 * f64::from(*count))
        .sum();
    let mut below = 0;
    let nearly_all = taken().find(|(_, count)| {
        below += u64::from(**count);
        below * 1000 >= total * 999
    });
    let number = |found: Option<(usize, &u32)>| found.map_or(0, |(index, _)| index as u32);
    Some(PhaseLoad {
        phase,
        ticks: total,
        least: number(taken().next()),
        mean: sum / total as f64,
        nearly_all: number(nearly_all),
        most: number(taken().next_back()),
    })
}
