//! Form of the parts: what the plates' form leaves on them.

/// Wavelength of the yellow helium line d, m (NIST Atomic Spectra Database, from memory): the lamp under which light bands are
/// read where a batch names no other.
pub const HELIUM: f64 = 587.561_8e-9;

/// A length in light bands of a lamp: one band is half a wavelength. Both in m.
#[must_use]
pub fn bands(length: f64, wavelength: f64) -> f64 {
    length / (0.5 * wavelength)
}

/// How much higher the edge of a part of radius `a` lies than its middle when the part follows a plate at radius `r`, m: the mean
/// over its turning, `(h'' + h'/r) a^2/4`, of the plate's slope `h'` (1) and curvature `h''` (1/m) there.
#[must_use]
pub fn sag(slope: f64, curvature: f64, r: f64, a: f64) -> f64 {
    (curvature + slope / r) * a * a / 4.0
}
