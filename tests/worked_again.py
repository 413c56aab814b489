"""Holds what a plugin tells of its figures against the figures themselves."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import pytest

from prep.sections import Caution, CheckList, Drawing, Figures, Paragraph, Section, Table
from prep.testing import reckoned
from prep.worked import Worked, number

SHOWN = 2e-4
"""Share that a figure may be off when worked from values shown to five digits."""


def check(worked: Iterable[Worked], sections: Iterable[Section]) -> list[Worked]:
    """Work every figure again from the values it shows, and find it on the sheet as it is told.

    :param sections: of the same plugin and job, its ``why`` among them
    :return: the figures, at least one
    """
    found, given = list(worked), list(sections)
    assert found
    text = "\n".join(_texts(one for one in given if one.chapter != "why"))
    told = "\n".join(_texts(one for one in given if one.chapter == "why"))
    for one in found:
        where = f"{one.name} {one.of}: {one.with_values}"
        if not one.counted:
            assert reckoned(one) == pytest.approx(one.value, rel=SHOWN, abs=1e-9), where
        said = one.said or f"{number(one.value)} {one.unit}".strip()
        assert said in text, f"{where} isn't on the sheet: {text}"
        assert one.in_words in told, where
        assert one.with_values in told, where
    return found


def _texts(sections: Iterable[Section]) -> Iterator[str]:
    for section in sections:
        for column in section.columns:
            yield from (said for _, said in column.cells)
        for block in section.blocks:
            match block:
                case Paragraph(text) | Caution(text):
                    yield text
                case CheckList(steps):
                    yield from steps
                case Figures(rows):
                    yield from (" ".join(row) for row in rows)
                case Table():
                    yield from (" ".join(row) for row in block.rows)
                    yield block.caption
                case Drawing():
                    yield block.caption
