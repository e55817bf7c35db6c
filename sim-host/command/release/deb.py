"""The Debian package: layout of deb(5), fields of deb-control(5)."""

import hashlib
import textwrap

from archive import PROGRAM, File, ar, tar_gz
from part import Release

ARCHITECTURE = "amd64"
# Names nobody: `invalid` is reserved for that (RFC 2606).
MAINTAINER = "The twinplate developers <developers@twinplate.invalid>"


def file_name(release: Release) -> str:
    """As Debian names it."""
    return f"{release.name}_{release.version}_{ARCHITECTURE}.deb"


def deb(release: Release) -> bytes:
    """The package. It depends on nothing: the file is static."""
    name = release.name
    files = [
        File(f"usr/bin/{name}", release.binary, PROGRAM),
        File(f"usr/share/doc/{name}/copyright", release.licences.encode()),
        File(f"usr/share/doc/{name}/{name}.cdx.json", release.bill.encode()),
    ]
    sums = "".join(f"{hashlib.md5(file.data).hexdigest()}  {file.path}\n" for file in files)
    control = [File("control", _control(release, files).encode()), File("md5sums", sums.encode())]
    members = [
        ("debian-binary", b"2.0\n"),
        ("control.tar.gz", tar_gz(control, release.epoch)),
        ("data.tar.gz", tar_gz(files, release.epoch)),
    ]
    return ar(members, release.epoch)


def _control(release: Release, files: list[File]) -> str:
    # In KiB, each file by itself rounded up.
    size = sum(-(-len(file.data) // 1024) for file in files)
    paragraphs = [
        "\n".join(textwrap.wrap(paragraph, 78, initial_indent=" ", subsequent_indent=" "))
        for paragraph in release.description
    ]
    return (
        f"Package: {release.name}\n"
        f"Version: {release.version}\n"
        f"Architecture: {ARCHITECTURE}\n"
        f"Maintainer: {MAINTAINER}\n"
        f"Installed-Size: {size}\n"
        "Section: science\n"
        "Priority: optional\n"
        f"Description: {release.summary.rstrip('.')}\n" + "\n .\n".join(paragraphs) + "\n"
    )
