//! One-dimensional searches in frequency: a zero between two signs, a lowest value between three points.

use twinplate_sim::math::{abs, max};

/// Zero of `f` between `a` and `b` where its signs differ (Illinois variant of the false position, then it is good to 1e-13).
pub(crate) fn zero(f: impl Fn(f64) -> f64, mut a: f64, mut b: f64) -> f64 {
    let (mut fa, mut fb) = (f(a), f(b));
    for _ in 0..100 {
        if fa == 0.0 {
            return a;
        }
        if fb == 0.0 || abs(b - a) <= 1e-13 * max(abs(a), abs(b)) {
            return b;
        }
        let c = (a * fb - b * fa) / (fb - fa);
        let fc = f(c);
        if (fc > 0.0) == (fb > 0.0) {
            fa *= 0.5;
        } else {
            (a, fa) = (b, fb);
        }
        (b, fb) = (c, fc);
    }
    b
}

/// Place and value of the lowest `f` between `a` and `b` (golden section, to 1e-9 of the place: the value is then good to
/// rounding, because it is flat there).
pub(crate) fn lowest(f: impl Fn(f64) -> f64, mut a: f64, mut b: f64) -> (f64, f64) {
    const SHARE: f64 = 0.618_033_988_749_894_9;
    let (mut c, mut d) = (b - SHARE * (b - a), a + SHARE * (b - a));
    let (mut fc, mut fd) = (f(c), f(d));
    while abs(b - a) > 1e-9 * max(abs(a), abs(b)) {
        if fc < fd {
            (b, d, fd) = (d, c, fc);
            c = b - SHARE * (b - a);
            fc = f(c);
        } else {
            (a, c, fc) = (c, d, fd);
            d = a + SHARE * (b - a);
            fd = f(d);
        }
    }
    if fc < fd { (c, fc) } else { (d, fd) }
}
