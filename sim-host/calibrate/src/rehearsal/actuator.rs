//! The tests of an actuator, one after the other, with the plate on a stiff ring.

use super::head;
use firmware_core::process_image::RodValve;
use std::fmt::Write as _;
use twinplate_sim::files::Set;
use twinplate_sim::math::{abs, limit, max, nearest_within};
use twinplate_sim::model::{Batch, Deviations, Machine};
use twinplate_sim::rig::{Rig, ticks};

/// Command of the cap-side regulator at its full scale.
const FULL: f64 = 65_535.0;
/// How much stiffer than the batch's parts the ring is on which the plate stands.
const STIFFER: f64 = 1000.0;
/// Lower end of the sweep, share of full scale.
const LOWEST: f64 = 0.05;
/// Upper end of sweep and steps: where the load is this share of the plate's weight, as the machine file has it. Beyond the weight the rod
/// force changes its sign, and the cell's lash shows.
const TOP: f64 = 0.9;
/// And within these shares of full scale.
const TOPS: [f64; 2] = [0.3, 0.85];
/// Its rate, share of full scale per second, and seconds between its rows.
const RATE: f64 = 0.004;
const SWEEP_ROW: f64 = 0.1;
/// Where steps begin, and where each goes, shares of the upper end: small ones and large.
const FIRST: f64 = 0.3;
const STEPS: [f64; 6] = [0.45, 0.9, 0.6, 0.4, 1.0, 0.3];
/// A step lasts so many lags of the machine file, and has so many rows.
const STEP_LAGS: f64 = 8.0;
const STEP_ROWS: f64 = 250.0;
/// Command from which the dump valve vents, share of the upper end.
const DUMPED: f64 = 0.9;
/// Its rows over so many of its time constants.
const DUMP_LAGS: f64 = 8.0;
const DUMP_ROWS: f64 = 160.0;
/// Speeds of the motions, shares of the fast descent, besides the creep: the creep's throttle opened.
const SPEEDS: [f64; 3] = [0.2, 0.5, 1.0];
/// A motion is steady when the gauge stands for a quarter to a whole second, in which the plate goes so far, m; it is waited for at most so
/// many seconds.
const STANDS: [f64; 2] = [0.25, 1.0];
const GOES: f64 = 5e-3;
const LONGEST: f64 = 120.0;
/// Seconds while a motion is recorded, and between its rows.
const RECORDED: f64 = 1.0;
const MOTION_ROW: f64 = 0.1;
/// Seconds for which the load settles at a command before a recording.
const SETTLE: f64 = 3.0;
/// Pascals in a digit of the rod pressure's input.
const ROD_DIGIT: f64 = 10.0;

/// The sheet of a machine, drawn or as its file says.
#[must_use]
pub fn actuator(set: &Set, deviations: &Deviations, seed: u64) -> String {
    let machine = &set.machine.value;
    let mut text = head(
        &machine.id,
        "plate moved in the air, then on a stiff ring, loop open",
    );
    text.push_str("test, run, time [s], command [%], load [N], rod [bar], speed [mm/s]\n");
    motions(&mut text, set, deviations, seed);
    let batch = ring(&set.batch.value);
    let consumables = &set.recipe.value.consumables;
    let mut rig = Rig::hung(machine, &batch, consumables, deviations, seed);
    rig.lower(machine, &batch);
    rig.out.dump_shut = false;
    let a = &machine.actuator;
    let top = (TOP * a.weight() - a.resting_load()) / a.line_gain();
    let mut bench = Bench {
        rig,
        text,
        now: 0,
        top: limit(top, TOPS[0], TOPS[1]),
    };
    bench.rest();
    bench.rig.out.dump_shut = true;
    bench.sweep();
    bench.steps(machine);
    bench.dump(machine);
    bench.text
}

/// A stiff ring in the parts' place: as thick, flat, and far stiffer.
fn ring(batch: &Batch) -> Batch {
    Batch {
        stiffness_per_area: STIFFER * batch.stiffness_per_area,
        strength: STIFFER * batch.strength,
        ..batch.clone()
    }
}

/// The plate down and up through the air at several speeds, cap side vented.
fn motions(text: &mut String, set: &Set, deviations: &Deviations, seed: u64) {
    let file = &set.machine.value;
    let fast = file.actuator.speed_fast;
    let speeds = SPEEDS.map(|share| share * fast);
    for (number, speed) in [file.actuator.speed_creep]
        .into_iter()
        .chain(speeds)
        .enumerate()
    {
        let mut machine = file.clone();
        machine.actuator.speed_creep = speed;
        let batch = &set.batch.value;
        let consumables = &set.recipe.value.consumables;
        let mut rig = Rig::hung(&machine, batch, consumables, deviations, seed);
        for (word, valve) in [
            ("lower", RodValve::LowerCreep),
            ("lift", RodValve::LiftCreep),
        ] {
            if valve == RodValve::LiftCreep {
                // Room above to come to a steady speed in.
                let half = 0.5 * machine.actuator.height_raised;
                rig.out.rod = RodValve::LowerFast;
                rig.until(|plant| plant.truth().height < half);
            }
            rig.out.rod = valve;
            until_steady(&mut rig, speed);
            let mut rows = Vec::new();
            let from = rig.plant.inputs().plate_height;
            for _ in 0..ticks(RECORDED) / ticks(MOTION_ROW) {
                rig.run(ticks(MOTION_ROW));
                rows.push(f64::from(rig.plant.inputs().rod_pressure) * ROD_DIGIT);
            }
            let gone = f64::from(rig.plant.inputs().plate_height - from).abs() * 1e-3;
            for rod in rows {
                let speed = gone / RECORDED;
                let _ = writeln!(
                    text,
                    "{word}, {}, , , , {:.4}, {speed:.3}",
                    number + 1,
                    rod * 1e-5
                );
            }
        }
    }
}

/// Waits until the gauge stands and the plate goes. At creep it takes the air a while to carry the friction the other way.
fn until_steady(rig: &mut Rig, speed: f64) {
    let [short, long] = STANDS;
    let pause = limit(GOES / speed, short, long);
    let seen = |rig: &Rig| {
        let inputs = rig.plant.inputs();
        (inputs.rod_pressure, f64::from(inputs.plate_height) * 1e-6)
    };
    let mut before = seen(rig);
    for _ in 0..ticks(LONGEST) / ticks(pause) {
        rig.run(ticks(pause));
        let now = seen(rig);
        if now.0.abs_diff(before.0) <= 1 && abs(now.1 - before.1) > 0.5 * speed * pause {
            return;
        }
        before = now;
    }
}

/// The rig and what was written of it; `now` in ticks.
struct Bench {
    rig: Rig,
    text: String,
    now: u32,
    /// Upper end of the command.
    top: f64,
}

impl Bench {
    fn run(&mut self, ticks: u32) {
        self.rig.run(ticks);
        self.now += ticks;
    }

    fn command(&mut self, share: f64) {
        self.rig.out.cap_command = nearest_within(share * FULL, 0.0, FULL).unsigned_abs() as u16;
    }

    fn row(&mut self, test: &str, command: bool) {
        let time = f64::from(self.now) * 1e-3;
        let percent = 100.0 * f64::from(self.rig.out.cap_command) / FULL;
        let told = if command {
            format!("{percent:.4}")
        } else {
            String::new()
        };
        let _ = writeln!(
            self.text,
            "{test}, , {time:.3}, {told}, {:.2}, , ",
            self.rig.load()
        );
    }

    fn rest(&mut self) {
        for _ in 0..20 {
            self.run(ticks(SWEEP_ROW));
            let (time, rod) = (
                f64::from(self.now) * 1e-3,
                self.rig.plant.inputs().rod_pressure,
            );
            let rod = f64::from(rod) * ROD_DIGIT * 1e-5;
            let _ = writeln!(
                self.text,
                "rest, , {time:.3}, , {:.2}, {rod:.4}, ",
                self.rig.load()
            );
        }
    }

    fn sweep(&mut self) {
        let (low, high) = (LOWEST, self.top);
        self.command(low);
        self.run(ticks(SETTLE));
        let way = ticks((high - low) / RATE);
        for tick in 0..2 * way {
            let gone = f64::from(if tick < way { tick } else { 2 * way - tick }) * 1e-3 * RATE;
            self.command(low + gone);
            if tick % ticks(SWEEP_ROW) == 0 {
                self.row("sweep", true);
            }
            self.run(1);
        }
    }

    fn steps(&mut self, machine: &Machine) {
        self.command(FIRST * self.top);
        self.run(ticks(SETTLE));
        let long = max(
            STEP_LAGS * (machine.actuator.lag + machine.actuator.dead_time),
            0.5,
        );
        let every = (ticks(long / STEP_ROWS) / 4 * 4).max(4);
        let rows = ticks(long) / every;
        for _ in 0..rows / 4 {
            self.row("step", true);
            self.run(every);
        }
        for (number, to) in (0_u32..).zip(STEPS) {
            // Recorder and controller have clocks of their own: the command changes anywhere between two rows.
            let early = every / 4 * (1 + number % 3);
            self.row("step", true);
            self.run(early);
            self.command(to * self.top);
            self.run(every - early);
            for _ in 0..rows {
                self.row("step", true);
                self.run(every);
            }
        }
    }

    fn dump(&mut self, machine: &Machine) {
        self.command(DUMPED * self.top);
        self.run(ticks(SETTLE));
        let every = ticks(DUMP_LAGS * machine.actuator.dump_lag / DUMP_ROWS).max(1);
        self.rig.out.dump_shut = false;
        for _ in 0..DUMP_ROWS as u32 {
            self.row("dump", false);
            self.run(every);
        }
    }
}
