use super::*;
use std::vec::Vec as List;

fn um(value: f32) -> Micrometres {
    Micrometres::new(value)
}

fn setting(reversed: bool, trim: f32, change: [f32; FACES]) -> RingSetting {
    RingSetting {
        reversed,
        trim: Ratio::new(trim),
        change: change.map(um),
    }
}

/// As programmed both plates wear hollow; reversed, the lower one is filled and the upper one ruined; the third does a little of both.
pub(crate) fn control() -> FormControl {
    FormControl {
        settings: [
            setting(false, 0.0, [-0.6, -0.4]),
            setting(true, 0.0, [0.8, -0.9]),
            setting(false, 0.25, [0.3, 0.2]),
            setting(false, 0.25, [0.3, 0.2]),
        ]
        .into_iter()
        .collect(),
        deadband: um(2.0),
        limit: um(10.0),
        longest: 3,
    }
}

fn reported(lower: f32, upper: f32) -> Flatness {
    let mut flatness = Flatness::new();
    assert!(flatness.report([um(lower), um(upper)]));
    flatness
}

/// One batch to its end, or stopped on the way.
fn batch(flatness: &mut Flatness, control: &FormControl, complete: bool) {
    flatness.wear();
    flatness.rest(Some(control), complete);
    flatness.choose(Some(control));
}

fn values(flatness: &Flatness) -> [f32; FACES] {
    flatness.form().map(Micrometres::get)
}

/// The law said a second time, on a grid of forms, whether correction was on before or not.
#[test]
fn the_setting_is_the_one_that_leaves_the_least_or_as_programmed() {
    let control = control();
    let grid = || (-80_i16..=80).map(|n| f32::from(n) * 0.25);
    for lower in grid() {
        for upper in grid() {
            for correcting in [false, true] {
                let mut flatness = reported(lower, upper);
                flatness.correcting = correcting;
                flatness.choose(Some(&control));
                let left: List<f32> = control
                    .settings
                    .iter()
                    .map(|s| {
                        let [a, b] = s.change.map(Micrometres::get);
                        (lower + a) * (lower + a) + (upper + b) * (upper + b)
                    })
                    .collect();
                let least = left.iter().copied().fold(f32::INFINITY, math::min);
                let first = left.iter().position(|l| l.to_bits() == least.to_bits());
                let within = if correcting { 1.0 } else { 2.0 };
                let calm = lower.abs() <= within && upper.abs() <= within;
                let due = if calm { Some(0) } else { first };
                assert_eq!(
                    Some(usize::from(flatness.setting())),
                    due,
                    "{lower} {upper} {correcting}"
                );
            }
        }
    }
}

#[test]
fn correction_begins_beyond_the_deadband_and_ends_within_half_of_it() {
    let control = control();
    let mut flatness = Flatness::new();
    let mut follow = |form| {
        assert!(flatness.report([um(form), um(form)]));
        flatness.choose(Some(&control));
        flatness.setting()
    };
    let seen: List<u8> = [-1.9, -2.0, -2.1, -1.9, -1.1, -1.0, -1.9, -2.0]
        .into_iter()
        .map(&mut follow)
        .collect();
    assert_eq!(seen, [0, 0, 2, 2, 2, 0, 0, 0]);
}

/// What was decided on an old report does not outlast it: on a new one correction begins beyond the whole deadband again.
#[test]
fn correction_begins_anew_after_a_report_was_too_old() {
    let control = control();
    let mut flatness = reported(-9.0, -9.0);
    flatness.choose(Some(&control));
    assert_eq!(flatness.setting(), 2);
    flatness.out_of_date();
    flatness.choose(Some(&control));
    assert!(flatness.report([um(-1.9), um(-1.9)]));
    flatness.choose(Some(&control));
    assert_eq!(flatness.setting(), 0);
}

/// A report is of the plates as they are: what wore them before is in it.
#[test]
fn wear_before_a_report_is_in_the_report() {
    let control = control();
    let mut flatness = reported(-5.0, -5.0);
    flatness.wear();
    assert!(flatness.report([um(-6.0), um(-6.0)]));
    flatness.rest(Some(&control), true);
    assert_eq!((values(&flatness), flatness.age()), ([-6.0, -6.0], 0));
}

#[test]
fn of_equal_settings_the_first_is_taken() {
    // The last two settings do the same.
    assert_eq!(control().best([um(-5.0), um(-5.0)]), 2);
}

#[test]
fn what_levels_one_plate_is_not_taken_where_it_ruins_the_other() {
    let control = control();
    // The lower plate alone would ask for the second setting.
    assert_eq!(control.best([um(-5.0), um(5.0)]), 1);
    assert_eq!(control.best([um(-5.0), um(-5.0)]), 2);
}

#[test]
fn without_a_young_report_the_rings_turn_as_programmed() {
    let control = control();
    let mut flatness = Flatness::new();
    assert!(flatness.overdue(Some(&control)) && !flatness.choose(Some(&control)));
    assert_eq!(flatness.setting(), 0);
    assert!(flatness.report([um(-9.0), um(-9.0)]));
    assert!(flatness.choose(Some(&control)));
    // Three batches may be reckoned; the fourth is one too many.
    for (age, setting) in [(1, 2), (2, 2), (3, 2), (4, 0), (5, 0)] {
        batch(&mut flatness, &control, true);
        assert_eq!((flatness.age(), flatness.setting()), (age, setting));
        assert_eq!(flatness.overdue(Some(&control)), age > 3);
    }
    assert!(flatness.report([um(-9.0), um(-9.0)]));
    assert!(flatness.choose(Some(&control)));
    assert_eq!((flatness.age(), flatness.setting()), (0, 2));
    assert!(flatness.choose(None), "a recipe without control");
    assert_eq!(flatness.setting(), 0);
    assert!(!flatness.overdue(None) && !flatness.beyond(None));
}

#[test]
fn what_no_plate_can_have_is_refused_and_changes_nothing() {
    let control = control();
    let mut flatness = reported(-5.0, -5.0);
    flatness.choose(Some(&control));
    batch(&mut flatness, &control, true);
    let before = std::format!("{flatness:?}");
    for lie in [
        f32::NAN,
        f32::INFINITY,
        f32::NEG_INFINITY,
        1e9,
        -1e9,
        500.1,
        -500.1,
    ] {
        assert!(!flatness.report([um(lie), um(1.0)]), "{lie}");
        assert!(!flatness.report([um(1.0), um(lie)]), "{lie}");
        assert_eq!(std::format!("{flatness:?}"), before, "{lie}");
    }
    assert!(flatness.report([MOST_FORM, -MOST_FORM]));
}

#[test]
fn a_completed_batch_adds_the_change_of_the_setting_that_ran_and_nothing_else_does() {
    let control = control();
    let mut flatness = reported(-5.0, -5.0);
    flatness.choose(Some(&control));
    // At rest nothing wears.
    flatness.rest(Some(&control), true);
    assert_eq!((values(&flatness), flatness.age()), ([-5.0, -5.0], 0));
    batch(&mut flatness, &control, true);
    assert_eq!((values(&flatness), flatness.age()), ([-4.7, -4.8], 1));
    // How far a stopped batch came is not known.
    batch(&mut flatness, &control, false);
    let out_of_date = (values(&flatness), flatness.age(), flatness.setting());
    assert_eq!(out_of_date, ([-4.7, -4.8], OUT_OF_DATE, 0));
    batch(&mut flatness, &control, true);
    assert_eq!(
        (values(&flatness), flatness.age()),
        ([-4.7, -4.8], OUT_OF_DATE)
    );
    // Nor what a batch does whose recipe says nothing of it.
    let mut flatness = reported(-5.0, -5.0);
    flatness.wear();
    flatness.rest(None, true);
    assert_eq!(flatness.age(), OUT_OF_DATE);
}

#[test]
fn the_limit_holds_for_each_plate_and_both_signs_and_is_not_made_good_by_age() {
    let control = control();
    for (form, beyond) in [(10.0, false), (10.1, true), (-10.0, false), (-10.1, true)] {
        assert_eq!(reported(form, 0.0).beyond(Some(&control)), beyond, "{form}");
        assert_eq!(reported(0.0, form).beyond(Some(&control)), beyond, "{form}");
    }
    let mut flatness = reported(10.1, 0.0);
    flatness.out_of_date();
    assert!(flatness.beyond(Some(&control)));
    assert!(flatness.report([um(1.0), um(1.0)]));
    assert!(!flatness.beyond(Some(&control)));
}

#[test]
fn reckoning_never_leaves_what_is_believed() {
    let mut control = control();
    control.longest = MOST_UNREPORTED;
    for setting in &mut control.settings {
        setting.change = [MOST_FORM, -MOST_FORM];
    }
    let mut flatness = reported(0.0, 0.0);
    for _ in 0..70_000 {
        batch(&mut flatness, &control, true);
        assert_eq!(flatness.form(), [MOST_FORM, -MOST_FORM]);
    }
    assert_eq!(flatness.age(), OUT_OF_DATE, "it never becomes young again");
}

#[test]
fn a_setting_turns_the_rings_and_leaves_the_plates_alone() {
    let programmed = [10.0, -20.0, 30.0, -40.0].map(Rpm::new);
    let turned = |reversed, trim| setting(reversed, trim, [0.0; FACES]).speeds(programmed);
    let due = |speeds: [f32; DRIVES]| speeds.map(Rpm::new);
    assert_eq!(turned(false, 0.0), due([10.0, -20.0, 30.0, -40.0]));
    assert_eq!(turned(true, 0.0), due([-10.0, 20.0, 30.0, -40.0]));
    assert_eq!(turned(false, 0.5), due([15.0, -10.0, 30.0, -40.0]));
    assert_eq!(turned(true, -0.25), due([-7.5, 25.0, 30.0, -40.0]));
}

/// One change to a sound block.
type Break = fn(&mut FormControl);

#[test]
fn each_number_of_the_block_has_its_range() {
    assert!(control().is_sound());
    let breaks: [Break; 18] = [
        |c| c.settings.clear(),
        |c| c.settings[0].reversed = true,
        |c| c.settings[0].trim = Ratio::new(0.01),
        |c| c.settings[0].trim = Ratio::new(f32::NAN),
        |c| c.settings[1].trim = Ratio::new(f32::NAN),
        |c| c.settings[1].trim = Ratio::new(0.51),
        |c| c.settings[1].trim = Ratio::new(-0.51),
        |c| c.settings[1].change[0] = Micrometres::new(f32::INFINITY),
        |c| c.settings[2].change[1] = Micrometres::new(501.0),
        |c| c.deadband = Micrometres::ZERO,
        |c| c.deadband = Micrometres::new(f32::NAN),
        |c| c.deadband = Micrometres::new(10.0),
        |c| c.limit = Micrometres::new(f32::INFINITY),
        |c| c.limit = Micrometres::new(f32::NAN),
        |c| c.limit = Micrometres::new(501.0),
        |c| c.limit = Micrometres::new(1.0),
        |c| c.longest = 0,
        |c| c.longest = MOST_UNREPORTED + 1,
    ];
    for (number, change) in breaks.into_iter().enumerate() {
        let mut block = control();
        change(&mut block);
        assert!(!block.is_sound(), "break {number}");
    }
}
