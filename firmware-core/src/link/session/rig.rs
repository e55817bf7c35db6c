//! A machine at the end of a line, its memory for recipes, and the line's other end.

use super::*;
use crate::events::Event;
use crate::link::frame::{MAX_FRAME, write};
use crate::link::message::{Ask, ROLE_REPLY, Reply};
use crate::link::slots::SlotFault;
use crate::process_image::Inputs;
use crate::recipe::RecipeWire;
use crate::sequence::{Request, State};
use heapless::String;
use std::vec::Vec as List;

/// A memory for recipes.
#[derive(Clone, Debug)]
pub(super) struct Memory {
    pub(super) stored: [Option<RecipeWire>; 20],
    pub(super) fails: bool,
    /// How often a slot was asked for.
    pub(super) asked: u32,
    place: RecipeWire,
    /// Slot of what was loaded last.
    pub(super) loaded: Option<u8>,
}

impl Memory {
    pub(super) const fn new() -> Self {
        Self {
            stored: [const { None }; 20],
            fails: false,
            asked: 0,
            place: RecipeWire::EMPTY,
            loaded: None,
        }
    }

    fn slot(&mut self, slot: u8) -> Result<&mut Option<RecipeWire>, SlotFault> {
        self.asked += 1;
        if self.fails {
            return Err(SlotFault::Failed);
        }
        let place = usize::from(slot).checked_sub(1);
        place
            .and_then(|place| self.stored.get_mut(place))
            .ok_or(SlotFault::NoSuch)
    }
}

impl Slots for Memory {
    fn count(&self) -> u8 {
        20
    }
    fn name(&mut self, slot: u8) -> Result<String<24>, SlotFault> {
        let stored = self.slot(slot)?.as_ref();
        stored
            .map(|recipe| recipe.name.clone())
            .ok_or(SlotFault::Empty)
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
    fn loaded(&mut self, slot: u8) {
        self.loaded = Some(slot);
    }
}

pub(super) const SILENCE: Ticks = Ticks(2_000);

/// A machine at the end of a line, and the line's other end.
#[derive(Clone, Debug)]
pub(super) struct Rig {
    pub(super) controller: Controller,
    pub(super) session: Session,
    pub(super) memory: Memory,
    pub(super) inputs: Inputs,
    /// Frames that came back, taken apart.
    pub(super) replies: List<(Head, Reply)>,
    pub(super) telemetry: List<Telemetry>,
    /// Commands that reached a tick.
    pub(super) given: List<Command>,
    pub(super) head: Head,
}

impl Rig {
    pub(super) fn new() -> Self {
        let params = crate::params::tests::sample().check().expect("valid");
        let mut controller = Controller::new(params, 1);
        let inputs = Inputs {
            local_enable: true,
            ..crate::controller::tests::sound()
        };
        controller.tick(&inputs, None);
        Self {
            session: Session::new(&controller, 1, SILENCE),
            controller,
            memory: Memory::new(),
            inputs,
            replies: List::new(),
            telemetry: List::new(),
            given: List::new(),
            head: Head {
                role: ROLE_REQUEST,
                session: 0,
                number: 0,
            },
        }
    }

    /// With a session open and remote start armed, Idle.
    pub(super) fn armed() -> Self {
        let mut rig = Self::new();
        rig.hello(1);
        rig.arm();
        assert_eq!(rig.ask(&Ask::Do { command: 6 }), Some(Reply::Done));
        assert_eq!(rig.controller.status().state, State::Idle);
        rig
    }

    pub(super) fn arm(&mut self) {
        let asked = self.controller.request(&Request::ArmRemote(true));
        assert_eq!(asked, Ok(()));
        self.tick();
    }

    pub(super) fn hear(&mut self, line: &[u8]) {
        let Self {
            session,
            controller,
            memory,
            replies,
            telemetry,
            ..
        } = self;
        let mut take = |frame: &[u8]| sort(frame, replies, telemetry);
        session.hear(line, controller, memory, &mut take);
    }

    pub(super) fn tick(&mut self) {
        let command = self.session.command(&mut self.controller);
        self.given.extend(command);
        self.tick_with(command);
    }

    pub(super) fn tick_with(&mut self, command: Option<Command>) {
        self.inputs.cell_counts ^= 1;
        self.inputs.link_alive = self.session.is_open();
        self.inputs.dump_open = !self.controller.outputs().dump_shut;
        self.controller.tick(&self.inputs, command);
        let Self {
            session,
            controller,
            replies,
            telemetry,
            ..
        } = self;
        let mut take = |frame: &[u8]| sort(frame, replies, telemetry);
        session.ticked(controller, &mut take);
    }

    pub(super) fn frame(&self, head: Head, ask: &Ask) -> List<u8> {
        let mut out = [0; MAX_FRAME];
        let len = write(&(head, ask), &mut out).expect("room");
        out[..len].to_vec()
    }

    pub(super) fn hello(&mut self, nonce: u32) {
        let head = Head {
            role: ROLE_REQUEST,
            session: 0,
            number: 0,
        };
        let version = LINK_VERSION;
        let line = self.frame(head, &Ask::Hello { version, nonce });
        self.replies.clear();
        self.hear(&line);
        let Some((_, Reply::Welcome { session, .. })) = self.replies.pop() else {
            panic!("no welcome");
        };
        self.head = Head { session, ..head };
    }

    /// The next request, and its reply after a tick.
    pub(super) fn ask(&mut self, ask: &Ask) -> Option<Reply> {
        self.head.number += 1;
        self.again(ask)
    }

    pub(super) fn again(&mut self, ask: &Ask) -> Option<Reply> {
        let line = self.frame(self.head, ask);
        self.replies.clear();
        self.hear(&line);
        self.tick();
        let (head, reply) = self.replies.pop()?;
        let expected = Head {
            role: ROLE_REPLY,
            ..self.head
        };
        assert_eq!((head, self.replies.len()), (expected, 0));
        Some(reply)
    }

    pub(super) fn events(&self, kind: EventKind) -> List<Event> {
        let all = self.controller.events().since(0);
        all.filter(|event| event.kind == kind).copied().collect()
    }
}

/// Takes a frame apart as a host does.
fn sort(frame: &[u8], replies: &mut List<(Head, Reply)>, telemetry: &mut List<Telemetry>) {
    let mut deframer = Deframer::new();
    let mut bodies = 0;
    for byte in frame {
        let Some(body) = deframer.hear(*byte) else {
            continue;
        };
        bodies += 1;
        if body.bytes[0] == ROLE_TELEMETRY {
            telemetry.push(postcard::from_bytes(body.bytes).expect("telemetry"));
        } else {
            replies.push(postcard::from_bytes(body.bytes).expect("a reply"));
        }
    }
    assert_eq!((bodies, deframer.dropped()), (1, 0), "one whole frame");
}

/// A host acknowledges as the panel does.
#[test]
fn what_a_host_acknowledges_is_acknowledged() {
    let mut rig = Rig::armed();
    rig.inputs.estop_a = false;
    (0..100).for_each(|_| rig.tick());
    assert_ne!(rig.controller.status().unacknowledged, 0);
    assert_eq!(rig.ask(&Ask::Acknowledge), Some(Reply::Done));
    assert_eq!(rig.controller.status().unacknowledged, 0);
}
