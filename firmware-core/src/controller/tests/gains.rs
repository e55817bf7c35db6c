//! Gains that are set while the machine waits: in force at once, and nothing of the recipe stays that was compiled against others.

use super::rig::{Rig, hasty, recipe};
use crate::events::EventKind;
use crate::params::ParamsWire;
use crate::sequence::{Command, Phase, Request};
use crate::units::{Newtons, PerNewton, Ratio, Seconds};

/// Other gains than the sample machine's.
const OTHER: (PerNewton, Seconds, Ratio) =
    (PerNewton::new(0.0011), Seconds::new(0.17), Ratio::new(0.6));

fn set(rig: &mut Rig) {
    let (kc, ti, weight) = OTHER;
    assert_eq!(rig.c.set_gains(kc, ti, weight), Ok(()));
}

/// Idle, with no recipe yet.
fn reset(params: ParamsWire) -> Rig {
    let mut rig = Rig::new(params);
    rig.run(300);
    rig.tell(Command::Reset);
    rig
}

fn started(mut rig: Rig) -> Rig {
    let recipe = recipe(&rig.c.params);
    rig.ask(Request::LoadRecipe(recipe));
    rig.ask(Request::ConfirmParts { pieces: 15 });
    rig.report(1.0, -1.0);
    rig.tell(Command::Start);
    rig
}

/// The same outputs in every tick, until the load was ramped and held.
#[test]
fn gains_that_were_set_act_as_those_that_the_machine_was_made_with() {
    let (kc, ti, setpoint_weight) = OTHER;
    let mut made = started(reset(ParamsWire {
        kc,
        ti,
        setpoint_weight,
        ..hasty()
    }));
    let mut given = reset(hasty());
    set(&mut given);
    let mut given = started(given);
    assert_eq!(given.c.params().hash(), made.c.params().hash());
    let mut held = 0;
    while held < 200 {
        made.tick();
        given.tick();
        assert_eq!(given.c.outputs(), made.c.outputs(), "{:?}", made.c.status());
        held += u32::from(made.c.status().phase == Phase::Dwell);
    }
}

/// The step that was aimed at goes with its recipe: nothing of it is told or judged any more.
#[test]
fn the_step_of_the_recipe_goes_with_it() {
    let mut rig = Rig::idle();
    assert!(rig.c.current.is_some());
    set(&mut rig);
    assert!(rig.c.current.is_none());
    rig.tick();
    assert_eq!(rig.c.status().load_limit, Newtons::ZERO);
}

/// So does the ring setting that its flatness control had chosen.
#[test]
fn the_ring_setting_of_the_recipe_goes_with_it() {
    let mut rig = Rig::idle();
    rig.report(3.0, 2.5);
    rig.tick();
    assert_eq!(rig.c.status().ring_setting, 1);
    rig.mark();
    set(&mut rig);
    assert_eq!(rig.told(EventKind::RingSetting), [(0, 0)]);
    rig.tick();
    assert_eq!(rig.c.status().ring_setting, 0);
}
