"""All parts of the program: every crate that was compiled, and what came along with them."""

import tomllib
from pathlib import Path
from urllib.parse import quote

import carried
import licences
from build import ROOT, Built
from part import Part


def all_parts(built: Built) -> list[Part]:
    """All parts, sorted, the program itself among them."""
    lock = tomllib.loads((ROOT / "Cargo.lock").read_text())
    sums = {(package["name"], package["version"]): package.get("checksum") for package in lock["package"]}
    crates = {identity: _crate(built.packages[identity], linked, sums) for identity, linked in built.compiled.items()}
    parts = list(crates.values())
    for identity, part in crates.items():
        part.depends = [crates[other].ref for other in built.depends[identity]]
    for owner, part in carried.all_carried(crates, built):
        owner.depends.append(part.ref)
        parts.append(part)
    for part in parts:
        part.depends.sort()
    return sorted(parts, key=lambda part: (part.name, part.version))


def _crate(package: dict, linked: bool, sums: dict) -> Part:
    name, version = package["name"], package["version"]
    own = package["source"] is None
    licence = licences.expression(name, package["license"])
    # Our own crates share the workspace's licence files.
    folder = ROOT if own else Path(package["manifest_path"]).parent
    return Part(
        name=name,
        version=version,
        licence=licence,
        texts=licences.texts_of(name, version, licence, folder),
        linked=linked,
        purl=None if own else f"pkg:cargo/{name}@{quote(version)}",
        sha256=sums.get((name, version)),
    )
