//! Roughness and damage that the demo recipes state, against published results.

use twinplate_sim::demo;
use twinplate_sim::model::Process;

/// Source: optical glass lapped with aluminium oxide, Tribology International 40 (2007) 498–502: RMS roughness at mean grain
/// sizes of 80, 40, 20 and 7 µm.
const PUBLISHED: [(f64, f64); 4] = [(80.0, 1.39), (40.0, 0.57), (20.0, 0.51), (7.0, 0.33)];

/// `(factor, exponent)` of `roughness = factor * grain^exponent` by least squares on the logarithms.
fn fit() -> (f64, f64) {
    let n = PUBLISHED.len() as f64;
    let logs = PUBLISHED.map(|(d, r)| (d.ln(), r.ln()));
    let mean = |f: fn(&(f64, f64)) -> f64| logs.iter().map(f).sum::<f64>() / n;
    let (x, y) = (mean(|p| p.0), mean(|p| p.1));
    let slope = logs.iter().map(|p| (p.0 - x) * (p.1 - y)).sum::<f64>()
        / logs.iter().map(|p| (p.0 - x).powi(2)).sum::<f64>();
    ((y - slope * x).exp(), slope)
}

/// The plant takes its finish from the recipe, so it is the demo recipes that are compared, and only those with loose
/// aluminium oxide. Materials other than glass and a roughness that is RMS there and Ra here: the order of magnitude
/// (half a decade each way) is all that carries over; common practice, no source.
#[test]
fn loose_abrasive_recipes_finish_in_the_order_of_the_published_fit() {
    let (factor, exponent) = fit();
    // The fit computed apart, to its printed digits: 0.1043 d^0.540.
    assert!(
        (factor - 0.1043).abs() < 0.5e-4 && (exponent - 0.540).abs() < 0.5e-3,
        "{factor} d^{exponent}"
    );
    let mut compared = 0;
    for name in &demo::recipes() {
        let (_, batch, recipe) = demo::set(name);
        let c = &recipe.consumables;
        if c.process != Process::LooseAbrasive || c.abrasive != "aluminium oxide" {
            continue;
        }
        let grain = c.grain * 1e6;
        let expected = factor * grain.powf(exponent);
        let roughness = c.roughness.expect("measured");
        let decades = (roughness * 1e6 / expected).log10();
        assert!(
            decades.abs() < 0.5,
            "{}: {} m, the fit says {expected} µm",
            recipe.id,
            roughness
        );
        if batch.material == "glass" {
            // Damage of lapped glass between 0.3 d^0.68 and 2 d^0.85 µm (Lambropoulos and others; from memory).
            let (low, high) = (0.3 * grain.powf(0.68), 2.0 * grain.powf(0.85));
            let damage = c.damage.expect("measured") * 1e6;
            assert!(
                damage > low && damage < high,
                "{}: {damage} µm, not {low} to {high}",
                recipe.id
            );
        }
        compared += 1;
    }
    assert!(compared >= 3, "{compared} recipes");
}
