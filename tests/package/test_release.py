"""The files of the release: sums, bill of materials, licences, and what is not in them."""

import hashlib
import importlib.util
import json
import os
import re
import subprocess
import sys
import tomllib
import unittest
from pathlib import Path

import jsonschema
import license_expression
import packageurl
import referencing

from common import DIST, RELEASE, ROOT, Case, files, only

sys.path.insert(0, str(RELEASE))

import build
import licences
from part import Part

BINARY = only("twinplate-*-linux-x86_64")
BILL = json.loads(only("*.cdx.json").read_text())
PAGE = only("*-licences.txt").read_text()


class TestFiles(Case):
    """The folder as a whole."""

    def test_every_file_has_its_checksum(self):
        sums = self.call("sha256sum", "--check", "--strict", "SHA256SUMS", cwd=DIST).stdout
        named = sorted(line.removesuffix(": OK") for line in sums.splitlines())
        self.assertEqual([*named], sorted(set(files(DIST)) - {"SHA256SUMS"}))

    def test_made_again_every_byte_is_the_same(self):
        before = files(DIST)
        subprocess.run([RELEASE / "make"], check=True, stdout=subprocess.DEVNULL)
        self.assertEqual({name for name, data in files(DIST).items() if before[name] != data}, set())

    def test_the_file_is_static(self):
        # ELF64: a program header is an interpreter (3) or a dynamic section (2) where a loader is needed. System V ABI.
        elf = BINARY.read_bytes()
        self.assertEqual(elf[:5], b"\x7fELF\x02")
        start = int.from_bytes(elf[32:40], "little")
        size, count = (int.from_bytes(elf[at : at + 2], "little") for at in (54, 56))
        kinds = {int.from_bytes(elf[at : at + 4], "little") for at in range(start, start + size * count, size)}
        self.assertIn(1, kinds)
        self.assertEqual(kinds & {2, 3}, set())

    def test_no_path_of_the_building_machine_is_in_the_file(self):
        binary = BINARY.read_bytes()
        home = os.environ.get("CARGO_HOME", str(Path.home() / ".cargo"))
        for path in (str(ROOT), str(build.TARGET), home, str(Path.home() / ".rustup")):
            self.assertFalse(path.encode() + b"/" in binary, path)


class TestBill(Case):
    """The bill of materials."""

    def test_it_keeps_the_standards_own_schema(self):
        folder = Path(importlib.util.find_spec("cyclonedx").origin).parent / "schema/_res"
        schemas = {
            path.name.replace(".SNAPSHOT", ""): json.loads(path.read_text()) for path in folder.glob("*.schema.json")
        }
        registry = referencing.Registry().with_resources(
            (f"http://cyclonedx.org/schema/{name}", referencing.Resource.from_contents(schema))
            for name, schema in schemas.items()
        )
        judge = jsonschema.Draft7Validator(schemas[f"bom-{BILL['specVersion']}.schema.json"], registry=registry)
        self.assertEqual([error.message for error in judge.iter_errors(BILL)], [])
        # The judge is not blind.
        self.assertFalse(judge.is_valid(BILL | {"components": [{"name": "without a type"}]}))

    def test_names_are_whole(self):
        spdx = license_expression.get_spdx_licensing()
        refs = [part["bom-ref"] for part in [BILL["metadata"]["component"], *BILL["components"]]]
        self.assertEqual(len(refs), len(set(refs)))
        self.assertEqual(sorted(entry["ref"] for entry in BILL["dependencies"]), sorted(refs))
        for entry in BILL["dependencies"]:
            self.assertLessEqual(set(entry["dependsOn"]), set(refs))
        for part in BILL["components"]:
            [licence] = part["licenses"]
            self.assertEqual(spdx.validate(licence["expression"]).errors, [], part["name"])
            if "purl" in part:
                found = packageurl.PackageURL.from_string(part["purl"])
                scope = f"{found.namespace.removeprefix('@')}-" if found.namespace else ""
                self.assertEqual((scope + found.name, found.version), (part["name"], part["version"]))

    def test_it_lists_what_the_command_depends_on_and_nothing_else(self):
        def tree(edges: str) -> set[tuple[str, str]]:
            command = [
                "cargo", "tree", "--locked", "--offline", "--package", build.PACKAGE, "--features", build.FEATURE,
                "--target", build.TRIPLE, "--edges", edges, "--prefix", "none", "--format", "{p}",
            ]  # fmt: skip
            told = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout
            lines = [line for line in told.splitlines() if line]
            return {(line.split()[0], line.split()[1].removeprefix("v")) for line in lines}

        def listed(*scopes: str) -> set[tuple[str, str]]:
            found = [part for part in BILL["components"] if part["scope"] in scopes]
            return {(part["name"], part["version"]) for part in found} - carried

        carried = {(part["name"], part["version"]) for part in BILL["components"]} - tree("normal,build")
        known = {"fluent-bundle", "glibc", "libgcc", "rust-std", "sqlite", "uplot"}
        self.assertEqual({name for name, _ in carried}, known)
        root = {(build.PACKAGE, BILL["metadata"]["component"]["version"])}
        self.assertEqual(listed("required", "excluded") | root, tree("normal,build"))
        self.assertEqual(listed("required") | root, tree("normal,no-proc-macro"))

    def test_hashes_are_those_of_the_lock_file_and_of_the_binary(self):
        lock = {
            (package["name"], package["version"]): package.get("checksum")
            for package in tomllib.loads((ROOT / "Cargo.lock").read_text())["package"]
        }
        fetched = [part for part in BILL["components"] if part.get("purl", "").startswith("pkg:cargo/")]
        self.assertNotEqual(fetched, [])
        for part in fetched:
            self.assertEqual(part["hashes"][0]["content"], lock[part["name"], part["version"]], part["name"])
        whole = BILL["metadata"]["component"]["hashes"][0]["content"]
        self.assertEqual(whole, hashlib.sha256(BINARY.read_bytes()).hexdigest())

    def test_what_no_lock_file_names_is_what_was_linked(self):
        binary = BINARY.read_bytes()
        versions = {part["name"]: part["version"] for part in BILL["components"]}
        # A crate has the name of this one.
        [script] = [part["version"] for part in BILL["components"] if "/%40fluent/" in part.get("purl", "")]
        # These leave their version in the file, and the C library its name.
        sqlite = f"{versions['sqlite']}\0"
        for trace in (sqlite, f"uPlot (v{versions['uplot']})", f"@fluent/bundle@{script}", "GLIBC_TUNABLES"):
            self.assertTrue(trace.encode() in binary, trace)
        # Of the others the system's and the toolchain's own tools know.
        debian = self.call("dpkg-query", "--show", "--showformat", "${source:Version}", "libc6-dev").stdout
        self.assertEqual(versions["glibc"], debian)
        self.assertIn(f" {versions['libgcc']}\n", self.call("gcc", "--version").stdout)
        rust = subprocess.run(["rustc", "--version", "--verbose"], capture_output=True, text=True, check=True).stdout
        self.assertIn(f"release: {versions['rust-std']}\n", rust)


class TestLicences(Case):
    """The page with all licences, and what stops a release."""

    def test_every_part_is_listed_and_has_a_text(self):
        for part in [BILL["metadata"]["component"], *BILL["components"]]:
            self.assertIn(f"\n  {part['name']} {part['version']}: {part['licenses'][0]['expression']}\n", PAGE)
            self.assertRegex(PAGE, rf"(?m)^{re.escape(part['name'])} {re.escape(part['version'])} \(.+\)$")
        # One sentence of each licence that asks for its text to go along, from the licences themselves.
        for sentence in ("Permission is hereby granted, free of charge", "GNU LESSER GENERAL PUBLIC LICENSE", "Apache License",
                         "GCC Runtime Library Exception", "May you do good and not evil", "Leon Sorokin"):  # fmt: skip
            self.assertIn(sentence.lower(), PAGE.lower())

    def test_a_crate_without_licence_text_stops_the_release_by_name(self):
        (self.folder / "README.md").write_text("no licence here")
        (self.folder / "LICENSE").write_text(" \n")
        with self.assertRaisesRegex(SystemExit, "bare-crate 1.0.0 has no licence text"):
            licences.texts_of("bare-crate", "1.0.0", "MIT", self.folder)

    def test_a_crate_taken_under_a_common_licence_offers_it_and_has_no_text_of_its_own(self):
        name, taken = next(iter(licences.BARE.items()))
        [(_, text)] = licences.texts_of(name, "1.0.0", f"{taken} OR MIT", self.folder)
        self.assertIn("Apache License", text)
        with self.assertRaisesRegex(SystemExit, f"{name} is under MIT, which leaves no choice of {taken}"):
            licences.texts_of(name, "1.0.0", "MIT", self.folder)
        (self.folder / "LICENSE").write_text("its own")
        with self.assertRaisesRegex(SystemExit, f"{name} carries its licence now"):
            licences.texts_of(name, "1.0.0", f"{taken} OR MIT", self.folder)

    def test_a_crate_that_names_no_licence_stops_the_release_by_name(self):
        with self.assertRaisesRegex(SystemExit, "the crate bare-crate names no licence"):
            licences.expression("bare-crate", None)

    def test_a_licence_that_nobody_accepted_stops_the_release_by_name(self):
        for licence in ("AGPL-3.0-only", "MIT AND AGPL-3.0-only", "(AGPL-3.0-only)", "GPL-3.0-or-later"):
            with self.assertRaisesRegex(SystemExit, "odd-crate 1.0.0 is under"):
                licences.check([Part("odd-crate", "1.0.0", licence, [])])
        licences.check([Part("odd-crate", "1.0.0", "MIT OR AGPL-3.0-only", [])])
        licences.check([Part("odd-tool", "1.0.0", "AGPL-3.0-only", [], linked=False)])


if __name__ == "__main__":
    unittest.main()
