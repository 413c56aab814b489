"""What is told of an order that lies open, before and between pieces of work."""

from __future__ import annotations

import asyncio
import errno
import logging
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from prep.errors import SettingsError
from prep_page import calls, desk
from prep_page.desk import Desk, OpenOrder, about, facts
from prep_page.edits import Change
from prep_page.places import ORDER

from .conftest import FISH


def test_a_new_piece_of_work_begins_without_the_last_ones_count(tmp_path: Path) -> None:
    """What was cancelled at 3 of 4 is no part of what waits to begin."""
    desk = Desk(tmp_path, None, seconds=60.0, memory_mb=2000)
    order = OpenOrder("key", tmp_path, "fish", step="measuring", done=3, of=4, ended="cancelled")
    desk.change(order, [])
    state = order.state()
    assert [state[name] for name in ("doing", "step", "done", "of")] == ["waiting", "", 0, 0]


def test_a_shop_of_inches_is_told_inches(tmp_path: Path) -> None:
    """What is said against a width; what was typed stays as typed."""
    order = OpenOrder("key", tmp_path, "fish", units="inch")
    wrong = SettingsError('print[1].width = "9000 mm": must be at most 5000 mm', do="think again")
    assert order.end("refused", (), wrong).lines == (
        'print[1].width = "9000 mm": must be at most 196.85 in; think again',
    )


def test_what_was_sent_is_told_until_it_is_worked_out(tmp_path: Path) -> None:
    """A window opened anew can show it, rows as they were typed; cancelled, nothing of it is told."""
    desk = Desk(tmp_path, None, seconds=60.0, memory_mb=2000)
    order = OpenOrder("key", tmp_path, "fish", at_work=(Change(("name",), "text", "cod"),))
    desk.change(order, [Change(("garment", 0, "sizes"), "toml", '{ "one size" = 12.50 }')])
    assert order.state()["pending"] == [
        {"path": ["name"], "text": "cod", "value": None},
        {
            "path": ["garment", 0, "sizes"],
            "text": '{ "one size" = 12.50 }',
            "value": {"one size": "12.50"},
        },
    ]
    order.at_work = ()
    desk.cancel(order)
    assert order.state()["pending"] == []


def test_orders_of_one_file_are_told_apart() -> None:
    """By place, shade, shirts and width, in the shop's units."""
    one = {"name": "front, size as drawn, on light", "shirts": 24, "size_mm": [60.0, 40.0]}
    two = {"name": "sleeve, 2 in, on dark", "shirts": 1, "size_mm": [50.8, 30.0]}
    told = about({"setups": [one | {"units": "metric"}, two | {"units": "inch"}]})
    assert told == (
        "front, size as drawn, on light: 24 shirts, 60.0 mm wide",
        "sleeve, 2 in, on dark: 1 shirt, 2.00 in wide",
    )


def test_what_orders_of_one_name_differ_in_is_told() -> None:
    """Widths, garments' colours, shirts: those of all set-ups, shirts with two prints once."""
    tee = {"name": "tee", "colour": "#112233", "count": 5}
    front = {
        "place": "front",
        "shirts": 5,
        "size_mm": [254.0, 9.0],
        "units": "inch",
        "garments": [tee],
    }
    told = facts({"setups": [front, front | {"place": "back", "size_mm": [50.8, 9.0]}]})
    assert told == ("front 10.00 in wide, back 2.00 in wide", "tee #112233", "5 shirts")


class Worker:
    """Stands in for the worker: notes what it is asked and answers as it is told."""

    def __init__(self, answer: Callable[[partial[Any]], Any]) -> None:
        self.asked: list[partial[Any]] = []
        self._answer = answer

    def converse(self, function: partial[Any], **_: object) -> Any:
        self.asked.append(function)
        return self._answer(function)

    def close(self) -> None:
        pass


async def idle(order: OpenOrder, work: asyncio.Task[None]) -> None:
    """Wait until an order's work has ended."""
    for _ in range(1000):
        if not order.doing or work.done():
            break
        await asyncio.sleep(0.005)
    assert not work.done(), work
    assert not order.doing


def at_work(folder: Path, worker: Worker, does: Callable[[Desk, asyncio.Task[None]], Any]) -> None:
    """Run a desk with a stand-in for its worker, and do something at it."""

    async def run() -> None:
        desk = Desk(folder, None, seconds=60.0, memory_mb=2000)
        desk._guard = worker  # type: ignore[assignment]  # stands in for it
        work = asyncio.create_task(desk.work())
        try:
            await does(desk, work)
        finally:
            work.cancel()

    asyncio.run(run())


FULL = OSError(errno.ENOSPC, "No space left on device")


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (
            FULL,
            "it can't be worked on: No space left on device; make room on the disk, then work it out again",
        ),
        (PermissionError(13, "Permission denied"), "it can't be worked on: Permission denied; see to"),
        (KeyError("x\ny"), "it can't be worked on: KeyError: 'x\\ny'; please report it"),
    ],
)  # fmt: skip
def test_an_error_that_nobody_foresaw_ends_that_order_alone(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, error: Exception, said: str
) -> None:
    """It is told with the order, the change is not taken, and the next order is worked on."""

    def answer(asked: partial[Any]) -> object:
        if asked.func is calls.warm:
            raise error
        if asked.func is calls.reckon and any(c.text == "bad" for c in asked.keywords["changes"]):
            (asked.keywords["folder"] / ORDER).write_text("half a chan")
            raise error
        return ()

    async def does(desk: Desk, work: asyncio.Task[None]) -> None:
        one = desk.open([("one.svg", FISH)])
        await idle(one, work)
        before = (one.folder / ORDER).read_bytes()
        desk.change(one, [Change(("name",), "text", "bad")])
        two = desk.open([("two.svg", FISH)])
        await idle(one, work)
        assert one.ended == "failed"
        (line,) = one.trouble
        assert line.startswith(said)
        assert one.ends[-1].changes == (Change(("name",), "text", "bad"),)
        assert (one.folder / ORDER).read_bytes() == before
        await idle(two, work)
        assert two.ended == ""
        desk.change(one, [])
        await idle(one, work)
        assert (one.ended, one.trouble) == ("", ())

    with caplog.at_level(logging.ERROR):
        at_work(tmp_path, Worker(answer), does)
    (told,) = caplog.records  # for whoever is to mend it
    assert told.exc_info is not None
    assert told.exc_info[1] is error


def test_an_order_that_cant_be_put_back_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What stopped the work matters less; the next piece of work begins as ever."""

    def answer(asked: partial[Any]) -> object:
        if asked.func is calls.reckon and asked.keywords["changes"]:
            raise KeyError("x")
        return ()

    def full(*_: object) -> None:
        raise FULL

    async def does(open_desk: Desk, work: asyncio.Task[None]) -> None:
        order = open_desk.open([("one.svg", FISH)])
        await idle(order, work)
        monkeypatch.setattr(desk._Before, "put_back", full)
        open_desk.change(order, [Change(("name",), "text", "x")])
        await idle(order, work)
        assert order.state()["ended"] == "failed"
        assert order.trouble[0].startswith("it can't be put back as it was: No space left")
        open_desk.change(order, [])
        await idle(order, work)
        assert order.state()["ended"] == ""

    at_work(tmp_path, Worker(answer), does)


def test_a_closed_order_is_forgotten_by_the_worker(tmp_path: Path) -> None:
    """What was remembered of it goes at once, not with the orders after it; that failing harms nobody."""

    def answer(asked: partial[Any]) -> object:
        if asked.func is calls.forget:
            raise FULL
        return ()

    worker = Worker(answer)

    async def does(desk: Desk, work: asyncio.Task[None]) -> None:
        one, two = (desk.open([(name, FISH)]) for name in ("one.svg", "two.svg"))
        await idle(one, work)
        await idle(two, work)
        desk.close(one)
        assert not one.folder.exists()
        desk.change(two, [])
        await idle(two, work)

    at_work(tmp_path, worker, does)
    forgotten = [asked for asked in worker.asked if asked.func is calls.forget]
    assert [asked.keywords for asked in forgotten] == [{"folder": forgotten[0].keywords["folder"]}]
    assert worker.asked.index(forgotten[0]) == len(worker.asked) - 2
    # what is asked can be done there
    told = calls.bench()
    calls.forget(told, lambda said: None, folder=tmp_path)
