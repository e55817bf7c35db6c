//! How time went by the clock of whoever was at the machine: paces and pauses. Nothing of the machine and no point hangs on it.

use super::log::seconds;
use super::protocol::Pace;
use serde::{Deserialize, Serialize};

/// Changes of pace that are kept of an attempt; whoever makes more is not timed further.
const MOST: usize = 500;

/// From here on time went at this pace.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Paced {
    /// Tick of the session.
    pub tick: u32,
    /// Clock time since the station was opened, ms.
    pub clock_ms: u64,
    /// The pace.
    pub pace: Pace,
}

/// How time went in an attempt. Empty where nobody sat at a clock.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Paces(Vec<Paced>);

/// How long an attempt took by the clock.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ByClock {
    /// All in all, s.
    pub lasted_s: f64,
    /// How often time was stopped.
    pub pauses: u32,
    /// For how long in all, s.
    pub paused_s: f64,
    /// How long time went faster than the clock, s of the clock.
    pub fast_s: f64,
}

impl Paces {
    /// None was noted.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Another pace, unless it is the same or there are too many.
    pub(crate) fn note(&mut self, paced: Paced) {
        let same = self.0.last().is_some_and(|last| last.pace == paced.pace);
        if !same && self.0.len() < MOST {
            self.0.push(paced);
        }
    }

    /// Each stretch at one pace, with its length by the clock, s.
    fn stretches(&self) -> impl Iterator<Item = (&Paced, f64)> {
        self.0
            .iter()
            .zip(self.0.iter().skip(1))
            .map(|(from, until)| {
                let lasted = until.clock_ms.saturating_sub(from.clock_ms);
                (from, std::time::Duration::from_millis(lasted).as_secs_f64())
            })
    }

    /// The whole attempt; the last pace is its end.
    #[must_use]
    pub fn by_clock(&self) -> Option<ByClock> {
        if self.is_empty() {
            return None;
        }
        let all = |of: fn(Pace) -> bool| self.stretches().filter(move |(from, _)| of(from.pace));
        let sum = |of| all(of).map(|(_, lasted)| lasted).sum();
        let stopped = |pace| pace == Pace::Paused;
        Some(ByClock {
            lasted_s: sum(|_| true),
            pauses: u32::try_from(all(stopped).count()).unwrap_or(u32::MAX),
            paused_s: sum(stopped),
            fast_s: sum(|pace| !matches!(pace, Pace::Paused | Pace::Real)),
        })
    }

    /// How long time was stopped between two moments, s of the clock.
    pub(crate) fn stopped_s(&self, from_s: f64, until_s: f64) -> f64 {
        let between = |(paced, _): &(&Paced, f64)| {
            paced.pace == Pace::Paused && (from_s..=until_s).contains(&seconds(paced.tick))
        };
        self.stretches()
            .filter(between)
            .map(|(_, lasted)| lasted)
            .sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn paces(of: &[(u32, u64, Pace)]) -> Paces {
        let mut paces = Paces::default();
        for (tick, clock_ms, pace) in of.iter().copied() {
            paces.note(Paced {
                tick,
                clock_ms,
                pace,
            });
        }
        paces
    }

    /// A reaction of a fifth of a second, with time stopped for 41 s to think it over.
    #[test]
    fn a_pause_to_think_is_told_of_and_an_attempt_has_its_length_by_the_clock() {
        let paces = paces(&[
            (1_000, 5_000, Pace::Real),
            (61_000, 65_000, Pace::Paused),
            (61_000, 106_000, Pace::Real),
            (71_000, 116_000, Pace::Twenty),
            (271_000, 126_000, Pace::Twenty),
            (271_000, 126_500, Pace::Paused),
        ]);
        let clock = paces.by_clock().expect("somebody was there");
        let seconds = [clock.lasted_s, clock.paused_s, clock.fast_s];
        assert_eq!((clock.pauses, seconds), (1, [121.5, 41.0, 10.5]));
        assert_eq!(paces.stopped_s(60.9, 61.1), 41.0);
        assert_eq!(paces.stopped_s(61.1, 400.0), 0.0);
        assert_eq!(Paces::default().by_clock(), None);
    }

    /// Guards: a hand that never rests at the pace must not fill the memory.
    #[test]
    fn no_more_than_so_many_changes_are_kept() {
        let mut restless = Paces::default();
        for index in 0..10_000 {
            restless.note(Paced {
                tick: index,
                clock_ms: u64::from(index),
                pace: [Pace::Real, Pace::Five][index as usize % 2],
            });
        }
        assert_eq!(restless.0.len(), MOST);
    }
}
