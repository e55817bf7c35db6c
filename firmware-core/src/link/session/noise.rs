//! Noise on the line: whatever it carries, no command comes of it that was not sent, none comes twice, nothing panics, and a sound
//! frame after it is always understood.
//!
//! A host asks one thing after the other. Each frame of it goes through a line that cuts, changes, repeats, delays, lengthens and
//! invents; at the end of each round it is said once more in full, and must be answered.

use super::rig::Rig;
use super::*;
use crate::link::message::{Ask, ROLE_REPLY, Reply};
use crate::sequence::ALL_COMMANDS;
use std::collections::BTreeMap;
use std::format;
use std::string::String as Text;
use std::vec::Vec as List;

/// A generator after Steele, Lea and Flood (2014), "Fast splittable pseudorandom number generators": the same frames from one seed.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn below(&mut self, bound: usize) -> usize {
        let bound = u64::try_from(bound.max(1)).expect("small");
        usize::try_from(self.next() % bound).expect("small")
    }

    fn byte(&mut self) -> u8 {
        u8::try_from(self.next() & 0xFF).expect("masked")
    }

    fn bytes(&mut self, most: usize) -> List<u8> {
        let len = self.below(most + 1);
        (0..len).map(|_| self.byte()).collect()
    }
}

/// What the line does with a frame.
const WAYS: [&str; 11] = [
    "as it was sent",
    "twice",
    "cut off",
    "without its beginning",
    "one bit changed",
    "some bytes changed",
    "a piece of another frame in it",
    "longer than any frame",
    "noise in its place",
    "a frame from before",
    "an answer that comes back",
];

struct Noise {
    random: Random,
    rig: Rig,
    /// Commands that were sent in this session, by the number of their request.
    sent: BTreeMap<u32, Command>,
    /// Frames from before, this session's and older ones.
    before: List<List<u8>>,
    counts: [u64; WAYS.len()],
    commands: u64,
    rounds: u64,
    sessions: u32,
}

impl Noise {
    fn new(seed: u64) -> Self {
        let mut noise = Self {
            random: Random(seed),
            rig: Rig::new(),
            sent: BTreeMap::new(),
            before: List::new(),
            counts: [0; WAYS.len()],
            commands: 0,
            rounds: 0,
            sessions: 0,
        };
        noise.open();
        noise
    }

    /// Another session, armed.
    fn open(&mut self) {
        self.sessions += 1;
        // Whatever noise stands unfinished on the line ends with the hello's own delimiter.
        self.rig.hello(self.sessions);
        self.rig.arm();
        self.sent.clear();
    }

    fn ask(&mut self) -> Ask {
        let slot = u8::try_from(self.random.below(22)).expect("small");
        match self.random.below(12) {
            0 => Ask::ReadState,
            1 => Ask::List { from: slot },
            2 => Ask::Recall { slot },
            3 => Ask::Put {
                slot,
                recipe: crate::recipe::sample(self.rig.controller.params(), 265.0, 350.0),
            },
            4 => Ask::Get { slot },
            5 => Ask::Subscribe { every: 10 },
            6 => Ask::ReadEvents { since: 0 },
            _ => Ask::Do {
                command: ALL_COMMANDS[self.random.below(ALL_COMMANDS.len())] as u8,
            },
        }
    }

    /// What the line makes of a frame in one of its ways.
    fn carry(&mut self, frame: &[u8], way: usize) -> List<u8> {
        let mut line = frame.to_vec();
        let at = self.random.below(line.len());
        match WAYS[way] {
            "twice" => line.extend(frame),
            "cut off" => line.truncate(at),
            "without its beginning" => drop(line.drain(..at)),
            "one bit changed" => line[at] ^= 1 << self.random.below(8),
            "some bytes changed" => {
                for _ in 0..=self.random.below(6) {
                    let at = self.random.below(line.len());
                    line[at] = self.random.byte();
                }
            }
            "a piece of another frame in it" => {
                let other = self.earlier();
                let from = self.random.below(other.len());
                let len = self.random.below(other.len() - from) + 1;
                line.splice(at..at, other[from..from + len].iter().copied());
            }
            "longer than any frame" => {
                let more = self.random.bytes(3 * MAX_FRAME);
                line.splice(at..at, more.into_iter().map(|byte| byte.max(1)));
            }
            "noise in its place" => line = self.random.bytes(120),
            "a frame from before" => line = self.earlier(),
            "an answer that comes back" => {
                let head = Head {
                    role: ROLE_REPLY,
                    ..self.rig.head
                };
                line = self.rig.frame(head, &Ask::Do { command: 5 });
            }
            _ => {}
        }
        line
    }

    fn earlier(&mut self) -> List<u8> {
        let index = self.random.below(self.before.len());
        let frame = self.before.get(index).cloned();
        frame.unwrap_or_else(|| List::from([super::super::frame::DELIMITER]))
    }

    /// A tick; whatever command it was given was sent, and is given once.
    fn tick(&mut self) {
        self.rig.given.clear();
        let number = self.rig.session.talk.given.map(|given| given.head.number);
        self.rig.tick();
        for command in &self.rig.given {
            let number = number.expect("a command has a request");
            let sent = self.sent.remove(&number);
            assert_eq!(sent, Some(*command), "never sent, or given before");
            self.commands += 1;
        }
    }

    /// One request through the noise, then once in full.
    fn round(&mut self, frames: usize) {
        self.rounds += 1;
        if self.random.below(50) == 0 {
            self.open();
        }
        let ask = self.ask();
        self.rig.head.number += 1;
        if let Ask::Do { command } = ask {
            let command = Command::numbered(u16::from(command)).expect("one of the six");
            self.sent.insert(self.rig.head.number, command);
        }
        let frame = self.rig.frame(self.rig.head, &ask);
        for _ in 0..frames {
            let way = self.random.below(WAYS.len());
            self.counts[way] += 1;
            let line = self.carry(&frame, way);
            self.rig.hear(&line);
            if self.random.below(4) == 0 {
                self.tick();
            }
        }
        self.tick();
        self.rig.replies.clear();
        self.rig.telemetry.clear();
        self.rig.hear(&frame);
        self.tick();
        // Where noise left a whole frame without its end, that is answered too.
        let answered = |(head, reply): &(Head, Reply)| {
            let out_of_turn = matches!(
                reply,
                Reply::Refused {
                    reason: 101..=103,
                    ..
                }
            );
            let own = (self.rig.head.session, self.rig.head.number);
            (head.session, head.number) == own && !out_of_turn
        };
        assert!(
            self.rig.replies.iter().any(answered),
            "a sound frame after noise is answered: {ask:?}, {:?}",
            self.rig.replies
        );
        if let Some(waits) = self.sent.get(&self.rig.head.number) {
            // Armed as the session is, only the interlocks can have stood against it.
            assert!(needs_arming(*waits), "{waits:?} was answered and not given");
        }
        if self.before.len() < 64 {
            self.before.push(frame);
        } else {
            let place = self.random.below(64);
            self.before[place] = frame;
        }
    }

    fn frames(&self) -> u64 {
        self.counts.iter().sum()
    }
}

fn run(seed: u64, frames: u64) -> Noise {
    let mut noise = Noise::new(seed);
    while noise.frames() < frames {
        noise.round(10);
    }
    // Every way was tried, and commands came through all the same.
    assert!(noise.counts.iter().all(|count| *count > frames / 20));
    assert!(noise.commands > frames / 40, "{}", noise.commands);
    assert!(u64::from(noise.rig.session.dropped()) > frames / 4);
    noise
}

#[test]
fn noise_gives_no_command_that_was_not_sent() {
    for seed in 0..4 {
        run(seed, 10_000);
    }
}

/// Thousands set apart.
fn thousands(number: u64) -> Text {
    let digits = format!("{number}");
    let mut text = Text::new();
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place) % 3 == 0 {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// The table on the page: `UPDATE=1 cargo test --release -p firmware-core --lib noise -- --ignored`.
#[test]
#[ignore = "minutes: ten million frames"]
fn ten_million_frames_give_no_command_that_was_not_sent() {
    let noise = run(14, 10_000_000);
    let mut rows = Text::from("| what the line did | frames |\n|---|---|\n");
    for (way, count) in WAYS.iter().zip(noise.counts) {
        rows += &format!("| {way} | {} |\n", thousands(count));
    }
    for (what, count) in [
        ("frames in all", noise.frames()),
        (
            "dropped by the deframer",
            u64::from(noise.rig.session.dropped()),
        ),
        ("sessions", u64::from(noise.sessions)),
        ("requests, each answered when it came in full", noise.rounds),
        (
            "commands given to a tick, each sent, none twice",
            noise.commands,
        ),
        ("commands given that were not sent", 0),
    ] {
        rows += &format!("| {what} | {} |\n", thousands(count));
    }
    let (before, rest) = crate::link::page::PAGE
        .split_once("<!-- generated: noise -->\n")
        .expect("the block");
    let (found, after) = rest.split_once("<!-- end -->").expect("its end");
    if std::env::var_os("UPDATE").is_some() {
        let page = format!("{before}<!-- generated: noise -->\n{rows}<!-- end -->{after}");
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/link.md");
        std::fs::write(path, page).expect("the page");
    } else {
        assert_eq!(found, rows);
    }
}
