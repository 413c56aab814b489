"""File names made of ink names."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prep.folder import _check_names
from prep_stencils.names import safe_name, spares_stem, stem_of


@pytest.mark.parametrize(
    ("ink", "name"),
    [
        ("deep blue", "deep-blue"),
        ("Red / orange \\ 2", "Red-orange-2"),
        ("../../etc/passwd", "etc-passwd"),
        ("深い青", "深い青"),
        ("गहरा नीला", "गहरा-नीला"),
        ("أزرق", "أزرق"),
        ("Gru\u0308n", "Grün"),
        ("#1f3a5f", "1f3a5f"),
        ('?:*|<>"', "ink"),
        ("\u0301", "ink"),
        ("", "ink"),
        ("a" * 300, "a" * 40),
    ],
)
def test_names(ink: str, name: str) -> None:
    """Any script stays readable; what a file system could object to becomes a hyphen."""
    assert safe_name(ink) == name


def test_two_inks_of_one_name_stay_distinct() -> None:
    """The number in print order stands first."""
    made = [
        stem_of(number, ink, across_mm=380, along_mm=291, side="shirt")
        for number, ink in ((1, "red"), (2, "red"), (3, "RED"))
    ]
    assert made == [
        "01-red-380x291mm-shirt-side",
        "02-red-380x291mm-shirt-side",
        "03-RED-380x291mm-shirt-side",
    ]


def test_strips_are_told_apart() -> None:
    """A film in strips has a file for each."""
    made = stem_of(2, "teal", part=(1, 3), across_mm=200.4, along_mm=291, side="shirt")
    assert made == "02-teal-part-1-of-3-200x291mm-shirt-side"


@given(st.lists(st.text(max_size=60), min_size=1, max_size=6))
def test_any_text_makes_names_a_folder_takes(inks: list[str]) -> None:
    """Names are distinct where case is ignored, short enough for any file system, and one path part."""
    made = [
        stem_of(number, ink, across_mm=1, along_mm=1, side="squeegee")
        for number, ink in enumerate(inks, 1)
    ]
    _check_names([f"stencils/{stem}.svg" for stem in made])
    for stem in made:
        assert len(f"{stem}.svg".encode()) <= 255
        assert not set(stem) & set('/\\:*?"<>|\0')
        assert unicodedata.is_normalized("NFC", stem)


def test_an_inch_shop_has_inches_in_its_names() -> None:
    """380.0 × 291.5 mm are 14.96 × 11.48 in."""
    size = {"across_mm": 380.0, "along_mm": 291.5}
    assert (
        stem_of(1, "red", **size, side="shirt", units="inch") == "01-red-14.96x11.48in-shirt-side"
    )
    assert spares_stem(1, "red", 380.0, 291.5, "inch") == "01-red-spares-14.96x11.48in"
