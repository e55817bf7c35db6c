"""The demonstration set's sheets of slurry, heat and plates, recipes/calibration. All of it invented; needs numpy and scipy (made with
1.17.1).

    python shop_demo.py          writes the three

Stopwatch: machine A's slurry system, with a pump of 0.31 L/min, a line of 0.054 L and a film of 36 s. Shift: machine A's plates, 27 kJ/K
cooled by 28 W/K, the slurry taking 0.45 of the friction. Forms: the flat glass windows (`Windows` of shop.py), a wear of 13 %.
"""

from pathlib import Path

import numpy as np
from scipy import integrate

from shop import Windows, wetted

OUT = Path(__file__).resolve().parents[3] / "recipes" / "calibration"
INVENTED = "# Invented for the demonstration set: no real cell, machine, part or shop stands behind these numbers.\n"


def stopwatch():
    random = np.random.default_rng(11)
    flow, line, lag, film, wet, settle, stir, rinse = 0.31, 0.054, 0.55, 36, 3.3, 130, 17, 0.48
    text = INVENTED + "what, pump [%], flow [L/min], volume [mL], time [s], share [%], speed [%], load [%], note\n"
    share = lambda s: np.exp(random.normal(0, s))
    row = lambda what, pump="", q="", v="", t="", s="", speed="", load="", note="": f"{what}, {pump}, {q}, {v}, {t}, {s}, {speed}, {load}, {note}\n"
    for n, pump in enumerate((100, 75, 50, 100, 75, 50)):
        time = 60
        volume = flow * pump / 100 * 1000 * share(0.012)
        text += row("flow", pump=pump, v=f"{volume:.0f}", t=time, note="measuring jug" if n == 0 else "")
    for q in (0.31, 0.23, 0.155, 0.31, 0.23, 0.155):
        text += row("fill", q=q, t=f"{line / q * 60 + 0.4 + random.normal(0, 0.15):.1f}")
    for _ in range(4):
        text += row("rise", t=f"{lag * share(0.1):.2f}", note="by the flow meter")
    text += row("dries", q=0.06, note="squeals")
    text += row("keeps", q=0.09)
    for _ in range(4):
        text += row("wet", pump=100, t=f"{wetted(-np.log(0.7) * wet, lag) * share(0.06):.2f}")
    for speed, load in ((60, 100), (60, 150), (80, 100), (80, 150), (60, 100)):
        time = film / ((0.1 + 0.9 * speed / 100) * np.sqrt(load / 100)) * share(0.05) + lag
        text += row("film", t=f"{time:.1f}", speed=speed, load=load)
    for time in (60, 120, 180):
        text += row("settle", t=time, s=f"{100 * np.exp(-time / settle * share(0.04)):.1f}", note="sample dried and weighed")
    for time in (10, 20, 30):
        text += row("stir", t=time, s=f"{100 * (1 - np.exp(-time / stir * share(0.04))):.1f}")
    for _ in range(3):
        text += row("rinse", v=500, t=f"{0.5 / rinse * 60 * share(0.015):.1f}")
    (OUT / "stopwatch.csv").write_text(text)


def shift():
    random = np.random.default_rng(12)
    capacity, cooling, share, room = 27e3, 28.0, 0.45, 21.5
    time = np.arange(0, 181, 3.0)
    power = np.zeros(len(time))
    power[1:24] = 640
    power[30:44] = 520
    power = power * np.where(power > 0, np.exp(random.normal(0, 0.02, len(time))), 0)
    power = np.round(power, 0)
    at = lambda t: np.interp(t, time * 60, power)
    rate = lambda t, T: ((1 - share) * at(t) / 2 - cooling * (T - room)) / capacity
    found = integrate.solve_ivp(rate, (0, time[-1] * 60), [room + 0.4], t_eval=time * 60, rtol=1e-8, atol=1e-9, max_step=20).y[0]
    text = INVENTED + "time [min], lower [°C], upper [°C], power [W], carried [W]\n"
    for n in range(len(time)):
        lower, upper = (found[n] + random.normal(0, 0.05) for _ in range(2))
        carried = 2 * cooling * (found[n] - room) * np.exp(random.normal(0, 0.04))
        text += f"{time[n]:.0f}, {lower:.2f}, {upper:.2f}, {power[n]:.0f}, {max(carried, 0):.0f}\n"
    (OUT / "shift.csv").write_text(text)


def forms():
    random = np.random.default_rng(13)
    windows = Windows()
    heights = [windows.flat(0.6e-6), windows.flat(-0.4e-6)]
    text = INVENTED + "batch, removed [µm], lower [µm], upper [µm]\n"
    removed = 0.0
    for batch in range(13):
        if batch:
            stock = 23.7 + random.normal(0, 0.3)
            removed += stock
            for _ in range(20):
                heights = [h - 0.13 * d for h, d in zip(heights, windows.lap(heights, stock * 1e-6 / 20))]
        lower, upper = (1e6 * windows.form(h) + random.normal(0, 0.12) for h in heights)
        text += f"{batch}, {removed:.1f}, {lower:+.1f}, {upper:+.1f}\n"
    (OUT / "plate-forms.csv").write_text(text)


stopwatch()
shift()
forms()
