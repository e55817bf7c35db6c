"""The demonstration set's sheets, recipes/calibration. All of it invented; needs numpy and scipy (made with 1.17.1).

    python demo.py          writes them

Dead weights: a cell of 1 kN with 4,010,000 counts and a parabola of 0.05 % of the range, hung three ways round. Trials: glass on machine A, a
coefficient of 7.2e-12 1/Pa that falls by 2 % a minute; sliding speeds by the elliptic integral of the second kind. Coast-downs: the lower plate's drive of machine A with 1.72 kg·m² and 0.46 N·m. (The log of an
actuator is no law but the simulated machine's own; `calibrate rehearse` wrote it.)
"""

from pathlib import Path

import numpy as np
from scipy import special

OUT = Path(__file__).resolve().parents[3] / "recipes" / "calibration"
INVENTED = "# Invented for the demonstration set: no real cell, machine, part or shop stands behind these numbers.\n"


def weights():
    random = np.random.default_rng(1)
    text = INVENTED + "run, position, direction, load [kg], reading [counts], note\n"
    for run, position in [(1, 0), (2, 0), (3, 120), (4, 240)]:
        zero = 1200 + random.normal(0, 40)
        turned = 1 + random.normal(0, 2e-5) * (position > 0)
        for mass, word in [(m, "up") for m in range(0, 101, 10)] + [(m, "down") for m in range(90, -1, -10)]:
            force = mass * 9.80665
            counts = 4010.0 * force * (1 + 5e-4 * force / 1000) * turned
            lag = 0 if word == "up" else 900 * np.sin(np.pi * mass / 100)
            reading = zero + counts + lag + random.normal(0, 60)
            text += f"{run}, {position}, {word}, {mass}, {reading:.0f},{' hooks and pan tared' if (run, mass, word) == (1, 0, 'up') else ''}\n"
    (OUT / "dead-weights.csv").write_text(text)


def sliding(speeds):
    """Mean sliding speed of a pocket centre, mean of both faces: machine A with the glass discs, pockets at 50 mm."""
    inner, outer, lower, upper = (2 * np.pi / 60 * s for s in speeds)
    small, large, pocket = 0.08, 0.26, 0.05
    orbit = (small * inner + large * outer) / (small + large)
    spin = (large * outer - small * inner) / (large - small)
    radius = 0.5 * (small + large)
    found = []
    for plate in (lower, upper):
        a, b = abs(radius * (orbit - plate)), abs(pocket * (spin - plate))
        found.append(2 / np.pi * (a + b) * special.ellipe(4 * a * b / (a + b) ** 2))
    return np.mean(found)


def trials():
    random = np.random.default_rng(2)
    text = INVENTED + "trial, abrasive, before [mm], after [mm], load [N], inner [rpm], outer [rpm], lower [rpm], upper [rpm], time [min]\n"
    area = 15 * np.pi / 4 * 0.05**2
    weight = 0.5 * 2500 * 0.55e-3 * 9.80665
    plan = [
        (150, 1.0, 4), (250, 1.0, 4), (330, 1.0, 4), (250, 0.6, 4), (250, 1.4, 4), (150, 0.6, 10),
        (330, 1.4, 3), (250, 1.0, 10), (250, 1.0, 4), (150, 1.4, 8), (330, 0.6, 8), (250, 1.0, 10),
    ]
    for number, (load, share, minutes) in enumerate(plan, 1):
        speeds = [round(share * s, 1) for s in (14, 5, 28, -14)]
        pressure = load / area + weight
        time, decline = minutes * 60, 0.02 / 60
        lasted = (1 - np.exp(-decline * time)) / decline
        rate = 7.2e-12 * pressure * sliding(speeds) * np.exp(random.normal(0, 0.015))
        before = 0.62 + round(random.normal(0, 0.002), 4)
        after = before - 2e3 * rate * lasted
        text += f"{number}, F800, {before:.4f}, {after:.4f}, {load}, {', '.join(map(str, speeds))}, {minutes}\n"
    (OUT / "glass-trials.csv").write_text(text)


def drives():
    random = np.random.default_rng(3)
    text = INVENTED + "drive, run, time [s], speed [rpm], torque [N·m]\n"
    inertia, drag = 1.72, 0.46
    for run, torque, start, end in [("up", 6.0, 0.0, 1.8), ("down", 0.0, 6.0, 24.0)]:
        for n in range(61):
            t = n * end / 60
            speed = max(start + (torque - drag) / inertia * t, 0.0)
            shown = speed * 60 / (2 * np.pi) + random.normal(0, 0.08)
            text += f"lower, {run}, {t:.3f}, {max(shown, 0):.2f}, {torque:.2f}\n"
    (OUT / "coast-downs.csv").write_text(text)


weights()
drives()
trials()
