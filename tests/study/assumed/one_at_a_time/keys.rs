//! What is changed in the plant, one key at a time: the envelopes, said a second time.

use twinplate_sim::model::{Deviations, Machine};

/// How far a key goes, said a second time.
#[derive(Clone, Copy)]
pub enum By {
    Factor(f64),
    Share(f64),
    Plus(f64),
}

impl By {
    pub fn end(self, value: f64, upper: bool) -> f64 {
        let sign = if upper { 1.0 } else { -1.0 };
        match self {
            Self::Factor(factor) if upper => value * factor,
            Self::Factor(factor) => value / factor,
            Self::Share(share) => value * (1.0 + sign * share),
            Self::Plus(half) => value + sign * half,
        }
    }
}

pub type Key = (&'static str, fn(&mut Machine) -> &mut f64, By);

/// Every assumed key with an envelope of its own.
pub const OWN: &[Key] = &[
    (
        "actuator.stribeck-speed",
        |m| &mut m.actuator.stribeck_speed,
        By::Factor(3.5),
    ),
    (
        "actuator.presliding",
        |m| &mut m.actuator.presliding,
        By::Factor(4.0),
    ),
    ("actuator.slew", |m| &mut m.actuator.slew, By::Factor(4.0)),
    ("actuator.play", |m| &mut m.actuator.play, By::Factor(5.0)),
    (
        "actuator.resolution",
        |m| &mut m.actuator.resolution,
        By::Factor(2.0),
    ),
    (
        "actuator.dump-lag",
        |m| &mut m.actuator.dump_lag,
        By::Factor(2.0),
    ),
    (
        "actuator.speed-fast",
        |m| &mut m.actuator.speed_fast,
        By::Share(0.3),
    ),
    (
        "actuator.speed-creep",
        |m| &mut m.actuator.speed_creep,
        By::Share(0.4),
    ),
    (
        "actuator.speed-lift",
        |m| &mut m.actuator.speed_lift,
        By::Share(0.4),
    ),
    (
        "actuator.guide-drag",
        |m| &mut m.actuator.guide_drag,
        By::Factor(2.1),
    ),
    (
        "actuator.dog-friction",
        |m| &mut m.actuator.dog_friction,
        By::Factor(5.0),
    ),
    (
        "actuator.dog-radius",
        |m| &mut m.actuator.dog_radius,
        By::Share(0.2),
    ),
    (
        "geometry.runout-ripple",
        |m| &mut m.geometry.runout_ripple,
        By::Factor(2.0),
    ),
    ("cell.bandwidth", |m| &mut m.cell.bandwidth, By::Factor(2.0)),
    ("cell.creep-fast", |m| &mut m.cell.creep[0], By::Factor(3.0)),
    ("cell.creep-slow", |m| &mut m.cell.creep[1], By::Factor(3.0)),
    (
        "cell.creep-time-fast",
        |m| &mut m.cell.creep_time[0],
        By::Factor(3.0),
    ),
    (
        "cell.creep-time-slow",
        |m| &mut m.cell.creep_time[1],
        By::Factor(3.0),
    ),
    (
        "cell.zero-drift",
        |m| &mut m.cell.zero_drift,
        By::Share(8.0),
    ),
    (
        "cell.nonlinearity",
        |m| &mut m.cell.nonlinearity,
        By::Plus(1e-3),
    ),
    ("cell.lash", |m| &mut m.cell.lash, By::Factor(5.0)),
    (
        "drives.outer.inertia",
        |m| &mut m.drives[1].inertia,
        By::Factor(2.0),
    ),
    (
        "drives.inner.inertia",
        |m| &mut m.drives[0].inertia,
        By::Factor(2.0),
    ),
    (
        "drives.lower.inertia",
        |m| &mut m.drives[2].inertia,
        By::Share(0.3),
    ),
    (
        "drives.upper.inertia",
        |m| &mut m.drives[3].inertia,
        By::Share(0.25),
    ),
    (
        "drives.inner.drag",
        |m| &mut m.drives[0].drag,
        By::Factor(3.0),
    ),
    (
        "drives.outer.drag",
        |m| &mut m.drives[1].drag,
        By::Factor(3.0),
    ),
    (
        "drives.lower.drag",
        |m| &mut m.drives[2].drag,
        By::Factor(3.0),
    ),
    (
        "drives.upper.drag",
        |m| &mut m.drives[3].drag,
        By::Factor(3.0),
    ),
    (
        "slurry.line-volume",
        |m| &mut m.slurry.line_volume,
        By::Factor(2.5),
    ),
    (
        "slurry.line-lag",
        |m| &mut m.slurry.line_lag,
        By::Factor(4.0),
    ),
    (
        "slurry.film-life",
        |m| &mut m.slurry.film_life,
        By::Factor(2.0),
    ),
    (
        "slurry.wet-time",
        |m| &mut m.slurry.wet_time,
        By::Factor(2.0),
    ),
    (
        "slurry.settle-time",
        |m| &mut m.slurry.settle_time,
        By::Factor(4.0),
    ),
    (
        "slurry.stir-time",
        |m| &mut m.slurry.stir_time,
        By::Factor(3.0),
    ),
    (
        "slurry.rinse-flow",
        |m| &mut m.slurry.rinse_flow,
        By::Factor(2.0),
    ),
    ("slurry.tank", |m| &mut m.slurry.tank, By::Factor(2.0)),
    ("thermal.ambient", |m| &mut m.thermal.ambient, By::Plus(8.0)),
    (
        "thermal.capacity",
        |m| &mut m.thermal.capacity,
        By::Share(0.4),
    ),
    (
        "thermal.cooling",
        |m| &mut m.thermal.cooling,
        By::Factor(4.0),
    ),
    (
        "thermal.slurry-share",
        |m| &mut m.thermal.slurry_share,
        By::Plus(0.4),
    ),
];

pub type Spread = (&'static str, [(Deviations, f64); 2]);

/// Keys whose envelope is one of the declared widths, at both of its ends, and by how much the plant's own value is longer there.
pub fn declared() -> Vec<Spread> {
    let at = |set: fn(&mut Deviations, f64), ends: [f64; 2]| {
        ends.map(|end| {
            let mut deviations = Deviations::NOMINAL;
            set(&mut deviations, end);
            (deviations, 1.0)
        })
    };
    let seals = || at(|d, v| d.seal_friction = v, [0.25, 1.75]);
    let mut lag = at(|d, v| d.lag = v, [0.4, 1.6]);
    lag[1].1 = 1.5625;
    vec![
        (
            "actuator.supply-pressure",
            at(|d, v| d.supply = v, [0.8, 1.0]),
        ),
        (
            "actuator.counterbalance",
            at(|d, v| d.counterbalance = v, [0.97, 1.03]),
        ),
        ("actuator.seal-friction", seals()),
        ("actuator.seal-breakaway", seals()),
        ("actuator.lag", lag),
        (
            "actuator.dead-time",
            at(|d, v| d.dead_time = v, [0.25, 1.75]),
        ),
        ("cell.noise", at(|d, v| d.noise = v, [1.0, 3.0])),
    ]
}
