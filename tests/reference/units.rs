//! Units of files and of the wall to the controller, against factors from outside; and any text as a quantity.

use crate::table::{number, rows};
use proptest::prelude::*;
use twinplate_sim::compile;
use twinplate_sim::demo;
use twinplate_sim::files::parse_batch;
use twinplate_sim::files::quantity::{Dimension, QuantityError, UNITS, parse, parse_any};

fn dimension(word: &str) -> Dimension {
    let article = |d: &Dimension| d.name().trim_start_matches("a ").to_owned();
    let name = match word {
        "angular-speed" => "rotational speed",
        "flow" => "volume flow",
        "ratio" => "share",
        "force-rate" => "rate of load",
        plain => plain,
    };
    *Dimension::ALL
        .iter()
        .find(|d| article(d) == name)
        .unwrap_or_else(|| panic!("no dimension {word}"))
}

/// Source: `units.csv` and `temperatures.csv`, scipy.constants (NIST SP 811 and its exact definitions).
///
/// Both sides round a product or quotient or two of exact decimals: four units in the last place.
#[test]
fn factors_are_those_of_the_reference_library() {
    let close = |got: f64, want: f64| (got - want).abs() <= 4.0 * f64::EPSILON * want.abs();
    for row in rows(include_str!("data/units.csv")) {
        let (text, factor) = (format!("1 {}", row[0]), number(row[2]));
        let got = parse(&text, dimension(row[1])).unwrap_or_else(|e| panic!("{text}: {e:?}"));
        assert!(close(got, factor), "{text}: {got:e}, not {factor:e}");
    }
    for row in rows(include_str!("data/temperatures.csv")) {
        let text = format!("{} {}", row[0], if row[1] == "Kelvin" { "K" } else { "°F" });
        let got = parse(&text, Dimension::Temperature).expect("a temperature");
        assert!(
            (got - number(row[2])).abs() < 1e-12 * 300.0,
            "{text}: {got}"
        );
    }
}

/// Source: NIST SP 811 (2008) appendix B (from memory): factors that it prints with seven digits, checked to half of the last.
#[test]
fn printed_factors_of_sp_811() {
    for (text, word, printed, half) in [
        ("1 psi", "pressure", 6.894_757e3, 5e-4),
        ("1 lbf", "force", 4.448_222, 5e-7),
        ("1 kgf", "force", 9.806_650, 5e-7),
        ("1 lb", "mass", 4.535_924e-1, 5e-8),
        ("1 lbf·in", "torque", 1.129_848e-1, 5e-8),
        ("1 lbf·ft", "torque", 1.355_818, 5e-7),
        ("1 rpm", "angular-speed", 1.047_198e-1, 5e-8),
        ("1 µin", "length", 2.54e-8, 5e-15),
        ("1 L/min", "flow", 1.666_667e-5, 5e-12),
        ("1 lb·ft²", "moment of inertia", 4.214_011e-2, 5e-9),
        ("1 lb·in²", "moment of inertia", 2.926_397e-4, 5e-11),
        ("1 lb/in³", "density", 2.767_990e4, 5e-3),
        ("1 lb/ft³", "density", 1.601_846e1, 5e-6),
    ] {
        let got = parse(text, dimension(word)).expect(text);
        assert!((got - printed).abs() <= half, "{text}: {got:e}");
    }
}

/// Source: the same factors: 60/(2 pi) rev/min per rad/s, 6e7 mL/min per m³/s, 1e6 µm per m; `f32` beyond the wall.
#[test]
fn compiled_parameters_carry_the_same_quantities_in_the_controllers_units() {
    let machine = demo::machine("machine-a");
    let wire = compile::params_wire(&machine);
    let same = |got: f32, want: f64| {
        assert!(
            (f64::from(got) / want - 1.0).abs() < 2e-7,
            "{got} against {want}"
        )
    };
    for i in 0..4 {
        same(
            wire.speed_max[i].get(),
            machine.drives[i].speed * 9.549_296_585_513_721,
        );
    }
    same(
        wire.drive_ramp.get(),
        machine.control.drive_ramp * 9.549_296_585_513_721,
    );
    same(wire.flow_max.get(), machine.slurry.flow_max * 6e7);
    same(
        wire.height_raised.get(),
        machine.actuator.height_raised * 1e6,
    );
    // 58 kg at standard gravity, 9.80665 m/s² exactly.
    same(wire.weight.get(), 568.7857);
    // 50 mm bore under 4.2 bar; 0.1 mbar a count.
    same(wire.line_gain.get(), 824.668_071_567_321);
    same(wire.cap_scale.get(), 0.019_634_954_084_936_2);
}

/// A length in light bands is one of the lamp that the batch names, wherever in the file the lamp stands. Sources: helium d 587.5618 nm,
/// mercury e 546.07 nm (NIST Atomic Spectra Database, from memory).
#[test]
fn light_bands_are_those_of_the_batchs_lamp() {
    let path = demo::folder().join("batches/glass-discs.toml");
    let text = std::fs::read_to_string(&path).expect("a batch");
    let in_bands = text.replace("flatness = \"5 µm\"", "flatness = \"2 bands\"");
    assert_ne!(text, in_bands);
    let flatness = |text: &str| parse_batch(&path, text).expect("a batch").value.flatness;
    assert!((flatness(&in_bands) / 587.561_8e-9 - 1.0).abs() < 1e-12);
    let mercury = format!("{in_bands}\n[inspection]\nwavelength = \"546.07 nm\"\n");
    assert!((flatness(&mercury) / 546.07e-9 - 1.0).abs() < 1e-12);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// Any text: a value or an error, never a panic, never a number that is not finite.
    #[test]
    fn any_text_is_a_finite_number_or_an_error(text in "\\PC{0,40}|[0-9]e[0-9]{3}|[0-9]e[23][0-9]{2} (MPa|kg|m|%|K)|[-+−0-9.eE_, ]{0,12}[ µμu·*²^/a-zA-Z%°]{0,8}") {
        for &dimension in Dimension::ALL {
            if let Ok(value) = parse(&text, dimension) {
                prop_assert!(value.is_finite());
            }
        }
        if let Ok((value, _)) = parse_any(&text, None) {
            prop_assert!(value.is_finite());
        }
    }

    /// A written number comes back as itself times the unit, in every unit; in any other dimension it is refused by name.
    #[test]
    fn what_is_written_is_read(number in -1e9..1e9_f64, unit in 0..UNITS.len(), other in 0..Dimension::ALL.len()) {
        let unit = &UNITS[unit];
        let text = format!("{number} {}", unit.symbol);
        let value = parse(&text, unit.dimension).expect("a valid quantity");
        let expected = if unit.reciprocal {
            unit.numerator / (number * unit.denominator)
        } else {
            number * unit.numerator / unit.denominator + unit.offset
        };
        prop_assert_eq!(value, expected);
        let wrong = Dimension::ALL[other];
        if !wrong.takes(unit.dimension) {
            prop_assert_eq!(parse(&text, wrong), Err(QuantityError::WrongDimension(unit.dimension)));
        }
    }

    /// Two spellings of one length are one number.
    #[test]
    fn the_unit_that_is_used_does_not_matter(micrometres in 1_u32..1_000_000) {
        let a = parse(&format!("{micrometres} µm"), Dimension::Length).expect("a length");
        let b = parse(&format!("{micrometres}e-3 mm"), Dimension::Length).expect("a length");
        let c = parse(&format!("{}e-6 m", micrometres), Dimension::Length).expect("a length");
        prop_assert!((a / b - 1.0).abs() < 4.0 * f64::EPSILON && (a / c - 1.0).abs() < 4.0 * f64::EPSILON);
    }
}
