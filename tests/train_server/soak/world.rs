//! What all clients of one server share: chance, time, the server, and what they count and tell.

use super::ledger::Ledger;
use crate::house::House;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tokio::sync::watch;
use tokio::time::Instant;
use twinplate_sim::plant::seed::substream;

/// A run that is over sooner is a short one.
const SHORT: Duration = Duration::from_secs(60);

/// Numbers by a seed.
pub struct Dice {
    seed: u64,
    purpose: String,
    thrown: u64,
}

impl Dice {
    pub fn new(seed: u64, purpose: &str, instance: u64) -> Self {
        Self {
            seed: seed.wrapping_add(instance.wrapping_mul(0x9e37_79b9_7f4a_7c15)),
            purpose: purpose.into(),
            thrown: 0,
        }
    }

    /// A number below `most`, which is not zero.
    pub fn below(&mut self, most: u64) -> u64 {
        self.thrown += 1;
        substream(self.seed, "soak", &self.purpose, self.thrown) % most
    }

    pub fn one<T: Clone>(&mut self, of: &[T]) -> T {
        let index = usize::try_from(self.below(of.len() as u64)).expect("below its length");
        of[index].clone()
    }

    pub fn up_to_ms(&mut self, most: u64) -> Duration {
        Duration::from_millis(self.below(most))
    }
}

/// How often something was done.
#[derive(Clone, Debug, Default)]
pub struct Counts {
    of: BTreeMap<&'static str, u64>,
    /// The longest that an answer to an emergency stop took, ms by the clock.
    pub slowest_press_ms: f64,
}

/// What is counted.
pub const DONE: [&str; 6] = ["session", "act", "vanish", "stall", "flood", "lie"];

impl Counts {
    pub fn of(&self, what: &str) -> u64 {
        self.of.get(what).copied().unwrap_or(0)
    }

    pub fn all(&self) -> [(&'static str, u64); DONE.len()] {
        DONE.map(|what| (what, self.of(what)))
    }
}

/// What all clients of one server know and tell.
pub struct World {
    pub seed: u64,
    pub until: Instant,
    pub short: bool,
    pub working: AtomicUsize,
    house: watch::Sender<Option<Arc<House>>>,
    pub ledger: Mutex<Ledger>,
    pub counts: Mutex<Counts>,
    wrong: Mutex<Vec<String>>,
}

pub fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl World {
    pub fn new(seed: u64, lasts: Duration) -> Arc<Self> {
        Arc::new(Self {
            seed,
            until: Instant::now() + lasts,
            short: lasts < SHORT,
            working: AtomicUsize::new(0),
            house: watch::Sender::new(None),
            ledger: Mutex::default(),
            counts: Mutex::default(),
            wrong: Mutex::default(),
        })
    }

    /// A server is there.
    pub fn serve(&self, house: House) {
        self.house.send_replace(Some(Arc::new(house)));
    }

    /// It is about to be killed.
    pub fn gone(&self) {
        self.house.send_replace(None);
        held(&self.ledger).killed(Instant::now());
    }

    /// Sessions in which somebody works.
    pub fn working(&self) -> usize {
        self.working.load(Ordering::Relaxed)
    }

    pub fn ledger(&self) -> Ledger {
        held(&self.ledger).clone()
    }

    pub fn counts(&self) -> Counts {
        held(&self.counts).clone()
    }

    pub fn wrong(&self) -> Vec<String> {
        held(&self.wrong).clone()
    }

    pub fn count(&self, what: &'static str) {
        *held(&self.counts).of.entry(what).or_default() += 1;
    }

    pub fn over(&self) -> bool {
        Instant::now() >= self.until
    }

    /// The server, if there is one.
    pub fn house(&self) -> Option<Arc<House>> {
        self.house.borrow().clone()
    }

    /// That server still lives: what goes wrong with it is its fault.
    pub fn lives(&self, house: &Arc<House>) -> bool {
        self.house().is_some_and(|now| Arc::ptr_eq(&now, house))
    }

    /// Something that must not be, unless the server was killed meanwhile.
    pub fn unless_killed(&self, house: &Arc<House>, right: bool, what: impl FnOnce() -> String) {
        if !right && self.lives(house) {
            held(&self.wrong).push(what());
        }
    }
}
