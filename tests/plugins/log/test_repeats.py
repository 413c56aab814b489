"""What is entered twice is asked about; rows and looks of one piece are told from other pieces."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from prep.errors import InputError
from prep_log.entering import add_seen
from prep_log.entering_readings import add_readings
from prep_log.entries import Seen, ShirtsWeighed
from prep_log.from_log import told_in
from prep_log.learnt import figures
from prep_log.readings_form import readings_in
from prep_log.store import Store, writing
from prep_log.usual import usual
from tests.plugins.log.test_shirts_in_runs import BLUE, run_with

DAY, LATER, TODAY = date(2026, 3, 4), date(2026, 3, 11), date(2026, 12, 1)
HEAD = {"format": "firstpull.readings/1", "mesh": "43-80"}
SHIRTS = {"shirts": 3, "strokes": 2, "before": "430 g", "after": "440.8 g", "at_full": "4 g"}
PRINTS = "run,print,screen,left_x,left_y,right_x,right_y,apart\n" + "".join(
    f"1,{number},2,0.{number},0,0.2,0,100\n" for number in range(1, 8)
)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with writing(tmp_path / "log.sqlite") as opened:
        yield opened


def _row(held: int = 4, pulls: int = 0) -> dict[str, Any]:
    sizes = ("0.4 mm", "0.8 mm")
    steps = [{"size": s, "tried": 4, "held": k} for s, k in zip(sizes, (0, held), strict=True)]
    return {"of": "gap", "after_pulls": pulls, "step": steps}


def _enter(store: Store, day: date = DAY, corrects: int | None = None, **form: Any) -> None:
    read = readings_in({**HEAD, "day": day, **form}, TODAY)
    add_readings(store, read, corrects)


def _refused(store: Store, day: date = DAY, **form: Any) -> str:
    count = store.count()
    with pytest.raises(InputError) as error:
        _enter(store, day, **form)
    assert store.count() == count
    return " ".join(error.value.lines())


def _n(store: Store) -> int:
    return int(figures(told_in(store), usual())["fill_in"]["gap"]["n"])


def test_rows_upright_and_across_of_one_form_all_count(store: Store) -> None:
    _enter(store, row=[_row(4), _row(3)])
    assert _n(store) == 16


def test_a_later_look_at_a_piece_takes_the_place_of_an_earlier_one(store: Store) -> None:
    """After 10 pulls one day and 25 a week on: one piece of 8 details, in whichever order entered."""
    _enter(store, LATER, row=[_row(3, 25)], name="piece A")
    _enter(store, DAY, row=[_row(4, 10)], name="piece A")
    assert _n(store) == 8


def test_another_piece_needs_another_name(store: Store) -> None:
    """Of one name, after no more pulls: it can't be told whether it is the same piece."""
    _enter(store, row=[_row(4, 10)])
    for day, pulls in ((DAY, 10), (LATER, 10), (LATER, 5)):
        said = _refused(store, day, row=[_row(3, pulls)])
        assert f'gap of "test piece" on 43-80 after {pulls} pulls: the log has it after 10' in said
    assert "give another piece another name" in said
    _enter(store, row=[_row(3, 10)], name="second piece")
    assert _n(store) == 16
    _enter(store, row=[_row(2, 10)], confirmed=True)  # its row across
    assert _n(store) == 24


def test_correcting_one_row_asks_nothing(store: Store) -> None:
    _enter(store, row=[_row(4), _row(4)])
    _enter(store, corrects=1, row=[_row(3)])
    _enter(store, corrects=1, row=[_row(4)])
    assert _n(store) == 16


@pytest.mark.parametrize(
    "form",
    [
        {"row": [_row()]},
        {"shirts_weighed": [SHIRTS]},
        {"register_test": [{"table": PRINTS}]},
        {
            "measured_in": {"climate": "still room"},
            "wait": [
                {"screen": "cleared", "dots": [{"wait": "4 min", "tried": 5, "printed": 4}]},
            ],
        },
    ],
)
def test_the_same_form_twice_is_asked_about(store: Store, form: dict[str, Any]) -> None:
    _enter(store, **form)
    assert "stands in the log or the form already, and would count twice" in _refused(store, **form)
    _enter(store, confirmed=True, **form)
    assert store.count() == 2
    if "row" not in form:
        _enter(store, LATER, **form)
        (twice,) = ({**form, key: form[key] * 2} for key in form if key != "measured_in")
        assert "count twice" in _refused(store, date(2026, 3, 18), **twice)


@pytest.mark.parametrize("first", ["run", "reading"])
def test_a_weighing_of_a_run_isnt_entered_as_a_reading_too(store: Store, first: str) -> None:
    run = replace(run_with(), day=DAY)
    uid = store.chain(store.add(run.new()))[0].uid
    seen = Seen(uid, run.name, DAY, shirts=(ShirtsWeighed(BLUE, 3, 430.0, 440.8),))
    form: dict[str, Any] = {"ink": "deep blue", "shirts_weighed": [SHIRTS]}
    if first == "run":
        add_seen(store, seen, run, None, TODAY)
        assert "count twice" in _refused(store, **form)
        _enter(store, **form | {"shirts_weighed": [{**SHIRTS, "before": "431 g"}]})
    else:
        _enter(store, **form)
        with pytest.raises(InputError, match="count twice"):
            add_seen(store, seen, run, None, TODAY)
        heavier = replace(seen, shirts=(ShirtsWeighed(BLUE, 3, 431.0, 441.8),))
        add_seen(store, heavier, run, None, TODAY)
