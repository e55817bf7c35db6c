"""A hundred random PI loops judged by python-control: prints a table that the test compares with.

Nothing here reads the project's code. Frequency domain: python-control's margins of the frequency response, the dead time exact as
a factor. Sampled loops: the process sampled behind a hold, the dead time as whole periods, the controller's filter by scipy's
Butterworth design. Stability: poles of the closed loop (sampled: exact; continuous: the dead time as a Pade quotient of 8th order).
Time domain of continuous loops: the same quotient, which is good to a few 1e-4 of the measures where the lag is not short.
"""

import math
import sys

import control as ct
import numpy as np
from scipy import signal

LOOPS = 100
rng = np.random.default_rng(20_260_101)


def process(order, k, tau1, tau2):
    if order == "integrating":
        return ct.tf([k], [1, 0])
    if order == "first":
        return ct.tf([k], [tau1, 1])
    return ct.tf([k], np.polymul([tau1, 1], [tau2, 1]))


def draw(n):
    """Parameters of loop n: every other one is sampled."""
    order = ("integrating", "first", "second")[n % 3]
    theta = 1.0  # the unit of time: Pade quotients of high order do not bear another
    tau1 = theta * 10 ** rng.uniform(-0.3, 1.3)
    tau2 = tau1 * rng.uniform(0.05, 0.95)
    k = 10 ** rng.uniform(-1, 3)
    period = theta / rng.integers(4, 30) if n % 2 else 0.0
    # Analogue low-pass (damping 0.7) and controller's filter, corners well under half the sampling rate.
    cell = rng.uniform(1.5, 4) / theta if n % 4 < 2 else 0.0
    filt = min(rng.uniform(0.5, 2) / theta, 0.2 / period) if n % 2 else 0.0
    late = theta + (0.22 / cell if cell else 0) + (0.225 / filt if filt else 0) + 1.5 * period
    slope = k if order == "integrating" else k / tau1
    kc = rng.uniform(0.2, 1.0) / (slope * late)
    ti = late * rng.uniform(4, 12) if order == "integrating" else min(tau1, 8 * late) * rng.uniform(0.6, 1.6)
    return order, k, tau1, tau2, theta, period, cell, filt, kc, ti


def continuous(order, k, tau1, tau2, theta, cell, kc, ti):
    line = process(order, k, tau1, tau2)
    measured = line
    if cell:
        w = 2 * math.pi * cell
        measured = line * ct.tf([w * w], [1, 1.4 * w, w * w])
    pi = ct.tf([kc * ti, kc], [ti, 0])
    return line, measured, pi


def margins(response, omega):
    frd = ct.FRD(response, omega, smooth=True)
    gm, pm, sm, w180, wc, _ = ct.stability_margins(frd, returnall=True)
    gm = [g for g in np.atleast_1d(gm) if g > 1]
    return min(gm) if gm else math.inf, min(np.atleast_1d(pm), key=abs), 1 / min(np.atleast_1d(sm)), min(np.atleast_1d(wc))


def judge(n):
    order, k, tau1, tau2, theta, period, cell, filt, kc, ti = drawn = draw(n)
    line, measured, pi = continuous(order, k, tau1, tau2, theta, cell, kc, ti)
    overshoot = iae = math.nan
    if period:
        whole = round(theta / period) + 1  # a period of computing
        sampled = ct.sample_system(ct.ss(measured), period, method="zoh")
        b, a = signal.butter(2, filt, fs=1 / period)
        loop = ct.ss(ct.tf(b, a, period)) * sampled * ct.ss(ct.tf([1], [1] + [0] * whole, period))
        # The output uses the integral of the samples before.
        loop = loop * ct.ss(ct.tf([kc, kc * (period / ti - 1)], [1, -1], period))
        stable = bool(np.all(np.abs(ct.feedback(loop, 1).poles()) < 1))
        omega = np.geomspace(0.05 / ti, min(10, 0.999 * math.pi / period), 500)
        response = loop(np.exp(1j * omega * period))
    else:
        omega = np.geomspace(0.05 / ti, 10, 500)
        response = (measured * pi)(1j * omega) * np.exp(-1j * omega * theta)
        quotient = ct.tf(*ct.pade(theta, 8))
        path = ct.ss(measured) * ct.ss(quotient) * ct.ss(pi)
        closed = ct.feedback(path, 1)
        stable = bool(np.all(closed.poles().real < 0))
        if stable:
            slow = max(-1 / closed.poles().real)
            time = np.linspace(0, 14 * slow, 2500)
            # Process output, not the filtered one: filter in the feedback path.
            forward = ct.ss(line) * ct.ss(quotient)
            lowpass = ct.ss(ct.tf([1], [1]))
            if cell:
                w = 2 * math.pi * cell
                lowpass = ct.ss(ct.tf([w * w], [1, 1.4 * w, w * w]))
            reference = ct.feedback(forward * ct.ss(pi), lowpass)
            load = ct.feedback(forward, ct.ss(pi) * lowpass)
            y = ct.step_response(reference, time).outputs
            overshoot = max(float(y.max()) - 1, 0)
            y = ct.step_response(load, time).outputs
            iae = float(np.trapezoid(np.abs(y), time))
    gm, pm, ms, wc = margins(response, omega) if stable else (math.nan,) * 4
    return list(drawn) + [int(stable), gm, pm, ms, wc, overshoot, iae]


sys.stdout.write("order,k,tau1,tau2,theta,period,cell,filter,kc,ti,stable,gm,pm,ms,wc,overshoot,iae\n")
for n in range(LOOPS):
    sys.stdout.write(",".join(c if isinstance(c, str) else repr(float(c)) for c in judge(n)) + "\n")
