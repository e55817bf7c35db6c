"""Sheets of slurry, heat and plates with known truths. Invented; needs numpy and scipy (made with 1.17.1).

    python shop.py          writes ../data/slurry.csv, heat.csv and plates.csv

Each file holds many sheets. A line that begins with `=` ends the one before: behind it stands the truth, named below. Then the rows come as
the sheet has them, under the headings that the test puts over them.
"""

from pathlib import Path

import numpy as np
from scipy import integrate, optimize, stats

OUT = Path(__file__).resolve().parents[1] / "data"
HEAD = "# Made by scipy/shop.py; format there.\n"


def many(seed, count):
    for number, stream in enumerate(np.random.SeedSequence(seed).spawn(count)):
        random = np.random.default_rng(stream)
        yield number, random, lambda low, high, random=random: float(stats.uniform.rvs(low, high - low, random_state=random))


def wetted(due, lag):
    """Time by which a flow that rises with this lag has brought as much as the full flow does in the time `due`."""
    return optimize.brentq(lambda t: t - lag * -np.expm1(-t / lag) - due, 0, due + 2 * lag, xtol=1e-12)


def slurry():
    """Truth: flow-max (L/min), line-volume (L), line-lag, film-life, wet-time, settle-time, stir-time (s), rinse-flow (L/min).

    Rows: what, pump [%], flow [L/min], volume [L], time [s], share [%], speed [%], load [%]. A bucket is read to 2 %, a watch is pressed
    0.15 s late or early and the line's fill 0.4 s late; the flow rises with the line's lag
    (8 %), and by that long keeps a film that it no longer feeds; film, wetting, settling and stirring scatter by 4 % of themselves.
    """
    text = HEAD
    for number, random, uniform in many(20261101, 240):
        flow, volume, lag = uniform(0.2, 2.0), uniform(0.03, 0.3), uniform(0.4, 3.0)
        film, wet, settle, stir, rinse = uniform(15, 90), uniform(2, 8), uniform(60, 300), uniform(8, 40), uniform(0.3, 2.0)
        text += "=" + ",".join(repr(x) for x in (flow, volume, lag, film, wet, settle, stir, rinse)) + "\n"
        normal = lambda s: float(stats.norm.rvs(0, s, random_state=random))
        share = lambda s: float(np.exp(normal(s)))
        row = lambda what, pump="", q="", v="", t="", s="", speed="", load="": f"{what},{pump},{q},{v},{t:.6f},{s},{speed},{load}\n"
        count = 3 + number % 4
        for pump in [40, 60, 80, 100, 50, 100][: max(count, 3)]:
            time = 1.0 / (flow * pump / 100) * 60
            text += row("flow", pump=pump, v=f"{share(0.02):.6f}", t=time)
        for pump in (40, 60, 80, 100, 100, 70):
            q = round(flow * pump / 100, 4)
            text += row("fill", q=q, t=volume / q * 60 + 0.4 + normal(0.15))
        for _ in range(count):
            text += row("rise", t=lag * share(0.08))
            text += row("rinse", v=1, t=60 / rinse * share(0.02))
            pump = round(uniform(40, 100), 1)
            text += row("wet", pump=pump, t=wetted(-np.log(0.7) * wet / (pump / 100), lag) * share(0.04))
            speed, load = round(uniform(30, 100), 1), round(uniform(60, 300), 1)
            rate = (0.1 + 0.9 * speed / 100) * np.sqrt(load / 100)
            text += row("film", t=film / rate * share(0.04) + lag, speed=speed, load=load)
            left = round(uniform(20, 80), 2)
            text += row("settle", t=-settle * np.log(left / 100) * share(0.04), s=left)
            text += row("stir", t=-stir * np.log(1 - left / 100) * share(0.04), s=left)
    (OUT / "slurry.csv").write_text(text)


def heat():
    """Truth: capacity (kJ/K), cooling (W/K), slurry share, room (C), and 1 where the residuals hang together.

    Rows: time [min], lower, upper [C], power [W], carried [W] of both plates, 3 %, every fourth sheet without. Two of three shifts warm,
    rest and warm again; the third only cools. Integrated by scipy's `solve_ivp`. Thermometers scatter by 0.05 K; in half of the sheets as a
    first-order autoregression of 0.5 and of the same size.
    """
    text = HEAD
    for number, random, uniform in many(20261102, 240):
        capacity, cooling, share, room = uniform(10e3, 80e3), uniform(15, 90), uniform(0.2, 0.7), uniform(18, 26)
        lag = capacity / cooling
        heated = number % 3 != 2
        alike = number % 2
        text += "=" + ",".join(repr(x) for x in (capacity / 1e3, cooling, share, room, float(alike))) + "\n"
        rows = 40
        time = np.round(np.linspace(0, 3 * lag, rows) / 60, 3)
        level = uniform(4, 12) * cooling / (1 - share) * 2
        # Power runs straight from row to row, so that both sides mean the same.
        power = np.zeros(rows)
        if heated:
            power[1:15] = level
            power[24:34] = 0.7 * level
        power = np.round(power, 1)
        start = room if heated else room + uniform(5, 15)
        at = lambda t: np.interp(t, time * 60, power)
        rate = lambda t, T: ((1 - share) * at(t) / 2 - cooling * (T - room)) / capacity
        found = integrate.solve_ivp(rate, (0, time[-1] * 60), [start], t_eval=time * 60, rtol=1e-8, atol=1e-9, max_step=lag / 30).y[0]
        scatter = []
        for _ in range(2):
            white = stats.norm.rvs(0, 0.05, size=rows, random_state=random)
            if alike:
                for n in range(1, rows):
                    white[n] = 0.5 * white[n - 1] + np.sqrt(1 - 0.25) * white[n]
            scatter.append(white)
        carried = 2 * cooling * (found - room) * (1 + stats.norm.rvs(0, 0.03, size=rows, random_state=random)) if number % 4 else None
        for n in range(rows):
            text += f"{time[n]:.3f},{found[n] + scatter[0][n]:.4f},{found[n] + scatter[1][n]:.4f}"
            text += f",{power[n]:.1f}" if heated else ","
            text += f",{carried[n]:.3f}\n" if carried is not None else ",\n"
    (OUT / "heat.csv").write_text(text)


class Windows:
    """Five glass windows on machine B (recipes/variants), by points that are followed, from the files' numbers alone.

    Discs of 240 mm whose middles run at 20 mm from their carrier's, rings at 12 and 4, plates at 26 and -14 rpm, 11 kPa, parts as stiff as
    5e10 N/m3. Glass and carriers of steel, 8 mm thick, weigh on the lower plate alone.
    """

    def __init__(self):
        turn = 2 * np.pi / 60
        inner, outer, plates = 12 * turn, 4 * turn, (26 * turn, -14 * turn)
        small, large, pocket, radius = 0.162, 0.468, 0.020, 0.120
        e = 0.5 * (small + large)
        orbit, spin = (small * inner + large * outer) / (small + large), (large * outer - small * inner) / (large - small)
        self.band = (0.185, 0.440)
        edges = np.linspace(*self.band, 41)
        area = np.pi * (edges[1:] ** 2 - edges[:-1] ** 2)
        self.middle = 0.5 * (edges[1:] + edges[:-1])
        random = np.random.default_rng(5)
        count = 4_000_000

        def rubbed(middle_at, radius, plate):
            """Area that five discs rub in each ring, and the sliding over a ring's area for a pascal. A disc turns: its points are even."""
            s, a = radius * np.sqrt(random.random(count)), 2 * np.pi * random.random(count)
            rho = np.hypot(middle_at + s * np.cos(a), s * np.sin(a))
            psi = 2 * np.pi * random.random(count)
            r = np.sqrt(e * e + rho * rho + 2 * e * rho * np.cos(psi))
            u, w = e * (orbit - plate), rho * (spin - plate)
            v = np.sqrt(u * u + w * w + 2 * u * w * np.cos(psi))
            ring = np.digitize(r, edges) - 1
            inside = (ring >= 0) & (ring < 40)
            each = 5 * np.pi * radius**2 / count
            return np.bincount(ring[inside], minlength=40) * each, np.bincount(ring[inside], weights=v[inside], minlength=40) * each / area

        (self.weight, self.lower), (_, self.upper) = (rubbed(pocket, radius, plate) for plate in plates)
        _, carriers = rubbed(0.0, 0.153, plates[0])
        # Speed of a pocket's middle, by which parts are lapped.
        t = np.linspace(0, 2 * np.pi, 20001)[:-1]
        speeds = []
        for plate in plates:
            u, w = e * (orbit - plate), pocket * (spin - plate)
            speeds.append(np.sqrt(u * u + w * w + 2 * u * w * np.cos(t)).mean())
        self.own = self.lower * 2500 * 9.80665 * 0.040 + carriers * 7850 * 9.80665 * 0.008
        self.mean, self.stiffness = 11e3, 5e10
        # What parts lose over their removal coefficient: their own weight laps on the lower plate too.
        self.lost = self.mean * sum(speeds) + 2500 * 9.80665 * 0.040 * speeds[0]

    def form(self, height):
        """Inner edge over outer edge, + convex, by the parabola that fits best where parts touch."""
        slope = np.polyfit(self.middle**2, height, 1, w=np.sqrt(self.weight))[0]
        return float(-slope * (self.band[1] ** 2 - self.band[0] ** 2))

    def flat(self, form):
        inner, outer = (r * r for r in self.band)
        return form * ((outer - self.middle**2) / (outer - inner) - 0.5)

    def lap(self, heights, stock):
        """Depths that both plates lose at a wear coefficient of one, while parts lose `stock`, pressing where the plates come together."""
        together = heights[0] + heights[1]
        share = lambda level: (self.weight * np.maximum(together - level, 0)).sum() * self.stiffness - self.weight.sum() * self.mean
        span = self.mean / self.stiffness + np.ptp(together)
        level = optimize.brentq(share, together.min() - 2 * span, together.max(), xtol=1e-15)
        p = self.stiffness * np.maximum(together - level, 0)
        ground = stock / self.lost
        return ground * (self.lower * p + self.own), ground * self.upper * p

    def apart(self):
        """What a batch does to the lower plate less the upper, over its stock, on plates that have run in: both lose the same everywhere."""
        both, ok = self.lower + self.upper, self.weight > 0
        weight, own = self.weight[ok], self.own[ok]
        same = (weight.sum() * self.mean + (weight * own / both[ok]).sum()) / (weight / both[ok]).sum()
        p = np.where(ok, (same - self.own) / np.where(ok, both, 1), 0)
        return float((self.form(-(self.lower * p + self.own)) - self.form(-self.upper * p)) / self.lost)


def plates():
    """First a line `~` with what `Windows.apart` found, m a m of stock. Truth: wear (%), form of the lower and of the upper plate at the end
    (µm).

    Rows: batch, removed so far [µm], lower, upper [µm]; a batch takes 24 µm, in twenty slices. Forms are read to 0.05 to 0.4 µm.
    """
    windows = Windows()
    text = HEAD + f"~{windows.apart()!r}\n"
    for number, random, uniform in many(20261103, 240):
        wear, scatter = uniform(0.02, 0.4), uniform(0.05, 0.4)
        every, last = 1 + number % 2, 5 + number % 9
        heights = [windows.flat(uniform(-2e-6, 2e-6)) for _ in range(2)]
        rows, truth = "", []
        for batch in range(last + 1):
            if batch:
                for _ in range(20):
                    heights = [h - wear * d for h, d in zip(heights, windows.lap(heights, 24e-6 / 20))]
            if batch % every == 0:
                truth = [1e6 * windows.form(h) for h in heights]
                a, b = (t + stats.norm.rvs(0, scatter, random_state=random) for t in truth)
                rows += f"{batch},{24 * batch},{a:.4f},{b:.4f}\n"
        text += f"={100 * wear!r},{truth[0]!r},{truth[1]!r}\n" + rows
    (OUT / "plates.csv").write_text(text)


if __name__ == "__main__":
    slurry()
    heat()
    plates()
