//! What the thread of a station and its connections share: orders in, news and frames out.
//!
//! # Why a thread for each station
//!
//! A session is stepped by the one thread that owns it ([`super::runner`]), never by the tasks that serve connections. Nothing of a
//! session is locked or shared; the system's scheduler divides the processors among the stations, so that one that runs as fast as
//! it can takes its share and no more; and the connections' tasks, which wake for moments only, are served in between. Sixty-four
//! threads that mostly sleep cost nothing.
//!
//! # How an emergency stop gets in
//!
//! A session that is stepping asks before each tick whether anybody wants it. Whoever gives an order raises that flag *and then*
//! reads which tick is being made; the thread writes down the tick *and then* looks at the flag. So the thread makes at most the tick
//! that was read, and the order acts in the one after it: the next simulated tick, whatever the load or the pace. An emergency stop
//! goes in front of all orders that wait.

use super::desk::Client;
use axum::extract::ws::Utf8Bytes;
use serde::Serialize;
use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, AtomicU32, AtomicU64, Ordering};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tokio::sync::{mpsc, watch};
use twinplate_train::protocol::{Ask, News, NewsKind, Pace, Role, UnitCards};

/// Connections that one station takes.
pub const MOST_CLIENTS: u32 = 64;
/// Answers that may wait for one connection; whoever does not read them is dropped.
pub const OUTBOX: usize = 256;
/// Orders that may wait for a station.
const MOST_ORDERS: usize = 8192;
/// Emergency stops whose ticks are remembered.
const PRESSES: usize = 1024;

/// Something for the thread of the station.
#[derive(Debug)]
pub enum Order {
    /// A connection comes.
    Join(Joining),
    /// A connection is gone.
    Leave(Client),
    /// A connection asks for something.
    Ask(Client, u32, Ask),
    /// An emergency stop is pressed: by whom, number of the request, tick that was being made.
    Press(Client, u32, u32),
    /// The server stops.
    Shut,
}

/// A connection that comes.
#[derive(Debug)]
pub struct Joining {
    /// Its number.
    pub client: Client,
    /// As whom.
    pub role: Role,
    /// An earlier seat.
    pub seat: Option<String>,
    /// Where answers go. When the station drops it, the connection is closed.
    pub out: mpsc::Sender<Out>,
}

/// Something for one connection.
#[derive(Clone, Debug, PartialEq)]
pub enum Out {
    /// A message.
    Tell(Utf8Bytes),
    /// The last message; the connection is closed after it.
    Last(Utf8Bytes),
}

/// One emergency stop, for whoever doubts it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Press {
    /// Tick that was being made, or the next one if none was, when it arrived.
    pub arrived: u32,
    /// Tick in which it acted.
    pub acted: u32,
}

/// A station in the list.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Summary {
    /// Station.
    pub station: String,
    /// Exercise, by identifier.
    pub exercise: String,
    /// Its title.
    pub title: String,
    /// Name of the trainee.
    pub trainee: String,
    /// Name of the procedural state.
    pub state: String,
    /// Name of the phase.
    pub phase: String,
    /// Simulated time, s.
    pub time_s: f64,
    /// Measured load, N.
    pub load_n: f64,
    /// Rated load, N.
    pub rated_load_n: f64,
    /// Units that its pages show.
    pub units: UnitCards,
    /// Name of the response in force.
    pub response: String,
    /// Alarms that are not normal.
    pub alarms: usize,
    /// Connections.
    pub present: u32,
    /// Somebody holds control.
    pub control: bool,
    /// Pace that is asked for.
    pub pace: Pace,
    /// Pace that is kept, as a multiple of the clock.
    pub kept: f64,
    /// Number of the attempt, once it is over and recorded.
    pub ended: Option<i64>,
}

#[derive(Clone, Debug)]
struct Told {
    for_instructors: bool,
    text: Utf8Bytes,
}

/// A station as its connections see it.
#[derive(Debug)]
pub struct Station {
    /// Name.
    pub name: String,
    orders: Mutex<VecDeque<Order>>,
    ordered: Condvar,
    wanted: AtomicBool,
    making: AtomicU32,
    clients: AtomicU64,
    news: Mutex<Vec<Told>>,
    newest: watch::Sender<usize>,
    frame: watch::Sender<Utf8Bytes>,
    summary: Mutex<Summary>,
    presses: Mutex<VecDeque<Press>>,
}

/// A lock whose holder panicked is taken all the same: what it guards is changed in single steps.
pub(super) fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Station {
    /// A station before its thread runs.
    #[must_use]
    pub fn new(summary: Summary) -> Self {
        Self {
            name: summary.station.clone(),
            orders: Mutex::default(),
            ordered: Condvar::new(),
            wanted: AtomicBool::new(false),
            making: AtomicU32::new(0),
            clients: AtomicU64::new(0),
            news: Mutex::default(),
            newest: watch::Sender::new(0),
            frame: watch::Sender::new(Utf8Bytes::from_static("")),
            summary: Mutex::new(summary),
            presses: Mutex::default(),
        }
    }

    /// A number for a connection.
    pub(crate) fn next_client(&self) -> Client {
        self.clients.fetch_add(1, Ordering::Relaxed) + 1
    }

    /// Gives an order. `false` when too many wait; the end of a connection is always taken.
    pub fn order(&self, order: Order) -> bool {
        let mut orders = held(&self.orders);
        let must = matches!(order, Order::Leave(_) | Order::Shut);
        if !must && orders.len() >= MOST_ORDERS {
            return false;
        }
        orders.push_back(order);
        self.wanted.store(true, Ordering::SeqCst);
        drop(orders);
        self.ordered.notify_one();
        true
    }

    /// Presses the emergency stop, in front of every other order that waits.
    pub fn press(&self, client: Client, id: u32) {
        let mut orders = held(&self.orders);
        // This order of the two, and sequential consistency, is the argument at the head of this file.
        self.wanted.store(true, Ordering::SeqCst);
        let arrived = self.making.load(Ordering::SeqCst);
        let behind = orders
            .iter()
            .take_while(|order| matches!(order, Order::Press(..)))
            .count();
        orders.insert(behind, Order::Press(client, id, arrived));
        drop(orders);
        self.ordered.notify_one();
    }

    /// For the thread: writes down the tick that is about to be made, and tells whether somebody wants the session.
    #[inline]
    pub(crate) fn about_to_make(&self, tick: u32) -> bool {
        self.making.store(tick, Ordering::SeqCst);
        self.wanted.load(Ordering::SeqCst)
    }

    /// For the thread: all orders, once there are any or the time is over.
    pub fn orders(&self, wait: Duration) -> VecDeque<Order> {
        let mut orders = held(&self.orders);
        if orders.is_empty() && !wait.is_zero() {
            (orders, _) = self
                .ordered
                .wait_timeout_while(orders, wait, |orders| orders.is_empty())
                .unwrap_or_else(PoisonError::into_inner);
        }
        self.wanted.store(false, Ordering::SeqCst);
        std::mem::take(&mut *orders)
    }

    /// For the thread: keeps news for everybody who is there or comes back. Number 1 comes first, without gaps.
    pub(crate) fn tell_news(&self, news: &News) {
        let told = Told {
            for_instructors: news.kind == NewsKind::Instructor,
            text: text(&twinplate_train::protocol::Tell::News(news.clone())),
        };
        let count = {
            let mut all = held(&self.news);
            all.push(told);
            all.len()
        };
        self.newest.send_replace(count);
    }

    /// For the thread: shows a frame. A reader gets the newest when it is ready for one.
    pub fn show(&self, frame: Utf8Bytes) {
        self.frame.send_replace(frame);
    }

    /// Somebody waits for frames.
    #[must_use]
    pub(crate) fn is_watched(&self) -> bool {
        self.frame.receiver_count() > 0
    }

    /// Frames, the newest each time.
    #[must_use]
    pub fn frames(&self) -> watch::Receiver<Utf8Bytes> {
        self.frame.subscribe()
    }

    /// How many news there are, each time that changes.
    #[must_use]
    pub fn newest(&self) -> watch::Receiver<usize> {
        self.newest.subscribe()
    }

    /// News after the first `seen`, at most `most`, as the role may see them, with the count of those that are seen then.
    #[must_use]
    pub(crate) fn news_after(
        &self,
        seen: usize,
        most: usize,
        role: Role,
    ) -> (Vec<Utf8Bytes>, usize) {
        let all = held(&self.news);
        let until = seen.saturating_add(most).min(all.len());
        let new = all.get(seen..until).unwrap_or_default();
        let texts = new
            .iter()
            .filter(|told| role == Role::Instructor || !told.for_instructors)
            .map(|told| told.text.clone())
            .collect();
        (texts, until.max(seen))
    }

    /// As it stands in the list.
    #[must_use]
    pub fn summary(&self) -> Summary {
        held(&self.summary).clone()
    }

    /// For the thread: renews what stands in the list.
    pub(crate) fn summarize(&self, change: impl FnOnce(&mut Summary)) {
        change(&mut held(&self.summary));
    }

    /// For the thread: remembers when an emergency stop arrived and acted.
    pub(crate) fn note_press(&self, press: Press) {
        let mut presses = held(&self.presses);
        if presses.len() >= PRESSES {
            presses.pop_front();
        }
        presses.push_back(press);
    }

    /// The emergency stops so far, oldest first.
    #[must_use]
    pub fn presses(&self) -> Vec<Press> {
        held(&self.presses).iter().copied().collect()
    }
}

/// A message as it goes over the wire.
#[must_use]
pub fn text(message: &impl Serialize) -> Utf8Bytes {
    match serde_json::to_string(message) {
        Ok(text) => text.into(),
        Err(error) => {
            // Maps with keys that are no strings, of which the wire has none.
            tracing::error!("a message cannot be written: {error}");
            Utf8Bytes::from_static("{}")
        }
    }
}
