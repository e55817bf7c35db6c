"""Archives that depend on nothing but their content: order given, one date, root's, fixed modes."""

import gzip
import io
import tarfile
import time
import zipfile
from dataclasses import dataclass

# A program, and anything else.
PROGRAM, PLAIN = 0o755, 0o644


@dataclass
class File:
    """A file to be packed."""

    # Relative, with strokes.
    path: str
    data: bytes
    mode: int = PLAIN


def tar_gz(files: list[File], epoch: int) -> bytes:
    """A compressed tar with the folders of its files, as `./path`."""
    folders = sorted({folder for file in files for folder in _above(file.path)})
    out = io.BytesIO()
    with tarfile.open(fileobj=out, mode="w", format=tarfile.GNU_FORMAT) as tar:
        for folder in ["", *folders]:
            head = _head(f"./{folder}", PROGRAM, epoch)
            head.type = tarfile.DIRTYPE
            tar.addfile(head)
        for file in files:
            head = _head(f"./{file.path}", file.mode, epoch)
            head.size = len(file.data)
            tar.addfile(head, io.BytesIO(file.data))
    return gzip.compress(out.getvalue(), mtime=0)


def _above(path: str) -> list[str]:
    """The folders above a path, outermost first."""
    names = path.split("/")[:-1]
    return ["/".join(names[: count + 1]) for count in range(len(names))]


def _head(path: str, mode: int, epoch: int) -> tarfile.TarInfo:
    head = tarfile.TarInfo(path)
    head.mode, head.mtime = mode, epoch
    head.uname = head.gname = "root"
    return head


def ar(members: list[tuple[str, bytes]], epoch: int) -> bytes:
    """A common archive, as Unix's `ar` makes it; names of at most 15 bytes."""
    pieces = [b"!<arch>\n"]
    for name, data in members:
        # Name, date, owner, group, mode, size, end of head; content fills up to an even length.
        pieces.append(f"{name:<16}{epoch:<12}{0:<6}{0:<6}{'100644':<8}{len(data):<10}`\n".encode())
        pieces.append(data + b"\n" * (len(data) % 2))
    return b"".join(pieces)


def zipped(files: list[File], epoch: int) -> bytes:
    """A zip with Unix modes."""
    # Zip knows no year before 1980.
    date = max(time.gmtime(epoch)[:6], (1980, 1, 1, 0, 0, 0))
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for file in files:
            head = zipfile.ZipInfo(file.path, date)
            # Unix made it; a regular file.
            head.create_system = 3
            head.external_attr = (0o100000 | file.mode) << 16
            head.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(head, file.data)
    return out.getvalue()
