//! A host: says hello, asks one thing after the other, asks again by the same number what is not answered.

use firmware_core::link::frame::{Deframer, MAX_FRAME, write};
use firmware_core::link::message::{
    Ask, Entry, EventWire, Head, LINK_VERSION, LinkRefusal, ROLE_REPLY, ROLE_REQUEST,
    ROLE_TELEMETRY, Reason, Reply, Report, Telemetry,
};
use firmware_core::recipe::RecipeWire;
use firmware_core::sequence::Command;
use firmware_core::units::{PerNewton, Ratio, Seconds, Ticks};
use std::collections::VecDeque;
use std::fmt;
use std::io::{ErrorKind, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::{Duration, Instant};

/// How long an answer is waited for before the request is said again.
const WAIT: Duration = Duration::from_millis(500);
/// How often a request is said.
const TIMES: u32 = 6;
/// How long one look at the line takes.
const LOOK: Duration = Duration::from_millis(20);
/// Most reports that are kept until somebody asks for them; older ones go.
const MOST_REPORTS: usize = 4096;

/// Why something was not done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LinkError {
    /// Nobody listens there, or the line broke.
    Line {
        /// What the system reports.
        what: String,
    },
    /// No answer, however often it was asked.
    NoAnswer,
    /// The controller speaks another version.
    Version {
        /// The controller's.
        theirs: u32,
    },
    /// The controller refused.
    Refused {
        /// Why.
        reason: Reason,
        /// What [`LinkRefusal`] says of it.
        detail: u32,
    },
    /// An answer that is none to this request, or of no known kind.
    Strange,
}

impl fmt::Display for LinkError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Line { what } => write!(out, "the line failed: {what}"),
            Self::NoAnswer => write!(out, "the controller does not answer"),
            Self::Version { theirs } => write!(
                out,
                "the controller speaks version {theirs} of the link, and this program version {LINK_VERSION}"
            ),
            Self::Refused { reason, .. } => write!(out, "refused: {}", reason.word()),
            Self::Strange => write!(out, "the controller answered something else"),
        }
    }
}

impl std::error::Error for LinkError {}

/// What the controller said of itself in its hello.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Welcome {
    /// Identity of the machine.
    pub machine_id: u32,
    /// Digest of the parameters in force.
    pub params_hash: u32,
    /// Boot count.
    pub boots: u16,
    /// How many slots there are.
    pub slots: u8,
    /// Silence after which the session is over.
    pub silence: Ticks,
}

/// A session with a controller over a line. Reads of the line must return after a while ([`Client::connect`] sees to it).
#[derive(Debug)]
pub struct Client<L> {
    line: L,
    deframer: Deframer,
    head: Head,
    welcome: Welcome,
    reports: VecDeque<Report>,
}

impl Client<TcpStream> {
    /// Connects and says hello. `nonce` is any number that the last hello on this line had not.
    ///
    /// # Errors
    /// Nobody there, no answer, another version.
    pub fn connect(address: SocketAddr, nonce: u32) -> Result<Self, LinkError> {
        let line = TcpStream::connect_timeout(&address, WAIT * TIMES).map_err(broken)?;
        line.set_nodelay(true).map_err(broken)?;
        line.set_read_timeout(Some(LOOK)).map_err(broken)?;
        line.set_write_timeout(Some(WAIT)).map_err(broken)?;
        Self::on(line, nonce)
    }
}

impl<L: Read + Write> Client<L> {
    /// Says hello on a line.
    ///
    /// # Errors
    /// No answer, another version.
    pub fn on(line: L, nonce: u32) -> Result<Self, LinkError> {
        let mut client = Self {
            line,
            deframer: Deframer::new(),
            head: Head {
                role: ROLE_REQUEST,
                session: 0,
                number: 0,
            },
            welcome: Welcome {
                machine_id: 0,
                params_hash: 0,
                boots: 0,
                slots: 0,
                silence: Ticks::ZERO,
            },
            reports: VecDeque::new(),
        };
        let version = LINK_VERSION;
        match client.say(&Ask::Hello { version, nonce })? {
            Reply::Welcome {
                nonce: theirs,
                session,
                machine_id,
                params_hash,
                boots,
                slots,
                silence,
                ..
            } if theirs == nonce => {
                client.head.session = session;
                client.welcome = Welcome {
                    machine_id,
                    params_hash,
                    boots,
                    slots,
                    silence,
                };
                Ok(client)
            }
            Reply::Refused { reason, detail } if reason == LinkRefusal::WrongVersion as u16 => {
                Err(LinkError::Version { theirs: detail })
            }
            _ => Err(LinkError::Strange),
        }
    }

    /// What the controller said in its hello.
    #[must_use]
    pub const fn welcome(&self) -> &Welcome {
        &self.welcome
    }

    /// Asks the next thing.
    ///
    /// # Errors
    /// The line, no answer, or the controller's refusal.
    pub fn ask(&mut self, ask: &Ask) -> Result<Reply, LinkError> {
        self.head.number = self.head.number.wrapping_add(1);
        match self.say(ask)? {
            Reply::Refused { reason, detail } => Err(Reason::numbered(reason).map_or(
                LinkError::Strange,
                |reason| LinkError::Refused { reason, detail },
            )),
            reply => Ok(reply),
        }
    }

    /// The state now.
    ///
    /// # Errors
    /// As [`Client::ask`].
    pub fn state(&mut self) -> Result<Report, LinkError> {
        match self.ask(&Ask::ReadState)? {
            Reply::State(report) => Ok(report),
            _ => Err(LinkError::Strange),
        }
    }

    /// All stored recipes.
    ///
    /// # Errors
    /// As [`Client::ask`].
    pub fn list(&mut self) -> Result<Vec<Entry>, LinkError> {
        let mut all: Vec<Entry> = Vec::new();
        loop {
            let from = all.last().map_or(1, |entry| entry.slot.saturating_add(1));
            match self.ask(&Ask::List { from })? {
                Reply::Listed { entries } if entries.is_empty() => return Ok(all),
                Reply::Listed { entries } => all.extend(entries),
                _ => return Err(LinkError::Strange),
            }
            if all.last().is_some_and(|entry| entry.slot == u8::MAX) {
                return Ok(all);
            }
        }
    }

    /// A stored recipe.
    ///
    /// # Errors
    /// As [`Client::ask`].
    pub fn get(&mut self, slot: u8) -> Result<RecipeWire, LinkError> {
        match self.ask(&Ask::Get { slot })? {
            Reply::Recipe { recipe } => Ok(recipe),
            _ => Err(LinkError::Strange),
        }
    }

    /// Stores a recipe.
    ///
    /// # Errors
    /// As [`Client::ask`].
    pub fn put(&mut self, slot: u8, recipe: RecipeWire) -> Result<(), LinkError> {
        self.done(&Ask::Put { slot, recipe })
    }

    /// Empties a slot.
    ///
    /// # Errors
    /// As [`Client::ask`].
    pub fn erase(&mut self, slot: u8) -> Result<(), LinkError> {
        self.done(&Ask::Erase { slot })
    }

    /// Loads a stored recipe.
    ///
    /// # Errors
    /// As [`Client::ask`].
    pub fn recall(&mut self, slot: u8) -> Result<(), LinkError> {
        self.done(&Ask::Recall { slot })
    }

    /// Gives a command; it was taken by a tick when this returns.
    ///
    /// # Errors
    /// As [`Client::ask`].
    pub fn command(&mut self, command: Command) -> Result<(), LinkError> {
        self.done(&Ask::Do {
            command: command as u8,
        })
    }

    /// Acknowledges all alarms.
    ///
    /// # Errors
    /// As [`Client::ask`].
    pub fn acknowledge(&mut self) -> Result<(), LinkError> {
        self.done(&Ask::Acknowledge)
    }

    /// Sets the gains of the load loop.
    ///
    /// # Errors
    /// As [`Client::ask`].
    pub fn set_gains(
        &mut self,
        kc: PerNewton,
        ti: Seconds,
        setpoint_weight: Ratio,
    ) -> Result<(), LinkError> {
        self.done(&Ask::SetGains {
            kc,
            ti,
            setpoint_weight,
        })
    }

    /// Asks for reports every so many ticks; 0 for none.
    ///
    /// # Errors
    /// As [`Client::ask`].
    pub fn subscribe(&mut self, every: u16) -> Result<(), LinkError> {
        self.done(&Ask::Subscribe { every })
    }

    /// All events from a running number on, how many were lost, and the number of the next.
    ///
    /// # Errors
    /// As [`Client::ask`].
    pub fn events(&mut self, since: u32) -> Result<(Vec<EventWire>, u32, u32), LinkError> {
        let (mut all, mut missed, mut since) = (Vec::new(), 0_u32, since);
        loop {
            match self.ask(&Ask::ReadEvents { since })? {
                Reply::Events { next, lost, events } => {
                    missed = missed.saturating_add(lost);
                    since = next;
                    if events.is_empty() {
                        return Ok((all, missed, next));
                    }
                    all.extend(events);
                }
                _ => return Err(LinkError::Strange),
            }
        }
    }

    /// Reports that came unasked since the last time, oldest first.
    pub fn reports(&mut self) -> impl Iterator<Item = Report> + '_ {
        self.reports.drain(..)
    }

    fn done(&mut self, ask: &Ask) -> Result<(), LinkError> {
        match self.ask(ask)? {
            Reply::Done => Ok(()),
            _ => Err(LinkError::Strange),
        }
    }

    /// Says a request until it is answered: the same bytes each time, so that it is done once.
    fn say(&mut self, ask: &Ask) -> Result<Reply, LinkError> {
        let mut frame = [0; MAX_FRAME];
        let len = write(&(self.head, ask), &mut frame).map_err(|_| LinkError::Strange)?;
        let frame = frame.get(..len).unwrap_or_default();
        for _ in 0..TIMES {
            self.line.write_all(frame).map_err(broken)?;
            if let Some(reply) = self.answer(Instant::now() + WAIT)? {
                return Ok(reply);
            }
        }
        Err(LinkError::NoAnswer)
    }

    fn answer(&mut self, until: Instant) -> Result<Option<Reply>, LinkError> {
        let mut bytes = [0; 1024];
        while Instant::now() < until {
            let len = match self.line.read(&mut bytes) {
                Ok(0) => {
                    return Err(LinkError::Line {
                        what: "the controller closed it".into(),
                    });
                }
                Ok(len) => len,
                Err(error)
                    if matches!(
                        error.kind(),
                        ErrorKind::WouldBlock | ErrorKind::TimedOut | ErrorKind::Interrupted
                    ) =>
                {
                    continue;
                }
                Err(error) => return Err(broken(error)),
            };
            let mut reply = None;
            for byte in bytes.get(..len).unwrap_or_default() {
                if let Some(body) = self.deframer.hear(*byte) {
                    match sort(body.bytes, self.head) {
                        Some(Heard::Reply(heard)) => reply = Some(*heard),
                        Some(Heard::Report(report)) => {
                            if self.reports.len() >= MOST_REPORTS {
                                self.reports.pop_front();
                            }
                            self.reports.push_back(report);
                        }
                        None => {}
                    }
                }
            }
            if reply.is_some() {
                return Ok(reply);
            }
        }
        Ok(None)
    }
}

enum Heard {
    Reply(Box<Reply>),
    Report(Report),
}

/// A body as what it is; none where it is an answer to something else, or not understood.
fn sort(body: &[u8], asked: Head) -> Option<Heard> {
    if body.first() == Some(&ROLE_TELEMETRY) {
        let telemetry: Telemetry = postcard::from_bytes(body).ok()?;
        return (telemetry.session == asked.session).then_some(Heard::Report(telemetry.report));
    }
    let (head, rest) = postcard::take_from_bytes::<Head>(body).ok()?;
    let answered = Head {
        role: ROLE_REPLY,
        ..asked
    };
    (head == answered)
        .then(|| {
            postcard::from_bytes(rest)
                .ok()
                .map(|reply| Heard::Reply(Box::new(reply)))
        })
        .flatten()
}

fn broken(error: std::io::Error) -> LinkError {
    LinkError::Line {
        what: error.to_string(),
    }
}
