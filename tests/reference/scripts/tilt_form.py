"""How a gimballed plate shares its load over parts that stand on plates of a form: 100 batches, solved with scipy.

    pip install numpy==2.4.6 scipy==1.17.1
    python tilt_form.py           # rewrites ../data/tilt_form.csv

Nothing here reads the project's code. Both plates together come up by h(r) = b r^2 + w cos(2 pi (r - r0)/l). A part stands on the mean of h
over what it covers of them: a double integral over the disc or ring, that over the angle by the share of each circle about the machine's
centre which the part covers (law of cosines), that over the radius by quadrature. Parts and plates then are springs of height
thickness + mean, and the loads are those of the independent solution of tilt.py.
"""

import numpy as np
from scipy.integrate import quad

from tilt import DATA, layout, share, surrounded

BATCHES = 100


def covered(r, centre, a):
    """Length of the circle of radius r that lies in a disc of radius a whose middle is at `centre`."""
    cosine = (r * r + centre * centre - a * a) / (2.0 * r * centre)
    return 2.0 * r * np.arccos(np.clip(cosine, -1.0, 1.0))


def mean_under(h, centre, outer, inner, edges):
    """Mean of h over a ring of radii outer and inner at `centre`, as far as it lies between the edges of the plates."""
    low, high = max(edges[0], centre - outer), min(edges[1], centre + outer)
    bends = sorted({min(max(centre + s * a, low), high) for s in (-1, 1) for a in (outer, inner)})

    def length(r):
        return covered(r, centre, outer) - (covered(r, centre, inner) if inner > 0.0 else 0.0)

    def whole(f):
        return sum(quad(f, one, other, limit=200)[0] for one, other in zip(bends, bends[1:]) if other > one)

    return whole(lambda r: length(r) * h(r)) / whole(length)


def main():
    random = np.random.default_rng(21)
    batch = 0
    with open(DATA / "tilt_form.csv", "w", encoding="utf-8", newline="\n") as file:
        file.write("batch,load_n,inner_m,outer_m,part_outer_m,part_inner_m,bend_1_per_m,wave_m,from_m,length_m,")
        file.write("x_m,y_m,thickness_m,k_n_per_m,part_n\n")
        while batch < BATCHES:
            x, y = layout(random)
            if not surrounded(x, y):
                continue
            x, y = np.round(x, 6), np.round(y, 6)
            arms = np.hypot(x, y)
            part_outer = np.round(random.uniform(0.1, 0.3) * arms.min(), 4)
            part_inner = np.round(random.choice([0.0, random.uniform(0.2, 0.7)]) * part_outer, 4)
            # Some parts hang over the plates' edges by up to a third of their width.
            inner = np.round(arms.min() - random.uniform(0.35, 1.1) * part_outer, 4)
            outer = np.round(arms.max() + random.uniform(0.35, 1.1) * part_outer, 4)
            band = outer - inner
            bend = float(f"{random.uniform(-1.0, 1.0) * 2e-5 / band**2:.6g}")
            wave = float(f"{random.uniform(0.0, 3e-6):.6g}")
            length = np.round(random.uniform(0.7, 2.0) * band, 4)
            start = np.round(random.uniform(inner, outer), 4)

            def h(r):
                return bend * r * r + wave * np.cos(2.0 * np.pi * (r - start) / length)

            rise = np.array([mean_under(h, arm, part_outer, part_inner, (inner, outer)) for arm in arms])
            k = np.full(len(x), float(f"{10.0 ** random.uniform(6.5, 8.0):.4g}"))
            thickness = np.round(1e-3 + 10.0 ** random.uniform(-7.0, -6.0) * random.standard_normal(len(x)), 11)
            load = float(np.round(10.0 ** random.uniform(1.5, 3.5), 2))
            solved = share(x, y, thickness + rise, k, load)
            if solved is None:
                continue
            for i in range(len(x)):
                plates = [load, inner, outer, part_outer, part_inner, bend, wave, start, length]
                row = plates if i == 0 else [""] * len(plates)
                row = [batch, *row, x[i], y[i], thickness[i], k[i], solved[0][i]]
                file.write(",".join(f"{v:.14g}" if isinstance(v, float) else str(v) for v in row) + "\n")
            batch += 1


if __name__ == "__main__":
    main()
