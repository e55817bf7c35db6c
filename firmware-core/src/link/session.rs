//! The controller's side of the link: frames in, at most one command for the next tick, frames out.
//!
//! Whoever runs the tick calls, each time: [`Session::hear`] with what came in, [`Session::command`] for the tick, and after it
//! [`Session::ticked`]. [`Session::is_open`] is the process image's `link_alive`.
//!
//! A request is done once. Its number is the last one and one more; the last one again gets the old reply again, if it is the same
//! request to the byte; any other number is refused and does nothing. Numbers count in a session, and each session has a number that no
//! other had since the controller's first power-up (they wrap after 65,536 boots, or as many hellos in one).

mod said;

use super::frame::{Body, Deframer, MAX_FRAME};
use super::message::{
    Head, LEAST_PERIOD, LINK_VERSION, LinkRefusal, ROLE_REQUEST, ROLE_TELEMETRY, Report, Telemetry,
    needs_arming,
};
use super::slots::Slots;
use crate::controller::Controller;
use crate::events::EventKind;
use crate::sequence::{Command, Refusal};
use crate::units::Ticks;
use said::{
    Ask, Reply, SMALL_FRAME, done, events, listed, recall, refuse, refused, send, send_telemetry,
    slot_refused, stored, understood,
};

/// Where frames go.
pub trait Out {
    /// Takes a whole frame.
    fn frame(&mut self, frame: &[u8]);
}

impl<F: FnMut(&[u8]) + ?Sized> Out for F {
    fn frame(&mut self, frame: &[u8]) {
        self(frame);
    }
}

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
    pub fn hear<S: Slots + ?Sized, O: Out + ?Sized>(
        &mut self,
        bytes: &[u8],
        controller: &mut Controller,
        slots: &mut S,
        out: &mut O,
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
    pub fn ticked<O: Out + ?Sized>(&mut self, controller: &mut Controller, out: &mut O) {
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
    fn take<S: Slots + ?Sized, O: Out + ?Sized>(
        &mut self,
        body: Body<'_>,
        controller: &mut Controller,
        slots: &mut S,
        out: &mut O,
    ) {
        let Ok((head, rest)) = postcard::take_from_bytes::<Head>(body.bytes) else {
            return;
        };
        if head.role != ROLE_REQUEST {
            return;
        }
        let Some(ask) = understood(rest, slots) else {
            return refuse(head, LinkRefusal::NotUnderstood, 0, out);
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
                out.frame(kept);
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

    fn hello<S: Slots + ?Sized, O: Out + ?Sized>(
        &mut self,
        head: Head,
        (version, nonce): (u16, u32),
        controller: &mut Controller,
        slots: &S,
        out: &mut O,
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
    fn act<'a, S: Slots + ?Sized>(
        &mut self,
        head: Head,
        ask: &Ask,
        controller: &mut Controller,
        slots: &'a mut S,
    ) -> Option<Reply<'a>> {
        let armed = self.is_armed(controller);
        let count = slots.count();
        Some(match ask {
            // Taken before.
            Ask::Hello { .. } => return None,
            Ask::ReadState => Reply::State(self.report(controller)),
            Ask::List { from } => listed(*from, slots),
            // Refused, and the memory is not asked: that may take longer than a tick has.
            Ask::Recall { .. } if !controller.is_resting() => done(controller.load(None)),
            Ask::Recall { slot } => match recall(*slot, controller, slots) {
                Ok(result) => done(result),
                Err(fault) => slot_refused(fault, count),
            },
            Ask::Put { .. } | Ask::Erase { .. } if !controller.is_resting() => {
                done(Err(Refusal::WrongState))
            }
            Ask::Put { slot, .. } => match slots.place().sound(controller.params()) {
                Some(_) => stored(slots.put(*slot), count),
                None => done(Err(Refusal::RecipeInvalid)),
            },
            Ask::Get { slot } => match slots.get(*slot) {
                Ok(recipe) => Reply::Recipe { recipe },
                Err(fault) => slot_refused(fault, count),
            },
            Ask::Erase { slot } => stored(slots.erase(*slot), count),
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
            Ask::Acknowledge => {
                controller.acknowledge();
                Reply::Done
            }
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
    fn reply<O: Out + ?Sized>(&mut self, head: Head, reply: &Reply<'_>, out: &mut O) {
        self.kept_len = send(head, reply, &mut self.kept, out);
    }

    fn answer_command<O: Out + ?Sized>(&mut self, controller: &Controller, out: &mut O) {
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

    fn pass_time<O: Out + ?Sized>(&mut self, controller: &mut Controller, out: &mut O) {
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
        let session = opened.session;
        let telemetry = Telemetry {
            role: ROLE_TELEMETRY,
            session,
            report: self.report(controller),
        };
        send_telemetry(&telemetry, out);
    }

    fn close(&mut self, controller: &mut Controller) {
        let armed = self.is_armed(controller);
        self.opened = None;
        if armed {
            controller.disarm_remote();
            self.armed = false;
        }
    }
}

#[cfg(test)]
mod noise;
#[cfg(test)]
mod rig;
#[cfg(test)]
mod tests;
