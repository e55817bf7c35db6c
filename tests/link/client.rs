//! The Rust client, on a line that loses and spoils, and the port that it speaks to.

use crate::served::{Served, short};
use firmware_core::events::EventKind;
use firmware_core::link::frame::{MAX_FRAME, write};
use firmware_core::link::message::{Ask, Head, LINK_VERSION, LinkRefusal, ROLE_REQUEST, Reason};
use firmware_core::process_image::Inputs;
use firmware_core::sequence::{Command, Refusal};
use firmware_core::store::Store;
use firmware_core::units::{PerNewton, Ratio, Seconds, Ticks};
use std::io::{Read, Result, Write};
use std::net::TcpStream;
use std::path::Path;
use std::time::Duration;
use twinplate_link::client::{Client, LinkError};
use twinplate_link::hub::Lines as _;
use twinplate_link::port::Linked;
use twinplate_sim::bench::{ControllerPort, Job, NoRecorder, run};
use twinplate_sim::files::{Overrides, load_set};
use twinplate_sim::flash::Flash;

/// A line that loses every third frame that goes, says every fourth twice, and spoils a bit in every fifth piece that comes.
struct Lossy {
    stream: TcpStream,
    gone: u32,
    came: u32,
}

impl Write for Lossy {
    fn write(&mut self, frame: &[u8]) -> Result<usize> {
        self.gone += 1;
        let times = match self.gone {
            n if n % 3 == 0 => 0,
            n if n % 4 == 0 => 2,
            _ => 1,
        };
        for _ in 0..times {
            self.stream.write_all(frame)?;
        }
        Ok(frame.len())
    }

    fn flush(&mut self) -> Result<()> {
        self.stream.flush()
    }
}

impl Read for Lossy {
    fn read(&mut self, into: &mut [u8]) -> Result<usize> {
        let len = self.stream.read(into)?;
        self.came += 1;
        if self.came.is_multiple_of(5)
            && let Some(byte) = into[..len].last_mut()
        {
            *byte ^= 0x10;
        }
        Ok(len)
    }
}

/// An empty store.
fn store() -> Store<Flash> {
    Store::open(Flash::erased()).expect("a flash of its own")
}

/// By the clock, whatever the pace: a host that a busy computer holds up for longer than two seconds keeps its session where it is said.
#[test]
fn a_session_stands_as_long_as_serve_was_told() {
    for (more, seconds) in [(&[][..], 2), (&["--silence", "60"], 60)] {
        let served = Served::paced(&short("silence"), "5x", more);
        let stream = TcpStream::connect(&served.address).expect("it listens");
        let look = Some(Duration::from_millis(20));
        stream.set_read_timeout(look).expect("a timeout");
        let client = Client::on(stream, 1).expect("welcome");
        assert_eq!(client.welcome().silence, Ticks(seconds * 1_000 * 5));
    }
}

#[test]
fn on_a_line_that_loses_and_spoils_each_request_is_done_once() {
    let served = Served::paced(&short("lossy"), "20x", &[]);
    served.wait_for("Idle", 1);
    let stream = TcpStream::connect(&served.address).expect("it listens");
    let look = Some(Duration::from_millis(20));
    stream.set_read_timeout(look).expect("a timeout");
    let line = Lossy {
        stream,
        gone: 0,
        came: 0,
    };
    let mut client = Client::on(line, 1).expect("welcome");
    assert_eq!(client.welcome().slots, firmware_core::store::SLOTS);
    let recipe = client.get(1).expect("stored");
    assert_eq!(client.put(7, recipe.clone()), Ok(()));
    assert_eq!(client.get(7), Ok(recipe));
    let before = client.state().expect("a state").next_event;
    let refused = Err(LinkError::Refused {
        reason: Reason::Core(Refusal::WrongState),
        detail: 0,
    });
    for _ in 0..6 {
        assert_eq!(client.command(Command::Hold), refused);
    }
    let (events, lost, _) = client.events(before).expect("events");
    let by_link = events
        .iter()
        .filter_map(|event| event.event())
        .filter(|event| event.kind == EventKind::ByLink);
    assert_eq!((by_link.count(), lost), (6, 0), "{events:?}");
    let gains = client.set_gains(PerNewton::new(0.001), Seconds::new(0.2), Ratio::new(1.0));
    assert_eq!(
        gains,
        Err(LinkError::Refused {
            reason: Reason::Link(LinkRefusal::NotArmed),
            detail: 0
        })
    );
    client.subscribe(50).expect("taken");
    let until = client.state().expect("a state").status.tick;
    client.state().expect("a state");
    assert!(client.reports().any(|report| report.status.tick >= until));
}

fn job(recipe: &Path) -> Job {
    let set = load_set(recipe, &Overrides::default()).expect("good files");
    Job::of(&set, None).expect("compiles")
}

/// Whether there are lines or not changes nothing of what the machine does: the same hash of every tick's outputs and status.
#[test]
fn a_machine_on_lines_runs_as_one_without() {
    let job = job(&short("hash"));
    let setup = job.nominal(1);
    let without = run(setup.controller(), &setup, None, NoRecorder).expect("in process");
    let mut port = Linked::new(job.params.clone(), store(), Ticks(2_000));
    let line = port.open().expect("a line");
    port.bring(line, &[0, 1, 2, 3, 0, 0xFF]);
    let with = run(port, &setup, None, NoRecorder).expect("in process");
    assert_eq!(with.control_hash, without.control_hash);
    assert_eq!(
        format!("{:?}", with.summary),
        format!("{:?}", without.summary)
    );
}

fn framed(session: u32, number: u32, ask: &Ask) -> Vec<u8> {
    let head = Head {
        role: ROLE_REQUEST,
        session,
        number,
    };
    let mut out = [0; MAX_FRAME];
    let len = write(&(head, ask), &mut out).expect("room");
    out[..len].to_vec()
}

/// The power goes: the session that was is over, and what it still says is refused.
#[test]
fn a_session_does_not_outlive_the_controllers_power() {
    let job = job(&short("power"));
    let mut port = Linked::new(job.params.clone(), store(), Ticks(2_000));
    let line = port.open().expect("a line");
    let said = |port: &mut Linked, frame: &[u8]| {
        port.bring(line, frame);
        let inputs = Inputs::default();
        port.exchange(&inputs, None, None).expect("in process");
        port.take(line)
    };
    let version = LINK_VERSION;
    let welcome = said(&mut port, &framed(0, 0, &Ask::Hello { version, nonce: 7 }));
    assert!(!welcome.is_empty());
    let session = 65_537;
    let state = said(&mut port, &framed(session, 1, &Ask::ReadState));
    assert!(state.len() > 50, "{state:?}");
    port.power_returns().expect("in process");
    assert_eq!(port.controller().status().boots, 2);
    let refused = said(&mut port, &framed(session, 2, &Ask::Do { command: 5 }));
    assert!(
        refused.contains(&(LinkRefusal::NoSession as u8)),
        "{refused:?}"
    );
}

/// After it the lines' numbers begin apart again: no frame of one line's session fits another's.
#[test]
fn lines_begin_apart_after_a_loss_of_power_too() {
    let job = job(&short("apart"));
    let mut port = Linked::new(job.params.clone(), store(), Ticks(2_000));
    let lines = [0; 2].map(|_| port.open().expect("a line"));
    for _ in 0..2 {
        let version = LINK_VERSION;
        let hello = framed(0, 0, &Ask::Hello { version, nonce: 7 });
        lines.iter().for_each(|line| port.bring(*line, &hello));
        port.exchange(&Inputs::default(), None, None)
            .expect("in process");
        let [one, other] = lines.map(|line| port.take(line));
        assert!(!one.is_empty() && !other.is_empty());
        // The same welcome but for the session's number.
        assert_ne!(one, other);
        port.power_returns().expect("in process");
    }
}
