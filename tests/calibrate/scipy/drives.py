"""Run-ups and coast-downs of known drives, for the coverage of the intervals. Invented; needs numpy and scipy (made with 1.17.1).

    python drives.py > ../data/drives.csv

A line each: number of the sheet, drive, run, time (s), speed (rpm), torque (N·m). A line that begins with `=` is the truth of the sheet that
follows under its number: inertia (kg·m²), drag (N·m). Speeds are the closed form with normal noise; torque wanders and is integrated by
scipy's trapezium rule between the samples, so that nothing but the noise is left to the fit.
"""

import numpy as np
from scipy import integrate

print("# Made by scipy/drives.py; format there.")
for number, stream in enumerate(np.random.SeedSequence(20260702).spawn(200)):
    random = np.random.default_rng(stream)
    inertia, drag = float(random.uniform(0.1, 60)), float(random.uniform(0.2, 8))
    noise = float(random.uniform(0.002, 0.02))
    sense = -1 if number % 4 == 0 else 1
    print(f"={number},{inertia!r},{drag!r}")
    top = float(random.uniform(3, 6))
    for run in ("up", "down"):
        samples = int(random.integers(8, 20))
        if run == "up":
            mean = drag * float(random.uniform(3, 8))
            t = np.linspace(0, inertia * top / (mean - drag), samples)
            torque = mean * (1 + 0.1 * np.sin(9 * t / t[-1]))
            speed = 0.3 + (integrate.cumulative_trapezoid(torque, t, initial=0) - drag * t) / inertia
        else:
            t = np.linspace(0, 0.9 * inertia * top / drag, samples)
            torque = np.zeros(samples)
            speed = top - drag * t / inertia
        for n in range(samples):
            shown = sense * (speed[n] + random.normal(0, noise)) * 60 / (2 * np.pi)
            print(f"{number},lower,{run},{t[n]:.9f},{shown:.9f},{sense * torque[n]:.9f}")
