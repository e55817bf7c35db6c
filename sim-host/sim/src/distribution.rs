//! Quantiles and tails that intervals and tests need: Student's t, F and chi-square, from the incomplete beta and gamma functions.

use crate::math::{abs, exp, lgamma, log};

/// Relative size of the last term of a series or fraction that is still worth adding.
const ENOUGH: f64 = 1e-15;
/// Terms at most; both expansions converge in tens where they are used.
const TERMS: u32 = 2000;

/// Regularised incomplete beta function `I_x(a, b)` by its continued fraction (Abramowitz & Stegun 26.5.8, in Lentz's form).
fn beta(a: f64, b: f64, x: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    if x >= 1.0 {
        return 1.0;
    }
    // The fraction converges fast on this side only.
    if x > (a + 1.0) / (a + b + 2.0) {
        return 1.0 - beta(b, a, 1.0 - x);
    }
    let front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log(1.0 - x)) / a;
    let tiny = 1e-300;
    let keep = |x: f64| if abs(x) < tiny { tiny } else { x };
    let (mut c, mut d) = (1.0, 1.0 / keep(1.0 - (a + b) * x / (a + 1.0)));
    let mut sum = d;
    for m in 1..TERMS {
        let m = f64::from(m);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        d = 1.0 / keep(1.0 + even * d);
        c = keep(1.0 + even / c);
        sum *= d * c;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        d = 1.0 / keep(1.0 + odd * d);
        c = keep(1.0 + odd / c);
        sum *= d * c;
        if abs(d * c - 1.0) < ENOUGH {
            break;
        }
    }
    front * sum
}

/// Quantile of Student's t for a two-sided interval that holds 95 %, `freedom` degrees of freedom (> 0).
#[must_use]
pub fn t_95(freedom: f64) -> f64 {
    // Bisected, because it is called a few times per log.
    let (mut low, mut high) = (1.0, 1e3);
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if t_tail(middle, freedom) > 0.05 {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Chance that the magnitude of Student's t with `freedom` degrees of freedom exceeds `t`: `I_{ν/(ν+t²)}(ν/2, 1/2)`.
#[must_use]
pub fn t_tail(t: f64, freedom: f64) -> f64 {
    beta(0.5 * freedom, 0.5, freedom / (freedom + t * t))
}

/// Chance that F with `upper` and `lower` degrees of freedom exceeds `f`: `I_{d₂/(d₂+d₁f)}(d₂/2, d₁/2)`.
#[must_use]
pub fn f_tail(f: f64, upper: f64, lower: f64) -> f64 {
    if f <= 0.0 || f.is_nan() {
        return 1.0;
    }
    beta(0.5 * lower, 0.5 * upper, lower / (lower + upper * f))
}

/// Chance that chi-square with `freedom` degrees of freedom exceeds `x`: 1 minus the regularised lower incomplete gamma
/// function (Abramowitz & Stegun 6.5.29), or its upper continued fraction (6.5.31).
#[must_use]
pub fn chi_square_tail(x: f64, freedom: f64) -> f64 {
    let (a, x) = (0.5 * freedom, 0.5 * x);
    if x <= 0.0 || x.is_nan() {
        return 1.0;
    }
    let front = exp(a * log(x) - x - lgamma(a));
    if x < a + 1.0 {
        let (mut term, mut sum, mut n) = (1.0 / a, 1.0 / a, a);
        for _ in 0..TERMS {
            n += 1.0;
            term *= x / n;
            sum += term;
            if term < sum * ENOUGH {
                break;
            }
        }
        return 1.0 - front * sum;
    }
    let mut b = x + 1.0 - a;
    let (mut c, mut d) = (1e300, 1.0 / b);
    let mut sum = d;
    for n in 1..TERMS {
        let n = f64::from(n);
        let step = -n * (n - a);
        b += 2.0;
        d = 1.0 / (step * d + b);
        c = b + step / c;
        sum *= d * c;
        if abs(d * c - 1.0) < ENOUGH {
            break;
        }
    }
    front * sum
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: scipy 1.17.1, `stats.t.ppf(0.975, ν)`, `stats.chi2.sf(x, ν)`, `stats.f.sf(f, a, b)`, `2*stats.t.sf(t, ν)`.
    #[test]
    fn quantiles_are_those_of_the_tables() {
        for (freedom, t) in [
            (1.0, 12.706204736174694),
            (2.5, 3.5746548420036817),
            (10.0, 2.228138851986274),
            (120.0, 1.9799304050824402),
            (50000.0, 1.9600114310936798),
        ] {
            assert!(
                (t_95(freedom) / t - 1.0).abs() < 1e-9,
                "{freedom}: {} {t}",
                t_95(freedom)
            );
        }
        for (x, freedom, tail) in [
            (3.8414588206941285, 1.0, 0.05),
            (31.41043284423092, 20.0, 0.05),
            (5.0, 20.0, 0.9997226479053791),
            (100.0, 20.0, 1.2596084591660847e-12),
        ] {
            let found = chi_square_tail(x, freedom);
            assert!(
                (found / tail - 1.0).abs() < 1e-8,
                "{x} {freedom}: {found} {tail}"
            );
        }
        for (f, upper, lower, tail) in [
            (214.7469, 18.0, 20.0, 5.503723390131839e-19),
            (0.81072, 17.0, 20.0, 0.6661766154535085),
            (3.0, 2.0, 5.0, 0.1392974922444715),
            (4.5, 1.0, 1.0, 0.2804377980075435),
        ] {
            let found = f_tail(f, upper, lower);
            assert!((found / tail - 1.0).abs() < 1e-8, "{f}: {found} {tail}");
        }
        for (t, freedom, tail) in [
            (2.5, 7.0, 0.04099221858575289),
            (-12.0, 3.0, 0.0012450158007893362),
        ] {
            let found = t_tail(t, freedom);
            assert!((found / tail - 1.0).abs() < 1e-8, "{t}: {found} {tail}");
        }
        assert_eq!(f_tail(f64::NAN, 2.0, 2.0), 1.0);
        assert_eq!(f_tail(f64::INFINITY, 2.0, 2.0), 0.0);
    }
}
