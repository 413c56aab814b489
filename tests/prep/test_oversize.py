"""Prints that are far too large, told by the settings alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from prep.errors import SettingsError
from prep.line import open_line
from prep.oversize import oversize
from prep.plugins import Plugins
from prep.request import Request
from prep.shop import Film, Frame, Press, Shop

FILM = Film(width="600 mm", margin="50 mm")
FRAMES = (
    Frame(name="small", inside_width="300 mm", inside_height="400 mm"),
    Frame(name="large", inside_width="500 mm", inside_height="400 mm"),
)


@pytest.mark.parametrize(
    ("width_mm", "height_mm", "shop", "said", "do"),
    [
        # (600 - 2 x 50) / 3000 of 3000
        (3000, 3200, Shop(film=FILM), "the film is 600 mm wide", '--width "500 mm"'),
        # along the roll it may be as long as it likes: 1801 lies across
        (5000, 1801, Shop(film=FILM), "the film is 600 mm wide", '--width "1388 mm"'),
        # 400 / 801 of 900
        (
            900,
            801,
            Shop(film=FILM, frame=FRAMES),
            "the roomiest frame is 400 mm × 500 mm inside",
            '--width "449 mm"',
        ),
        (
            801,
            300,
            Shop(film=FILM, press=Press(platen_width="400 mm")),
            "the platen is 400 mm wide",
            '--width "400 mm"',
        ),
    ],
)
def test_what_a_print_exceeds_by_far(
    width_mm: float, height_mm: float, shop: Shop, said: str, do: str
) -> None:
    found = oversize(width_mm, height_mm, shop)
    assert found is not None
    assert found.what.endswith(f": {said}")
    assert do in found.do


@pytest.mark.parametrize(
    ("width_mm", "height_mm", "shop"),
    [
        (5000, 1800, Shop(film=FILM)),
        (800, 1000, Shop(film=FILM, frame=FRAMES)),
        (800, 300, Shop(film=FILM, press=Press(platen_width="400 mm"))),
    ],
)
def test_what_is_only_somewhat_too_large_is_looked_at(
    width_mm: float, height_mm: float, shop: Shop
) -> None:
    assert oversize(width_mm, height_mm, shop) is None


@pytest.mark.parametrize(
    ("size", "where"),
    [
        ('width = "3 m"', "order.toml: print[1].width"),
        ('height = "3 m"', "order.toml: print[1].height"),
        ('width_by_size = { M = "3 m" }', "order.toml: print[1].width_by_size"),
        ("", "square.svg"),
    ],
)
def test_it_is_refused_before_a_shape_is_read(tmp_path: Path, size: str, where: str) -> None:
    """The drawing's only shape can't be read; its size is told first."""
    (tmp_path / "square.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="2m" height="2m" viewBox="0 0 9 9">'.replace(
            "2m", "2000mm"
        )
        + '<image width="5" height="5" href="data:image/png;base64,AAAA"/></svg>'
    )
    (tmp_path / "order.toml").write_text(
        f'[[print]]\nartwork = "square.svg"\n{size}\n[[garment]]\nsizes = {{ M = 4 }}\n'
    )
    with (
        open_line(Request(tmp_path / "order.toml"), plugins=Plugins(())) as line,
        pytest.raises(SettingsError, match="can't be printed at this size") as caught,
    ):
        line.job(line.setups[0])
    (told,) = caught.value.lines()
    assert where in told
    assert 'print at most 400 mm wide (--width "400 mm")' in told
