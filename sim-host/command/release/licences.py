"""Licences: which are accepted, where their texts are, and the page that holds them all."""

import re
import sys
import tomllib
from collections.abc import Iterable
from pathlib import Path

from part import Part

# Crates whose manifest names no SPDX expression, and what their licence file says. Read the file before you add one.
DECLARED = {
    # `license-file` alone; the file is the MIT licence.
    "cobyla": "MIT",
}

# Where Debian keeps the licences that many packages share.
COMMON = Path("/usr/share/common-licenses")

# Crates that came without a licence file, though their manifest leaves the choice among licences: the one they are taken under. Only
# one whose text is the same whoever uses it, with no line for a holder's name.
BARE = {"fluent-langneg": "Apache-2.0", "intl_pluralrules": "Apache-2.0"}

# Licences that may be in the file. Another one stops the release until somebody has read it. Of crates they stand in `deny.toml`.
ACCEPTED = {
    *tomllib.loads((Path(__file__).parents[3] / "deny.toml").read_text())["licenses"]["allow"],
    # SQLite: given to the public domain.
    "blessing",
    # The C library: whoever gets the program must be able to link it with another version of the library. These sources and this
    # script are what that takes.
    "LGPL-2.1-or-later",
    # The compiler's own support code: the exception lets it into any program.
    "GPL-3.0-or-later WITH GCC-exception-3.1",
}

FILE = re.compile(r"(licen[cs]e|copying|unlicense|notice|copyright)", re.IGNORECASE)
TOKEN = re.compile(r"\(|\)|[A-Za-z0-9.+-]+(?: WITH [A-Za-z0-9.-]+)?")


def expression(name: str, licence: str | None) -> str:
    """The SPDX expression of a crate, by its manifest."""
    # Cargo once allowed a stroke for OR.
    found = DECLARED.get(name) if licence is None else licence.replace("/", " OR ")
    if found is None:
        sys.exit(f"release: the crate {name} names no licence; read its licence file, and put it into DECLARED")
    return found


def together(licences: Iterable[str]) -> str:
    """One expression for all of these."""
    terms = {f"({one})" if " OR " in one or " AND " in one else one for one in licences}
    return " AND ".join(sorted(terms))


def texts_of(name: str, version: str, licence: str, folder: Path) -> list[tuple[str, str]]:
    """The licence texts of a crate. None is an error, and so is a row of `BARE` that does not fit the crate."""
    taken = BARE.get(name)
    if taken is None:
        return texts_in(folder, f"{name} {version}")
    if files_in(folder):
        sys.exit(f"release: {name} carries its licence now; take it out of BARE")
    if not accepted(licence, {taken}):
        sys.exit(f"release: {name} is under {licence}, which leaves no choice of {taken}; mend BARE")
    return [(taken, (COMMON / taken).read_text())]


def texts_in(folder: Path, whose: str) -> list[tuple[str, str]]:
    """The licence files of a folder: names and texts. None is an error."""
    texts = files_in(folder)
    if not texts:
        sys.exit(f"release: {whose} has no licence text in {folder}")
    return texts


def files_in(folder: Path) -> list[tuple[str, str]]:
    """The licence files of a folder that are not empty: names and texts."""
    files = sorted(path for path in folder.iterdir() if FILE.match(path.name))
    files = [file for path in files for file in (sorted(path.iterdir()) if path.is_dir() else [path])]
    texts = [(file.name, file.read_text(encoding="utf-8", errors="replace")) for file in files]
    return [(name, text) for name, text in texts if text.strip()]


def check(parts: list[Part]) -> None:
    """Stops at the first part in the program whose licence nobody has accepted."""
    for part in (part for part in parts if part.linked):
        if not accepted(part.licence):
            sys.exit(f"release: {part.name} {part.version} is under {part.licence}, which is not among the ACCEPTED licences")


def accepted(licence: str, among: Iterable[str] = ACCEPTED) -> bool:
    """Can this expression be met with accepted licences alone?"""
    words = {"AND": "and", "OR": "or", "(": "(", ")": ")"}
    # Only brackets, `and`, `or`, `True` and `False` are left to evaluate.
    terms = [words.get(token, str(token in among)) for token in TOKEN.findall(licence)]
    return bool(eval(" ".join(terms)))


def page(parts: list[Part]) -> str:
    """All parts with their licences, then each text once."""
    lines = [
        "Licences of what is in this program, and of what was used to build it.",
        "",
        "In the program:",
        "",
        *(_row(part) for part in parts if part.linked),
        "",
        "Used to build it, and not in it:",
        "",
        *(_row(part) for part in parts if not part.linked),
        "",
        "The GNU C Library is linked into the program. Whoever wants another version of it in its place finds in the",
        "program's sources all that it takes: sim-host/command/release/make links it anew.",
    ]
    # Texts that differ in nothing but white space are one.
    groups: dict[str, tuple[str, list[str]]] = {}
    for part in parts:
        for name, text in part.texts:
            _, whose = groups.setdefault(" ".join(text.split()), (text, []))
            whose.append(f"{part.name} {part.version} ({name})")
    for text, whose in groups.values():
        body = (line.rstrip() for line in text.replace("\f", "\n").strip("\n").splitlines())
        lines += ["", "=" * 78, *whose, "-" * 78, "", *body]
    return "\n".join(lines) + "\n"


def _row(part: Part) -> str:
    return f"  {part.name} {part.version}: {part.licence}"
