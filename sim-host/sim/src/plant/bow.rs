//! How heat bows a plate: the form that a temperature difference through its thickness gives it.

/// Rise of the middle over the edge of a free disc of diameter `d` and thickness `t` (m) whose faces differ by `difference` kelvin:
/// `alpha dT D^2/(8 t)`; the hot face is convex. `expansion` in 1/K. (From the curvature `alpha dT/t`; any text on thermal stress.)
#[must_use]
pub fn thermal_bow(expansion: f64, difference: f64, d: f64, t: f64) -> f64 {
    expansion * difference * d * d / (8.0 * t)
}

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
    /// has the `alpha dT/t` of a straight gradient.
    #[must_use]
    pub fn curvature(&self, flux: f64) -> f64 {
        let share = self.depth / self.thickness;
        self.expansion * flux / self.conductivity * share * share * (3.0 - 2.0 * share)
    }
}
