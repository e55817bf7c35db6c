"""Holds what is built and tested with against `deny.toml` and `tools.toml`: check.py TARGET. What could not be checked it says last."""

import subprocess
import sys
import tomllib
from pathlib import Path

import faults
import pieces
from pieces import ROOT

HERE = Path(__file__).parent
# Files of pinned requirements, and the folder under the target into which each is installed.
REQUIREMENTS = {
    "tests/supply/requirements.txt": "supply",
    "tests/tune/live/requirements.txt": "tmp/python-control",
    "tests/package/requirements.txt": "package-schemas",
}
BROWSER = ROOT / "tests/browser"


def deny(lock: Path, *what: str) -> list[str]:
    """What cargo-deny has against the crates of a lock file."""
    # Only the program's own lock file needs all that is tolerated.
    # A workspace with pieces of its own kind has a list of its own.
    config = next(folder / "deny.toml" for folder in (lock.parent, ROOT) if (folder / "deny.toml").exists())
    unused = "--deny" if lock.parent == config.parent else "--allow"
    lints = [word for lint in ("unmatched-skip", "license-not-encountered") for word in (unused, lint)]
    call = ["cargo-deny", "--locked", "--manifest-path", lock.parent / "Cargo.toml", "--config", config]
    # A crate without an expression is judged by its licence text: no word on it.
    call += ["check", "--hide-inclusion-graph", "--allow", "no-license-field", *lints, *what]
    done = subprocess.run(call, capture_output=True, text=True)
    return [] if done.returncode == 0 else [f"{lock.relative_to(ROOT)}:\n{done.stdout}{done.stderr}"]


def main(target: Path) -> int:
    """Number of complaints, as far as it goes for an exit code."""
    tools = tomllib.loads((HERE / "tools.toml").read_text())
    locks = [ROOT / name for name in pieces.tracked("Cargo.lock")]
    complaints = [complaint for lock in locks for complaint in deny(lock, "bans", "licenses", "sources")]
    complaints += pieces.npm(BROWSER)
    for name, folder in REQUIREMENTS.items():
        complaints += pieces.requirements((ROOT / name).read_text(), name)
        complaints += pieces.licences(ROOT / name, target / folder, tools)
    found = [*faults.crates(locks, deny), faults.npm(BROWSER), faults.python([ROOT / name for name in REQUIREMENTS])]
    complaints += [complaint for answer in found for complaint in answer.complaints]
    unchecked = [answer.unchecked for answer in found if answer.unchecked]
    for complaint in complaints:
        print(f"supply: {complaint}", file=sys.stderr)
    for sentence in unchecked:
        print(f"supply: NOT CHECKED: {sentence}")
    kinds = "licences, duplicates and sources of crates, npm and Python pieces"
    print(f"supply: {kinds}: {len(complaints)} complaints; {len(unchecked)} databases of known faults did not answer")
    return min(len(complaints), 1)


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
