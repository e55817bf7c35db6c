//! What is asked, out of its bytes, and what is answered to it.

use super::super::frame::write;
use super::super::message::{
    Asked, Entry, EventWire, Head, LinkRefusal, MAX_EVENTS, ROLE_REPLY, Reason, Replied, Telemetry,
};
use super::super::slots::{SlotFault, Slots};
use super::Out;
use crate::controller::Controller;
use crate::recipe::RecipeWire;
use crate::sequence::Refusal;
use heapless::Vec;

/// A request, without its recipe: that one is read into its place.
pub(super) type Ask = Asked<()>;
/// A reply, with a recipe that stays in its place.
pub(super) type Reply<'a> = Replied<&'a RecipeWire>;

/// Room for a frame with anything but a recipe or a list: a state is the largest of them.
pub(super) const SMALL_FRAME: usize = 256;

/// Sends a reply in a buffer of its own; gives the frame's length.
pub(super) fn send<O: Out + ?Sized>(
    head: Head,
    reply: &Reply<'_>,
    frame: &mut [u8],
    out: &mut O,
) -> usize {
    let head = Head {
        role: ROLE_REPLY,
        ..head
    };
    let len = framed(head, reply, frame);
    put(frame, len, out);
    len
}

/// Sends a telemetry.
pub(super) fn send_telemetry<O: Out + ?Sized>(telemetry: &Telemetry, out: &mut O) {
    let mut frame = [0; SMALL_FRAME];
    let len = framed_telemetry(telemetry, &mut frame);
    put(&frame, len, out);
}

/// Sends what was framed, where it found room.
fn put<O: Out + ?Sized>(frame: &[u8], len: usize, out: &mut O) {
    if let Some(frame) = frame.get(..len).filter(|frame| !frame.is_empty()) {
        out.frame(frame);
    }
}

/// The frame of a reply; its length. Not generic, so that the code for every kind of value is made once, and with this crate: whatever
/// calls it may be made for size.
#[inline(never)]
fn framed(head: Head, reply: &Reply<'_>, frame: &mut [u8]) -> usize {
    write(&(head, reply), frame).unwrap_or_default()
}

/// The frame of a telemetry; its length. Not generic, as [`framed`] is not.
#[inline(never)]
fn framed_telemetry(telemetry: &Telemetry, frame: &mut [u8]) -> usize {
    write(telemetry, frame).unwrap_or_default()
}

/// Refuses what is no request of this session's turn: the reply kept for the last one stays.
pub(super) fn refuse<O: Out + ?Sized>(head: Head, why: LinkRefusal, detail: u32, out: &mut O) {
    let mut frame = [0; SMALL_FRAME];
    send(head, &refused(why, detail), &mut frame, out);
}

pub(super) const fn refused<'a>(why: LinkRefusal, detail: u32) -> Reply<'a> {
    Reply::Refused {
        reason: Reason::Link(why).number(),
        detail,
    }
}

pub(super) fn done<'a>(result: Result<(), Refusal>) -> Reply<'a> {
    result.map_or_else(
        |refusal| Reply::Refused {
            reason: Reason::Core(refusal).number(),
            detail: 0,
        },
        |()| Reply::Done,
    )
}

/// The request that these bytes are, and nothing behind it. A recipe in it is read into its place.
pub(super) fn understood<S: Slots + ?Sized>(bytes: &[u8], slots: &mut S) -> Option<Ask> {
    let (ask, rest) = postcard::take_from_bytes::<Ask>(bytes).ok()?;
    let rest = if matches!(ask, Ask::Put { .. }) {
        slots.place().read(rest).ok()?
    } else {
        rest
    };
    rest.is_empty().then_some(ask)
}

/// Loads what a slot holds; what the controller says to it.
pub(super) fn recall<S: Slots + ?Sized>(
    slot: u8,
    controller: &mut Controller,
    slots: &mut S,
) -> Result<Result<(), Refusal>, SlotFault> {
    let recipe = slots.get(slot)?;
    let loaded = controller.load(recipe.sound(controller.params()));
    if loaded.is_ok() {
        slots.loaded(slot);
    }
    Ok(loaded)
}

pub(super) fn stored<'a>(result: Result<(), SlotFault>, count: u8) -> Reply<'a> {
    result.map_or_else(|fault| slot_refused(fault, count), |()| Reply::Done)
}

pub(super) fn slot_refused<'a>(fault: SlotFault, count: u8) -> Reply<'a> {
    match fault {
        SlotFault::NoSuch => refused(LinkRefusal::NoSuchSlot, u32::from(count)),
        SlotFault::Empty => refused(LinkRefusal::EmptySlot, 0),
        SlotFault::Failed => refused(LinkRefusal::StoreFailed, 0),
    }
}

pub(super) fn listed<'a, S: Slots + ?Sized>(from: u8, slots: &mut S) -> Reply<'a> {
    let count = slots.count();
    let mut entries = Vec::new();
    for slot in from..=count {
        match slots.name(slot) {
            Ok(name) => {
                let _ = entries.push(Entry { slot, name });
                if entries.is_full() {
                    break;
                }
            }
            Err(SlotFault::Failed) => return slot_refused(SlotFault::Failed, count),
            Err(SlotFault::Empty | SlotFault::NoSuch) => {}
        }
    }
    Reply::Listed { entries }
}

pub(super) fn events<'a>(since: u32, controller: &Controller) -> Reply<'a> {
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
