"""Compiles the packaged command and tells what went into it, as Cargo itself reports it."""

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[2]
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")).resolve()
# As in the script `cargo` beside this one.
TRIPLE = "x86_64-unknown-linux-gnu"
# The package with the binary, and the feature that builds the demonstration set in.
PACKAGE = "twinplate"
FEATURE = "packaged"


@dataclass
class Built:
    """What Cargo made."""

    # The static file.
    binary: Path
    # The package it belongs to, and all others, by id, as `cargo metadata` has them.
    package: dict
    packages: dict[str, dict]
    # Ids that each package depends on to be built or to run.
    depends: dict[str, list[str]]
    # Ids of all that was compiled: true where it is in the file, false where it only helped to build.
    compiled: dict[str, bool]


def build() -> Built:
    """Compiles. Ends the program where Cargo cannot."""
    told = _run([
        str(HERE / "cargo"), "build", "--package", PACKAGE, "--features", FEATURE,
        "--message-format", "json-render-diagnostics",
    ])  # fmt: skip
    compiled: dict[str, bool] = {}
    binary = None
    for line in told.splitlines():
        message = json.loads(line)
        if message["reason"] != "compiler-artifact":
            continue
        # What is compiled for the target lies under its name; build scripts and procedural macros do not.
        linked = any(Path(file).is_relative_to(TARGET / TRIPLE) for file in message["filenames"])
        identity = message["package_id"]
        compiled[identity] = compiled.get(identity, False) or linked
        if message["target"]["name"] == PACKAGE and message["executable"]:
            binary = Path(message["executable"])
            root = identity
    if binary is None:
        sys.exit(f"release: cargo built no `{PACKAGE}`")
    metadata = json.loads(
        _run([
            "cargo", "metadata", "--locked", "--format-version", "1",
            "--filter-platform", TRIPLE, "--features", f"{PACKAGE}/{FEATURE}",
        ])  # fmt: skip
    )
    packages = {package["id"]: package for package in metadata["packages"]}
    depends = {
        node["id"]: sorted(
            found["pkg"]
            for found in node["deps"]
            if found["pkg"] in compiled and any(kind["kind"] != "dev" for kind in found["dep_kinds"])
        )
        for node in metadata["resolve"]["nodes"]
    }
    return Built(binary, packages[root], packages, depends, compiled)


def _run(command: list[str]) -> str:
    """Runs in the workspace; the program's own complaints go where ours go."""
    ran = subprocess.run(command, cwd=ROOT, stdout=subprocess.PIPE, text=True, check=False)
    if ran.returncode != 0:
        sys.exit(f"release: {Path(command[0]).name} {command[1]} failed, see above")
    return ran.stdout
