//! The port: what the bench asks goes over the pipes, what it sees came over them.

use crate::emulator::{BoardError, COUNTS_PER_INSTRUCTION, Emulator, Fittings, make_flash, place};
use crate::line::Line;
use crate::load::Load;
use firmware_core::events::Event;
use firmware_core::interlock::Alarms;
use firmware_core::params::CheckedParams;
use firmware_core::process_image::{Inputs, Outputs};
use firmware_core::recipe::RecipeWire;
use firmware_core::sequence::{Command, Refusal, Request};
use firmware_core::status::Status;
use firmware_core::store::{Image, SLOTS, Store};
use firmware_core::units::Ticks;
use lockstep::{Ask, Harm, Kept, LOCKSTEP_VERSION, LONGEST, Told, Why, Wish};
use serde::Serialize;
use std::fs::File;
use std::io::Read as _;
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use twinplate_sim::bench::{Answer, ControllerPort, PortError};
use twinplate_sim::flash::Flash;

type Heard = Told<Kept<Vec<Event>>>;

/// A controller on a board of its own.
#[derive(Debug)]
pub struct OnBoard {
    emulator: Emulator,
    image: PathBuf,
    fittings: Fittings,
    /// Where the flash lies that nobody else keeps; removed when the board has ended.
    folder: Option<TempDir>,
    params: CheckedParams,
    boots: u16,
    message: Vec<u8>,
    last: Option<(Outputs, Status, Alarms, Option<Refusal>)>,
    events: Vec<Event>,
    lost: u32,
    load: Load,
    overruns: u32,
    changed: bool,
    pub(crate) line: Line,
}

impl OnBoard {
    /// Starts a board with an image and powers its controller up for the first time.
    ///
    /// # Errors
    /// No board, or one that does not take these parameters.
    pub fn new(image: &Path, params: CheckedParams) -> Result<Self, OnBoardError> {
        Self::fitted(image, params, Fittings::default())
    }

    /// [`OnBoard::new`], with this in its flash. A silence of so many ticks ends a session of its line, since a UART does not tell that
    /// nobody is at its other end any more; none: no line is fitted.
    ///
    /// # Errors
    /// As there.
    pub fn holding(
        image: &Path,
        params: CheckedParams,
        stored: &Flash,
        silence: Option<Ticks>,
    ) -> Result<Self, OnBoardError> {
        let listen = |silence| Ok((TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?, silence));
        let line = silence.map(listen).transpose().map_err(BoardError::Host)?;
        let folder = tempfile::tempdir().map_err(BoardError::Host)?;
        let flash = folder.path().join("flash");
        make_flash(&flash, stored.bytes()).map_err(BoardError::Host)?;
        let fittings = Fittings {
            flash: Some(flash),
            line,
            sleeps: false,
        };
        let mut board = Self::fitted(image, params, fittings)?;
        board.folder = Some(folder);
        Ok(board)
    }

    /// What is in its flash now; none where that has no file.
    ///
    /// # Errors
    /// What the host says of the file.
    pub fn stored(&self) -> std::io::Result<Option<Flash>> {
        let Some(path) = &self.fittings.flash else {
            return Ok(None);
        };
        let mut bytes = Vec::new();
        File::open(path)?
            .take(Flash::SIZE as u64)
            .read_to_end(&mut bytes)?;
        Ok(Some(Flash::of(bytes)))
    }

    /// What is in its flash may be something else than when this was asked last.
    pub const fn has_changed(&mut self) -> bool {
        std::mem::replace(&mut self.changed, false)
    }

    /// Where the board's end of its line listens.
    pub(crate) fn address(&self) -> Option<SocketAddr> {
        let (line, _) = self.fittings.line.as_ref()?;
        line.local_addr().ok()
    }

    /// Slot, from 1, of the board's own store where this very recipe lies.
    fn slot(&self, recipe: &RecipeWire) -> Option<u8> {
        let flash = self.stored().ok()??;
        let mut store = Store::open(Image(flash.bytes())).ok()?;
        let holds = |slot: &u8| store.recipe(*slot).is_ok_and(|kept| kept.recipe == *recipe);
        (0..SLOTS).find(holds).map(|slot| slot + 1)
    }

    /// [`OnBoard::new`], with a line and a flash.
    ///
    /// # Errors
    /// As there.
    pub fn fitted(
        image: &Path,
        params: CheckedParams,
        fittings: Fittings,
    ) -> Result<Self, OnBoardError> {
        let mut board = Self {
            emulator: Emulator::start(image, &fittings)?,
            image: image.to_owned(),
            fittings,
            folder: None,
            overruns: 0,
            params,
            boots: 1,
            message: vec![0; LONGEST],
            last: None,
            events: Vec::new(),
            lost: 0,
            load: Load::default(),
            changed: false,
            line: Line::default(),
        };
        board.boot()?;
        Ok(board)
    }

    /// What the controller has cost the processor so far.
    #[must_use]
    pub const fn load(&self) -> &Load {
        &self.load
    }

    /// Periods that began before the board was done with the tick before, since it was started.
    #[must_use]
    pub const fn overruns(&self) -> u32 {
        self.overruns
    }

    /// Does something to the board; the outputs that it leaves, and why. Its watchdog starts it again, and with
    /// [`ControllerPort::power_returns`] it runs.
    ///
    /// # Errors
    /// As [`ControllerPort::exchange`].
    pub fn suffer(&mut self, harm: Harm) -> Result<(Outputs, Why), PortError> {
        match self.ask(&Ask::Suffer(harm))? {
            Told::Safe { outputs, why } => Ok((outputs, why)),
            other => Err(unexpected(&other)),
        }
    }

    /// Cuts the whole board's power, wherever it is, and gives it back: what is in its flash stays, where that has a file.
    ///
    /// # Errors
    /// As [`OnBoard::new`].
    pub fn cut_power(&mut self) -> Result<(), OnBoardError> {
        // The old one goes first: the line is one board's at a time.
        self.emulator.end();
        self.emulator = Emulator::start(&self.image, &self.fittings)?;
        Ok(self.power_returns()?)
    }

    /// Powers the controller up anew, as for the first time. What it has cost so far stays counted.
    ///
    /// # Errors
    /// As [`ControllerPort::exchange`].
    pub fn restart(&mut self) -> Result<(), PortError> {
        self.boots = 1;
        self.forget();
        self.boot()
    }

    /// Deepest use of the board's stack since the board was started, bytes; with what the line to the bench takes.
    ///
    /// # Errors
    /// As [`ControllerPort::exchange`].
    pub fn stack(&mut self) -> Result<u32, PortError> {
        match self.ask(&Ask::Stack)? {
            Told::Stack(bytes) => Ok(bytes),
            other => Err(unexpected(&other)),
        }
    }

    fn forget(&mut self) {
        self.last = None;
        self.events.clear();
        self.lost = 0;
    }

    fn boot(&mut self) -> Result<(), PortError> {
        let ask = Ask::Boot {
            version: LOCKSTEP_VERSION,
            boots: self.boots,
            silence: self.fittings.line.as_ref().map(|(_, silence)| *silence),
            hurry: !self.fittings.sleeps,
        };
        let params = self.params.get().clone();
        match self.ask_with(&ask, Some(&params))? {
            Told::Booted => Ok(()),
            other => Err(unexpected(&other)),
        }
    }

    fn ask(&mut self, ask: &Ask) -> Result<Heard, PortError> {
        self.ask_with(ask, None::<&()>)
    }

    fn ask_with(
        &mut self,
        ask: &Ask,
        follows: Option<&impl Serialize>,
    ) -> Result<Heard, PortError> {
        let protocol = |error: postcard::Error| PortError::Protocol {
            at: place(),
            what: error.to_string(),
        };
        let head = postcard::to_slice(ask, &mut self.message).map_err(protocol)?;
        let mut length = head.len();
        if let Some(follows) = follows {
            let place = self.message.get_mut(length..).unwrap_or_default();
            let bytes = postcard::to_slice(follows, place).map_err(protocol)?;
            length += bytes.len();
        }
        let message = self.message.get(..length).unwrap_or_default();
        let answer = self.emulator.carry(message)?;
        postcard::from_bytes(answer).map_err(protocol)
    }
}

fn unexpected(told: &Heard) -> PortError {
    let what = match told {
        Told::Booted => "a power-up that nobody asked for",
        Told::NotMine => "a refusal of its parameters",
        Told::Ticked(_) => "a tick that nobody asked for",
        Told::Stack(_) => "its stack where something else was asked",
        Told::Safe { .. } => "safe outputs, and no more",
    };
    PortError::Protocol {
        at: place(),
        what: what.into(),
    }
}

/// Why there is no controller on a board.
#[derive(Debug)]
pub enum OnBoardError {
    /// There is no board.
    Board(BoardError),
    /// It does not answer as it should.
    Port(PortError),
}

impl From<BoardError> for OnBoardError {
    fn from(error: BoardError) -> Self {
        Self::Board(error)
    }
}

impl From<PortError> for OnBoardError {
    fn from(error: PortError) -> Self {
        Self::Port(error)
    }
}

impl std::fmt::Display for OnBoardError {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Board(error) => error.fmt(out),
            Self::Port(error) => error.fmt(out),
        }
    }
}

impl std::error::Error for OnBoardError {}

impl ControllerPort for OnBoard {
    fn exchange(
        &mut self,
        inputs: &Inputs,
        command: Option<Command>,
        request: Option<&Request>,
    ) -> Result<Answer<'_>, PortError> {
        let (mut wish, mut recipe) = request.map(Wish::of).unzip();
        // What the board has itself it takes from there.
        if let Some(slot) = recipe.flatten().and_then(|recipe| self.slot(recipe)) {
            (wish, recipe) = (Some(Wish::Recall(slot)), None);
        }
        let ask = Ask::Tick {
            inputs: *inputs,
            command,
            wish,
        };
        let (outputs, status, alarms, refusal) = match self.ask_with(&ask, recipe.flatten())? {
            Told::Ticked(Kept {
                outputs,
                status,
                alarms,
                refusal,
                mut events,
                lost,
                counts,
                check_counts,
                link_counts,
                overruns,
                stored,
            }) => {
                self.overruns = overruns;
                self.changed |= stored;
                self.load
                    .note_link(f64::from(link_counts) / COUNTS_PER_INSTRUCTION);
                self.events.append(&mut events);
                self.lost = self.lost.saturating_add(lost);
                self.load
                    .note(status.phase, f64::from(counts) / COUNTS_PER_INSTRUCTION);
                self.load
                    .note_check(f64::from(check_counts) / COUNTS_PER_INSTRUCTION);
                (outputs, status, alarms, refusal)
            }
            other => return Err(unexpected(&other)),
        };
        let last = self.last.insert((outputs, status, alarms, refusal));
        Ok(answer(last))
    }

    fn answer(&self) -> Option<Answer<'_>> {
        self.last.as_ref().map(answer)
    }

    fn events(&mut self, take: &mut dyn FnMut(&Event)) -> Result<u32, PortError> {
        self.events.drain(..).for_each(|event| take(&event));
        Ok(std::mem::take(&mut self.lost))
    }

    fn power_returns(&mut self) -> Result<(), PortError> {
        self.boots = self.boots.wrapping_add(1);
        self.forget();
        self.boot()
    }
}

const fn answer(
    (outputs, status, alarms, refusal): &(Outputs, Status, Alarms, Option<Refusal>),
) -> Answer<'_> {
    Answer {
        outputs,
        status,
        alarms,
        refusal: *refusal,
    }
}
