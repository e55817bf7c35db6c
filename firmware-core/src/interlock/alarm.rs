//! Alarms after ANSI/ISA-18.2: an acknowledged alarm is not a reset one, and a returned one waits to be seen.

use super::rows::Rows;
use super::table::ROWS;
use crate::words::words;
use serde::{Deserialize, Serialize};

/// Off-delay against chatter, ticks: a condition counts as returned after it was absent this long.
const OFF_DELAY: u16 = 1000;

/// State of one alarm (ANSI/ISA-18.2; shelving and suppression are not used on this machine).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AlarmState {
    /// Nothing to tell.
    Normal,
    /// Active, not yet acknowledged.
    Unacknowledged,
    /// Active, acknowledged.
    Acknowledged,
    /// Gone, not yet acknowledged.
    ReturnedUnacknowledged,
}

words!(AlarmState, ALL_ALARM_STATES {
    Normal => "normal", "normal";
    Unacknowledged => "unacknowledged", "unacknowledged";
    Acknowledged => "acknowledged", "acknowledged";
    ReturnedUnacknowledged => "returned-unacknowledged", "returned, unacknowledged";
});

/// All alarms as a panel shows them, a bit a row in table order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Alarms {
    present: u64,
    unacknowledged: u64,
}

impl Alarms {
    /// Rows annunciated (active, or returned and not acknowledged).
    #[must_use]
    pub const fn annunciated(&self) -> u64 {
        self.present | self.unacknowledged
    }

    /// Rows that nobody has acknowledged yet.
    #[must_use]
    pub const fn unacknowledged(&self) -> u64 {
        self.unacknowledged
    }

    /// State of one row's alarm.
    #[must_use]
    pub const fn state(&self, row_bit: u64) -> AlarmState {
        match (
            self.present & row_bit != 0,
            self.unacknowledged & row_bit != 0,
        ) {
            (true, true) => AlarmState::Unacknowledged,
            (true, false) => AlarmState::Acknowledged,
            (false, true) => AlarmState::ReturnedUnacknowledged,
            (false, false) => AlarmState::Normal,
        }
    }
}

/// Makes alarms of rows: off-delay and acknowledging.
#[derive(Clone, Debug, PartialEq)]
pub struct Annunciator {
    alarms: Alarms,
    absent_for: [u16; ROWS],
}

impl Annunciator {
    /// No alarms.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            alarms: Alarms {
                present: 0,
                unacknowledged: 0,
            },
            absent_for: [0; ROWS],
        }
    }

    /// The alarms as they stand.
    #[must_use]
    pub const fn alarms(&self) -> &Alarms {
        &self.alarms
    }

    /// Takes this tick's effective rows (active or latched); returns the rows newly annunciated.
    pub fn update(&mut self, effective: u64) -> u64 {
        let alarms = &mut self.alarms;
        let risen = effective & !alarms.present;
        alarms.unacknowledged |= risen;
        alarms.present |= effective;
        let mut gone = alarms.present & !effective;
        for (row, bit) in Rows(gone | effective) {
            let Some(count) = self.absent_for.get_mut(row) else {
                continue;
            };
            if gone & bit == 0 {
                *count = 0;
            } else {
                *count = count.saturating_add(1);
                if *count < OFF_DELAY {
                    gone &= !bit;
                }
            }
        }
        alarms.present &= !gone;
        risen
    }

    /// Acknowledges everything annunciated. Acknowledging is not resetting.
    pub const fn acknowledge(&mut self) {
        self.alarms.unacknowledged = 0;
    }
}

impl Default for Annunciator {
    fn default() -> Self {
        Self::new()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_alarm_walks_through_the_isa_18_2_states() {
        let mut annunciator = Annunciator::new();
        let bit = 1 << 5;
        assert_eq!(annunciator.alarms().state(bit), AlarmState::Normal);
        assert_eq!(annunciator.update(bit), bit);
        assert_eq!(annunciator.update(bit), 0, "annunciated once");
        assert_eq!(annunciator.alarms().state(bit), AlarmState::Unacknowledged);
        for _ in 0..OFF_DELAY {
            assert_eq!(
                annunciator.alarms().state(bit),
                AlarmState::Unacknowledged,
                "the off-delay holds it"
            );
            annunciator.update(0);
        }
        assert_eq!(
            annunciator.alarms().state(bit),
            AlarmState::ReturnedUnacknowledged
        );
        annunciator.acknowledge();
        assert_eq!(annunciator.alarms().state(bit), AlarmState::Normal);
        annunciator.update(bit);
        annunciator.acknowledge();
        assert_eq!(annunciator.alarms().state(bit), AlarmState::Acknowledged);
    }

    /// Annunciated is what is active or not yet seen; acknowledging takes away the second and leaves the first.
    #[test]
    fn an_alarm_is_annunciated_until_it_is_gone_and_acknowledged() {
        let (there, gone, new) = (1 << 50, 1 << 7, 1 << 9);
        let mut annunciator = Annunciator::new();
        let shown = |a: &Annunciator| (a.alarms().annunciated(), a.alarms().unacknowledged());
        assert_eq!(shown(&annunciator), (0, 0));
        annunciator.update(there | gone);
        for _ in 0..OFF_DELAY {
            annunciator.update(there);
        }
        assert_eq!(shown(&annunciator), (there | gone, there | gone));
        annunciator.acknowledge();
        assert_eq!(shown(&annunciator), (there, 0));
        annunciator.update(there | new);
        assert_eq!(shown(&annunciator), (there | new, new));
    }

    #[test]
    fn chatter_within_the_off_delay_annunciates_once() {
        let mut annunciator = Annunciator::new();
        let mut risen = 0;
        for n in 0..5000_u32 {
            risen += annunciator.update(u64::from(n % 10 < 5)).count_ones();
        }
        assert_eq!(risen, 1);
    }
}
