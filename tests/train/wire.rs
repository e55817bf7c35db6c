//! Ports to a controller that is not in this process's hands: everything crosses as bytes, and this side knows only what came over.

use firmware_core::controller::Controller;
use firmware_core::events::Event;
use firmware_core::interlock::Alarms;
use firmware_core::process_image::{Inputs, Outputs};
use firmware_core::sequence::{Command, Refusal, Request};
use firmware_core::status::Status;
use std::sync::mpsc::{Receiver, Sender, channel};
use twinplate_sim::bench::{Answer, ControllerPort, InProcess, PortError};

/// What goes to the controller: a tick, or `None` for its power off and on.
type Ask = Option<(Inputs, Option<Command>, Option<Request>)>;

/// What comes back. Events come along with the answer, so that they cost no exchange of their own.
type Told = (Outputs, Status, Alarms, Option<Refusal>, Vec<Event>);

/// What carries bytes there and back.
pub trait Line: Sized {
    /// One message there, its answer back.
    fn carry(&mut self, message: Vec<u8>) -> Option<Vec<u8>>;
    /// A line to a second controller in the same state; `None` where there is no second one.
    fn second(&mut self) -> Option<Self>;
}

/// A port over a line.
pub struct Wire<L> {
    line: L,
    told: Option<Told>,
    events: Vec<Event>,
}

impl<L: Line> Wire<L> {
    pub fn new(line: L) -> Self {
        Self {
            line,
            told: None,
            events: Vec::new(),
        }
    }

    fn ask(&mut self, ask: &Ask) -> Result<Option<Told>, PortError> {
        let at = || "the other end of the wire".to_owned();
        let message = serde_json::to_vec(ask).expect("JSON");
        let answer = self.line.carry(message);
        let answer = answer.ok_or_else(|| PortError::Lost { at: at() })?;
        serde_json::from_slice(&answer).map_err(|error| PortError::Protocol {
            at: at(),
            what: error.to_string(),
        })
    }
}

const fn answer((outputs, status, alarms, refusal, _): &Told) -> Answer<'_> {
    Answer {
        outputs,
        status,
        alarms,
        refusal: *refusal,
    }
}

impl<L: Line> ControllerPort for Wire<L> {
    fn exchange(
        &mut self,
        inputs: &Inputs,
        command: Option<Command>,
        request: Option<&Request>,
    ) -> Result<Answer<'_>, PortError> {
        let told = self
            .ask(&Some((*inputs, command, request.cloned())))?
            .expect("a tick is answered");
        self.events.extend(&told.4);
        Ok(answer(self.told.insert(told)))
    }

    fn answer(&self) -> Option<Answer<'_>> {
        self.told.as_ref().map(answer)
    }

    fn events(&mut self, take: &mut dyn FnMut(&Event)) -> Result<u32, PortError> {
        self.events.drain(..).for_each(|event| take(&event));
        Ok(0)
    }

    fn power_returns(&mut self) -> Result<(), PortError> {
        self.ask(&None).map(drop)
    }

    fn fork(&mut self) -> Result<Option<Self>, PortError> {
        Ok(self.line.second().map(|line| Self {
            line,
            told: self.told.clone(),
            events: self.events.clone(),
        }))
    }
}

/// The far side: a controller that is told in bytes and answers in bytes.
#[derive(Clone)]
pub struct Far {
    controller: Controller,
    read: u32,
}

impl Far {
    pub fn new(port: &InProcess) -> Self {
        Self {
            controller: port.controller().clone(),
            read: 0,
        }
    }

    fn told(&mut self, message: &[u8]) -> Option<Told> {
        let ask: Ask = serde_json::from_slice(message).expect("a message of this protocol");
        let Some((inputs, command, request)) = ask else {
            let boots = self.controller.status().boots.wrapping_add(1);
            self.controller = Controller::new(self.controller.params().clone(), boots);
            self.read = 0;
            return None;
        };
        let refusal = request.and_then(|request| self.controller.request(&request).err());
        self.controller.tick(&inputs, command);
        let log = self.controller.events();
        let events = log.since(self.read).copied().collect();
        self.read = log.written();
        Some((
            *self.controller.outputs(),
            *self.controller.status(),
            *self.controller.alarms(),
            refusal,
            events,
        ))
    }
}

impl Line for Far {
    fn carry(&mut self, message: Vec<u8>) -> Option<Vec<u8>> {
        serde_json::to_vec(&self.told(&message)).ok()
    }

    fn second(&mut self) -> Option<Self> {
        Some(self.clone())
    }
}

/// A board: there is one, and nobody can make a second in its state.
pub struct Board(pub Far);

impl Line for Board {
    fn carry(&mut self, message: Vec<u8>) -> Option<Vec<u8>> {
        self.0.carry(message)
    }

    fn second(&mut self) -> Option<Self> {
        None
    }
}

/// What a thread with a controller can be asked.
enum ToThread {
    Message(Vec<u8>),
    Second(Sender<Thread>),
}

/// A controller on a thread of its own, behind two channels. The thread ends when the line is dropped.
pub struct Thread {
    to: Sender<ToThread>,
    from: Receiver<Vec<u8>>,
}

impl Thread {
    pub fn new(mut far: Far) -> Self {
        let (to, orders) = channel();
        let (answers, from) = channel();
        std::thread::spawn(move || {
            for order in orders {
                // Whoever asked may be gone: then no more orders come.
                match order {
                    ToThread::Message(message) => {
                        let _ = far.carry(message).map(|answer| answers.send(answer));
                    }
                    ToThread::Second(back) => drop(back.send(Self::new(far.clone()))),
                }
            }
        });
        Self { to, from }
    }
}

impl Line for Thread {
    fn carry(&mut self, message: Vec<u8>) -> Option<Vec<u8>> {
        self.to.send(ToThread::Message(message)).ok()?;
        self.from.recv().ok()
    }

    fn second(&mut self) -> Option<Self> {
        let (back, second) = channel();
        self.to.send(ToThread::Second(back)).ok()?;
        second.recv().ok()
    }
}
