"""What tests/shop compares with: python3 make.py (the standard library alone). Nothing here knows the program.

balance.csv: the least lean of all ways to lay parts into carriers, by trying every one.
odds.csv:    the chance that an order is done in time on one machine, exactly: the joint distribution of time and good parts of batches
             drawn from a record with equal chance, batch after batch.
"""

import csv
import itertools
import math
import random
from collections import defaultdict
from pathlib import Path

HERE = Path(__file__).resolve().parent
DATA = HERE.parent / "data"
RECORD = HERE / "../../../recipes/shop/record.csv"


def arms(carriers, pockets, orbit, radius):
    found = []
    for carrier in range(carriers):
        out = 2 * math.pi * carrier / carriers
        for pocket in range(pockets):
            own = out + 2 * math.pi * pocket / pockets
            found.append((orbit * complex(math.cos(out), math.sin(out)), radius * complex(math.cos(own), math.sin(own))))
    return found


def least(thickness, carriers, pockets, orbit, radius, plate):
    """Sum of the two moments' lengths over half the sum of squares of the arms, over the plate."""
    places = arms(carriers, pockets, orbit, radius)
    mean = sum(thickness) / len(thickness)
    off = [t - mean for t in thickness]
    squares = sum(abs(a) ** 2 + abs(b) ** 2 for a, b in places) / 2
    best = math.inf
    for way in itertools.permutations(off):
        centre = sum(h * a for h, (a, _) in zip(way, places))
        own = sum(h * b for h, (_, b) in zip(way, places))
        best = min(best, abs(centre) + abs(own))
    return best * plate / squares


def balance():
    dice = random.Random(3)
    rows = []
    for carriers, pockets in [(3, 2), (4, 2), (5, 1), (3, 2), (4, 2), (3, 3)]:
        count = carriers * pockets
        # Tenths of a micrometre around half a millimetre, as a micrometer reads.
        thickness = [round(0.5e-3 + 1e-7 * round(dice.gauss(0, 20)), 10) for _ in range(count)]
        lean = least(thickness, carriers, pockets, 0.17, 0.05, 0.48)
        rows.append([carriers, pockets, f"{lean:.12e}"] + [f"{t * 1e6:.1f}" for t in thickness])
    with open(DATA / "balance.csv", "w", newline="") as out:
        csv.writer(out, lineterminator="\n").writerows(rows)


def chance(batches, parts, within):
    """Batches as pairs of whole minutes and good parts; exact but for rounding."""
    weight = 1 / len(batches)
    alive = {(0, 0): 1.0}
    done = 0.0
    while alive:
        after = defaultdict(float)
        for (good, time), likely in alive.items():
            for minutes, more in batches:
                if time + minutes > within:
                    continue
                if good + more >= parts:
                    done += weight * likely
                else:
                    after[good + more, time + minutes] += weight * likely
        alive = after
    return done


def odds():
    lines = [line for line in RECORD.read_text().splitlines() if line and not line.startswith("#")]
    batches = [(int(time), int(good)) for _, time, good in (line.split(",") for line in lines[1:])]
    rows = []
    for parts, within in [(15, 25), (60, 130), (300, 540), (300, 555), (300, 570), (150, 280)]:
        rows.append([parts, within, f"{chance(batches, parts, within):.10f}"])
    with open(DATA / "odds.csv", "w", newline="") as out:
        csv.writer(out, lineterminator="\n").writerows(rows)


if __name__ == "__main__":
    DATA.mkdir(exist_ok=True)
    balance()
    odds()
