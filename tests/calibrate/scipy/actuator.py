"""Logs of known actuators without noise, for the coverage of the intervals. Invented; needs numpy and scipy (made with 1.17.1).

    python actuator.py > ../data/actuator.csv

A block for each actuator. Its first line begins with `=` and is the truth: newtons for full command, offset (share), load at rest (N), play,
resolution (shares), dead time, lag (s), slew (full scales/s), dump lag (s), weight (N), breakaway, sliding friction (N), what grows with the
speed (N·s/m). Then a line of loads (N) each for the sweep, the steps and the dump, and one of rod-side forces (N) for the motions.

Sweep: 10 to 60 % and back at 0.5 %/s, a row every 0.1 s; the command moves in counts of 1/65535. Steps: 20, 30, 60, 40, 25, 55, 20 %, 0.9 s each, a
row every 5 ms; the command changes at any time within the 5 ms before the row that first shows it. Dump: from 50 %, a row every 10 ms for 1.5 s,
the first as the valve opens. Motions: down and up at 0.25, 4, 10 and 20 mm/s, Stribeck speed 5 mm/s.

The regulator: dead time, play, stairs, slew, lag of first order; the load cell's filter behind it is of second order, 100 Hz, damping ratio 0.7.
Lag and filter together are integrated exactly for an input that is straight between samples (scipy's `cont2discrete`, first-order hold).
"""

import numpy as np
from scipy import signal

CELL = (2 * np.pi * 100, 0.7)
COUNT = 1 / 65535
STEPS = [0.2, 0.3, 0.6, 0.4, 0.25, 0.55, 0.2]


def behind(values, lag, dt):
    """Values after the lag and the cell's filter, at rest on the first."""
    omega, zeta = CELL
    den = np.polymul([lag, 1], [1 / omega**2, 2 * zeta / omega, 1])
    system = signal.cont2discrete(([1], den), dt, method="foh")
    num, den = np.squeeze(system[0]), system[1]
    start = signal.lfilter_zi(num, den) * values[0]
    return signal.lfilter(num, den, values, zi=start)[0]


def limited(values, slew, dt):
    """Values that change by no more than `slew` a second."""
    out = np.empty_like(values)
    now = values[0]
    for n, value in enumerate(values):
        now = min(max(value, now - slew * dt), now + slew * dt)
        out[n] = now
    return out


def regulator(commands, play, resolution):
    """What the regulator holds: play, then stairs."""
    out = np.empty_like(commands)
    spool = held = commands[0] - play / 2
    for n, u in enumerate(commands):
        spool = min(max(spool, u - play / 2), u + play / 2)
        if abs(spool - held) >= resolution:
            held = spool
        out[n] = held
    return out


def delayed(values, dead, dt):
    """Values `dead` seconds later, straight between samples."""
    times = np.arange(len(values)) * dt
    return np.interp(times - dead, times, values)


def line(numbers, decimals=3):
    print(",".join(f"{x:.{decimals}f}" for x in numbers))


print("# Made by scipy/actuator.py; format there.")
for number, stream in enumerate(np.random.SeedSequence(20260703).spawn(12)):
    random = np.random.default_rng(stream)
    uniform = lambda low, high: float(random.uniform(low, high))
    gain, offset, rest = uniform(600, 1200), uniform(-0.01, 0.01), uniform(40, 90)
    play, resolution = uniform(0.0005, 0.005), uniform(0.0015, 0.004)
    dead, lag, slew, dump = uniform(0.01, 0.04), uniform(0.06, 0.12), uniform(1.5, 6), uniform(0.1, 0.25)
    weight, breakaway, viscous = uniform(500, 650), uniform(8, 20), uniform(200, 1500)
    sliding = breakaway * uniform(0.6, 0.95)
    truth = [gain, offset, rest, play, resolution, dead, lag, slew, dump, weight, breakaway, sliding, viscous]
    print(f"={number}," + ",".join(repr(x) for x in truth))
    load = lambda share: rest + gain * (share + offset)

    # The sweep, at 1 ms; a quarter of a second before its first row it stands.
    dt, rate = 1e-3, 0.005
    way = round(0.5 / rate / dt)
    up = 0.1 + rate * dt * np.arange(way)
    ramp = np.concatenate([np.full(250, 0.1), up, 0.6 - (up - 0.1)])
    counted = np.round(ramp / COUNT) * COUNT
    held = regulator(counted, play, resolution)
    sweep = behind(load(limited(delayed(held, dead, dt), slew, dt)), lag, dt)
    line(sweep[250::100])

    # The steps, at 0.1 ms.
    dt = 1e-4
    dwell = round(0.9 / dt)
    commands = np.full(dwell * len(STEPS), STEPS[-1])
    changes = [n * dwell - int(random.integers(0, 50)) for n in range(1, len(STEPS))]
    for n in reversed(range(len(changes))):
        commands[: changes[n]] = STEPS[n]
    held = regulator(commands, play, resolution)
    # A sample is the value from its time on: a step is no ramp from the sample before.
    shift = round(dead / dt)
    dead_held = np.concatenate([np.full(shift, held[0]), held])[: len(held)]
    steps = behind(load(limited(dead_held, slew, dt)), lag, dt)
    # The share of a sample that rounding the dead time has left over.
    times = np.arange(len(steps)) * dt
    steps = np.interp(times - (dead - shift * dt), times, steps)
    line(steps[::50])

    # The dump.
    t = np.arange(0, 1.5, 1e-4)
    fall = load(0.5) - rest
    vented = rest + fall * np.exp(-t / dump)
    omega, zeta = CELL
    system = signal.cont2discrete(([1], [1 / omega**2, 2 * zeta / omega, 1]), 1e-4, method="foh")
    num, den = np.squeeze(system[0]), system[1]
    filtered = signal.lfilter(num, den, vented, zi=signal.lfilter_zi(num, den) * vented[0])[0]
    line(filtered[::100])

    # The motions.
    speeds = np.array([0.25e-3, 4e-3, 10e-3, 20e-3])
    friction = sliding + (breakaway - sliding) * np.exp(-((speeds / 5e-3) ** 2)) + viscous * speeds
    line(np.concatenate([weight - friction, weight + friction]), 5)
