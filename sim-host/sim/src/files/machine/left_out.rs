//! What a short machine file leaves out: filled in, checked, and told.

use super::super::quantity::find;
use super::super::table::Table;
use crate::assumed::{self, Declared, Rule, Width};
use crate::model::Machine;

/// Pairs of keys of which the first must be less than the second, where either may be assumed.
const ORDERS: [[&str; 2]; 8] = [
    ["actuator.supply-minimum", "actuator.supply-pressure"],
    ["actuator.lift-pressure", "actuator.supply-pressure"],
    ["actuator.seal-friction", "actuator.seal-breakaway"],
    ["actuator.approach", "actuator.height-raised"],
    ["slurry.flow-min", "slurry.flow-max"],
    ["thermal.ambient", "thermal.high"],
    ["thermal.high", "thermal.very-high"],
    ["control.initial-load", "control.rated-load"],
];

/// Assumes what the file does not give. A rule that gives what the key cannot hold is an error of the file: there the key must be given.
pub(super) fn assume(t: &mut Table<'_, '_>, machine: &mut Machine) {
    assumed::fill(machine, |key| !t.gives(key));
    if !t.is_faultless() {
        return;
    }
    for rule in assumed::assumed(machine) {
        let value = rule.value(machine);
        let Some(range) = t.range_of(rule.key) else {
            continue;
        };
        // What follows from a value that is missing is that one's error.
        if !value.is_finite() {
            continue;
        }
        let [low, high] = range.ends();
        if !(low..=high).contains(&value) {
            let table = rule.key.split('.').next().unwrap_or(rule.key);
            t.error_at(
                "inconsistent",
                table,
                format!(
                    "`{}` is left out, and {} would make {}",
                    rule.key,
                    rule.rule,
                    value_words(rule, value)
                ),
                format!(
                    "the key in the file, from {} to {}",
                    range.text[0], range.text[1]
                ),
            );
        }
    }
    for [low, high] in ORDERS {
        let rules = [low, high].map(assumed::rule);
        // Where both are given, their table has said it.
        if t.gives(low) && t.gives(high) {
            continue;
        }
        let [low_value, high_value] = [low, high].map(|key| value_of(machine, key));
        if low_value > high_value {
            let (given, left_out) = if t.gives(low) {
                (low, high)
            } else {
                (high, low)
            };
            let words = |index: usize, value: f64| {
                rules[index]
                    .map_or_else(|| format!("{value:.0} N"), |rule| value_words(rule, value))
            };
            t.error_at(
                "inconsistent",
                given,
                format!(
                    "`{left_out}` is left out; with its rule `{low}` would be {} and `{high}` {}",
                    words(0, low_value),
                    words(1, high_value)
                ),
                format!("`{left_out}` in the file as well, `{low}` less than `{high}`"),
            );
        }
    }
}

/// The value of a key of [`ORDERS`].
fn value_of(machine: &Machine, key: &str) -> f64 {
    match key {
        "slurry.flow-max" => machine.slurry.flow_max,
        "control.rated-load" => machine.control.rated_load,
        _ => assumed::rule(key).map_or(f64::NAN, |rule| rule.value(machine)),
    }
}

/// A value of an assumed key in the unit in which it is shown, with it.
#[must_use]
pub fn value_words(rule: &Rule, value: f64) -> String {
    let unit = find(rule.unit);
    let number = unit.map_or(value, |unit| {
        (value - unit.offset) * unit.denominator / unit.numerator
    });
    let text = if number == 0.0 || (1e-3..1e7).contains(&crate::math::abs(number)) {
        short(number)
    } else {
        format!("{number:.2e}")
    };
    format!("{text} {}", rule.unit).trim_end().to_owned()
}

/// How far off an assumed key may be, in words.
#[must_use]
pub fn width_words(rule: &Rule) -> String {
    let percent = |share: f64| short(share * 100.0);
    match rule.width {
        Width::Setting => "a setting".to_owned(),
        Width::Factor(factor) => format!("÷{0}…×{0}", short(factor)),
        Width::Share(share) => format!("±{} %", percent(share)),
        // A difference of temperatures has no offset.
        Width::Plus(half) if rule.unit == "°C" => format!("±{} K", short(half)),
        Width::Plus(half) => format!("±{}", value_words(rule, half)),
        Width::Declared(Declared::Supply, share) => format!("−{} %", percent(share)),
        Width::Declared(Declared::Noise, factor) => format!("up to ×{}", short(factor)),
        Width::Declared(_, share) => format!("±{} %", percent(share)),
        Width::Stretched(_, share, factor) => {
            format!(
                "−{} % to ×{}",
                percent(share),
                short((1.0 + share) * factor)
            )
        }
    }
}

/// A number with three digits where it is small, and none behind the point where it is large.
fn short(number: f64) -> String {
    let text = match crate::math::abs(number) {
        size if size >= 100.0 => format!("{number:.0}"),
        size if size >= 10.0 => format!("{number:.1}"),
        size if size >= 1.0 => format!("{number:.2}"),
        size if size >= 0.1 => format!("{number:.3}"),
        _ => format!("{number:.5}"),
    };
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}
