"""Font files named in an order: found from its folder, told apart, and used for its artworks."""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path

import pytest

import prep
from prep.errors import ArtworkRefused, InputError, SettingsError
from prep.line import open_line
from prep.plugins import Plugins
from prep.request import Request

ORDER = """
[[print]]
artwork = "sign.svg"
width = "100 mm"
[[garment]]
sizes = { M = 3 }
"""
FONT = """
[[font]]
family = "Shop Sign"
weight = "bold"
file = "fonts/sign.ttf"
"""
SIGN = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 40">'
    '<text x="5" y="30" font-family="Shop Sign" font-weight="700" font-size="30">Pea</text></svg>'
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "sign.svg").write_text(SIGN)
    (tmp_path / "fonts").mkdir()
    shutil.copy(
        Path(prep.__file__).parent / "fonts" / "DejaVuSans-Bold.ttf",
        tmp_path / "fonts" / "sign.ttf",
    )
    return tmp_path


def order(folder: Path, text: str) -> Request:
    (folder / "order.toml").write_text(text)
    return Request(folder / "order.toml")


def test_text_is_outlined_with_the_orders_font(folder: Path) -> None:
    """P, e and a give three pieces; the notes name the file."""
    with open_line(order(folder, ORDER + FONT), plugins=Plugins(())) as line:
        (setup,) = line.setups
        artwork, (separation,) = line.read(setup)
    assert len(separation.region.geoms) == 3
    assert "outlined with the font file named (sign.ttf)" in " ".join(artwork.notes)


def test_without_it_the_order_is_told_what_is_missing(folder: Path) -> None:
    """No [[font]], or one of another weight: the line says what to name."""
    for fonts, says in (
        ("", "convert text to outlines first, or name its font files"),
        (FONT.replace('"bold"', "400"), 'family = "Shop Sign", weight = "bold", style = "normal"'),
    ):
        with (
            open_line(order(folder, ORDER + fonts), plugins=Plugins(())) as line,
            pytest.raises(ArtworkRefused, match=says),
        ):
            line.read(line.setups[0])


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("sign.ttf", "other.ttf", "there is no such file"),
        ("fonts/sign.ttf", "fonts", "is a folder"),
        ('"bold"', '"heavy"', "weight"),
        ('"bold"', "0", "weight"),
        ('weight = "bold"', 'style = "slanted"', "style"),
        ('family = "Shop Sign"', "", "family"),
        (FONT, FONT + FONT.replace("Shop Sign", "shop  sign"), "two files are named"),
    ],
)
def test_wrong_fonts_are_refused(folder: Path, old: str, new: str, says: str) -> None:
    """What is wrong with a [[font]] is told before anything is read."""
    with pytest.raises((SettingsError, InputError), match=says):
        open_line(order(folder, ORDER + FONT.replace(old, new)), plugins=Plugins(()))


def test_fonts_stay_in_the_order_in_force(folder: Path) -> None:
    """The order.toml of the job folder names the font from there, and reads the same."""
    line = open_line(order(folder, ORDER + FONT), plugins=Plugins(()))
    job = folder / "job"
    job.mkdir()
    for setup in (None, *line.setups):
        written = line.loaded.in_force(setup, folder=job)
        assert tomllib.loads(written)["font"] == [
            {
                "family": "Shop Sign",
                "weight": 700,
                "style": "normal",
                "file": "../fonts/sign.ttf",
            }
        ]
        (job / "order.toml").write_text(written)
        again = open_line(Request(job / "order.toml"), plugins=Plugins(()))
        assert again.loaded.order.font == line.loaded.order.font
    origins = line.loaded.chosen_for(line.setups[0]).origins
    assert origins["font[1].file"] == "order.toml"
