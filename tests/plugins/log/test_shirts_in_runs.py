"""Shirts weighed in a run tell how much ink goes over, as those of a test piece do."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from prep.errors import InputError
from prep_log import prep_learnt
from prep_log.entering import add_seen
from prep_log.entries import AT_FULL, Run, Seen, SetUpOfRun, ShirtsWeighed, check_seen, seen_of
from prep_log.readings_form import readings_in
from prep_log.store import Figure, reading, writing
from tests.plugins.log.made import DAY, made_run, screen
from tests.plugins.log.shown import given, log_of, page, refused, said, take

BLUE = "#1f3a5f"
WEIGHED = {"screen": BLUE, "shirts": 3, "before": "430 g", "after": "440.8 g"}


def run_with() -> Run:
    """A run whose blue leaves 4 g on a shirt at a transfer of 1, read on a balance of 0.1 g."""
    (setup,) = made_run().setups
    assert isinstance(setup, SetUpOfRun)
    own = (screen(strokes=2), screen("base", ink="white", passes=2, strokes=2))
    figures = (
        Figure(AT_FULL, "g", 4.0, setup="front", screen=BLUE, ink="deep blue"),
        Figure(AT_FULL, "g", 9.0, setup="front", screen="base", ink="white"),
    )
    return made_run(setups=(replace(setup, screens=own),), figures=figures, readability_g=0.1)


def learnt(log: Path) -> object:
    return prep_learnt({"kept_in": str(log)})


def test_they_say_what_a_test_piece_says(shop: Path, tmp_path: Path) -> None:
    """10.8 g on three shirts of 4 g each at a transfer of 1: the same reading, the same figure."""
    with writing(log_of(shop)) as store:
        store.add(run_with().new())
    take(page(shop, "entry", "1"), "seen", day=DAY.isoformat(), shirts_weighed=[WEIGHED])
    by_piece = readings_in(
        {
            "format": "firstpull.readings/1",
            "day": DAY,
            "mesh": "43-80",
            "ink": "deep blue",
            "readability": "0.1 g",
            "shirts_weighed": [
                {"shirts": 3, "strokes": 2, "before": "430 g", "after": "440.8 g", "at_full": "4 g"}
            ],
        },
        DAY,
    )
    other = tmp_path / "other.sqlite"
    with writing(other) as store:
        store.add_all((one.new(), None) for one in by_piece)
    found = learnt(log_of(shop))
    assert found is not None
    assert found == learnt(other)
    told = said(page(shop, "learnt", of="readings"))
    assert told.endswith("measured here on 2026-11-02, n = 3")
    # put right in place of the first: it counts once
    shown = page(shop, "entry", "2")
    typed = dict(given(shown, "seen"))
    assert typed["shirts_weighed"] == [{**WEIGHED, "before": "430.0 g"}]
    typed["shirts_weighed"] = [{**WEIGHED, "after": "439.6 g"}]
    take(shown, "seen", **typed)
    after = learnt(log_of(shop))
    assert isinstance(after, dict)
    assert after["ink"]["transfer"]["n"] == 3
    assert after["ink"]["transfer"]["value"] < found["ink"]["transfer"]["value"]  # type: ignore[index]  # a mapping


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"screen": "base"}, "is printed 2 times"),
        ({"screen": "red"}, "isn't of this run"),
        ({"after": "430 g"}, "430 g before and 430 g after can't be"),
        ({"shirts": 0}, "seen.shirts_weighed[1].shirts = 0: must be at least 1"),
        ({"after": "9000 g"}, "what follows from it for ink.transfer"),
    ],
)
def test_what_cant_be(shop: Path, changed: dict[str, object], told: str) -> None:
    with writing(log_of(shop)) as store:
        store.add(run_with().new())
    typed = [{**WEIGHED, **changed}]
    said_no = refused(page(shop, "entry", "1"), "seen", day=DAY.isoformat(), shirts_weighed=typed)
    assert told in said_no
    with reading(log_of(shop)) as store:
        assert store.count() == 1


@pytest.mark.parametrize(
    ("rows", "spoilt", "tests", "told"),
    [
        ((24,), None, 0, ""),
        ((12, 13), None, 0, "25 were weighed, and it printed 24 at the most"),
        ((12, 13), 5, 0, ""),
        ((26,), 5, 0, "26 were weighed, and it printed 25 at the most"),
        ((26,), 0, 6, ""),
        ((3, 3), None, 0, "the same weights stand there twice"),
    ],
)
def test_no_more_are_weighed_than_were_printed(
    rows: tuple[int, ...], spoilt: int | None, tests: int, told: str
) -> None:
    """Of 20 shirts with 24 pulls reckoned, with those spoilt or with test pulls the order asks for."""
    run = replace(run_with(), order=f"[ink]\ntest_pulls = {tests}\n")
    shirts = tuple(ShirtsWeighed(BLUE, n, 100.0 * n, 104.0 * n) for n in rows)
    seen = Seen("a" * 32, "x", DAY, spoilt=spoilt, shirts=shirts)
    if not told:
        check_seen(seen, run, DAY, where="")
        return
    with pytest.raises(InputError, match=told):
        check_seen(seen, run, DAY, where="")


def test_a_run_that_doesnt_say_what_a_full_transfer_leaves(tmp_path: Path) -> None:
    seen = Seen("a" * 32, "x", DAY, shirts=(ShirtsWeighed(BLUE, 3, 430.0, 440.0),))
    with (
        writing(tmp_path / "log.sqlite") as store,
        pytest.raises(InputError, match="doesn't say what a full transfer leaves"),
    ):
        add_seen(store, seen, made_run(), None, date(2026, 11, 29))


def test_what_was_seen_before_shirts_were_asked_for_is_read() -> None:
    seen = Seen("a" * 32, "x", DAY, notes="slow")
    body = {key: value for key, value in seen.new().body.items() if key != "shirts"}
    assert seen_of("x", DAY, body) == seen
