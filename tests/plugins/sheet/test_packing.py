"""A packed document read by pdfminer and poppler: as it was, and smaller."""

from __future__ import annotations

import io
import subprocess

import pdfplumber
import pytest
from pdfminer.pdftypes import PDFObjRef

from prep import typeset
from prep_sheet.packing import packed

_ROWS = 150  # of four cells: more objects than one stream takes
_SOURCE = f"""
#set document(title: "Table", date: none)
#set text(font: "DejaVu Sans", lang: "en")
= Table
#table(columns: 4, table.header([a], [b], [c], [d]), ..range({_ROWS * 4}).map(n => str(n)))
"""


@pytest.fixture(scope="module")
def plain() -> bytes:
    """Give a tagged document as the typesetter writes it."""
    return typeset.compiled(_SOURCE.encode(), {}, typeset.Letters())


def _all(pdf: bytes) -> dict[int, str]:
    """Give every object in use by its number; of a stream, its keys and what it unpacks to."""
    with pdfplumber.open(io.BytesIO(pdf)) as read:
        numbers = {n for xref in read.doc.xrefs for n in xref.get_objids()}
        found = {n: PDFObjRef(read.doc, n).resolve() for n in sorted(numbers)}
        return {
            n: f"{sorted(one.attrs.items(), key=str)} {one.get_data()!r}"
            if hasattr(one, "get_data")
            else str(one)
            for n, one in found.items()
        }


def test_every_object_is_there_as_it_was(plain: bytes) -> None:
    """Same numbers, same values; what is added is streams of objects and their table alone."""
    before, after = _all(plain), _all(packed(plain))
    assert {n: after[n] for n in before} == before
    added = [after[n] for n in after if n not in before]
    assert len(added) == 3
    assert all("ObjStm" in one or "XRef" in one for one in added)


def test_it_is_smaller_and_the_same_each_time(plain: bytes) -> None:
    """The cells, each some 200 bytes in plain text, take few bytes."""
    made = packed(plain)
    assert len(made) < 0.4 * len(plain)
    assert made == packed(plain)


def test_poppler_reads_the_same_words_and_tags(plain: bytes) -> None:
    """A reader of another house, which finds objects by the table alone."""
    for command in (["pdftotext", "-", "-"], ["pdfinfo", "-struct-text", "-"]):
        told = [
            subprocess.run(command, input=pdf, check=True, capture_output=True).stdout
            for pdf in (plain, packed(plain))
        ]
        assert told[0] == told[1]
        assert str(_ROWS * 4 - 1).encode() in told[0]


@pytest.mark.parametrize(
    ("of", "to", "said"),
    [
        (b"startxref", b"startxxxx", "no table"),
        (b"\nxref\n", b"\nxxxx\n", "no table"),
        (b"\n7 0 obj", b"\n8 0 obj", "object 7 doesn't stand"),
    ],
)
def test_a_table_that_does_not_hold_is_refused(
    plain: bytes, of: bytes, to: bytes, said: str
) -> None:
    """Never a document that readers can't open."""
    assert plain.count(of) == 1
    with pytest.raises(ValueError, match=said):
        packed(plain.replace(of, to))
