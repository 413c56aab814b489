"""A PDF's small objects packed into compressed streams (ISO 32000-1, 7.5.7 and 7.5.8).

The typesetter writes each cell of a tagged table as an object of its own, in plain text: half of a sheet.
Pages, pictures and fonts are streams already and stay as they are.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator

_IN_ONE = 400
"""Objects in a stream; a reader that wants one unpacks them all. Our choice."""
_START = re.compile(rb"startxref\s+(\d+)\s+%%EOF\s*$")
_HEAD = re.compile(rb"(\d+) 0 obj\s*")
_SIZE = re.compile(rb"/Size\s+\d+")

Entry = tuple[int, int, int]
"""Of an object: 1, where it begins in the file, 0; or 2, the stream it is in, its place there."""


def packed(pdf: bytes) -> bytes:
    """Give the same document, with all that is no stream packed into streams.

    :raises ValueError: a file without a table of its objects' places, or with one that doesn't hold
    """
    start = _START.search(pdf)
    if start is None or not pdf[(table := int(start[1])) :].startswith(b"xref"):
        raise ValueError("the document has no table of where its objects begin")
    places = sorted(_places(pdf[table:]))
    trailer = pdf[pdf.index(b"trailer", table) + len(b"trailer") : start.start()].strip()
    made = bytearray(pdf[: places[0][0]])
    entries: dict[int, Entry] = {}
    small: list[tuple[int, bytes]] = []
    for (at, number), (end, _) in zip(places, [*places[1:], (table, 0)], strict=True):
        whole = pdf[at:end].strip()
        head = _HEAD.match(whole)
        if head is None or int(head[1]) != number or not whole.endswith(b"endobj"):
            raise ValueError(f"object {number} doesn't stand where the document says")
        body = whole[head.end() : -len(b"endobj")].strip()
        if body.endswith(b"endstream"):
            entries[number] = (1, len(made), 0)
            made += whole + b"\n"
        else:
            small.append((number, body))
    number = max(number for _, number in places) + 1
    for first in range(0, len(small), _IN_ONE):
        group = small[first : first + _IN_ONE]
        entries[number] = (1, len(made), 0)
        entries |= {one: (2, number, index) for index, (one, _) in enumerate(group)}
        made += _object_stream(number, [(one, body) for one, body in group])
        number += 1
    entries[number] = (1, len(made), 0)
    return bytes(made) + _table(number, entries, trailer, len(made))


def _places(table: bytes) -> Iterator[tuple[int, int]]:
    """Give where each object in use begins, and its number."""
    lines = iter(table.split(b"trailer", 1)[0].split(b"\n")[1:])
    for line in lines:
        if not line.strip():
            continue
        first, count = map(int, line.split())
        for number in range(first, first + count):
            at, _, kind = next(lines).split()
            if kind == b"n":
                yield int(at), number


def _object_stream(number: int, objects: list[tuple[int, bytes]]) -> bytes:
    index, data = bytearray(), bytearray()
    for one, body in objects:
        index += b"%d %d " % (one, len(data))
        data += body + b"\n"
    keys = b"/Type/ObjStm/N %d/First %d" % (len(objects), len(index))
    return _stream(number, keys, bytes(index + data))


def _table(number: int, entries: dict[int, Entry], trailer: bytes, at: int) -> bytes:
    """Give the table of all objects, itself the last of them, and where it begins."""
    rows = b"".join(
        kind.to_bytes(1, "big") + where.to_bytes(4, "big") + index.to_bytes(2, "big")
        for kind, where, index in (entries.get(one, (0, 0, 0)) for one in range(number + 1))
    )
    inner = _SIZE.sub(b"/Size %d" % (number + 1), trailer.removeprefix(b"<<").removesuffix(b">>"))
    said = _stream(number, b"/Type/XRef/W[1 4 2]" + inner.strip(), rows)
    return said + b"startxref\n%d\n%%%%EOF\n" % at


def _stream(number: int, keys: bytes, data: bytes) -> bytes:
    small = zlib.compress(data, 9)
    head = b"%d 0 obj\n<<%s/Filter/FlateDecode/Length %d>>\nstream\n" % (number, keys, len(small))
    return head + small + b"\nendstream\nendobj\n"
