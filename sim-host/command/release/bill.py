"""The bill of materials: CycloneDX 1.6 (ECMA-424) as JSON."""

import datetime
import hashlib
import json
import uuid

from part import Part, Release

SPEC = "1.6"
# Of the serial numbers, which are names in it: the same parts, the same number.
SPACE = uuid.uuid5(uuid.NAMESPACE_DNS, "bill.twinplate.invalid")


def bill(release: Release, parts: list[Part]) -> str:
    """The bill as text. The release is the one component that all others belong to."""
    [root] = [part for part in parts if part.name == release.name]
    date = datetime.datetime.fromtimestamp(release.epoch, datetime.UTC).isoformat().replace("+00:00", "Z")
    whole = _component(root) | {
        "type": "application",
        "hashes": [_sha256(hashlib.sha256(release.binary).hexdigest())],
    }
    content = {
        "metadata": {"timestamp": date, "lifecycles": [{"phase": "build"}], "component": whole},
        "components": [_component(part) for part in parts if part is not root],
        "dependencies": [{"ref": part.ref, "dependsOn": part.depends} for part in parts],
    }
    serial = uuid.uuid5(SPACE, json.dumps(content))
    head = {"bomFormat": "CycloneDX", "specVersion": SPEC, "serialNumber": serial.urn, "version": 1}
    return json.dumps(head | content, indent=1, ensure_ascii=False) + "\n"


def _component(part: Part) -> dict:
    component = {
        "type": "library",
        "bom-ref": part.ref,
        "name": part.name,
        "version": part.version,
        # What only helped to build it is not there when it runs.
        "scope": "required" if part.linked else "excluded",
        "licenses": [{"expression": part.licence}],
    }
    if part.sha256:
        component["hashes"] = [_sha256(part.sha256)]
    if part.purl:
        component["purl"] = part.purl
    return component


def _sha256(content: str) -> dict:
    return {"alg": "SHA-256", "content": content}
