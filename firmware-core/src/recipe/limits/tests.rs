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

/// Rules broken by a recipe with these ring settings beside the programmed one, on a machine whose inner ring is fixed or not.
fn with_settings(others: &[(bool, f32)], fixed: bool) -> std::vec::Vec<RecipeRule> {
    let mut wire = crate::params::tests::sample();
    wire.lowest = Newtons::new(100.0);
    wire.fixed = [fixed, false, false, false];
    let params = wire.check().expect("valid");
    let most = params.get().speed_max.map(|s| s * 0.9);
    let inner = if fixed { Rpm::ZERO } else { most[0] };
    let mut recipe = recipe(&params, 100.0, 250.0);
    recipe.steps[0].speeds = [inner, most[1], most[2], most[3]];
    let setting = |(reversed, trim): (bool, f32)| crate::plate_form::RingSetting {
        reversed,
        trim: crate::units::Ratio::new(trim),
        change: [Micrometres::new(0.1); 2],
    };
    let all = core::iter::once((false, 0.0)).chain(others.iter().copied());
    recipe.flatness = Some(FormControl {
        settings: all.map(setting).collect(),
        deadband: Micrometres::new(2.0),
        limit: Micrometres::new(10.0),
        longest: 3,
    });
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
