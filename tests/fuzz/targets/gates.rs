//! Parameters and recipes at the edges of their gates, and beyond: what a gate lets through must run.

use super::bytes::Bytes;
use super::machine::{DEMO, job, power_up};
use super::tick::Play;
use firmware_core::params::ParamsWire;
use firmware_core::plate_form::{FormControl, RingSetting};
use firmware_core::process_image::DRIVES;
use firmware_core::recipe::{EndWire, RecipeWire};
use firmware_core::sequence::{Command, Request};
use firmware_core::units::{
    Celsius, Hertz, Micrometres, MillilitresPerMinute, NewtonMetres, Newtons, NewtonsPerCount,
    NewtonsPerSecond, PerNewton, Ratio, Rpm, RpmPerSecond, Seconds, Ticks,
};

/// Changes the field of number `$at` by `$change`, which takes and gives a float.
macro_rules! change {
    ($of:expr, $at:expr, $change:expr; $($field:ident $unit:ident),+ $(,)?) => {{
        let mut number = 0_u8;
        $(
            if number == $at {
                $of.$field = $unit::new($change($of.$field.get()));
            }
            number += 1;
        )+
        number
    }};
}

/// A cycle by the book on parameters and a recipe that were edited, with whatever else the bytes do to it.
pub fn gates(bytes: &[u8]) {
    let mut bytes = Bytes::new(bytes);
    let job = job(bytes.pick::<&str>(&DEMO));
    let Ok(params) = parameters(job.params.get(), &mut bytes).check() else {
        return;
    };
    let mut recipe = edited(&job.compiled, &mut bytes);
    recipe.params_hash = params.hash();
    recipe.machine_id = params.get().machine_id;
    let mut moment = power_up(job, params);
    // As the operator by the book does, where the bytes do not do it otherwise.
    moment.pieces = recipe.pieces;
    let mut play = Play::new(moment, &recipe);
    play.give(Some(Request::LoadRecipe(recipe.clone())), None, 150);
    play.give(None, Some(Command::Reset), 50);
    let pieces = recipe.pieces;
    play.give(Some(Request::ConfirmParts { pieces }), None, 100);
    play.give(None, Some(Command::Start), 1);
    play.all(&mut bytes);
}

/// Parameters with some of their fields changed.
fn parameters(base: &ParamsWire, bytes: &mut Bytes<'_>) -> ParamsWire {
    let mut p = base.clone();
    for _ in 0..bytes.u8() % 5 {
        let field = bytes.u8() % 60;
        let scalars = change!(p, field, |value| bytes.near(value);
            cell_scale NewtonsPerCount, weight Newtons, tare_band Newtons, cap_scale NewtonsPerCount, rod_scale NewtonsPerCount,
            line_tolerance Newtons, resting Newtons, line_gain Newtons, lag Seconds, slew Ratio, kc PerNewton, ti Seconds,
            setpoint_weight Ratio, deadband Newtons, filter Hertz, governor_gain Ratio, governor_margin Newtons, initial Newtons,
            lowest Newtons, first_contact Newtons, contact Newtons, stuck Newtons, rated Newtons, band Newtons, band_share Ratio,
            ramp_max NewtonsPerSecond, height_raised Micrometres, approach Micrometres, contact_tolerance Micrometres,
            drive_ramp RpmPerSecond, speed_tolerance Rpm, setup_speed Rpm, flow_min MillilitresPerMinute,
            flow_max MillilitresPerMinute, temperature_high Celsius, temperature_very_high Celsius,
        );
        let Some(rest) = field.checked_sub(scalars) else {
            continue;
        };
        let drive = usize::from(bytes.u8()) % DRIVES;
        let ticks = Ticks(span(bytes));
        match rest {
            0 => p.torque_max[drive] = NewtonMetres::new(bytes.near(p.torque_max[drive].get())),
            1 => p.speed_max[drive] = Rpm::new(bytes.near(p.speed_max[drive].get())),
            2 => p.fixed[drive] = bytes.bool(),
            3 => p.cell_range_counts = i32::from_le_bytes(bytes.u32().to_le_bytes()),
            4 => p.dead_time = ticks,
            5 => p.travel_time = ticks,
            6 => p.lift_time = ticks,
            7 => p.supply_min = bytes.u16(),
            8 => p.estop_category = bytes.u8(),
            9 => p.stop_time = ticks,
            10 => p.coast_time = ticks,
            11 => p.hold_time = ticks,
            12 => p.settle_limit = ticks,
            13 => p.machine_id = bytes.u32(),
            _ => p.schema = bytes.u16(),
        }
    }
    p
}

/// A recipe with some of its fields changed.
pub fn edited(base: &RecipeWire, bytes: &mut Bytes<'_>) -> RecipeWire {
    let mut r = base.clone();
    for _ in 0..bytes.u8() % 4 {
        match bytes.u8() % 12 {
            0 => r.pieces = bytes.u16(),
            1 => r.contact_height = Micrometres::new(bytes.near(r.contact_height.get())),
            2 => r.prestart = Ticks(span(bytes)),
            3 => r.prestart_flow = MillilitresPerMinute::new(bytes.near(r.prestart_flow.get())),
            4 => r.rinse = Ticks(span(bytes)),
            5 => r.size_lower = Micrometres::new(bytes.near(r.size_lower.get())),
            6 => r.flatness = Some(form(bytes)),
            7 => {
                let again = r.steps.first().cloned();
                // A full recipe stays as it is.
                let _ = again.map(|step| r.steps.push(step));
            }
            8 => {
                r.steps.pop();
            }
            _ => step(&mut r, bytes),
        }
    }
    r
}

fn step(r: &mut RecipeWire, bytes: &mut Bytes<'_>) {
    let at = usize::from(bytes.u8()) % r.steps.len().max(1);
    let Some(step) = r.steps.get_mut(at) else {
        return;
    };
    let field = bytes.u8() % 8;
    let scalars = change!(step, field, |value| bytes.near(value);
        load Newtons, load_limit Newtons, ramp NewtonsPerSecond, flow MillilitresPerMinute,
    );
    match field.checked_sub(scalars) {
        None => {}
        Some(0) => {
            let drive = usize::from(bytes.u8()) % DRIVES;
            step.speeds[drive] = Rpm::new(bytes.near(step.speeds[drive].get()));
        }
        Some(1) => step.longest = Ticks(span(bytes)),
        Some(_) => {
            step.end = match bytes.u8() % 3 {
                0 => EndWire::Time(Ticks(span(bytes))),
                1 => EndWire::Stock(Micrometres::new(bytes.f32())),
                _ => EndWire::Size(Micrometres::new(bytes.f32())),
            }
        }
    }
}

fn form(bytes: &mut Bytes<'_>) -> FormControl {
    let mut control = FormControl {
        settings: Default::default(),
        deadband: Micrometres::new(bytes.near(2.0)),
        limit: Micrometres::new(bytes.near(20.0)),
        longest: bytes.u16(),
    };
    for number in 0..bytes.u8() % 7 {
        let programmed = number == 0 && bytes.bool();
        let setting = RingSetting {
            reversed: !programmed && bytes.bool(),
            trim: Ratio::new(if programmed { 0.0 } else { bytes.near(0.1) }),
            change: [bytes.near(1.0), bytes.near(-1.0)].map(Micrometres::new),
        };
        // One more than there is room for is tried too.
        let _ = control.settings.push(setting);
    }
    control
}

/// A time at an edge, or any, ticks.
fn span(bytes: &mut Bytes<'_>) -> u32 {
    match bytes.u8() % 8 {
        0 => 0,
        1 => 1,
        2 => u32::MAX,
        3 => 86_400_000,
        4 => 86_400_001,
        5 => u32::from(bytes.u8()),
        6 => u32::from(bytes.u16()),
        _ => bytes.u32(),
    }
}
