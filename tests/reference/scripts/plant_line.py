#!/usr/bin/env python3
"""Writes the reference values of tests/reference/plant_line.rs into tests/reference/data/.

Needs numpy and scipy (written with scipy 1.17). Run from the repository's root:
    python3 tests/reference/scripts/plant_line.py
Everything is computed with scipy's own functions from the equations named here; nothing comes from the Rust code.
"""
import csv
import numpy as np
from scipy import signal

OUT = "tests/reference/data/"


def low_pass():
    """Second-order low-pass, 100 Hz, damping 0.7, held input, 1 kHz: scipy.signal.cont2discrete(method='zoh') and dlsim."""
    w = 2 * np.pi * 100.0
    a, b, c, d = signal.tf2ss([w * w], [1.0, 1.4 * w, w * w])
    system = signal.cont2discrete((a, b, c, d), 1e-3, method="zoh")
    rng = np.random.default_rng(20)
    u = np.concatenate([np.zeros(3), np.ones(40) * 500.0, rng.normal(0.0, 300.0, 200)])
    _, y, _ = signal.dlsim(system, u)
    # dlsim's y[k] is the output before the input of step k has acted: the end of step k is y[k+1].
    _, longer, _ = signal.dlsim(system, np.append(u, 0.0))
    with open(OUT + "low_pass_100hz.csv", "w", newline="") as f:
        out = csv.writer(f)
        out.writerow(["input", "output_at_end_of_step"])
        for k in range(len(u)):
            out.writerow([repr(float(u[k])), repr(float(longer[k + 1, 0]))])


def regulator_line():
    """Unit step through 20 ms dead time, lag 0.12 s and the cell's 100 Hz filter: scipy.signal.step of the rational part,
    shifted by the dead time; sampled at the ends of 1 ms ticks."""
    w = 2 * np.pi * 100.0
    lag = [0.12, 1.0]
    cell = [1.0 / (w * w), 1.4 / w, 1.0]
    system = signal.TransferFunction([1.0], np.polymul(lag, cell))
    t = np.arange(0, 1001) * 1e-3
    _, y = signal.step(system, T=t)
    _, p = signal.step(signal.TransferFunction([1.0], lag), T=t)
    with open(OUT + "regulator_line_step.csv", "w", newline="") as f:
        out = csv.writer(f)
        out.writerow(["tick", "pressure", "cell"])
        for n in range(1, 1001):
            k = n - 20
            out.writerow([n, repr(float(p[k])) if k > 0 else 0.0, repr(float(y[k])) if k > 0 else 0.0])


def rounding():
    """numpy.rint (halves to even) and clip to a signed 24-bit converter."""
    full = 2**23 - 1
    rng = np.random.default_rng(21)
    x = np.concatenate(
        [np.arange(-4, 5) / 2.0, [8388606.4, 8388606.5, 8388607.5, -8388607.5, 1e9, -1e9], rng.normal(0, 3e6, 60)]
    )
    with open(OUT + "rounding_24bit.csv", "w", newline="") as f:
        out = csv.writer(f)
        out.writerow(["value", "counts"])
        for v in x:
            out.writerow([repr(float(v)), int(np.clip(np.rint(v), -full, full))])


low_pass()
regulator_line()
rounding()
