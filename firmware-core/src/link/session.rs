//! The controller's side of the link: frames in, at most one command for the next tick, frames out.
//!
//! Whoever runs the tick calls, each time: [`Session::hear`] with what came in, [`Session::command`] for the tick, and after it
//! [`Session::ticked`]. [`Session::is_open`] is the process image's `link_alive`.
//!
//! A request is done once. Its number is the last one and one more; the last one again gets the old reply again, if it is the same
//! request to the byte; any other number is refused and does nothing. Numbers count in a session, and each session has a number that no
//! other had since the controller's first power-up (they wrap after 65,536 boots, or as many hellos in one).

use super::frame::{Body, Deframer, MAX_FRAME, write};
use super::message::{
    Ask, Entry, EventWire, Head, LEAST_PERIOD, LINK_VERSION, LinkRefusal, MAX_EVENTS, ROLE_REPLY,
    ROLE_REQUEST, ROLE_TELEMETRY, Reason, Reply, Report, Telemetry, needs_arming,
};
use super::slots::{SlotFault, Slots};
use crate::controller::Controller;
use crate::events::EventKind;
use crate::sequence::{Command, Refusal, Request};
use crate::units::Ticks;
use heapless::Vec;

/// Where frames go, whole ones.
pub type Out<'a> = &'a mut dyn FnMut(&[u8]);

/// A session that is open.
#[derive(Clone, Copy, Debug)]
struct Opened {
    session: u32,
    nonce: u32,
    /// The last request's number and checksum; none before the first.
    last: u32,
    crc: Option<u32>,
    /// Ticks since a request was heard.
    silent: u32,
    /// Ticks between two frames of telemetry, 0 for none, and until the next.
    every: u16,
    due: u16,
    /// Remote start was armed while this session stood.
    armed: bool,
}

/// A command on its way through the tick.
#[derive(Clone, Copy, Debug)]
struct Given {
    head: Head,
    command: Command,
    /// Where it is.
    at: Stage,
}

/// Where a command is.
#[derive(Clone, Copy, Debug)]
enum Stage {
    /// It waits for its tick.
    Waits,
    /// It is in the tick; running number of that tick's first event.
    Acts(u32),
    /// The arming was lost before its tick came.
    Disarmed,
}

/// One line's session.
#[derive(Clone, Debug)]
pub struct Session {
    deframer: Deframer,
    talk: Talk,
}

/// Everything but the bytes that came in.
#[derive(Clone, Debug)]
struct Talk {
    /// Number of the next session.
    next: u32,
    silence: Ticks,
    opened: Option<Opened>,
    given: Option<Given>,
    /// Remote start was armed after the last tick.
    armed: bool,
    /// The reply to the last request, as it went out; empty while there is none.
    kept: [u8; MAX_FRAME],
    kept_len: usize,
}

impl Session {
    /// A line on which nobody has spoken. `first` is the number of its first session: lines of one controller begin apart. `silence` is
    /// how long a session stands without a request.
    #[must_use]
    pub const fn new(controller: &Controller, first: u16, silence: Ticks) -> Self {
        let boots = controller.status().boots as u32;
        Self {
            deframer: Deframer::new(),
            talk: Talk {
                next: boots.wrapping_shl(16) | first as u32,
                silence,
                opened: None,
                given: None,
                armed: controller.remote_armed(),
                kept: [0; MAX_FRAME],
                kept_len: 0,
            },
        }
    }

    /// A session stands: somebody said hello and was heard of since.
    #[must_use]
    pub const fn is_open(&self) -> bool {
        self.talk.opened.is_some()
    }

    /// Frames dropped since the beginning.
    #[must_use]
    pub const fn dropped(&self) -> u32 {
        self.deframer.dropped()
    }

    /// Takes bytes from the line. Everything but a command is done and answered here, between two ticks.
    pub fn hear(
        &mut self,
        bytes: &[u8],
        controller: &mut Controller,
        slots: &mut dyn Slots,
        out: Out<'_>,
    ) {
        for byte in bytes {
            if let Some(body) = self.deframer.hear(*byte) {
                self.talk.take(body, controller, slots, out);
            }
        }
    }

    /// The command for the tick that comes, if there is one. Where the panel gives one in that tick, do not ask: it waits.
    pub fn command(&mut self, controller: &mut Controller) -> Option<Command> {
        let armed = self.talk.opened.is_some_and(|opened| opened.armed);
        let given = self.talk.given.as_mut()?;
        // It was armed when the command came; what the panel did since counts.
        if needs_arming(given.command) && !(armed && controller.remote_armed()) {
            given.at = Stage::Disarmed;
            return None;
        }
        controller.told_by_link(given.command);
        given.at = Stage::Acts(controller.events().written());
        Some(given.command)
    }

    /// To be called after each tick: answers the command, sends telemetry, and counts the silence.
    pub fn ticked(&mut self, controller: &mut Controller, out: Out<'_>) {
        self.talk.answer_command(controller, out);
        self.talk.follow_arming(controller);
        self.talk.pass_time(controller, out);
    }

    /// The line is gone: the session ends, and what was armed for it is no longer.
    pub fn lost(&mut self, controller: &mut Controller) {
        self.talk.close(controller);
    }
}

impl Talk {
    fn take(
        &mut self,
        body: Body<'_>,
        controller: &mut Controller,
        slots: &mut dyn Slots,
        out: Out<'_>,
    ) {
        let Ok((head, rest)) = postcard::take_from_bytes::<Head>(body.bytes) else {
            return;
        };
        if head.role != ROLE_REQUEST {
            return;
        }
        let ask = match postcard::take_from_bytes::<Ask>(rest) {
            Ok((ask, [])) => ask,
            Ok(_) | Err(_) => {
                return refuse(head, LinkRefusal::NotUnderstood, 0, out);
            }
        };
        if let Ask::Hello { version, nonce } = ask {
            return self.hello(head, (version, nonce), controller, slots, out);
        }
        let Some(opened) = self
            .opened
            .as_mut()
            .filter(|opened| opened.session == head.session)
        else {
            return refuse(head, LinkRefusal::NoSession, 0, out);
        };
        let next = opened.last.wrapping_add(1);
        if head.number == opened.last && opened.crc == Some(body.crc) {
            // The reply was lost, or is not there yet. Silence is not broken by an echo of what was said long ago.
            if let Some(kept) = self.kept.get(..self.kept_len).filter(|k| !k.is_empty()) {
                out(kept);
            }
            return;
        }
        if head.number != next {
            return refuse(head, LinkRefusal::OutOfSequence, next, out);
        }
        if self.given.is_some() {
            // One thing at a time: it is asked again when its reply does not come.
            return;
        }
        (opened.last, opened.crc, opened.silent) = (head.number, Some(body.crc), 0);
        self.kept_len = 0;
        if let Some(reply) = self.act(head, &ask, controller, slots) {
            self.reply(head, &reply, out);
        }
    }

    fn hello(
        &mut self,
        head: Head,
        (version, nonce): (u16, u32),
        controller: &mut Controller,
        slots: &dyn Slots,
        out: Out<'_>,
    ) {
        if version != LINK_VERSION {
            let detail = u32::from(LINK_VERSION);
            return refuse(head, LinkRefusal::WrongVersion, detail, out);
        }
        // The same hello again opens nothing: its reply was lost, or the line said it twice.
        let again = self.opened.filter(|opened| opened.nonce == nonce);
        let session = again.map_or(self.next, |opened| opened.session);
        if again.is_none() {
            self.close(controller);
            self.next = self.next.wrapping_add(1);
            self.opened = Some(Opened {
                session,
                nonce,
                last: 0,
                crc: None,
                silent: 0,
                every: 0,
                due: 0,
                armed: false,
            });
        }
        let welcome = Reply::Welcome {
            version: LINK_VERSION,
            nonce,
            session,
            machine_id: controller.params().get().machine_id,
            params_hash: controller.params().hash(),
            boots: controller.status().boots,
            slots: slots.count(),
            silence: self.silence,
        };
        let mut frame = [0; SMALL_FRAME];
        send(head, &welcome, &mut frame, out);
    }

    /// Does what is asked; no reply yet for a command.
    fn act(
        &mut self,
        head: Head,
        ask: &Ask,
        controller: &mut Controller,
        slots: &mut dyn Slots,
    ) -> Option<Reply> {
        let armed = self.is_armed(controller);
        Some(match ask {
            // Taken before.
            Ask::Hello { .. } => return None,
            Ask::ReadState => Reply::State(self.report(controller)),
            Ask::List { from } => listed(*from, slots),
            Ask::Recall { slot } => match slots.get(*slot) {
                Ok(recipe) => done(controller.request(&Request::LoadRecipe(recipe))),
                Err(fault) => slot_refused(fault, slots),
            },
            Ask::Put { .. } | Ask::Erase { .. } if !controller.is_resting() => {
                done(Err(Refusal::WrongState))
            }
            Ask::Put { slot, recipe } => match recipe.sound(controller.params()) {
                Some(_) => stored(slots.put(*slot, recipe), slots),
                None => done(Err(Refusal::RecipeInvalid)),
            },
            Ask::Get { slot } => match slots.get(*slot) {
                Ok(recipe) => Reply::Recipe { recipe },
                Err(fault) => slot_refused(fault, slots),
            },
            Ask::Erase { slot } => stored(slots.erase(*slot), slots),
            Ask::Do { command } => match Command::numbered(u16::from(*command)) {
                None => refused(LinkRefusal::NoSuchCommand, 0),
                Some(command) if needs_arming(command) && !armed => {
                    refused(LinkRefusal::NotArmed, 0)
                }
                Some(command) => {
                    let at = Stage::Waits;
                    self.given = Some(Given { head, command, at });
                    return None;
                }
            },
            Ask::Acknowledge => done(controller.request(&Request::Acknowledge)),
            Ask::ReadEvents { since } => events(*since, controller),
            Ask::SetGains { .. } if !armed => refused(LinkRefusal::NotArmed, 0),
            Ask::SetGains {
                kc,
                ti,
                setpoint_weight,
            } => done(controller.set_gains(*kc, *ti, *setpoint_weight)),
            Ask::Subscribe { every } if (1..LEAST_PERIOD).contains(every) => {
                refused(LinkRefusal::TooOften, u32::from(LEAST_PERIOD))
            }
            Ask::Subscribe { every } => {
                if let Some(opened) = &mut self.opened {
                    (opened.every, opened.due) = (*every, *every);
                }
                Reply::Done
            }
        })
    }

    fn is_armed(&self, controller: &Controller) -> bool {
        controller.remote_armed() && self.opened.is_some_and(|opened| opened.armed)
    }

    fn report(&self, controller: &Controller) -> Report {
        Report {
            status: *controller.status(),
            armed: self.is_armed(controller),
            batches: controller.batches(),
            next_event: controller.events().written(),
        }
    }

    /// Sends a reply and keeps it.
    fn reply(&mut self, head: Head, reply: &Reply, out: Out<'_>) {
        self.kept_len = send(head, reply, &mut self.kept, out);
    }

    fn answer_command(&mut self, controller: &Controller, out: Out<'_>) {
        let Some(given) = self.given else { return };
        let reply = match given.at {
            Stage::Waits => return,
            Stage::Disarmed => refused(LinkRefusal::NotArmed, 0),
            Stage::Acts(from) => controller
                .events()
                .since(from)
                .find(|event| event.kind == EventKind::Refused)
                .map_or(Reply::Done, |event| Reply::Refused {
                    reason: u16::try_from(event.detail).unwrap_or_default(),
                    detail: 0,
                }),
        };
        self.given = None;
        self.reply(given.head, &reply, out);
    }

    /// Arming is for the sessions that stand when it comes.
    fn follow_arming(&mut self, controller: &Controller) {
        let armed = controller.remote_armed();
        if let Some(opened) = &mut self.opened {
            opened.armed = armed && (opened.armed || !self.armed);
        }
        self.armed = armed;
    }

    fn pass_time(&mut self, controller: &mut Controller, out: Out<'_>) {
        let report = self.report(controller);
        let Some(opened) = &mut self.opened else {
            return;
        };
        opened.silent = opened.silent.saturating_add(1);
        if Ticks(opened.silent) > self.silence {
            return self.close(controller);
        }
        if opened.every == 0 {
            return;
        }
        opened.due = opened.due.saturating_sub(1);
        if opened.due > 0 {
            return;
        }
        opened.due = opened.every;
        let telemetry = Telemetry {
            role: ROLE_TELEMETRY,
            session: opened.session,
            report,
        };
        let mut frame = [0; SMALL_FRAME];
        if let Some(frame) = write(&telemetry, &mut frame)
            .ok()
            .and_then(|len| frame.get(..len))
        {
            out(frame);
        }
    }

    fn close(&mut self, controller: &mut Controller) {
        let armed = self.is_armed(controller);
        self.opened = None;
        if armed {
            // Disarming is never refused.
            let _ = controller.request(&Request::ArmRemote(false));
            self.armed = false;
        }
    }
}

/// Room for a frame with anything but a recipe or a list: a state is the largest of them.
const SMALL_FRAME: usize = 256;

/// Sends a reply in a buffer of its own; gives the frame's length.
fn send(head: Head, reply: &Reply, frame: &mut [u8], out: Out<'_>) -> usize {
    let head = Head {
        role: ROLE_REPLY,
        ..head
    };
    let len = write(&(head, reply), frame).unwrap_or_default();
    if let Some(frame) = frame.get(..len).filter(|frame| !frame.is_empty()) {
        out(frame);
    }
    len
}

/// Refuses what is no request of this session's turn: the reply kept for the last one stays.
fn refuse(head: Head, why: LinkRefusal, detail: u32, out: Out<'_>) {
    let mut frame = [0; SMALL_FRAME];
    send(head, &refused(why, detail), &mut frame, out);
}

const fn refused(why: LinkRefusal, detail: u32) -> Reply {
    Reply::Refused {
        reason: Reason::Link(why).number(),
        detail,
    }
}

fn done(result: Result<(), Refusal>) -> Reply {
    result.map_or_else(
        |refusal| Reply::Refused {
            reason: Reason::Core(refusal).number(),
            detail: 0,
        },
        |()| Reply::Done,
    )
}

fn stored(result: Result<(), SlotFault>, slots: &dyn Slots) -> Reply {
    result.map_or_else(|fault| slot_refused(fault, slots), |()| Reply::Done)
}

fn slot_refused(fault: SlotFault, slots: &dyn Slots) -> Reply {
    match fault {
        SlotFault::NoSuch => refused(LinkRefusal::NoSuchSlot, u32::from(slots.count())),
        SlotFault::Empty => refused(LinkRefusal::EmptySlot, 0),
        SlotFault::Failed => refused(LinkRefusal::StoreFailed, 0),
    }
}

fn listed(from: u8, slots: &mut dyn Slots) -> Reply {
    let mut entries = Vec::new();
    for slot in from..=slots.count() {
        match slots.name(slot) {
            Ok(name) => {
                if entries.push(Entry { slot, name }).is_err() {
                    break;
                }
            }
            Err(SlotFault::Failed) => return slot_refused(SlotFault::Failed, slots),
            Err(SlotFault::Empty | SlotFault::NoSuch) => {}
        }
    }
    Reply::Listed { entries }
}

fn events(since: u32, controller: &Controller) -> Reply {
    let log = controller.events();
    let wanted = log.written().wrapping_sub(since);
    let kept = u32::try_from(log.since(since).count()).unwrap_or(u32::MAX);
    let mut events: Vec<EventWire, MAX_EVENTS> = Vec::new();
    let mut next = log.written().wrapping_sub(kept);
    for event in log.since(since) {
        if events.push(EventWire::from(event)).is_err() {
            break;
        }
        next = next.wrapping_add(1);
    }
    Reply::Events {
        next,
        lost: wanted.saturating_sub(kept),
        events,
    }
}

#[cfg(test)]
mod noise;
#[cfg(test)]
mod rig;
#[cfg(test)]
mod tests;
