//! Twenty sessions at once, whose clients vanish, stall, flood and lie; and a second server beside them that is killed at random
//! moments and started again on the same records.
//!
//! What must hold: whoever behaves is served; memory, threads and open files stay flat; an emergency stop acts in the tick after its
//! arrival; whatever was told to be recorded is in the records after any kill, and the file is whole. A short one is in the normal
//! run, an hour of it is a command of its own (`an_hour`), whose figures stand in `docs/soak.md`.

mod clients;
mod ledger;
mod page;
mod watched;
mod world;

use crate::server::{Folder, Server};
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;
use tokio::time::{Instant, sleep};
use watched::{Log, Size};
use world::{Dice, World};

/// Sessions at the server that is watched.
const SESSIONS: usize = 20;
/// Sessions at the server that is killed.
const KILLED_SESSIONS: usize = 5;
/// Growth of memory from the end of the warm-up to the end that is not called flat. What a server keeps of a session goes with it;
/// what an allocator keeps of what was freed is the room left here. Invented.
const FLAT: f64 = 1.25;
/// An emergency stop acts in the tick that was being made when it arrived, or in the next one.
const NEXT_TICK: u32 = 1;

/// How long, and how often the second server is killed.
#[derive(Clone, Copy)]
struct Plan {
    lasts: Duration,
    warm_up: Duration,
    sample_every: Duration,
    /// Between two kills, at least and at most.
    kill_every: [Duration; 2],
    seed: u64,
}

/// What came of it.
#[derive(Debug, Default)]
pub struct Figures {
    /// At the start, at the end of the warm-up and at the end.
    sizes: [Size; 3],
    peak: Size,
    /// Sessions at work at the watched server, the median.
    at_work: usize,
    kills: usize,
    done: world::Counts,
    killed: world::Counts,
    presses: u64,
    worst_ticks: u32,
    recorded: usize,
    lost: Vec<String>,
    wrong: Vec<String>,
}

/// The sessions of one server until the time is over, with whoever disturbs them.
async fn sessions(world: Arc<World>, count: usize) {
    let mut all = Vec::new();
    for slot in 0..count {
        all.push(tokio::spawn(clients::slot(Arc::clone(&world), slot)));
    }
    for one in all {
        one.await.expect("no client panics");
    }
}

/// The server that lives all the time: its size is watched, its log is read for emergency stops; at the end it is killed too.
async fn watched(plan: Plan, records: &Path) -> Figures {
    let mut figures = Figures::default();
    let mut server = Server::logging(records, "info");
    let log = Log::follow(server.log());
    let world = World::new(plan.seed, plan.lasts);
    world.serve(server.house().await);
    let pid = server.child.id();
    figures.sizes[0] = Size::of(pid);
    let all = tokio::spawn(sessions(Arc::clone(&world), SESSIONS));
    let begun = Instant::now();
    let mut working = Vec::new();
    let mut warm = Vec::new();
    let mut last = Vec::new();
    while begun.elapsed() < plan.lasts {
        sleep(plan.sample_every).await;
        let size = Size::of(pid);
        working.push(world.working());
        figures.peak = figures.peak.larger(size);
        let at = begun.elapsed();
        // Sessions come and go: the middle of a stretch is compared with the middle of another, as long as the warm-up.
        if at > plan.warm_up && at <= 2 * plan.warm_up {
            warm.push(size);
        }
        if at > plan.lasts - plan.warm_up {
            last.push(size);
        }
    }
    figures.at_work = watched::middle(working, Ord::cmp);
    figures.sizes[1] = Size::middle(warm);
    figures.sizes[2] = Size::middle(last);
    world.gone();
    server.kill();
    all.await.expect("no client panics");
    let (presses, worst) = log.end();
    (figures.presses, figures.worst_ticks) = (presses, worst);
    let ledger = world.ledger();
    figures.lost.extend(ledger.missing_in_file(records));
    let again = Server::logging(records, "off");
    figures
        .lost
        .extend(ledger.missing_at(&again.house().await).await);
    again.kill();
    figures.recorded = ledger.len();
    figures.done = world.counts();
    figures.wrong.extend(world.wrong());
    figures
}

/// The server that is killed at random moments, and its figures.
async fn killed(plan: Plan, records: &Path) -> Figures {
    let mut figures = Figures::default();
    let mut dice = Dice::new(plan.seed, "kills", 0);
    let world = World::new(plan.seed.wrapping_add(1), plan.lasts);
    let working = tokio::spawn(sessions(Arc::clone(&world), KILLED_SESSIONS));
    let begun = Instant::now();
    while begun.elapsed() < plan.lasts {
        let server = Server::logging(records, "off");
        world.serve(server.house().await);
        let [least, most] = plan.kill_every;
        let span = u64::try_from((most - least).as_millis()).expect("hours at most");
        let lives = least + Duration::from_millis(dice.below(span + 1));
        sleep(lives.min(plan.lasts.saturating_sub(begun.elapsed()))).await;
        world.gone();
        server.kill();
        figures.kills += 1;
        // Whoever hears an answer now heard it before the kill.
        sleep(Duration::from_millis(50)).await;
        figures.lost.extend(world.ledger().missing_in_file(records));
    }
    working.await.expect("no client panics");
    let again = Server::logging(records, "off");
    let ledger = world.ledger();
    figures
        .lost
        .extend(ledger.missing_at(&again.house().await).await);
    again.kill();
    figures.recorded = ledger.len();
    figures.killed = world.counts();
    figures.wrong.extend(world.wrong());
    figures
}

async fn soak(plan: Plan, name: &str) -> Figures {
    let folder = Folder::new(name);
    let (one, other) = (
        folder.0.join("watched.sqlite"),
        folder.0.join("killed.sqlite"),
    );
    let (mut figures, more) = tokio::join!(watched(plan, &one), killed(plan, &other));
    figures.kills = more.kills;
    figures.killed = more.killed;
    figures.recorded += more.recorded;
    figures.lost.extend(more.lost);
    figures.wrong.extend(more.wrong);
    println!("{figures:#?}");
    figures
}

impl Figures {
    fn hold(&self) {
        assert!(self.wrong.is_empty(), "{:#?}", self.wrong);
        assert!(self.lost.is_empty(), "{:#?}", self.lost);
        assert!(self.presses > 0, "no emergency stop was pressed");
        assert!(self.worst_ticks <= NEXT_TICK, "{} ticks", self.worst_ticks);
        assert!(self.kills > 0, "nothing was killed");
        for (what, count) in self.done.all() {
            assert!(count > 0, "nobody did: {what}");
        }
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn clients_that_vanish_stall_flood_and_lie_harm_nobody_and_no_kill_loses_a_record() {
    let plan = Plan {
        lasts: Duration::from_secs(12),
        warm_up: Duration::from_secs(4),
        sample_every: Duration::from_millis(200),
        kill_every: [Duration::from_secs(1), Duration::from_secs(4)],
        seed: 1,
    };
    soak(plan, "soak").await.hold();
}

/// The hour of `docs/soak.md`; `SOAK_MINUTES` makes it shorter. With `UPDATE=1` it writes its figures there.
#[ignore = "an hour"]
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_hour() {
    let minutes = std::env::var("SOAK_MINUTES")
        .ok()
        .map_or(60, |text| text.parse().expect("minutes"));
    let lasts = Duration::from_secs(60 * minutes);
    let plan = Plan {
        lasts,
        warm_up: lasts / 6,
        sample_every: Duration::from_secs(2),
        kill_every: [Duration::from_secs(5), Duration::from_secs(240)],
        seed: 2,
    };
    let figures = soak(plan, "soak-hour").await;
    page::update(&page::table(minutes, &figures));
    figures.hold();
    let [_, warm, end] = figures.sizes;
    assert!(end.memory_mb < FLAT * warm.memory_mb, "{warm:?}, {end:?}");
    assert!(
        end.files as f64 <= FLAT * warm.files as f64,
        "{warm:?}, {end:?}"
    );
    assert!(
        end.threads as f64 <= FLAT * warm.threads as f64,
        "{warm:?}, {end:?}"
    );
    assert!(figures.at_work > SESSIONS * 3 / 4, "{}", figures.at_work);
}
