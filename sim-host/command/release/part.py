"""What a release is described by."""

from dataclasses import dataclass, field


@dataclass
class Part:
    """One component: a crate, or what came along with one or with the compiler."""

    # Together unique.
    name: str
    version: str
    # SPDX licence expression.
    licence: str
    # Its licence files: name and text.
    texts: list[tuple[str, str]]
    # In the program, or did it only help to build it?
    linked: bool = True
    # Package URL, where it has one; SHA-256 of what was fetched.
    purl: str | None = None
    sha256: str | None = None
    # References of the parts it stands on.
    depends: list[str] = field(default_factory=list)

    @property
    def ref(self) -> str:
        """What other parts call it."""
        return self.purl or f"{self.name}@{self.version}"


@dataclass
class Release:
    """What the packages are made of."""

    name: str
    version: str
    # Licence expressions: of the program's own code, and of all that is in the binary.
    licence: str
    contained: str
    # One line; paragraphs.
    summary: str
    description: list[str]
    # Date, seconds of Unix time.
    epoch: int
    binary: bytes
    # The page with all licences; the bill of materials as JSON, which names the binary.
    licences: str
    bill: str = ""
