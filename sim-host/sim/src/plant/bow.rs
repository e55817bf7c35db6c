//! How heat bows a plate: the form that a temperature difference through its thickness gives it.

/// What a plate does with the heat that goes through it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conduction {
    /// Expansion, 1/K.
    pub expansion: f64,
    /// Conductivity, W/(m·K).
    pub conductivity: f64,
    /// Thickness, m.
    pub thickness: f64,
    /// Depth of the cooling under the working face, m: the thickness for a plate that is cooled at its back.
    pub depth: f64,
}

impl Conduction {
    /// Temperature difference between working face and cooling, K, where `flux` W/m² go through.
    #[must_use]
    pub fn difference(&self, flux: f64) -> f64 {
        flux * self.depth / self.conductivity
    }

    /// Curvature of the working face, 1/m, convex positive. The metal behind the cooling is at one temperature and only stiffens:
    /// from the moment of the temperature over the thickness, `(alpha q/lambda)(d/t)^2 (3 - 2 d/t)`. Cooled at its back the plate
    /// has the `alpha dT/t` of a straight gradient, and a free disc of diameter `D` a bow of `alpha dT D^2/(8 t)`.
    #[must_use]
    pub fn curvature(&self, flux: f64) -> f64 {
        let share = self.depth / self.thickness;
        self.expansion * flux / self.conductivity * share * share * (3.0 - 2.0 * share)
    }
}
