"""Numbers for the indices of performance and capability, by scipy. Invented; needs scipy (made with 1.17.1).

    python capability.py

Printed numbers stand in tests/production/capability.rs.
"""

from math import sqrt

from scipy import optimize, stats

# One sample of 50 against 8 and 20, mean 16, deviation 2.
n, freedom = 50, 49
width = [1.0 * sqrt(stats.chi2.ppf(p, freedom) / freedom) for p in (0.025, 0.975)]
nearer = 2.0 / 3.0
half = stats.norm.ppf(0.975) * sqrt(1 / (9 * n) + nearer**2 / (2 * freedom))
print("width", width, "nearer", nearer - half, nearer + half)

# Three batches of equal size, each normal, against 0 and 30; a gauge of deviation 0.6 taken out of each.
groups = [(12.0, 1.0), (15.0, 1.5), (19.0, 1.2)]
own = [(m, sqrt(s * s - 0.36)) for m, s in groups]
under = lambda x: sum(stats.norm.cdf(x, m, s) for m, s in own) / 3
ends = [optimize.brentq(lambda x: under(x) - p, -50, 80, xtol=1e-13) for p in stats.norm.cdf([-3, 0, 3])]
print("percentiles", 30 / (ends[2] - ends[0]), min((30 - ends[1]) / (ends[2] - ends[1]), (ends[1] - 0) / (ends[1] - ends[0])))
