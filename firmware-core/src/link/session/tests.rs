//! The session at its rules, with the sample machine behind it and a host in front that says what it likes.

use super::rig::{Rig, SILENCE};
use super::*;
use crate::events::Event;
use crate::link::frame::{MAX_FRAME, write};
use crate::link::message::{Ask, LINK_VERSION, LinkRefusal, ROLE_REPLY, Reason, Reply};
use crate::link::page::table;
use crate::recipe::RecipeWire;
use crate::sequence::{Phase, Request, State};
use crate::units::{Newtons, PerNewton, Ratio, Seconds};
use heapless::String;
use std::format;
use std::vec::Vec as List;

fn refusal(reason: Reason, detail: u32) -> Option<Reply> {
    Some(Reply::Refused {
        reason: reason.number(),
        detail,
    })
}

fn by_link(why: LinkRefusal) -> Option<Reply> {
    refusal(Reason::Link(why), 0)
}

fn by_core(why: Refusal) -> Option<Reply> {
    refusal(Reason::Core(why), 0)
}

fn recipe(rig: &Rig, name: &str) -> RecipeWire {
    RecipeWire {
        name: String::try_from(name).expect("short"),
        ..crate::recipe::sample(rig.controller.params(), 265.0, 350.0)
    }
}

fn command(command: Command) -> Ask {
    Ask::Do {
        command: command as u8,
    }
}

#[test]
fn the_first_session_is_that_of_the_page() {
    let mut rig = Rig::new();
    rig.hello(7);
    assert_eq!(rig.head.session, 65_537);
    let row = &table("bodies")[1];
    assert!(row[1].contains("session=65537"), "{row:?}");
    // Numbers grow: no frame of an old session fits a new one.
    rig.hello(8);
    assert_eq!(rig.head.session, 65_538);
}

#[test]
fn a_hello_of_another_version_opens_nothing() {
    let mut rig = Rig::new();
    let hello = Ask::Hello {
        version: LINK_VERSION + 1,
        nonce: 1,
    };
    let own = u32::from(LINK_VERSION);
    let refused = refusal(Reason::Link(LinkRefusal::WrongVersion), own);
    assert_eq!(rig.again(&hello), refused);
    assert!(!rig.session.is_open());
    rig.head.number = 1;
    assert_eq!(rig.again(&Ask::ReadState), by_link(LinkRefusal::NoSession));
}

#[test]
fn a_request_is_done_once_and_its_reply_comes_again() {
    let mut rig = Rig::armed();
    assert_eq!(rig.ask(&command(Command::Reset)), Some(Reply::Done));
    rig.given.clear();
    for _ in 0..3 {
        assert_eq!(rig.again(&command(Command::Reset)), Some(Reply::Done));
    }
    assert_eq!(rig.given, []);
    // The same number with other bytes is another request, out of its turn.
    let next = rig.head.number + 1;
    let out_of_turn = refusal(Reason::Link(LinkRefusal::OutOfSequence), next);
    assert_eq!(rig.again(&command(Command::Abort)), out_of_turn);
    for wrong in [next + 1, next - 2, 0, u32::MAX] {
        rig.head.number = wrong;
        assert_eq!(rig.again(&command(Command::Abort)), out_of_turn, "{wrong}");
    }
    assert_eq!(rig.given, []);
    // None of that has cost the last reply.
    rig.head.number = next - 1;
    assert_eq!(rig.again(&command(Command::Reset)), Some(Reply::Done));
    rig.head.number = next;
    assert_eq!(rig.again(&Ask::Acknowledge), Some(Reply::Done));
}

/// Before the first request of a session there is no last one, and nothing is its echo.
#[test]
fn number_nought_is_out_of_turn() {
    let mut rig = Rig::new();
    rig.hello(1);
    let first = refusal(Reason::Link(LinkRefusal::OutOfSequence), 1);
    assert_eq!(rig.again(&Ask::ReadState), first);
}

/// Two frames of a request before its tick: one command.
#[test]
fn a_command_said_twice_before_its_tick_is_one() {
    let mut rig = Rig::armed();
    rig.given.clear();
    rig.head.number += 1;
    let line = rig.frame(rig.head, &command(Command::Stop));
    let mut head = rig.head;
    head.number += 1;
    let after = rig.frame(head, &command(Command::Abort));
    rig.replies.clear();
    rig.hear(&[line.clone(), line, after.clone()].concat());
    rig.tick();
    rig.tick();
    // What came behind it waits until it is said again.
    assert_eq!(
        (rig.given.as_slice(), rig.replies.len()),
        (&[Command::Stop][..], 1)
    );
    rig.hear(&after);
    rig.tick();
    assert_eq!(rig.given, [Command::Stop, Command::Abort]);
}

#[test]
fn a_session_ends_with_silence_another_hello_or_the_line() {
    for end in 0..3 {
        let mut rig = Rig::armed();
        let old = rig.head;
        match end {
            0 => {
                for _ in 1..SILENCE.0 {
                    rig.tick();
                    assert!(rig.session.is_open());
                }
                rig.tick();
                rig.tick();
            }
            1 => rig.hello(2),
            _ => rig.session.lost(&mut rig.controller),
        }
        assert_eq!(rig.session.is_open(), end == 1);
        assert!(!rig.controller.remote_armed(), "lost with the link");
        rig.given.clear();
        rig.head = old;
        let asked = rig.ask(&command(Command::Abort));
        assert_eq!(asked, by_link(LinkRefusal::NoSession), "{end}");
        assert_eq!(rig.given, []);
    }
}

/// A repeated request says nothing new: whoever hears no answer for so long is not there.
#[test]
fn an_echo_does_not_keep_a_session() {
    let mut rig = Rig::armed();
    assert!(rig.ask(&Ask::ReadState).is_some());
    for _ in 0..SILENCE.0 / 100 {
        (0..100).for_each(|_| rig.tick());
        rig.again(&Ask::ReadState);
    }
    assert!(!rig.session.is_open());
}

#[test]
fn the_same_hello_again_changes_nothing() {
    let mut rig = Rig::armed();
    let head = rig.head;
    rig.hello(1);
    assert_eq!(rig.head.session, head.session);
    rig.head = head;
    assert!(rig.controller.remote_armed());
    assert_eq!(rig.again(&Ask::Do { command: 6 }), Some(Reply::Done));
    assert!(rig.ask(&Ask::ReadState).is_some());
}

#[test]
fn what_sets_in_motion_needs_arming_and_what_stops_does_not() {
    let mut rig = Rig::new();
    rig.hello(1);
    for wanted in [Command::Start, Command::Restart, Command::Reset] {
        let refused = rig.ask(&command(wanted));
        assert_eq!(refused, by_link(LinkRefusal::NotArmed), "{wanted:?}");
    }
    assert_eq!(rig.given, []);
    for wanted in [Command::Hold, Command::Stop, Command::Abort] {
        assert!(rig.ask(&command(wanted)).is_some());
    }
    let stops = [Command::Hold, Command::Stop, Command::Abort];
    assert_eq!(rig.given, stops);
    assert_eq!(
        rig.events(EventKind::ByLink).len(),
        3,
        "said where they came from"
    );
    let unknown = rig.ask(&Ask::Do { command: 7 });
    assert_eq!(unknown, by_link(LinkRefusal::NoSuchCommand));
}

/// Where it is not armed there is nothing to wait for: the refusal does not take the tick's one command.
#[test]
fn what_is_not_armed_is_refused_before_its_tick() {
    let mut rig = Rig::new();
    rig.hello(1);
    rig.head.number += 1;
    let line = rig.frame(rig.head, &command(Command::Start));
    rig.hear(&line);
    let reply = rig.replies.pop().map(|(_, reply)| reply);
    assert_eq!(reply, by_link(LinkRefusal::NotArmed));
}

#[test]
fn arming_is_for_the_sessions_that_stand() {
    // Armed before anybody was there: a session that comes later has nothing of it.
    let mut rig = Rig::new();
    rig.arm();
    rig.hello(1);
    rig.tick();
    assert!(rig.controller.remote_armed());
    let refused = rig.ask(&command(Command::Reset));
    assert_eq!(refused, by_link(LinkRefusal::NotArmed));
    // Its end takes nothing away from the others that it had nothing of.
    rig.session.lost(&mut rig.controller);
    assert!(rig.controller.remote_armed());
    // Disarmed and armed anew at the panel, while it stands.
    rig.hello(2);
    let asked = rig.controller.request(&Request::ArmRemote(false));
    assert_eq!(asked, Ok(()));
    rig.tick();
    rig.arm();
    assert_eq!(rig.ask(&command(Command::Reset)), Some(Reply::Done));
    // Another hello takes its arming away; armed anew at once, it is armed for that one.
    rig.hello(3);
    rig.arm();
    assert_eq!(rig.ask(&command(Command::Reset)), Some(Reply::Done));
}

/// The panel disarms between the request and its tick.
#[test]
fn a_start_whose_arming_goes_before_its_tick_is_refused() {
    let mut rig = Rig::armed();
    rig.given.clear();
    rig.head.number += 1;
    let line = rig.frame(rig.head, &command(Command::Start));
    rig.replies.clear();
    rig.hear(&line);
    assert_eq!(rig.controller.request(&Request::ArmRemote(false)), Ok(()));
    rig.tick();
    assert_eq!(rig.given, []);
    let reply = rig.replies.pop().map(|(_, reply)| reply);
    assert_eq!(reply, by_link(LinkRefusal::NotArmed));
}

/// The local enable goes: the interlock row disarms, and the link has no start any more.
#[test]
fn the_interlock_disarms_too() {
    let mut rig = Rig::armed();
    rig.inputs.local_enable = false;
    for _ in 0..1_100 {
        rig.tick();
    }
    assert!(rig.session.is_open() && !rig.controller.remote_armed());
    let refused = rig.ask(&command(Command::Start));
    assert_eq!(refused, by_link(LinkRefusal::NotArmed));
}

/// What the sequence itself refuses comes back with its own number; what it takes acts in that tick.
#[test]
fn commands_are_answered_by_what_the_tick_made_of_them() {
    let mut rig = Rig::armed();
    let start = rig.ask(&command(Command::Start));
    assert_eq!(start, by_core(Refusal::NoRecipe));
    assert_eq!(
        rig.ask(&command(Command::Restart)),
        by_core(Refusal::WrongState)
    );
    let wire = recipe(&rig, "a");
    let put = rig.ask(&Ask::Put {
        slot: 1,
        recipe: wire,
    });
    assert_eq!(put, Some(Reply::Done));
    assert_eq!(rig.ask(&Ask::Recall { slot: 1 }), Some(Reply::Done));
    assert_eq!(rig.memory.loaded, Some(1));
    // Standstill is proven by time.
    (0..1_000).for_each(|_| rig.tick());
    assert_eq!(rig.ask(&command(Command::Start)), Some(Reply::Done));
    assert_eq!(rig.controller.status().state, State::Running);
    assert_eq!(rig.controller.status().phase, Phase::Precheck);
    // Under way: what is stored stays as it is, and the memory is not asked: that may take longer than a tick.
    let asked = rig.memory.asked;
    let wire = recipe(&rig, "b");
    let slot = 1;
    let put = Ask::Put { slot, recipe: wire };
    for ask in [put, Ask::Erase { slot }, Ask::Recall { slot }] {
        assert_eq!(rig.ask(&ask), by_core(Refusal::WrongState), "{ask:?}");
    }
    assert_eq!(rig.memory.asked, asked);
    assert_eq!(rig.ask(&command(Command::Abort)), Some(Reply::Done));
    assert_ne!(rig.controller.status().state, State::Running);
}

/// The panel gives a command in that tick: the link's waits for the next.
#[test]
fn a_command_waits_where_the_panel_gives_one() {
    let mut rig = Rig::armed();
    rig.given.clear();
    rig.head.number += 1;
    let line = rig.frame(rig.head, &command(Command::Stop));
    rig.replies.clear();
    rig.hear(&line);
    rig.tick_with(Some(Command::Abort));
    assert!(rig.replies.is_empty());
    rig.tick();
    assert_eq!(
        (rig.given.as_slice(), rig.replies.len()),
        (&[Command::Stop][..], 1)
    );
}

#[test]
fn recipes_are_stored_listed_given_back_and_erased() {
    let mut rig = Rig::armed();
    for slot in 1..=20 {
        let recipe = recipe(&rig, &format!("recipe {slot}"));
        let put = rig.ask(&Ask::Put { slot, recipe });
        assert_eq!(put, Some(Reply::Done));
    }
    assert_eq!(rig.ask(&Ask::Erase { slot: 3 }), Some(Reply::Done));
    let mut listed = List::new();
    let mut from = 1;
    while let Some(Reply::Listed { entries }) = rig.ask(&Ask::List { from }) {
        let Some(last) = entries.last() else { break };
        // Four at a time: 19 are stored.
        assert_eq!(entries.len(), if from < 18 { 4 } else { 3 });
        from = last.slot + 1;
        listed.extend(entries);
    }
    let slots: List<u8> = listed.iter().map(|entry| entry.slot).collect();
    assert_eq!(
        slots,
        (1..=20).filter(|slot| *slot != 3).collect::<List<u8>>()
    );
    assert_eq!(listed[4].name, "recipe 6");
    let expected = recipe(&rig, "recipe 6");
    let given = rig.ask(&Ask::Get { slot: 6 });
    assert_eq!(given, Some(Reply::Recipe { recipe: expected }));
    for ask in [
        Ask::Get { slot: 3 },
        Ask::Erase { slot: 3 },
        Ask::Recall { slot: 3 },
    ] {
        assert_eq!(rig.ask(&ask), by_link(LinkRefusal::EmptySlot), "{ask:?}");
    }
    for slot in [0, 21, 255] {
        let no_such = refusal(Reason::Link(LinkRefusal::NoSuchSlot), 20);
        assert_eq!(rig.ask(&Ask::Get { slot }), no_such);
        let recipe = recipe(&rig, "x");
        assert_eq!(rig.ask(&Ask::Put { slot, recipe }), no_such);
    }
    rig.memory.fails = true;
    for ask in [Ask::Get { slot: 1 }, Ask::List { from: 1 }] {
        assert_eq!(rig.ask(&ask), by_link(LinkRefusal::StoreFailed));
    }
}

#[test]
fn a_recipe_that_this_machine_cannot_run_is_neither_stored_nor_recalled() {
    let mut rig = Rig::armed();
    let mut wrong = recipe(&rig, "wrong");
    wrong.steps[0].load = Newtons::new(1e6);
    let put = rig.ask(&Ask::Put {
        slot: 1,
        recipe: wrong.clone(),
    });
    assert_eq!(put, by_core(Refusal::RecipeInvalid));
    // It got there otherwise.
    rig.memory.stored[0] = Some(wrong);
    let recalled = rig.ask(&Ask::Recall { slot: 1 });
    assert_eq!(recalled, by_core(Refusal::RecipeInvalid));
    assert_eq!(rig.memory.loaded, None);
}

#[test]
fn gains_are_set_at_idle_and_the_recipe_is_forgotten() {
    let gains = |kc: f32| Ask::SetGains {
        kc: PerNewton::new(kc),
        ti: Seconds::new(0.2),
        setpoint_weight: Ratio::new(0.5),
    };
    let mut rig = Rig::new();
    rig.hello(1);
    assert_eq!(rig.ask(&gains(0.001)), by_link(LinkRefusal::NotArmed));
    rig.arm();
    assert_eq!(rig.ask(&gains(0.001)), by_core(Refusal::WrongState));
    let mut rig = Rig::armed();
    let recipe = recipe(&rig, "a");
    assert_eq!(rig.ask(&Ask::Put { slot: 1, recipe }), Some(Reply::Done));
    assert_eq!(rig.ask(&Ask::Recall { slot: 1 }), Some(Reply::Done));
    let before = rig.controller.params().hash();
    for wrong in [0.0, -1.0, f32::NAN, f32::INFINITY] {
        assert_eq!(rig.ask(&gains(wrong)), by_core(Refusal::GainsInvalid));
    }
    assert_eq!(rig.controller.params().hash(), before);
    assert_eq!(rig.ask(&gains(0.001)), Some(Reply::Done));
    let now = rig.controller.params().get();
    assert_eq!((now.kc.get(), now.ti.get()), (0.001, 0.2));
    assert_eq!(rig.events(EventKind::Gains).len(), 1);
    // The one that is stored was compiled against the others.
    assert_eq!(
        rig.ask(&command(Command::Start)),
        by_core(Refusal::NoRecipe)
    );
    let recalled = rig.ask(&Ask::Recall { slot: 1 });
    assert_eq!(recalled, by_core(Refusal::RecipeInvalid));
}

#[test]
fn events_come_in_pages_and_what_is_lost_is_counted() {
    let mut rig = Rig::armed();
    for _ in 0..50 {
        assert!(rig.ask(&command(Command::Hold)).is_some());
    }
    let (mut since, mut found) = (0, List::new());
    let written = rig.controller.events().written();
    while let Some(Reply::Events { next, lost, events }) = rig.ask(&Ask::ReadEvents { since }) {
        if since == 0 {
            assert_eq!(lost, written - 64);
        } else {
            assert_eq!(lost, 0);
        }
        if events.is_empty() {
            break;
        }
        since = next;
        found.extend(events.iter().map(|event| event.event().expect("a kind")));
    }
    let kept: List<Event> = rig.controller.events().since(0).copied().collect();
    assert_eq!((found, since), (kept, written));
}

#[test]
fn telemetry_comes_as_often_as_it_was_asked_for_and_ends_with_the_session() {
    let mut rig = Rig::armed();
    let often = refusal(Reason::Link(LinkRefusal::TooOften), u32::from(LEAST_PERIOD));
    assert_eq!(rig.ask(&Ask::Subscribe { every: 9 }), often);
    assert_eq!(rig.ask(&Ask::Subscribe { every: 50 }), Some(Reply::Done));
    rig.telemetry.clear();
    for _ in 0..1_000 {
        rig.tick();
    }
    assert_eq!(rig.telemetry.len(), 20);
    assert!(
        rig.telemetry
            .iter()
            .all(|t| t.report.armed && t.session == rig.head.session)
    );
    assert_eq!(rig.ask(&Ask::Subscribe { every: 0 }), Some(Reply::Done));
    rig.telemetry.clear();
    (0..200).for_each(|_| rig.tick());
    assert_eq!(rig.telemetry.len(), 0);
    assert_eq!(rig.ask(&Ask::Subscribe { every: 10 }), Some(Reply::Done));
    rig.session.lost(&mut rig.controller);
    rig.telemetry.clear();
    (0..200).for_each(|_| rig.tick());
    assert_eq!(rig.telemetry.len(), 0);
}

#[test]
fn a_message_of_no_known_kind_is_refused_and_takes_no_number() {
    let mut rig = Rig::armed();
    rig.head.number += 1;
    let mut out = [0; MAX_FRAME];
    let len = write(&(rig.head, 99_u32), &mut out).expect("room");
    rig.replies.clear();
    rig.hear(&out[..len]);
    let reply = rig.replies.pop().map(|(_, reply)| reply);
    assert_eq!(reply, by_link(LinkRefusal::NotUnderstood));
    assert!(matches!(rig.again(&Ask::ReadState), Some(Reply::State(_))));
    // A reply or telemetry that comes back is no request at all.
    for role in [ROLE_REPLY, ROLE_TELEMETRY] {
        rig.head.role = role;
        rig.head.number += 1;
        let line = rig.frame(rig.head, &command(Command::Abort));
        rig.hear(&line);
        rig.tick();
        assert!(rig.replies.is_empty());
    }
}
