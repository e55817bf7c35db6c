"""First-order model with dead time of ../data/measured_step_test.csv by scipy.optimize.least_squares: the numbers in measured.rs.

Needs numpy 2.4.6 and scipy 1.17.1. All starts and both methods end in one point.
"""
import numpy as np
from scipy.optimize import least_squares

data = np.genfromtxt("../data/measured_step_test.csv", delimiter=",", skip_header=1)
t, y = data[:, 1], data[:, 3]


def model(p):
    k, tau, theta, y0 = p
    return y0 + 50 * k * np.where(t > theta, 1 - np.exp(-np.clip(t - theta, 0, None) / tau), 0)


for method, start in [("trf", [0.8, 150, 0.5, 21.6]), ("trf", [0.8, 150, 10, 21.6]), ("trf", [0.8735, 155.7, 16.8, 21.61]),
                      ("trf", [0.8, 150, 30, 21.6]), ("lm", [1.0, 100, 5, 20])]:
    found = least_squares(lambda p: model(p) - y, start, method=method, xtol=1e-12, ftol=1e-12)
    fit = 1 - np.linalg.norm(found.fun) / np.linalg.norm(y - y.mean())
    print(method, start, "->", found.x, "rms", np.sqrt(np.mean(found.fun**2)), "fit", fit)

# The same with the dead time held where the figures that came with the log have it.
held = least_squares(lambda p: model([p[0], p[1], 16.8, p[2]]) - y, [0.8735, 155.7, 21.61], xtol=1e-12, ftol=1e-12)
print("held", held.x, "rms", np.sqrt(np.mean(held.fun**2)), "fit", 1 - np.linalg.norm(held.fun) / np.linalg.norm(y - y.mean()))
