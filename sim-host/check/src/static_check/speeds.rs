//! Drives, ratios, torque, sliding and stopping.

use super::Findings;
use crate::case::{BREAKAWAY_FACTOR, Case, rpm};
use crate::catalogue::Code;
use crate::coast::longest_coast;
use crate::finding::{Place, significant};
use crate::predict::reverses;
use firmware_core::interlock::{Cond, fixed_debounce};
use firmware_core::process_image::ALL_DRIVES;
use firmware_core::signal::{FLOW_AVERAGE_SECONDS, STANDSTILL_TICKS};
use firmware_core::units::TICKS_PER_SECOND;
use twinplate_sim::math::{abs, floor, max, min};
use twinplate_sim::model::{Of, Step};

/// Sliding speed that counts as none, m/s (invented).
const STILL: f64 = 0.02;
/// Largest ratio of the two faces' stock (common practice, no source).
const BALANCE: f64 = 1.25;
/// Largest difference of mean sliding speed over a part, share of the mean (common practice, no source).
const SPREAD: f64 = 0.15;
/// Film life over coast time: the coast is an estimate from declared inertias and drag (invented).
const COAST_MARGIN: f64 = 1.25;
/// Largest denominator of a path ratio that counts as repeating (common practice, no source).
const SHORT_PATH: u8 = 6;

pub(super) fn check(case: &Case, findings: &mut Findings) {
    for (index, step) in case.recipe.steps.iter().enumerate() {
        drives(case, index, step, findings);
        sliding(case, index, step, findings);
    }
    for (index, pair) in case.recipe.steps.windows(2).enumerate() {
        if let [before, after] = pair
            && reverses(before, after)
        {
            findings.add(
                Code::DirectionChange,
                Place::step(index + 1, "speeds"),
                (1.0, 0.0, "changes"),
                format!("a drive changes direction before step {}", index + 2),
                "nothing, if it is meant; it costs a run-down and a run-up".to_owned(),
            );
        }
    }
    stopping(case, findings);
}

fn drives(case: &Case, index: usize, step: &Step, findings: &mut Findings) {
    let slowest = step
        .speeds
        .iter()
        .map(|speed| abs(*speed))
        .filter(|speed| *speed > 0.0)
        .fold(
            f64::INFINITY,
            |least, speed| if speed < least { speed } else { least },
        );
    let (tolerance, fastest) = (case.machine.control.speed_tolerance, Case::fastest(step));
    if fastest <= tolerance {
        findings.add(
            Code::NothingTurns,
            Place::step(index, "speeds"),
            (rpm(fastest), rpm(tolerance), "rpm"),
            format!(
                "the fastest drive of step {} turns at {} rpm, within the speed tolerance of {} rpm",
                index + 1,
                significant(rpm(fastest), 3),
                significant(rpm(tolerance), 3)
            ),
            format!(
                "turn a drive faster than {} rpm, or tighten the tolerance",
                significant(rpm(tolerance), 3)
            ),
        );
    } else if tolerance >= slowest && !findings.has(Code::SpeedToleranceWide) {
        findings.add(
            Code::SpeedToleranceWide,
            Place::machine("control.speed_tolerance"),
            (
                rpm(case.machine.control.speed_tolerance),
                rpm(slowest),
                "rpm",
            ),
            format!(
                "step {} turns a drive at {} rpm, within the speed tolerance of {} rpm",
                index + 1,
                significant(rpm(slowest), 3),
                significant(rpm(case.machine.control.speed_tolerance), 3)
            ),
            format!(
                "tighten the tolerance under {} rpm",
                significant(rpm(slowest) / 2.0, 2)
            ),
        );
    }
    for (drive, spec) in case.machine.drives.iter().enumerate() {
        let speed = abs(step.speeds[drive]);
        let place = Place::step(index, &format!("speeds.{}", drive_name(drive)));
        if spec.fixed {
            if speed > 0.0 {
                findings.add(
                    Code::FixedRingTurned,
                    place,
                    (rpm(speed), 0.0, "rpm"),
                    format!(
                        "step {} turns the {} drive, which is fixed",
                        index + 1,
                        drive_name(drive)
                    ),
                    "set its speed to 0 rpm and choose the other three anew".to_owned(),
                );
            }
        } else if speed > spec.speed {
            findings.add(
                Code::SpeedAboveDrive,
                place,
                (rpm(speed), rpm(spec.speed), "rpm"),
                format!(
                    "step {} turns the {} drive at {} rpm; it makes {} rpm",
                    index + 1,
                    drive_name(drive),
                    significant(rpm(speed), 3),
                    significant(rpm(spec.speed), 3)
                ),
                format!(
                    "turn it at {} rpm or slower, keeping the ratios",
                    significant(rpm(spec.speed), 3)
                ),
            );
        }
    }
    torque(case, index, step, findings);
}

/// Torque in the dwell, and while starting at the initial load.
fn torque(case: &Case, index: usize, step: &Step, findings: &mut Findings) {
    let machine = case.machine;
    // Where friction carries a ring along, its drive has most to do at the least friction.
    let edges = [
        1.0 - machine.envelope.friction,
        1.0 + machine.envelope.friction,
    ]
    .map(|edge| {
        let friction = case.recipe.consumables.friction * edge;
        let at = |load| case.friction_torque(step, load, friction);
        [at(case.setpoint(step)), at(machine.control.initial_load)]
    });
    let fastest = Case::fastest(step);
    let mut worst: Option<(usize, f64, &str)> = None;
    for (drive, spec) in machine.drives.iter().enumerate() {
        if spec.fixed || step.speeds[drive] == 0.0 {
            continue;
        }
        let ramp = spec.inertia * machine.control.drive_ramp * abs(step.speeds[drive])
            / max(fastest, f64::MIN_POSITIVE);
        // Friction along the rotation carries a ring with it: its drive has so much less to do, or brakes.
        let along = if step.speeds[drive] > 0.0 { 1.0 } else { -1.0 };
        let [mut held, mut started] = [0.0; 2];
        for [dwell, start] in &edges {
            held = max(held, abs(spec.drag - along * dwell[drive]));
            // While the drives find their ratio nothing carries a ring along for certain.
            let against = max(-along * start[drive], 0.0);
            started = max(started, spec.drag + ramp + against * BREAKAWAY_FACTOR);
        }
        let (needed, when) = if held > started {
            (held, "under load")
        } else {
            (started, "at run-up")
        };
        let over = needed / spec.torque;
        if over > 1.0
            && worst.is_none_or(|(other, torque, _)| over > torque / machine.drives[other].torque)
        {
            worst = Some((drive, needed, when));
        }
    }
    if let Some((drive, needed, when)) = worst {
        let has = machine.drives[drive].torque;
        findings.add(
            Code::TorqueShort,
            Place::machine(format!("drives.{}.torque", drive_name(drive))),
            (needed, has, Of::Torque),
            format!(
                "step {} may need {} of the {} drive {when}; it gives {}",
                index + 1,
                case.say(Of::Torque, needed, 3),
                drive_name(drive),
                case.say(Of::Torque, has, 3)
            ),
            if when == "under load" {
                format!(
                    "lower the pressure to {} or less, or use a stronger drive",
                    case.at_most(Of::Pressure, step.pressure * has / needed, 2)
                )
            } else {
                "accelerate more slowly, lower the initial load, or use a stronger drive".to_owned()
            },
        );
    }
}

/// By how much the mean sliding speed differs over a part whose pocket is at `rho` (m), as a share of its middle's, and the speeds at
/// its nearest and its farthest point, m/s.
fn over_a_part(case: &Case, step: &Step, face: usize, rho: f64) -> (f64, [f64; 2]) {
    let radius = case.batch.outline.outer_radius();
    let ends = [abs(rho - radius), rho + radius].map(|rho| case.slide(step, face, rho).mean());
    (
        abs(ends[1] - ends[0]) / case.slide(step, face, rho).mean(),
        ends,
    )
}

fn sliding(case: &Case, index: usize, step: &Step, findings: &mut Findings) {
    for (face, name, plate) in [(0, "lower", step.speeds[2]), (1, "upper", step.speeds[3])] {
        let radii = || case.batch.circles.iter().map(|circle| circle.radius);
        let slowest = radii()
            .map(|rho| case.slide(step, face, rho).mean())
            .fold(f64::INFINITY, min);
        if slowest < STILL {
            findings.add(
                Code::NoSliding,
                Place::step(index, &format!("speeds.{name}")),
                (slowest, STILL, Of::Sliding),
                format!(
                    "in step {} the parts do not slide on the {name} plate",
                    index + 1
                ),
                format!("turn the {name} plate against the carriers"),
            );
            continue;
        }
        let spreads = radii().map(|rho| over_a_part(case, step, face, rho));
        if let Some((spread, ends)) = spreads.max_by(|one, other| one.0.total_cmp(&other.0))
            && spread > SPREAD
        {
            findings.add(
                Code::SpeedSpread,
                Place::step(index, &format!("speeds.{name}")),
                (spread * 100.0, SPREAD * 100.0, "%"),
                format!(
                    "in step {} the mean sliding speed on the {name} plate runs from {} to {} over a part",
                    index + 1,
                    case.recipe.shown.bare(Of::Sliding, ends[0], 3),
                    case.say(Of::Sliding, ends[1], 3)
                ),
                "bring the carriers' spin closer to the plate's speed".to_owned(),
            );
        }
        let motion = case.motion(step);
        let turning = motion.spin - plate;
        let going = motion.orbit - plate;
        if let Some(turns) = short_path(turning / going)
            && !findings.has(Code::NoSliding)
        {
            findings.add(
                Code::PathRepeats,
                Place::step(index, &format!("speeds.{name}")),
                (f64::from(turns), f64::from(SHORT_PATH), "turns"),
                format!(
                    "in step {} the track on the {name} plate closes after {turns} turns",
                    index + 1
                ),
                "change one ring's speed by a few percent".to_owned(),
            );
        }
    }
    balance(case, index, step, findings);
}

/// Turns after which a path of this ratio closes, if they are few.
fn short_path(ratio: f64) -> Option<u8> {
    (1..=SHORT_PATH).find(|turns| {
        let scaled = ratio * f64::from(*turns);
        abs(scaled - floor(scaled + 0.5)) < 1e-4
    })
}

fn balance(case: &Case, index: usize, step: &Step, findings: &mut Findings) {
    let [lower, upper] = case.face_speeds(step);
    let load = case.setpoint(step);
    if lower < STILL || upper < STILL || load <= 0.0 {
        return;
    }
    let ratio = lower * (load + case.pieces_weight()) / (upper * load);
    let apart = if ratio < 1.0 { 1.0 / ratio } else { ratio };
    if apart > BALANCE {
        let (more, less) = if ratio > 1.0 {
            ("lower", "upper")
        } else {
            ("upper", "lower")
        };
        findings.add(
            Code::FaceBalance,
            Place::step(index, "speeds"),
            (apart, BALANCE, ""),
            format!(
                "in step {} the {more} face loses {} times as much as the {less}",
                index + 1,
                significant(apart, 3)
            ),
            format!("slow the {more} plate or speed up the {less} one"),
        );
    }
}

/// Name of a drive by its place, as the files write it.
fn drive_name(drive: usize) -> &'static str {
    ALL_DRIVES.get(drive).map_or("", |drive| drive.name())
}

fn stopping(case: &Case, findings: &mut Findings) {
    let (control, film) = (&case.machine.control, case.machine.slurry.film_life);
    let proven =
        case.longest_run_down() + f64::from(STANDSTILL_TICKS) / f64::from(TICKS_PER_SECOND);
    if proven > control.stop_time {
        findings.add(
            Code::StopTimeShort,
            Place::machine("control.stop_time"),
            (proven, control.stop_time, "s"),
            format!(
                "a run-down from the fastest speed and proof of standstill take {} s; the stop time monitored is {} s",
                significant(proven, 3),
                significant(control.stop_time, 3)
            ),
            format!(
                "declare {} s or brake faster",
                significant(proven * 1.2, 2)
            ),
        );
    }
    let (index, coast) = longest_coast(case);
    if COAST_MARGIN * coast > film {
        findings.add(
            Code::CoastOutlastsFilm,
            Place::machine("slurry.film_life"),
            (film, COAST_MARGIN * coast, "s"),
            format!(
                "from the speeds of step {} the drives may coast {} s at resting load, with its margin {} s; the film lasts {} s",
                index + 1,
                significant(coast, 3),
                significant(COAST_MARGIN * coast, 3),
                significant(film, 3)
            ),
            "lower the speeds, or make the film last: more flow, another vehicle".to_owned(),
        );
        return;
    }
    let detection = f64::from(FLOW_AVERAGE_SECONDS)
        + f64::from(fixed_debounce(Cond::Flow)) / f64::from(TICKS_PER_SECOND);
    for (index, step) in case.recipe.steps.iter().enumerate() {
        let spent = case.film_spent(step, detection) * film;
        if spent > film {
            findings.add(
                Code::FilmShortForStop,
                Place::machine("slurry.film_life"),
                (film, spent, "s"),
                format!(
                    "a stop for lost flow in step {} spends {} s of film life at full speed; the film has {} s",
                    index + 1,
                    significant(spent, 3),
                    significant(film, 3)
                ),
                "brake faster, lower the speeds, or make the film last".to_owned(),
            );
            return;
        }
    }
}
