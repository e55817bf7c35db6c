//! The whole plant: timelines of a descent, a rest, a press, a turn.

use super::*;
use crate::demo;
use crate::model::{Batch, Deviations, G, Machine};
use crate::plant::fault_table::SUPPORTED;
use firmware_core::process_image::{DRIVES, DriveOutput};
use std::f64::consts::TAU;

mod lean;

/// Full scale of the regulator's command.
const FULL: f64 = 65_535.0;

struct Rig {
    plant: Plant,
    out: Outputs,
    machine: Machine,
    batch: Batch,
}

impl Rig {
    fn new() -> Self {
        Self::with(&Deviations::NOMINAL, |_, _| {})
    }

    fn with(dev: &Deviations, change: impl FnOnce(&mut Machine, &mut Batch)) -> Self {
        Self::of("glass-f800", dev, change)
    }

    fn of(recipe: &str, dev: &Deviations, change: impl FnOnce(&mut Machine, &mut Batch)) -> Self {
        let (mut machine, mut batch, recipe) = demo::set(recipe);
        change(&mut machine, &mut batch);
        let plant = Plant::new(&machine, &batch, &recipe.consumables, dev, 11);
        Self {
            plant,
            out: Outputs {
                pin_withdraw: true,
                agitator: true,
                ..Outputs::default()
            },
            machine,
            batch,
        }
    }

    fn run(&mut self, seconds: f64) -> &mut Self {
        for _ in 0..(seconds * 1000.0 + 0.5) as u32 {
            self.plant.step(&self.out);
        }
        self
    }

    /// Runs until `done`, at most `seconds`.
    fn until(&mut self, seconds: f64, done: impl Fn(&Plant) -> bool) -> f64 {
        for tick in 0..(seconds * 1000.0) as u32 {
            if done(&self.plant) {
                return f64::from(tick) * 1e-3;
            }
            self.plant.step(&self.out);
        }
        panic!("not reached in {seconds} s: {:?}", self.plant.truth());
    }

    /// Plate down on the parts, floating, cap side vented.
    fn seated(mut self) -> Self {
        self.run(0.5);
        let near = self.batch.thickness + self.machine.actuator.approach;
        self.out.rod = RodValve::LowerFast;
        self.until(20.0, |p| p.axis.z < near);
        self.out.rod = RodValve::LowerCreep;
        self.until(30.0, |p| p.axis.load > 0.0);
        self.out.rod = RodValve::Float;
        self.run(3.0);
        self
    }

    fn press(&mut self, share: f64) -> &mut Self {
        self.out.dump_shut = true;
        self.out.cap_command = (share * FULL) as u16;
        self
    }

    fn turn(&mut self, rpm: [f64; DRIVES]) -> &mut Self {
        self.out.drives = rpm.map(|n| DriveOutput {
            enable: true,
            setpoint: (n * 100.0) as i16,
        });
        self
    }

    fn cell_newtons(&self) -> f64 {
        f64::from(self.plant.inputs().cell_counts) * self.machine.cell.range
            / self.machine.cell.counts_at_range
    }

    /// Mean and standard deviation of the cell over some seconds, N.
    fn cell_over(&mut self, seconds: f64) -> (f64, f64) {
        let n = (seconds * 1000.0) as u32;
        let all: Vec<f64> = (0..n)
            .map(|_| {
                self.plant.step(&self.out);
                self.cell_newtons()
            })
            .collect();
        let mean = all.iter().sum::<f64>() / f64::from(n);
        let square = all.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / f64::from(n);
        (mean, square.sqrt())
    }
}

#[test]
fn at_the_beginning_it_hangs_raised_pinned_and_reads_its_weight() {
    let mut rig = Rig::new();
    rig.out = Outputs::default();
    let i = *rig.plant.inputs();
    assert!(i.pin_in && !i.pin_out && i.guard_a && i.guard_b && i.guard_locked && i.estop_a);
    assert!(i.counterbalance_ok && i.dump_open && i.cell_ok && i.arm_home && i.gauge_ok);
    let raised = (rig.machine.actuator.height_raised * 1e6) as i32;
    assert!((i.plate_height - raised).abs() < 1000);
    let (mean, sd) = rig.cell_over(2.0);
    let weight = rig.machine.actuator.weight();
    // Half the lash, and the parabola at this load.
    assert!((mean + weight).abs() < 0.5, "{mean} against -{weight}");
    assert!((sd / rig.machine.cell.noise - 1.0).abs() < 0.1);
    assert_eq!(rig.plant.inputs().tank_level.value, 1000);
    assert!(!rig.plant.harm().any());
}

#[test]
fn descent_and_lift_go_at_their_metered_speeds() {
    let mut rig = Rig::new();
    let a = rig.machine.actuator.clone();
    let speed = |rig: &mut Rig, seconds: f64| {
        let before = rig.plant.axis.z;
        rig.run(seconds);
        (rig.plant.axis.z - before) / seconds
    };
    rig.out.rod = RodValve::LowerFast;
    rig.run(1.0);
    // The metering valve passes its set flow but for the knee: at most a tenth less.
    let fast = -speed(&mut rig, 1.0);
    assert!(
        fast > 0.88 * a.speed_fast && fast < 1.02 * a.speed_fast,
        "{fast}"
    );
    rig.out.rod = RodValve::LowerCreep;
    rig.run(5.0);
    let creep = -speed(&mut rig, 2.0);
    assert!(
        creep > 0.88 * a.speed_creep && creep < 1.02 * a.speed_creep,
        "{creep}"
    );
    rig.out.rod = RodValve::Lift;
    rig.run(1.0);
    let lift = speed(&mut rig, 0.5);
    assert!(
        lift > 0.88 * a.speed_lift && lift < 1.05 * a.speed_lift,
        "{lift}"
    );
    rig.run(6.0);
    assert!((rig.plant.axis.z - a.height_raised).abs() < 1e-3);
    assert!(!rig.plant.harm().falling.happened());
}

#[test]
fn de_energised_in_the_air_it_is_held() {
    for after in [0.8, 1.5, 2.5] {
        let mut rig = Rig::new();
        rig.out.rod = RodValve::LowerFast;
        rig.run(after);
        let height = rig.plant.axis.z;
        rig.out = Outputs {
            pin_withdraw: true,
            ..Outputs::default()
        };
        rig.run(3.0);
        let rest = rig.plant.axis.z;
        // It swings on the trapped air, and stays.
        assert!(height - rest < 0.012, "sank {} m", height - rest);
        rig.run(10.0);
        assert!((rig.plant.axis.z - rest).abs() < 20e-6);
        assert!(!rig.plant.harm().falling.happened());
    }
}

#[test]
fn a_cell_tared_hanging_reads_no_contact_in_free_descent() {
    let mut rig = Rig::new();
    let (tare, _) = rig.cell_over(1.0);
    rig.out.rod = RodValve::LowerFast;
    rig.run(1.5);
    let drag = rig.machine.actuator.guide_drag;
    let (fast, _) = rig.cell_over(1.0);
    // Guide drag only: the falling rod-side pressure is in the rod force, and the seals are above the cell.
    let expected = drag * rig.machine.actuator.speed_fast;
    assert!((fast - tare - expected).abs() < 0.5, "{}", fast - tare);
    rig.out.rod = RodValve::LowerCreep;
    rig.run(3.0);
    let (creep, _) = rig.cell_over(1.0);
    assert!((creep - tare).abs() < 0.3, "{}", creep - tare);
}

#[test]
fn in_contact_the_load_is_the_resting_load_plus_the_line() {
    let mut rig = Rig::new().seated();
    let a = rig.machine.actuator.clone();
    let seals = a.seal_breakaway;
    assert!((rig.plant.axis.load - a.resting_load()).abs() < seals);
    let resolution = (a.resolution + 0.5 * a.play) * a.line_gain();
    for share in [0.1, 0.25, 0.5, 1.0, 0.5, 0.25, 0.1] {
        rig.press(share).run(2.0);
        let expected = a.resting_load() + a.line_gain() * share;
        let load = rig.plant.axis.load;
        assert!(
            (load - expected).abs() < seals + resolution,
            "{load} against {expected}"
        );
    }
    // And the cell with the hanging tare says the same.
    let cell = rig.cell_newtons() + a.weight();
    assert!((cell - rig.plant.axis.load).abs() < 2.5, "{cell}");
}

#[test]
fn vented_and_trapped_in_contact_it_rests_at_its_resting_load() {
    let mut rig = Rig::new().seated();
    let a = rig.machine.actuator.clone();
    rig.press(0.8).run(2.0);
    rig.out = Outputs::default();
    rig.run(4.0 * a.dump_lag);
    // Four lags of 660 N leave 12 N.
    assert!(rig.plant.axis.load < a.resting_load() + a.seal_breakaway + 13.0);
    rig.run(3.0);
    assert!((rig.plant.axis.load - a.resting_load()).abs() < a.seal_breakaway);
}

#[test]
fn stable_from_soft_to_very_stiff_contact() {
    for stiffness_per_area in [1e9, 1e10, 1e11, 3.5e11] {
        let mut rig = Rig::with(&Deviations::NOMINAL, |_, b| {
            b.stiffness_per_area = stiffness_per_area;
        })
        .seated();
        rig.press(0.5).run(2.0);
        let mean = rig.plant.axis.load;
        let mut most: f64 = 0.0;
        for _ in 0..1000 {
            rig.plant.step(&rig.out);
            most = most.max((rig.plant.axis.load - mean).abs());
        }
        assert!(most < 0.05, "chatters by {most} N at {stiffness_per_area}");
    }
}

#[test]
fn first_contact_has_its_closed_form_peak_on_at_least_three_parts() {
    let mut rig = Rig::with(&Deviations::NOMINAL, |_, b| b.spread = 0.0);
    rig.run(0.5);
    let near = rig.batch.thickness + rig.machine.actuator.approach;
    rig.out.rod = RodValve::LowerFast;
    rig.until(20.0, |p| p.axis.z < near);
    rig.out.rod = RodValve::LowerCreep;
    rig.run(2.0);
    rig.until(30.0, |p| p.axis.load > 0.0);
    let peak = rig.plant.truth().first_contact;
    let a = &rig.machine.actuator;
    // In a metered descent nothing presses: v sqrt(k m) alone, at most the set creep speed.
    let bound = a.speed_creep * (rig.batch.stiffness() * a.mass).sqrt();
    assert!(
        peak < 1.02 * bound && peak > 0.85 * bound,
        "{peak} against {bound}"
    );
    // Level parts share a fifteenth each where the plate comes down flat. It may not, so that one is given the most that it can have.
    let one = rig.plant.truth().first_contact_part;
    let share = places::worst_share(&rig.machine.geometry, &rig.batch);
    let alone = a.speed_creep * (rig.batch.stiffness() / 15.0 * a.mass).sqrt();
    assert!(
        one <= share * peak && one <= alone && one > 0.85 * alone.min(share * peak),
        "{one}"
    );
    let highest = rig.plant.parts().map(|p| p.peak_load).fold(0.0, f64::max);
    assert!(highest >= one);
}

#[test]
fn the_pin_catches_the_plate() {
    let mut rig = Rig::new();
    rig.out.pin_withdraw = false;
    rig.out.rod = RodValve::Float;
    rig.run(5.0);
    let fallen = rig.machine.actuator.height_raised - rig.plant.axis.z;
    assert!(fallen > 1e-3 && fallen < 3.2e-3, "{fallen}");
    assert!(rig.plant.inputs().pin_in);
    // The pin carries what the air does not: the cell no longer reads the whole weight.
    assert!(rig.cell_newtons() > -rig.machine.actuator.weight() + 20.0);
}

#[test]
fn coasts_for_seconds_at_resting_load_and_the_ratios_hold_under_power() {
    let mut rig = Rig::new().seated();
    rig.out.pump = 1000;
    rig.run(25.0);
    rig.turn([14.0, 5.0, 60.0, -60.0]).run(3.0);
    let speeds = rig.plant.truth().speeds;
    assert!((speeds[2] - TAU).abs() < 1e-3, "{speeds:?}");
    assert!((speeds[3] + TAU).abs() < 1e-3);
    rig.out.drives = Outputs::default().drives;
    rig.out.pump = 0;
    let coast = rig.until(60.0, |p| p.drives.fastest_turning() == 0.0);
    assert!((6.0..22.0).contains(&coast), "{coast} s");
    // Film life is longer than the coast: nothing was scored.
    assert!(!rig.plant.harm().dry_turning.happened());
}

#[test]
fn removal_in_the_plant_is_preston_times_the_path() {
    let mut rig = Rig::new().seated();
    rig.out.pump = 1000;
    rig.run(40.0);
    rig.press(0.2).turn([14.0, 5.0, 28.0, -14.0]).run(10.0);
    let start = rig.plant.truth();
    let mut jump: f64 = 0.0;
    for _ in 0..30_000 {
        let before = rig.plant.axis.load;
        rig.plant.step(&rig.out);
        jump = jump.max((rig.plant.axis.load - before).abs());
    }
    let end = rig.plant.truth();
    // The plate follows the receding tops smoothly: an update of the parts is no step of the load.
    assert!(jump < 0.02, "load jumps by {jump} N");
    let sunk = start.height - end.height;
    let total = start.thickness - end.thickness;
    assert!(
        (sunk / total - 1.0).abs() < 0.02,
        "sank {sunk} for {total} removed"
    );
    let c = demo::recipe("glass-f800").consumables;
    let pressure = end.load_without_runout / rig.batch.area();
    for face in 0..2 {
        let own = if face == 0 {
            rig.batch.density * rig.batch.thickness * G
        } else {
            0.0
        };
        let ideal = c.removal.unwrap() * end.cleared * (pressure + own) * end.sliding[face] * 30.0;
        let removed = end.removed[face] - start.removed[face];
        // The grains' charge and sharpness are a little under one.
        let factor = end.charge * end.sharpness;
        assert!(
            (removed / (ideal * factor) - 1.0).abs() < 0.01,
            "{removed} against {ideal}"
        );
    }
    assert!((end.sliding[0] - 0.385).abs() < 0.002, "{:?}", end.sliding);
    assert!((end.sliding[1] - 0.380).abs() < 0.002);
    assert!(end.thickness < start.thickness && end.roughness < start.roughness);
}

#[test]
fn turning_dry_scores_and_lifting_turning_is_seen() {
    let mut rig = Rig::new().seated();
    rig.turn([14.0, 5.0, 28.0, -14.0]).run(2.0);
    assert!(rig.plant.harm().dry_turning.sum > 10.0);
    // Dry friction is 0.3 on this machine, wet 0.1.
    assert!(rig.plant.truth().friction > 0.27);
    rig.out.rod = RodValve::Lift;
    rig.run(3.0);
    assert!(rig.plant.harm().lift_turning.happened());
    assert!(!rig.plant.harm().pressing_open.happened());
    rig.plant.act(StationAct::OpenGuard);
    assert!(!rig.plant.inputs().guard_a && !rig.plant.inputs().guard_locked);
    rig.run(0.1);
    assert!(rig.plant.harm().moving_open.happened());
}

#[test]
fn runout_ripples_the_load_and_the_cell_and_is_kept_apart() {
    let mut rig = Rig::new().seated();
    rig.out.pump = 1000;
    rig.run(20.0);
    rig.press(0.3).turn([14.0, 5.0, 28.0, -14.0]).run(6.0);
    let (mut low, mut high) = (f64::MAX, f64::MIN);
    let (mut low_truth, mut high_truth) = (f64::MAX, f64::MIN);
    for _ in 0..3000 {
        rig.plant.step(&rig.out);
        let [with, without] = rig.plant.load();
        (low, high) = (low.min(with), high.max(with));
        (low_truth, high_truth) = (low_truth.min(without), high_truth.max(without));
    }
    let load = 0.5 * (low_truth + high_truth);
    let amplitude = 0.5 * (high - low);
    let expected = rig.machine.geometry.runout_ripple * load;
    assert!(
        (amplitude / expected - 1.0).abs() < 0.1,
        "{amplitude} against {expected}"
    );
    assert!(high_truth - low_truth < 0.2 * amplitude);
}

#[test]
fn the_dogs_friction_adds_to_the_load_unseen_by_the_cell() {
    let mut rig = Rig::new().seated();
    rig.out.pump = 1000;
    rig.run(20.0);
    rig.press(0.3).turn([14.0, 5.0, 28.0, -14.0]).run(5.0);
    rig.press(0.8).run(1.2);
    let truth = rig.plant.truth();
    // The inertia and the guide drag are nothing here: what is left of the balance is the dog's.
    let unseen =
        truth.load_without_runout - (rig.machine.actuator.weight() + rig.plant.axis.rod_force);
    let torque = truth.torques[3].abs();
    let a = &rig.machine.actuator;
    let most = a.dog_friction * torque / a.dog_radius;
    assert!(
        unseen.abs() > 0.01 && unseen.abs() <= most,
        "{unseen} of {most}"
    );
}

#[test]
fn one_seed_one_history_and_a_clone_goes_on_the_same() {
    let history = |seed: u64| {
        let machine = demo::machine("machine-a");
        let mut p = Plant::new(
            &machine,
            &demo::batch("glass-discs"),
            &demo::recipe("glass-f800").consumables,
            &Deviations::NOMINAL,
            seed,
        );
        let out = Outputs {
            rod: RodValve::LowerFast,
            pin_withdraw: true,
            ..Outputs::default()
        };
        let counts: Vec<i32> = (0..3000)
            .map(|_| {
                p.step(&out);
                p.inputs().cell_counts
            })
            .collect();
        (counts, p)
    };
    let (a, mut plant) = history(5);
    assert_eq!(a, history(5).0);
    assert_ne!(a, history(6).0);
    let mut fork = plant.clone();
    for _ in 0..1000 {
        plant.step(&Outputs::default());
        fork.step(&Outputs::default());
    }
    assert_eq!(plant.inputs(), fork.inputs());
    assert_eq!(plant.truth(), fork.truth());
}

#[test]
fn every_supported_fault_acts_and_leaves_the_numbers_finite() {
    let base = {
        // Plates so light that they warm visibly in seconds.
        let mut rig = Rig::with(&Deviations::NOMINAL, |m, _| m.thermal.capacity = 100.0).seated();
        rig.out.pump = 1000;
        rig.run(20.0);
        rig.press(0.3).turn([14.0, 5.0, 28.0, -14.0]).run(3.0);
        rig
    };
    for row in SUPPORTED {
        let fault = Fault {
            component: row.component,
            mode: row.mode,
            magnitude: None,
        };
        let mut plant = base.plant.clone();
        let mut out = base.out;
        out.pump = 1000;
        if row.component == Component::Parts {
            assert_eq!(plant.inject(&fault), Err(FaultRefused::PlateDown));
            plant = Rig::new().plant;
        }
        plant.inject(&fault).expect("supported");
        let mut healthy = base.plant.clone();
        if row.component == Component::Parts {
            healthy = Rig::new().plant;
        }
        let mut seen = false;
        for tick in 0..6000 {
            // A little of everything, so that each component is asked to move.
            if tick == 1500 {
                out.cap_command = 30_000;
                out.drives[2].setpoint = 2000;
                out.drives[3].setpoint = -1000;
                out.drives[0].setpoint = 1000;
                out.drives[1].setpoint = 300;
                out.rinse = true;
                out.pump = 200;
                out.guard_unlock = true;
                out.agitator = false;
                out.pin_withdraw = false;
            }
            if tick == 2500 && row.component != Component::Counterbalance {
                for p in [&mut plant, &mut healthy] {
                    let lost = Fault {
                        component: Component::Counterbalance,
                        mode: FaultMode::Off,
                        magnitude: None,
                    };
                    p.inject(&lost).expect("supported");
                }
            }
            if tick == 3000 {
                out.dump_shut = false;
                out.pin_withdraw = true;
                out.rod = RodValve::Lift;
                for p in [&mut plant, &mut healthy] {
                    p.act(StationAct::PressEstop);
                    p.act(StationAct::OpenGuard);
                }
            }
            if tick == 5000 {
                out.rod = RodValve::Trapped;
            }
            plant.step(&out);
            healthy.step(&out);
            // Ages and noise are the same in both: any difference is the fault's.
            seen |= plant.inputs() != healthy.inputs() || plant.truth() != healthy.truth();
        }
        let t = plant.truth();
        let numbers = [
            t.load,
            t.rod_force,
            t.height,
            t.cap_pressure,
            t.rod_pressure,
            t.wetness,
        ];
        assert!(numbers.iter().all(|x| x.is_finite()), "{row:?}: {t:?}");
        assert!(t.speeds.iter().all(|x| x.is_finite()), "{row:?}: {t:?}");
        assert!(seen, "{row:?} changed nothing");
        plant.clear(row.component);
    }
}

#[test]
fn a_lost_counterbalance_rests_the_whole_weight_and_the_switch_sees_it() {
    let mut rig = Rig::new().seated();
    rig.plant
        .inject(&Fault {
            component: Component::Counterbalance,
            mode: FaultMode::Off,
            magnitude: None,
        })
        .expect("supported");
    rig.run(2.0);
    let weight = rig.machine.actuator.weight();
    assert!(!rig.plant.inputs().counterbalance_ok);
    assert!(
        (rig.plant.axis.load - weight).abs() < rig.machine.actuator.seal_breakaway + 1.0,
        "{}",
        rig.plant.axis.load
    );
}

/// Machine C descends and touches down without a crash.
#[test]
fn a_large_machine_descends_as_well() {
    let mut rig = Rig::of("silicon-f1000", &Deviations::NOMINAL, |_, _| {}).seated();
    let a = rig.machine.actuator.clone();
    assert!((a.resting_load() - 500.0).abs() < 5.0);
    assert!((rig.plant.axis.load - a.resting_load()).abs() < a.seal_breakaway);
    let bound = a.speed_creep * (rig.batch.stiffness() * a.mass).sqrt();
    assert!(
        rig.plant.truth().first_contact < bound,
        "{:?}",
        rig.plant.truth()
    );
    rig.press(0.5).run(2.0);
    let expected = a.resting_load() + 0.5 * a.line_gain();
    assert!((rig.plant.axis.load - expected).abs() < a.seal_breakaway + 40.0);
}

/// Every machine of the envelope descends, rests and presses within what its numbers say.
#[test]
fn the_envelope_descends_rests_and_presses() {
    let envelope = demo::machine("machine-a").envelope;
    for index in 0..60 {
        let dev = if index % 2 == 0 {
            super::envelope::draw(&envelope, 3, index)
        } else {
            super::envelope::corner(&envelope, u64::from(2 * super::envelope::WIDTHS) + index)
        };
        let mut rig = Rig::with(&dev, |_, _| {}).seated();
        let a = rig.machine.actuator.clone();
        let rest = a.weight() * dev.weight - a.area_rod() * a.counterbalance * dev.counterbalance;
        let seals = a.seal_breakaway * dev.seal_friction;
        assert!((rig.plant.axis.load - rest).abs() < seals, "{dev:?}");
        assert!(!rig.plant.harm().any(), "{:?} {dev:?}", rig.plant.harm());
        rig.press(0.4).run(2.0);
        let share = dev.regulator_gain * 0.4 + dev.regulator_offset;
        let slack = seals + (a.resolution + 0.5 * a.play) * a.line_gain();
        let expected = rest + a.line_gain() * share;
        assert!((rig.plant.axis.load - expected).abs() < slack, "{dev:?}");
    }
}

#[test]
fn the_drives_say_when_they_have_turned() {
    let mut rig = Rig::new().seated();
    rig.turn([14.0, 5.0, 28.0, -14.0]);
    let mut before = rig.plant.fast_truth();
    let mut turned = 0;
    for tick in 0..1000 {
        rig.plant.step(&rig.out);
        let now = rig.plant.fast_truth();
        turned += u32::from(now.turned);
        if !now.turned {
            assert_eq!(
                (now.speeds, now.torques),
                (before.speeds, before.torques),
                "tick {tick}"
            );
        }
        before = now;
    }
    assert_eq!(turned, 1000 / super::DRIVE_TICKS);
}
