//! Machines as somebody else would have them: the demonstration machines with other air, drives, slurry, ways and limits, each
//! without an error of `check`. What is declared of faults holds for them too, because it follows from the machine; and where a
//! machine is badly chosen, the report names the values.

use crate::random::cured;
use crate::{SEED, all, numbers, threads};
use std::f64::consts::PI;
use twinplate::report::faults as draw;
use twinplate_check::Case;
use twinplate_check::check::static_errors;
use twinplate_falsify::faults::{Bed, whole};
use twinplate_sim::bench::Job;
use twinplate_sim::demo;
use twinplate_sim::model::{Component, FaultMode, Machine, Recipe, Shown};

/// One cell in so many is tried; another one for each machine, so that all faults and phases come up among them.
const ONE_IN: usize = 61;

type Change = fn(&mut Machine, &mut Recipe);

/// Machines, each a recipe's with some of its numbers changed. All invented.
const OWN: &[(&str, &str, Change)] = &[
    ("slow air", "glass-f800", |m, _| {
        (m.actuator.lag, m.actuator.dead_time, m.actuator.slew) = (0.3, 0.05, 2.0);
        (m.actuator.dump_lag, m.control.dump_time) = (0.3, 2.5);
    }),
    ("slow dump valve", "alumina-diamond", |m, _| {
        (m.actuator.dump_lag, m.control.dump_time) = (0.5, 3.0);
    }),
    ("slow dump valve, middle", "zirconia-fixed", |m, _| {
        (m.actuator.dump_lag, m.control.dump_time) = (0.5, 3.0);
    }),
    ("air to spare", "glass-f800", |m, _| {
        m.actuator.supply_pressure = 8e5;
    }),
    ("fast descent", "glass-f800", |m, _| {
        m.actuator.speed_fast = 0.04;
        m.actuator.approach = 5e-3;
    }),
    ("slow descent", "glass-f800", |m, _| {
        (m.actuator.speed_fast, m.actuator.speed_lift) = (0.008, 0.008);
    }),
    ("slow creep, large", "silicon-f1000", |m, _| {
        m.actuator.speed_creep *= 0.4;
    }),
    ("raised high", "silicon-f1000", |m, _| {
        m.actuator.height_raised *= 2.5;
    }),
    ("heavy drives", "alumina-diamond", |m, _| {
        m.drives.iter_mut().for_each(|drive| drive.inertia *= 3.0);
    }),
    ("heavy drives, middle", "zirconia-fixed", |m, _| {
        m.drives.iter_mut().for_each(|drive| drive.inertia *= 3.0);
    }),
    ("strong drives, braked slowly", "glass-f800", |m, _| {
        m.drives.iter_mut().for_each(|drive| drive.torque *= 3.0);
        (m.control.drive_ramp, m.control.stop_time) = (0.3, 24.0);
    }),
    ("sluggish slurry", "zirconia-fixed", |m, r| {
        (m.slurry.line_lag, m.slurry.wet_time, r.prestart) = (3.0, 10.0, 30.0);
    }),
    ("sluggish slurry, small", "glass-f800", |m, r| {
        (m.slurry.line_lag, m.slurry.wet_time, r.prestart) = (3.0, 10.0, 30.0);
    }),
    ("low flow is enough", "zirconia-fixed", |m, _| {
        m.slurry.flow_min *= 0.3;
    }),
    ("flow near its minimum", "glass-f800", |m, _| {
        m.slurry.flow_min *= 1.8;
    }),
    ("film that lasts", "glass-f800", |m, _| {
        m.slurry.film_life = 120.0
    }),
    ("slurry that settles fast", "alumina-diamond", |m, _| {
        (m.slurry.settle_time, m.slurry.stir_time) = (30.0, 30.0);
        m.control.settle_limit = 20.0;
    }),
    ("loose seals", "alumina-diamond", |m, _| {
        m.actuator.seal_friction *= 0.4;
        m.actuator.seal_breakaway *= 0.4;
    }),
    ("power cut at the stop", "glass-f800", |m, _| {
        m.control.estop_category = 0;
    }),
    ("wide limits", "silicon-f1000", |m, _| {
        m.control.band_share = 0.08;
        m.control.speed_tolerance = 2.0 * PI / 30.0;
    }),
];

fn job(recipe: &str, change: Change) -> Job {
    let (mut machine, batch, mut recipe) = demo::set(recipe);
    change(&mut machine, &mut recipe);
    Job::new(machine, batch, recipe).expect("the controller takes it")
}

fn errors(job: &Job) -> Vec<&'static str> {
    static_errors(&Case {
        machine: &job.machine,
        batch: &job.batch,
        recipe: &job.recipe,
    })
}

#[test]
fn what_is_declared_of_faults_follows_from_the_machine() {
    let mut wrong = String::new();
    for (number, (name, recipe, change)) in OWN.iter().enumerate() {
        let job = job(recipe, *change);
        assert!(errors(&job).is_empty(), "{name}: {:?}", errors(&job));
        let bed = Bed::new(&job, SEED, &whole).unwrap_or_else(|e| panic!("{name}: {e}"));
        let every = if all() { 1 } else { ONE_IN };
        let numbers: Vec<usize> = (number * 7 % every..bed.count()).step_by(every).collect();
        let cells = bed.cells(&numbers, threads(), &|_| ()).expect("in process");
        for cell in cells.iter().filter(|cell| !cell.passes()) {
            wrong.push_str(&format!(
                "{name} ({recipe}): {}",
                draw::failure(cell, &Shown::default())
            ));
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// A pump at half its delivery is enough for the demonstration machine, and not where the smallest flow that counts stands near the
/// recipe's: there it is answered, and the answer is declared.
#[test]
fn a_flow_near_its_minimum_is_answered_and_declared() {
    let near = job("glass-f800", |m, _| m.slurry.flow_min *= 1.8);
    let bed = Bed::new(&near, SEED, &whole).expect("a nominal cycle");
    let numbers = numbers(&bed, |row| {
        (row.component, row.mode) == (Component::Pump, FaultMode::Wrong)
    });
    let cells = bed.cells(&numbers, threads(), &|_| ()).expect("in process");
    let answered = cells
        .iter()
        .filter(|cell| cell.seen().is_some_and(|seen| seen.acted.is_some()))
        .count();
    assert!(answered >= 15, "{answered}");
    let failing: String = cells
        .iter()
        .filter(|cell| !cell.passes())
        .map(|cell| draw::failure(cell, &Shown::default()))
        .collect();
    assert!(failing.is_empty(), "{failing}");
}

/// A machine whose air minimum hardly stands over its counterbalance: the plate hangs on nothing before the machine notices. The
/// report says which values make the difference, and with them the same cells are as declared.
#[test]
fn a_badly_chosen_machine_is_told_which_values_make_the_difference() {
    let job = job("glass-f800", |m, _| {
        let more = 0.3 * m.actuator.weight();
        m.actuator.mass *= 1.3;
        m.actuator.counterbalance += more / m.actuator.area_rod();
        m.actuator.lift_pressure = 6e5;
        m.actuator.supply_pressure = 8e5;
    });
    let bed = Bed::new(&job, SEED, &whole).expect("a nominal cycle");
    let numbers = numbers(&bed, |row| {
        (row.component, row.mode) == (Component::Supply, FaultMode::Off)
    });
    let cells = bed.cells(&numbers, threads(), &|_| ()).expect("in process");
    let failing: Vec<_> = numbers
        .iter()
        .zip(&cells)
        .filter(|(_, cell)| !cell.passes())
        .collect();
    assert!(!failing.is_empty());
    let mut beds = Vec::new();
    for (number, cell) in failing {
        let told = draw::failure(cell, &Shown::default());
        for key in [
            "`actuator.supply-minimum` (now ",
            "`actuator.supply-pressure` = ",
            "`actuator.counterbalance` = ",
        ] {
            assert!(told.contains(key), "{told}");
        }
        assert!(
            told.lines().all(|line| line.chars().count() <= 80),
            "{told}"
        );
        assert!(cured(&job, *number, cell, &mut beds), "not cured: {told}");
    }
}
