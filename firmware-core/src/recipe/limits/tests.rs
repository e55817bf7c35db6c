mod edges;

use super::*;
use crate::recipe::{ProcessKind, RECIPE_SCHEMA};
use crate::units::{Micrometres, MillilitresPerMinute, NewtonsPerSecond};

/// A recipe of one step for the sample machine, whose initial load is 150 N and whose lowest load is set to 100 N here.
fn violations(load: f32, limit: f32) -> std::vec::Vec<RecipeRule> {
    let mut wire = crate::params::tests::sample();
    wire.lowest = Newtons::new(100.0);
    let params = wire.check().expect("valid");
    broken(recipe(&params, load, limit), &params)
}

pub(crate) fn recipe(params: &CheckedParams, load: f32, limit: f32) -> RecipeWire {
    let step = StepWire {
        load: Newtons::new(load),
        load_limit: Newtons::new(limit),
        ramp: NewtonsPerSecond::new(50.0),
        speeds: [Rpm::new(10.0); 4],
        flow: MillilitresPerMinute::new(200.0),
        end: EndWire::Time(Ticks(5_000)),
        longest: Ticks(60_000),
    };
    RecipeWire {
        schema: RECIPE_SCHEMA,
        name: heapless::String::new(),
        machine_id: params.get().machine_id,
        params_hash: params.hash(),
        process: ProcessKind::LooseAbrasive,
        pieces: 15,
        contact_height: Micrometres::new(550.0),
        prestart: Ticks(20_000),
        prestart_flow: MillilitresPerMinute::new(200.0),
        rinse: Ticks::ZERO,
        size_lower: Micrometres::ZERO,
        flatness: None,
        steps: core::iter::once(step).collect(),
    }
}

fn broken(recipe: RecipeWire, params: &CheckedParams) -> std::vec::Vec<RecipeRule> {
    recipe
        .check(params)
        .err()
        .map_or_else(std::vec::Vec::new, |all| {
            all.iter().map(|violation| violation.rule).collect()
        })
}

/// Flatness control with these ring settings, each reversed or not and with its trim, beside the programmed one.
fn with_rings(others: &[(bool, f32)]) -> FormControl {
    let setting = |(reversed, trim): (bool, f32)| crate::plate_form::RingSetting {
        reversed,
        trim: crate::units::Ratio::new(trim),
        change: [Micrometres::new(0.1); 2],
    };
    let all = core::iter::once((false, 0.0)).chain(others.iter().copied());
    FormControl {
        settings: all.map(setting).collect(),
        deadband: Micrometres::new(2.0),
        limit: Micrometres::new(10.0),
        longest: 3,
    }
}

/// Rules broken by a recipe with these ring settings beside the programmed one, on a machine whose inner ring is fixed or not.
fn with_settings(others: &[(bool, f32)], fixed: bool) -> std::vec::Vec<RecipeRule> {
    at_share(0.9, others, fixed)
}

/// The same, with every drive at this share of its largest speed.
fn at_share(share: f32, others: &[(bool, f32)], fixed: bool) -> std::vec::Vec<RecipeRule> {
    let mut wire = crate::params::tests::sample();
    wire.lowest = Newtons::new(100.0);
    wire.fixed = [fixed, false, false, false];
    let params = wire.check().expect("valid");
    let most = params.get().speed_max.map(|s| s * share);
    let inner = if fixed { Rpm::ZERO } else { most[0] };
    let mut recipe = recipe(&params, 100.0, 250.0);
    recipe.steps[0].speeds = [inner, most[1], most[2], most[3]];
    recipe.flatness = Some(with_rings(others));
    broken(recipe, &params)
}

#[test]
fn no_ring_setting_takes_a_ring_beyond_its_drive_or_turns_a_fixed_one() {
    assert_eq!(with_settings(&[(true, 0.1), (false, -0.1)], false), []);
    // The inner ring runs at nine tenths of its largest: 1/9 more is all that it has.
    let beyond = [RecipeRule::RingSetting];
    assert_eq!(with_settings(&[(true, 0.12)], false), beyond);
    assert_eq!(with_settings(&[(false, -0.12)], false), beyond);
    assert_eq!(with_settings(&[(true, 0.12), (false, -0.1)], true), []);
    assert_eq!(with_settings(&[(false, -0.12)], true), beyond);
    let no_number = [RecipeRule::Flatness, RecipeRule::RingSetting];
    for trim in [f32::NAN, f32::INFINITY, f32::NEG_INFINITY] {
        assert_eq!(with_settings(&[(false, trim)], false), no_number);
    }
    // Nothing that a setting could do makes a fixed ring turn: it is the step that would.
    assert_eq!(with_settings(&[(true, 0.5)], true), []);
}

/// A ring at its drive's largest speed may be turned round: no faster is fast enough.
#[test]
fn a_ring_setting_may_take_a_ring_to_its_drives_largest_speed() {
    assert_eq!(at_share(1.0, &[(true, 0.0)], false), []);
    assert_eq!(
        at_share(1.0, &[(true, 0.001)], false),
        [RecipeRule::RingSetting]
    );
    assert_eq!(
        at_share(1.0, &[(true, -0.001)], false),
        [RecipeRule::RingSetting]
    );
}

/// Rules broken by a step with these speeds, rpm, and settings of these trims beside the programmed one: what one ring gains by a trim
/// the other loses.
fn slowed(speeds: [f32; 4], trims: &[f32]) -> std::vec::Vec<RecipeRule> {
    let params = crate::params::tests::sample().check().expect("valid");
    let mut recipe = recipe(&params, 150.0, 250.0);
    recipe.steps[0].speeds = speeds.map(Rpm::new);
    let others: std::vec::Vec<_> = trims.iter().map(|trim| (false, *trim)).collect();
    recipe.flatness = Some(with_rings(&others));
    broken(recipe, &params)
}

/// What turns slower than the tolerance of a speed is not told from what stands: with every setting something must turn faster.
#[test]
fn no_ring_setting_leaves_nothing_that_turns() {
    let least = crate::params::tests::sample().speed_tolerance.get();
    let (none, setting) = (std::vec::Vec::new(), std::vec![RecipeRule::RingSetting]);
    let cases: [([f32; 4], &[f32], bool); 12] = [
        // A plate that turns is enough, either of them.
        ([0.0, 0.0, 1.5 * least, 0.0], &[0.5], true),
        ([0.0, 0.0, 0.0, 1.5 * least], &[0.5], true),
        ([1.5 * least, 0.0, 1.5 * least, 0.0], &[-0.5], true),
        ([1.5 * least, 0.0, 0.0, 1.5 * least], &[-0.5], true),
        // So is a ring that the setting does not slow too far.
        ([1.5 * least, 0.0, 0.0, 0.0], &[0.5], true),
        ([0.0, 1.5 * least, 0.0, 0.0], &[-0.5], true),
        ([1.5 * least, 0.0, 0.0, 0.0], &[-0.5], false),
        ([0.0, 1.5 * least, 0.0, 0.0], &[0.5], false),
        // To the tolerance is too far.
        ([2.0 * least, 0.0, 0.0, 0.0], &[-0.5], false),
        ([0.0, 2.0 * least, 0.0, 0.0], &[0.5], false),
        ([1.5 * least, 0.0, least, least], &[-0.5], false),
        // One setting of several is enough to forbid it.
        ([1.5 * least, 0.0, 0.0, 0.0], &[0.5, -0.5], false),
    ];
    for (speeds, trims, fits) in cases {
        let told = slowed(speeds, trims);
        assert_eq!(
            &told,
            if fits { &none } else { &setting },
            "{speeds:?} {trims:?}"
        );
    }
}

/// A recipe that was checked against other parameters is not for these, however sound it was there.
#[test]
fn a_sound_recipe_is_for_the_parameters_that_it_was_checked_against() {
    let wire = crate::params::tests::sample();
    let params = wire.clone().check().expect("valid");
    let recipe = recipe(&params, 150.0, 250.0);
    let sound = recipe.sound(&params).expect("sound");
    assert!(sound.is_for(&params));
    let mut other = wire;
    other.stop_time.0 += 1;
    assert!(!sound.is_for(&other.check().expect("valid")));
}

/// A recipe that is put in a place is the one that passed its check, whatever lay there.
#[test]
fn a_recipe_is_put_in_a_place_as_it_was_checked() {
    let params = crate::params::tests::sample().check().expect("valid");
    let mut named = recipe(&params, 150.0, 250.0);
    named.name = "named".try_into().expect("short");
    named.process = crate::recipe::ProcessKind::PadPolishing;
    let mut place = None;
    for recipe in [&named, &recipe(&params, 160.0, 260.0), &named] {
        CheckedRecipe::replace(&mut place, recipe.sound(&params).expect("sound"));
        assert_eq!(place, recipe.clone().check(&params).ok());
    }
}

/// What a value takes on its way through serde, a place takes too, whole and cut off at every byte; nothing of what lay there before
/// stays.
#[test]
fn a_recipe_is_read_into_a_place_as_it_is_deserialised() {
    let params = crate::params::tests::sample().check().expect("valid");
    let mut plain = recipe(&params, 150.0, 250.0);
    plain.name = "plain".try_into().expect("short");
    (plain.pieces, plain.contact_height) = (3, Micrometres::new(7.5));
    let mut more = recipe(&params, 160.0, 260.0);
    let step = more.steps[0];
    let _ = more.steps.push(StepWire {
        load: Newtons::new(155.0),
        ..step
    });
    more.flatness = Some(with_rings(&[(true, 0.25); 2]));
    let mut place = RecipeWire::EMPTY;
    for recipe in [&plain, &more, &plain, &more] {
        let mut bytes = [0; 512];
        let bytes = postcard::to_slice(recipe, &mut bytes).expect("room");
        for end in 0..bytes.len() {
            assert!(place.read(&bytes[..end]).is_err(), "{end}");
        }
        let left = place.read(bytes).expect("whole");
        assert!(left.is_empty() && place == *recipe, "{place:?}");
    }
}

/// More steps than a recipe has: an error, and the place holds none that passes a check.
#[test]
fn of_a_recipe_with_too_many_steps_none_is_kept() {
    let params = crate::params::tests::sample().check().expect("valid");
    let mut none = recipe(&params, 150.0, 250.0);
    let step = none.steps[0];
    none.steps.clear();
    let (mut whole, mut one) = ([0; 64], [0; 64]);
    let whole = postcard::to_slice(&none, &mut whole).expect("room");
    let one = postcard::to_slice(&step, &mut one).expect("room");
    // The count of steps is the last byte of a recipe without any.
    let (count, head) = whole.split_last().expect("bytes");
    assert_eq!(*count, 0);
    let mut place = RecipeWire::EMPTY;
    for (steps, kept) in [(16_u8, 16), (17, 0)] {
        let mut bytes = head.to_vec();
        bytes.push(steps);
        (0..steps).for_each(|_| bytes.extend_from_slice(one));
        assert_eq!(place.read(&bytes).is_ok(), kept > 0);
        assert_eq!(place.steps.len(), kept);
    }
}

#[test]
fn a_step_may_be_lighter_than_the_initial_load_but_not_than_the_lowest() {
    assert_eq!(violations(100.0, 250.0), []);
    assert_eq!(violations(99.9, 250.0), [RecipeRule::Load]);
}

/// Run-up and release hold the initial load under the step's limit, whatever the step asks for.
#[test]
fn a_light_steps_limit_leaves_its_room_over_the_initial_load() {
    // Twice (5 % of limit - 150 N, and 12 N): 26.7 N at 176.7 N.
    assert_eq!(violations(100.0, 176.8), []);
    assert_eq!(violations(100.0, 176.5), [RecipeRule::GovernorMargin]);
    assert_eq!(violations(149.9, 176.5), [RecipeRule::GovernorMargin]);
}

/// Where the line has no error of its own the room is twice the margin, and just that is enough.
#[test]
fn twice_the_half_width_over_the_load_is_enough() {
    let mut wire = crate::params::tests::sample();
    wire.governor_gain = crate::units::Ratio::new(1.0);
    let params = wire.check().expect("valid");
    for (limit, rules) in [
        (289.0, &[] as &[_]),
        (288.99, &[RecipeRule::GovernorMargin]),
    ] {
        assert_eq!(broken(recipe(&params, 265.0, limit), &params), rules);
    }
}

/// The last step is the last there is, and so is whatever would come after it.
#[test]
fn a_recipe_knows_its_last_step() {
    let params = crate::params::tests::sample().check().expect("valid");
    for count in 1..=3_u8 {
        let mut wire = recipe(&params, 265.0, 350.0);
        let step = wire.steps[0];
        wire.steps = (0..count).map(|_| step).collect();
        let checked = wire.check(&params).expect("valid");
        for index in 0..=count {
            let last = index + 1 >= count;
            assert_eq!(checked.is_last(index), last, "{index} of {count}");
            assert_eq!(checked.step(index).is_some(), index < count);
        }
        assert!(checked.is_last(u8::MAX));
    }
}

/// A reversal is a drive that turns one way in a step and the other way in the next: neither rest nor another speed is one, and after
/// the last step there is none.
#[test]
fn only_a_drive_that_turns_back_reverses() {
    let params = crate::params::tests::sample().check().expect("valid");
    for (now, next, reverses) in [
        (10.0, -10.0, true),
        (-0.1, 60.0, true),
        (10.0, 20.0, false),
        (-10.0, -20.0, false),
        (10.0, 0.0, false),
        (-10.0, 0.0, false),
        (0.0, -10.0, false),
    ] {
        for drive in 0..DRIVES {
            let mut wire = recipe(&params, 265.0, 350.0);
            let mut steps = [wire.steps[0]; 3];
            steps[1].speeds[drive] = Rpm::new(now);
            steps[2].speeds[drive] = Rpm::new(next);
            steps[0].speeds[drive] = Rpm::new(now);
            wire.steps = steps.into_iter().collect();
            let checked = wire.check(&params).expect("valid");
            let found = [0, 1, 2, u8::MAX].map(|index| checked.reverses_after(index));
            let due = [false, reverses, false, false];
            assert_eq!(found, due, "drive {drive}: {now} rpm, then {next} rpm");
        }
    }
}

#[test]
fn a_checked_recipe_keeps_its_flatness_control() {
    let params = crate::params::tests::sample().check().expect("valid");
    let mut wire = recipe(&params, 265.0, 350.0);
    for control in [None, Some(crate::plate_form::tests::control())] {
        wire.flatness.clone_from(&control);
        let checked = wire.clone().check(&params).expect("valid");
        assert_eq!(checked.form_control(), control.as_ref());
    }
}
