use super::*;

#[test]
fn ids_and_names_are_unique_and_in_order() {
    for (i, a) in TABLE.iter().enumerate() {
        assert!(a.debounce.ticks(&crate::params::tests::sample()) > 0);
        assert!(!RETIRED.contains(&a.id), "{} uses a retired id", a.name);
        assert!(!a.happened.is_empty() && !a.cure.is_empty() && !a.inputs.is_empty());
        for b in TABLE.iter().skip(i + 1) {
            assert_ne!(a.id, b.id, "row id used twice");
            assert_ne!(a.name, b.name, "row name used twice");
        }
    }
}

/// A row's text may say a number; it is the one that the rule has.
#[test]
fn numbers_in_the_texts_are_those_of_the_rules() {
    use super::super::{TANK_EMPTY, TANK_LOW};
    use crate::motion::RUN_UP_TORQUE;
    use crate::signal::{OVERRUN_WINDOW, OVERRUNS, SLOW_AGE};
    use crate::units::TICKS_PER_SECOND;
    use std::format;
    let says = |cond: Cond, text: &str| {
        let row = &TABLE[cond as usize];
        assert!(row.inputs.contains(text), "{}: {text}", row.name);
    };
    let percent = |share: f32| format!("{} %", (share * 100.0).round());
    says(Cond::TankLow, &percent(f32::from(TANK_LOW) / 1e3));
    says(Cond::TankEmpty, &percent(f32::from(TANK_EMPTY) / 1e3));
    says(Cond::TorqueRunUp, &percent(RUN_UP_TORQUE - 1.0));
    says(
        Cond::TemperatureStale,
        &format!("{} s", u32::from(SLOW_AGE) / TICKS_PER_SECOND),
    );
    assert_eq!((OVERRUNS, OVERRUN_WINDOW), (3, TICKS_PER_SECOND));
    says(Cond::TickOverrun, "three late ticks in one second");
}

#[test]
fn every_row_is_watched_somewhere() {
    use crate::sequence::{ALL_PHASES, ALL_STATES};
    for row in &TABLE {
        let places = ALL_STATES
            .iter()
            .flat_map(|s| ALL_PHASES.iter().map(move |p| (*s, *p)))
            .filter(|(s, p)| row.watch.covers(*s, *p))
            .count();
        assert!(places > 0, "{} is never watched", row.name);
    }
}
