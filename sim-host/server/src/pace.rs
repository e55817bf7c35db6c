//! How many ticks are due: simulated time against the monotonic clock. Pure; times are handed in.
//!
//! Simulated time follows the clock at the pace asked for. What cannot be made in time is owed, but never more than
//! [`MOST_OWED`] of the clock's time: after a stall the machine goes on at its pace and does not race to catch up.

use firmware_core::units::TICKS_PER_SECOND;
use std::collections::VecDeque;
use std::time::Duration;
use twinplate_train::protocol::Pace;

/// Most clock time that is made up for after a stall.
pub const MOST_OWED: Duration = Duration::from_millis(250);
/// Clock time between two looks at what is due.
pub const SLICE: Duration = Duration::from_millis(10);
/// Ticks of a slice that is not paced: a few milliseconds even of an unoptimised build.
pub const UNPACED_SLICE: u32 = 2000;
/// Clock time over which the pace that is kept is averaged.
const KEPT_OVER: Duration = Duration::from_secs(1);
/// Clock time between two samples of it.
const SAMPLE: Duration = Duration::from_millis(50);

/// How many times as fast as the clock; `None` where nothing is paced.
#[must_use]
pub const fn factor(pace: Pace) -> Option<u32> {
    match pace {
        Pace::Paused => Some(0),
        Pace::Real => Some(1),
        Pace::Five => Some(5),
        Pace::Twenty => Some(20),
        Pace::Fastest => None,
    }
}

/// Keeps the pace of one station.
#[derive(Clone, Debug)]
pub struct Pacer {
    pace: Pace,
    /// Clock when ticks were last counted from zero.
    since: Duration,
    /// Ticks made since then.
    made: u64,
    /// Ticks made in all, for the samples.
    total: u64,
    /// (clock, ticks in all), oldest first.
    samples: VecDeque<(Duration, u64)>,
}

impl Pacer {
    /// Standing still at the clock time `now`.
    #[must_use]
    pub fn new(now: Duration) -> Self {
        Self {
            pace: Pace::Paused,
            since: now,
            made: 0,
            total: 0,
            samples: VecDeque::from([(now, 0)]),
        }
    }

    /// The pace that is asked for.
    #[must_use]
    pub const fn pace(&self) -> Pace {
        self.pace
    }

    /// Asks for another pace. Nothing is owed from before.
    pub fn set(&mut self, pace: Pace, now: Duration) {
        self.pace = pace;
        self.forget(now);
        self.samples = VecDeque::from([(now, self.total)]);
    }

    /// Owes nothing any more.
    pub const fn forget(&mut self, now: Duration) {
        self.since = now;
        self.made = 0;
    }

    /// Ticks to make now.
    pub fn due(&mut self, now: Duration) -> u32 {
        let Some(factor) = factor(self.pace) else {
            return UNPACED_SLICE;
        };
        let rate = u64::from(factor) * u64::from(TICKS_PER_SECOND);
        let owed = ticks(now.saturating_sub(self.since), rate).saturating_sub(self.made);
        let most = ticks(MOST_OWED, rate);
        if owed > most {
            self.forget(now.saturating_sub(MOST_OWED));
        }
        // At most a quarter of a second at twenty times the clock.
        u32::try_from(owed.min(most)).unwrap_or(u32::MAX)
    }

    /// Notes ticks that were made.
    pub fn note(&mut self, ticks: u32, now: Duration) {
        self.made += u64::from(ticks);
        self.total += u64::from(ticks);
        let newest = self.samples.back().map_or(Duration::ZERO, |(at, _)| *at);
        if now.saturating_sub(newest) >= SAMPLE {
            self.samples.push_back((now, self.total));
        }
        while self
            .samples
            .get(1)
            .is_some_and(|(at, _)| now.saturating_sub(*at) >= KEPT_OVER)
        {
            self.samples.pop_front();
        }
    }

    /// Pace that was kept over the last second, as a multiple of the clock; since the pace was set where that is less.
    #[must_use]
    pub fn kept(&self, now: Duration) -> f64 {
        let Some((at, ticks)) = self.samples.front() else {
            return 0.0;
        };
        let clock = now.saturating_sub(*at).as_secs_f64();
        if clock < SAMPLE.as_secs_f64() {
            return f64::from(factor(self.pace).unwrap_or(0));
        }
        // Ticks of one second: exact in an f64.
        (self.total - ticks) as f64 / f64::from(TICKS_PER_SECOND) / clock
    }
}

/// Ticks of a stretch of clock time at a rate per second, rounded down.
fn ticks(clock: Duration, rate: u64) -> u64 {
    let exact = clock.as_nanos() * u128::from(rate) / 1_000_000_000;
    u64::try_from(exact).unwrap_or(u64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ms(ms: u64) -> Duration {
        Duration::from_millis(ms)
    }

    /// Looks every `step` ms until `until` ms and makes what is due; gives the ticks made.
    fn run(pacer: &mut Pacer, from: u64, until: u64, step: u64) -> u64 {
        let mut made = 0;
        let mut now = from;
        while now < until {
            now += step;
            let due = pacer.due(ms(now));
            pacer.note(due, ms(now));
            made += u64::from(due);
        }
        made
    }

    #[test]
    fn simulated_time_follows_the_clock_at_each_pace() {
        for (pace, factor) in [
            (Pace::Paused, 0),
            (Pace::Real, 1),
            (Pace::Five, 5),
            (Pace::Twenty, 20),
        ] {
            let mut pacer = Pacer::new(ms(7));
            pacer.set(pace, ms(7));
            assert_eq!(run(&mut pacer, 7, 10_007, 10), factor * 10_000, "{pace:?}");
            let kept = pacer.kept(ms(10_007));
            assert!((kept - factor as f64).abs() < 0.05, "{pace:?}: {kept}");
        }
    }

    #[test]
    fn fractions_of_a_tick_are_not_lost() {
        let mut pacer = Pacer::new(Duration::ZERO);
        pacer.set(Pace::Real, Duration::ZERO);
        let mut made = 0;
        for look in 1..=3000_u64 {
            let now = Duration::from_micros(look * 333);
            let due = pacer.due(now);
            pacer.note(due, now);
            made += due;
        }
        assert_eq!(made, 999);
    }

    #[test]
    fn after_a_stall_it_makes_up_for_a_quarter_of_a_second_and_no_more() {
        let mut pacer = Pacer::new(ms(0));
        pacer.set(Pace::Five, ms(0));
        run(&mut pacer, 0, 1000, 10);
        assert_eq!(pacer.due(ms(9000)), 5 * 250);
        pacer.note(5 * 250, ms(9000));
        assert_eq!(pacer.due(ms(9000)), 0);
        assert_eq!(pacer.due(ms(9010)), 50);
    }

    #[test]
    fn what_was_not_made_stays_due() {
        let mut pacer = Pacer::new(ms(0));
        pacer.set(Pace::Real, ms(0));
        assert_eq!(pacer.due(ms(100)), 100);
        pacer.note(30, ms(100));
        assert_eq!(pacer.due(ms(100)), 70);
        pacer.forget(ms(100));
        assert_eq!(pacer.due(ms(100)), 0);
    }

    #[test]
    fn a_new_pace_owes_nothing_from_the_old() {
        let mut pacer = Pacer::new(ms(0));
        pacer.set(Pace::Twenty, ms(0));
        assert_eq!(pacer.due(ms(100)), 2000);
        pacer.set(Pace::Paused, ms(100));
        assert_eq!(pacer.due(ms(60_000)), 0);
        pacer.set(Pace::Real, ms(60_000));
        assert_eq!(pacer.due(ms(60_010)), 10);
    }

    #[test]
    fn a_pace_that_is_not_kept_shows() {
        let mut pacer = Pacer::new(ms(0));
        pacer.set(Pace::Twenty, ms(0));
        for look in 1..=300 {
            let due = pacer.due(ms(look * 10)).min(50);
            pacer.note(due, ms(look * 10));
        }
        let kept = pacer.kept(ms(3000));
        assert!((kept - 5.0).abs() < 0.3, "{kept}");
    }
}
