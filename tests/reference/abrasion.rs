//! What the model says of removal, finish and damage beside what was published. Where the literature spreads, the spread is the answer:
//! the model's range is held against the rows, and what lies outside is named.

use twinplate_sim::demo;
use twinplate_sim::model::{Consumables, Process};
use twinplate_sim::plant::abrasion::{Form, Material, Published};

/// Loose alumina in water at the optimum of its concentration.
pub fn alumina(grain_um: f64) -> Consumables {
    let mut c = demo::recipe("glass-f800").consumables;
    c.grain = grain_um * 1e-6;
    // 6 % by volume, alumina 3950 kg/m³ in water.
    c.concentration = 0.06 * 3950.0 / (0.06 * 3950.0 + 0.94 * 1000.0);
    c
}

fn diamond(grain_um: f64) -> Consumables {
    let mut c = alumina(grain_um);
    c.process = Process::Diamond;
    c.abrasive = "diamond".into();
    c
}

fn on(material: &str, c: &Consumables) -> Published {
    Published::of(c, Material::named(material))
}

/// Source: study of LiTaO₃ lapped with JIS #1000 silicon carbide on cast iron (abstract): 1.68 µm per m of path per kgf/cm², in
/// proportion to the grain. Derived: 1.713e-11 1/Pa. The median of #1000 is 11.5 µm (JIS R 6001-2, from memory).
#[test]
fn removal_is_that_of_the_study_and_in_proportion_to_the_grain() {
    let study = 1.68e-6 / 98_066.5;
    assert!((study - 1.713e-11_f64).abs() < 0.0005e-11);
    for (grain, times) in [(11.5, 1.0), (23.0, 2.0), (4.6, 0.4)] {
        let form = on("glass", &alumina(grain)).removal;
        assert!(
            (form.usual / (times * study) - 1.0).abs() < 5e-4,
            "{grain}: {form:?}"
        );
    }
    // Loose abrasive from 1e-12 (from memory) to 2e-11 1/Pa: the range around the form is as wide.
    let form = on("glass", &alumina(11.5)).removal;
    assert!((form.most / form.least - 20.0).abs() < 1e-9);
}

/// What the demonstration recipes (invented) say they measured, beside the form: the deviation stated.
#[test]
fn removal_of_the_demo_recipes_beside_the_form() {
    let stated = [
        ("alumina-diamond", 1.5, 2.3),
        ("glass-f800", 0.7, 1.0),
        ("glass-polish", 0.9, 1.5),
        ("silicon-f1000", 0.9, 1.3),
        ("steel-f400", 1.0, 1.7),
        ("zirconia-fixed", 0.5, 0.9),
    ];
    assert_eq!(
        stated.map(|(name, ..)| name.to_owned()).to_vec(),
        demo::recipes()
    );
    for (name, least, most) in stated {
        let (_, batch, recipe) = demo::set(name);
        let c = &recipe.consumables;
        let form = on(&batch.material, c).removal;
        let ratio = c.removal.expect("measured") / form.usual;
        assert!(ratio > least && ratio < most, "{name}: {ratio} of the form");
        assert!(form.holds(c.removal.expect("measured")), "{name}");
    }
}

/// Source: Tribology International 40 (2007) 498–502, glass and alumina: RMS and peak to valley, µm. RMS of a Gaussian profile is √(π/2)
/// times its Ra.
#[test]
fn finish_of_glass_is_that_of_the_published_rows() {
    for (grain, rms) in [(80.0, 1.39), (40.0, 0.57), (20.0, 0.51), (7.0, 0.33)] {
        let form = on("glass", &alumina(grain)).roughness;
        let ra = rms * 1e-6 / (std::f64::consts::PI / 2.0).sqrt();
        assert!(form.holds(ra), "{grain} µm: {ra} and {form:?}");
        let off = ra / form.usual;
        assert!(
            off < 1.35 && off > 1.0 / 1.35,
            "{grain} µm: {off} of the fit"
        );
    }
}

/// Other pairs of abrasive and material lie within the range that the model states, some at its edge.
#[test]
fn finish_of_other_materials_lies_within_the_stated_range() {
    // Source: Wen and others, Optics and Precision Engineering 17 (2009) 2493 (abstract): sapphire, 280-mesh boron carbide (about
    // 50 µm), Ra 0.523 µm.
    assert!(on("sapphire", &alumina(50.0)).roughness.holds(0.523e-6));
    // Source: 6H-SiC, 3 µm diamond (abstract, 2016): Ra 5.20 nm on one face, 5.49 nm on the other. This sets the lower edge.
    let form = on("silicon carbide", &diamond(3.0)).roughness;
    assert!(form.holds(5.20e-9) && form.holds(5.49e-9), "{form:?}");
    // Source: sapphire, bonded diamond of 35 to 45 µm (abstract, 2016): Ra 0.1402 µm.
    let mut bonded = diamond(40.0);
    bonded.process = Process::FixedAbrasive;
    assert!(on("sapphire", &bonded).roughness.holds(0.1402e-6));
}

/// Peak to valley over the grain, µm, of the same fit.
fn peak(grain_um: f64) -> f64 {
    0.7214 * grain_um.powf(0.493)
}

/// Source: 0.3 d^0.68 < damage < 2 d^0.85 µm in glass (Lambropoulos and others, from memory), and damage over peak to valley: 2.92 ±
/// 0.75 (ground glass, 2018), 6.7 ± 0.8 (loose alumina, J. Non-Crystalline Solids 2011), 7.4 ± 1.3 (bonded diamond on silica, Applied
/// Optics 53 (2014) 5841); all abstracts. The three do not agree, and one paper says that none is universal (Optics Express 2013).
#[test]
fn damage_of_glass_is_within_the_published_bounds_and_near_the_lowest_ratio() {
    let within = |ratio: f64, form: &Form, grain: f64| form.holds(ratio * peak(grain) * 1e-6);
    for grain in [3.0, 6.5, 11.5, 17.3, 29.2, 53.0, 80.0] {
        let form = on("glass", &alumina(grain)).damage;
        assert!((form.least * 1e6 / (0.3 * grain.powf(0.68)) - 1.0).abs() < 1e-9);
        assert!((form.most * 1e6 / (2.0 * grain.powf(0.85)) - 1.0).abs() < 1e-9);
        let ratio = form.usual * 1e6 / peak(grain);
        assert!((ratio - 2.92).abs() < 0.75, "{grain}: {ratio}");
        // The two higher ratios are within the bounds from a grain of 12 µm and of 17 µm up; below, the bounds contradict them.
        assert_eq!(within(6.7, &form, grain), grain > 12.0, "{grain}");
        assert_eq!(within(7.4, &form, grain), grain > 17.0, "{grain}");
    }
}

#[test]
fn damage_of_other_materials_beside_their_rows() {
    // Source: 4H-SiC, double-sided: 3 µm diamond 1.56 µm, 4 µm 2.16 µm (Crystals 16 (2026) 142, abstract).
    for (grain, depth) in [(3.0, 1.56e-6), (4.0, 2.16e-6)] {
        let form = on("silicon carbide", &diamond(grain)).damage;
        assert!(form.holds(depth), "{grain}: {form:?}");
    }
    // Source: course notes on silicon: 9 to 12 µm alumina leaves 10 to 15 µm. The model's most is at the lower end of that.
    let [fine, coarse] = [9.0, 12.0].map(|d| on("silicon", &alumina(d)).damage);
    assert!(
        fine.holds(10e-6) && !coarse.holds(15e-6),
        "{fine:?} {coarse:?}"
    );
    // Source: the LiTaO₃ study: 12 µm from a grain of 11.5 µm. Its material is not in the list, and is taken as glass.
    assert!(on("lithium tantalate", &alumina(11.5)).damage.holds(12e-6));
    // Source: Wen and others (above): sapphire, about 50 µm of boron carbide, damage at most 1 µm. The model's range does not reach so
    // low: this row is told as unusual.
    let form = on("sapphire", &alumina(50.0)).damage;
    assert!(!form.holds(1e-6) && form.least > 2e-6, "{form:?}");
}

/// The demonstration recipes (invented) claim less damage for their roughness than glass has: within the bounds of the grain, under all
/// three ratios. It is said here and in the book, and not hidden in a constant.
#[test]
fn damage_of_the_demo_recipes_lies_under_the_ratios_and_within_the_bounds() {
    for name in [
        "glass-f800",
        "silicon-f1000",
        "alumina-diamond",
        "zirconia-fixed",
    ] {
        let (_, batch, recipe) = demo::set(name);
        let c = &recipe.consumables;
        let (damage, roughness) = (c.damage.expect("measured"), c.roughness.expect("measured"));
        assert!(on(&batch.material, c).damage.holds(damage), "{name}");
        let grain = c.grain * 1e6;
        // Peak to valley over RMS of the fit, and RMS over Ra of a Gaussian profile.
        let rms = 0.1043 * grain.powf(0.540);
        let ratio = damage / (roughness * (std::f64::consts::PI / 2.0).sqrt() * peak(grain) / rms);
        assert!(ratio > 0.9 && ratio < 1.5, "{name}: {ratio}");
    }
}
