#!/usr/bin/env python3
"""The other end of the link, in one file and with the standard library alone.

It knows what docs/link.md says and nothing else: the layouts of messages, the numbers and the words are read from the tables of that page.

    client.py rows                      tries every row with bytes on the page
    client.py cycle HOST:PORT --slot N  recalls a recipe, waits for arming, starts, follows the cycle to its end
"""

import argparse
import math
import pathlib
import re
import socket
import struct
import sys
import time
import zlib

PAGE = pathlib.Path(__file__).resolve().parents[2] / "docs" / "link.md"


# ---- the page


def hexadecimal(text):
    """`11 22 01..FE` as bytes."""
    data = bytearray()
    for piece in text.replace("`", "").split():
        first, _, last = piece.partition("..")
        data += bytes(range(int(first, 16), int(last or first, 16) + 1))
    return bytes(data)


class Page:
    """The tables that a marker names, as lists of rows of cells."""

    def __init__(self, path=PAGE):
        self.tables = {}
        name, seen = None, 0
        for line in path.read_text(encoding="utf-8").splitlines():
            marker = re.fullmatch(r"<!-- table: (\S+) -->", line)
            if marker:
                name, seen = marker.group(1), 0
            elif name and line.startswith("|"):
                seen += 1
                if seen > 2:
                    cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
                    self.tables.setdefault(name, []).append(cells)
            else:
                name = None
        self.structures = {}
        for structure, field, kind, *_ in self.tables["layouts"]:
            self.structures.setdefault(structure.strip("`"), []).append((field.strip("`"), kind.strip("`")))
        self.choices = {table: self.choice(table) for table in ("ask", "answer", "end")}
        self.numbers = {
            of.strip("`"): {word: int(number) for number, word in re.findall(r"(\d+) `([^`]+)`", numbers)}
            for of, numbers in self.tables["numbers"]
        }

    def choice(self, table):
        """Number, name and fields of each member."""
        return [
            (int(number), name.strip("`"), [tuple(f.split(": ")) for f in re.findall(r"`([^`]+: [^`]+)`", fields)])
            for number, name, fields, *_ in self.tables[table]
        ]

    def word(self, of, number):
        return next((word for word, n in self.numbers[of].items() if n == number), f"{of} {number}")


# ---- values


class Wrong(Exception):
    """Bytes that are no message."""


BITS = {"u16": 16, "u32": 32, "u64": 64, "i16": 16, "i32": 32}


class Codec:
    def __init__(self, page):
        self.page = page

    def encode(self, kind, value):
        head, *rest = kind.split()
        if head == "u8":
            return bytes([value])
        if head in BITS:
            if head[0] == "i":
                value = 2 * value if value >= 0 else -2 * value - 1
            return self.varint(value)
        if head == "f32":
            return struct.pack("<f", value)
        if head == "bool":
            return bytes([value])
        if head == "text":
            data = value.encode()
            return self.varint(len(data)) + data
        if head == "option":
            return b"\0" if value is None else b"\1" + self.encode(" ".join(rest), value)
        if head in ("list", "array"):
            count = b"" if head == "array" else self.varint(len(value))
            return count + b"".join(self.encode(" ".join(rest[1:]), each) for each in value)
        if head in self.page.structures:
            return b"".join(self.encode(k, value[field]) for field, k in self.page.structures[head])
        if head in self.page.choices:
            name, fields = value
            for number, member, kinds in self.page.choices[head]:
                if member == name:
                    return self.varint(number) + b"".join(self.encode(k, fields[f]) for f, k in kinds)
            raise KeyError(name)
        return self.varint(self.page.numbers[head][value])

    @staticmethod
    def varint(value):
        out = bytearray()
        while True:
            if value < 128:
                return bytes(out + bytes([value]))
            out.append(value % 128 + 128)
            value //= 128

    def whole(self, kind, data):
        value, at = self.decode(kind, data, 0)
        if at != len(data):
            raise Wrong("bytes are left over")
        return value

    def decode(self, kind, data, at):
        head, *rest = kind.split()
        if head == "u8":
            return self.bytes(data, at, 1)[0], at + 1
        if head in BITS:
            value, at = self.read_varint(data, at, BITS[head])
            if head[0] == "i":
                value = value // 2 if value % 2 == 0 else -(value + 1) // 2
            return value, at
        if head == "f32":
            return struct.unpack("<f", self.bytes(data, at, 4))[0], at + 4
        if head in ("bool", "option"):
            flag = self.bytes(data, at, 1)[0]
            if flag > 1:
                raise Wrong("neither 0 nor 1")
            if head == "bool":
                return flag == 1, at + 1
            return (None, at + 1) if flag == 0 else self.decode(" ".join(rest), data, at + 1)
        if head == "text":
            count, at = self.read_varint(data, at, 64)
            if count > int(rest[0]):
                raise Wrong("a text too long")
            return self.bytes(data, at, count).decode(), at + count
        if head in ("list", "array"):
            count = int(rest[0])
            if head == "list":
                count, at = self.read_varint(data, at, 64)
                if count > int(rest[0]):
                    raise Wrong("a list too long")
            values = []
            for _ in range(count):
                value, at = self.decode(" ".join(rest[1:]), data, at)
                values.append(value)
            return values, at
        if head in self.page.structures:
            return self.fields(self.page.structures[head], data, at)
        number, at = self.read_varint(data, at, 32)
        if head in self.page.choices:
            for n, name, kinds in self.page.choices[head]:
                if n == number:
                    fields, at = self.fields(kinds, data, at)
                    return (name, fields), at
        for word, n in self.page.numbers.get(head, {}).items():
            if n == number:
                return word, at
        raise Wrong(f"no {head} has the number {number}")

    def fields(self, kinds, data, at):
        values = {}
        for field, kind in kinds:
            values[field], at = self.decode(kind, data, at)
        return values, at

    @staticmethod
    def bytes(data, at, count):
        if at + count > len(data):
            raise Wrong("it ends too soon")
        return data[at : at + count]

    def read_varint(self, data, at, bits):
        value = 0
        for place in range(math.ceil(bits / 7)):
            byte = self.bytes(data, at, 1)[0]
            value += (byte % 128) << (7 * place)
            at += 1
            if byte < 128:
                if value >> bits:
                    raise Wrong("a number too large")
                return value, at
        raise Wrong("a number too long")


# ---- frames


def stuff(data):
    out = bytearray()
    pieces = data.split(b"\0")
    for last, piece in zip([False] * (len(pieces) - 1) + [True], pieces):
        while len(piece) >= 254:
            out += b"\xff" + piece[:254]
            piece = piece[254:]
            if last and not piece:
                return bytes(out)
        out += bytes([len(piece) + 1]) + piece
    return bytes(out)


def unstuff(data):
    out, at = bytearray(), 0
    while at < len(data):
        code = data[at]
        piece = data[at + 1 : at + code]
        if len(piece) != code - 1:
            raise Wrong("a piece is cut off")
        out += piece
        at += code
        if code != 0xFF and at < len(data):
            out.append(0)
    return bytes(out)


def frame(body):
    return b"\0" + stuff(body + zlib.crc32(body).to_bytes(4, "little")) + b"\0"


def unframe(data):
    """The body of what stood between two delimiters."""
    plain = unstuff(data)
    body, trailer = plain[:-4], plain[-4:]
    if not body or zlib.crc32(body) != int.from_bytes(trailer, "little"):
        raise Wrong("the checksum does not fit")
    return body


# ---- the link


class Refused(Exception):
    def __init__(self, what, reason, detail):
        super().__init__(f"{what} was refused: {reason} ({detail})")
        self.reason, self.detail = reason, detail


class Link:
    """One session over a socket."""

    def __init__(self, page, address, nonce=None):
        host, _, port = address.rpartition(":")
        self.page, self.codec = page, Codec(page)
        self.socket = socket.create_connection((host, int(port)), timeout=5)
        self.socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self.heard, self.telemetry = b"", []
        self.session = self.number = 0
        nonce = time.time_ns() % 2**32 if nonce is None else nonce
        self.welcome = self.ask("hello", version=1, nonce=nonce)[1]
        self.session = self.welcome["session"]

    def ask(self, name, **fields):
        """Asks once, sends again what is not answered; gives the answer's name and fields."""
        if name != "hello":
            self.number += 1
        body = self.codec.encode(
            "request", {"role": 0x51, "session": self.session, "number": self.number, "ask": (name, fields)}
        )
        # A controller that is held up for as long is taken for gone.
        for _ in range(30):
            self.socket.sendall(frame(body))
            answer = self.answer(time.monotonic() + 1)
            if answer is None:
                continue
            kind, told = answer
            if kind == "refused":
                raise Refused(name, self.page.word("reason", told["reason"]), told["detail"])
            return answer
        raise TimeoutError(f"{name} was not answered")

    def answer(self, until):
        while (body := self.next_body(until)) is not None:
            if body[0] == 0x53:
                self.telemetry.append(self.codec.whole("telemetry", body)["report"])
            elif body[0] == 0x52:
                reply = self.codec.whole("reply", body)
                if reply["number"] == self.number and reply["session"] == self.session:
                    return reply["answer"]
        return None

    def next_body(self, until):
        while True:
            while b"\0" in self.heard:
                data, _, self.heard = self.heard.partition(b"\0")
                if data:
                    return unframe(data)
            left = until - time.monotonic()
            if left <= 0:
                return None
            self.socket.settimeout(left)
            try:
                data = self.socket.recv(4096)
            except TimeoutError:
                return None
            if not data:
                raise ConnectionError("the controller closed the line")
            self.heard += data

    def events(self, since):
        """All events from one on, and the number of the next."""
        events = []
        while True:
            told = self.ask("read-events", since=since)[1]
            events += told["events"]
            since = told["next"]
            if not told["events"]:
                return events, since

    def stored(self):
        """All stored recipes: some come at a time, none where no more are stored."""
        stored = []
        while entries := self.ask("list", **{"from": stored[-1]["slot"] + 1 if stored else 1})[1]["entries"]:
            stored += entries
        return stored

    def do(self, command):
        return self.ask("do", command=self.page.numbers["command"][command])


# ---- what is run


def rows(page):
    """Every row with bytes on the page."""
    codec, tried = Codec(page), 0
    for data, stuffed, *_ in page.tables["stuffing"]:
        data, stuffed = hexadecimal(data), hexadecimal(stuffed)
        assert stuff(data) == stuffed, f"{data.hex(' ')}: {stuff(data).hex(' ')}"
        assert unstuff(stuffed) == data, stuffed.hex(" ")
        tried += 1
    for text, checksum, *_ in page.tables["checksum"]:
        assert zlib.crc32(text.strip("`").encode()) == int(checksum.strip("`"), 16)
        tried += 1
    for kind, value, data, accepted in page.tables["values"]:
        kind, data = kind.strip("`"), hexadecimal(data)
        try:
            found = codec.whole(kind, data)
        except Wrong:
            found = None
        wanted = {"": None, "true": True}.get(value, value and float(value) if value != "true" else True)
        assert found == (wanted if accepted == "yes" else None), (kind, value, found)
        if accepted == "yes":
            assert codec.encode(kind, found) == data, (kind, value)
        tried += 1
    for message, fields, data, accepted in page.tables["bodies"]:
        data = hexadecimal(data)
        if accepted == "yes":
            assert body(page, message.strip("`"), fields.strip("`")) == data, (message, fields)
        else:
            try:
                assert codec.whole("request", data)["role"] != 0x51, message
            except Wrong:
                pass
        tried += 1
    for what, data, accepted in page.tables["frames"]:
        pieces, good = [piece for piece in hexadecimal(data).split(b"\0") if piece], 0
        for piece in pieces:
            try:
                unframe(piece)
                good += 1
            except Wrong:
                pass
        assert good == int(accepted), what
        tried += 1
    print(f"{tried} rows")


def body(page, message, fields):
    """The request of a row: `slot=1 recipe=...` are its fields; a value may be a literal of the page's notation."""
    values = dict(re.findall(r"(\w+)=(\S+)", fields))
    number, session = int(values.pop("number")), int(values.pop("session"))
    kinds = next(kinds for _, name, kinds in page.choices["ask"] if name == message)
    given = {}
    for field, kind in kinds:
        given[field] = sample_recipe() if kind == "recipe" else float(values[field]) if kind == "f32" else int(values[field])
    return Codec(page).encode("request", {"role": 0x51, "session": session, "number": number, "ask": (message, given)})


def sample_recipe():
    """The recipe of the rows: the page describes it under its table."""
    step = {
        "load": 265.0,
        "load_limit": 350.0,
        "ramp": 50.0,
        "speeds": [10.0] * 4,
        "flow": 200.0,
        "end": ("time", {"time": 5000}),
        "longest": 60000,
    }
    return {
        "schema": 2,
        "name": "",
        "machine_id": 1,
        "params_hash": 2,
        "process": "loose-abrasive",
        "pieces": 15,
        "contact_height": 550.0,
        "prestart": 20000,
        "prestart_flow": 200.0,
        "rinse": 0,
        "size_lower": 0.0,
        "flatness": None,
        "steps": [step],
    }


def cycle(page, address, slot, patience):
    """A whole cycle from afar, and everything else that can be asked, on the way."""
    link = Link(page, address)
    print(f"machine {link.welcome['machine_id']}, {link.welcome['slots']} slots, session {link.session}")
    stored = link.stored()
    print("stored:", ", ".join(f"{entry['slot']} {entry['name']}" for entry in stored))
    recipe = link.ask("get", slot=slot)[1]["recipe"]
    free = next(n for n in range(1, link.welcome["slots"] + 1) if n not in {entry["slot"] for entry in stored})
    link.ask("put", slot=free, recipe=recipe)
    assert link.ask("get", slot=free)[1]["recipe"] == recipe, "what was put comes back"
    link.ask("erase", slot=free)
    expect("slot-empty", link, "get", slot=free)
    expect("no-such-slot", link, "get", slot=link.welcome["slots"] + 1)
    expect("not-armed", link, "do", command=page.numbers["command"]["start"])
    _, next_event = link.events(link.ask("read-state")[1]["report"]["next_event"])
    until = time.monotonic() + patience
    # The operator resets at the panel after power-up; whoever is remote waits.
    wait(link, until, "rest", lambda report: report["status"]["state"] in ("idle", "complete"))
    link.ask("recall", slot=slot)
    print("recalled; waits for the panel", flush=True)
    wait(link, until, "arming", lambda report: report["armed"])
    if link.ask("read-state")[1]["report"]["status"]["state"] == "complete":
        link.do("reset")
    link.ask("subscribe", every=100)
    link.do("start")
    seen, events = [], []
    while not seen or seen[-1][0] != "complete":
        report = link.ask("read-state")[1]["report"]
        for told in [*link.telemetry, report]:
            place = (told["status"]["state"], told["status"]["phase"])
            if not seen or seen[-1] != place:
                seen.append(place)
                print(f"{told['status']['tick'] / 1000:9.1f} s  {place[0]}: {place[1]}", flush=True)
        followed = len(link.telemetry)
        link.telemetry.clear()
        # The controller keeps the newest few: they are read as they come.
        more, next_event = link.events(next_event)
        events += more
        assert report["status"]["state"] in ("idle", "running", "complete"), report["status"]["state"]
        if time.monotonic() > until:
            raise TimeoutError("the cycle did not end")
        time.sleep(0.02)
    kinds = [page.word("event-kind", event["kind"]) for event in events]
    assert "batch" in kinds, kinds
    assert len(seen) > 8, seen
    print(f"complete; {len(events)} events, {followed} frames of telemetry in the last look")


def expect(reason, link, name, **fields):
    try:
        link.ask(name, **fields)
    except Refused as refused:
        assert refused.reason == reason, refused
        return
    raise AssertionError(f"{name} was taken")


def wait(link, until, what, there):
    while not there(link.ask("read-state")[1]["report"]):
        if time.monotonic() > until:
            raise TimeoutError(f"waited for {what}")
        time.sleep(0.02)


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("what", choices=["rows", "cycle"])
    parser.add_argument("address", nargs="?")
    parser.add_argument("--slot", type=int, default=1)
    parser.add_argument("--patience", type=float, default=120, help="longest time in all, s")
    given = parser.parse_args()
    page = Page()
    if given.what == "rows":
        rows(page)
    else:
        cycle(page, given.address, given.slot, given.patience)


if __name__ == "__main__":
    sys.exit(main())
