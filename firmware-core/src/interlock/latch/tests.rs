//! From raw conditions to one response: the plain law beside the quick one, and what a reset may release.

use super::*;
use crate::response::ALL_RESPONSES;
use crate::sequence::{ALL_PHASES, ALL_STATES};

const ROW: [Cond; 2] = [Cond::EstopDisagree, Cond::GuardDisagree];

fn follow(latch: &mut Latch, rows: u64, ticks: u32) {
    for _ in 0..ticks {
        latch.follow(rows, State::Stopped, Phase::Rest);
    }
}

/// Both channels of a pair seen open and closed again: emergency stop first, guard second.
fn cycle(latch: &mut Latch, pair: usize) {
    for channels in [[false, true], [true, false], [true; 2]] {
        let mut seen = [[true; 2]; 2];
        seen[pair] = channels;
        latch.see_channels(seen[0], seen[1]);
    }
}

/// Channels that were seen open before their own row latched count for nothing: whoever cycled them then has not seen the fault.
/// A latched row of the other pair changes nothing in that.
#[test]
fn channels_cycled_before_their_row_latched_do_not_count() {
    let long = 2_000;
    for (pair, other) in [(0, 1), (1, 0)] {
        for beside in [0, ROW[other].bit()] {
            let mut latch = Latch::new(&crate::params::tests::sample());
            follow(&mut latch, beside, long);
            cycle(&mut latch, pair);
            follow(&mut latch, ROW[pair].bit() | beside, long);
            follow(&mut latch, 0, 1);
            let latched = ROW[pair].bit() | beside;
            assert_eq!(latch.latched(), latched);
            latch.see_channels([true; 2], [true; 2]);
            assert_eq!(latch.reset(), latched, "{:?}: cycled before", ROW[pair]);
            cycle(&mut latch, pair);
            assert_eq!(latch.reset(), beside, "{:?}: cycled after", ROW[pair]);
            // What was cycled for one fault says nothing of the next.
            latch.see_channels([true; 2], [true; 2]);
            follow(&mut latch, ROW[pair].bit(), long);
            follow(&mut latch, 0, 1);
            latch.see_channels([true; 2], [true; 2]);
            assert_eq!(
                latch.reset(),
                latched,
                "{:?}: cycled for the last",
                ROW[pair]
            );
        }
    }
}

/// A row that is on its way, or there, is not released, and one that is released takes its response with it.
#[test]
fn reset_releases_what_is_gone_and_nothing_else() {
    let mut latch = Latch::new(&crate::params::tests::sample());
    let (gone, there) = (Cond::Counterbalance.bit(), Cond::DriveFault.bit());
    follow(&mut latch, gone | there, 20);
    follow(&mut latch, there, 1);
    assert_eq!(latch.reset(), there);
    follow(&mut latch, 0, 1);
    follow(&mut latch, gone, 19);
    assert_eq!(latch.latched(), there, "one tick short of its time");
    assert_eq!(latch.reset(), 0);
    let verdict = latch.follow(0, State::Stopped, Phase::Rest);
    assert_eq!(verdict.response, Response::None);
}

/// The tick in which a row latches is not yet after it, whatever else is latched: channels are looked at before rows.
#[test]
fn a_channel_open_when_its_row_latched_does_not_count() {
    for (pair, other) in [(0, 1), (1, 0)] {
        for beside in [0, ROW[other].bit()] {
            let mut latch = Latch::new(&crate::params::tests::sample());
            follow(&mut latch, beside, 2_000);
            let mut see = |channels, rows| {
                let mut seen = [[true; 2]; 2];
                seen[pair] = channels;
                latch.see_channels(seen[0], seen[1]);
                latch.follow(rows, State::Stopped, Phase::Rest);
                latch.latched() & ROW[pair].bit() != 0
            };
            while !see([false, true], ROW[pair].bit()) {}
            for channels in [[true, true], [true, false], [true, true]] {
                see(channels, 0);
            }
            let stays = latch.reset() & ROW[pair].bit() != 0;
            assert!(stays, "{:?} beside {beside:x}", ROW[pair]);
        }
    }
}

/// One channel of two, seen open however often, is not both.
#[test]
fn both_channels_of_a_pair_must_be_seen_open() {
    for (pair, row) in ROW.into_iter().enumerate() {
        for one in [[false, true], [true, false]] {
            let mut latch = Latch::new(&crate::params::tests::sample());
            follow(&mut latch, row.bit(), 2_000);
            follow(&mut latch, 0, 1);
            for channels in [one, [true; 2], one, [true; 2]] {
                let mut seen = [[false; 2]; 2];
                seen[pair] = channels;
                latch.see_channels(seen[0], seen[1]);
            }
            assert_eq!(latch.reset(), row.bit(), "{row:?} {one:?}");
        }
    }
}

#[test]
fn the_worst_of_two_responses_is_the_graver_either_way_round() {
    for a in ALL_RESPONSES {
        for b in ALL_RESPONSES {
            assert_eq!(worst(a, b), a.max(b));
        }
    }
}

/// The law said a second time: every row by itself, in every tick, with nothing remembered but how long it has lasted.
struct Plain {
    estop_category: u8,
    debounce: [u32; ROWS],
    lasted: [u32; ROWS],
    latched: u64,
    effective: u64,
}

impl Plain {
    fn active(&self) -> u64 {
        let long = (0..ROWS).filter(|n| self.lasted[*n] >= self.debounce[*n]);
        long.fold(0, |bits, n| bits | 1 << n)
    }

    /// The most severe of some rows, the lowest where several are.
    fn first(&self, rows: u64) -> (Response, u16) {
        let mut found = (Response::None, 0);
        for (n, row) in TABLE.iter().enumerate().rev() {
            let response = row.response(self.estop_category);
            if rows >> n & 1 == 1 && response >= found.0 {
                found = (response, row.id);
            }
        }
        found
    }

    fn follow(&mut self, raw: u64, state: State, phase: Phase) -> Verdict {
        for (n, row) in TABLE.iter().enumerate() {
            let asks = raw >> n & 1 == 1 && row.watch.covers(state, phase);
            self.lasted[n] = if asks { self.lasted[n] + 1 } else { 0 };
            if row.latched() {
                self.latched |= self.active() & 1 << n;
            }
        }
        let before = self.effective;
        self.effective = self.active() | self.latched;
        let has = |effect| {
            let rows = TABLE.iter().enumerate().filter(|(_, r)| r.effect == effect);
            rows.fold(0, |bits, (n, _)| bits | 1 << n) & self.effective != 0
        };
        Verdict {
            response: self.first(self.effective).0,
            risen: self.first(self.effective & !before).1,
            end_by_time: has(Effect::EndByTime),
            disarm_remote: has(Effect::DisarmRemote),
        }
    }

    /// Nobody cycles a channel here: what wants that stays.
    fn reset(&mut self) -> u64 {
        for (n, row) in TABLE.iter().enumerate() {
            if self.lasted[n] == 0 && row.reset == ResetRule::Reset {
                self.latched &= !(1 << n);
            }
        }
        self.effective = self.active() | self.latched;
        self.latched
    }
}

/// What is asked in a tick, what is remembered and what is summed up once are shortcuts: they change nothing. Conditions come and go
/// while the machine moves from place to place and is reset now and then; debounce times are short here, so that they all pass.
#[test]
fn rows_come_to_what_each_row_by_itself_comes_to() {
    let params = crate::params::tests::sample();
    let mut latch = Latch::new(&params);
    let mut plain = Plain {
        estop_category: params.estop_category,
        debounce: core::array::from_fn(|n| n as u32 % 5 + 1),
        lasted: [0; ROWS],
        latched: 0,
        effective: 0,
    };
    latch.debounce = plain.debounce;
    // Xorshift with Marsaglia's shifts of 13, 7 and 17 (Xorshift RNGs, 2003).
    let mut random = 0x9E37_79B9_7F4A_7C15_u64;
    let mut below = |n: usize| {
        random ^= random << 13;
        random ^= random >> 7;
        random ^= random << 17;
        random as usize % n
    };
    let (mut raw, mut state, mut phase) = (0_u64, State::Idle, Phase::Rest);
    for tick in 0..20_000 {
        // Long calms, and seldom much at once.
        match below(4) {
            0 => raw ^= 1 << below(ROWS),
            1 => raw &= !(1 << below(ROWS)),
            2 if below(9) == 0 => raw = 0,
            _ => {}
        }
        match below(40) {
            0 => (state, phase) = (ALL_STATES[below(10)], ALL_PHASES[below(15)]),
            1 => assert_eq!(latch.reset(), plain.reset(), "tick {tick}: reset"),
            _ => {}
        }
        let due = plain.follow(raw, state, phase);
        assert_eq!(latch.follow(raw, state, phase), due, "tick {tick}");
        let now = (latch.active(), latch.latched(), latch.leading());
        let due = (
            plain.active(),
            plain.latched,
            plain.first(plain.effective).1,
        );
        assert_eq!(now, due, "tick {tick}");
    }
}
