"""Each form of the release, installed as a user would, does from an empty folder what the book shows."""

import base64
import csv
import hashlib
import http.client
import json
import re
import signal
import subprocess
import sys
import unittest
import zipfile
from pathlib import Path

from common import AS_ROOT, DIST, PATIENCE, ROOT, Case, files, only, shown

VERSION = re.search(r'^version = "(.+)"$', (ROOT / "Cargo.toml").read_text(), re.MULTILINE)[1]
PLAIN = only("twinplate-*-linux-x86_64")
# What is committed of it; an editor's leavings are not.
TRACKED = subprocess.run(
    ["git", "-C", ROOT, "ls-files", "-z", "recipes"], capture_output=True, text=True, check=True
).stdout.split("\0")[:-1]
# The set that is to be inside: paths below its folder, and content.
SET = {name.removeprefix("recipes/"): (ROOT / name).read_bytes() for name in TRACKED}


class Installed:
    """What is asked of each form. `self.program` is the installed command."""

    def test_it_is_the_file_of_the_release_and_tells_its_version(self):
        self.assertEqual(self.program.read_bytes(), PLAIN.read_bytes())
        self.assertEqual(self.call(self.program, "--version").stdout, f"twinplate {VERSION}\n")

    def test_the_demonstration_set_is_inside_and_is_written_once(self):
        first = self.call(self.program, "demo")
        self.assertIn("twinplate check recipes/recipes/glass-f800.toml", first.stdout)
        self.assertEqual(files(self.folder / "recipes"), SET)
        (self.folder / "recipes/README.md").write_text("mine")
        again = self.call(self.program, "demo", code=2)
        self.assertIn("recipes", again.stderr)
        self.assertEqual((self.folder / "recipes/README.md").read_text(), "mine")
        self.assertEqual([path.name for path in self.folder.iterdir()], ["recipes"])

    def test_sessions_of_the_book_come_out_to_the_letter(self):
        self.call(self.program, "demo")
        arguments, want = shown("docs/first-hour.md", "session-check")
        got = self.call(self.program, *arguments)
        lines = (got.stderr + got.stdout).replace(str(self.program), "target/release/twinplate").splitlines()
        self.assertEqual("".join(f"{line.rstrip()}\n" for line in lines), want)
        # The worst run again has the control hash that the verdict names.
        control = self.one(r"^(0x[0-9a-f]{16}):$", want)
        again = self.one(r"^  target/release/twinplate (run .+)$", want).split()
        self.assertIn(f"control hash {control}\n", self.call(self.program, *again).stdout)

        arguments, want = shown("README.md", "session-bad")
        bad = self.call(self.program, *arguments, code=1)
        self.assertIn(want.split("[…]")[0], bad.stdout)

        arguments, want = shown("docs/first-hour.md", "session-scenario")
        got = self.call(self.program, *arguments).stdout
        for piece in want.split("[…]\n"):
            self.assertIn(piece, "".join(f"{line.rstrip()}\n" for line in got.splitlines()))

    def test_a_log_of_the_set_is_read(self):
        self.call(self.program, "demo")
        self.call(self.program, "tune", "--from", "recipes/logs/clean.csv", "--filter", "15")

    def test_an_exercise_is_played_by_its_script(self):
        self.call(self.program, "demo", "mine")
        script = "mine/exercises/scripts/first-cycle.txt"
        with_folder = self.call(self.program, "train", "--headless", script).stdout
        self.assertRegex(with_folder, "(?m)^PASSED: ")
        # A script alone finds its exercise in the program.
        (self.folder / "alone.txt").write_bytes((self.folder / script).read_bytes())
        (self.folder / "mine").rename(self.folder / "away")
        self.assertEqual(self.call(self.program, "train", "--headless", "alone.txt").stdout, with_folder)

    def test_training_is_served_from_an_empty_folder(self):
        server = subprocess.Popen(
            [self.program, "train", "--port", "0"],
            cwd=self.folder, env={}, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        self.addCleanup(server.communicate)
        self.addCleanup(server.kill)
        address = self.one(r"^http://(\S+)/$", server.stdout.readline())
        link = http.client.HTTPConnection(address, timeout=PATIENCE)

        def get(path: str) -> str:
            link.request("GET", path)
            answer = link.getresponse()
            body = answer.read().decode()
            self.assertEqual(answer.status, 200, f"{path}: {body}")
            return body

        page = get("/")
        for asset in re.findall(r'(?:src|href)="(/assets/[^"]+)"', page):
            self.assertNotEqual(get(asset), "")
        offered = [card["id"] for card in json.loads(get("/api/exercises"))]
        want = [Path(name).stem for name in SET if re.fullmatch(r"exercises/[^/]+\.toml", name)]
        self.assertEqual(sorted(offered), sorted(want))
        link.close()
        server.send_signal(signal.SIGINT)
        _, said = server.communicate(timeout=PATIENCE)
        self.assertEqual(server.returncode, 0, said)
        # The records and nothing else.
        self.assertEqual([path.name for path in self.folder.iterdir()], ["out"])


class TestPlainFile(Installed, Case):
    """The static file, copied."""

    def setUp(self):
        super().setUp()
        self.place = self.folder.with_name(self.folder.name + "-place")
        self.place.mkdir()
        self.addCleanup(lambda: [self.call("rm", "-r", self.place, cwd="/")])
        self.program = self.place / "twinplate"
        self.call("cp", PLAIN, self.program)

    def test_it_needs_nothing_of_the_system(self):
        # A root with nothing in it but the file: no loader, no library, no data.
        told = self.call(*AS_ROOT, "chroot", self.place, "/twinplate", "demo").stdout
        self.assertIn("recipes", told)
        self.assertEqual(files(self.place / "recipes"), SET)


class TestDebian(Installed, Case):
    """The Debian package, installed by dpkg under a root of its own."""

    def setUp(self):
        super().setUp()
        self.place = self.folder.with_name(self.folder.name + "-place")
        (self.place / "var/lib/dpkg/updates").mkdir(parents=True)
        (self.place / "var/lib/dpkg/info").mkdir()
        (self.place / "var/lib/dpkg/status").touch()
        self.addCleanup(lambda: [self.call(*AS_ROOT, "rm", "-r", self.place, cwd="/")])
        self.dpkg("--install", only("twinplate_*_amd64.deb"))
        self.program = self.place / "usr/bin/twinplate"

    def dpkg(self, *arguments) -> str:
        # Its log stays out of the system's own.
        return self.call(*AS_ROOT, "dpkg", f"--root={self.place}", f"--log={self.place}/log", *arguments).stdout

    def test_what_dpkg_says_of_it_is_so_and_it_leaves_nothing_behind(self):
        self.assertEqual(self.dpkg("--verify", "twinplate"), "")
        status = self.dpkg("--status", "twinplate")
        self.assertEqual(self.one(r"^Version: (.+)$", status), VERSION)
        self.assertEqual(self.one(r"^Status: (.+)$", status), "install ok installed")
        self.assertNotIn("Depends:", status)
        self.assertTrue((self.place / "usr/share/doc/twinplate/copyright").is_file())
        self.dpkg("--purge", "twinplate")
        self.assertFalse((self.place / "usr").exists())


class TestWheel(Installed, Case):
    """The wheel, installed by pip into a fresh environment that knows no index."""

    @classmethod
    def setUpClass(cls):
        cls.place = DIST.parent / "package-wheel"
        subprocess.run([sys.executable, "-m", "venv", "--clear", cls.place], check=True)
        cls.pip("install", "--no-index", only("*.whl"))

    @classmethod
    def pip(cls, *arguments) -> str:
        command = [cls.place / "bin/python", "-m", "pip", "--disable-pip-version-check", *arguments]
        return subprocess.run(command, capture_output=True, text=True, check=True).stdout

    def setUp(self):
        super().setUp()
        self.program = self.place / "bin/twinplate"

    def test_what_pip_says_of_it_is_so(self):
        told = self.pip("show", "--files", "twinplate")
        self.assertEqual(self.one(r"^Version: (.+)$", told), VERSION)
        self.assertIn("../../../bin/twinplate\n", told)
        self.pip("check")

    def test_every_file_of_the_wheel_stands_in_its_record(self):
        with zipfile.ZipFile(only("*.whl")) as wheel:
            content = {name: wheel.read(name) for name in wheel.namelist()}
        [record] = [name for name in content if name.endswith(".dist-info/RECORD")]
        rows = {name: (digest, size) for name, digest, size in csv.reader(content[record].decode().splitlines())}
        self.assertEqual(list(rows), list(content))
        self.assertEqual(rows.pop(record), ("", ""))
        for name, (digest, size) in rows.items():
            # URL-safe base64 without padding, by the wheel's specification.
            data = base64.urlsafe_b64encode(hashlib.sha256(content[name]).digest()).decode().rstrip("=")
            self.assertEqual((digest, size), (f"sha256={data}", str(len(content[name]))), name)


if __name__ == "__main__":
    unittest.main()
