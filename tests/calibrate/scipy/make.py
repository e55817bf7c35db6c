"""Trial runs of known laws, for the coverage of the intervals. Invented; needs numpy and scipy (made with 1.17.1).

    python make.py > ../data/removal.csv

A line each: number of the sheet, abrasive, before and after (mm), pressure (kPa), sliding speed (m/s), time (min). A line that begins with `=`
is the truth of the sheets that follow under its number: coefficient (1/Pa, the first abrasive's; the second is half), exponents of pressure
and speed (about 10 kPa and 0.5 m/s), decline (1/min), scatter of a rate (share).
"""

import numpy as np
from scipy import stats

SHEETS = 400
seed = np.random.SeedSequence(20260701)

print("# Made by scipy/make.py; format there.")
for number, stream in enumerate(seed.spawn(SHEETS)):
    random = np.random.default_rng(stream)
    uniform = lambda low, high: float(stats.uniform.rvs(low, high - low, random_state=random))
    k = 10 ** uniform(-12.5, -11)
    # Three in four follow Preston's law.
    preston = number % 4 != 3
    a, b = (1.0, 1.0) if preston else (uniform(0.6, 0.8), uniform(0.7, 0.9))
    decline = 0.0 if number % 2 else uniform(0.0, 0.06)
    scatter = uniform(0.01, 0.06)
    trials = 8 + number % 9
    print(f"={number},{k!r},{a!r},{b!r},{decline!r},{scatter!r}")
    for trial in range(trials):
        kind = "coarse" if trial % 3 else "fine"
        kind = kind if number % 5 == 0 else "coarse"
        pressure, speed, minutes = (round(uniform(*ends), digits) for *ends, digits in ((5, 20, 2), (0.2, 1.0, 3), (3, 20, 1)))
        x = decline * minutes
        share = -np.expm1(-x) / x if x > 0 else 1.0
        own = k * (0.5 if kind == "fine" else 1.0)
        rate = own * 1e4 * 0.5 * (pressure / 10) ** a * (speed / 0.5) ** b * share
        rate *= np.exp(stats.norm.rvs(0, scatter, random_state=random))
        before = round(uniform(5.0, 5.1), 4)
        after = before - 2 * rate * minutes * 60 * 1e3
        print(f"{number},{kind},{before},{after:.10f},{pressure},{speed},{minutes}")
