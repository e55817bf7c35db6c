"""The checks can fail: each is shown what it is there to find."""

import json
import subprocess
import tempfile
import tomllib
import unittest
from importlib.metadata import Distribution
from pathlib import Path

import faults
import pieces
from pieces import ROOT

TOOLS = tomllib.loads((Path(__file__).parent / "tools.toml").read_text())
CONFIG = (ROOT / "deny.toml").read_text()
HASH = "--hash=sha256:" + 64 * "0"


class Case(unittest.TestCase):
    """Whatever wants a folder of its own."""

    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = Path(folder.name)


class TestCrates(Case):
    """cargo-deny with `deny.toml`."""

    def said(self, config: str, what: str, manifest: Path = ROOT / "Cargo.toml") -> str:
        """What cargo-deny says; the empty text where it finds nothing."""
        (self.folder / "deny.toml").write_text(config)
        call = ["cargo-deny", "--manifest-path", manifest, "--config", self.folder / "deny.toml", "check", what]
        done = subprocess.run(call, capture_output=True, text=True)
        return done.stdout + done.stderr if done.returncode else ""

    def test_a_licence_that_is_not_listed_is_named(self):
        self.assertEqual(self.said(CONFIG, "licenses"), "")
        self.assertRegex(self.said(CONFIG.replace('    "BSD-3-Clause",\n', ""), "licenses"), r"(?s)not explicitly allowed.*matchit")

    def test_a_crate_that_is_there_twice_is_named(self):
        self.assertEqual(self.said(CONFIG, "bans"), "")
        line = next(line for line in CONFIG.splitlines() if '"syn@2"' in line)
        self.assertIn("duplicate entries for crate 'syn'", self.said(CONFIG.replace(line, ""), "bans"))

    def test_a_crate_from_elsewhere_is_named(self):
        def crate(name: str, more: str) -> Path:
            (self.folder / name / "src").mkdir(parents=True)
            (self.folder / name / "src/lib.rs").write_text("")
            manifest = self.folder / name / "Cargo.toml"
            manifest.write_text(f'[package]\nname = "{name}"\nversion = "0.1.0"\nedition = "2024"\nlicense = "MIT"\n{more}')
            return manifest

        other = crate("elsewhere", "").parent
        for call in (["init", "-q"], ["add", "."], ["-c", "user.name=a", "-c", "user.email=a@b", "commit", "-qm", "a"]):
            subprocess.run(["git", "-C", other, *call], check=True)
        asks = crate("asks", f'[dependencies]\nelsewhere = {{ git = "file://{other}" }}\n')
        subprocess.run(["cargo", "generate-lockfile", "--quiet", "--manifest-path", asks], check=True)
        self.assertIn("source-not-allowed", self.said(CONFIG, "sources", asks))


class TestNpm(Case):
    """`package.json` and its lock file."""

    def wrong(self, changes: dict, asked: str = "1.2.3") -> str:
        piece = {"version": "1.2.3", "integrity": "sha512-x", "license": "MIT"} | changes
        (self.folder / "package.json").write_text(json.dumps({"devDependencies": {"tool": asked}}))
        (self.folder / "package-lock.json").write_text(json.dumps({"packages": {"": {}, "node_modules/tool": piece}}))
        return "\n".join(pieces.npm(self.folder))

    def test_each_fault_is_named(self):
        self.assertEqual(self.wrong({}), "")
        self.assertIn("no exact version", self.wrong({}, asked="^1.2.3"))
        self.assertIn("no SHA-512", self.wrong({"integrity": ""}))
        self.assertIn("not npm's registry", self.wrong({"resolved": "git+https://example.org/tool.git"}))
        self.assertIn("is under AGPL-3.0-only", self.wrong({"license": "AGPL-3.0-only"}))

    def test_a_piece_that_is_there_twice_is_named(self):
        self.wrong({})
        lock = json.loads((self.folder / "package-lock.json").read_text())
        other = lock["packages"]["node_modules/tool"] | {"version": "2.0.0"}
        lock["packages"]["node_modules/other/node_modules/tool"] = other
        (self.folder / "package-lock.json").write_text(json.dumps(lock))
        self.assertIn("tool is there twice: 1.2.3, 2.0.0", "\n".join(pieces.npm(self.folder)))


class TestPython(Case):
    """Files of requirements and what is installed."""

    def test_each_line_is_a_pin_with_hashes(self):
        self.assertEqual(pieces.requirements(f"# why\ntool==1.2 \\\n    {HASH}\n", "r"), [])
        for line, word in [
            ("tool==1.2", "not pinned with hashes"),
            (f"tool>=1.2 {HASH}", "no `name==version`"),
            (f"git+https://example.org/tool.git {HASH}", "no `name==version`"),
            (f"--index-url=https://example.org/simple {HASH}", "no `name==version`"),
            (f"tool==1.2 {HASH}\nTool==1.3 {HASH}", "tool is there twice"),
        ]:
            self.assertIn(word, "\n".join(pieces.requirements(line, "r")), line)

    def licence(self, *lines: str) -> str | None:
        (self.folder / "METADATA").write_text("\n".join(["Name: tool", "Version: 1.2", *lines]))
        return pieces.licence_of(Distribution.at(self.folder), TOOLS | {"read": {"tool 1.2": "ISC"}})

    def test_a_licence_is_its_own_expression_or_what_was_read(self):
        self.assertEqual(self.licence("License-Expression: AGPL-3.0-only"), "AGPL-3.0-only")
        self.assertEqual(self.licence("License: MIT"), "MIT")
        self.assertEqual(self.licence("License: as you like"), "ISC")
        self.assertFalse(pieces.accepted("AGPL-3.0-only", TOOLS))
        self.assertFalse(pieces.accepted("MIT AND AGPL-3.0-only", TOOLS))
        self.assertTrue(pieces.accepted("MPL-2.0", TOOLS))


class TestFaults(unittest.TestCase):
    """What databases answer."""

    def test_an_audit_that_finds_something_is_a_complaint_and_none_is_a_word(self):
        self.assertEqual(faults.audited('{"vulnerabilities": {}}'), faults.Answer())
        found = faults.audited('{"vulnerabilities": {"tool": {"severity": "high"}}}')
        self.assertEqual(found.complaints, ["npm: tool: high"])
        for text in ("", '{"statusCode": 405}', '{"error": {"code": "ENOTFOUND"}}'):
            self.assertIn("does not audit", faults.audited(text).unchecked)

    def test_what_the_index_knows_is_a_complaint(self):
        page = {"vulnerabilities": [{"id": "X-1", "withdrawn": None}, {"id": "X-2", "withdrawn": "2026-01-01"}]}
        self.assertEqual(faults.known("tool", "1.2", page), ["tool 1.2: X-1"])
        self.assertEqual(faults.known("tool", "1.2", {"vulnerabilities": []}), [])


if __name__ == "__main__":
    unittest.main()
