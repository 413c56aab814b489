"""From readings to figures of shop.toml: what they say by hand, and that the settings take them."""

from __future__ import annotations

import math
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from prep.errors import InputError
from prep_drying.settings import Drying
from prep_fill_in.settings import FillIn
from prep_ink.settings import ShopInk
from prep_log.entering import run_in
from prep_log.entries import Seen, ShirtsWeighed
from prep_log.from_log import learnt_here
from prep_log.learnt import Told, figures, in_other_air
from prep_log.store import New, reading, writing
from prep_log.telling import words_of
from prep_log.usual import usual

DAY, LATER = date(2026, 3, 4), date(2026, 3, 11)
STILL = {"climate": ["still room"]}


def _row(of: str, held_from: float, *, pulls: int = 0, day: date = DAY, tried: int = 4) -> Told:
    sizes = (0.3, 0.5, 0.7, 0.9, 1.2, 1.6, 2.2, 3.0)
    steps = [{"size": s, "tried": tried, "held": tried if s >= held_from else 0} for s in sizes]
    return Told(day, of, {"mesh": "43-80", "after_pulls": pulls, "piece": "a", "steps": steps})


def _shirts(gain_g: float, shirts: int = 3, day: date = DAY, **more: Any) -> Told:
    body = {"mesh": "43-80", "ink": "white", "strokes": 2, "at_full_g": 4.0} | more
    return Told(day, "shirts weighed", body | {"gain_g": gain_g, "shirts": shirts})


def _weighed(loss_g: float, day: date = DAY, air: dict[str, Any] = STILL) -> Told:
    body = {"loss_g": loss_g, "after_s": 600.0, "area_mm2": 120_000.0, "measured_in": air}
    return Told(day, "screen weighed", body)


def _waits(screen: str, until_s: float, day: date = DAY, air: dict[str, Any] = STILL) -> Told:
    steps = [
        {"wait_s": wait, "tried": 5, "printed": 5 if wait <= until_s else 0}
        for wait in (120.0, 240.0, 480.0, 960.0, 1920.0, 3840.0)
    ]
    return Told(day, "open time", {"screen": screen, "steps": steps, "measured_in": air})


def test_what_isnt_understood_is_left_out_and_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As an older version, or another program, may have left it in the log."""
    file = tmp_path / "log.sqlite"
    strip = _row("strip", 0.9)
    with writing(file) as store:
        store.add(New("reading", DAY, "piece", {"of": strip.of, **strip.body}))
        store.add(New("reading", DAY, "piece", {"of": "shirts weighed"}))
        store.add(New("reading", DAY, "piece", {"of": "strip", "steps": [{"size": "thin"}]}))
        uid = store.entry(store.add(New("run", DAY, "owl", {"order": 5}))).uid
        seen = Seen(uid, "owl", DAY, shirts=(ShirtsWeighed("base", 1, 5.0, 6.0),)).new()
        store.add(seen)
    learnt = learnt_here({"kept_in": str(file)})
    assert learnt is not None
    assert learnt.keys() == {"fill_in"}
    told = capsys.readouterr().err.splitlines()
    assert [line.partition(" isn't understood")[0] for line in told] == [
        f"prep: entry {number} of the log" for number in (2, 3, 5)
    ]
    assert "lacks 'shirts'" in told[0]
    with reading(file) as store:
        for number in (2, 3, 4):
            (line,) = words_of(store.entry(number))
            assert line.startswith("isn't understood, and isn't used: ")
        with pytest.raises(InputError, match="entry 4 of the log isn't understood"):
            run_in(store, 4)


def test_nothing_read_puts_nothing_in_place() -> None:
    assert figures([], usual()) == {}


def test_limits_lie_between_what_failed_and_what_held() -> None:
    """Strips of 0.7 mm lifted and those of 0.9 held: half hold between, nine tenths a little above."""
    found = figures([_row("strip", 0.9, pulls=50)], usual())["fill_in"]["strip"]
    table = FillIn.model_validate({"strip": found}).strip
    assert table is not None
    assert table.fails_below_mm is not None
    assert 0.7 < table.fails_below_mm < 0.9
    assert table.fails_below_mm < table.at_risk_below_mm < 1.2
    assert table.source == "measured here on 2026-03-04, n = 32"


def test_of_one_piece_the_most_pulls_count() -> None:
    """At first 0.5 mm held, after 50 pulls only 0.9 did, which is what a run needs; told in any order."""
    late, early = _row("strip", 0.9, pulls=50), _row("strip", 0.5)
    for told in ([late, early], [early, late]):
        assert figures(told, usual())["fill_in"]["strip"]["n"] == 32
        assert figures(told, usual()) == figures([late], usual())


def test_shirts_weighed_make_the_transfer() -> None:
    """Three shirts gain 10.8 g where a transfer of 1 leaves 4 g on each: 0.9, known twice as closely."""
    found = figures([_shirts(10.8)], usual())["ink"]["transfer"]
    own = ShopInk.model_validate({"transfer": found}).transfer
    assert own is not None
    assert own.low is not None
    assert own.high is not None
    assert own.value == pytest.approx(0.9, rel=0.02)
    assert math.log(own.high / own.low) < 0.5 * math.log(1.4 / 0.5)
    assert (own.mesh, own.ink, own.strokes, own.n) == ("43-80", "white", 2, 3)


def test_weighed_with_two_inks_holds_for_none_alone() -> None:
    """Readings of two inks say what the hand does, not what belongs to one of them."""
    found = figures([_shirts(10.8), _shirts(11.2, ink="black", day=LATER)], usual())
    transfer = found["ink"]["transfer"]
    assert "ink" not in transfer
    assert (transfer["mesh"], transfer["measured_on"], transfer["n"]) == ("43-80", LATER, 6)


def test_a_coarse_balance_says_less() -> None:
    fine, coarse = (
        figures([_shirts(2.7, at_full_g=1.0, readability_g=shows)], usual())["ink"]["transfer"]
        for shows in (0.01, 1.0)
    )
    assert coarse["high"] / coarse["low"] > 1.15 * fine["high"] / fine["low"]


def test_a_screen_weighed_makes_the_evaporation() -> None:
    """1.8 g off 0.12 m² in 10 minutes: 1.8e-3 / 0.12 / (1/6) = 0.09 kg/(m² h), near the usual 0.1."""
    found = figures([_weighed(1.8)], usual())["drying"]
    own = Drying.model_validate({key: found[key] for key in ("weighed", "measured_in")}).weighed
    assert own is not None
    assert own.kg_m2_h == pytest.approx(0.09, rel=0.03)
    assert own.source == "measured here on 2026-03-04, n = 1"
    twice = figures([_weighed(1.8), _weighed(1.8, LATER)], usual())["drying"]["weighed"]
    assert float(twice["off"].split()[0]) < float(found["weighed"]["off"].split()[0])


def test_dots_after_waits_make_the_open_time() -> None:
    """All printed after 8 minutes, none after 16: open for some 11, and longer under a flood."""
    found = figures([_waits("cleared", 480.0), _waits("flooded", 1920.0)], usual())["drying"]
    table = Drying.model_validate(found)
    assert table.open_cleared_s is not None
    assert table.open_flooded_s is not None
    assert 480.0 < table.open_cleared_s.value < 960.0
    assert 1920.0 < table.open_flooded_s.value < 3840.0
    assert table.open_cleared_s.n == 30


def test_readings_of_another_climate_are_left_out() -> None:
    """A fan last year, a still room now: only the latter is held against the room as it is."""
    fan = _weighed(6.0, DAY, {"climate": ["fan on the screens"]})
    now = _weighed(1.8, LATER)
    assert in_other_air([fan, now]) == [fan]
    assert figures([fan, now], usual()) == figures([now], usual())
