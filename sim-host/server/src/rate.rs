//! How many messages a connection may send: a bucket that fills at a steady rate. Pure; times are handed in.

use std::time::Duration;

/// Messages a second that a connection may send in the long run.
pub const MESSAGES_A_SECOND: u32 = 100;
/// Messages that it may send at once.
pub const BURST: u32 = 100;

/// What one connection may still send.
#[derive(Clone, Copy, Debug)]
pub struct Bucket {
    /// Clock time at which it would be full again.
    full_at: Duration,
}

impl Bucket {
    /// Full.
    #[must_use]
    pub const fn new(now: Duration) -> Self {
        Self { full_at: now }
    }

    /// Takes one message out; `false` when there is none.
    pub fn take(&mut self, now: Duration) -> bool {
        let each = Duration::from_secs(1) / MESSAGES_A_SECOND;
        let filled = self.full_at.max(now) + each;
        if filled.saturating_sub(now) > each * BURST {
            return false;
        }
        self.full_at = filled;
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_burst_is_taken_and_then_the_rate_alone() {
        let mut bucket = Bucket::new(Duration::ZERO);
        let taken = (0..1000).filter(|_| bucket.take(Duration::ZERO)).count();
        assert_eq!(taken, 100);
        // Two seconds later two hundred would fit, but a bucket holds no more than a burst.
        let later = Duration::from_secs(2);
        let taken = (0..1000).filter(|_| bucket.take(later)).count();
        assert_eq!(taken, 100);
    }

    #[test]
    fn a_steady_sender_below_the_rate_is_never_refused() {
        let mut bucket = Bucket::new(Duration::ZERO);
        for message in 0..10_000_u64 {
            assert!(bucket.take(Duration::from_millis(message * 11)));
        }
    }

    #[test]
    fn a_steady_sender_above_the_rate_is_refused_in_the_end() {
        let mut bucket = Bucket::new(Duration::ZERO);
        let refused = (0..10_000_u64)
            .position(|message| !bucket.take(Duration::from_millis(message * 5)))
            .expect("refused");
        assert_eq!(refused, 199);
    }
}
