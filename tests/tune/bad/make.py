"""Logs that carry no model, one for each reason. Invented; Python's own library only (made with Python 3.11).

Writes *.csv beside this script. A load in newtons answers a command in per cent by 8 N/%, lag 0.12 s, dead time 0.02 s, unless
the reason wants it otherwise.
"""
import math
import random


def answer(steps, t, gain=8.0, lag=0.12, dead=0.02):
    total, before = 0.0, steps[0][1]
    for at, value in steps[1:]:
        if t > at + dead:
            total += gain * (value - before) * (1 - math.exp(-(t - at - dead) / lag))
        before = value
    return total


def command(steps, t):
    value = steps[0][1]
    for at, new in steps[1:]:
        if t >= at - 1e-9:
            value = new
    return value


def log(name, why, h, n, steps, noise=1.0, change=lambda t, y: y, keep=lambda i, t: True, swap=False, **model):
    rng = random.Random(name)
    with open(name + ".csv", "w", newline="") as out:
        out.write(f"# Invented, to be refused: {why}\n")
        out.write("time [s],load [N],command [%]\n" if swap else "time [s],command [%],load [N]\n")
        for i in range(n):
            t = i * h
            y = 150 + answer(steps, t, **model) + rng.gauss(0, noise)
            y = change(t, y)
            if keep(i, t):
                out.write(f"{t:.3f},{command(steps, t):g},{y:.2f}\n")


STEP = [(0, 20), (1.0, 40)]

log("no-excitation", "the command never changes", 0.01, 400, [(0, 20)])
log("too-few-samples", "ten samples after the step", 0.02, 60, STEP, keep=lambda i, t: i >= 40)
log("stuck-output", "the output is one number", 0.01, 400, STEP, change=lambda t, y: 150.0)
log("columns-swapped", "the names of command and output are exchanged", 0.01, 400, STEP, swap=True)
log("clipped-throughout", "the answer runs into the end of the range", 0.01, 400, STEP, change=lambda t, y: min(y, 210.0))
log("no-response", "the dead time is longer than the log", 0.01, 400, STEP, dead=60.0)
rng = random.Random(7)
walk = [0.0]
for _ in range(800):
    walk.append(0.97 * walk[-1] + rng.gauss(0, 10))
log("uncorrelated", "the output goes its own way", 0.01, 800, [(0, 20), (1, 40), (2.5, 20), (4, 30), (6, 10)], gain=0.0,
    change=lambda t, y: y + walk[int(round(t / 0.01))])
log("drift-dwarfs-response", "the drift is far larger than the answer", 0.01, 400, STEP, change=lambda t, y: y + 400 * t)
log("sampling-too-slow", "a sample every half second for a lag of 0.12 s", 0.5, 80, [(0, 20), (10, 40)])
log("gap-in-rise", "nothing recorded while the answer rises", 0.01, 400, STEP, keep=lambda i, t: not 1.0 < t < 1.3)
log("step-not-finished", "the log ends while the answer has hardly begun", 0.01, 200, STEP, lag=6.0, dead=0.3)



with open("log-time-not-rising.csv", "w", newline="") as out:
    out.write("# Invented, to be refused: two tests in one file, the clock starts over\n")
    out.write("time [s],command [%],load [N]\n")
    rng = random.Random(3)
    for run in range(2):
        for i in range(200):
            t = i * 0.01
            out.write(f"{t:.3f},{command(STEP, t):g},{150 + answer(STEP, t) + rng.gauss(0, 1):.2f}\n")
