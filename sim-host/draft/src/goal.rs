//! What a draft is to be best at.

use twinplate_sim::model::Process;

/// What comes first among the recipes that pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Goal {
    /// Middle loads and speeds.
    Balanced,
    /// The shortest cycle.
    Fastest,
    /// The least load on the parts.
    Gentlest,
    /// The flattest parts: little heat, little load.
    Flattest,
    /// The least cost, or, without prices, the least slurry in a short cycle.
    Cheapest,
}

/// What a goal makes of the usual numbers, each a factor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Weights {
    /// On the usual pressure.
    pub pressure: f64,
    /// On the usual sliding speed.
    pub speed: f64,
    /// Flow over the pump's largest.
    pub flow: f64,
}

impl Goal {
    /// Every goal, in the order of tables.
    pub const ALL: [Self; 5] = [
        Self::Balanced,
        Self::Fastest,
        Self::Gentlest,
        Self::Flattest,
        Self::Cheapest,
    ];

    /// Its word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Balanced => "balanced",
            Self::Fastest => "fastest",
            Self::Gentlest => "gentlest",
            Self::Flattest => "flattest",
            Self::Cheapest => "cheapest",
        }
    }

    /// Where a draft begins.
    pub(crate) const fn weights(self) -> Weights {
        let [pressure, speed, flow] = match self {
            Self::Balanced => [1.0, 1.0, 0.85],
            Self::Fastest => [2.0, 1.4, 0.85],
            Self::Gentlest => [0.6, 0.9, 0.85],
            Self::Flattest => [0.7, 0.7, 0.85],
            Self::Cheapest => [1.7, 1.3, 0.6],
        };
        Weights {
            pressure,
            speed,
            flow,
        }
    }
}

/// Pressure, Pa, and mean sliding speed, m/s, that a process usually has (common practice, no source). Where a draft begins, not where
/// it must end.
pub(crate) const fn usual(process: Process) -> [f64; 2] {
    match process {
        Process::LooseAbrasive => [12e3, 0.5],
        Process::Diamond => [30e3, 0.5],
        Process::FixedAbrasive => [70e3, 1.1],
        Process::PadPolishing => [12e3, 0.7],
    }
}
