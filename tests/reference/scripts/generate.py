"""Reference values that the tests in this folder compare with, computed with numpy and scipy.

    pip install numpy scipy
    python generate.py            # rewrites ../data/*.csv named below

Nothing here reads the project's code: the formulas are the textbook's, the arithmetic is scipy's. Written with scipy 1.17.
"""

import pathlib

import numpy as np
from scipy import constants, signal, stats
from scipy.integrate import solve_ivp

DATA = pathlib.Path(__file__).resolve().parent.parent / "data"
TICK = 1e-3  # controller period, s


def write(name, header, rows):
    with open(DATA / name, "w", encoding="utf-8", newline="\n") as file:
        file.write(header + "\n")
        for row in rows:
            file.write(",".join(repr(float(x)) if isinstance(x, float) else str(x) for x in row) + "\n")


def load_filter():
    """Butterworth low-pass of second order at 1 kHz: coefficients, gain and phase, and a response to quantised counts."""
    rows = []
    for corner in (2.0, 5.0, 15.0, 40.0, 100.0, 200.0):
        b, a = signal.butter(2, corner, fs=1.0 / TICK)
        _, h = signal.freqz(b, a, worN=[0.25 * corner, corner, 2.0 * corner], fs=1.0 / TICK)
        rows.append([corner, *map(float, b), float(a[1]), float(a[2]), *map(float, np.abs(h))])
    write("filter_coefficients.csv", "corner_hz,b0,b1,b2,a1,a2,gain_quarter,gain_corner,gain_double", rows)

    # A load that steps, ramps and rings, through a 24-bit converter of 1/6000 N a count, hanging at -568.8 N.
    t = np.arange(1200) * TICK
    load = np.where(t < 0.05, 0.0, 60.0) + np.clip((t - 0.3) * 400.0, 0.0, 150.0)
    load = load + np.where(t > 0.5, 20.0 * np.sin(2.0 * np.pi * 9.0 * t), 0.0)
    counts = np.rint((load - 568.8) * 6000.0).astype(int)
    force = counts / 6000.0
    b, a = signal.butter(2, 15.0, fs=1.0 / TICK)
    start = signal.lfilter_zi(b, a) * force[0]
    filtered, _ = signal.lfilter(b, a, force, zi=start)
    write("filter_response.csv", "counts,force_n,filtered_n", zip(counts, map(float, force), map(float, filtered)))


def cell_filter():
    """Second-order low-pass, damping ratio 0.7, discretised exactly for a held input at 1 kHz."""
    rows = []
    for bandwidth in (25.0, 60.0, 100.0):
        w = 2.0 * np.pi * bandwidth
        b, a, _ = signal.cont2discrete(([w * w], [1.0, 1.4 * w, w * w]), TICK, method="zoh")
        b = np.ravel(b)
        rows.append([bandwidth, float(b[1]), float(b[2]), float(a[1]), float(a[2])])
    write("cell_filter.csv", "bandwidth_hz,b1,b2,a1,a2", rows)


def low_pass_step_and_noise():
    """The 100 Hz filter's answer to a step and to noise: scipy.signal.dlsim of the exact discretisation."""
    w = 2.0 * np.pi * 100.0
    system = signal.cont2discrete(signal.tf2ss([w * w], [1.0, 1.4 * w, w * w]), TICK, method="zoh")
    rng = np.random.default_rng(20)
    u = np.concatenate([np.zeros(3), np.ones(40) * 500.0, rng.normal(0.0, 300.0, 200)])
    # dlsim's y[k] is the output before the input of step k has acted: the end of step k is y[k+1].
    _, y, _ = signal.dlsim(system, np.append(u, 0.0))
    write("low_pass_100hz.csv", "input,output_at_end_of_step", [[float(u[k]), float(y[k + 1, 0])] for k in range(len(u))])


def rounding():
    """numpy.rint (halves to even) and clip to a signed 24-bit converter."""
    full = 2**23 - 1
    rng = np.random.default_rng(21)
    edges = [8388606.4, 8388606.5, 8388607.5, -8388607.5, 1e9, -1e9]
    x = np.concatenate([np.arange(-4, 5) / 2.0, edges, rng.normal(0, 3e6, 60)])
    write("rounding_24bit.csv", "value,counts", [[float(v), int(np.clip(np.rint(v), -full, full))] for v in x])


def quantised_noise():
    """Probabilities of a rounded normal variable; mean -568.7857 N (58 kg at standard gravity), 0.8 N noise, 1 N a count."""
    mean, sd, count = -58.0 * constants.g, 0.8, 1.0
    centre = int(np.rint(mean / count))
    rows = []
    for k in range(centre - 3, centre + 4):
        low = -np.inf if k == centre - 3 else (k - 0.5) * count
        high = np.inf if k == centre + 3 else (k + 0.5) * count
        rows.append([k, float(stats.norm.cdf(high, mean, sd) - stats.norm.cdf(low, mean, sd))])
    write("quantised_noise.csv", "count,probability", rows)
    print("chi-squared, 6 degrees of freedom, 99.99 %:", stats.chi2.ppf(0.9999, 6))


def line_response():
    """Unit step through dead time, first-order lag and the cell's second-order bandwidth (100 Hz, damping ratio 0.7)."""
    rows = []
    w = 2.0 * np.pi * 100.0
    for dead, lag in ((0.020, 0.12), (0.014, 0.156)):
        t = np.arange(0, 1001) * TICK
        _, regulator = signal.step(([1.0], [lag, 1.0]), T=t)
        _, cell = signal.step(([w * w], np.convolve([lag, 1.0], [1.0, 1.4 * w, w * w])), T=t)
        n = int(round(dead / TICK))
        for i in range(0, len(t), 4):
            before = i < n
            rows.append([
                dead, lag, i,
                0.0 if before else float(regulator[i - n]),
                0.0 if before else float(cell[i - n]),
            ])
    write("line_response.csv", "dead_s,lag_s,tick,regulator,cell", rows)


# Canudas de Wit et al., IEEE TAC 40 (1995) 419-425, table I.
S0, S1, S2, FC, FS, VS = 1e5, np.sqrt(1e5), 0.4, 1.0, 1.5, 1e-3


def lugre(pull, end, samples):
    """Unit mass pulled by `pull(t)` newtons: time, position, speed, friction."""
    def level(v):
        return FC + (FS - FC) * np.exp(-((v / VS) ** 2))

    def rate(t, y):
        _, v, z = y
        dz = v - S0 * abs(v) * z / level(v)
        return [v, pull(t) - (S0 * z + S1 * dz + S2 * v), dz]

    t = np.linspace(0.0, end, samples)
    out = solve_ivp(rate, (0.0, end), [0.0, 0.0, 0.0], "Radau", t, rtol=1e-9, atol=1e-13, max_step=1e-3)
    assert out.success
    _, v, z = out.y
    dz = v - S0 * np.abs(v) * z / level(v)
    return t, out.y[0], v, S0 * z + S1 * dz + S2 * v


def friction():
    """The pre-sliding loop (force between +-1.425 N, here at 10 N/s) and break-away force against the rate of the pull."""
    edges = np.array([0.0, 0.1425, 0.4275, 0.7125])
    force = np.array([0.0, 1.425, -1.425, 1.425])
    t, x, _, _ = lugre(lambda t: float(np.interp(t, edges, force)), 0.7125, 286)
    write("lugre_presliding.csv", "time_s,force_n,position_m",
          [[float(a), float(np.interp(a, edges, force)), float(b)] for a, b in zip(t, x)])
    rows = []
    for rate in (1.0, 2.0, 5.0, 10.0, 20.0, 50.0):
        end = 2.0 / rate
        _, _, _, f = lugre(lambda t, r=rate: r * t, end, 20001)
        rows.append([rate, float(np.max(f))])
    write("lugre_breakaway.csv", "rate_n_per_s,breakaway_n", rows)


def units():
    """Conversion factors from scipy.constants (NIST SP 811 and CODATA definitions)."""
    c = constants
    rows = [
        ("in", "length", c.inch), ("µin", "length", c.inch * 1e-6), ("µm", "length", c.micro), ("nm", "length", c.nano),
        ("lb", "mass", c.pound), ("t", "mass", c.metric_ton), ("g", "mass", c.gram),
        ("lbf", "force", c.pound_force), ("kgf", "force", c.kilogram_force),
        ("psi", "pressure", c.psi), ("bar", "pressure", c.bar), ("mbar", "pressure", c.bar * c.milli),
        ("N/mm²", "pressure", 1.0 / c.milli**2), ("N/cm²", "pressure", 1.0 / c.centi**2),
        ("min", "time", c.minute), ("h", "time", c.hour),
        ("in/s", "speed", c.inch), ("in/min", "speed", c.inch / c.minute), ("m/min", "speed", 1.0 / c.minute),
        ("rpm", "angular-speed", 2.0 * c.pi / c.minute), ("deg/s", "angular-speed", c.degree),
        ("lbf·in", "torque", c.pound_force * c.inch), ("lbf·ft", "torque", c.pound_force * c.foot),
        ("L", "volume", c.liter), ("cm³", "volume", c.centi**3), ("L/min", "flow", c.liter / c.minute),
        ("mL/min", "flow", c.liter * c.milli / c.minute), ("L/h", "flow", c.liter / c.hour),
        ("g/cm³", "density", c.gram / c.centi**3), ("%", "ratio", c.centi),
        ("lbf/s", "force-rate", c.pound_force),
    ]
    write("units.csv", "unit,dimension,factor", [(a, b, float(f)) for a, b, f in rows])
    temps = [(v, s, float(constants.convert_temperature(v, s, "Celsius"))) for v, s in
             ((68.0, "Fahrenheit"), (-40.0, "Fahrenheit"), (212.0, "Fahrenheit"), (293.15, "Kelvin"))]
    write("temperatures.csv", "value,scale,celsius", temps)


for job in (load_filter, cell_filter, low_pass_step_and_noise, rounding, quantised_noise, line_response, friction, units):
    job()
