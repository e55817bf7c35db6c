//! What people type into a value or an option: quantities, grades, materials, sweeps.

use super::sheets::set;
use twinplate_sim::files::error::nearest;
use twinplate_sim::files::quantity::{Dimension, find, parse, parse_any, split};
use twinplate_sim::files::{grades, materials};
use twinplate_sweep::axis::Axis;

fn text(bytes: &[u8]) -> Option<&str> {
    std::str::from_utf8(bytes).ok()
}

/// A number with its unit: finite, or refused.
pub fn quantity(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    for dimension in Dimension::ALL {
        assert!(
            parse(text, *dimension).is_ok_and(f64::is_finite) || parse(text, *dimension).is_err()
        );
        let any = parse_any(text, Some(*dimension));
        assert!(any.is_ok_and(|(value, _)| value.is_finite()) || parse_any(text, None).is_err());
    }
    let _ = split(text).map(|(value, _)| assert!(value.is_finite()));
    let _ = (grades::find(text), materials::named(text), find(text));
    let words = ["pressure", "ramp", "limit", "speeds"];
    assert!(nearest(text, words).is_none_or(|word| words.contains(&word)));
}

/// A key with its range, as it is typed after `--sweep`: one a line.
pub fn sweep(bytes: &[u8]) {
    let Some(text) = text(bytes) else { return };
    let typed: Vec<String> = text.lines().take(2).map(str::to_owned).collect();
    match Axis::read(&typed, set()) {
        Ok(axes) => {
            for axis in axes {
                let _ = axis.note();
            }
        }
        Err(errors) => super::files::told(bytes, &errors),
    }
}
