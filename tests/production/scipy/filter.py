"""Series that wander, solved densely: no filter, the whole covariance at once. Invented; needs numpy and scipy (made with 1.17.1).

    python filter.py > ../data/filter.csv

Lines of a series: `values` (`-` where nothing was measured), `known`, `weight`, `steps`, `along` (empty where there is none), then `truth`
(variances of walk, scatter, step), `answer` (predicted next value, its variance without the error of measuring, slope and its deviation
where there is one) under the truth, and `likeliest` (restricted log likelihood at its maximum less that at the truth, by scipy).
"""

import numpy as np
from scipy import linalg, optimize

seed = np.random.SeedSequence(20261129)


def covariance(n, known, weight, steps, parameters):
    walk, scatter, step = parameters
    rises = np.full(n, walk) + step * steps
    rises[0] = 0.0
    ages = np.cumsum(rises)
    level = np.minimum.outer(ages, ages)
    return level, level + np.diag(known + scatter * weight)


def restricted(parameters, y, design, seen, known, weight, steps):
    _, v = covariance(len(steps), known, weight, steps, parameters)
    v = v[np.ix_(seen, seen)]
    low = linalg.cholesky(v, lower=True)
    white = linalg.solve_triangular(low, design[seen], lower=True)
    data = linalg.solve_triangular(low, y[seen], lower=True)
    information = white.T @ white
    beta = linalg.solve(information, white.T @ data)
    left = data - white @ beta
    return -0.5 * (2 * np.log(np.diag(low)).sum() + np.linalg.slogdet(information)[1] + left @ left)


def row(name, numbers):
    print(",".join([name] + [repr(float(x)) for x in numbers]))


print("# Made by scipy/filter.py; format there.")
for number, stream in enumerate(seed.spawn(12)):
    random = np.random.default_rng(stream)
    n = int(random.integers(12, 45))
    along = np.cumsum(random.uniform(0.5, 1.5, n)) if number % 3 == 1 else None
    if along is not None:
        along[n // 2 :] -= along[n // 2]
    steps = np.zeros(n)
    if number % 2:
        steps[[n // 3, 2 * n // 3]] = 1.0
    weight = random.uniform(0.5, 2.0, n)
    known = random.uniform(0.0, 0.3, n) if number % 4 > 1 else np.zeros(n)
    truth = np.array([10 ** random.uniform(-2, 0), 10 ** random.uniform(-0.7, 0.3), 4.0])
    rises = np.sqrt(truth[0] + truth[2] * steps) * random.standard_normal(n)
    y = 10.0 + np.cumsum(rises) + np.sqrt(known + truth[1] * weight) * random.standard_normal(n)
    if along is not None:
        y -= 0.3 * along
    seen = np.ones(n, dtype=bool)
    seen[[4, n - 3]] = False
    design = np.ones((n, 1)) if along is None else np.column_stack([np.ones(n), along])
    level, v = covariance(n, known, weight, steps, truth)
    inverse = linalg.inv(v[np.ix_(seen, seen)])
    information = design[seen].T @ inverse @ design[seen]
    spread = linalg.inv(information)
    beta = spread @ design[seen].T @ inverse @ y[seen]
    # The level after the last batch, one step on; what it is along is one more than at the end.
    there = level[-1][seen]
    at = np.array([1.0]) if along is None else np.array([1.0, along[-1] + 1.0])
    value = at @ beta + there @ inverse @ (y[seen] - design[seen] @ beta)
    off = at - there @ inverse @ design[seen]
    variance = level[-1, -1] + truth[0] - there @ inverse @ there + off @ spread @ off

    arguments = (y, design, seen, known, weight, steps)
    best = -np.inf
    for start in [(-4, -1, -4), (-1, 0, 1), (0, -3, 1), (-9, 0, -9), (-2, -2, 2)]:
        found = optimize.minimize(
            lambda p: -restricted(np.exp(p), *arguments),
            start,
            method="Nelder-Mead",
            bounds=[(-14, 4)] * 3,
            options={"maxiter": 4000, "xatol": 1e-6, "fatol": 1e-10},
        )
        best = max(best, -found.fun)
    print(",".join(["values"] + [repr(float(x)) if s else "-" for x, s in zip(y, seen)]))
    row("known", known)
    row("weight", weight)
    row("steps", steps)
    row("along", [] if along is None else along)
    row("truth", truth)
    slope = [] if along is None else [beta[1], np.sqrt(spread[1, 1])]
    row("answer", [value, variance] + slope)
    row("likeliest", [best - restricted(truth, *arguments)])
