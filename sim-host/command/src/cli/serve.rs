//! `serve`: the controller at the end of a TCP line, the simulated machine behind it, and its panel in this terminal.

use super::args::Format;
use super::args::link::{Serve, ServePace};
use super::output::{Output, complain, say, show};
use super::terminal::Terminal;
use super::{Answer, Failure, board, files, unpack};
use crate::report::fit;
use firmware_core::events::{Event, EventKind};
use firmware_core::recipe::RecipeWire;
use firmware_core::sequence::{Command, Request};
use firmware_core::store::{Checked, Progress, SLOTS, Store, StoredRecipe};
use firmware_core::units::{TICKS_PER_SECOND, Ticks};
use std::io::{ErrorKind, Write as _};
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, Instant};
use twinplate_board::OnBoard;
use twinplate_link::hub::{Came, Hub, Lines};
use twinplate_link::port::Linked;
use twinplate_server::pace::{Pacer, UNPACED_SLICE, factor};
use twinplate_sim::bench::scenario::RESET_TICK;
use twinplate_sim::bench::{Action, Bench, ControllerPort, Job, NoRecorder, row_name};
use twinplate_sim::flash::Flash;
use twinplate_sim::model::StationAct;
use twinplate_train::protocol::Pace;

/// How many times as fast as the clock a machine may be whose pace nothing holds: its silence is counted so.
const UNPACED: u32 = 2_000;
/// Clock time between two looks at lines, panel and what is due.
const LOOK: Duration = Duration::from_millis(2);
/// Ticks for each move of a hand at the panel or the guard: what it switches is seen by then (invented).
const HAND: u32 = 200;

/// Serves until the panel says `quit`, or the process is ended.
///
/// # Errors
/// Bad files, recipes for another machine, a port that cannot be listened on.
pub fn serve(typed: Serve, terminal: Terminal) -> Result<Answer, Failure> {
    let set = files::set(&typed.files.into())?;
    let job = files::job(&set, None)?;
    let (store, image) = match &typed.image {
        Some(path) => {
            let flash = match path.try_exists() {
                Ok(false) => Flash::erased(),
                _ => Flash::of(unpack::read(path)?),
            };
            let store = Store::open(flash).map_err(|error| unpack::no_store(path, error))?;
            (store, Some(path.clone()))
        }
        None => (stored(&job, &typed.store)?, None),
    };
    let mut hub = listen(typed.port)?;
    let pace = match typed.pace {
        ServePace::Real => Pace::Real,
        ServePace::Five => Pace::Five,
        ServePace::Twenty => Pace::Twenty,
        ServePace::Fastest => Pace::Fastest,
    };
    let silence = Ticks(typed.silence * TICKS_PER_SECOND * factor(pace).unwrap_or(UNPACED));
    let face = Face {
        image,
        form: typed.format,
        width: terminal.out.width,
    };
    match typed.on_board {
        None => {
            let port = Linked::new(job.params.clone(), store, silence);
            Panel::on(port, &job, typed.seed, face).run(&mut hub, pace)
        }
        Some(board) => {
            let port = board::holding(&board, &job.params, store.flash(), Some(silence))?;
            Panel::on(port, &job, typed.seed, face).run(&mut hub, pace)
        }
    }
}

/// The recipes in their slots.
fn stored(job: &Job, more: &[std::path::PathBuf]) -> Result<Store<Flash>, Failure> {
    let unchecked = |recipe: RecipeWire| StoredRecipe {
        recipe,
        checked: Checked::default(),
    };
    let mut recipes = vec![unchecked(job.compiled.clone())];
    for path in more {
        let named = super::args::Files::named(path);
        let other = files::job(&files::set(&named.into())?, None)?;
        if other.params.hash() != job.params.hash() {
            return Err(Failure::new(
                format!("{} is for another machine", path.display()),
                "store recipes for the machine that stands there",
            ));
        }
        recipes.push(unchecked(other.compiled));
    }
    Flash::holding(&recipes).map_err(|_| {
        Failure::new(
            format!("more recipes than the {SLOTS} slots hold"),
            "name fewer with --store",
        )
    })
}

fn listen(port: u16) -> Result<Hub, Failure> {
    let address = SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), port);
    Hub::listen(address).map_err(|error| {
        let cure = match error.kind() {
            ErrorKind::AddrInUse => {
                "another program listens there; stop it, or name another --port (0 takes a free one)"
            }
            ErrorKind::PermissionDenied => "name a --port from 1024 up; lower ones are the system's",
            _ => "name another --port",
        };
        Failure::new(format!("cannot listen on {address}: {error}"), cure)
    })
}

fn system(error: &std::io::Error) -> Failure {
    Failure::new(
        format!("the system refused: {error}"),
        "see what it is short of, and start again",
    )
}

/// The controller of a machine that is served.
pub(super) trait Behind: ControllerPort + Lines {
    /// How far its last cycle got.
    fn progress(&mut self) -> Option<Progress>;

    /// Notes in its store how far the cycle has got, where that is due.
    ///
    /// # Errors
    /// What its flash lacks, in words.
    fn note(&mut self) -> Result<(), String>;

    /// What is in its flash, if that may have changed since this was asked last.
    fn changes(&mut self) -> Option<Flash>;
}

impl Behind for Linked {
    fn progress(&mut self) -> Option<Progress> {
        Self::progress(self).copied()
    }

    fn note(&mut self) -> Result<(), String> {
        Self::note(self).map_err(|error| error.word().to_owned())
    }

    fn changes(&mut self) -> Option<Flash> {
        Self::changes(self).cloned()
    }
}

impl Behind for OnBoard {
    fn progress(&mut self) -> Option<Progress> {
        let flash = self.stored().ok()??;
        Store::open(flash).ok()?.progress().ok()
    }

    /// The board does so by itself.
    fn note(&mut self) -> Result<(), String> {
        Ok(())
    }

    fn changes(&mut self) -> Option<Flash> {
        self.has_changed().then(|| self.stored().ok())??
    }
}

/// What a hand does at the panel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Hand {
    Command(Command),
    Arm(bool),
    Parts,
    Raise,
    Acknowledge,
    EmergencyStop(bool),
    Help,
    Quit,
}

/// Everything that can be typed beside the six commands, and what it does.
const HANDS: [(&str, Hand, &str); 9] = [
    (
        "arm",
        Hand::Arm(true),
        "local enable on, remote start armed",
    ),
    ("disarm", Hand::Arm(false), "both off"),
    (
        "parts",
        Hand::Parts,
        "lay fresh parts in where they were lapped, and confirm them",
    ),
    ("raise", Hand::Raise, "raise the plate"),
    ("acknowledge", Hand::Acknowledge, "acknowledge all alarms"),
    (
        "press",
        Hand::EmergencyStop(true),
        "press the emergency stop",
    ),
    (
        "release",
        Hand::EmergencyStop(false),
        "release the emergency stop",
    ),
    ("help", Hand::Help, "this list"),
    ("quit", Hand::Quit, "switch off"),
];

fn hand(word: &str) -> Option<Hand> {
    let beside = HANDS.iter().find(|(name, ..)| *name == word);
    beside
        .map(|(_, hand, _)| *hand)
        .or_else(|| Command::named(word).map(Hand::Command))
}

/// The machine, its panel, and what is printed.
struct Panel<P> {
    bench: Bench<P, NoRecorder>,
    pieces: u16,
    /// The machine has remote start.
    fitted: bool,
    /// The parts that lie in it were lapped.
    used: bool,
    /// The hands are busy until this tick.
    busy: u32,
    /// The store has failed before.
    store_failed: bool,
    face: Face,
}

/// Where what happens is seen: the store's file and the terminal.
struct Face {
    /// Where the store is kept.
    image: Option<PathBuf>,
    form: Format,
    width: usize,
}

impl<P: Behind> Panel<P> {
    /// A machine that was just switched on.
    fn on(port: P, job: &Job, seed: u64, face: Face) -> Self {
        let setup = job.nominal(seed);
        let mut bench = setup.bench_with(setup.plant(), port, NoRecorder);
        // As on any morning: whoever switches the machine on resets it.
        bench.act_at(RESET_TICK, Action::Command(Command::Reset));
        Self {
            bench,
            pieces: job.compiled.pieces,
            fitted: job.machine.control.remote,
            used: false,
            busy: 0,
            store_failed: false,
            face,
        }
    }

    fn run(mut self, hub: &mut Hub, pace: Pace) -> Result<Answer, Failure> {
        let address = hub.address().map_err(|error| system(&error))?;
        self.tell("listening", &address.to_string())?;
        if let Some(progress) = self.bench.port_mut().progress()
            && progress.in_cycle()
        {
            self.tell("cut-off", &unpack::cut_off(&progress))?;
        }
        let typed = keys();
        let begun = Instant::now();
        let mut pacer = Pacer::new(Duration::ZERO);
        pacer.set(pace, Duration::ZERO);
        loop {
            for came in hub.carry(self.bench.port_mut()) {
                match came {
                    Came::Here(who) => self.tell("here", &format!("{who} is connected"))?,
                    Came::Gone(who) => self.tell("gone", &format!("{who} is gone"))?,
                    Came::TurnedAway(who) => {
                        self.tell("turned-away", &format!("{who} was turned away"))?;
                    }
                }
            }
            match typed.try_recv() {
                Ok(word) => {
                    if self.hand(&word)? {
                        return Ok(Answer::Yes);
                    }
                }
                // Nobody is at the panel; the machine stays on.
                Err(TryRecvError::Empty | TryRecvError::Disconnected) => {}
            }
            // Lines are looked after between few ticks, at any pace.
            let due = pacer.due(begun.elapsed()).min(UNPACED_SLICE);
            self.bench.advance(due).map_err(Failure::no_answer)?;
            pacer.note(due, begun.elapsed());
            self.events()?;
            self.keep()?;
            if due < UNPACED_SLICE {
                std::thread::sleep(LOOK);
            }
        }
    }

    /// Does what was typed; true to switch off.
    fn hand(&mut self, word: &str) -> Result<bool, Failure> {
        let Some(hand) = hand(word) else {
            complain(&fit(
                &format!("`{word}` is nothing that the panel has: type help\n"),
                self.face.width,
            ));
            return Ok(false);
        };
        self.tell("panel", word)?;
        let request = |request| Action::Request(Box::new(request));
        match hand {
            Hand::Command(command) => self.bench.act(Action::Command(command)),
            Hand::Arm(true) if !self.fitted => {
                self.tell("panel", "no remote start is fitted on this machine")?;
            }
            Hand::Arm(on) => {
                self.then(Action::Station(StationAct::LocalEnable(on)));
                self.then(request(Request::ArmRemote(on)));
            }
            Hand::Parts => self.parts(),
            Hand::Raise => self.bench.act(request(Request::Raise)),
            Hand::Acknowledge => self.bench.act(request(Request::Acknowledge)),
            Hand::EmergencyStop(true) => {
                let press = Action::Station(StationAct::PressEstop);
                self.bench.act_first(press);
            }
            Hand::EmergencyStop(false) => {
                self.bench.act(Action::Station(StationAct::ReleaseEstop));
            }
            Hand::Help => {
                for (name, _, what) in HANDS {
                    self.tell("help", &format!("{name}: {what}"))?;
                }
                let commands = Command::NAMES.map(|(name, _)| name).join(", ");
                self.tell("help", &format!("{commands}: the command"))?;
            }
            Hand::Quit => return Ok(true),
        }
        Ok(false)
    }

    /// Carriers are changed where their parts were lapped; then the parts are confirmed.
    fn parts(&mut self) {
        let confirm = Request::ConfirmParts {
            pieces: self.pieces,
        };
        if self.used {
            let station = Action::Station;
            self.then(Action::Request(Box::new(Request::UnlockGuard)));
            self.then(station(StationAct::OpenGuard));
            self.then(station(StationAct::UnloadCarriers));
            self.then(station(StationAct::LoadCarriers));
            self.then(station(StationAct::CloseGuard));
            self.then(Action::Request(Box::new(Request::LockGuard)));
            self.used = false;
        }
        self.then(Action::Request(Box::new(confirm)));
    }

    /// One thing after the other, as hands do them.
    fn then(&mut self, action: Action) {
        let tick = self.bench.tick().max(self.busy);
        self.bench.act_at(tick, action);
        self.busy = tick.saturating_add(HAND);
    }

    /// Keeps what has changed in the store, where it has a file; a store that fails is told of once, and the machine goes on.
    fn keep(&mut self) -> Result<(), Failure> {
        let noted = self.bench.port_mut().note();
        if let (Err(why), false) = (noted, self.store_failed) {
            self.store_failed = true;
            self.tell("store", &why)?;
        }
        let Some(path) = &self.face.image else {
            return Ok(());
        };
        let Some(flash) = self.bench.port_mut().changes() else {
            return Ok(());
        };
        Output::open(path, "--image")?.write(|to| to.write_all(flash.bytes()))
    }

    /// Prints what the controller tells.
    fn events(&mut self) -> Result<(), Failure> {
        let events: Vec<Event> = self
            .bench
            .take_events()
            .map_err(Failure::no_answer)?
            .collect();
        for event in events {
            self.used |= event.kind == EventKind::Batch;
            let text = told(&event);
            self.print(event.tick.0, "event", &text)?;
        }
        Ok(())
    }

    fn tell(&self, kind: &str, text: &str) -> Result<(), Failure> {
        self.print(self.bench.tick(), kind, text)
    }

    fn print(&self, tick: u32, kind: &str, text: &str) -> Result<(), Failure> {
        match self.face.form {
            Format::Text if kind == "listening" => say(&format!("{text}\n")),
            Format::Text => {
                let seconds = f64::from(tick) / f64::from(TICKS_PER_SECOND);
                show(&format!("{seconds:9.1} s  {text}\n"), self.face.width)
            }
            Format::Json => say(&format!(
                "{}\n",
                serde_json::json!({ "schema": 1, "tick": tick, "kind": kind, "text": text })
            )),
        }
    }
}

/// An event in words, for a line.
pub(super) fn told(event: &Event) -> String {
    let word = event.kind.word();
    let place = format!("{}, {}", event.state.word(), event.phase.word());
    match event.kind {
        EventKind::Moved => place,
        EventKind::Condition | EventKind::Departed if event.cause != 0 => {
            format!("{word}: {}", row_name(event.cause))
        }
        EventKind::ByLink => {
            let command = u16::try_from(event.detail).ok().and_then(Command::numbered);
            format!("{word}: {}", command.map_or("?", Command::word))
        }
        EventKind::Refused => {
            let refusal = u16::try_from(event.detail).ok();
            let refusal = refusal.and_then(firmware_core::sequence::Refusal::numbered);
            refusal.map_or_else(|| word.to_owned(), |why| format!("{word}: {}", why.word()))
        }
        EventKind::Step => format!("{word} {}", i64::from(event.detail) + 1),
        EventKind::Boot
        | EventKind::Condition
        | EventKind::Departed
        | EventKind::Acknowledged
        | EventKind::Reset
        | EventKind::Tared
        | EventKind::Seated
        | EventKind::Batch
        | EventKind::Missing
        | EventKind::Internal
        | EventKind::Mode
        | EventKind::Recipe
        | EventKind::FormLower
        | EventKind::FormUpper
        | EventKind::RingSetting
        | EventKind::Gains => word.to_owned(),
    }
}

/// Words typed at the panel. The thread ends with the process, or with its input.
fn keys() -> Receiver<String> {
    let (to, from) = channel();
    std::thread::spawn(move || {
        for line in std::io::stdin().lines() {
            let Ok(line) = line else { return };
            let word = line.trim().to_owned();
            if !word.is_empty() && to.send(word).is_err() {
                return;
            }
        }
    });
    from
}
