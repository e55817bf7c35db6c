"""How a gimballed plate shares its load over elastic parts of unequal height: 200 batches, solved with scipy.

    pip install numpy==2.4.6 scipy==1.17.1
    python tilt.py                # rewrites ../data/tilt.csv

Nothing here reads the project's code. The loads F are those of the least elastic energy less the work of the heights,
sum F^2/(2 k) - sum F h, among all loads that push (F >= 0), sum to the load and have no moment about the gimbal (the complementary
energy of linear springs, textbook statics). That is a quadratic programme; here it is one of non-negative least squares, with the three
sums as rows of heavy weight, and its multipliers are the plane. Each answer is checked against the law of the springs itself.
"""

import pathlib

import numpy as np
from scipy.optimize import lsq_linear, nnls

DATA = pathlib.Path(__file__).resolve().parent.parent / "data"
BATCHES = 200


def layout(random):
    """Carriers on an orbit, each turned as it may be, a pocket circle in each; some pockets empty."""
    carriers = int(random.integers(3, 8))
    pockets = int(random.integers(1, 5))
    orbit = random.uniform(0.1, 0.5)
    rho = orbit * random.uniform(0.05, 0.4)
    angle, own = random.uniform(0.0, 2.0 * np.pi, 2)
    x, y = [], []
    for c in range(carriers):
        at = angle + 2.0 * np.pi * c / carriers
        for p in range(pockets):
            turn = own + at + 2.0 * np.pi * p / pockets
            x.append(orbit * np.cos(at) + rho * np.cos(turn))
            y.append(orbit * np.sin(at) + rho * np.sin(turn))
    keep = random.uniform(size=len(x)) > 0.1
    return np.array(x)[keep], np.array(y)[keep]


def surrounded(x, y):
    """The gimbal lies well inside of the parts."""
    angles = np.sort(np.arctan2(y, x))
    gaps = np.diff(np.append(angles, angles[0] + 2.0 * np.pi))
    return len(x) >= 3 and gaps.max() < 0.97 * np.pi


def share(x, y, top, k, load):
    """Loads and plane. Heights count from their mean and in units of what the load would press the stiffest part by, arms in the largest."""
    arm = np.hypot(x, y).max()
    unit = load / k.max()
    stiff = k / k.max()
    high = (top - top.mean()) / unit
    sums = np.vstack([np.ones_like(x), x / arm, y / arm])
    wanted = np.array([1.0, 0.0, 0.0])
    # Which parts bear, from least squares with the sums weighed heavily; then the springs' own equations on those, exactly.
    heavy = 1e4
    a = np.vstack([np.diag(1.0 / np.sqrt(stiff)), heavy * sums])
    b = np.concatenate([np.sqrt(stiff) * high, heavy * wanted])
    bears = nnls(a, b, maxiter=10000)[0] > 1e-9
    for _ in range(200):
        s = sums[:, bears]
        system = np.block([[np.diag(1.0 / stiff[bears]), s.T], [s, np.zeros((3, 3))]])
        answer = np.linalg.lstsq(system, np.concatenate([high[bears], wanted]), rcond=None)[0]
        loads = np.zeros_like(x)
        loads[bears] = answer[: bears.sum()]
        plane = answer[bears.sum():]
        over = high - sums.T @ plane
        if loads.min() >= -1e-9 and np.all(over[~bears] <= 1e-9):
            break
        bears = (loads > 0.0) & bears | (over > 0.0)
    else:
        bounded = lsq_linear(a, b, bounds=(0.0, np.inf), tol=1e-14, max_iter=1000)
        loads = bounded.x
        return None
    # The law of the springs: what touches is pressed, what does not bears nothing.
    assert np.allclose(loads, stiff * np.maximum(over, 0.0), atol=1e-6)
    assert abs(loads.sum() - 1.0) < 1e-9
    return load * loads, top.mean() + unit * plane[0], unit * plane[1:] / arm


def main():
    random = np.random.default_rng(20)
    batch = 0
    with open(DATA / "tilt.csv", "w", encoding="utf-8", newline="\n") as file:
        file.write("batch,load_n,x_m,y_m,top_m,k_n_per_m,part_n,height_m,slope_x,slope_y\n")
        while batch < BATCHES:
            x, y = layout(random)
            if not surrounded(x, y):
                continue
            x, y = np.round(x, 6), np.round(y, 6)
            k = np.round(10.0 ** random.uniform(6.5, 8.5) * random.choice([1.0, 1.0, 1.0, 0.5], len(x)), -3)
            top = np.round(random.uniform(0.5e-3, 20e-3) + 10.0 ** random.uniform(-7.0, -5.0) * random.standard_normal(len(x)), 11)
            if random.uniform() < 0.15:
                top[int(random.integers(len(x)))] += 0.5e-3
            load = float(np.round(10.0 ** random.uniform(1.3, 3.7), 2))
            solved = share(x, y, top, k, load)
            if solved is None:
                continue
            loads, height, slope = solved
            for i in range(len(x)):
                row = [batch, load, x[i], y[i], top[i], k[i], loads[i]]
                row += [height, *slope] if i == 0 else ["", "", ""]
                file.write(",".join(f"{v:.14g}" if isinstance(v, float) else str(v) for v in row) + "\n")
            batch += 1


if __name__ == "__main__":
    main()
