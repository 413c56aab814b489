"""Kinds of ink: what holds for each, which cloth it suits, and what is said of mixes that don't keep."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

import pytest
from shapely import box

import prep_ink
from prep.estimate import Status
from prep.findings import Finding
from prep.job import Job
from prep.order import Batch
from prep.plugins import Plugin, Plugins
from prep.sections import Caution
from prep.session import Session
from prep.shop import INK_KINDS, Ink, OwnKind, Shop
from prep.testing import make_job
from prep_ink.classes import USUAL, class_of, suits
from prep_ink.parameters import DENSITY, WATER_SHARE

RED = "#d9472f"


def _job(ink: Ink, *fibres: str, kinds: tuple[OwnKind, ...] = ()) -> Job:
    shop = Shop(inks=(ink,), ink_kinds=kinds)
    job = make_job({RED: box(0, 0, 50, 50)}, inks={RED: ink.name}, shop=shop)
    batches = tuple(Batch(f"shirt {f}", "#ffffff", f, (("M", 5),)) for f in fibres)
    return replace(job, setup=replace(job.setup, batches=batches)) if fibres else job


def _findings(job: Job) -> dict[str, Finding]:
    ask = Session(Plugins([Plugin("ink", prep_ink, "firstpull")])).ask_for(job)
    return {f.kind: f for f in prep_ink.prep_findings(job, ask)}


def test_every_kind_has_all_figures_with_their_status() -> None:
    """Five kinds; each with strokes, fibres, density and water, and where they come from."""
    assert set(USUAL) == set(INK_KINDS) == set(DENSITY) == set(WATER_SHARE)
    for own in USUAL.values():
        assert own.strokes >= 1
        assert own.fibres
        assert own.source
        assert own.status in get_args(Status)


def test_water_and_density_of_the_kinds() -> None:
    """White 40-50 % water and 1.2-1.35 g/ml, transparent 60-70 % and 1.05, discharge up to 90 %.

    Common practice, no source.
    """
    white, clear = (
        (DENSITY[k].parameter, WATER_SHARE[k].parameter)
        for k in ("opaque white", "transparent colour")
    )
    assert (white[0].low, white[0].high) == (1.2, 1.35)
    assert (white[1].low, white[1].high) == (0.4, 0.5)
    assert clear[0].default == 1.05
    assert (clear[1].low, clear[1].high) == (0.6, 0.7)
    assert WATER_SHARE["discharge"].parameter.high >= 0.9


@pytest.mark.parametrize(
    ("kind", "shares", "fit"),
    [
        ("opaque colour", {"cotton": 1.0}, True),
        ("opaque colour", {"cotton": None}, True),
        ("opaque colour", {"cotton": 0.5, "polyester": 0.5}, True),
        ("opaque colour", {"cotton": 0.4, "polyester": 0.6}, False),
        ("opaque colour", {"cotton": None, "polyester": 0.6}, False),
        ("opaque colour", {"cotton": None, "polyester": None}, None),
        ("opaque colour", {"polyester": 1.0}, False),
        ("opaque colour", {}, None),
        ("low-cure", {"polyester": 1.0}, True),
        ("low-cure", {"polyester": 0.95, "elastane": 0.05}, True),
        ("low-cure", {"polyamide": 1.0}, False),
        ("discharge", {"cotton": 0.8, "polyester": 0.2}, False),
        ("discharge", {"viscose": 1.0}, True),
    ],
)
def test_which_cloth_an_ink_suits(kind, shares, fit) -> None:  # type: ignore[no-untyped-def]
    """By the share of fibres it is made for; unknown where shares are missing that would decide."""
    assert suits(USUAL[kind], shares) is fit


def test_an_ink_not_made_for_the_cloth_is_at_risk() -> None:
    """Named with ink, cloth and what it is made for; dye of polyester where there is some."""
    plain = Ink(name="red")
    finding = _findings(_job(plain, "100 % polyester", "100 % cotton"))[
        "ink not made for the fibre"
    ]
    assert finding.severity == "at risk"
    assert "red (opaque colour) on 100 % polyester: it is made for cotton" in finding.what
    assert "129 °C" in finding.why
    assert "129 °C" not in _findings(_job(plain, "100 % wool"))["ink not made for the fibre"].why
    for made, cloth in (
        (plain, "60 % cotton, 40 % polyester"),
        (plain, "mystery cloth"),
        (Ink(name="red", kind="low-cure"), "100 % polyester"),
        (Ink(name="red", fibres=["wool"]), "100 % wool"),
    ):
        assert "ink not made for the fibre" not in _findings(_job(made, cloth)), cloth


def test_own_figures_come_before_the_kinds_and_these_before_the_usual() -> None:
    """Each figure by itself, and the status says that the shop stated some."""
    own = OwnKind(name="mine", like="discharge", strokes=3, flash="20 s", pot_life="4 h")
    shop = Shop(ink_kinds=(own,), inks=(Ink(name="a", kind="mine", pot_life="5 h"),))
    found = class_of(shop, shop.inks[0], "discharge")
    assert (found.kind, found.strokes, found.flash_s) == ("mine", 3, (20, 20))
    assert found.pot_life_s == 5 * 3600
    assert found.fibres == USUAL["discharge"].fibres
    assert found.status == "measured here"
    assert class_of(shop, None, "discharge") == USUAL["discharge"]


def test_a_mix_that_does_not_keep_is_no_stock() -> None:
    """Its stock isn't compared with the need, and the sheet says when it is thrown away."""
    found = _findings(_job(Ink(name="red", kind="discharge", in_stock="5 kg")))
    assert "not enough ink in stock" not in found
    note = found["ink that can't be stock"]
    assert "thrown away after 6 h" in note.what
    job = _job(Ink(name="red", kind="discharge"))
    assert any("red is thrown away 6 h after it was mixed" in text for text in _cautions(job))
    assert not any("thrown away" in text for text in _cautions(_job(Ink(name="red"))))


def _cautions(job: Job) -> list[str]:
    ask = Session(Plugins([Plugin("ink", prep_ink, "firstpull")])).ask_for(job)
    page = next(s for s in prep_ink.prep_sections(job, ask) if s.chapter == "job")
    return [block.text for block in page.blocks if isinstance(block, Caution)]
