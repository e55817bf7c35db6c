//! The controller's tick with any inputs, commands and requests in any order, on a machine that answers: honest until a field of what it
//! reports is put to something else. Every tick is judged.

use super::bytes::Bytes;
use super::gates::edited;
use super::machine::{DEMO, Moment, job, moments};
use firmware_core::controller::Controller;
use firmware_core::params::ParamsWire;
use firmware_core::process_image::{Inputs, Outputs, Slow};
use firmware_core::recipe::RecipeWire;
use firmware_core::sequence::{ALL_COMMANDS, ALL_MODES, ALL_SETUP_MOVES, Command, Request, State};
use firmware_core::status::{Response, Status};
use firmware_core::units::{Micrometres, Ticks};
use stop_rules::{Given, Tick, judge};
use twinplate_sim::fault_words::{COMPONENTS, FAULT_MODES};
use twinplate_sim::model::{Fault, StationAct};

#[path = "../../properties/stop_rules.rs"]
mod stop_rules;

/// Most ticks of one execution.
const MOST: u32 = 8_000;
/// What can be waited for at once, ticks.
const SPANS: [u32; 12] = [1, 2, 3, 5, 10, 25, 100, 300, 1_000, 2_000, 4_000, 6_000];

/// Every hand on the machine.
const HANDS: [StationAct; 14] = [
    StationAct::PressEstop,
    StationAct::ReleaseEstop,
    StationAct::OpenGuard,
    StationAct::CloseGuard,
    StationAct::SetupKey(true),
    StationAct::SetupKey(false),
    StationAct::HoldToRun(true),
    StationAct::HoldToRun(false),
    StationAct::Link(true),
    StationAct::Link(false),
    StationAct::LocalEnable(true),
    StationAct::LocalEnable(false),
    StationAct::LoadCarriers,
    StationAct::UnloadCarriers,
];

/// From any place of a demonstration cycle.
pub fn tick(bytes: &[u8]) {
    let mut bytes = Bytes::new(bytes);
    let name = *bytes.pick(&DEMO);
    let moment = bytes.pick(moments(name)).clone();
    Play::new(moment, &job(name).compiled).all(&mut bytes);
}

/// What is told instead of the truth, until it is taken back.
#[derive(Clone, Copy)]
struct Lie {
    field: u8,
    value: i32,
    /// Another value in every tick.
    noisy: bool,
}

/// A machine and its controller under somebody who does anything.
pub struct Play<'a> {
    at: Moment,
    /// The recipe whose edges are tried.
    recipe: &'a RecipeWire,
    lies: Vec<Lie>,
    left: u32,
    request: Option<Request>,
    command: Option<Command>,
    /// Status and outputs of the tick before; none after power was away.
    before: Option<(Status, Outputs)>,
}

impl<'a> Play<'a> {
    pub fn new(at: Moment, recipe: &'a RecipeWire) -> Self {
        Self {
            at,
            recipe,
            lies: Vec::new(),
            left: MOST,
            request: None,
            command: None,
            before: None,
        }
    }

    /// A request and a command, and some ticks with them.
    pub fn give(&mut self, request: Option<Request>, command: Option<Command>, span: u32) {
        (self.request, self.command) = (request, command);
        self.ticks(span);
    }

    /// Does all that the bytes say, and a last stretch.
    pub fn all(mut self, bytes: &mut Bytes<'_>) {
        while bytes.more() && self.left > 0 {
            self.one(bytes);
        }
        self.ticks(2);
    }

    fn one(&mut self, bytes: &mut Bytes<'_>) {
        match bytes.u8() % 16 {
            0..=3 => {
                let span = *bytes.pick(&SPANS);
                self.ticks(span);
            }
            4 | 5 => self.command = Some(*bytes.pick(&ALL_COMMANDS)),
            6 | 7 => self.request = Some(self.request(bytes)),
            8 | 9 => self.lies.push(Lie {
                field: bytes.u8(),
                value: value(bytes),
                noisy: false,
            }),
            10 => self.lies.push(Lie {
                field: bytes.u8(),
                value: value(bytes),
                noisy: true,
            }),
            11 => {
                self.lies.pop();
            }
            12 => self.lies.clear(),
            13 => self.at.plant.act(*bytes.pick(&HANDS)),
            14 => self.fault(bytes),
            _ => self.power(bytes),
        }
    }

    fn fault(&mut self, bytes: &mut Bytes<'_>) {
        let component = bytes.pick(COMPONENTS).1;
        let fault = Fault {
            component,
            mode: bytes.pick(FAULT_MODES).1,
            magnitude: bytes.bool().then(|| f64::from(bytes.f32())),
        };
        if bytes.bool() {
            self.at.plant.clear(component);
        } else {
            // A component that cannot fail so says that it cannot.
            let _ = self.at.plant.inject(&fault);
        }
    }

    /// Power is away for a moment, or the counter of ticks stands before its end.
    fn power(&mut self, bytes: &mut Bytes<'_>) {
        let controller = &mut self.at.controller;
        if bytes.bool() {
            let boots = controller.status().boots.wrapping_add(1);
            *controller = Controller::new(controller.params().clone(), boots);
            self.before = None;
        } else {
            controller.set_tick(Ticks(u32::MAX - u32::from(bytes.u8())));
        }
    }

    fn request(&self, bytes: &mut Bytes<'_>) -> Request {
        match bytes.u8() % 10 {
            0 => Request::ConfirmParts {
                pieces: if bytes.bool() {
                    self.at.pieces
                } else {
                    bytes.u16()
                },
            },
            1 => Request::LoadRecipe(edited(self.recipe, bytes)),
            2 => Request::Raise,
            3 => Request::UnlockGuard,
            4 => Request::LockGuard,
            5 => Request::Acknowledge,
            6 => Request::SetMode(*bytes.pick(&ALL_MODES)),
            7 => Request::SelectMove(*bytes.pick(&ALL_SETUP_MOVES)),
            8 => Request::ArmRemote(bytes.bool()),
            _ => Request::ReportForm {
                lower: Micrometres::new(bytes.f32()),
                upper: Micrometres::new(bytes.f32()),
            },
        }
    }

    fn ticks(&mut self, span: u32) {
        for _ in 0..span.min(self.left) {
            self.left -= 1;
            self.step();
        }
    }

    fn step(&mut self) {
        let mut inputs = *self.at.plant.inputs();
        for lie in &self.lies {
            let value = if lie.noisy {
                mixed(lie.value, self.left)
            } else {
                lie.value
            };
            put(&mut inputs, lie.field, value);
        }
        let (command, request) = (self.command.take(), self.request.take());
        let controller = &mut self.at.controller;
        let taken = request
            .as_ref()
            .is_some_and(|request| controller.request(request).is_ok());
        controller.tick(&inputs, command);
        let (outputs, status) = (*controller.outputs(), *controller.status());
        let tick = Tick {
            tick: MOST - self.left,
            inputs: &inputs,
            outputs: &outputs,
            status: &status,
            faults: inputs.drives.map(|drive| drive.fault),
        };
        let given = Given {
            command,
            raise: taken && request == Some(Request::Raise),
        };
        let params = controller.params().get();
        let held = bounded(&outputs, params)
            .and_then(|()| sane(&status))
            .and_then(|()| stopped(&tick));
        let held = match &self.before {
            Some((was, before)) => held.and_then(|()| judge(was, before, &tick, given).map(drop)),
            None => held,
        };
        if let Err(why) = held {
            panic!("{why}\n{status:#?}\n{outputs:?}\n{inputs:?}");
        }
        self.before = Some((status, outputs));
        self.at.plant.step(&outputs);
    }
}

/// Outputs within their ranges, whatever was read.
fn bounded(outputs: &Outputs, params: &ParamsWire) -> Result<(), String> {
    /// Two roundings lie between a speed and its count, 0.01 rpm.
    const ROUNDING: f32 = 1.01;
    if outputs.pump > 1000 {
        return Err(format!("pump at {} per mille", outputs.pump));
    }
    if outputs.cap_command > 0 && !outputs.dump_shut {
        return Err(format!(
            "cap command {} into an open dump valve",
            outputs.cap_command
        ));
    }
    for (n, drive) in outputs.drives.iter().enumerate() {
        let most = params.speed_max[n].get() * 100.0 + ROUNDING;
        if f32::from(drive.setpoint).abs() > most {
            return Err(format!("drive {n} at {}, largest {most}", drive.setpoint));
        }
        if params.fixed[n] && drive.setpoint != 0 {
            return Err(format!("fixed ring {n} at {}", drive.setpoint));
        }
    }
    Ok(())
}

/// What is told of the controller are numbers.
fn sane(s: &Status) -> Result<(), String> {
    let numbers = [
        ("load_raw", s.load_raw.get()),
        ("load", s.load.get()),
        ("reference", s.reference.get()),
        ("load_limit", s.load_limit.get()),
        ("command", s.command.get()),
        ("governor", s.governor.get()),
        ("size", s.size.get()),
        ("form", s.form[0].get()),
        ("form", s.form[1].get()),
    ];
    for (name, number) in numbers {
        if !number.is_finite() {
            return Err(format!("{name} is {number}"));
        }
    }
    for (name, share) in [("command", s.command.get()), ("governor", s.governor.get())] {
        if !(0.0..=1.0).contains(&share) {
            return Err(format!("{name} is {share}"));
        }
    }
    Ok(())
}

/// While rows ask for a stop, the cycle is on its way to it and no further: category 0 has no power on anything that moves or presses.
fn stopped(tick: &Tick<'_>) -> Result<(), String> {
    let (s, outputs) = (tick.status, tick.outputs);
    let on = matches!(s.state, State::Running | State::Restarting);
    if s.response >= Response::Hold && on {
        return Err(format!(
            "{:?} {:?} under {:?}",
            s.state, s.phase, s.response
        ));
    }
    let held = matches!(s.state, State::Holding | State::Held);
    if s.response >= Response::ControlledStop && held {
        return Err(format!("{:?} under {:?}", s.state, s.response));
    }
    let live = outputs.drives.iter().any(|drive| drive.enable);
    if s.response == Response::ImmediateStop
        && (live || outputs.dump_shut || outputs.cap_command > 0)
    {
        return Err(format!(
            "{:?} {:?}: power under a stop of category 0",
            s.state, s.phase
        ));
    }
    Ok(())
}

/// A value of an input: at the rails of its type, small, or any.
fn value(bytes: &mut Bytes<'_>) -> i32 {
    match bytes.u8() % 8 {
        0 => 0,
        1 => 1,
        2 => i32::MAX,
        3 => i32::MIN,
        4 => 1 << 23,
        5 => i32::from(bytes.u16()),
        6 => i32::from(bytes.u8()) - 128,
        _ => i32::from_le_bytes(bytes.u32().to_le_bytes()),
    }
}

/// Any bits will do, others in every tick: a step of a linear congruential generator.
const fn mixed(seed: i32, tick: u32) -> i32 {
    let bits = seed
        .cast_unsigned()
        .wrapping_add(tick)
        .wrapping_mul(0x9E37_79B1);
    (bits.rotate_left(13).wrapping_mul(0x85EB_CA6B)).cast_signed()
}

fn slow<T>(slow: &mut Slow<T>, value: T, age: bool, ticks: u16) {
    if age {
        slow.age = ticks;
    } else {
        slow.value = value;
    }
}

/// Puts a field of what is reported to a value. A field that is new does not compile until it has its number here.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // any bits will do
fn put(inputs: &mut Inputs, field: u8, value: i32) {
    let Inputs {
        tick_overrun,
        cell_counts,
        cell_ok,
        cap_pressure,
        rod_pressure,
        supply_pressure,
        counterbalance_ok,
        dump_open,
        plate_height,
        pin_in,
        pin_out,
        arm_home,
        guard_a,
        guard_b,
        guard_locked,
        estop_a,
        estop_b,
        drives,
        slurry_flow,
        rinse_flow,
        agitator_turning,
        tank_level,
        plate_temperature,
        gauge,
        gauge_ok,
        setup_key,
        hold_to_run,
        link_alive,
        local_enable,
    } = inputs;
    let bits = [
        tick_overrun,
        cell_ok,
        counterbalance_ok,
        dump_open,
        pin_in,
        pin_out,
        arm_home,
        guard_a,
        guard_b,
        guard_locked,
        estop_a,
        estop_b,
        agitator_turning,
        gauge_ok,
        setup_key,
        hold_to_run,
        link_alive,
        local_enable,
    ];
    let (short, wide) = (value as u16, value as i16);
    let drive = &mut drives[usize::from(field >> 4) % 4];
    match field & 0x0f {
        0..=2 => {
            let at = usize::from(field >> 4) + 16 * usize::from(field & 1);
            *bits.into_iter().nth(at % 18).expect("eighteen bits") = value & 1 == 1;
        }
        3 => *cell_counts = value,
        4 => *cap_pressure = short,
        5 => *rod_pressure = short,
        6 => *supply_pressure = short,
        7 => *plate_height = value,
        8 => drive.speed = wide,
        9 => drive.torque = wide,
        10 => drive.fault = value & 1 == 1,
        11 => *slurry_flow = short,
        12 => *rinse_flow = short,
        13 => slow(tank_level, short, field >> 4 & 1 == 1, short),
        14 => slow(
            &mut plate_temperature[usize::from(field >> 5) % 2],
            wide,
            field >> 4 & 1 == 1,
            short,
        ),
        _ => slow(gauge, value, field >> 4 & 1 == 1, short),
    }
}
