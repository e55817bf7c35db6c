//! One good case that no rule speaks about, and one change for each code that makes exactly that code speak.

mod circles;

use super::*;
use crate::catalogue::ALL_CODES;
use crate::finding::significant;
use crate::predict::predict;
use std::f64::consts::PI;
use twinplate_sim::demo;
use twinplate_sim::model::{
    Batch, End, Envelope, Gains, LoadingOrder, Machine, Outline, Recipe, Shown,
};
use twinplate_sim::plant::envelope::WIDTHS;

const RPM: f64 = PI / 30.0;

type Change = fn(&mut Machine, &mut Batch, &mut Recipe);

fn findings_of(change: Change) -> Vec<Finding> {
    let (mut machine, mut batch, mut recipe) = demo::set("glass-f800");
    change(&mut machine, &mut batch, &mut recipe);
    let case = Case {
        machine: &machine,
        batch: &batch,
        recipe: &recipe,
    };
    check(&case, &predict(&case, 1.0))
}

fn codes(findings: &[Finding]) -> Vec<Code> {
    let mut codes: Vec<Code> = findings.iter().map(|finding| finding.code).collect();
    codes.dedup();
    codes
}

/// A third of the first step's load on one part is 59.35 N; by where the parts lie one can have nearly twice that. A strength between
/// the two is no strength, and the third of the load alone would have passed it.
#[test]
fn a_strength_between_a_third_of_the_load_and_the_largest_share_is_found() {
    let (machine, mut batch, recipe) = demo::set("glass-f800");
    batch.strength = 63.0;
    let case = Case {
        machine: &machine,
        batch: &batch,
        recipe: &recipe,
    };
    let load = case.setpoint(&recipe.steps[0]);
    assert!(load / 3.0 < batch.strength);
    assert!(case.share_on_one(load) < demo::batch("glass-discs").strength);
    assert_eq!(
        codes(&findings_of(|_, b, _| b.strength = 63.0)),
        [Code::LoadBreaksPart]
    );
}

#[test]
fn the_good_case_is_silent() {
    let found = findings_of(|_, _, _| {});
    assert!(found.is_empty(), "{found:#?}");
}

/// Each change breaks one thing; the code beside it must be the only one that speaks.
const CHANGES: &[(Code, Change)] = &[
    (Code::ToothRelation, |m, _, _| m.geometry.teeth_outer = 131),
    (Code::CarrierSpacing, |m, _, _| m.geometry.carriers = 4),
    (Code::CarrierTipGap, |m, _, _| {
        m.geometry.teeth_inner = 42;
        m.geometry.teeth_outer = 132;
        m.geometry.carriers = 6;
        m.geometry.plate_inner = 0.203;
    }),
    (Code::PocketOutsideCarrier, |_, b, _| {
        b.circles[0].radius = 0.0605
    }),
    (Code::PocketsOverlap, |m, b, _| {
        m.geometry.plate_outer = 0.47;
        m.geometry.plate_inner = 0.21;
        b.circles[0].pockets = 5;
        b.circles[0].radius = 0.0424;
    }),
    (Code::CarrierTooThick, |_, b, _| {
        b.carrier_thickness = 0.53e-3
    }),
    (Code::PlateOverrun, |m, _, _| m.geometry.plate_outer = 0.45),
    (Code::PlateEdgeUnused, |m, _, _| {
        m.geometry.plate_inner = 0.188
    }),
    (Code::PartsExceedPockets, |_, b, _| b.circles[0].pockets = 2),
    (Code::PocketsUneven, |_, b, _| b.parts = 14),
    // Two and two lie in one line with the centre at some turn.
    (Code::LayoutOneSided, |m, b, _| {
        m.geometry.carriers = 2;
        b.parts = 4;
        b.strength = 1e4;
        b.outline = Outline::Disc { diameter: 0.08 };
        b.circles[0].pockets = 2;
        b.circles[0].radius = 0.042;
    }),
    (Code::PocketWebThin, |_, b, _| b.circles[0].radius = 0.0588),
    (Code::TooFewPieces, |m, b, _| {
        b.parts = 2;
        b.spread = 0.1e-6;
        b.outline = Outline::Disc { diameter: 0.137 };
        b.circles[0].pockets = 1;
        b.circles[0].radius = 0.0;
        b.strength = 1e4;
        m.geometry.plate_outer = 0.47;
        m.geometry.plate_inner = 0.21;
    }),
    (Code::DaylightShort, |m, _, _| {
        m.actuator.height_raised = 2.5e-3
    }),
    (Code::MachineMismatch, |m, _, _| m.id = "machine-b".into()),
    (Code::BatchMismatch, |_, b, _| b.id = "a2".into()),
    (Code::LoadAboveCellRange, |m, _, _| m.cell.range = 500.0),
    (Code::LimitAboveRated, |_, _, r| {
        r.steps[1].load_limit = 980.0
    }),
    (Code::FullCommandAboveRated, |m, _, _| {
        m.control.rated_load = 900.0
    }),
    (Code::LoadNotReachable, |m, _, _| {
        m.actuator.relief_pressure = 1.2e5;
        m.control.band_newtons = 9.0;
    }),
    (Code::SupplyShort, |m, _, _| {
        m.actuator.supply_minimum = 5.5e5
    }),
    (Code::LiftShort, |m, _, _| m.actuator.lift_pressure = 3.4e5),
    (Code::RestingLoadLow, |m, _, _| {
        m.actuator.counterbalance = 3.35e5
    }),
    (Code::InitialLoadLow, |m, _, _| {
        m.control.initial_load = 75.0
    }),
    (Code::LoadTooLow, |_, _, r| r.steps[0].pressure = 3e3),
    (Code::NothingHeld, |m, _, _| m.geometry.runout_ripple = 0.02),
    (Code::LimitBelowSetpoint, |_, _, r| {
        r.steps[1].load_limit = 260.0
    }),
    (Code::LimitInsideGovernor, |_, _, r| {
        r.steps[1].load_limit = 300.0
    }),
    (Code::RampTooFast, |_, _, r| r.steps[0].ramp = 150.0),
    (Code::RodForceReversal, |_, _, r| {
        r.steps[1].pressure = 569.0 / 0.029_452_4;
        r.steps[1].load_limit = 680.0;
    }),
    (Code::BandNarrow, |m, _, _| {
        m.control.band_newtons = 1.0;
        m.control.band_share = 0.001;
    }),
    (Code::BandAboveLimit, |m, b, _| {
        b.strength = 1e3;
        m.control.band_newtons = 90.0;
    }),
    (Code::DumpTimeShort, |m, _, _| m.control.dump_time = 0.4),
    (Code::FirstContactAboveRated, |m, _, _| {
        m.control.first_contact_limit = 980.0
    }),
    (Code::ContactToleranceWide, |m, _, _| {
        m.control.contact_tolerance = 0.25e-3
    }),
    (Code::CreepTooFast, |m, _, _| m.actuator.speed_creep = 0.002),
    (Code::FirstContactLimitLow, |m, _, _| {
        m.control.first_contact_limit = 110.0
    }),
    (Code::FirstContactBreaksPart, |_, b, _| b.strength = 28.0),
    (Code::LoadBreaksPart, |_, b, _| b.strength = 60.0),
    (Code::ApproachShort, |m, _, _| m.actuator.approach = 0.15e-3),
    (Code::FirstContactNearInitial, |m, _, _| {
        m.control.first_contact_limit = 160.0
    }),
    (Code::DescentFeltAsContact, |m, _, _| {
        m.actuator.guide_drag = 700.0
    }),
    (Code::SpeedAboveDrive, |m, _, _| {
        m.drives[2].speed = 25.0 * RPM
    }),
    (Code::FixedRingTurned, |m, _, _| m.drives[1].fixed = true),
    (Code::TorqueShort, |m, _, _| m.drives[2].torque = 6.0),
    (Code::NoSliding, |_, _, r| {
        // The lower plate turns with carriers that do not spin in their orbit.
        for step in &mut r.steps {
            step.speeds = [14.0 * RPM, 14.0 * RPM, 14.0 * RPM, -14.0 * RPM];
        }
    }),
    (Code::PathRepeats, |_, _, r| {
        // Orbit 1210/170 rpm, spin 1 rpm: against this plate the ratio is 4/3.
        r.steps[0].speeds[2] = (4.0 * 1210.0 / 170.0 - 3.0) * RPM;
    }),
    (Code::FaceBalance, |_, _, r| {
        r.steps[0].speeds[3] = -7.0 * RPM
    }),
    (Code::SpeedSpread, |_, b, r| {
        b.strength = 1e3;
        for step in &mut r.steps {
            step.speeds = [-20.0 * RPM, 16.0 * RPM, 32.3 * RPM, -15.0 * RPM];
        }
    }),
    (Code::CoastOutlastsFilm, |m, _, _| m.slurry.film_life = 1.0),
    (Code::StopTimeShort, |m, _, _| m.control.stop_time = 2.0),
    (Code::FilmShortForStop, |m, _, _| {
        m.slurry.film_life = 12.0;
        m.control.drive_ramp = 0.5 * RPM;
        m.control.stop_time = 80.0;
    }),
    (Code::SpeedToleranceWide, |m, _, _| {
        m.control.speed_tolerance = 6.0 * RPM
    }),
    (Code::DirectionChange, |_, _, r| {
        r.steps[1]
            .speeds
            .iter_mut()
            .for_each(|speed| *speed = -*speed);
    }),
    (Code::NothingTurns, |m, _, _| {
        m.control.speed_tolerance = 30.0 * RPM
    }),
    (Code::PrestartShort, |m, _, _| m.slurry.wet_time = 60.0),
    (Code::PrestartTimesOut, |m, _, r| {
        m.slurry.line_volume = 0.2e-3;
        r.prestart = 14.0;
    }),
    (Code::FlowBelowMinimum, |_, _, r| {
        r.steps[0].flow = 0.02 / 60_000.0
    }),
    (Code::FlowAbovePump, |_, _, r| {
        r.steps[0].flow = 0.6 / 60_000.0
    }),
    (Code::TankShort, |m, _, _| m.slurry.tank = 0.8e-3),
    (Code::SettleLimitLong, |m, _, _| {
        m.control.settle_limit = 600.0
    }),
    (Code::GaugeMissing, |_, _, r| r.gauge = false),
    (Code::LongestShort, |_, _, r| r.steps[0].longest = 50.0),
    (Code::SizeMissed, |_, _, r| {
        r.steps[1].end = End::Size {
            thickness: 0.534e-3,
        };
        r.steps[1].longest = 400.0;
    }),
    (Code::SizeUncertain, |_, b, r| {
        r.steps[1].end = End::Time { seconds: 105.0 };
        b.target = 0.540_6e-3;
        b.damage = 2.5e-6;
        b.tolerance = 2e-6;
    }),
    (Code::SpreadTooWide, |_, b, _| {
        b.spread = 20e-6;
        b.strength = 1e3;
        b.stiffness_per_area = 2e9;
    }),
    (Code::StockBelowDamage, |_, b, _| b.damage = 6e-6),
    (Code::DamageAdded, |_, b, r| {
        b.damage_left = None;
        r.consumables.damage = Some(4.5e-6);
    }),
    (Code::NoAbrasive, |_, _, r| {
        r.consumables.concentration = 0.0
    }),
    (Code::ConcentrationUnusual, |_, _, r| {
        r.consumables.concentration = 0.31
    }),
    (Code::ProcessAssumed, |_, _, r| {
        r.consumables.roughness = None
    }),
    (Code::GrainUnpublished, |_, _, r| {
        r.consumables.grain = 2.5e-6;
        r.consumables.measured_at = None;
    }),
    (Code::RemovalUnusual, |_, _, r| {
        r.consumables.removal = Some(2.05e-11)
    }),
    (Code::FinishUnusual, |_, _, r| {
        r.consumables.roughness = Some(0.1e-6)
    }),
    (Code::DamageUnusual, |_, _, r| {
        r.consumables.damage = Some(1e-6)
    }),
    (Code::FinishImpossible, |_, _, r| {
        r.consumables.roughness = Some(1e-9)
    }),
    (Code::DamageLeft, |_, b, _| b.damage_left = Some(1.5e-6)),
    (Code::FinishMissed, |_, b, _| b.finish = 0.25e-6),
    (Code::NoStock, |_, b, _| b.thickness = 0.5375e-3),
    (Code::EndAlreadyMet, |_, _, r| {
        r.steps[1].end = End::Size {
            thickness: 0.549e-3,
        };
    }),
    (Code::PlateHot, |m, _, _| m.thermal.high = 22.05),
    (Code::PressureUneven, |m, _, _| m.plates.form = [2e-6; 2]),
    (Code::EnvelopeNarrow, |m, _, _| {
        m.envelope.regulator_gain = 0.02
    }),
    (Code::CarrierTeethWeak, |_, b, _| {
        b.carrier_thickness = 0.05e-3;
    }),
    (Code::LotInOrder, |_, b, _| {
        b.order = LoadingOrder::ByThickness;
    }),
    (Code::LoopUnstable, |m, _, _| {
        m.gains = Some(Gains {
            kc: 0.05,
            ti: 0.1,
            weight: 1.0,
        });
    }),
    (Code::LoopMarginThin, |m, _, _| {
        m.gains = Some(Gains {
            kc: 0.0027,
            ti: 0.12,
            weight: 1.0,
        });
    }),
];

#[test]
fn each_change_makes_exactly_its_own_code_speak() {
    let mut wrong = String::new();
    for (code, change) in CHANGES {
        let found = findings_of(*change);
        if codes(&found) != [*code] {
            use std::fmt::Write as _;
            let _ = writeln!(wrong, "{code:?} gave:");
            for finding in &found {
                let _ = writeln!(wrong, "    {}: {}", finding.name(), finding.message);
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn every_static_code_has_its_change() {
    for code in ALL_CODES {
        if code.entry().id < 200 {
            assert!(
                CHANGES.iter().any(|(covered, _)| covered == code),
                "{code:?} has no change that makes it speak"
            );
        }
    }
}

#[test]
fn every_finding_names_a_place_a_cure_and_its_numbers() {
    for (_, change) in CHANGES {
        for finding in findings_of(*change) {
            assert!(!finding.cure.is_empty() && !finding.place.path.is_empty());
            assert!(finding.measured.is_some_and(f64::is_finite), "{finding:?}");
            assert!(finding.limit.is_some_and(f64::is_finite), "{finding:?}");
            assert!(!finding.message.contains("NaN"), "{finding:?}");
        }
    }
}

/// Every width of the envelope, narrowed: none is forgotten, because all are named here.
fn narrowed(e: &Envelope, field: &str, by: f64) -> Envelope {
    let narrow = |name: &str, width: f64| if name == field { width * by } else { width };
    // A factor is narrow where it comes near to one.
    let closer = |name: &str, factor: f64| 1.0 + narrow(name, factor - 1.0);
    let Envelope {
        regulator_gain,
        regulator_offset,
        weight,
        counterbalance,
        seal_friction,
        lag,
        dead_time,
        stiffness_factor,
        supply,
        cell_span,
        noise_factor,
        friction,
        removal,
        spread_factor,
        gauge_bias,
        gauge_drift,
        gauge_temperature,
    } = *e;
    Envelope {
        regulator_gain: narrow("regulator_gain", regulator_gain),
        regulator_offset: narrow("regulator_offset", regulator_offset),
        weight: narrow("weight", weight),
        counterbalance: narrow("counterbalance", counterbalance),
        seal_friction: narrow("seal_friction", seal_friction),
        lag: narrow("lag", lag),
        dead_time: narrow("dead_time", dead_time),
        stiffness_factor: closer("stiffness_factor", stiffness_factor),
        supply: narrow("supply", supply),
        cell_span: narrow("cell_span", cell_span),
        noise_factor: closer("noise_factor", noise_factor),
        friction: narrow("friction", friction),
        removal: narrow("removal", removal),
        spread_factor: closer("spread_factor", spread_factor),
        gauge_bias: narrow("gauge_bias", gauge_bias),
        gauge_drift: narrow("gauge_drift", gauge_drift),
        gauge_temperature: narrow("gauge_temperature", gauge_temperature),
    }
}

/// The demonstration machines declare the floors, but for that of the removal, which asks for a record. Each width just under its floor is refused where it stands, at the floor it is not,
/// and the process model argues for that very number.
#[test]
fn every_width_has_a_floor_that_the_process_model_argues_for() {
    let page = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/process-model.md");
    let page = std::fs::read_to_string(page).expect("the process model");
    let (machine, ..) = demo::set("glass-f800");
    let nominal = machine.envelope;
    let differing = envelope::FLOORS
        .iter()
        .filter(|(field, ..)| narrowed(&nominal, field, 0.5) != nominal);
    assert_eq!(differing.count(), WIDTHS as usize, "a floor for each width");
    for (field, width, floor, of) in envelope::FLOORS {
        let place = format!("envelope.{field}");
        let spoken = |by: f64| -> Vec<String> {
            let (mut machine, batch, recipe) = demo::set("glass-f800");
            let share = if of.is_none() && floor < 1.0 {
                floor / width(&machine.envelope)
            } else {
                1.0
            };
            machine.envelope = narrowed(&machine.envelope, field, by * share);
            let case = Case {
                machine: &machine,
                batch: &batch,
                recipe: &recipe,
            };
            check(&case, &predict(&case, 1.0))
                .into_iter()
                .filter(|finding| finding.code == Code::EnvelopeNarrow)
                .map(|finding| finding.place.path)
                .collect()
        };
        assert_eq!(spoken(0.98), [place], "{field}");
        assert!(spoken(1.0).is_empty(), "{field}");
        let told = match of {
            None if floor < 1.0 => format!("{} %", significant(100.0 * floor, 3)),
            None => significant(floor, 3),
            Some(of) => Shown::default().tell(of, floor, 3),
        };
        let row = format!("| `{}` | {told} | ", field.replace('_', "-"));
        let argued = page.lines().find(|line| line.starts_with(&row));
        assert!(
            argued.is_some_and(|line| line.len() > row.len() + 20),
            "{row}"
        );
    }
}
