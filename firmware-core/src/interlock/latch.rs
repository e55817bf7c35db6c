//! From raw conditions to one response: debounce, latch, first-out.

use super::row::{Effect, Logic, ResetRule, Row};
use super::rows::Rows;
use super::table::{Cond, ROWS, TABLE};
use crate::params::ParamsWire;
use crate::response::Response;
use crate::sequence::{Phase, State};

/// What the interlocks say this tick.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Verdict {
    /// The highest response of all effective rows.
    pub response: Response,
    /// Row id of the most severe row that became effective this tick; 0 for none.
    pub risen: u16,
    /// Steps that end by gauge end by their longest time.
    pub end_by_time: bool,
    /// Remote start must be disarmed.
    pub disarm_remote: bool,
}

/// The reducer: the worst of two responses. Its whole table is walked in the tests.
#[must_use]
pub const fn worst(a: Response, b: Response) -> Response {
    if (b as u8) > (a as u8) { b } else { a }
}

/// Debounce counters and latches of every row.
#[derive(Clone, Debug, PartialEq)]
pub struct Latch {
    debounce: [u32; ROWS],
    response: [Response; ROWS],
    count: [u32; ROWS],
    latching: u64,
    watched: u64,
    at: (State, Phase),
    /// Rows whose condition lasts: those that are active, and those on their way there.
    pending: u64,
    active: u64,
    latched: u64,
    effective: u64,
    /// What the effective rows come to; which of them is new is a matter of the tick.
    summary: Verdict,
    /// Channels seen open since their disagreement latched: emergency stop A, B, guard A, B.
    cycled: [bool; 4],
    #[cfg(feature = "broken")]
    left_out: u64,
}

/// The rows of [`TABLE`], worked out when this is compiled.
static LOGIC: [Logic; ROWS] = logic(&TABLE);

const fn logic(table: &[Row; ROWS]) -> [Logic; ROWS] {
    let [first, ..] = table;
    let mut rows = [first.logic(); ROWS];
    let mut index = 0;
    // Worked out by the compiler, which does not compile an index beyond the end.
    #[allow(clippy::indexing_slicing)]
    while index < ROWS {
        rows[index] = table[index].logic();
        index = index.wrapping_add(1);
    }
    rows
}

fn watched_rows(state: State, phase: Phase) -> u64 {
    let mut bits = 0_u64;
    for (row, index) in LOGIC.iter().zip(0_u32..) {
        if row.watch.covers(state, phase) {
            bits |= 1_u64.wrapping_shl(index);
        }
    }
    bits
}

impl Latch {
    /// Nothing active.
    #[must_use]
    pub fn new(params: &ParamsWire) -> Self {
        let mut latch = Self {
            debounce: [1; ROWS],
            response: [Response::None; ROWS],
            count: [0; ROWS],
            latching: 0,
            watched: watched_rows(State::Idle, Phase::Rest),
            at: (State::Idle, Phase::Rest),
            pending: 0,
            active: 0,
            latched: 0,
            effective: 0,
            summary: Verdict::default(),
            cycled: [false; 4],
            #[cfg(feature = "broken")]
            left_out: 0,
        };
        for ((row, debounce), (response, index)) in LOGIC
            .iter()
            .zip(&mut latch.debounce)
            .zip(latch.response.iter_mut().zip(0_u32..))
        {
            *debounce = row.debounce.ticks(params);
            *response = row.respond.response(params.estop_category);
            if row.reset.latches() {
                latch.latching |= 1_u64.wrapping_shl(index);
            }
        }
        latch
    }

    /// Takes this tick's raw conditions for the state and phase the machine is in.
    #[inline(always)]
    pub fn follow(&mut self, raw: u64, state: State, phase: Phase) -> Verdict {
        if self.at != (state, phase) {
            self.at = (state, phase);
            self.watched = watched_rows(state, phase);
            #[cfg(feature = "broken")]
            self.forget_left_out();
        }
        let asking = raw & self.watched;
        let busy = asking | self.pending;
        if busy == 0 {
            return self.summary;
        }
        self.count_rows(asking, busy);
        self.latched |= self.active & self.latching;
        let effective = self.active | self.latched;
        let risen = effective & !self.effective;
        if effective != self.effective {
            self.effective = effective;
            self.summarise();
        }
        Verdict {
            risen: self.worst_id(risen),
            ..self.summary
        }
    }

    /// Takes rows out of the table, for tests that must see them missed.
    #[cfg(feature = "broken")]
    pub const fn leave_out(&mut self, rows: u64) {
        self.left_out = rows;
        self.forget_left_out();
    }

    #[cfg(feature = "broken")]
    const fn forget_left_out(&mut self) {
        self.watched &= !self.left_out;
    }

    fn count_rows(&mut self, asking: u64, busy: u64) {
        for (i, bit) in Rows(busy) {
            let (Some(count), Some(debounce)) = (self.count.get_mut(i), self.debounce.get(i))
            else {
                continue;
            };
            if asking & bit == 0 {
                *count = 0;
                self.pending &= !bit;
                self.active &= !bit;
            } else {
                *count = count.saturating_add(1);
                self.pending |= bit;
                if *count >= *debounce {
                    self.active |= bit;
                }
            }
        }
    }

    fn summarise(&mut self) {
        let mut verdict = Verdict::default();
        for (i, _) in Rows(self.effective) {
            let (Some(row), Some(response)) = (LOGIC.get(i), self.response.get(i)) else {
                continue;
            };
            verdict.response = worst(verdict.response, *response);
            match row.effect {
                Effect::None => {}
                Effect::EndByTime => verdict.end_by_time = true,
                Effect::DisarmRemote => verdict.disarm_remote = true,
            }
        }
        self.summary = verdict;
    }

    /// The most severe of a set of rows; the lowest row where several are equally severe.
    fn worst_id(&self, rows: u64) -> u16 {
        let mut found = (Response::None, 0_u16);
        for (i, _) in Rows(rows) {
            let (Some(row), Some(response)) = (LOGIC.get(i), self.response.get(i)) else {
                continue;
            };
            if *response > found.0 {
                found = (*response, row.id);
            }
        }
        found.1
    }

    /// Notes channels seen open, for rows that want both cycled before reset.
    pub fn see_channels(&mut self, estop: [bool; 2], guard: [bool; 2]) {
        // Each pair is remembered from the moment its own row latched.
        let [stop, gate] =
            [Cond::EstopDisagree, Cond::GuardDisagree].map(|row| self.latched & row.bit() != 0);
        let channels = [
            (stop, estop[0]),
            (stop, estop[1]),
            (gate, guard[0]),
            (gate, guard[1]),
        ];
        for (seen, (latched, closed)) in self.cycled.iter_mut().zip(channels) {
            *seen = latched & (*seen | !closed);
        }
    }

    /// Releases every latched row whose condition is gone and whose reset rule is met. Returns what stays latched.
    pub fn reset(&mut self) -> u64 {
        let [estop_a, estop_b, guard_a, guard_b] = self.cycled;
        for (row, index) in LOGIC.iter().zip(0_u32..) {
            let bit = 1_u64.wrapping_shl(index);
            let cycled = match row.reset {
                ResetRule::Follows | ResetRule::Reset => true,
                ResetRule::CycleBoth => {
                    if bit == Cond::EstopDisagree.bit() {
                        estop_a && estop_b
                    } else {
                        guard_a && guard_b
                    }
                }
            };
            if self.pending & bit == 0 && cycled {
                self.latched &= !bit;
            }
        }
        self.effective = self.active | self.latched;
        self.summarise();
        self.latched
    }

    /// Rows now active.
    #[must_use]
    pub const fn active(&self) -> u64 {
        self.active
    }

    /// Rows latched.
    #[must_use]
    pub const fn latched(&self) -> u64 {
        self.latched
    }

    /// The id of the most severe effective row; 0 for none.
    #[must_use]
    pub fn leading(&self) -> u16 {
        self.worst_id(self.effective)
    }
}

#[cfg(test)]
mod tests;
