//! The operator's line on the board's UART, its store behind it: a host that knows the page alone runs a cycle from a stored recipe, and
//! a cycle that the power ends is known afterwards.

use crate::told::told;
use crate::twin::image;
use crate::{SEED, short};
use firmware_core::recipe::RecipeWire;
use firmware_core::sequence::{Command, Phase, Request, State};
use firmware_core::store::{Checked, Progress, Store, StoredRecipe, fingerprint};
use firmware_core::units::{Newtons, Ticks};
use std::net::{SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};
use tempfile::TempDir;
use twinplate_board::{Fittings, OnBoard, PhaseLoad, make_flash};
use twinplate_link::client::Client;
use twinplate_sim::bench::scenario::RESET_TICK;
use twinplate_sim::bench::{Action, Bench, Job, NoRecorder};
use twinplate_sim::flash::Flash;
use twinplate_sim::model::StationAct;

/// Recipes in the store.
const STORED: u8 = 12;
/// Silence that ends a session, ticks: a machine that nothing holds up runs many times as fast as the clock of a host that is busy.
const SILENCE: Ticks = Ticks(1_800_000);
/// How long anything may take, s.
const PATIENCE: u64 = 300;

/// What a hand does to the machine.
enum Hand {
    Act(Action),
    CutPower,
}

/// What stands when the machine is switched off.
pub struct Ended {
    pub overruns: u32,
    pub stack: u32,
    pub link: PhaseLoad,
}

/// A machine whose controller is on the board, running in a thread of its own.
pub struct Floor {
    pub address: SocketAddr,
    flash: PathBuf,
    hands: Sender<Hand>,
    runs: JoinHandle<Ended>,
    _folder: TempDir,
}

/// The recipe of a slot: each has a load of its own.
fn stored(job: &Job, slot: u8) -> RecipeWire {
    let mut recipe = job.compiled.clone();
    recipe.name = format!("stored {slot}").as_str().try_into().expect("short");
    let first = recipe.steps.first_mut().expect("a step");
    first.load = Newtons::new(first.load.get() - f32::from(slot));
    recipe
}

impl Floor {
    pub fn open(job: Job, sleeps: bool) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let flash = folder.path().join("flash");
        let recipes: Vec<StoredRecipe> = (1..=STORED)
            .map(|slot| StoredRecipe {
                recipe: stored(&job, slot),
                checked: Checked::default(),
            })
            .collect();
        let store = Flash::holding(&recipes).expect("room for them");
        make_flash(&flash, store.flash().bytes()).expect("a file");
        let line = TcpListener::bind("127.0.0.1:0").expect("a free port");
        let address = line.local_addr().expect("bound");
        let (hands, moves) = channel();
        let fittings = Fittings {
            flash: Some(flash.clone()),
            line: Some((line, SILENCE)),
            sleeps,
        };
        let runs = std::thread::spawn(move || run(&job, fittings, &moves));
        Self {
            address,
            flash,
            hands,
            runs,
            _folder: folder,
        }
    }

    fn act(&self, hand: Hand) {
        self.hands.send(hand).expect("the machine runs");
    }

    /// Parts are counted, the local enable is on, remote start is armed.
    pub fn arm(&self, pieces: u16) {
        let request = |request| Hand::Act(Action::Request(Box::new(request)));
        self.act(request(Request::ConfirmParts { pieces }));
        self.act(Hand::Act(Action::Station(StationAct::LocalEnable(true))));
        self.act(request(Request::ArmRemote(true)));
    }

    /// Switches it off; what it came to, and the progress that its flash holds.
    pub fn close(self) -> (Ended, Progress) {
        drop(self.hands);
        let ended = self.runs.join().expect("it ran");
        (ended, progress(&self.flash))
    }
}

pub fn progress(flash: &Path) -> Progress {
    let mut bytes = std::fs::read(flash).expect("the file");
    bytes.truncate(Flash::SIZE);
    let mut store = Store::open(Flash::of(bytes)).expect("a store");
    assert!(!store.is_damaged());
    store.progress().expect("a cycle was begun")
}

/// Runs until nobody has a hand on it. One hand at a time: what it switches is seen before the next moves.
fn run(job: &Job, fittings: Fittings, moves: &Receiver<Hand>) -> Ended {
    let setup = job.nominal(SEED);
    let board = OnBoard::fitted(&image(), job.params.clone(), fittings).expect("a board");
    let mut bench = setup.bench(board, NoRecorder);
    bench.act_at(RESET_TICK, Action::Command(Command::Reset));
    loop {
        match moves.try_recv() {
            Ok(Hand::Act(action)) => bench.act(action),
            Ok(Hand::CutPower) => bench.port_mut().cut_power().expect("a board"),
            Err(TryRecvError::Empty) => {}
            Err(TryRecvError::Disconnected) => break,
        }
        advance(&mut bench, 50);
    }
    let stack = bench.port_mut().stack().expect("a board");
    Ended {
        overruns: bench.port().overruns(),
        stack,
        link: bench.port().load().link().expect("ticks"),
    }
}

fn advance(bench: &mut Bench<OnBoard, NoRecorder>, ticks: u32) {
    let went = bench.advance(ticks);
    went.unwrap_or_else(|error| panic!("{error}"));
    bench.take_events().expect("events").for_each(drop);
}

/// From the hello to a complete batch, over the UART, with the client that was written from the page; the recipe comes from a slot of the
/// board's own store. Gives what it took.
pub fn cycle_by_the_page(sleeps: bool) -> Ended {
    let job = short("steel-f400");
    let (pieces, slot) = (job.compiled.pieces, STORED - 1);
    let print = fingerprint(&stored(&job, slot));
    let floor = Floor::open(job, sleeps);
    let client = Path::new(env!("CARGO_MANIFEST_DIR")).join("link/client.py");
    let mut run = std::process::Command::new("python3");
    run.arg(client)
        .args(["cycle", &floor.address.to_string()])
        .args(["--slot", &slot.to_string()])
        .args(["--patience", &PATIENCE.to_string()]);
    let told = told(run, || floor.arm(pieces)).unwrap_or_else(|why| panic!("{why}"));
    let names = told.iter().find(|line| line.starts_with("stored:"));
    let names = names.expect("a list").matches("stored ").count();
    assert_eq!(names, usize::from(STORED), "{told:#?}");
    let (ended, progress) = floor.close();
    assert_eq!(
        (progress.slot, Some(progress.recipe), progress.state),
        (Some(slot), print, State::Complete)
    );
    ended
}

#[test]
fn a_client_of_the_page_runs_a_stored_recipe_over_the_uart() {
    let begun = Instant::now();
    let ended = cycle_by_the_page(true);
    println!(
        "a cycle over the line, asleep between ticks: {:.0} s, {} periods overrun",
        begun.elapsed().as_secs_f64(),
        ended.overruns
    );
}

/// The power goes in a step, and the whole board with it. It comes up at rest; boots are counted, sessions begin beyond the old ones, and
/// the flash says which recipe of which slot was cut off, where.
#[test]
fn after_a_power_cut_the_board_knows_which_cycle_it_ended() {
    let job = short("steel-f400");
    let (pieces, slot) = (job.compiled.pieces, 3);
    let print = fingerprint(&stored(&job, slot));
    let floor = Floor::open(job, false);
    let until = Instant::now() + Duration::from_secs(PATIENCE);
    let mut client = Client::connect(floor.address, 1).expect("welcome");
    let wait = |client: &mut Client<_>, there: &dyn Fn(State, Phase, bool) -> bool| {
        loop {
            let report = client.state().expect("a state");
            if there(report.status.state, report.status.phase, report.armed) {
                return report;
            }
            assert!(Instant::now() < until, "{:?}", report.status);
        }
    };
    wait(&mut client, &|state, _, _| state == State::Idle);
    client.recall(slot).expect("stored");
    floor.arm(pieces);
    wait(&mut client, &|_, _, armed| armed);
    client.command(Command::Start).expect("armed");
    wait(&mut client, &|_, phase, _| phase == Phase::Dwell);
    floor.act(Hand::CutPower);
    // The line falls with the board; the next hello finds the new one.
    let mut client = loop {
        if let Ok(client) = Client::connect(floor.address, 2)
            && client.welcome().boots == 2
        {
            break client;
        }
        assert!(Instant::now() < until, "it does not come back");
    };
    let report = client.state().expect("a state");
    assert_eq!(
        (report.status.state, report.status.boots, report.armed),
        (State::Stopped, 2, false)
    );
    let (_, progress) = floor.close();
    assert!(progress.in_cycle(), "{progress:?}");
    assert_eq!(
        (progress.slot, Some(progress.recipe), progress.boots),
        (Some(slot), print, 1)
    );
}
