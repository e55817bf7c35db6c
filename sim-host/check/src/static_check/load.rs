//! Pressure, load, limits, governor, cell range and the air line.

use super::Findings;
use crate::case::{BRAKING_TIME, Case};
use crate::catalogue::Code;
use crate::finding::{Place, significant};
use twinplate_sim::compile::{Blame, Holding, OVERSHOOT_NEWTONS, OVERSHOOT_SHARE};
use twinplate_sim::math::{abs, log, max, min};
use twinplate_sim::model::{G, Of, Step};

/// Least change of an air pressure that a cure asks for, Pa: what a gauge shows.
const LEAST_CHANGE: f64 = 1e3;

pub(super) fn check(case: &Case, findings: &mut Findings) {
    cell_range(case, findings);
    resting_and_initial(case, findings);
    holds_anything(case, findings);
    air(case, findings);
    for (index, step) in case.recipe.steps.iter().enumerate() {
        one_step(case, index, step, findings);
    }
    rated(case, findings);
    dump(case, findings);
    contact_height(case, findings);
}

fn cell_range(case: &Case, findings: &mut Findings) {
    let (machine, envelope) = (case.machine, &case.machine.envelope);
    let weight = machine.actuator.weight();
    let range = machine.cell.range / (1.0 + envelope.cell_span);
    // Hanging still, and as the descent is braked.
    let hanging = weight * (1.0 + envelope.weight)
        + machine.actuator.mass * machine.actuator.speed_fast / BRAKING_TIME;
    if hanging > range {
        findings.add(
            Code::LoadAboveCellRange,
            Place::machine("cell.range"),
            (hanging, range, Of::Load),
            format!(
                "the plate hangs, and is braked, with up to {} on a cell that measures ±{}",
                case.load(hanging),
                case.load(machine.cell.range)
            ),
            format!(
                "use a cell of at least ±{}",
                case.at_least(Of::Load, hanging * 1.1, 4)
            ),
        );
    }
    for (index, step) in case.recipe.steps.iter().enumerate() {
        let pressing = step.load_limit - weight * (1.0 - envelope.weight);
        if pressing > range {
            findings.add(
                Code::LoadAboveCellRange,
                Place::step(index, "load_limit"),
                (pressing, range, Of::Load),
                format!(
                    "at its limit of {} step {} puts {} on a cell that measures ±{}",
                    case.load(step.load_limit),
                    index + 1,
                    case.load(pressing),
                    case.load(machine.cell.range)
                ),
                format!(
                    "keep the limit under {}, or use a larger cell",
                    case.at_most(Of::Load, range + weight * (1.0 - envelope.weight), 4)
                ),
            );
        }
    }
}

fn resting_and_initial(case: &Case, findings: &mut Findings) {
    let (machine, envelope) = (case.machine, &case.machine.envelope);
    let (actuator, control) = (&machine.actuator, &machine.control);
    // What is left of the lightest plate must overcome its seals.
    let worst = case.resting_load_low();
    let wanted = actuator.seal_breakaway * (1.0 + envelope.seal_friction);
    // Equal is too low as well: nothing would be left that counts as contact.
    if worst <= wanted {
        findings.add(
            Code::RestingLoadLow,
            Place::machine("actuator.counterbalance"),
            (worst, wanted, Of::Load),
            format!(
                "at the envelope's edge the plate rests with {}; its seals hold up to {}",
                case.load(worst),
                case.load(wanted)
            ),
            format!(
                "lower the counterbalance by {} or more",
                case.at_least(
                    Of::Air,
                    max((wanted - worst) / actuator.area_rod() * 1.02, LEAST_CHANGE),
                    2
                )
            ),
        );
        return;
    }
    // The heaviest plate rests with so much when its seals carry least of it, and the regulator gives what it cannot take back.
    let heaviest = case.resting_load_high() + actuator.line_gain() * envelope.regulator_offset
        - actuator.seal_friction * (1.0 - envelope.seal_friction);
    let wanted = heaviest - min(OVERSHOOT_NEWTONS, case.band(control.initial_load));
    if control.initial_load < wanted {
        findings.add(
            Code::InitialLoadLow,
            Place::machine("control.initial_load"),
            (control.initial_load, wanted, Of::Load),
            format!(
                "the initial load is {}; the heaviest plate of the envelope rests with {}, and nothing takes that away",
                case.load(control.initial_load),
                case.load(heaviest)
            ),
            format!(
                "raise it to {} or more",
                case.at_least(Of::Load, heaviest * 1.05, 4)
            ),
        );
    }
}

/// A machine that holds no load under its rated one: the key to blame is named.
fn holds_anything(case: &Case, findings: &mut Findings) {
    let (holding, rated) = (Holding::of(case.machine), case.machine.control.rated_load);
    if holding.lowest() < rated {
        return;
    }
    let blame = holding.blame();
    let spent = holding.jump + holding.noise + (holding.span + holding.ripple) * rated;
    let allowed = max(OVERSHOOT_NEWTONS, OVERSHOOT_SHARE * rated);
    let most = holding.largest_ripple(rated);
    findings.add(
        Code::NothingHeld,
        Place::machine(blame.key().replace('-', "_")),
        (spent, allowed, Of::Load),
        format!(
            "at the rated load {} of {} allowed are spent before the loop does anything: {} (`{}`)",
            case.say(Of::Load, spent, 3),
            case.say(Of::Load, allowed, 3),
            blame.why(),
            blame.key()
        ),
        if blame == Blame::Runout && most > 0.0 {
            format!(
                "true the plates: `{}` may be {} % at most, for the rated load alone",
                blame.key(),
                significant(most * 100.0, 2)
            )
        } else {
            format!("improve `{}`", blame.key())
        },
    );
}

fn air(case: &Case, findings: &mut Findings) {
    let (actuator, envelope) = (&case.machine.actuator, &case.machine.envelope);
    let supply = actuator.supply_pressure * (1.0 - envelope.supply);
    if supply < actuator.supply_minimum {
        findings.add(
            Code::SupplyShort,
            Place::machine("actuator.supply_pressure"),
            (supply / 1e5, actuator.supply_minimum / 1e5, Of::Air),
            format!(
                "the supply may fall to {}; the machine stops below {}",
                case.say(Of::Air, supply, 3),
                case.say(Of::Air, actuator.supply_minimum, 3)
            ),
            format!(
                "supply at least {}",
                case.at_least(
                    Of::Air,
                    actuator.supply_minimum / (1.0 - envelope.supply),
                    3
                )
            ),
        );
    }
    let pressure = if actuator.lift_pressure < supply {
        actuator.lift_pressure
    } else {
        supply
    };
    let lift = actuator.area_rod() * pressure;
    let heaviest = actuator.mass * G * (1.0 + envelope.weight)
        + actuator.seal_breakaway * (1.0 + envelope.seal_friction)
        + actuator.guide_drag * actuator.speed_lift;
    if lift < heaviest {
        findings.add(
            Code::LiftShort,
            Place::machine("actuator.lift_pressure"),
            (lift, heaviest, Of::Load),
            format!(
                "the lift pulls {}; the plate, its seals and its guides may need {}",
                case.load(lift),
                case.load(heaviest)
            ),
            format!(
                "raise the lift pressure to {}",
                case.at_least(Of::Air, heaviest / actuator.area_rod(), 3)
            ),
        );
    }
}

fn one_step(case: &Case, index: usize, step: &Step, findings: &mut Findings) {
    let (setpoint, name) = (case.setpoint(step), index + 1);
    let holding = Holding::of(case.machine);
    if setpoint < holding.lowest() && !findings.has(Code::NothingHeld) {
        let blame = holding.blame();
        findings.add(
            Code::LoadTooLow,
            Place::step(index, "pressure"),
            (setpoint, holding.lowest(), Of::Load),
            format!(
                "step {name} asks for {}; this machine holds {} or more, because {} (`{}`)",
                case.load(setpoint),
                case.load(holding.lowest()),
                blame.why(),
                blame.key()
            ),
            format!(
                "ask for {} or more, load more pieces, or improve `{}`",
                case.at_least(
                    Of::Pressure,
                    holding.lowest() / case.batch.area() * 1.005,
                    3
                ),
                blame.key()
            ),
        );
    }
    let reachable = case.reachable_load() - case.sticking();
    let least = setpoint - case.band(setpoint);
    if least > reachable {
        findings.add(
            Code::LoadNotReachable,
            Place::step(index, "pressure"),
            (least, reachable, Of::Load),
            format!(
                "step {name} asks for {}; its band begins at {}, and the weakest machine of the envelope reaches {}",
                case.load(setpoint),
                case.load(least),
                case.load(reachable)
            ),
            format!(
                "ask for {} or less, or load fewer pieces",
                case.at_most(Of::Pressure, reachable / case.batch.area(), 3)
            ),
        );
    }
    ramp(case, index, step, findings);
    let from_zero = abs(setpoint - case.machine.actuator.weight());
    if from_zero <= case.machine.cell.lash {
        findings.add(
            Code::RodForceReversal,
            Place::step(index, "pressure"),
            (from_zero, case.machine.cell.lash, Of::Load),
            format!(
                "step {name} holds {}, {} from where the rod force changes sign; the lash is {}",
                case.load(setpoint),
                case.say(Of::Load, from_zero, 2),
                case.say(Of::Load, case.machine.cell.lash, 2)
            ),
            "move the pressure a few percent up or down".to_owned(),
        );
    }
    limit(case, index, step, findings);
    band(case, index, setpoint, findings);
}

/// Load ramp against what the machine allows.
fn ramp(case: &Case, index: usize, step: &Step, findings: &mut Findings) {
    let (control, name) = (&case.machine.control, index + 1);
    if step.ramp > control.ramp_max {
        findings.add(
            Code::RampTooFast,
            Place::step(index, "ramp"),
            (step.ramp, control.ramp_max, Of::Ramp),
            format!(
                "step {name} ramps at {}; the machine allows {}",
                case.say(Of::Ramp, step.ramp, 4),
                case.say(Of::Ramp, control.ramp_max, 4)
            ),
            format!(
                "ramp at {} or less",
                case.at_most(Of::Ramp, control.ramp_max, 4)
            ),
        );
    }
}

/// Limit against setpoint, governor and band.
fn limit(case: &Case, index: usize, step: &Step, findings: &mut Findings) {
    let (setpoint, limit, name) = (case.setpoint(step), step.load_limit, index + 1);
    if limit > case.machine.control.rated_load {
        let rated = case.machine.control.rated_load;
        findings.add(
            Code::LimitAboveRated,
            Place::step(index, "load_limit"),
            (limit, rated, Of::Load),
            format!(
                "step {name} limits the load to {}; the machine is rated {}",
                case.load(limit),
                case.load(rated)
            ),
            format!("limit it to {} or less", case.at_most(Of::Load, rated, 4)),
        );
    }
    let half = case.governor_half_width(limit);
    // Under the initial load it is that load, which every run-up holds, that needs the room.
    let initial = case.machine.control.initial_load;
    let highest = max(setpoint, initial);
    let wanted = case.least_limit(highest);
    if limit <= setpoint {
        findings.add(
            Code::LimitBelowSetpoint,
            Place::step(index, "load_limit"),
            (limit, setpoint, Of::Load),
            format!(
                "step {name} asks for {} and limits the load to {}",
                case.load(setpoint),
                case.load(limit)
            ),
            format!(
                "raise the limit to {} or more",
                case.at_least(Of::Load, wanted, 4)
            ),
        );
    } else if limit - highest < 2.0 * half {
        let over = if setpoint < initial {
            "initial load"
        } else {
            "setpoint"
        };
        findings.add(
            Code::LimitInsideGovernor,
            Place::step(index, "load_limit"),
            (limit - highest, 2.0 * half, Of::Load),
            format!(
                "step {name}: the limit lies {} over the {over}; twice the governor's half-width is {}",
                case.load(limit - highest),
                case.load(2.0 * half)
            ),
            format!(
                "raise the limit to {} or more",
                case.at_least(Of::Load, wanted, 4)
            ),
        );
    } else if setpoint + case.band(setpoint) >= limit {
        findings.add(
            Code::BandAboveLimit,
            Place::machine("control.band_share"),
            (setpoint + case.band(setpoint), limit, Of::Load),
            format!(
                "step {name}: the band reaches {}, the limit is {}",
                case.load(setpoint + case.band(setpoint)),
                case.load(limit)
            ),
            "narrow the band or raise the limit".to_owned(),
        );
    }
}

fn band(case: &Case, index: usize, setpoint: f64, findings: &mut Findings) {
    let holding = Holding::of(case.machine);
    let wanted = holding.jump + holding.noise;
    let band = case.band(setpoint);
    if band < wanted && !findings.has(Code::BandNarrow) {
        findings.add(
            Code::BandNarrow,
            Place::machine("control.band_newtons"),
            (band, wanted, Of::Load),
            format!(
                "step {} counts ±{} as in band; half a step of the regulator and the cell's filtered noise make {}",
                index + 1,
                case.load(band),
                case.load(wanted)
            ),
            format!("widen the band to {}", case.at_least(Of::Load, wanted, 4)),
        );
    }
}

fn rated(case: &Case, findings: &mut Findings) {
    let (actuator, control) = (&case.machine.actuator, &case.machine.control);
    let full = case.full_command_load();
    if full > control.rated_load {
        findings.add(
            Code::FullCommandAboveRated,
            Place::machine("control.rated_load"),
            (full, control.rated_load, Of::Load),
            format!(
                "full command may press with {}; the machine is rated {}",
                case.load(full),
                case.load(control.rated_load)
            ),
            format!(
                "set the relief to {} or less",
                case.at_most(
                    Of::Air,
                    (control.rated_load - full + actuator.line_gain()) / actuator.area_cap(),
                    3
                )
            ),
        );
    }
    if control.first_contact_limit >= control.rated_load {
        findings.add(
            Code::FirstContactAboveRated,
            Place::machine("control.first_contact_limit"),
            (control.first_contact_limit, control.rated_load, Of::Load),
            format!(
                "the first-contact limit of {} is not under the rated load of {}",
                case.load(control.first_contact_limit),
                case.load(control.rated_load)
            ),
            format!("lower it under {}", case.load(control.rated_load)),
        );
    }
}

/// Exponential venting from full command to the breakaway band.
fn dump(case: &Case, findings: &mut Findings) {
    let (actuator, control) = (&case.machine.actuator, &case.machine.control);
    let ratio = actuator.line_gain() / actuator.seal_breakaway;
    let needed = actuator.dump_lag * max(log(ratio), 0.0);
    if control.dump_time < needed {
        findings.add(
            Code::DumpTimeShort,
            Place::machine("control.dump_time"),
            (control.dump_time, needed, "s"),
            format!(
                "a dump from full command takes {} s; {} s are declared",
                significant(needed, 3),
                significant(control.dump_time, 3)
            ),
            format!("declare {} s", significant(needed * 1.05, 2)),
        );
    }
}

fn contact_height(case: &Case, findings: &mut Findings) {
    let (control, actuator) = (&case.machine.control, &case.machine.actuator);
    // The plate leans on a doubled part and two others: its middle rises by that part's share of its thickness, which is least where
    // the part lies outermost.
    let widest = case.batch.thickness * case.outermost_share();
    if control.contact_tolerance >= widest {
        findings.add(
            Code::ContactToleranceWide,
            Place::machine("control.contact_tolerance"),
            (control.contact_tolerance * 1e3, widest * 1e3, Of::Length),
            format!(
                "the contact height may differ by {}; a doubled part lifts the plate's middle by {}",
                case.say(Of::Length, control.contact_tolerance, 3),
                case.say(Of::Length, widest, 3)
            ),
            format!(
                "tighten it under {}",
                case.at_most(Of::Length, widest, 3)
            ),
        );
    }
    let braking = actuator.speed_fast * BRAKING_TIME;
    let shortest = max(braking, control.contact_tolerance);
    if actuator.approach <= shortest {
        findings.add(
            Code::ApproachShort,
            Place::machine("actuator.approach"),
            (actuator.approach * 1e3, shortest * 1e3, Of::Length),
            format!(
                "descent turns to creep {} above the parts; braking takes {} and their height may differ by {}",
                case.say(Of::Length, actuator.approach, 3),
                case.say(Of::Length, braking, 3),
                case.say(Of::Length, control.contact_tolerance, 3)
            ),
            format!(
                "lengthen the approach to {}, or descend more slowly",
                case.at_least(Of::Length, shortest * 1.1, 2)
            ),
        );
    }
}
