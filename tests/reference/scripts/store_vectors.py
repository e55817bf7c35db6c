"""The test vectors of docs/store.md, from its byte tables alone: no line of the program, CRC-32 by zlib.

Prints the two tables; they stand on the page, where a test of the core reads and tries them.
"""

import struct
import zlib


def varint(n: int) -> bytes:
    """Seven bits a byte, the least first; the top bit says that more follow."""
    out = bytearray()
    while n >= 0x80:
        out.append(n & 0x7F | 0x80)
        n >>= 7
    return bytes(out + bytes([n]))


def signed(n: int) -> bytes:
    return varint(2 * n if n >= 0 else -2 * n - 1)


def f32(*values: float) -> bytes:
    return b"".join(struct.pack("<f", value) for value in values)


def text(s: str) -> bytes:
    return varint(len(s.encode())) + s.encode()


def turned(data: bytes) -> bytes:
    return bytes(byte ^ 0xFF for byte in data)


def bank(generation: int, own: int, other: int, form: int = 1, magic: bytes = b"LAPS") -> bytes:
    head = magic + struct.pack("<IIII", form, generation, own, other)
    total = struct.pack("<I", zlib.crc32(head))
    return head + total + turned(struct.pack("<I", generation) + total)


def head(kind: int, slot: int, payload: bytes, length: int | None = None) -> bytes:
    first = struct.pack("<BBH", kind, slot, len(payload) if length is None else length)
    return first + struct.pack("<I", zlib.crc32(first + payload))


def record(kind: int, slot: int, payload: bytes, padding: int = 0xFF, length: int | None = None) -> bytes:
    word = head(kind, slot, payload, length)
    return word + payload + bytes([padding] * (-len(payload) % 8)) + turned(word)


def recipe(number: int, schema: int = 2, verdict: int = 1) -> bytes:
    wire = varint(schema) + text(f"small-{number}") + varint(0x1234_5678) + varint(0x9ABC_DEF0) + varint(0) + varint(15)
    wire += f32(550.0) + varint(20_000) + f32(200.0) + varint(0) + f32(0.0) + b"\0"
    step = f32(200.0, 300.0, 50.0) + f32(10.0, 10.0, -10.0, 10.0) + f32(200.0) + varint(0) + varint(5_000) + varint(60_000)
    wire += varint(1) + step
    return wire + varint(verdict) + text("0.1.0") + varint(0x0123_4567_89AB_CDEF) + varint(zlib.crc32(wire))


def progress(step: int, time: int, schema: int = 1) -> bytes:
    return varint(schema) + varint(7) + b"\1\3" + varint(0xDEAD_BEEF) + varint(1) + varint(7) + bytes([step]) + varint(time) + f32(0.0)


def params() -> bytes:
    out = varint(1) + varint(0x1234_5678) + f32(0.000125) + signed(8_300_000)
    out += f32(569.0, 20.0, 0.02, 0.0165, 40.0, 60.0, 825.0) + varint(20) + f32(0.12, 4.0, 0.0015, 0.12, 1.0, 1.0, 15.0)
    out += f32(1.05, 12.0, 150.0, 150.0, 300.0, 24.0, 4.0, 900.0, 8.0, 0.03, 100.0) + f32(150_000.0, 8_000.0, 200.0)
    out += varint(60_000) + varint(61_000) + f32(*[60.0] * 8) + b"\0\0\0\1" + f32(6.0, 2.0, 5.0, 60.0, 400.0)
    out += varint(5_000) + f32(35.0, 45.0) + b"\1" + varint(20_000) + varint(40_000) + varint(600_000) + varint(62_000)
    return out


def changed(data: bytes, at: int, bit: int = 1) -> bytes:
    return data[:at] + bytes([data[at] ^ bit]) + data[at + 1 :]


def row(what: str, *cells: bytes | str) -> None:
    shown = [f"`{cell.hex()}`" if isinstance(cell, bytes) else cell for cell in cells]
    print("| " + " | ".join([what, *(cell if cell != "``" else "" for cell in shown)]) + " |")


def banks() -> None:
    print("| what | lower bank | upper bank | verdict | reads |\n|---|---|---|---|---|")
    one, two = record(3, 0, progress(1, 61_000)), record(3, 0, progress(2, 3_000))
    first, second = "progress: step 1, 61000 ms", "progress: step 2, 3000 ms"
    low, none = bank(1, 1, 0) + one, b""
    row("one bank", low, none, "accept", first)
    row("the upper bank is newer", low, bank(2, 2, 1) + two, "accept", f"{second}; erases 1 and 2")
    row("the lower bank is newer", bank(3, 2, 2) + one, bank(2, 2, 1) + two, "accept", f"{first}; erases 2 and 2")
    row("the count has wrapped", bank(0xFFFF_FFFF, 1, 0) + one, bank(0, 2, 1) + two, "accept", f"{second}; erases 1 and 2")
    row("a newer bank without its commit word does not count", low, bank(2, 5, 1)[:24], "accept", f"{first}; erases 1 and 5")
    row("… with a bit of it missing", low, changed(bank(2, 5, 1), 31) + two, "accept", f"{first}; erases 1 and 5")
    row("a newer bank with a wrong checksum does not count", low, changed(bank(2, 5, 1), 12) + two, "accept", first)
    row("no commit word", low[:24], none, "reject", "nothing")
    row("wrong checksum", changed(low, 8), none, "reject", "nothing")
    row("wrong first bytes", bank(1, 1, 0, magic=b"LAPT") + one, none, "reject", "nothing")
    row("another format", bank(1, 1, 0, form=2) + one, none, "reject", "store-of-another-version")
    row("the newer bank of another format", low, bank(2, 1, 1, form=2) + two, "reject", "store-of-another-version")


def records() -> None:
    print("| what | bytes | verdict | reads |\n|---|---|---|---|")
    told, after = record(3, 0, progress(2, 61_000)), record(3, 0, progress(3, 0))
    second = "progress: step 2, 61000 ms"
    small = record(1, 3, recipe(3))
    row("progress", told, "accept", second)
    row("a recipe", small, "accept", "slot 3: small-3, pass")
    row("the parameters", record(2, 0, params()), "accept", "parameters: 569 N, settle 62000 ms")
    row("the later of two", told + after, "accept", "progress: step 3, 0 ms")
    row("a slot emptied", small + record(1, 3, b"") + told, "accept", second)
    row("the last slot", record(1, 15, recipe(15, verdict=4)), "accept", "slot 15: small-15, forced")
    row("padding of any kind", record(3, 0, progress(2, 61_000), padding=0), "accept", second)
    row("a verdict about another recipe", record(1, 3, recipe(3)[:-1] + b"\1"), "accept", "slot 3: small-3, unchecked")
    row("a bit of the payload turned", changed(told, 10), "reject", "progress: record-damaged")
    row("… of the later of two: the first is not taken for it", told + changed(after, 10), "reject", "progress: record-damaged")
    row("no commit word", told[:-8], "reject", "nothing; sealed")
    row("a bit of the commit word missing", changed(told, len(told) - 1), "reject", "nothing; sealed")
    row("cut in the payload, behind a whole record", told + after[:13], "reject", f"{second}; sealed")
    row("cut in the header", told + after[:2], "reject", f"{second}; sealed")
    row("an unknown kind", record(4, 0, progress(2, 61_000)), "reject", "nothing; sealed")
    row("no such slot", record(1, 16, recipe(3)), "reject", "nothing; sealed")
    row("longer than a payload may be", head(3, 0, bytes(881)), "reject", "nothing; sealed")
    row("a whole record behind one that is not", told[:-8] + b"\xff" * 8 + after, "reject", "progress: step 3, 0 ms; sealed; damaged")
    row("a whole record behind a gap", b"\xff" * 8 + told, "reject", f"{second}; sealed; damaged")
    row("bytes behind the value", record(3, 0, progress(2, 61_000) + b"\0"), "reject", "progress: record-damaged")
    row("a value cut short", record(3, 0, progress(2, 61_000)[:-1]), "reject", "progress: record-damaged")
    row("no value of the kind", record(3, 0, progress(2, 61_000).replace(b"\1\3", b"\2\3")), "reject", "progress: record-damaged")
    row("another schema", record(3, 0, progress(2, 61_000, schema=2)), "reject", "progress: record-of-another-version")


banks()
print()
records()
