"""The npm and Python pieces that the tests use: pinned with hashes, from the public registries, under licences that somebody has read."""

import json
import re
import subprocess
import sys
import tomllib
from importlib.metadata import Distribution, distributions
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "sim-host/command/release"))

import licences as release

# npm's default registry: a lock file that names no other host takes what the user's npm is set up for, and checks it by its hash.
NPM = "https://registry.npmjs.org/"
EXACT = re.compile(r"\d+\.\d+\.\d+")
PIN = re.compile(r"([A-Za-z0-9._-]+)==(\S+)")


def tracked(name: str) -> list[str]:
    """Files of this name in the repository."""
    call = ["git", "-C", ROOT, "ls-files", "--", name, f"**/{name}"]
    return subprocess.run(call, check=True, capture_output=True, text=True).stdout.split()


def accepted(licence: str, tools: dict) -> bool:
    """May a tool of the tests be under this licence?"""
    return release.accepted(licence, {*release.ACCEPTED, *tools["accepted"]})


def npm(folder: Path) -> list[str]:
    """What is wrong with a package and its lock file."""
    tools = tomllib.loads((Path(__file__).parent / "tools.toml").read_text())
    package = json.loads((folder / "package.json").read_text())
    lock = json.loads((folder / "package-lock.json").read_text())
    asked = {**package.get("dependencies", {}), **package.get("devDependencies", {})}
    wrong = [f"{name} {version} is no exact version" for name, version in asked.items() if not EXACT.fullmatch(version)]
    versions: dict[str, set[str]] = {}
    for path, piece in lock["packages"].items():
        if not path:
            continue
        name = path.rpartition("node_modules/")[2]
        versions.setdefault(name, set()).add(piece["version"])
        if not piece.get("integrity", "").startswith("sha512-"):
            wrong.append(f"{name} has no SHA-512 in the lock file")
        if not piece.get("resolved", NPM).startswith(NPM):
            wrong.append(f"{name} comes from {piece['resolved']}, which is not npm's registry")
        licence = piece.get("license", "none")
        if not accepted(licence, tools):
            wrong.append(f"{name} {piece['version']} is under {licence}, which nobody has accepted (tests/supply/tools.toml)")
    wrong += [f"{name} is there twice: {', '.join(sorted(found))}" for name, found in versions.items() if len(found) > 1]
    return [f"{folder.name}/package-lock.json: {one}" for one in wrong]


def pins(text: str) -> list[tuple[str, str]]:
    """Names and versions in a file of requirements."""
    return PIN.findall(_joined(text))


def _joined(text: str) -> str:
    lines = (line for line in text.splitlines() if not line.lstrip().startswith("#"))
    return "\n".join(lines).replace("\\\n", " ")


def requirements(text: str, name: str) -> list[str]:
    """What is wrong with a file of requirements."""
    wrong = []
    found = [name.lower() for name, _ in pins(text)]
    wrong += [f"{one} is there twice" for one in sorted(set(found)) if found.count(one) > 1]
    for line in filter(None, (line.strip() for line in _joined(text).splitlines())):
        pin, *hashes = line.split()
        if not PIN.fullmatch(pin):
            wrong.append(f"`{pin}` is no `name==version`: nothing else is taken, no address and no other index")
        if not hashes or not all(one.startswith("--hash=sha256:") for one in hashes):
            wrong.append(f"`{pin}` is not pinned with hashes")
    return [f"{name}: {one}" for one in wrong]


def licences(file: Path, folder: Path, tools: dict) -> list[str]:
    """Licences of what a file of requirements names, read where it is installed."""
    pinned = {_plain(name): version for name, version in pins(file.read_text())}
    paths = [str(path) for path in folder.glob("lib/python3*/site-packages")]
    there = {_plain(found.metadata["Name"]): found for found in distributions(path=paths)}
    wrong = []
    for name, version in pinned.items():
        found = there.get(name)
        if found is None:
            # A marker of the requirement, or another system.
            continue
        licence = licence_of(found, tools)
        if licence is None or not accepted(licence, tools):
            wrong.append(f"{name} {version} is under {licence or 'a licence that it does not name'}: read it (tests/supply/tools.toml)")
    return [f"{file.relative_to(ROOT)}: {one}" for one in wrong]


def licence_of(found: Distribution, tools: dict) -> str | None:
    """The SPDX expression: its own, or what somebody has read in its text."""
    data = found.metadata
    if data["License-Expression"]:
        return data["License-Expression"]
    # An older field, in which anything may stand: one licence's name is taken, a text is not.
    if data["License"] in {*release.ACCEPTED, *tools["accepted"]}:
        return data["License"]
    return tools["read"].get(f"{_plain(data['Name'])} {data['Version']}")


def _plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()
