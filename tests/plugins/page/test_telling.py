"""Sections are told in the step of the work they are read in."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from prep.artwork import Artwork
from prep.hookspecs import SettingsTables
from prep.plugins import find_plugins
from prep.request import Request
from prep.sections import Chapter, Paragraph, Section, Step
from prep.settings import load
from prep_page.sections_told import step_of
from prep_page.telling import _of_setup, in_order

DEMO = Path(__file__).parents[3] / "artwork"
TABLES = dict(find_plugins().each("prep_settings", SettingsTables))


@pytest.mark.parametrize(
    ("chapter", "rank", "step", "told"),
    [
        ("job", 10, None, "judge"),
        ("job", 20, None, "film"),
        ("job", 34, None, "screens"),
        ("job", 40, None, "ink"),
        ("job", 45, None, "film"),
        ("job", 50, None, "screens"),
        ("job", 62, None, "run"),
        ("job", 70, None, "cure"),
        ("closing", 60, None, "cure"),
        ("closing", 91, None, "rests"),
        ("job", 31, "ink", "ink"),
        ("closing", 90, "judge", "judge"),
    ],
)
def test_a_section_stands_where_its_work_is_done(
    chapter: Chapter, rank: int, step: Step | None, told: str
) -> None:
    """Its own word goes before its rank."""
    section = Section(chapter, "x", (Paragraph("y"),), rank, step=step)
    assert step_of(section) == told


def test_a_step_that_isnt_there_is_refused() -> None:
    """A plugin's slip is told, with the section's title."""
    with pytest.raises(ValueError, match="section 'x': there is no step 'wash'"):
        Section("job", "x", (Paragraph("y"),), 10, step="wash")  # type: ignore[arg-type]  # on purpose


def test_sections_follow_the_work_not_their_plugins() -> None:
    """By rank; of one rank the first stays first."""
    given = [
        Section("job", title, (), rank)
        for title, rank in (("c", 64), ("a", 60), ("d", 64), ("b", 61))
    ]
    assert [one.title for one in in_order(given)] == ["a", "b", "c", "d"]


def test_a_set_up_is_named_as_the_shop_measures() -> None:
    """As on the sheet."""
    (order,) = (DEMO / "pea-pod").glob("order.toml")
    found = load(Request(order, shop=DEMO / "shop.toml"), TABLES)
    setup = replace(found.setups[0], name="front, 279.4 mm, on dark")
    artwork = Artwork("a.svg", 279.4, 200.0, (), 0.01)
    told = [_of_setup(setup, artwork, units)["name"] for units in ("metric", "inch")]
    assert told == ["front, 279.4 mm, on dark", "front, 11 in, on dark"]
