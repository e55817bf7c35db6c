"""What no lock file names and is in the program all the same: code inside a crate, and what the compiler links in."""

import html.parser
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

from build import PACKAGE, ROOT, Built
from licences import COMMON
from part import Part

# Where Debian keeps the licences of its packages.
DEBIAN = Path("/usr/share/doc")


def all_carried(crates: dict[str, Part], built: Built) -> Iterator[tuple[Part, Part]]:
    """Pairs of the part that carries it, and what it carries. `crates` are the compiled ones by their ids."""
    folders = {identity: Path(built.packages[identity]["manifest_path"]).parent for identity in crates}

    def named(name: str) -> str:
        found = [identity for identity in crates if built.packages[identity]["name"] == name]
        if len(found) != 1:
            sys.exit(f"release: expected one crate {name}, found {len(found)}; mend carried.py")
        return found[0]

    sqlite = named("libsqlite3-sys")
    yield crates[sqlite], _sqlite(folders[sqlite])
    assets = _only(ROOT / "sim-host", "**/assets/uplot.js").parent
    # The innermost crate that holds the folder.
    owner = max((i for i in crates if assets.is_relative_to(folders[i])), key=lambda i: len(folders[i].parts))
    for part in (_uplot(assets), _fluent(assets)):
        yield crates[owner], part
    for part in (_standard_library(), _c_library(), _compiler_support()):
        yield crates[named(PACKAGE)], part


def _sqlite(crate: Path) -> Part:
    header = (crate / "sqlite3/sqlite3.h").read_text()
    version = _match(r'^#define SQLITE_VERSION\s+"([0-9.]+)"', header, "sqlite3.h")
    # Its first comment, which stands in place of a licence.
    blessing = header.split("\n****", 1)[0]
    return Part("sqlite", version, "blessing", [("sqlite3.h", blessing)], purl=f"pkg:generic/sqlite@{version}")


def _uplot(assets: Path) -> Part:
    version = _match(r"uPlot \(v([0-9.]+)\)", (assets / "uplot.js").read_text(), "uplot.js")
    text = _read(assets / "uplot-licence.txt", "uPlot")
    return Part("uplot", version, "MIT", [("LICENSE", text)], purl=f"pkg:npm/uplot@{version}")


def _fluent(assets: Path) -> Part:
    version = _match(r"\A/\*\* @fluent/bundle@([0-9.]+) \*/", (assets / "fluent.js").read_text(), "fluent.js")
    text = _read(assets / "fluent-licence.txt", "@fluent/bundle")
    purl = f"pkg:npm/%40fluent/bundle@{version}"
    return Part("fluent-bundle", version, "Apache-2.0", [("LICENSE", text)], purl=purl)


def _standard_library() -> Part:
    version = _ask("rustc", "--version").split()[1]
    page = Path(_ask("rustc", "--print", "sysroot")) / "share/doc/rust/COPYRIGHT-library.html"
    reader = _Text()
    reader.feed(_read(page, "the Rust standard library"))
    text = "".join(reader.pieces)
    # The code, and the tables of characters in it; what the page names besides is for other systems.
    return Part("rust-std", version, "(MIT OR Apache-2.0) AND Unicode-3.0", [(page.name, text)])


def _c_library() -> Part:
    archive = Path(_ask("cc", "-print-file-name=libc.a"))
    banner = rb"GNU C Library \(([^)]+)\) stable release version ([0-9.]+)\."
    found = re.search(banner, archive.read_bytes()) if archive.is_absolute() else None
    if found is None:
        sys.exit(f"release: {archive} is no GNU C library to link in; install the package libc6-dev")
    build = found[1].decode().split()[-1]
    texts = _debian("libc6-dev", "LGPL-2.1")
    return Part("glibc", build, "LGPL-2.1-or-later", texts, purl=f"pkg:generic/glibc@{quote(build)}")


def _compiler_support() -> Part:
    version = _ask("cc", "-dumpfullversion")
    texts = _debian(f"libgcc-{version.split('.')[0]}-dev", "GPL-3")
    licence = "GPL-3.0-or-later WITH GCC-exception-3.1"
    return Part("libgcc", version, licence, texts, purl=f"pkg:generic/libgcc@{version}")


def _debian(package: str, common: str) -> list[tuple[str, str]]:
    """What Debian says of a package's licence, and the licence that it refers to."""
    return [(file.name, _read(file, package)) for file in (DEBIAN / package / "copyright", COMMON / common)]


def _read(file: Path, whose: str) -> str:
    try:
        return file.read_text(encoding="utf-8", errors="replace")
    except OSError as error:
        sys.exit(f"release: no licence text of {whose}: {error}; a release is made on Debian")


def _only(folder: Path, pattern: str) -> Path:
    found = sorted(folder.glob(pattern))
    if len(found) != 1:
        sys.exit(f"release: expected one {pattern} in {folder}, found {len(found)}")
    return found[0]


def _match(pattern: str, text: str, file: str) -> str:
    found = re.search(pattern, text, re.MULTILINE)
    if found is None:
        sys.exit(f"release: {file} does not tell its version; mend carried.py")
    return found[1]


def _ask(*command: str) -> str:
    try:
        return subprocess.run(command, capture_output=True, text=True, check=True).stdout.strip()
    except (OSError, subprocess.CalledProcessError) as error:
        sys.exit(f"release: {' '.join(command)}: {error}")


class _Text(html.parser.HTMLParser):
    """The text of a page, without its style."""

    def __init__(self) -> None:
        super().__init__()
        self.pieces: list[str] = []
        self.hidden = False

    def handle_starttag(self, tag: str, attrs: list) -> None:
        self.hidden = tag in ("style", "script")

    def handle_endtag(self, tag: str) -> None:
        self.hidden = False

    def handle_data(self, data: str) -> None:
        if not self.hidden:
            self.pieces.append(data)
