"""Input/output data of known linear models with dead time, made with scipy and nothing of this project.

Writes ../data/known_models.csv. Needs numpy 2.4.6 and scipy 1.17.1 (the committed file was made with them; Python 3.11).
Answers are computed with scipy.linalg.expm of the state-space model with its held input (exact) on a grid that
holds every sample and every delayed change of the command exactly, so that neither the dead time nor a sample is rounded.
Noise: numpy's default_rng with the seed of each row, normal, 0.1 %, 1 % and 5 % of the change of the settled output by the
first step; set `ar` is an AR(1) sequence (0.8) of 1 % total deviation.

Line format:  kind,order,noise_percent,k,tau1,tau2,theta,y0,drift,steps,times,outputs
steps, times and outputs are lists with blanks between; a step is time:value (command 0 before); times of a series without
jitter are first:distance:count; outputs are whole numbers behind their unit.
"""
import numpy as np
from scipy import linalg

# Two lags and a dead time are told apart by the softness of the beginning only: that takes more samples.
COUNTS = {"first": 150, "second": 100, "integrating": 100}
SAMPLES = {"first": 160, "second": 1000, "integrating": 160}
LEVELS = [0.1, 1.0, 5.0]


def system(order, tau1, tau2):
    """State matrix, input column, output row of the model with gain 1."""
    if order == "integrating":
        return np.zeros((1, 1)), np.ones((1, 1)), np.ones((1, 1))
    if order == "first":
        return np.array([[-1 / tau1]]), np.array([[1 / tau1]]), np.ones((1, 1))
    a = np.array([[-1 / tau1, 0.0], [1 / tau2, -1 / tau2]])
    return a, np.array([[1 / tau1], [0.0]]), np.array([[0.0, 1.0]])


def answer(order, tau1, tau2, theta, steps, times):
    """x(t - theta) of the model with gain 1 to the held command."""
    a, b, c = system(order, tau1, tau2)
    n = a.shape[0]
    both = np.block([[a, b], [np.zeros((1, n + 1))]])
    known = {}
    instants = np.unique(np.concatenate([[0.0], times, [t + theta for t, _ in steps]]))
    x = np.zeros((n, 1))
    out = {instants[0]: 0.0}
    for begin, end in zip(instants[:-1], instants[1:]):
        u = 0.0
        for t, value in steps:
            if t + theta <= begin + 1e-12 * abs(begin):
                u = value
        h = end - begin
        if h not in known:
            known[h] = linalg.expm(both * h)
        x = known[h][:n, :n] @ x + known[h][:n, n:] * u
        out[end] = (c @ x).item()
    return np.array([out[t] for t in times])


def main():
    rng = np.random.default_rng(20261125)
    lines = ["# Made by scipy/make.py (numpy 2.4.6, scipy 1.17.1); see there for the format."]
    for order, count in COUNTS.items():
        for i in range(count):
            tau1 = float(np.round(10 ** rng.uniform(-1, 2), 4))
            ratio = float(np.round(rng.uniform(0.25, 0.85), 3))
            tau2 = float(np.round(ratio * tau1, 5)) if order == "second" else 0.0
            theta = float(np.round(tau1 * 10 ** rng.uniform(-1, 0.3), 5))
            k = float(np.round(rng.choice([-1, 1]) * 10 ** rng.uniform(-1, 2), 4))
            size = float(np.round(rng.choice([-1, 1]) * 10 ** rng.uniform(-1, 1), 3))
            # An integrating answer is seen for fourteen dead times, a settling one for five lags.
            wait = 14 * theta if order == "integrating" else theta + 5 * (tau1 + tau2)
            before = 0.1 * wait
            steps = [(before, size)]
            # Half of them come back part of the way: several steps in one log.
            double = i % 2 == 1
            if double:
                steps.append((before + 1.0 * wait, float(np.round(size * rng.uniform(-0.5, 0.6), 3))))
            length = steps[-1][0] + wait
            n = int(SAMPLES[order] * (1.6 if double else 1.0))
            dt = length / n
            steps = [(float(np.round(np.ceil(t / dt) * dt, 9)), v) for t, v in steps]
            jitter = i % 4 == 2 and order != "second"
            times = np.arange(n) * dt
            if jitter:
                times[1:] += rng.uniform(-0.3, 0.3, n - 1) * dt
            # The command is recorded at the samples: a step must fall on one.
            steps = [(float(times[np.argmin(abs(times - t))]), v) for t, v in steps]
            digits = 10
            times = np.array([float(f"{t:.{digits}g}") for t in times])
            steps = [(float(times[np.argmin(abs(times - t))]), v) for t, v in steps]
            x = answer(order, tau1, tau2, theta, steps, times)
            settled = abs(k * size) if order != "integrating" else abs(k * size * (steps[-1][0] - steps[0][0] + wait))
            y0 = float(np.round(rng.uniform(-2, 2) * settled, 4))
            # A third of the self-settling ones drift by up to a fifth of the answer over the log.
            drift = float(f"{(rng.uniform(-0.2, 0.2) * settled / length if i % 3 == 0 and order != 'integrating' else 0.0):.6g}")
            clean = y0 + drift * times + k * x
            kinds = [("white", level) for level in LEVELS]
            if order == "first":
                kinds.append(("ar", 1.0))
            for kind, level in kinds:
                sigma = settled * level / 100
                noise = rng.standard_normal(n)
                if kind == "ar":
                    coloured = np.zeros(n)
                    coloured[0] = noise[0]
                    for j in range(1, n):
                        coloured[j] = 0.8 * coloured[j - 1] + np.sqrt(1 - 0.64) * noise[j]
                    noise = coloured
                y = clean + sigma * noise
                # A fiftieth of the noise is lost in printing: its own rounding does not show.
                unit = float(f"{sigma / 50:.2g}")
                shown_times = " ".join(f"{t:.{digits}g}" for t in times) if jitter else f"0:{dt!r}:{n}"
                lines.append(",".join([
                    kind, order, f"{level}", f"{k!r}", f"{tau1!r}", f"{tau2!r}", f"{theta!r}", f"{y0!r}", f"{drift!r}",
                    " ".join(f"{t!r}:{v!r}" for t, v in steps), shown_times, f"{unit!r} " + " ".join(f"{v:.0f}" for v in y / unit)]))
    with open("../data/known_models.csv", "w") as out:
        out.write("\n".join(lines) + "\n")


main()
