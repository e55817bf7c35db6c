//! What a training session holds in memory, by an allocator that counts: bounds from the sizes of what must be kept.
//!
//! A process of its own, one test at a time, so that no other's memory is counted.

use stats_alloc::{INSTRUMENTED_SYSTEM, Region, StatsAlloc};
use std::alloc::System;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tokio::sync::mpsc;
use twinplate_server::floor::Floor;
use twinplate_server::records::{Clerk, Records};
use twinplate_server::station::{Joining, Order, Station};
use twinplate_sim::demo;
use twinplate_sim::training::act::Act;
use twinplate_train::exercise::{self, Exercise};
use twinplate_train::log::Logged;
use twinplate_train::protocol::{Ask, News, Pace, Role};
use twinplate_train::session::Session;

#[global_allocator]
static ALLOCATOR: &StatsAlloc<System> = &INSTRUMENTED_SYSTEM;

/// One moment of the machine, bytes: plant, controller, and what of them lies apart (measured: 22 kB).
const MOMENT: usize = 32 << 10;
/// Moments that are kept, and simulated time between two of them while there are no more, s.
const MOMENTS: usize = 64;
const MOMENT_EVERY_S: f64 = 5.0;
/// A session without moments, before anything is done in it (measured: 85 kB).
const SESSION: usize = 128 << 10;
/// Acts that a session keeps.
const ACTS: usize = 5_000;
/// What an act leaves: its entry, the news of it, a line of text and why it was refused; twice, for lists grow by doubling.
const ACT: usize = 2 * (size_of::<Logged>() + size_of::<News>() + 128);

fn alone() -> MutexGuard<'static, ()> {
    static ALONE: Mutex<()> = Mutex::new(());
    ALONE.lock().unwrap_or_else(PoisonError::into_inner)
}

fn plain() -> Arc<Exercise> {
    let path = demo::folder().join("exercises/plain-cycle.toml");
    Arc::new(exercise::load(&path).expect("the exercise"))
}

/// Bytes that were taken since the region began and are not given back.
fn held(region: &Region<'_, System>) -> usize {
    let change = region.change();
    change
        .bytes_allocated
        .saturating_sub(change.bytes_deallocated)
}

/// Moments of so many ticks, bytes.
fn moments(ticks: u32) -> usize {
    MOMENT * MOMENTS.min(1 + (f64::from(ticks) / 1e3 / MOMENT_EVERY_S) as usize)
}

/// Guards: each recalled recipe was kept twice, in the log and as a copy of itself in a journal that nobody read.
#[test]
fn an_act_leaves_its_entry_and_its_news_and_no_copy_of_a_recipe() {
    let _alone = alone();
    let exercise = plain();
    let region = Region::new(ALLOCATOR);
    let mut session = Session::new(exercise, 1);
    assert!(held(&region) < SESSION, "{}", held(&region));
    let acts = 4_000;
    for _ in 0..acts {
        let act = Act::RecallRecipe { slot: 1 };
        session.operate(&act).expect("taken");
        session.advance(12);
    }
    let allowed = SESSION + moments(session.tick()) + acts * ACT;
    assert!(held(&region) < allowed, "{} of {allowed}", held(&region));
}

/// Guards: a hand that never rests to the end of an attempt made its session tens of megabytes large.
#[test]
fn however_much_is_done_a_session_keeps_a_few_megabytes() {
    let _alone = alone();
    let exercise = plain();
    let region = Region::new(ALLOCATOR);
    let mut session = Session::new(exercise, 1);
    while !session.finished() {
        let _ = session.operate(&Act::RecallRecipe { slot: 1 });
        session.advance(100);
    }
    assert!(session.attempt().deeds.len() > ACTS / 2);
    let allowed = SESSION + moments(session.tick()) + ACTS * ACT;
    assert!(held(&region) < allowed, "{} of {allowed}", held(&region));
    session.forget();
    assert!(held(&region) < SESSION, "{}", held(&region));
}

/// Guards: while time stands still what is asked of the controller waits, a recalled recipe as a copy of itself.
#[test]
fn a_hand_that_never_rests_while_time_stands_still_piles_up_no_recipes() {
    let _alone = alone();
    let exercise = plain();
    let region = Region::new(ALLOCATOR);
    let mut session = Session::new(exercise, 1);
    let acts = 4_000;
    for _ in 0..acts {
        let _ = session.operate(&Act::RecallRecipe { slot: 1 });
    }
    let allowed = SESSION + moments(0) + acts * ACT;
    assert!(held(&region) < allowed, "{} of {allowed}", held(&region));
    // Time passes, and recipes are recalled again.
    session.advance(100);
    let act = Act::RecallRecipe { slot: 1 };
    session.operate(&act).expect("taken");
}

/// However long it is, a session keeps so many moments.
#[test]
fn a_long_attempt_keeps_no_more_than_its_moments() {
    let _alone = alone();
    let exercise = plain();
    let region = Region::new(ALLOCATOR);
    let mut session = Session::new(exercise, 1);
    session.advance(600_000);
    let allowed = SESSION + moments(session.tick());
    assert!(held(&region) < allowed, "{} of {allowed}", held(&region));
}

fn until(what: &str, station: &Station, done: impl Fn(&Station) -> bool) {
    for _ in 0..6_000 {
        if done(station) {
            return;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    panic!("{what}: {:?}", station.summary());
}

/// Guards: a station whose attempt was over kept everything of it for two minutes more, moments to go back to among it.
#[test]
fn a_station_whose_attempt_is_recorded_keeps_nothing_of_it() {
    let _alone = alone();
    let (clerk, _) = Clerk::start(Records::in_memory().expect("opens")).expect("starts");
    let floor = Floor::new(clerk);
    let runtime = tokio::runtime::Builder::new_current_thread()
        .build()
        .expect("a runtime");
    let opened = floor.open(plain(), "Nobody".into(), Some(1));
    let name = runtime.block_on(opened).expect("opens");
    let station = floor.find(&name).expect("is there");
    let (out, mut heard) = mpsc::channel(256);
    station.order(Order::Join(Joining {
        client: 1,
        role: Role::Instructor,
        seat: None,
        out,
    }));
    let region = Region::new(ALLOCATOR);
    let asked = |ask| assert!(station.order(Order::Ask(1, 1, ask)));
    asked(Ask::SetPace {
        pace: Pace::Fastest,
    });
    until("time passes", &station, |s| s.summary().time_s > 330.0);
    asked(Ask::SetPace { pace: Pace::Paused });
    until("it stands", &station, |s| s.summary().pace == Pace::Paused);
    let with = held(&region);
    asked(Ask::Finish);
    until("it is over", &station, |s| s.summary().ended.is_some());
    while heard.try_recv().is_ok() {}
    let without = held(&region);
    let least = MOMENTS / 2 * MOMENT / 2;
    assert!(with > without + least, "{with}, then {without}");
    floor.shut();
}
