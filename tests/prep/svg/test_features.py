"""The table of features: complete, and the only way to refuse or note."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import prep.svg
from prep.svg.feature_table import BEGIN, END, table, written_into
from prep.svg.features import FEATURES, Treatment
from prep.svg.report import Report

GUIDE = Path(__file__).parents[3] / "DEVELOPERS.md"
SOURCES = [
    path.read_text(encoding="utf-8")
    for path in Path(prep.svg.__file__).parent.glob("*.py")
    if path.name != "features.py"
]


def test_every_feature_says_what_becomes_of_it() -> None:
    """Notes and refusals say what; refusals say what to do; keys and names are unlike."""
    for key, feature in FEATURES.items():
        assert feature.key == key
        assert feature.names
        if feature.treatment is not Treatment.EXACT:
            assert feature.what
            assert not feature.what.endswith(".")
        assert bool(feature.do) is (feature.treatment is Treatment.REFUSED)
    assert len({feature.names for feature in FEATURES.values()}) == len(FEATURES)


def test_every_refusal_and_note_of_the_table_is_used() -> None:
    """No row of the table promises what the code doesn't do."""
    quoted = set(re.findall(r'"([^"\n]+)"', "\n".join(SOURCES)))
    unused = [
        key
        for key, feature in FEATURES.items()
        if feature.treatment is not Treatment.EXACT and key not in quoted
    ]
    assert unused == []


def test_the_documents_table_is_that_of_the_code() -> None:
    """Where it isn't: python -m prep.svg.feature_table DEVELOPERS.md."""
    text = GUIDE.read_text(encoding="utf-8")
    assert written_into(text) == text
    rows = table().splitlines()[2:]
    assert len(rows) == len(FEATURES)
    for row, feature in zip(rows, FEATURES.values(), strict=True):
        assert f"| {feature.treatment.value} |" in row
        assert feature.do in row


def test_the_table_is_written_between_its_marks() -> None:
    """What stands around stays; a document without marks is told so."""
    old = f"before\n{BEGIN}\nold\n{END}\nafter\n"
    new = written_into(old)
    assert new == f"before\n{BEGIN}\n\n{table()}\n\n{END}\nafter\n"
    assert written_into(new) == new
    with pytest.raises(ValueError, match="must hold the lines"):
        written_into("no marks")


def test_report_refuses_and_notes_only_by_the_table() -> None:
    """A key that isn't refused can't refuse, one that isn't noted can't note."""
    report = Report()
    with pytest.raises(ValueError, match="not refused"):
        report.refuse("script", "script, line 1")
    with pytest.raises(ValueError, match="not noted"):
        report.note("text", "text, line 1")
    with pytest.raises(KeyError):
        report.refuse("nonsense", "text, line 1")


def test_notes_of_one_kind_are_told_together() -> None:
    """Many elements with the same to say share a sentence that names three."""
    report = Report()
    for number in range(6):
        report.note("outside", f"rect, line {number}")
    report.note("outside", "rect, line 0")
    (note,) = report.notes
    assert note.endswith("so with 3 more.")
    assert note.count("line") == 3
