"""What the tests of the release share."""

import os
import re
import shutil
import subprocess
import tempfile
import unittest
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
RELEASE = ROOT / "sim-host/command/release"
DIST = Path(os.environ["DIST"])
# What makes a command root's.
AS_ROOT = os.environ["AS_ROOT"].split()
# Longest that any one command may take, s. Generous: the machine may be busy.
PATIENCE = 120


def only(pattern: str) -> Path:
    """The one file of the release that fits."""
    found = sorted(DIST.glob(pattern))
    if len(found) != 1:
        raise AssertionError(f"{pattern} fits {[path.name for path in found]}")
    return found[0]


def files(folder: Path) -> dict[str, bytes]:
    """All files below a folder: path and content."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def shown(page: str, session: str) -> tuple[list[str], str]:
    """A session of the book, which the suite `docs` holds to what the command says: its arguments and what is shown."""
    text = (ROOT / page).read_text()
    block = text.split(f"<!-- generated: {session} -->\n", 1)[1].split("<!-- end -->", 1)[0]
    first, rest = block.removeprefix("```console\n").removesuffix("```\n").split("\n", 1)
    return first.split(" -- ", 1)[1].split(), rest


class Case(unittest.TestCase):
    """A test with an empty folder of its own."""

    maxDiff = None

    def setUp(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="twinplate-package-"))
        self.addCleanup(shutil.rmtree, self.folder)

    def call(self, *command, code: int = 0, **more) -> subprocess.CompletedProcess:
        """Runs a command in the empty folder with nothing of the caller's environment; its exit code must be as said."""
        more.setdefault("cwd", self.folder)
        more.setdefault("env", {"PATH": "/usr/sbin:/usr/bin:/sbin:/bin", "NO_COLOR": "1"})
        ran = subprocess.run(
            [str(word) for word in command], capture_output=True, text=True, timeout=PATIENCE, check=False, **more
        )
        self.assertEqual(ran.returncode, code, f"{command}\n{ran.stdout}{ran.stderr}")
        return ran

    def one(self, pattern: str, text: str) -> str:
        """The group of a pattern that must be there."""
        found = re.search(pattern, text, re.MULTILINE)
        self.assertIsNotNone(found, f"{pattern} in\n{text}")
        return found[1]
