"""The size of the print, rule by rule."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from prep.artwork import Artwork, PrintSize
from prep.errors import InputError

Read = Callable[..., Artwork]
SQUARE = '<rect x="10" y="10" width="20" height="10"/>'
WIDE = 'viewBox="0 0 200 100"'


@pytest.mark.parametrize(
    ("width", "height", "mm"),
    [
        ("200mm", "100mm", (200, 100)),
        ("20cm", "10cm", (200, 100)),
        ("4in", "2in", (101.6, 50.8)),
        ("288pt", "144pt", (101.6, 50.8)),
        ("24pc", "12pc", (101.6, 50.8)),
        ("800Q", "400q", (200, 100)),
        (" 200MM ", "1e2mm", (200, 100)),
        ("200mm", "10cm", (200, 100)),
    ],
)
def test_physical_units_are_the_size(
    read: Read, width: str, height: str, mm: tuple[float, float]
) -> None:
    """Every absolute unit of CSS gives the true size, and nothing is assumed."""
    artwork = read(SQUARE, f'width="{width}" height="{height}" {WIDE}')
    assert (artwork.width_mm, artwork.height_mm) == pytest.approx(mm)
    assert not artwork.size_assumed
    assert artwork.notes == ()
    assert artwork.shapes[0].region.area == pytest.approx(200 * (mm[0] / 200) ** 2)


@pytest.mark.parametrize(
    "size",
    [
        f'width="200" height="100" {WIDE}',
        f'width="200px" height="100px" {WIDE}',
        'width="200" height="100"',
        WIDE,
        f'width="100%" height="100%" {WIDE}',
        f'width="auto" {WIDE}',
    ],
)
def test_units_of_the_screen_are_assumed_at_96_to_the_inch(read: Read, size: str) -> None:
    """Plain numbers, px and a view box alone are read at 96 to the inch, and said so loudly."""
    artwork = read(SQUARE, size)
    assert (artwork.width_mm, artwork.height_mm) == pytest.approx(
        (200 * 25.4 / 96, 100 * 25.4 / 96)
    )
    assert artwork.size_assumed
    (note,) = artwork.notes
    assert "96 units to the inch" in note
    assert "1.333" in note
    assert "1.067" in note


def test_asked_width_goes_before_an_assumed_size(read: Read) -> None:
    """Once the order names a width, nothing is assumed; the height follows by proportion."""
    artwork = read(SQUARE, WIDE, PrintSize(width_mm=280))
    assert (artwork.width_mm, artwork.height_mm) == pytest.approx((280, 140))
    assert not artwork.size_assumed
    assert artwork.notes == ()
    assert artwork.shapes[0].region.bounds == pytest.approx((14, 14, 42, 28))


def test_asked_height_scales_alike(read: Read) -> None:
    """A height alone gives the width by proportion."""
    artwork = read(SQUARE, WIDE, PrintSize(height_mm=50))
    assert (artwork.width_mm, artwork.height_mm) == pytest.approx((100, 50))


def test_asked_size_goes_before_the_files_and_says_what_the_file_said(read: Read) -> None:
    """The artwork is scaled to what the order asks; a note keeps the file's own size."""
    artwork = read(SQUARE, f'width="100mm" height="50mm" {WIDE}', PrintSize(width_mm=200))
    assert (artwork.width_mm, artwork.height_mm) == pytest.approx((200, 100))
    assert artwork.shapes[0].region.area == pytest.approx(200)
    (note,) = artwork.notes
    assert "100.0 x 50.0 mm" in note
    assert "200.0 x 100.0 mm" in note


def test_without_view_box_the_page_is_scaled_as_a_whole(read: Read) -> None:
    """A page in px without a view box is scaled like one with it."""
    artwork = read(SQUARE, 'width="200" height="100"', PrintSize(width_mm=400))
    assert artwork.height_mm == pytest.approx(200)
    assert artwork.shapes[0].region.area == pytest.approx(800)


@pytest.mark.parametrize(
    ("size", "mm", "word"),
    [
        (f'width="300mm" {WIDE}', (300, 150), "height"),
        (f'height="300mm" {WIDE}', (600, 300), "width"),
        (f'width="100%" height="300mm" {WIDE}', (600, 300), "width"),
    ],
)
def test_one_side_and_a_view_box_give_the_other(
    read: Read, size: str, mm: tuple[float, float], word: str
) -> None:
    """The missing side follows from the view box, and a note says so."""
    artwork = read(SQUARE, size)
    assert (artwork.width_mm, artwork.height_mm) == pytest.approx(mm)
    assert not artwork.size_assumed
    assert any(f"the {word} follows" in note for note in artwork.notes)


@pytest.mark.parametrize(
    ("fitting", "bounds", "word"),
    [
        ("", (60, 10, 80, 20), "margins"),
        ("xMinYMid", (10, 10, 30, 20), "margins"),
        ("xMaxYMax meet", (110, 10, 130, 20), "margins"),
        ("xMidYMin slice", (20, 20, 60, 40), "cut off"),
        ("none", (20, 10, 60, 20), "stretched"),
    ],
)
def test_page_of_other_proportions_follows_preserve_aspect_ratio(
    read: Read, fitting: str, bounds: tuple[float, ...], word: str
) -> None:
    """A square drawing on a page twice as wide lies where preserveAspectRatio puts it."""
    artwork = read(
        SQUARE,
        f'width="200mm" height="100mm" viewBox="0 0 100 100" preserveAspectRatio="{fitting}"',
    )
    assert artwork.shapes[0].region.bounds == pytest.approx(bounds)
    assert any(word in note for note in artwork.notes)


def test_asked_size_of_other_proportions_keeps_those_of_the_drawing(read: Read) -> None:
    """Both sides asked for unlike the drawing: it is fitted in, with blank margins and a note."""
    artwork = read(SQUARE, WIDE, PrintSize(width_mm=200, height_mm=200))
    assert (artwork.width_mm, artwork.height_mm) == (200, 200)
    assert artwork.shapes[0].region.bounds == pytest.approx((10, 60, 30, 70))
    assert any("margins" in note for note in artwork.notes)


def test_view_box_may_begin_anywhere(read: Read) -> None:
    """The view box's corner is the page's corner."""
    artwork = read(
        '<rect x="-40" y="60" width="20" height="10"/>',
        'width="100mm" height="100mm" viewBox="-50 50 100 100"',
    )
    assert artwork.shapes[0].region.bounds == pytest.approx((10, 10, 30, 20))


@pytest.mark.parametrize(
    ("size", "word"),
    [
        ("", "width and height"),
        ('width="200mm"', "height"),
        ('height="200mm"', "width"),
        ('width="100%" height="100%"', "width and height"),
        ('width="0" height="100"', "nothing"),
        ('width="-5mm" height="100mm"', "nothing"),
        ('width="abc" height="100mm"', "abc"),
        ('width="20furlongs" height="100mm"', "20furlongs"),
        ('width="20vw" height="100mm"', "unknown unit"),
        ('width="1e400mm" height="100mm"', "1e400mm"),
        ('width="9mm" height="9mm" viewBox="0 0 0 100"', "viewBox"),
        ('width="9mm" height="9mm" viewBox="0 0 -5 100"', "viewBox"),
        ('width="9mm" height="9mm" viewBox="0 0 100"', "viewBox"),
        ('width="9mm" height="9mm" viewBox="0 0 nan 100"', "viewBox"),
        ('width="1e9mm" height="1e9mm"', "5000 mm"),
        ('width="6000mm" height="10mm"', "5000 mm"),
        ('width="0.001mm" height="0.001mm"', "too small"),
    ],
)
def test_sizes_that_cannot_be_are_refused(read: Read, size: str, word: str) -> None:
    """No size, nothing, nonsense and giants: one line that names the file and what is wrong."""
    with pytest.raises(InputError) as caught:
        read(SQUARE, size)
    (line,) = caught.value.lines()
    assert line.startswith("drawing.svg: ")
    assert word in line
    assert "; " in line


@pytest.mark.parametrize("asked", [0.0, -1.0, float("inf"), float("nan")])
def test_asked_size_must_be_above_zero(read: Read, asked: float) -> None:
    """A size asked for that is no size is refused."""
    with pytest.raises(InputError, match="drawing.svg"):
        read(SQUARE, WIDE, PrintSize(width_mm=asked))


def test_size_set_by_style_counts(read: Read) -> None:
    """A width in the root's style goes before its attribute, as in CSS."""
    artwork = read(SQUARE, f'width="1mm" style="width: 200mm; height: 100mm" {WIDE}')
    assert (artwork.width_mm, artwork.height_mm) == pytest.approx((200, 100))


@pytest.mark.parametrize(("width_mm", "flattening"), [(4000, 0.01), (400, 0.01), (100, 0.0025)])
def test_flattening_follows_the_size(read: Read, width_mm: float, flattening: float) -> None:
    """Curves are flattened within 0.01 mm, and within a 40,000th of a small artboard."""
    artwork = read('<circle r="5"/>', WIDE, PrintSize(width_mm=width_mm))
    assert artwork.flattening_mm == pytest.approx(flattening)
