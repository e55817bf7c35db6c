"""Known faults of the pieces, by the databases that know them. One that does not answer is named; it is not passed over in silence."""

import json
import subprocess
import urllib.error
import urllib.request
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path

import pieces

# Seconds for one answer.
PATIENCE = 10
# The Python Package Index says of each release what is known against it (its documented JSON interface).
PYTHON = "https://pypi.org/pypi/{}/{}/json"


@dataclass
class Answer:
    """What a database knows, or why it was not asked."""

    complaints: list[str] = field(default_factory=list)
    unchecked: str | None = None


def crates(locks: Iterable[Path], deny: Callable[..., list[str]]) -> list[Answer]:
    """Advisories against crates, and versions that were withdrawn."""
    call = ["cargo-deny", "--config", pieces.ROOT / "deny.toml", "fetch", "db"]
    fetched = subprocess.run(call, capture_output=True, text=True, cwd=pieces.ROOT)
    if fetched.returncode != 0:
        why = next((line for line in reversed(fetched.stderr.splitlines()) if line.strip()), "no word")
        return [
            Answer(unchecked=f"known faults and withdrawn versions of crates: the advisory database was not reached ({why.strip()})")
        ]
    return [Answer(complaints=[complaint for lock in locks for complaint in deny(lock, "advisories")])]


def npm(folder: Path) -> Answer:
    """Advisories against npm packages."""
    try:
        done = subprocess.run(
            ["npm", "audit", "--package-lock-only", "--json"], cwd=folder, capture_output=True, text=True, timeout=6 * PATIENCE
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        return Answer(unchecked=f"known faults of npm packages: {error}")
    return audited(done.stdout)


def audited(text: str) -> Answer:
    """What `npm audit --json` says."""
    try:
        report = json.loads(text)
    except json.JSONDecodeError:
        report = {}
    if "vulnerabilities" not in report:
        why = report.get("statusCode") or report.get("error", {}).get("code") or "no answer"
        return Answer(unchecked=f"known faults of npm packages: the registry does not audit ({why})")
    return Answer([f"npm: {name}: {one['severity']}" for name, one in report["vulnerabilities"].items()])


def python(files: Iterable[Path]) -> Answer:
    """Known faults of the pinned Python packages."""
    answer, silent = Answer(), []
    releases = sorted({pin for file in files for pin in pieces.pins(file.read_text())})
    for number, (name, version) in enumerate(releases):
        try:
            with urllib.request.urlopen(PYTHON.format(name, version), timeout=PATIENCE) as page:
                answer.complaints += known(name, version, json.load(page))
        except urllib.error.HTTPError:
            silent.append(f"{name} {version}")
        except (OSError, ValueError):
            # Nobody there: the others are not asked.
            silent += [f"{name} {version}" for name, version in releases[number:]]
            break
    if silent:
        these = f"{', '.join(silent[:3])}{' and others' if len(silent) > 3 else ''}"
        answer.unchecked = (
            f"known faults of {len(silent)} of {len(releases)} Python packages: the index's JSON did not answer for {these}"
        )
    return answer


def known(name: str, version: str, page: dict) -> list[str]:
    """What the index knows against a release."""
    return [
        f"{name} {version}: {one['id']}" for one in page.get("vulnerabilities") or [] if not one.get("withdrawn")
    ]
