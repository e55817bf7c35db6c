//! What quantities measure.

/// What a quantity measures. SI unit in brackets; the number that [`parse`] gives is in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dimension {
    /// Length [m].
    Length,
    /// Mass [kg].
    Mass,
    /// Force [N].
    Force,
    /// Pressure [Pa].
    Pressure,
    /// Time [s].
    Time,
    /// Speed [m/s].
    Speed,
    /// Rotational speed [rad/s].
    AngularSpeed,
    /// Rotational acceleration [rad/s²].
    AngularAcceleration,
    /// Torque [N·m].
    Torque,
    /// Moment of inertia [kg·m²].
    Inertia,
    /// Volume flow [m³/s].
    Flow,
    /// Volume [m³].
    Volume,
    /// Temperature [°C].
    Temperature,
    /// Work per area [J/m²].
    EnergyPerArea,
    /// Stiffness per area [N/m³].
    StiffnessPerArea,
    /// Density [kg/m³].
    Density,
    /// Share [1]; the only one that may be a bare number.
    Ratio,
    /// Frequency [Hz].
    Frequency,
    /// Heat capacity [J/K].
    HeatCapacity,
    /// Thermal conductance [W/K].
    Conductance,
    /// Viscous drag [N·s/m].
    Damping,
    /// Drift of a force with temperature [N/K].
    ForceDrift,
    /// Rate of change of a force [N/s].
    ForceRate,
    /// Removal coefficient [1/Pa].
    PerPressure,
    /// Loop gain, command share per force [1/N].
    PerForce,
    /// Thermal expansion [1/K].
    Expansion,
    /// Thermal conductivity [W/(m·K)].
    Conductivity,
    /// Angle [rad].
    Angle,
    /// Module of teeth: pitch diameter for each tooth [m].
    Module,
}

impl Dimension {
    /// Every dimension, in the order of the table of units.
    pub const ALL: &'static [Self] = &[
        Self::Length,
        Self::Mass,
        Self::Force,
        Self::Pressure,
        Self::Time,
        Self::Speed,
        Self::AngularSpeed,
        Self::AngularAcceleration,
        Self::Torque,
        Self::Inertia,
        Self::Flow,
        Self::Volume,
        Self::Temperature,
        Self::EnergyPerArea,
        Self::StiffnessPerArea,
        Self::Density,
        Self::Ratio,
        Self::Frequency,
        Self::HeatCapacity,
        Self::Conductance,
        Self::Damping,
        Self::ForceDrift,
        Self::ForceRate,
        Self::PerPressure,
        Self::PerForce,
        Self::Expansion,
        Self::Conductivity,
        Self::Angle,
        Self::Module,
    ];

    /// Name with its article, for a sentence such as "expected a pressure".
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Length => "a length",
            Self::Mass => "a mass",
            Self::Force => "a force",
            Self::Pressure => "a pressure",
            Self::Time => "a time",
            Self::Speed => "a speed",
            Self::AngularSpeed => "a rotational speed",
            Self::AngularAcceleration => "a rotational acceleration",
            Self::Torque => "a torque",
            Self::Inertia => "a moment of inertia",
            Self::Flow => "a volume flow",
            Self::Volume => "a volume",
            Self::Temperature => "a temperature",
            Self::EnergyPerArea => "a work per area",
            Self::StiffnessPerArea => "a stiffness per area",
            Self::Density => "a density",
            Self::Ratio => "a share",
            Self::Frequency => "a frequency",
            Self::HeatCapacity => "a heat capacity",
            Self::Conductance => "a thermal conductance",
            Self::Damping => "a viscous drag",
            Self::ForceDrift => "a force drift with temperature",
            Self::ForceRate => "a rate of load",
            Self::PerPressure => "a removal coefficient",
            Self::PerForce => "a gain per force",
            Self::Expansion => "a thermal expansion",
            Self::Conductivity => "a thermal conductivity",
            Self::Angle => "an angle",
            Self::Module => "a module of teeth",
        }
    }

    /// A value as it would be written in a file.
    #[must_use]
    pub const fn example(self) -> &'static str {
        match self {
            Self::Length => "0.25 mm",
            Self::Mass => "58 kg",
            Self::Force => "350 N",
            Self::Pressure => "14 kPa",
            Self::Time => "90 s",
            Self::Speed => "0.5 mm/s",
            Self::AngularSpeed => "45 rpm",
            Self::AngularAcceleration => "10 rpm/s",
            Self::Torque => "60 N·m",
            Self::Inertia => "1.5 kg·m²",
            Self::Flow => "0.3 L/min",
            Self::Volume => "0.05 L",
            Self::Temperature => "22 °C",
            Self::EnergyPerArea => "2 MJ/m²",
            Self::StiffnessPerArea => "1e10 N/m³",
            Self::Density => "2500 kg/m³",
            Self::Ratio => "5 %",
            Self::Frequency => "15 Hz",
            Self::HeatCapacity => "30 kJ/K",
            Self::Conductance => "50 W/K",
            Self::Damping => "200 N·s/m",
            Self::ForceDrift => "0.05 N/K",
            Self::ForceRate => "50 N/s",
            Self::PerPressure => "8e-12 1/Pa",
            Self::PerForce => "0.0005 1/N",
            Self::Expansion => "11e-6 1/K",
            Self::Conductivity => "48 W/(m·K)",
            Self::Angle => "15 °",
            Self::Module => "4 mm",
        }
    }
}

impl Dimension {
    /// Whether a unit of the dimension `written` may be written where this one is due: a module of teeth is a length too.
    #[must_use]
    pub fn takes(self, written: Self) -> bool {
        self == written || (self == Self::Module && written == Self::Length)
    }
}
