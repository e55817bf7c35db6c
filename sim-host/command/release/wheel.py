"""The Python wheel: a binary distribution that carries the program as a script; core metadata 2.4, tags for any Linux."""

import base64
import hashlib

from archive import PROGRAM, File, zipped
from part import Release

# The file asks for no C library, so it runs with either kind; the kernel it needs is older than both tags.
PLATFORMS = ("manylinux_2_17_x86_64", "musllinux_1_1_x86_64")


def file_name(release: Release) -> str:
    """As pip expects it."""
    return f"{release.name}-{release.version}-py3-none-{'.'.join(PLATFORMS)}.whl"


def wheel(release: Release) -> bytes:
    """The wheel."""
    stem = f"{release.name}-{release.version}"
    info = f"{stem}.dist-info"
    files = [
        File(f"{stem}.data/scripts/{release.name}", release.binary, PROGRAM),
        File(f"{info}/METADATA", _metadata(release).encode()),
        File(f"{info}/WHEEL", _tags().encode()),
        File(f"{info}/licenses/LICENCES.txt", release.licences.encode()),
        File(f"{info}/sboms/{release.name}.cdx.json", release.bill.encode()),
    ]
    rows = [f"{file.path},sha256={_digest(file.data)},{len(file.data)}\n" for file in files]
    record = "".join(rows) + f"{info}/RECORD,,\n"
    return zipped([*files, File(f"{info}/RECORD", record.encode())], release.epoch)


def _digest(data: bytes) -> str:
    """URL-safe base64 without padding."""
    return base64.urlsafe_b64encode(hashlib.sha256(data).digest()).rstrip(b"=").decode()


def _metadata(release: Release) -> str:
    head = (
        "Metadata-Version: 2.4\n"
        f"Name: {release.name}\n"
        f"Version: {release.version}\n"
        f"Summary: {release.summary}\n"
        f"License-Expression: {release.contained}\n"
        "License-File: LICENCES.txt\n"
        "Description-Content-Type: text/plain\n"
    )
    return head + "\n" + "\n\n".join(release.description) + "\n"


def _tags() -> str:
    tags = "".join(f"Tag: py3-none-{platform}\n" for platform in PLATFORMS)
    return "Wheel-Version: 1.0\nGenerator: twinplate-release\nRoot-Is-Purelib: false\n" + tags
