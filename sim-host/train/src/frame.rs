//! The machine as the panel shows it: measured values and the controller's own view, never true ones.

use super::exercise::step_time;
use super::log::seconds;
use super::protocol::{Alarm, Form, Frame, Pace, Switches};
use super::session::Session;
use super::watcher::{NO_ENDS, pressing};
use super::words;
use firmware_core::interlock::{AlarmState, TABLE};
use firmware_core::plate_form::OUT_OF_DATE;
use firmware_core::process_image::{ALL_DRIVES, DRIVES};
use firmware_core::sequence::{Phase, Plate, State};
use std::f64::consts::PI;
use twinplate_sim::bench::ControllerPort;
use twinplate_sim::math;
use twinplate_sim::model::Rings;
use twinplate_sim::plant::kinematics::carrier_motion;
use twinplate_sim::training::act::Act;
use twinplate_words::Words;

/// rad/s as rpm.
const TO_RPM: f64 = 30.0 / PI;

impl<C: ControllerPort> Session<C> {
    /// The machine as it is now; the ends of the load are those since the frame before.
    pub fn frame(&mut self, pace: Pace, kept: f64) -> Frame {
        let mut frame = self.picture(pace, kept);
        let recorder = self.bench.recorder_mut();
        if recorder.frame[0] <= recorder.frame[1] {
            frame.load_range_n = recorder.frame.map(f64::from);
        }
        recorder.frame = NO_ENDS;
        frame
    }

    /// As [`Session::frame`], with the load of this moment for its ends.
    #[must_use]
    pub fn picture(&self, pace: Pace, kept: f64) -> Frame {
        let advice = self.advice();
        let status = self.status();
        let plant = self.bench.plant();
        let inputs = plant.inputs();
        let machine = &self.exercise.job.machine;
        let recalled = self.recalled();
        let step = recalled.and_then(|job| job.recipe.steps.get(usize::from(status.step)));
        let turning = matches!(
            status.phase,
            Phase::RunUp | Phase::LoadRamp | Phase::Dwell | Phase::LoadRelease | Phase::Rinse
        );
        let asked = match step {
            Some(step) if turning => step.speeds.map(|speed| speed * TO_RPM),
            _ => [0.0; DRIVES],
        };
        let speeds_rpm = inputs.drives.map(|drive| f64::from(drive.speed) * 0.01);
        let carriers = carrier_motion(&machine.geometry, &speeds_rpm);
        let load = f64::from(pressing(status, status.load.get()));
        Frame {
            tick: self.tick(),
            time_s: self.time_s(),
            pace,
            kept,
            state: status.state.name().into(),
            phase: status.phase.name().into(),
            step: status.step,
            mode: status.mode.name().into(),
            plate: status.plate.name().into(),
            load_mode: status.load_mode.name().into(),
            advised: advice.act.as_ref().map_or("", Act::word).into(),
            waits: advice.text,
            phase_s: seconds(self.tick().saturating_sub(self.live.phase_from)),
            step_s: [
                seconds(status.step_time.0),
                recalled.map_or(0.0, |job| step_time(&job.recipe, status.step)),
            ],
            load_n: load,
            reference_n: f64::from(status.reference.get()),
            limit_n: f64::from(status.load_limit.get()),
            load_range_n: [load; 2],
            height_m: f64::from(inputs.plate_height) * 1e-6,
            speeds_rpm,
            carriers_rpm: [carriers.orbit, carriers.spin],
            speeds_asked_rpm: asked,
            torques: ALL_DRIVES.map(|drive| {
                let index = drive as usize;
                let largest = machine.drives[index].torque;
                if largest > 0.0 {
                    f64::from(inputs.drives[index].torque) * 0.1 / largest
                } else {
                    0.0
                }
            }),
            flow_l_min: [inputs.slurry_flow, inputs.rinse_flow].map(|flow| f64::from(flow) * 1e-3),
            tank: f64::from(inputs.tank_level.value) * 1e-3,
            plates_c: inputs
                .plate_temperature
                .map(|plate| f64::from(plate.value) * 0.01),
            // Plates that are apart gauge nothing.
            size_m: match status.plate {
                Plate::Contact => f64::from(status.size.get()) * 1e-6,
                Plate::Air | Plate::Parked => 0.0,
            },
            supply_pa: f64::from(inputs.supply_pressure) * 100.0,
            response: status.response.name().into(),
            stop_category: self.stop_category(),
            cause: status.cause,
            alarms: self.alarms(),
            missing: self.missing(status.missing),
            switches: self.switches(),
            recipe: self.live.recipe,
            confirmed: self.live.confirmed,
            at_work_s: self.at_work().map(|(_, left)| left),
            form: self.form_frame(),
            guide: self.guide(),
            can_finish: status.state.rests(status.phase) && status.standstill,
        }
    }

    /// Lamps and switches.
    fn switches(&self) -> Switches {
        let (plant, outputs) = (self.bench.plant(), self.answer().outputs);
        let inputs = plant.inputs();
        Switches {
            estop: !inputs.estop_a || !inputs.estop_b,
            guard_open: !inputs.guard_a || !inputs.guard_b,
            guard_locked: inputs.guard_locked,
            setup_key: inputs.setup_key,
            hold_to_run: inputs.hold_to_run,
            loaded: plant.loaded(),
            agitator: inputs.agitator_turning,
            pin: inputs.pin_in,
            pump: outputs.pump > 0,
            rinse: outputs.rinse,
            drives: outputs.drives.iter().any(|drive| drive.enable),
            standstill: self.status().standstill,
            own_lock: self.live.locked_out,
        }
    }

    /// What the controller makes of the plates' form, where the recalled recipe keeps them flat.
    fn form_frame(&self) -> Option<Form> {
        let control = self.recalled()?.recipe.flatness.as_ref()?;
        let status = self.status();
        let rings = usize::from(status.ring_setting)
            .checked_sub(1)
            .and_then(|index| control.settings.get(index));
        Some(Form {
            by: control.measured.name().into(),
            plates_m: status.form.map(|form| f64::from(form.get()) * 1e-6),
            age: (status.form_age < OUT_OF_DATE).then_some(status.form_age),
            longest: control.longest_unreported,
            setting: status.ring_setting,
            rings: rings_text(self.words(), rings.unwrap_or(&Rings::PROGRAMMED)),
        })
    }

    /// Category of the stop that is under way or was made; `None` on the ladder and at rest after a reset.
    fn stop_category(&self) -> Option<u8> {
        let status = self.status();
        match status.state {
            State::Aborting | State::Aborted => Some(0),
            State::Stopping => Some(1),
            State::Holding | State::Held => Some(2),
            State::Stopped if status.cause != 0 => Some(1),
            _ => status.response.stop_category(),
        }
    }

    fn alarms(&self) -> Vec<Alarm> {
        let status = self.status();
        let alarms = self.answer().alarms;
        TABLE
            .iter()
            .enumerate()
            .filter_map(|(index, row)| {
                let bit = 1_u64 << index;
                let gone = status.active & bit == 0 && status.latched & bit != 0;
                let state = match alarms.state(bit) {
                    AlarmState::Normal => return None,
                    AlarmState::Acknowledged if gone => words::LATCHED,
                    state => state.name(),
                };
                Some(Alarm {
                    row: row.id,
                    state: state.into(),
                    since_s: seconds(self.live.since[index]),
                    first_out: status.cause == row.id,
                })
            })
            .collect()
    }
}

/// How the rings turn, for people.
fn rings_text(words: &Words, rings: &Rings) -> String {
    let percent = math::round(rings.trim * 1000.0) / 10.0;
    let trim = words.written(&format!("{percent:+}"));
    match (rings.reverse, math::abs(percent) > 0.0) {
        (false, false) => words.say("rings-programmed"),
        (true, false) => words.say("rings-reversed"),
        (false, true) => words.tell("rings-trimmed", &[("trim", trim.into())]),
        (true, true) => words.tell("rings-reversed-trimmed", &[("trim", trim.into())]),
    }
}
