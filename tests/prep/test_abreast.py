"""Workers side by side: every call is answered, and an error ends what goes on beside it."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from shapely import MultiPolygon, Point, box

from prep.abreast import abreast
from prep.errors import OurFault
from prep.guard import Guard
from prep.line import open_line
from prep.measures import Limits, measure
from prep.request import Request


def _who(wait_s: float) -> int:
    time.sleep(wait_s)
    return os.getpid()


def _fails() -> None:
    raise ZeroDivisionError


def test_calls_are_done_by_two_workers_at_once(tmp_path: Path) -> None:
    """Each of two calls waits for the other one's file: one after the other they would never end."""
    files = [tmp_path / "a", tmp_path / "b"]
    with Guard(seconds=60) as one, Guard(seconds=60) as other, abreast([one, other]) as submit:
        begun = [submit(_meet, mine, theirs) for mine, theirs in (files, files[::-1])]
        workers = {future.result() for future in begun}
    assert len(workers) == 2
    assert os.getpid() not in workers


def _meet(mine: Path, theirs: Path) -> int:
    mine.touch()
    while not theirs.exists():
        time.sleep(0.01)
    return os.getpid()


def test_an_error_ends_the_worker_beside_it_and_what_has_not_begun(tmp_path: Path) -> None:
    """The long call would take a minute, and the last one would leave a file."""
    late = tmp_path / "late"
    with Guard(seconds=90) as one, Guard(seconds=90) as other:
        began = time.monotonic()
        with (  # noqa: PT012  # the error comes from inside the block
            pytest.raises(OurFault, match="ZeroDivisionError"),
            abreast([one, other]) as submit,
        ):
            long, wrong = submit(_who, 60.0), submit(_fails)
            after = [submit(_who, 60.0), submit(_meet, late, late)]
            wrong.result()
        assert time.monotonic() - began < 45
        assert long.exception() is not None
        assert after[-1].cancelled()
        assert not late.exists()


def test_large_regions_are_measured_abreast_and_as_one_by_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two regions, one again: both workers measure, as a single one would, and the second ends then."""
    (tmp_path / "a.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M0 0H9V9z"/></svg>'
    )
    (tmp_path / "order.toml").write_text(
        '[[print]]\nplace = "front"\nartwork = "a.svg"\nwidth = "90 mm"\n'
    )
    regions = [MultiPolygon([Point(0, 0).buffer(5)]), MultiPolygon([box(0, 0, 3, 0.5)])]
    monkeypatch.setattr("prep.line._WORTH_A_WORKER", 10)
    monkeypatch.setattr("prep.line.processors", lambda: 2)
    steps: list[tuple[str, int, int]] = []
    asked: list[str] = []
    closed: list[str] = []

    def counted(guard: Guard, name: str) -> Callable[..., object]:
        run = guard.run

        def through(*call: object) -> object:
            asked.append(name)
            return run(*call)  # type: ignore[arg-type]  # passed on as given

        return through

    with open_line(
        Request(tmp_path / "order.toml"),
        tell=lambda step, done=0, of=0: steps.append((step, done, of)),
    ) as line:
        for name in ("_guard", "_beside"):
            guard = getattr(line, name)
            monkeypatch.setattr(guard, "run", counted(guard, name))
            monkeypatch.setattr(guard, "close", partial(closed.append, name))
        found = line.measure_all(tmp_path / "a.svg", [regions[0], regions[1], regions[0]])
        assert sorted(asked) == ["_beside", "_guard"]
        assert closed == ["_beside"]  # the other stays warm for what comes next
        again = line.measure_all(tmp_path / "a.svg", regions)
        assert len(asked) == 2
    assert steps == [("measuring", 1, 2), ("measuring", 2, 2)]
    alone = [measure(region, Limits()) for region in regions]
    for mine, other in zip((*found, *again), (*alone, alone[0], *alone), strict=True):
        # not to the last bit: sums depend on where arrays lie in a process
        assert mine.area_mm2 == pytest.approx(other.area_mm2, rel=1e-12)
        assert mine.openings.width_mm == pytest.approx(other.openings.width_mm, rel=1e-9)
        assert mine.openings.at_mm == pytest.approx(other.openings.at_mm, abs=1e-6)
        assert (len(mine.gaps), len(mine.islands)) == (len(other.gaps), len(other.islands))
    assert found[0] is found[2]
