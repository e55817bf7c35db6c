//! The controller's end of a line that carries anything: noise, frames round noise, requests that are nearly sound, in any order, between
//! the ticks of a machine that answers. A deframer written from the page (`docs/link.md`) hears the same bytes: what it makes of them is
//! what was sent.

use super::bytes::Bytes;
use super::checksum::crc32;
use super::gates::edited;
use super::machine::{DEMO, Moment, job, moments};
use firmware_core::link::frame::{Deframer, MAX_BODY, MAX_FRAME, write};
use firmware_core::link::message::{
    Ask, Head, LINK_VERSION, LinkRefusal, ROLE_REPLY, ROLE_REQUEST, ROLE_TELEMETRY, Reply,
    Telemetry,
};
use firmware_core::link::session::Session;
use firmware_core::link::slots::{SlotFault, Slots};
use firmware_core::process_image::Inputs;
use firmware_core::recipe::RecipeWire;
use firmware_core::sequence::{ALL_COMMANDS, Command, Request};
use firmware_core::units::{PerNewton, Ratio, Seconds, Ticks};
use std::collections::BTreeSet;

/// Most ticks of one execution.
const MOST: u32 = 6_000;
/// What can be waited for at once, ticks.
const SPANS: [u32; 8] = [1, 2, 3, 10, 100, 500, 1_000, 2_100];
/// Silence after which a session is over.
const SILENCE: Ticks = Ticks(2_000);
/// Slots of the memory.
const SLOTS: usize = 4;
/// What ends a frame and begins one.
const DELIMITER: u8 = 0;
/// Body and checksum at the longest.
const LONGEST: usize = MAX_BODY + 4;

/// A memory for recipes.
struct Memory {
    stored: [Option<RecipeWire>; SLOTS],
    place: RecipeWire,
}

impl Memory {
    fn slot(&mut self, slot: u8) -> Result<&mut Option<RecipeWire>, SlotFault> {
        let place = usize::from(slot).checked_sub(1);
        let place = place.and_then(|place| self.stored.get_mut(place));
        place.ok_or(SlotFault::NoSuch)
    }
}

impl Slots for Memory {
    fn count(&self) -> u8 {
        u8::try_from(SLOTS).expect("few")
    }
    fn name(&mut self, slot: u8) -> Result<heapless::String<24>, SlotFault> {
        self.get(slot).map(|recipe| recipe.name.clone())
    }
    fn place(&mut self) -> &mut RecipeWire {
        &mut self.place
    }
    fn get(&mut self, slot: u8) -> Result<&RecipeWire, SlotFault> {
        self.place = self.slot(slot)?.clone().ok_or(SlotFault::Empty)?;
        Ok(&self.place)
    }
    fn put(&mut self, slot: u8) -> Result<(), SlotFault> {
        *self.slot(slot)? = Some(self.place.clone());
        Ok(())
    }
    fn erase(&mut self, slot: u8) -> Result<(), SlotFault> {
        self.slot(slot)?.take().map(drop).ok_or(SlotFault::Empty)
    }
    fn loaded(&mut self, _: u8) {}
}

/// The deframer of the page: a frame is what stands between two delimiters.
#[derive(Default)]
struct Plain(Vec<u8>);

impl Plain {
    fn hear(&mut self, byte: u8) -> Option<Vec<u8>> {
        if byte != DELIMITER {
            self.0.push(byte);
            return None;
        }
        let stuffed = std::mem::take(&mut self.0);
        let plain = unstuffed(&stuffed).filter(|plain| plain.len() <= LONGEST)?;
        let (body, sum) = plain.split_last_chunk::<4>()?;
        let sound = !body.is_empty() && crc32(body) == u32::from_le_bytes(*sum);
        sound.then(|| body.to_vec())
    }
}

/// Bytes without their stuffing; none where a piece is cut off.
fn unstuffed(mut stuffed: &[u8]) -> Option<Vec<u8>> {
    let mut plain = Vec::new();
    while let Some((code, rest)) = stuffed.split_first() {
        let piece = rest.get(..usize::from(*code).checked_sub(1)?)?;
        plain.extend(piece);
        stuffed = &rest[piece.len()..];
        if *code != u8::MAX && !stuffed.is_empty() {
            plain.push(DELIMITER);
        }
    }
    Some(plain)
}

/// A sound frame round a body of any length.
fn framed(body: &[u8]) -> Vec<u8> {
    let mut frame = vec![DELIMITER];
    let plain = [body, &crc32(body).to_le_bytes()].concat();
    let pieces = plain.split(|byte| *byte == DELIMITER);
    for mut piece in pieces {
        while piece.len() >= 254 {
            frame.push(u8::MAX);
            frame.extend(&piece[..254]);
            piece = &piece[254..];
        }
        let code = u8::try_from(piece.len() + 1).expect("shorter than a whole piece");
        frame.push(code);
        frame.extend(piece);
    }
    frame.push(DELIMITER);
    frame
}

/// A line with a controller at its end, and who speaks at the other.
struct Line {
    at: Moment,
    recipe: &'static RecipeWire,
    session: Session,
    memory: Memory,
    deframer: Deframer,
    plain: Plain,
    /// The next request's.
    head: Head,
    /// The last frame that went.
    last: Vec<u8>,
    /// Nonces of hellos that were heard.
    nonces: BTreeSet<u32>,
    /// Requests that were heard whole: session and number.
    heard: BTreeSet<(u32, u32)>,
    /// Those among them that ask for a command.
    asked: BTreeSet<(u32, u32, u16)>,
    /// Those that were given to a tick.
    done: BTreeSet<(u32, u32)>,
    /// Replies since they were last looked at.
    replies: Vec<(Head, Reply)>,
    left: u32,
}

/// A line that carries what the bytes say, at any place of a demonstration cycle.
pub fn link(bytes: &[u8]) {
    let mut bytes = Bytes::new(bytes);
    let name = *bytes.pick(&DEMO);
    let at = bytes.pick(moments(name)).clone();
    let mut line = Line {
        session: Session::new(&at.controller, 1, SILENCE),
        at,
        recipe: &job(name).compiled,
        memory: Memory {
            stored: [const { None }; SLOTS],
            place: RecipeWire::EMPTY,
        },
        deframer: Deframer::new(),
        plain: Plain::default(),
        head: Head {
            role: ROLE_REQUEST,
            session: 0,
            number: 0,
        },
        last: Vec::new(),
        nonces: BTreeSet::new(),
        heard: BTreeSet::new(),
        asked: BTreeSet::new(),
        done: BTreeSet::new(),
        replies: Vec::new(),
        left: MOST,
    };
    while bytes.more() && line.left > 0 {
        line.one(&mut bytes);
    }
    line.still_understood();
}

impl Line {
    fn one(&mut self, bytes: &mut Bytes<'_>) {
        match bytes.u8() % 16 {
            0 => {
                let noise = some(bytes);
                self.carry(&noise);
            }
            1 => {
                let frame = framed(&some(bytes));
                self.say(frame);
            }
            2 => {
                self.head.number = self.head.number.wrapping_add(1);
                let body = [self.encoded(&self.head), some(bytes)].concat();
                self.say(framed(&body));
            }
            3..=6 => {
                let ask = self.ask(bytes);
                self.head.number = self.head.number.wrapping_add(1);
                self.request(&ask);
            }
            7 => self.say(self.last.clone()),
            8 => {
                let mut frame = self.last.clone();
                let at = usize::from(bytes.u16()) % frame.len().max(1);
                if let Some(byte) = frame.get_mut(at) {
                    *byte = bytes.u8();
                }
                self.carry(&frame);
            }
            9 => {
                let frame = self.last.clone();
                let at = usize::from(bytes.u16()) % (frame.len() + 1);
                self.carry(&frame[..at]);
            }
            10 => self.hello(u32::from(bytes.u8() % 4)),
            11 => {
                // Where no local enable is on it is refused; here it always is.
                let _ = self
                    .at
                    .controller
                    .request(&Request::ArmRemote(!bytes.u8().is_multiple_of(4)));
            }
            12 => {
                let command = *bytes.pick(&ALL_COMMANDS);
                self.tick(Some(command));
            }
            13 => self.session.lost(&mut self.at.controller),
            _ => {
                for _ in 0..(*bytes.pick(&SPANS)).min(self.left) {
                    self.left -= 1;
                    self.tick(None);
                }
            }
        }
    }

    fn ask(&self, bytes: &mut Bytes<'_>) -> Ask {
        let slot = bytes.u8() % 6;
        match bytes.u8() % 14 {
            0 => Ask::ReadState,
            1 => Ask::List { from: slot },
            2 => Ask::Recall { slot },
            3 => Ask::Put {
                slot,
                recipe: edited(self.recipe, bytes),
            },
            4 => Ask::Get { slot },
            5 => Ask::Erase { slot },
            6 => Ask::Acknowledge,
            7 => Ask::ReadEvents { since: bytes.u32() },
            8 => Ask::SetGains {
                kc: PerNewton::new(bytes.near(0.001)),
                ti: Seconds::new(bytes.near(0.2)),
                setpoint_weight: Ratio::new(bytes.near(1.0)),
            },
            9 => Ask::Subscribe { every: bytes.u16() },
            _ => Ask::Do {
                command: bytes.u8() % 8,
            },
        }
    }

    fn hello(&mut self, nonce: u32) {
        (self.head.session, self.head.number) = (0, 0);
        let version = LINK_VERSION;
        self.request(&Ask::Hello { version, nonce });
    }

    fn request(&mut self, ask: &Ask) {
        let mut frame = [0; MAX_FRAME];
        let length = write(&(self.head, ask), &mut frame).expect("each request fits");
        self.say(frame[..length].to_vec());
    }

    fn encoded(&self, head: &Head) -> Vec<u8> {
        let mut bytes = [0; 16];
        let bytes = postcard::to_slice(head, &mut bytes).expect("room");
        bytes.to_vec()
    }

    fn say(&mut self, frame: Vec<u8>) {
        self.carry(&frame);
        self.last = frame;
    }

    /// Both deframers hear the bytes, and the session does.
    fn carry(&mut self, line: &[u8]) {
        for byte in line {
            let body = self.plain.hear(*byte);
            let found = self.deframer.hear(*byte).map(|body| body.bytes.to_vec());
            assert_eq!(found, body, "the page's deframer heard something else");
            if let Some(body) = body {
                self.note(&body);
            }
        }
        let mut said = Vec::new();
        self.session.hear(
            line,
            &mut self.at.controller,
            &mut self.memory,
            &mut |frame: &[u8]| said.push(frame.to_vec()),
        );
        said.iter().for_each(|frame| self.answer(frame));
    }

    /// What was sent, if it is a request; it comes back from its own bytes.
    fn note(&mut self, body: &[u8]) {
        let Ok((head, rest)) = postcard::take_from_bytes::<Head>(body) else {
            return;
        };
        if head.role != ROLE_REQUEST {
            return;
        }
        self.heard.insert((head.session, head.number));
        let Ok((ask, [])) = postcard::take_from_bytes::<Ask>(rest) else {
            return;
        };
        if let Ask::Hello { nonce, .. } = ask {
            self.nonces.insert(nonce);
        }
        if let Ask::Do { command } = ask {
            let command = u16::from(command);
            self.asked.insert((head.session, head.number, command));
        }
        let mut first = [0; MAX_BODY];
        let first = postcard::to_slice(&(head, &ask), &mut first).expect("what was read fits");
        let again: (Head, Ask) = postcard::from_bytes(first).expect("what was written is read");
        let mut second = [0; MAX_BODY];
        let second = postcard::to_slice(&again, &mut second).expect("fits again");
        assert_eq!(first, second, "{ask:?}");
    }

    /// Each answer is one sound frame, a message with nothing behind it, and to something that was asked.
    fn answer(&mut self, frame: &[u8]) {
        let mut plain = Plain::default();
        let bodies: Vec<_> = frame.iter().filter_map(|byte| plain.hear(*byte)).collect();
        let [body] = bodies.as_slice() else {
            panic!("no single frame: {frame:?}");
        };
        assert!(plain.0.is_empty() && frame.len() <= MAX_FRAME, "{frame:?}");
        if body[0] == ROLE_TELEMETRY {
            let (_, rest) = postcard::take_from_bytes::<Telemetry>(body).expect("telemetry");
            assert!(rest.is_empty());
            return;
        }
        let ((head, reply), rest) =
            postcard::take_from_bytes::<(Head, Reply)>(body).expect("a reply");
        assert!(rest.is_empty() && head.role == ROLE_REPLY, "{head:?}");
        assert!(
            self.heard.contains(&(head.session, head.number)),
            "an answer to nothing: {head:?}"
        );
        match reply {
            Reply::Welcome { session, .. } => self.head.session = session,
            Reply::Refused { reason, detail } if reason == LinkRefusal::OutOfSequence as u16 => {
                self.head.number = detail.wrapping_sub(1);
            }
            _ => {}
        }
        self.replies.push((head, reply));
    }

    /// A tick. What the link gives it was sent, once, and is armed where it must be.
    fn tick(&mut self, panel: Option<Command>) {
        let controller = &mut self.at.controller;
        let given = match panel {
            Some(_) => None,
            None => self.session.command(controller),
        };
        if let Some(command) = given {
            let moves = [Command::Start, Command::Restart, Command::Reset].contains(&command);
            assert!(!moves || controller.remote_armed(), "{command:?} unarmed");
        }
        let inputs = Inputs {
            link_alive: self.session.is_open(),
            local_enable: true,
            ..*self.at.plant.inputs()
        };
        controller.tick(&inputs, panel.or(given));
        self.at.plant.step(controller.outputs());
        let mut said = Vec::new();
        let mut out = |frame: &[u8]| said.push(frame.to_vec());
        self.session.ticked(&mut self.at.controller, &mut out);
        self.replies.clear();
        said.iter().for_each(|frame| self.answer(frame));
        if let Some(command) = given {
            let head = self.replies.first().map(|(head, _)| *head);
            let Head {
                session, number, ..
            } = head.expect("a command is answered in its tick");
            assert!(
                self.asked.contains(&(session, number, command as u16)),
                "never sent: {command:?}"
            );
            assert!(
                self.done.insert((session, number)),
                "given twice: {command:?}"
            );
        }
    }

    /// Whatever the line carried, a hello and a request after it are answered.
    fn still_understood(mut self) {
        self.tick(None);
        self.replies.clear();
        let nonce = (0..).find(|nonce| !self.nonces.contains(nonce));
        self.hello(nonce.expect("few were used"));
        let welcome = matches!(self.replies.last(), Some((_, Reply::Welcome { .. })));
        assert!(welcome, "{:?}", self.replies);
        self.head.number = 1;
        self.request(&Ask::ReadState);
        let state = matches!(self.replies.last(), Some((_, Reply::State(_))));
        assert!(state, "{:?}", self.replies);
    }
}

/// Some bytes: as many as the next one says.
fn some(bytes: &mut Bytes<'_>) -> Vec<u8> {
    let length = match bytes.u8() {
        // Longer than any frame.
        u8::MAX => 2 * MAX_FRAME,
        short => usize::from(short),
    };
    (0..length).map(|_| bytes.u8()).collect()
}
