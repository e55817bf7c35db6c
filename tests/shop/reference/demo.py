"""Makes the sheets of recipes/shop from known laws: python3 demo.py. Invented: no real shop stands behind the numbers."""

import random
from pathlib import Path

HERE = Path(__file__).resolve().parent
SHOP = HERE / "../../../recipes/shop"
INVENTED = "# Invented for the demonstration set, made by tests/shop/reference/demo.py: no real part, price or shop stands behind these numbers.\n"


def parts():
    """37 glass discs from two pieces of stock 4 µm apart, each a little thicker towards its end, mixed as they were measured."""
    dice = random.Random(12)
    rows = []
    order = list(range(1, 38))
    dice.shuffle(order)
    for place, number in enumerate(order, 1):
        second = number > 20
        middle = 552.0 if second else 548.0
        drift = 0.06 * (number - (29 if second else 10))
        thickness = middle + drift + max(-2.0, min(2.0, dice.gauss(0.0, 0.8)))
        taper = dice.uniform(-0.6, 0.6)
        rows.append(f"D{place:02},{(thickness - taper / 2) / 1000:.4f},{(thickness + taper / 2) / 1000:.4f}")
    return INVENTED + "part,thickness [mm],second [mm]\n" + "\n".join(rows) + "\n"


def record():
    """24 batches: 21 min and what an operator adds, a part or two lost now and then."""
    dice = random.Random(7)
    rows = []
    minute = 6 * 60 + 10
    day = 2
    for _ in range(24):
        time = round(21.0 + dice.gammavariate(1.5, 3.0))
        good = 15 - (0 if dice.random() < 0.7 else dice.choice([1, 1, 2]))
        if minute + time > 14 * 60:
            day, minute = day + 1, 6 * 60 + 10
        rows.append(f"2026-03-{day:02} {minute // 60:02}:{minute % 60:02},{time},{good}")
        minute += time
    return INVENTED + "start,time [min],good\n" + "\n".join(rows) + "\n"


PRICES = INVENTED + """what,price [EUR],per
abrasive,14,kg
vehicle,0.005,L
energy,0.28,kWh
labour,42,h
machine,18,h
blank,1.10,part
"""

if __name__ == "__main__":
    (SHOP / "glass-parts.csv").write_text(parts())
    (SHOP / "record.csv").write_text(record())
    (SHOP / "prices.csv").write_text(PRICES)
