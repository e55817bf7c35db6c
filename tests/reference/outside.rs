//! The book's list of checks against something outside this project, with what was measured, and published rows beside the model's own
//! numbers. Both are made anew here and compared with the pages; `UPDATE=1` rewrites them.

use crate::pages::{check, read, table};
use crate::{abrasion, plates, published, tilt, torque};
use twinplate_sim::bench::{Ended, Job, NoRecorder, run_cycle};
use twinplate_sim::demo;
use twinplate_sim::model::{Consumables, End};
use twinplate_sim::plant::abrasion::{Form, Material, Published};
use twinplate_sim::plant::part_form::{HELIUM, bands};

/// A thing that is compared with something outside, where, with what, how near it must be, and how near it is.
struct Check {
    what: &'static str,
    file: &'static str,
    test: &'static str,
    source: &'static str,
    asked: &'static str,
    /// Measured here; none where the test alone runs it.
    found: Option<String>,
}

const fn held(
    what: &'static str,
    [file, test]: [&'static str; 2],
    source: &'static str,
    asked: &'static str,
) -> Check {
    Check {
        what,
        file,
        test,
        source,
        asked,
        found: None,
    }
}

fn measured(check: Check, deviation: f64) -> Check {
    Check {
        found: Some(format!("{} %", digits(100.0 * deviation))),
        ..check
    }
}

/// Two digits, and no more zeros than a reader needs.
fn digits(value: f64) -> String {
    if value < 5e-5 {
        return "under 0.0001".into();
    }
    let places = (1 - value.log10().floor() as i32).clamp(0, 4) as usize;
    format!("{value:.places$}")
}

const ROWS: &str = "rows of a table computed outside: algebra, checked by brute force";

fn checks() -> Vec<Check> {
    let all = [plate_and_drives(), paths(), forms(), process(), formats()];
    all.into_iter().flatten().collect()
}

/// How the plate lies, and what turns it.
fn plate_and_drives() -> Vec<Check> {
    vec![
        measured(
            held(
                "height and two tilts of the plate, loads of all parts, 200 batches",
                [
                    "tests/reference/tilt.rs",
                    "loads_and_plane_agree_with_an_independent_solution",
                ],
                "scipy: least complementary energy (`tests/reference/scripts/tilt.py`)",
                "1 % of the largest load",
            ),
            tilt::deviation(),
        ),
        held(
            "three points that carry",
            [
                "sim-host/sim/src/plant/tilt.rs",
                "three_points_share_by_their_barycentric_coordinates",
            ],
            "statics: barycentric coordinates",
            "0.01 % of the load",
        ),
        measured(
            held(
                "torques on four drives, 200 geometries",
                [
                    "tests/reference/torque.rs",
                    "torques_agree_with_brute_force_on_two_hundred_geometries",
                ],
                "Coulomb friction summed over area and phase",
                "1 % (2 ‰ of the large ones where it is their difference)",
            ),
            torque::deviation(),
        ),
    ]
}

/// Where the parts run on a plate, how fast, and what that wears.
fn paths() -> Vec<Check> {
    let [wear, most, slope] = plates::row_deviations();
    vec![
        measured(
            held(
                "time on a ring, of a point that is followed",
                [
                    "tests/reference/plates.rs",
                    "time_on_a_ring_is_the_density_and_what_a_point_does_that_is_followed",
                ],
                "f(r) = 2 r/(π √((r² − (e − ρ)²)((e + ρ)² − r²))) and brute force",
                "0.5 %",
            ),
            plates::followed_deviation(),
        ),
        measured(
            held(
                "share of a circle that a disc covers",
                [
                    "tests/reference/plates.rs",
                    "a_disc_covers_the_share_of_a_circle_that_brute_force_finds",
                ],
                "arccos((r² + R² − a²)/(2 R r))/π and brute force",
                "0.5 %",
            ),
            plates::coverage_deviation(),
        ),
        measured(
            held(
                "wear of each ring of a plate, seven rows",
                [
                    "tests/reference/plates.rs",
                    "every_row_of_speeds_and_of_wear",
                ],
                "points that are followed",
                "1 %, root mean square",
            ),
            wear,
        ),
        measured(
            held(
                "orbit, spin, product of turnings, three speeds of each row; largest over mean wear",
                [
                    "tests/reference/plates.rs",
                    "every_row_of_speeds_and_of_wear",
                ],
                ROWS,
                "last printed digit; 1 %",
            ),
            most,
        ),
        Check {
            found: Some(digits(slope)),
            ..held(
                "tilt of the wear of each row",
                [
                    "tests/reference/plates.rs",
                    "every_row_of_speeds_and_of_wear",
                ],
                ROWS,
                "0.01",
            )
        },
        held(
            "v² = αβ r² + (α − β)(α e² − β ρ²), and its sign",
            [
                "tests/reference/plates.rs",
                "speed_by_radius_is_the_speed_of_the_point",
            ],
            "position and velocity of the point; random cases",
            "1e-12 of the largest",
        ),
    ]
}

/// Form of plates and parts.
fn forms() -> Vec<Check> {
    let bow = plates::bow_deviation();
    vec![
        measured(
            held(
                "bow of a plate under a gradient",
                [
                    "tests/reference/plates.rs",
                    "a_plate_bows_as_the_closed_form_says",
                ],
                "α ΔT D²/(8 t), worked: 18.5625 µm",
                "1e-6 of it",
            ),
            bow.abs(),
        ),
        measured(
            held(
                "sag of a part from a bow and from a cone, three rows",
                [
                    "tests/reference/plates.rs",
                    "a_part_reads_off_a_plate_what_the_closed_forms_say",
                ],
                "0.1085, 0.1537 and 0.0647 µm: algebra, computed outside",
                "1 %",
            ),
            plates::sag_deviation(),
        ),
        measured(
            held(
                "light band of helium",
                [
                    "tests/reference/plates.rs",
                    "a_light_band_is_half_a_wavelength",
                ],
                "587.5618 nm: 293.781 nm, 11.566 µin; the trade's 11.6 µin is 0.29 % more",
                "1e-6",
            ),
            (bands(293.780_9e-9, HELIUM) - 1.0).abs(),
        ),
    ]
}

/// What a whole cycle does, and what the abrasive does in it.
fn process() -> Vec<Check> {
    vec![
        held(
            "a machine × 0.635 and × 2.52 laps alike",
            [
                "tests/study/similar.rs",
                "a_larger_machine_pressed_as_hard_and_slid_as_fast_laps_alike",
            ],
            "similarity",
            "cycle 0.05 %, size 0.02 µm",
        ),
        held(
            "damage of glass over peak to valley, and within its bounds",
            [
                "tests/reference/abrasion.rs",
                "damage_of_glass_is_within_the_published_bounds_and_near_the_lowest_ratio",
            ],
            "7.4 ± 1.3 (Applied Optics 53 (2014) 5841), 6.7 ± 0.8 (J. Non-Crystalline Solids 2011), 2.92 ± 0.75 (2018); 0.3 d^0.68 to \
             2 d^0.85 µm (from memory)",
            "the lowest within its spread; the two others where the bounds admit them",
        ),
        held(
            "removal, in proportion to the grain",
            [
                "tests/reference/abrasion.rs",
                "removal_is_that_of_the_study_and_in_proportion_to_the_grain",
            ],
            "LiTaO₃, 1.68 µm per m and kgf/cm²: 1.713e-11 1/Pa (abstract)",
            "0.05 %",
        ),
        held(
            "the rate falls with time, and a new filling brings it back",
            [
                "tests/study/batches.rs",
                "slurry_that_runs_back_ages_from_batch_to_batch_and_a_new_filling_is_young",
            ],
            "Le and Peterson, J. Manufacturing Processes 1 (1999) 71–78 (abstract)",
            "direction",
        ),
        held(
            "every direction of the list",
            [
                "tests/properties/directions.rs",
                "every_knob_moves_what_it_should_the_way_it_should",
            ],
            "beside each direction: [directions](process-model.md#directions)",
            "direction, on random jobs",
        ),
    ]
}

/// What the recipe store is made of.
fn formats() -> Vec<Check> {
    const FILE: &str = "firmware-core/src/store/tests/published.rs";
    const POSTCARD: &str = "postcard's specification, `spec/src/wire-format.md` of its repository";
    let spec = |what, test| held(what, [FILE, test], POSTCARD, "every byte");
    vec![
        held(
            "CRC-32 of eight messages",
            [FILE, "messages_of_the_catalogue_leave_its_residue"],
            "catalogue of parametrised CRC algorithms, CRC-32/ISO-HDLC: residue; its messages from memory, zlib agrees",
            "every bit",
        ),
        spec(
            "postcard: seven numbers without sign",
            "unsigned_numbers_are_those_of_the_specification",
        ),
        spec(
            "eight with sign; the ninth row is an erratum",
            "signed_numbers_are_those_of_the_specification",
        ),
        spec(
            "eleven of the other types that are stored",
            "the_other_types_are_those_of_the_specification",
        ),
    ]
}

#[test]
fn the_book_lists_the_outside_checks_with_what_was_measured() {
    let rows = checks().into_iter().map(|check| {
        let file = read(check.file);
        assert!(
            file.contains(&format!("fn {}(", check.test)),
            "{} has no {}",
            check.file,
            check.test
        );
        vec![
            check.what.to_owned(),
            format!("`{}`, `{}`", check.file, check.test),
            check.source.to_owned(),
            check.asked.to_owned(),
            check.found.unwrap_or_else(|| "within".to_owned()),
        ]
    });
    let body = table(
        &[
            "what",
            "test",
            "compared with",
            "asked",
            "deviation measured",
        ],
        rows,
    );
    check("docs/assurance.md", "outside-checks", &body);
}

fn um(length: f64) -> String {
    format!("{:.2}", length * 1e6)
}

fn range(form: &Form) -> String {
    format!(
        "{}; {} to {}",
        um(form.usual),
        um(form.least),
        um(form.most)
    )
}

/// A share of a published number.
fn of(model: f64, published: f64) -> String {
    format!("× {:.2}", model / published)
}

/// Silicon wafers of the demonstration set (invented) under loose alumina in the middle of what the notes name, with nothing measured: time for
/// 50 µm a side at the demo recipe's pressure, s, and thickness variation of a wafer after it, m.
fn silicon(c: &Consumables) -> [f64; 2] {
    let (machine, mut batch, mut recipe) = demo::set("silicon-f1000");
    recipe.consumables = c.clone();
    let mut step = recipe.steps.pop().expect("a step");
    step.end = End::Stock { depth: 100e-6 };
    step.longest = 3000.0;
    recipe.steps = vec![step];
    batch.thickness = batch.target + 100e-6;
    let job = Job::new(machine, batch, recipe).expect("like a demonstration job");
    let run = run_cycle(&job.nominal(1), None, NoRecorder).expect("a run");
    assert_eq!(run.ended, Ended::Complete);
    [run.summary.steps[0].dwell, run.summary.form.variation]
}

fn on(material: &str, c: &Consumables) -> Published {
    Published::of(c, Material::named(material))
}

fn removal(form: &Form) -> String {
    format!(
        "{:.3e}; {:.1e} to {:.1e}",
        form.usual, form.least, form.most
    )
}

fn row(what: &str, published: &str, model: String, deviation: String) -> Vec<String> {
    vec![what.to_owned(), published.to_owned(), model, deviation]
}

/// An order of magnitude is an answer; more than one is none.
fn assert_alike(ratios: &[f64]) {
    for ratio in ratios {
        assert!((0.1..10.0).contains(ratio), "{ratio}");
    }
}

fn glass_rows() -> Vec<Vec<String>> {
    let study = 1.68e-6 / 98_066.5;
    let glass = on("glass", &abrasion::alumina(11.5));
    let peak = 0.7214 * 11.5_f64.powf(0.493);
    let ratio = glass.damage.usual * 1e6 / peak;
    assert_alike(&[
        glass.removal.usual / study,
        glass.damage.usual / 12e-6,
        peak / 1.3,
    ]);
    vec![
        row(
            "removal, grain of 11.5 µm, LiTaO₃ taken as glass, 1/Pa",
            "1.713e-11 (study of LiTaO₃, abstract)",
            removal(&glass.removal),
            of(glass.removal.usual, study),
        ),
        row(
            "removal, loose abrasive, 1/Pa",
            "about 1e-11 (Scientific Reports 2025, s41598-025-16363-0, tables 3 and 7, if one workpiece); 1e-12 (from memory) to 2e-11",
            removal(&glass.removal),
            of(glass.removal.usual, 1e-11),
        ),
        row(
            "damage, grain of 11.5 µm, LiTaO₃ taken as glass, µm",
            "12 (study of LiTaO₃, abstract)",
            range(&glass.damage),
            of(glass.damage.usual, 12e-6),
        ),
        row(
            "peak to valley, grain of 11.5 µm, µm",
            "1.3 (study of LiTaO₃, abstract)",
            format!("{peak:.2}"),
            of(peak, 1.3),
        ),
        row(
            "damage over peak to valley, glass",
            "2.92 ± 0.75 (2018); 6.7 ± 0.8 (2011); 7.4 ± 1.3 (2014); all abstracts",
            format!("{ratio:.2}"),
            format!(
                "{}, {}, {}",
                of(ratio, 2.92),
                of(ratio, 6.7),
                of(ratio, 7.4)
            ),
        ),
    ]
}

fn silicon_rows() -> Vec<Vec<String>> {
    let mut c = abrasion::alumina(10.5);
    (c.removal, c.roughness, c.damage, c.measured_at) = (None, None, None, None);
    let silicon_form = on("silicon", &c);
    let [time, variation] = silicon(&c);
    assert_alike(&[
        time / 1350.0,
        silicon_form.damage.usual / 12.5e-6,
        variation / 1e-6,
    ]);
    vec![
        row(
            "silicon, alumina of 9 to 12 µm: time for 50 µm a side, min",
            "40 to 60 µm a side (course notes, no time); 15 to 30 min for 10 to 25 µm a side (community notes)",
            format!("{:.1} for 50 µm a side at 14 kPa", time / 60.0),
            format!("{} of the middle", of(time, 1350.0)),
        ),
        row(
            "… total thickness variation, µm",
            "near 1 (course notes)",
            um(variation),
            of(variation, 1e-6),
        ),
        row(
            "… damage, µm",
            "10 to 15 (course notes)",
            range(&silicon_form.damage),
            format!("{} of the middle", of(silicon_form.damage.usual, 12.5e-6)),
        ),
    ]
}

fn recipe_rows() -> Vec<Vec<String>> {
    let of_one = |name: String| {
        let (_, batch, recipe) = demo::set(&name);
        let form = on(&batch.material, &recipe.consumables).removal;
        let given = recipe.consumables.removal.expect("given");
        row(
            &format!("removal that `{name}` (invented) gives, 1/Pa"),
            &format!("{given:.1e}: no publication"),
            removal(&form),
            format!("given {}", of(given, form.usual)),
        )
    };
    demo::recipes().into_iter().map(of_one).collect()
}

#[test]
fn published_rows_stand_beside_the_models_own_numbers() {
    let body = table(
        &[
            "what",
            "published",
            "the model: usual; range",
            "usual over published",
        ],
        [
            glass_rows(),
            silicon_rows(),
            published::rows(),
            recipe_rows(),
        ]
        .concat(),
    );
    check("docs/process-model.md", "published-rows", &body);
}
