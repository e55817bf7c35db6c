use super::*;
use crate::demo;
use crate::files::parse_machine;
use std::path::Path;

const SHORT: &str = include_str!("../../../../recipes/variants/machines/machine-a-short.toml");

fn short() -> Machine {
    parse_machine(Path::new("short.toml"), SHORT)
        .expect("reads")
        .value
}

#[test]
fn every_rule_has_words_and_a_name_of_its_own() {
    let all: Vec<&Rule> = rules().collect();
    assert!(all.len() > 60, "{}", all.len());
    for (place, rule) in all.iter().enumerate() {
        assert_eq!(usize::from(number(rule.key)), place, "{} twice", rule.key);
        for words in [rule.rule, rule.source, rule.by] {
            assert!(!words.is_empty(), "{}", rule.key);
        }
        assert!(rule.how.ends_with('.'), "{}", rule.key);
        assert!(rule.by != "setting" || !rule.varies(), "{}", rule.key);
        assert_eq!(rule.spread.is_empty(), !rule.varies(), "{}", rule.key);
        assert!(!rule.write.is_empty(), "{}", rule.key);
    }
}

/// A rule may only use what is given or was derived before it: whatever else the machine holds, it gives the same.
#[test]
fn the_order_of_the_rules_is_that_of_their_use() {
    let expected = short();
    let mut scrambled = short();
    for rule in rules() {
        *(rule.field)(&mut scrambled) = f64::NAN;
    }
    scrambled.assumed.clear();
    fill(&mut scrambled, |_| true);
    for rule in rules() {
        assert_eq!(
            rule.value(&scrambled),
            rule.value(&expected),
            "{}",
            rule.key
        );
        assert!(rule.value(&scrambled).is_finite(), "{}", rule.key);
    }
}

/// Moments of inertia and heat capacity by hand, from textbook formulas: J = m (R² + r²) / 2 of a thick ring, a fifth more for rotor and
/// gear; C = m c.
#[test]
fn plates_weigh_what_cast_iron_weighs() {
    let machine = short();
    let area = std::f64::consts::PI * (0.24 * 0.24 - 0.098 * 0.098);
    let mass = 7200.0 * area * 0.05;
    let near =
        |value: f64, expected: f64| assert!((value / expected - 1.0).abs() < 1e-9, "{value}");
    near(
        machine.drives[2].inertia,
        1.2 * mass * (0.24 * 0.24 + 0.098 * 0.098) / 2.0,
    );
    near(
        machine.drives[3].inertia,
        1.2 * 58.0 * (0.24 * 0.24 + 0.098 * 0.098) / 2.0,
    );
    near(machine.thermal.capacity, mass * 460.0);
    // Balance of forces: what the counterbalance leaves of the weight.
    near(
        machine.actuator.resting_load(),
        0.11 * machine.actuator.weight(),
    );
}

#[test]
fn full_machines_vary_in_nothing_else_and_short_ones_repeat() {
    let drawn = |index| Varied::Drawn { seed: 7, index };
    let full = demo::machine("machine-a");
    assert!(matches!(varied(&full, drawn(3)), Cow::Borrowed(_)));
    let machine = short();
    assert!(matches!(
        varied(&machine, Varied::Nominal),
        Cow::Borrowed(_)
    ));
    assert_eq!(varied(&machine, drawn(3)), varied(&machine, drawn(3)));
    for index in 1..200 {
        let one = varied(&machine, drawn(index));
        assert_ne!(one, varied(&machine, drawn(index + 1)));
        for rule in rules() {
            let (value, drawn) = (rule.value(&machine), rule.value(&one));
            let [low, high] = ENDS.map(|end| rule.value(&rule.end(&machine, end)));
            assert!((low..=high).contains(&drawn), "{}: {drawn}", rule.key);
            // The lower half of a stretched width is the envelope's alone.
            if rule.varies() && rule.width.declared().is_none() {
                assert_ne!(value, drawn, "{}", rule.key);
            }
        }
    }
}

/// A key that is given draws from no stream: the others' draws stay.
#[test]
fn a_key_that_is_given_shifts_no_draw() {
    let text = SHORT.replace("[slurry]\n", "[slurry]\nfilm-life = \"45 s\"\n");
    let given = parse_machine(Path::new("short.toml"), &text)
        .expect("reads")
        .value;
    let (all, fewer) = (short(), given);
    let drawn = Varied::Drawn { seed: 1, index: 9 };
    let (all, fewer) = (varied(&all, drawn), varied(&fewer, drawn));
    for rule in rules() {
        let same = rule.value(&all) == rule.value(&fewer);
        assert_eq!(same, rule.key != "slurry.film-life", "{}", rule.key);
    }
}

/// The envelope is as wide as the ignorance, unless the file says how wide it is.
#[test]
fn a_width_that_is_given_stays() {
    assert_eq!(short().envelope.lag, 0.6);
    let typed = format!("{SHORT}\n[envelope]\nlag = \"35 %\"\n");
    let typed = parse_machine(Path::new("short.toml"), &typed)
        .expect("reads")
        .value;
    assert_eq!(typed.envelope.lag, 0.35);
    let given = SHORT.replace("[actuator]\n", "[actuator]\nlag = \"0.1 s\"\n");
    let given = parse_machine(Path::new("short.toml"), &given)
        .expect("reads")
        .value;
    assert_eq!(given.envelope.lag, 0.3);
    assert!(!given.assumed.contains(&"actuator.lag"));
}

/// What is written into a short file may change other keys by their rules: it is read back as meant all the same.
#[test]
fn a_value_can_be_written_into_a_short_file() {
    let file = parse_machine(Path::new("short.toml"), SHORT).expect("reads");
    let text = crate::files::with_cell(&file, 1e-4, None).expect("written");
    let read = parse_machine(Path::new("short.toml"), &text)
        .expect("reads")
        .value;
    assert_eq!(read.cell.nonlinearity, 1e-4);
    assert!(!read.assumed.contains(&"cell.nonlinearity"));
    assert_eq!(read.assumed.len() + 1, file.value.assumed.len());
}
