#!/usr/bin/env python3
"""Where the instructions of a tick go, as callgrind (Valgrind) counts them: tables for docs/speed.md, on standard output.

    sim-host/sim/benches/profile.py            # takes a minute or two
    sim-host/sim/benches/profile.py BENCH      # with a bench that is built already

A function is one of the source: what the compiler took in elsewhere counts where it is written. Other work on the machine changes nothing.
"""
import json
import re
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
RUNS = {"cycle": "cycle, 100 parts", "trials": "drawn trials"}
# A function below this many instructions a tick in every run is counted with the others.
LEAST = 10
PARTS = [
    ("firmware-core/", "controller"),
    ("sim-host/sim/src/plant/", "plant"),
    ("sim-host/sim/src/math.rs", "plant"),
    ("sim-host/sim/src/bench/hash.rs", "hash"),
    ("sim-host/sim/src/bench/summary/", "summary"),
    ("sim-host/sim/src/bench/recorder.rs", "recorder"),
    ("sim-host/sim/src/bench/columns.rs", "recorder"),
    ("", "the bench's own"),
]
OUTSIDE = "library code in "
MERGED = "(merged)"


def bench():
    """Path of the bench `cycle`, built."""
    words = ["cargo", "bench", "-p", "twinplate-sim", "--bench", "cycle", "--no-run", "--message-format=json"]
    said = subprocess.run(words, cwd=ROOT, check=True, stdout=subprocess.PIPE, text=True).stdout
    made = [json.loads(line).get("executable") for line in said.splitlines()]
    return next(path for path in reversed(made) if path)


def count(path, run):
    """Instructions by source file, function of the binary and line; and ticks."""
    with tempfile.NamedTemporaryFile() as out:
        words = ["valgrind", "--tool=callgrind", "--toggle-collect=cycle::run*", f"--callgrind-out-file={out.name}"]
        said = subprocess.run([*words, path, "once", run], cwd=ROOT, check=True, capture_output=True, text=True)
        ticks = int(re.search(r"(\d+) ticks", said.stdout)[1])
        return parse(Path(out.name).read_text()), ticks


def parse(text):
    """Callgrind's own format: names once in full and by number from then on, lines as differences, costs of calls apart."""
    names, cost = {}, Counter()
    file, function, line, called = "", "", 0, False
    for row in text.splitlines():
        if named := re.match(r"(fl|fi|fe|fn|cfi|cfl|cfn|ob|cob)=\((\d+)\)(?: (.*))?$", row):
            kind, number, name = named.groups()
            key = (kind[-2:] if kind.endswith(("fn", "ob")) else "file", number)
            name = names.setdefault(key, name)
            if kind in ("fl", "fi", "fe"):
                file = name
            elif kind == "fn":
                function = name
        elif row.startswith("calls="):
            called = True
        elif moved := re.match(r"(\*|[+-]?\d+) (\d+)$", row):
            at, amount = moved.groups()
            if at != "*":
                line = line + int(at) if at[0] in "+-" else int(at)
            if not called:
                cost[(file, function, line)] += int(amount)
            called = False
    return cost


def functions(path):
    """First line and name of each function of a source file."""
    head = re.compile(r"\s*(?:pub(?:\([a-z: ]+\))? )?(?:const )?fn (\w+)")
    lines = path.read_text().splitlines()
    return [(number, found[1]) for number, text in enumerate(lines, 1) if (found := head.match(text))]


def shares(cost, ticks):
    """Instructions a tick by source file and function."""
    told, known = Counter(), {}
    for (file, function, line), amount in cost.items():
        path = Path(file or "?")
        if not path.is_relative_to(ROOT):
            told[(owner(function), f"{OUTSIDE}`{short(function)}`")] += amount / ticks
            continue
        if path not in known:
            known[path] = functions(path)
        inside = [name for first, name in known[path] if first <= line]
        told[(str(path.relative_to(ROOT)), f"`{inside[-1]}`" if inside else MERGED)] += amount / ticks
    return told


def owner(function):
    """The folder that a function of the binary comes from, as far as it has one."""
    if "firmware_core" in function:
        return "firmware-core/"
    return "sim-host/sim/src/plant/" if "::plant::" in function or "libm" in function else ""


def short(function):
    """A function of the binary without its path."""
    return re.sub(r"<impl .*?>::", "", function).split("::", function.count("::") - 1)[-1]


def main():
    path = sys.argv[1] if len(sys.argv) > 1 else bench()
    told = {run: shares(*count(path, run)) for run in RUNS}
    print("| instructions a tick |", " | ".join(RUNS.values()), "|")
    print("|---|" + "---|" * len(RUNS))
    for part in dict.fromkeys(name for _, name in PARTS):
        each = [
            sum(n for (file, _), n in run.items() if next(p for start, p in PARTS if file.startswith(start)) == part)
            for run in told.values()
        ]
        print(f"| {part} |", " | ".join(f"{n:,.0f}" for n in each), "|")
    print("| **all** |", " | ".join(f"**{sum(run.values()):,.0f}**" for run in told.values()), "|\n")
    print("| function | file |", " | ".join(RUNS.values()), "|")
    print("|---|---|" + "---|" * len(RUNS))
    names = {name for run in told.values() for name, n in run.items() if n >= LEAST}
    for file, function in sorted(names, key=lambda name: -max(run[name] for run in told.values())):
        each = " | ".join(f"{run[(file, function)]:,.0f}" for run in told.values())
        print(f"| {function} | {file and f'`{file}`'} | {each} |")
    rest = [sum(n for name, n in run.items() if name not in names) for run in told.values()]
    print("| all others | |", " | ".join(f"{n:,.0f}" for n in rest), "|")


main()
