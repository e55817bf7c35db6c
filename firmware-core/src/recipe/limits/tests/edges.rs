//! Each rule of the recipe's gate at its edge, on both sides: the last value that passes, and the first that does not.

use super::{broken, recipe};
use crate::params::CheckedParams;
use crate::plate_form::{FormControl, RingSetting};
use crate::process_image::DRIVES;
use crate::recipe::{ALL_RECIPE_RULES, EndWire, RecipeRule, RecipeWire, StepWire};
use crate::units::{
    Micrometres, MillilitresPerMinute, Newtons, NewtonsPerSecond, Ratio, Rpm, Ticks,
};
use std::vec::Vec;

/// A day in ticks of 1 ms.
const DAY: u32 = 86_400_000;

/// The sample machine with a lowest load of its own: 100 N, initial load 150 N, rated 900 N, ramp 100 N/s, drives 60 rpm, speed
/// tolerance 2 rpm, flow 60 to 400 mL/min, raised 150 mm, approach 8 mm, governor 5 % and 12 N.
fn params(inner_fixed: bool) -> CheckedParams {
    let mut wire = crate::params::tests::sample();
    wire.lowest = Newtons::new(100.0);
    wire.fixed = [inner_fixed, false, false, false];
    wire.check().expect("valid")
}

/// A recipe far from every edge, by gauge.
fn middle(params: &CheckedParams) -> RecipeWire {
    let mut recipe = recipe(params, 265.0, 350.0);
    recipe.size_lower = Micrometres::new(400.0);
    recipe.steps[0].speeds[0] = Rpm::ZERO;
    recipe
}

type Change = fn(&mut RecipeWire);

/// The step that is changed.
fn step(r: &mut RecipeWire) -> &mut StepWire {
    &mut r.steps[0]
}

fn load(r: &mut RecipeWire, load: f32, limit: f32) {
    (step(r).load, step(r).load_limit) = (Newtons::new(load), Newtons::new(limit));
}

fn time(r: &mut RecipeWire, end: u32, longest: u32) {
    (step(r).end, step(r).longest) = (EndWire::Time(Ticks(end)), Ticks(longest));
}

fn speed(r: &mut RecipeWire, drive: usize, rpm: f32) {
    step(r).speeds[drive] = Rpm::new(rpm);
}

/// Flatness control with one setting beside the programmed one.
fn flat(r: &mut RecipeWire, change: fn(&mut FormControl)) {
    let setting = |trim: f32| RingSetting {
        reversed: false,
        trim: Ratio::new(trim),
        change: [Micrometres::new(0.1); 2],
    };
    let mut control = FormControl {
        settings: [setting(0.0), setting(0.1)].into_iter().collect(),
        deadband: Micrometres::new(2.0),
        limit: Micrometres::new(10.0),
        longest: 3,
    };
    change(&mut control);
    r.flatness = Some(control);
}

const PASS: [Change; 33] = [
    |_| {},
    |r| r.pieces = 1,
    |r| r.contact_height = Micrometres::new(f32::MIN_POSITIVE),
    |r| r.contact_height = Micrometres::new(141_999.98),
    |r| r.prestart = Ticks(1),
    |r| r.prestart = Ticks(DAY),
    |r| r.prestart_flow = MillilitresPerMinute::new(60.0),
    |r| r.prestart_flow = MillilitresPerMinute::new(400.0),
    |r| r.rinse = Ticks(DAY),
    |r| r.size_lower = Micrometres::ZERO,
    |r| load(r, 100.0, 350.0),
    |r| load(r, 265.0, 900.0),
    // 2 (5 % of the limit less 150 N, and 12 N) over 265 N: 304.44 N.
    |r| load(r, 265.0, 304.5),
    |r| step(r).ramp = NewtonsPerSecond::new(100.0),
    |r| step(r).ramp = NewtonsPerSecond::new(f32::MIN_POSITIVE),
    |r| step(r).speeds = [0.0, 60.0, -60.0, 60.0].map(Rpm::new),
    |r| step(r).speeds = [0.0, 0.0, 0.0, -2.001].map(Rpm::new),
    |r| step(r).flow = MillilitresPerMinute::new(60.0),
    |r| step(r).flow = MillilitresPerMinute::new(400.0),
    |r| time(r, 1, 2),
    |r| time(r, DAY - 1, DAY),
    |r| step(r).end = EndWire::Stock(Micrometres::new(f32::MIN_POSITIVE)),
    |r| step(r).end = EndWire::Size(Micrometres::new(f32::MIN_POSITIVE)),
    |r| {
        step(r).end = EndWire::Stock(Micrometres::new(1.0));
        step(r).longest = Ticks(1);
    },
    |r| flat(r, |_| {}),
    |r| flat(r, |f| f.settings.truncate(1)),
    |r| flat(r, |f| f.settings[1].trim = Ratio::new(0.5)),
    |r| flat(r, |f| f.settings[1].trim = Ratio::new(-0.5)),
    |r| flat(r, |f| f.deadband = Micrometres::new(f32::MIN_POSITIVE)),
    |r| flat(r, |f| f.limit = Micrometres::new(500.0)),
    |r| flat(r, |f| f.longest = 1),
    |r| flat(r, |f| f.longest = 1000),
    // A tenth more of 54 rpm is 59.4 rpm, under the drive's 60.
    |r| {
        flat(r, |_| {});
        speed(r, 1, 54.0);
    },
];

use RecipeRule as Rule;

const FAIL: [(&[Rule], Change); 47] = [
    (&[Rule::Schema], |r| r.schema += 1),
    (&[Rule::Schema], |r| r.schema -= 1),
    (&[Rule::Machine], |r| r.machine_id ^= 1),
    (&[Rule::Parameters], |r| r.params_hash ^= 1),
    (&[Rule::NoSteps], |r| r.steps.clear()),
    (&[Rule::NoPieces], |r| r.pieces = 0),
    (&[Rule::ContactHeight], |r| {
        r.contact_height = Micrometres::ZERO
    }),
    (&[Rule::ContactHeight], |r| {
        r.contact_height = Micrometres::new(-1.0)
    }),
    (&[Rule::ContactHeight], |r| {
        r.contact_height = Micrometres::new(142_000.0)
    }),
    (&[Rule::Prestart], |r| r.prestart = Ticks(0)),
    (&[Rule::Prestart], |r| r.prestart = Ticks(DAY + 1)),
    (&[Rule::PrestartFlow], |r| {
        r.prestart_flow = MillilitresPerMinute::new(59.999)
    }),
    (&[Rule::PrestartFlow], |r| {
        r.prestart_flow = MillilitresPerMinute::new(400.001)
    }),
    (&[Rule::Rinse], |r| r.rinse = Ticks(DAY + 1)),
    (&[Rule::SizeLower], |r| {
        r.size_lower = Micrometres::new(-f32::MIN_POSITIVE)
    }),
    (&[Rule::Load], |r| load(r, 99.999, 350.0)),
    (&[Rule::Load], |r| load(r, -265.0, 350.0)),
    (&[Rule::LoadLimit], |r| load(r, 265.0, 900.001)),
    (&[Rule::LoadLimit, Rule::GovernorMargin], |r| {
        load(r, 265.0, 265.0)
    }),
    (&[Rule::LoadLimit, Rule::GovernorMargin], |r| {
        load(r, 265.0, 100.0)
    }),
    (&[Rule::GovernorMargin], |r| load(r, 265.0, 304.4)),
    // There is no room over what is no number, nor under it.
    (&[Rule::LoadLimit, Rule::GovernorMargin], |r| {
        load(r, 265.0, f32::INFINITY)
    }),
    (&[Rule::Load, Rule::LoadLimit, Rule::GovernorMargin], |r| {
        load(r, f32::NAN, 350.0)
    }),
    (&[Rule::Ramp], |r| step(r).ramp = NewtonsPerSecond::ZERO),
    (&[Rule::Ramp], |r| {
        step(r).ramp = NewtonsPerSecond::new(-1.0)
    }),
    (&[Rule::Ramp], |r| {
        step(r).ramp = NewtonsPerSecond::new(100.001)
    }),
    (&[Rule::Speed], |r| speed(r, 1, 60.001)),
    (&[Rule::Speed], |r| speed(r, 2, -60.001)),
    (&[Rule::Speed], |r| speed(r, 3, 60.001)),
    (&[Rule::NoMotion], |r| {
        step(r).speeds = [0.0, 2.0, -2.0, 2.0].map(Rpm::new)
    }),
    (&[Rule::Flow], |r| {
        step(r).flow = MillilitresPerMinute::new(59.999)
    }),
    (&[Rule::Flow], |r| {
        step(r).flow = MillilitresPerMinute::new(400.001)
    }),
    (&[Rule::End], |r| time(r, 0, 1)),
    (&[Rule::End, Rule::Longest], |r| time(r, DAY + 1, DAY)),
    (&[Rule::End], |r| {
        step(r).end = EndWire::Stock(Micrometres::ZERO)
    }),
    (&[Rule::End], |r| {
        step(r).end = EndWire::Size(Micrometres::ZERO)
    }),
    // By a gauge that is not used.
    (&[Rule::End], |r| {
        r.size_lower = Micrometres::ZERO;
        step(r).end = EndWire::Stock(Micrometres::new(1.0));
    }),
    (&[Rule::End], |r| {
        r.size_lower = Micrometres::ZERO;
        step(r).end = EndWire::Size(Micrometres::new(1.0));
    }),
    (&[Rule::Longest], |r| time(r, 5, 5)),
    (&[Rule::Longest], |r| time(r, DAY, DAY)),
    (&[Rule::Longest], |r| time(r, 5, DAY + 1)),
    (&[Rule::Flatness], |r| flat(r, |f| f.settings.clear())),
    (&[Rule::Flatness], |r| {
        flat(r, |f| f.settings[0].trim = Ratio::new(0.1))
    }),
    (&[Rule::Flatness], |r| {
        flat(r, |f| f.settings[1].trim = Ratio::new(0.501))
    }),
    (&[Rule::Flatness], |r| flat(r, |f| f.limit = f.deadband)),
    (&[Rule::Flatness], |r| flat(r, |f| f.longest = 0)),
    (&[Rule::RingSetting], |r| {
        flat(r, |_| {});
        speed(r, 2, 0.0);
        step(r).speeds = [0.0, 60.0, 0.0, 0.0].map(Rpm::new);
        if let Some(control) = r.flatness.as_mut() {
            control.settings[1].trim = Ratio::new(-0.1);
        }
    }),
];

fn broken_by(change: Change) -> Vec<Rule> {
    let params = params(true);
    let mut recipe = middle(&params);
    change(&mut recipe);
    broken(recipe, &params)
}

#[test]
fn each_rule_passes_the_last_value_on_its_good_side() {
    for (n, change) in PASS.into_iter().enumerate() {
        assert_eq!(broken_by(change), [], "{n}");
    }
}

#[test]
fn each_rule_alone_refuses_the_first_value_on_its_bad_side() {
    for (n, (rules, change)) in FAIL.into_iter().enumerate() {
        assert_eq!(broken_by(change), rules, "{n}");
    }
    for rule in ALL_RECIPE_RULES {
        assert!(
            FAIL.iter().any(|(rules, _)| *rules == [rule]),
            "{rule:?} is never broken alone"
        );
    }
}

/// A fixed ring stands still, bit for bit; one that has a drive may turn.
#[test]
fn a_fixed_ring_does_not_turn() {
    for (fixed, rules) in [(true, &[Rule::Speed] as &[_]), (false, &[])] {
        let params = params(fixed);
        let mut recipe = middle(&params);
        speed(&mut recipe, 0, f32::MIN_POSITIVE);
        assert_eq!(broken(recipe, &params), rules, "{fixed}");
    }
}

/// Every step is asked, and a violation says in which it is.
#[test]
fn every_step_is_checked_and_named() {
    let params = params(true);
    let mut recipe = middle(&params);
    let sound = recipe.steps[0];
    recipe.steps = [sound; 4].into_iter().collect();
    recipe.steps[3].flow = MillilitresPerMinute::ZERO;
    recipe.steps[1].ramp = NewtonsPerSecond::ZERO;
    let violations = recipe.check(&params).expect_err("two steps are wrong");
    let found: Vec<_> = violations.iter().map(|v| (v.rule, v.step)).collect();
    assert_eq!(found, [(Rule::Ramp, Some(1)), (Rule::Flow, Some(3))]);
}

/// The claim that a NaN cannot arrive in a tick rests on this gate: no float of a recipe may be anything but a number.
#[test]
fn no_float_of_a_recipe_may_be_anything_but_a_number() {
    type Put = fn(&mut RecipeWire, f32);
    const FLOATS: [(&str, Put); 12] = [
        ("contact_height", |r, x| {
            r.contact_height = Micrometres::new(x)
        }),
        ("prestart_flow", |r, x| {
            r.prestart_flow = MillilitresPerMinute::new(x)
        }),
        ("size_lower", |r, x| r.size_lower = Micrometres::new(x)),
        ("load", |r, x| step(r).load = Newtons::new(x)),
        ("load_limit", |r, x| step(r).load_limit = Newtons::new(x)),
        ("ramp", |r, x| step(r).ramp = NewtonsPerSecond::new(x)),
        ("speeds", |r, x| step(r).speeds[3] = Rpm::new(x)),
        ("speeds of a fixed ring", |r, x| {
            step(r).speeds[0] = Rpm::new(x)
        }),
        ("flow", |r, x| step(r).flow = MillilitresPerMinute::new(x)),
        ("stock", |r, x| {
            step(r).end = EndWire::Stock(Micrometres::new(x))
        }),
        ("size", |r, x| {
            step(r).end = EndWire::Size(Micrometres::new(x))
        }),
        ("deadband", |r, x| {
            flat(r, |_| {});
            if let Some(control) = r.flatness.as_mut() {
                control.deadband = Micrometres::new(x);
            }
        }),
    ];
    // A float that is added must be named here, or this does not compile.
    let RecipeWire {
        schema: _,
        name: _,
        machine_id: _,
        params_hash: _,
        process: _,
        pieces: _,
        contact_height: _,
        prestart: _,
        prestart_flow: _,
        rinse: _,
        size_lower: _,
        flatness: _,
        steps,
    } = middle(&params(true));
    let StepWire {
        load: _,
        load_limit: _,
        ramp: _,
        speeds,
        flow: _,
        end: _,
        longest: _,
    } = steps[0];
    assert_eq!(speeds.len(), DRIVES);
    for (name, put) in FLOATS {
        for bad in [f32::NAN, f32::INFINITY, f32::NEG_INFINITY] {
            let params = params(true);
            let mut recipe = middle(&params);
            put(&mut recipe, bad);
            assert!(recipe.check(&params).is_err(), "{name} may be {bad}");
        }
    }
}
