"""An order comes to the right set-ups: what shares screens is together, what can't is apart."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prep.artwork import PrintSize
from prep.order import ColourChoice, Garment, Order, Print
from prep.setups import expand, safe_name, shade_of

RESERVED = {
    "con",
    "prn",
    "aux",
    "nul",
    *(f"com{i}" for i in range(10)),
    *(f"lpt{i}" for i in range(10)),
}


def printed(place: str = "front", **more: object) -> Print:
    return Print.model_validate({"place": place, "artwork": Path(f"{place}.svg")} | more)


def garment(colour: str = "#ffffff", **more: object) -> Garment:
    return Garment.model_validate({"colour": colour, "sizes": {"M": 10}} | more)


def order(prints: list[Print], garments: list[Garment]) -> Order:
    return Order(print=tuple(prints), garment=tuple(garments))


def test_one_print_on_one_garment_is_one_set_up() -> None:
    """The plainest order there is."""
    colours = ({"hex": "#1f3a5f", "ink": "deep blue"},)
    (setup,) = expand(
        order(
            [printed(width="280 mm", colour=colours)],
            [garment(name="tee", fibre="wool", sizes={"S": 2, "M": 3})],
        ),
        dark_below=50,
    )
    assert (setup.key, setup.name) == ("front-280mm-light", "front, 280 mm, on light")
    assert (setup.place, setup.artwork) == ("front", Path("front.svg"))
    assert (setup.size, setup.shade) == (PrintSize(width_mm=280.0), "light")
    assert setup.colours == (ColourChoice(hex="#1f3a5f", ink="deep blue"),)
    (batch,) = setup.batches
    assert (batch.garment, batch.colour, batch.fibre) == ("tee", "#ffffff", "wool")
    assert (batch.sizes, batch.count, setup.shirts) == ((("S", 2), ("M", 3)), 5, 5)


def test_two_places_youth_sizes_and_two_shades() -> None:
    """Places, widths and shades part set-ups; sizes and garments alike in these share one."""
    setups = expand(
        order(
            [
                printed(
                    "front",
                    width="280 mm",
                    width_by_size={"youth S": "190 mm", "youth M": "190 mm"},
                ),
                printed("back", width="300 mm"),
            ],
            [
                garment(
                    "#1d2b4f", name="navy", sizes={"M": 10, "youth S": 6, "L": 4, "youth M": 1}
                ),
                garment("#f4f0e0", name="natural", sizes={"L": 5, "youth S": 2}, prints=["front"]),
                garment("#101010", name="black", sizes={"XL": 3}),
            ],
        ),
        dark_below=50,
    )
    told = [(s.key, [(b.garment, b.sizes) for b in s.batches]) for s in setups]
    assert told == [
        ("front-280mm-dark", [("navy", (("M", 10), ("L", 4))), ("black", (("XL", 3),))]),
        ("front-280mm-light", [("natural", (("L", 5),))]),
        ("front-190mm-dark", [("navy", (("youth S", 6), ("youth M", 1)))]),
        ("front-190mm-light", [("natural", (("youth S", 2),))]),
        (
            "back-300mm-dark",
            [
                ("navy", (("M", 10), ("youth S", 6), ("L", 4), ("youth M", 1))),
                ("black", (("XL", 3),)),
            ],
        ),
    ]


def test_a_size_of_its_own_with_the_usual_width_shares_the_set_up() -> None:
    """What decides is the width, not that it was named."""
    (setup,) = expand(
        order(
            [printed(width="280 mm", width_by_size={"L": "28 cm"})],
            [garment(sizes={"M": 1, "L": 2})],
        ),
        dark_below=50,
    )
    assert setup.batches[0].sizes == (("M", 1), ("L", 2))


@pytest.mark.parametrize(
    ("given", "key", "name", "size"),
    [
        ({}, "front-as-drawn-light", "front, size as drawn, on light", PrintSize()),
        ({"width": "11 in"}, "front-279.4mm-light", "front, 279.4 mm, on light", PrintSize(279.4)),
        (
            {"height": "100 mm"},
            "front-100mm-high-light",
            "front, 100 mm high, on light",
            PrintSize(None, 100.0),
        ),
        (
            {"width": "280 mm", "height": "100 mm"},
            "front-280x100mm-light",
            "front, 280 x 100 mm, on light",
            PrintSize(280.0, 100.0),
        ),
    ],
)
def test_print_sizes(given: dict[str, str], key: str, name: str, size: PrintSize) -> None:
    """Width, height, both or none are handed on and told."""
    (setup,) = expand(order([printed(**given)], [garment()]), dark_below=50)
    assert (setup.key, setup.name, setup.size) == (key, name, size)


def test_height_is_not_for_sizes_with_a_width() -> None:
    """A size with its own width leaves the height to the drawing."""
    prints = [printed(height="100 mm", width_by_size={"S": "190 mm"})]
    setups = expand(order(prints, [garment(sizes={"S": 1, "M": 1})]), dark_below=50)
    assert [s.size for s in setups] == [PrintSize(190.0), PrintSize(None, 100.0)]


def test_keys_are_no_devices() -> None:
    """Some systems take con.anything for a device."""
    (setup,) = expand(order([printed("con.x")], [garment()]), dark_below=50)
    assert setup.key == "con-x-as-drawn-light"


def test_keys_differ_where_their_words_do_not() -> None:
    """Places that come to the same plain name, and widths a hair apart, get numbers."""
    setups = expand(
        order(
            [
                printed("Ärmel", width="100 mm", width_by_size={"S": "100.0001 mm"}),
                printed("armel", width="100 mm"),
                printed("前", width="100 mm"),
                printed("后", width="100 mm"),
            ],
            [garment(sizes={"S": 1, "M": 1})],
        ),
        dark_below=50,
    )
    assert [s.key for s in setups] == [
        "armel-100mm-light",
        "armel-100mm-light-2",
        "armel-100mm-light-3",
        "print-100mm-light",
        "print-100mm-light-2",
    ]


@pytest.mark.parametrize(
    ("colour", "lightness"),
    [
        # CIE L* from relative luminance by the CIE 1976 formula, worked by hand for sRGB greys
        # (IEC 61966-2-1): #777777 has Y = 0.1845, L* = 116 * 0.1845 ** (1/3) - 16 = 50.03
        ("#000000", 0.0),
        ("#777777", 50.03),
        ("#767676", 49.62),
        ("#ffffff", 100.0),
        # sRGB primaries: Y = 0.2126, 0.7152, 0.0722 (IEC 61966-2-1)
        ("#ff0000", 53.24),
        ("#00ff00", 87.73),
        ("#0000ff", 32.30),
    ],
)
def test_dark_is_a_matter_of_cie_lightness(colour: str, lightness: float) -> None:
    """A garment is dark exactly below the limit."""
    if lightness > 0:
        assert shade_of(colour, dark_below=lightness - 0.02) == "light"
    if lightness < 100:
        assert shade_of(colour, dark_below=lightness + 0.02) == "dark"


def test_the_limits_of_dark() -> None:
    """Below 0 nothing is dark; below 100 all but white."""
    assert shade_of("#000000", dark_below=0) == "light"
    assert shade_of("#fefefe", dark_below=100) == "dark"


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Front", "front"),
        ("left sleeve", "left-sleeve"),
        ("a/b\\c:d*e?f", "a-b-c-d-e-f"),
        ("..", "x"),
        ("../../etc", "etc"),
        ("", "x"),
        ("---", "x"),
        ("Größe 3", "grosse-3"),
        ("v1.2.", "v1.2"),
        ("x" * 100, "x" * 60),
    ],
)
def test_safe_names(text: str, name: str) -> None:
    """What a file system might not take is replaced."""
    assert safe_name(text, otherwise="x") == name


places = st.text(
    st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp"]), min_size=1, max_size=80
)


@given(
    names=st.lists(
        places.filter(lambda text: text.strip() != ""), min_size=1, max_size=5, unique_by=str.strip
    ),
    colours=st.lists(st.from_regex(r"#[0-9a-f]{6}", fullmatch=True), min_size=1, max_size=4),
)
def test_keys_are_safe_and_distinct_and_nobody_is_lost(
    names: list[str], colours: list[str]
) -> None:
    """Any places give keys every file system takes, and each garment is printed once at each."""
    setups = expand(
        order(
            [printed(name, artwork=Path("a.svg")) for name in names], [garment(c) for c in colours]
        ),
        dark_below=50,
    )
    keys = [setup.key for setup in setups]
    assert len({key.casefold() for key in keys}) == len(keys)
    for key in keys:
        assert set(key) <= set("abcdefghijklmnopqrstuvwxyz0123456789-.")
        assert key[0].isalnum()
        assert key[-1].isalnum()
        assert key.split(".")[0] not in RESERVED
        assert len(key) < 100
    assert sum(s.shirts for s in setups) == 10 * len(colours) * len(names)
