//! What carriers are made of, and in which order parts come into them.

/// What a carrier is cut from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CarrierMaterial {
    /// Hardened and tempered spring steel.
    #[default]
    SpringSteel,
    /// Glass cloth laminated with epoxy resin.
    GlassLaminate,
}

impl CarrierMaterial {
    /// Density, kg/m³: handbook values, from memory.
    #[must_use]
    pub const fn density(self) -> f64 {
        match self {
            Self::SpringSteel => 7850.0,
            Self::GlassLaminate => 1850.0,
        }
    }

    /// Bending stress that its teeth bear for long, Pa: a third of the strength that the sheet has at least, the textbooks' rule for
    /// Lewis's formula (from memory). Hardened and tempered steel strip (EN 10132, from memory) has 1.2 GPa; laminate of the NEMA
    /// grades G-10 and FR-4 has 45 000 psi across the cloth (published least values).
    #[must_use]
    pub const fn strength(self) -> f64 {
        match self {
            Self::SpringSteel => 400e6,
            Self::GlassLaminate => 100e6,
        }
    }

    /// Elastic modulus and shear modulus, Pa: steel from handbooks, from memory; laminate 2.2e6 psi across the cloth (published least
    /// value for the same grades), in shear some 4 GPa, from memory.
    #[must_use]
    pub(crate) const fn moduli(self) -> [f64; 2] {
        match self {
            Self::SpringSteel => [206e9, 79e9],
            Self::GlassLaminate => [15e9, 4e9],
        }
    }
}

/// In which order the parts of a lot are laid in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LoadingOrder {
    /// As they come out of a mixed lot.
    #[default]
    Mixed,
    /// From one end of a lot whose thickness runs from end to end, carrier after carrier.
    ByThickness,
}
