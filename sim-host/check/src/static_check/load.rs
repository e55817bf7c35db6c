//! Pressure, load, limits, governor, cell range and the air line.

use super::Findings;
use crate::case::{BRAKING_TIME, Case};
use crate::catalogue::Code;
use crate::finding::{Place, newtons as n, significant};
use twinplate_sim::compile::{Blame, Holding, OVERSHOOT_NEWTONS, OVERSHOOT_SHARE};
use twinplate_sim::math::{abs, log, max, min};
use twinplate_sim::model::{G, Step};

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
            (hanging, range, "N"),
            format!(
                "the plate hangs, and is braked, with up to {} N on a cell that measures ±{} N",
                n(hanging),
                n(machine.cell.range)
            ),
            format!("use a cell of at least ±{} N", n(hanging * 1.1)),
        );
    }
    for (index, step) in case.recipe.steps.iter().enumerate() {
        let pressing = step.load_limit - weight * (1.0 - envelope.weight);
        if pressing > range {
            findings.add(
                Code::LoadAboveCellRange,
                Place::step(index, "load_limit"),
                (pressing, range, "N"),
                format!(
                    "at its limit of {} N step {} puts {} N on a cell that measures ±{} N",
                    n(step.load_limit),
                    index + 1,
                    n(pressing),
                    n(machine.cell.range)
                ),
                format!(
                    "keep the limit under {} N, or use a larger cell",
                    n(range + weight * (1.0 - envelope.weight))
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
            (worst, wanted, "N"),
            format!(
                "at the envelope's edge the plate rests with {} N; its seals hold up to {} N",
                n(worst),
                n(wanted)
            ),
            format!(
                "lower the counterbalance by {} bar or more",
                significant(
                    max((wanted - worst) / actuator.area_rod() / 1e5 * 1.02, 0.01),
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
            (control.initial_load, wanted, "N"),
            format!(
                "the initial load is {} N; the heaviest plate of the envelope rests with {} N, and nothing takes that away",
                n(control.initial_load),
                n(heaviest)
            ),
            format!("raise it to {} N or more", n(heaviest * 1.05)),
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
        (spent, allowed, "N"),
        format!(
            "at the rated load {} N of {} N allowed are spent before the loop does anything: {} (`{}`)",
            significant(spent, 3),
            significant(allowed, 3),
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
            (supply / 1e5, actuator.supply_minimum / 1e5, "bar"),
            format!(
                "the supply may fall to {} bar; the machine stops below {} bar",
                significant(supply / 1e5, 3),
                significant(actuator.supply_minimum / 1e5, 3)
            ),
            format!(
                "supply at least {} bar",
                significant(actuator.supply_minimum / (1.0 - envelope.supply) / 1e5, 3)
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
            (lift, heaviest, "N"),
            format!(
                "the lift pulls {} N; the plate, its seals and its guides may need {} N",
                n(lift),
                n(heaviest)
            ),
            format!(
                "raise the lift pressure to {} bar",
                significant(heaviest / actuator.area_rod() / 1e5, 3)
            ),
        );
    }
}

fn one_step(case: &Case, index: usize, step: &Step, findings: &mut Findings) {
    let (control, setpoint) = (&case.machine.control, case.setpoint(step));
    let name = index + 1;
    let holding = Holding::of(case.machine);
    if setpoint < holding.lowest() && !findings.has(Code::NothingHeld) {
        let blame = holding.blame();
        findings.add(
            Code::LoadTooLow,
            Place::step(index, "pressure"),
            (setpoint, holding.lowest(), "N"),
            format!(
                "step {name} asks for {} N; this machine holds {} N or more, because {} (`{}`)",
                n(setpoint),
                n(holding.lowest()),
                blame.why(),
                blame.key()
            ),
            format!(
                "ask for {} kPa or more, load more pieces, or improve `{}`",
                significant(holding.lowest() / case.batch.area() * 1.005 / 1e3, 3),
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
            (least, reachable, "N"),
            format!(
                "step {name} asks for {} N; its band begins at {} N, and the weakest machine of the envelope reaches {} N",
                n(setpoint),
                n(least),
                n(reachable)
            ),
            format!(
                "ask for {} kPa or less, or load fewer pieces",
                significant(reachable / case.batch.area() / 1e3, 3)
            ),
        );
    }
    if step.ramp > control.ramp_max {
        findings.add(
            Code::RampTooFast,
            Place::step(index, "ramp"),
            (step.ramp, control.ramp_max, "N/s"),
            format!(
                "step {name} ramps at {} N/s; the machine allows {} N/s",
                n(step.ramp),
                n(control.ramp_max)
            ),
            format!("ramp at {} N/s or less", n(control.ramp_max)),
        );
    }
    let from_zero = abs(setpoint - case.machine.actuator.weight());
    if from_zero <= case.machine.cell.lash {
        findings.add(
            Code::RodForceReversal,
            Place::step(index, "pressure"),
            (from_zero, case.machine.cell.lash, "N"),
            format!(
                "step {name} holds {} N, {} N from where the rod force changes sign; the lash is {} N",
                n(setpoint),
                significant(from_zero, 2),
                significant(case.machine.cell.lash, 2)
            ),
            "move the pressure a few percent up or down".to_owned(),
        );
    }
    limit(case, index, step, findings);
    band(case, index, setpoint, findings);
}

/// Limit against setpoint, governor and band.
fn limit(case: &Case, index: usize, step: &Step, findings: &mut Findings) {
    let (setpoint, limit, name) = (case.setpoint(step), step.load_limit, index + 1);
    if limit > case.machine.control.rated_load {
        let rated = case.machine.control.rated_load;
        findings.add(
            Code::LimitAboveRated,
            Place::step(index, "load_limit"),
            (limit, rated, "N"),
            format!(
                "step {name} limits the load to {} N; the machine is rated {} N",
                n(limit),
                n(rated)
            ),
            format!("limit it to {} N or less", n(rated)),
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
            (limit, setpoint, "N"),
            format!(
                "step {name} asks for {} N and limits the load to {} N",
                n(setpoint),
                n(limit)
            ),
            format!("raise the limit to {} N or more", n(wanted)),
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
            (limit - highest, 2.0 * half, "N"),
            format!(
                "step {name}: the limit lies {} N over the {over}; twice the governor's half-width is {} N",
                n(limit - highest),
                n(2.0 * half)
            ),
            format!("raise the limit to {} N or more", n(wanted)),
        );
    } else if setpoint + case.band(setpoint) >= limit {
        findings.add(
            Code::BandAboveLimit,
            Place::machine("control.band_share"),
            (setpoint + case.band(setpoint), limit, "N"),
            format!(
                "step {name}: the band reaches {} N, the limit is {} N",
                n(setpoint + case.band(setpoint)),
                n(limit)
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
            (band, wanted, "N"),
            format!(
                "step {} counts ±{} N as in band; half a step of the regulator and the cell's filtered noise make {} N",
                index + 1,
                n(band),
                n(wanted)
            ),
            format!("widen the band to {} N", n(wanted)),
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
            (full, control.rated_load, "N"),
            format!(
                "full command may press with {} N; the machine is rated {} N",
                n(full),
                n(control.rated_load)
            ),
            format!(
                "set the relief to {} bar or less",
                significant(
                    (control.rated_load - full + actuator.line_gain()) / actuator.area_cap() / 1e5,
                    3
                )
            ),
        );
    }
    if control.first_contact_limit >= control.rated_load {
        findings.add(
            Code::FirstContactAboveRated,
            Place::machine("control.first_contact_limit"),
            (control.first_contact_limit, control.rated_load, "N"),
            format!(
                "the first-contact limit of {} N is not under the rated load of {} N",
                n(control.first_contact_limit),
                n(control.rated_load)
            ),
            format!("lower it under {} N", n(control.rated_load)),
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
            (control.contact_tolerance * 1e3, widest * 1e3, "mm"),
            format!(
                "the contact height may differ by {} mm; a doubled part lifts the plate's middle by {} mm",
                significant(control.contact_tolerance * 1e3, 3),
                significant(widest * 1e3, 3)
            ),
            format!("tighten it under {} mm", significant(widest * 1e3, 3)),
        );
    }
    let braking = actuator.speed_fast * BRAKING_TIME;
    let shortest = max(braking, control.contact_tolerance);
    if actuator.approach <= shortest {
        findings.add(
            Code::ApproachShort,
            Place::machine("actuator.approach"),
            (actuator.approach * 1e3, shortest * 1e3, "mm"),
            format!(
                "descent turns to creep {} mm above the parts; braking takes {} mm and their height may differ by {} mm",
                significant(actuator.approach * 1e3, 3),
                significant(braking * 1e3, 3),
                significant(control.contact_tolerance * 1e3, 3)
            ),
            format!(
                "lengthen the approach to {} mm, or descend more slowly",
                significant(shortest * 1.1e3, 2)
            ),
        );
    }
}
