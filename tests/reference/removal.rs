//! Removal: Preston, Journal of the Society of Glass Technology 11 (1927) 214, `dh/dt = k_p p v` (from memory), and its closed
//! form for parts of unequal thickness, in the real plant under hand-set outputs.

use crate::rig::Rig;
use crate::rig::rad_s;
use twinplate_sim::demo;
use twinplate_sim::files::{Overrides, load_set, parse_recipe};
use twinplate_sim::model::{Deviations, G};
use twinplate_sim::plant::kinematics::{Slide, carrier_motion};

const SPEEDS: [f64; 4] = [14.0, 5.0, 28.0, -14.0];

/// Both rings alike: the carriers go round as one piece with what lies in them.
const RIGID: [f64; 4] = [10.0, 10.0, 28.0, -14.0];

/// Wet, charged and turning under load, with grains that do not break down: every factor of removal but `k_p p v` is one, apart from
/// what swarf leaves of it, which is steady by then.
fn lapping(spread: f64, speeds: [f64; 4]) -> Rig {
    let mut rig = Rig::plain(&Deviations::NOMINAL, |m, b, c| {
        b.spread = spread;
        // Plates that stay flat: their form has a closed form of its own (`plates`).
        m.thermal.slurry_share = 1.0;
        m.plates.wear = 0.0;
        c.breakdown_work = 1e30;
    })
    .seated();
    rig.out.pump = 1000;
    rig.run(45_000);
    rig.press(0.24).turn(speeds).run(6000);
    let truth = rig.plant.truth();
    assert!(
        truth.charge > 0.9999 && truth.film == 1.0 && truth.sharpness > 0.999_999,
        "{truth:?}"
    );
    // Begin at the edge of a window of a hundred ticks.
    while !rig.plant.truth().tick.is_multiple_of(100) {
        rig.tick();
    }
    rig
}

/// Mean sliding speeds (lower, upper) by the closed form that `kinematics` checks, m/s.
fn sliding(rig: &Rig, speeds: [f64; 4]) -> [f64; 2] {
    let geometry = &rig.machine.geometry;
    let speeds = speeds.map(rad_s);
    let motion = carrier_motion(geometry, &speeds);
    [2, 3].map(|plate| Slide::new(geometry, motion, speeds[plate], rig.batch.outermost()).mean())
}

#[test]
fn mean_removal_is_pressure_times_path() {
    let mut rig = lapping(0.0, SPEEDS);
    let start = rig.plant.truth();
    let (mut impulse, mut cut, mut cleared) = (0.0, 0.0, start.cleared);
    for tick in 0..60_000 {
        rig.tick();
        // The plant's slurry moves every ten ticks.
        if tick % 10 == 9 {
            cleared = rig.plant.truth().cleared;
        }
        impulse += rig.plant.load()[1] * 1e-3 * cleared;
        cut += cleared * 1e-3;
    }
    let end = rig.plant.truth();
    let k_p = rig.consumables.removal.expect("measured");
    let own = rig.batch.density * rig.batch.thickness * G * cut;
    for (face, v) in sliding(&rig, SPEEDS).into_iter().enumerate() {
        let weight = if face == 0 { own } else { 0.0 };
        let expected = k_p * v * (impulse / rig.batch.area() + weight);
        let removed = end.removed[face] - start.removed[face];
        // Drives hold their speeds to a count of 0.01 rpm in 14: two parts in ten thousand.
        assert!(
            (removed / expected - 1.0).abs() < 3e-4,
            "face {face}: {removed} against {expected}"
        );
    }
    assert!(
        (start.thickness
            - end.thickness
            - (end.removed[0] + end.removed[1] - start.removed[0] - start.removed[1]))
            .abs()
            < 1e-15
    );
}

/// Source: linear load sharing with all parts touching turns Preston into `d' = -k_p (v_u + v_l) k_i/A d` for every part's
/// deviation `d` from the plane that fits them best: it decays as `exp(-k_p (v_u + v_l) (k/A) t)`. What the plane has of the
/// deviations stays: the plate lies on it. So the parts keep their places here, in carriers that go round as one.
///
/// The plant's windows are exact. What is left is the wetting's and the speeds' last part in ten thousand.
#[test]
fn thickness_spread_decays_as_the_closed_form() {
    let mut rig = lapping(0.12e-6, RIGID);
    let count = rig.batch.parts as usize;
    // The rings did not come up to speed quite together: where the pockets are is asked, not computed.
    let places: Vec<[f64; 2]> = (0..count).map(|part| rig.plant.place(part)).collect();
    let deviations = |rig: &Rig| -> Vec<f64> {
        let all: Vec<f64> = rig.plant.parts().map(|p| p.thickness).collect();
        off_plane(&places, &all)
    };
    let start = deviations(&rig);
    let most = start.iter().fold(0.0_f64, |m, d| m.max(d.abs()));
    let squeeze = rig.plant.load()[1] / rig.batch.stiffness();
    assert!(
        most < squeeze,
        "all parts touch: {most} m of spread under {squeeze} m of compression"
    );
    let [lower, upper] = sliding(&rig, RIGID);
    let k_p = rig.consumables.removal.expect("measured") * rig.plant.truth().cleared;
    let rate = k_p * (lower + upper) * rig.batch.stiffness_per_area;
    let seconds = 30.0;
    rig.run(30_000);
    let exponent = rate * seconds;
    for (before, after) in start.iter().zip(deviations(&rig)) {
        let ratio = after / before;
        assert!(
            (ratio.ln() + exponent).abs() < 1e-3 * exponent,
            "decayed to {ratio}, not {}",
            (-exponent).exp()
        );
    }
    assert!(exponent > 1.5, "long enough to tell: {exponent}");
}

/// What no plane explains of heights at places that balance one another (no sums of x, y and xy).
fn off_plane(places: &[[f64; 2]], heights: &[f64]) -> Vec<f64> {
    let sum = |of: &dyn Fn(usize) -> f64| (0..places.len()).map(of).sum::<f64>();
    let mean = sum(&|i| heights[i]) / places.len() as f64;
    let slope = [0, 1].map(|axis| {
        sum(&|i| (heights[i] - mean) * places[i][axis]) / sum(&|i| places[i][axis].powi(2))
    });
    assert!(sum(&|i| places[i][0] * places[i][1]).abs() < 1e-12);
    heights
        .iter()
        .zip(places)
        .map(|(h, [x, y])| h - mean - slope[0] * x - slope[1] * y)
        .collect()
}

/// A rate as a shop measures it is the coefficient of Preston's equation, thickness rate = k p (v lower + v upper): by hand for the one,
/// and for the other by the mean speed of a pocket centre from ten thousand places of its path.
#[test]
fn a_rate_is_the_coefficient_that_gives_it() {
    let path = demo::folder().join("recipes/glass-f800.toml");
    let text = std::fs::read_to_string(&path).expect("a recipe");
    let with = |rate: &str| {
        let changed = text.replace("removal = \"8e-12 1/Pa\"", rate);
        assert_ne!(changed, text);
        changed
    };
    // 3.6 µm/min = 6e-8 m/s at 9 kPa and 0.4 m/s on either face: 6e-8/(9e3 × 0.8).
    let by_hand = with(
        "removal-rate = { thickness = \"3.6 µm/min\", pressure = \"9 kPa\", sliding = \"0.4 m/s\" }",
    );
    let recipe = parse_recipe(&path, &by_hand).expect("a recipe").value;
    let removal = recipe.consumables.removal.expect("a coefficient");
    assert!(
        (removal / 8.333_333_333e-12 - 1.0).abs() < 1e-9,
        "{removal:e}"
    );

    let folder = std::env::temp_dir().join(format!("twinplate-rate-{}", std::process::id()));
    std::fs::create_dir_all(folder.join("recipes")).expect("a folder");
    for other in ["machines/machine-a.toml", "batches/glass-discs.toml"] {
        let to = folder.join(other);
        std::fs::create_dir_all(to.parent().expect("a folder")).expect("a folder");
        std::fs::copy(demo::folder().join(other), to).expect("a file");
    }
    let file = folder.join("recipes/glass-f800.toml");
    let speeds =
        "{ inner = \"14 rpm\", outer = \"5 rpm\", lower = \"28 rpm\", upper = \"-14 rpm\" }";
    let rate = format!(
        "removal-rate = {{ thickness = \"3.6 µm/min\", pressure = \"9 kPa\", speeds = {speeds} }}"
    );
    std::fs::write(&file, with(&rate)).expect("a file");
    let set = load_set(&file, &Overrides::default()).expect("a set");
    let removal = set.recipe.value.consumables.removal.expect("a coefficient");
    let faces: f64 = [28.0, -14.0].map(path_speed).iter().sum();
    let expected = 6e-8 / (9e3 * faces);
    assert!(
        (removal / expected - 1.0).abs() < 1e-6,
        "{removal:e} {expected:e}"
    );
    std::fs::remove_dir_all(&folder).expect("cleared");

    for bad in [
        "removal = \"8e-12 1/Pa\"\nremoval-rate = { thickness = \"3 µm/min\", pressure = \"9 kPa\", sliding = \"0.4 m/s\" }",
        "removal-rate = { thickness = \"9 mm/min\", pressure = \"10 Pa\", sliding = \"0.1 mm/s\" }",
        "removal-rate = { thickness = \"3 µm/min\", pressure = \"9 kPa\" }",
    ] {
        assert!(parse_recipe(&path, &with(bad)).is_err(), "{bad}");
    }
}

/// Mean speed of a pocket centre of the small machine against a plate, m/s: rings 40 and 130 teeth of module 4 mm at 14 and 5 rpm, centre
/// 50 mm from the carrier's; both points go on from place to place and are differenced.
fn path_speed(plate_rpm: f64) -> f64 {
    use std::f64::consts::TAU;
    let [inner, outer, plate] = [14.0, 5.0, plate_rpm].map(|rpm| rpm * TAU / 60.0);
    let [rs, rr, rho] = [0.08, 0.26, 0.05];
    let (e, orbit) = (0.5 * (rs + rr), (rs * inner + rr * outer) / (rs + rr));
    let spin = (rr * outer - rs * inner) / (rr - rs);
    let at = |t: f64| {
        let [centre, point] = [(orbit - plate) * t, (spin - plate) * t];
        [
            e * centre.cos() + rho * point.cos(),
            e * centre.sin() + rho * point.sin(),
        ]
    };
    // One turn of the carrier in its orbit.
    let turn = TAU / (spin - orbit).abs();
    let steps = 10_000;
    let dt = turn / f64::from(steps);
    let places = (0..=steps).map(|n| at(f64::from(n) * dt));
    let mut last = at(0.0);
    let mut length = 0.0;
    for place in places {
        length += (place[0] - last[0]).hypot(place[1] - last[1]);
        last = place;
    }
    length / turn
}
