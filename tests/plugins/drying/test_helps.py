"""What helps most: one thing changed at a time, the same draws, ranked."""

from __future__ import annotations

import functools
from dataclasses import replace
from typing import Any

import pytest
from shapely import box, union_all

import prep_drying
import prep_ink
import prep_sequence
from prep.job import Chosen, Job
from prep.plugins import Plugin, Plugins
from prep.session import Session
from prep.shop import Press, Room, Shop
from prep.testing import make_job
from prep_drying.answers import Drying, Help, Helps
from prep_drying.settings import Drying as ShopDrying
from prep_drying.settings import DryingOrder

WHITE, BLUE = "#ffffff", "#1f3a5f"
ALL = ("fan on the screens", "flash dryer beside the press", "warm platen under the screen")


@functools.cache
def measured() -> Job:
    colours = {
        WHITE: union_all([box(0, 0, 100, 50), box(0, 55, 100, 56)]),
        BLUE: union_all([box(0, 60, 100, 110), box(0, 115, 100, 116)]),
    }
    return make_job(colours, shirts=36)


def asking(own: ShopDrying, order: DryingOrder | None = None, **shop: Any) -> Any:
    press = Press(kind="press with fine adjustment", stations=4)
    job = replace(
        measured(),
        shop=Shop(**({"press": press} | shop)),
        chosen=Chosen({ShopDrying: own, DryingOrder: order or DryingOrder()}),
    )
    named = (("ink", prep_ink), ("sequence", prep_sequence), ("drying", prep_drying))
    return Session(Plugins([Plugin(name, of, "firstpull") for name, of in named])).ask_for(job)


def helps(own: ShopDrying, order: DryingOrder | None = None, **shop: Any) -> Helps:
    return asking(own, order, **shop)(Helps)


def one(found: Helps, words: str) -> Help:
    (help_,) = (h for h in found.helps if words in h.what)
    return help_


HARD = ShopDrying(climate=ALL, flooded=False)
BY_COLOUR = Press(kind="press with fine adjustment", stations=4, working="colour by colour")


def test_everything_that_applies_is_tried_and_ranked() -> None:
    found = helps(HARD)
    words = (
        "fan and air",
        "flash dryer shielded",
        "left to cool",
        "retarder",
        "flooding",
        "two batches",
        "working colour by colour",
        "wiping",
        "misted",
        "cooler",
        "70 % humidity in place of 50 %",
    )
    assert len(found.helps) == len(words)
    for said in words:
        assert one(found, said).costs.endswith(".")
    gains = [round(h.gained, 3) for h in found.helps]
    assert gains == sorted(gains, reverse=True)
    assert one(found, "flooding") in found.helps[:2]


def test_gains_are_against_the_run_as_it_is() -> None:
    ask = asking(HARD)
    drying, found = ask(Drying), ask(Helps)
    assert found.fits == drying.run.fits
    for help_ in found.helps:
        assert help_.gained == pytest.approx(help_.fits - found.fits)
        assert help_.pause_gained_s == pytest.approx(help_.pause_s - found.pause_s)


def test_each_change_is_the_answer_one_gets_with_it() -> None:
    """The table's chance is that of the same job with the setting changed."""
    found = helps(HARD)
    for words, own, order in (
        ("flooding", HARD.model_copy(update={"flooded": True}), None),
        ("retarder", HARD.model_copy(update={"retarder": True}), None),
        ("fan and air", HARD.model_copy(update={"climate": ALL[1:]}), None),
        ("wiping", HARD, DryingOrder(wipe_every=10)),
        ("misted", HARD, DryingOrder(mist="always")),
    ):
        assert one(found, words).fits == asking(own, order)(Drying).run.fits
    by_colour = asking(HARD, press=BY_COLOUR)(Drying)
    assert one(found, "working colour").fits == by_colour.run.fits
    damp = asking(HARD, room=Room(humidity="70 %"))(Drying)
    assert one(found, "humidity").fits == damp.run.fits


def test_nothing_that_dries_less_makes_it_worse() -> None:
    for help_ in helps(HARD).helps:
        assert help_.gained >= 0.0
        assert help_.pause_gained_s >= -1e-6


def test_what_is_done_already_is_not_proposed() -> None:
    found = helps(
        ShopDrying(climate=("still room",), retarder=True),
        DryingOrder(wipe_every=5, mist="always"),
        room=Room(temperature="12 C", humidity="75 %"),
    )
    said = " ".join(h.what for h in found.helps)
    for words in ("fan", "dryer", "cool", "retarder", "flooding", "wiping", "mist", "humidity"):
        assert words not in said
    assert "two batches" in said


def test_the_other_way_is_proposed_only_where_the_press_can() -> None:
    hinged = helps(HARD, press=Press(kind="hinged frame"))
    assert not [h for h in hinged.helps if h.what.startswith("working")]
    back = helps(HARD, press=BY_COLOUR)
    assert "stands idle" in one(back, "working shirt by shirt").costs


def test_a_weighed_screen_is_heeded_where_the_fan_is_turned_off() -> None:
    """Weighed under the fan, the loss without it follows from the model's proportion, not from the model:
    an hour's loss three times the model's is three times as hard without the fan too."""
    shop = ShopDrying(climate=("fan on the screens",), flooded=False)
    weighed = shop.model_copy(
        update={"weighed": ShopDrying(climate="still room", weighed=HEAVY).weighed}  # 1.2 kg/(m² h)
    )
    by_model, by_balance = helps(shop), helps(weighed)
    assert one(by_balance, "fan").fits < one(by_model, "fan").fits
    assert one(by_balance, "fan").fits >= by_balance.fits


HEAVY = {"loss": "10 g", "area": "500 cm2", "after": "10 min"}
