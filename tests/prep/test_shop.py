"""Inks of the shop's list: kinds of its own, and what is refused."""

from __future__ import annotations

import re

import pytest
from pydantic import ValidationError
from shapely import box

from prep.fibres import fibre_shares
from prep.screens import ink_kind
from prep.shop import Ink, Mesh, OwnKind, Press, Shop
from prep.testing import make_job

STRETCH = OwnKind(name="stretch white", like="opaque white", density="1.4 g/ml")


def test_an_ink_of_an_own_kind_is_printed_like_a_usual_one() -> None:
    """Whoever asks for an ink's kind gets the usual kind that the shop's own is like."""
    shop = Shop(ink_kinds=(STRETCH,), inks=(Ink(name="snow", kind="stretch white"),))
    assert shop.kind_of(shop.inks[0]) == "opaque white"
    job = make_job({"#ffffff": box(0, 0, 9, 9)}, inks={"#ffffff": "snow"}, shop=shop)
    assert ink_kind(job.screens[0], shop) == ("opaque white", False)


@pytest.mark.parametrize(
    ("tables", "says"),
    [
        ({"inks": (Ink(name="snow", kind="stretch"),)}, 'isn\'t known, "stretch"; write one of'),
        ({"ink_kinds": (OwnKind(name="discharge", like="discharge"),)}, "usual kind of ink"),
        ({"ink_kinds": (STRETCH, STRETCH)}, "two are called"),
    ],
)
def test_kinds_that_cannot_be_are_refused(tables: dict[str, object], says: str) -> None:
    """Unknown kinds are named with those there are; own kinds have names of their own."""
    with pytest.raises(ValidationError, match=says):
        Shop(**tables)


@pytest.mark.parametrize("density", ["0.5 g/ml", "120 g/ml", "1.2", "0 g/ml"])
def test_a_density_no_ink_has_is_refused(density: str) -> None:
    """Lighter than spirit, heavier than any pigment paste, without a unit, nothing."""
    with pytest.raises(ValidationError, match="density"):
        Ink(name="snow", density=density)


@pytest.mark.parametrize(
    ("text", "shares"),
    [
        ("100 % cotton", {"cotton": 1.0}),
        ("52% Cotton 48% Polyester", {"cotton": 0.52, "polyester": 0.48}),
        ("polycotton 65/35", {"polyester": 0.65, "cotton": 0.35}),
        ("polyester 65 %, cotton 35 %", {"polyester": 0.65, "cotton": 0.35}),
        ("30/1 ring-spun cotton", {"cotton": None}),
        ("180 gsm cotton", {"cotton": None}),
        ("cotton, 5 % elastane", {"cotton": None, "elastane": 0.05}),
        ("organic cotton (100 % cotton)", {"cotton": 1.0}),
        ("200 % cotton", {"cotton": None}),
        ("65/35 polycotton", {"polyester": 0.65, "cotton": 0.35}),
        ("50 % poly 25 % cotton 25 % rayon", {"polyester": 0.5, "cotton": 0.25, "viscose": 0.25}),
        ("80 % organic cotton, 20 % recycled polyester", {"cotton": 0.8, "polyester": 0.2}),
        ("12,5 % elastane", {"elastane": 0.125}),
        ("mystery", {}),
    ],
)
def test_fibres_of_a_garment(text: str, shares: dict[str, float | None]) -> None:
    """Before or behind the fibre, in per cent or summing to a hundred; a fibre named alone has none."""
    assert fibre_shares(text) == pytest.approx(shares)


@pytest.mark.parametrize(
    ("line", "fits"),
    [
        # from memory, rounded: 0.41 x 165 = 67.65 beside 66
        ({"name": "32-100", "count": "32/cm", "thread": "100 um", "open_area": "41 %"}, True),
        ({"name": "32-100", "count": "32/cm", "thread": "100 um", "open_area": "43 %"}, False),
    ],
)
def test_a_coarse_mesh_may_be_rounded_more(line: dict[str, str], fits: bool) -> None:
    """An open area in whole per cents of a cloth 165 um thick is off by up to 0.8 cm3/m2 by itself."""
    line |= {"thickness": "165 um", "volume": "66 cm3/m2"}
    if fits:
        assert Mesh.model_validate(line).volume_cm3_per_m2 == 66
    else:
        with pytest.raises(ValidationError, match="but 66 cm3/m2 is stated"):
            Mesh.model_validate(line)


@pytest.mark.parametrize("said", ["Letter", "letter", "US Letter"])
def test_paper_is_taken_as_it_is_sold(said: str) -> None:
    assert Shop.model_validate({"paper": said}).paper == "US Letter"


def test_what_a_printer_reads_of_settings_names_no_key_and_no_statistics() -> None:
    """Descriptions stand beside fields: plain words."""
    for table in (Shop, Press):
        for field in table.model_fields.values():
            assert not re.search(r"sigma|\w_\w|\w\.\w", field.description or ""), field.description
