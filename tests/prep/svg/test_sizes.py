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
        ('width="20vw" height="100mm"', "only a screen knows"),
        ('width="20em" height="10em" font-size="20"', "follows its font"),
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


@pytest.mark.parametrize("unit", ["rem", "em", "ex", "ch", "vw", "vmin"])
@pytest.mark.parametrize(
    "sides", ['width="20{}" height="20{}"', 'width="20{}"', 'width="20{}" height="9mm"']
)
def test_units_of_screens_do_not_matter_where_a_size_is_asked_for(
    read: Read, unit: str, sides: str
) -> None:
    """With a view box, the asked width counts; a side said in fonts or windows is noted and left out."""
    artwork = read(SQUARE, f"{sides.replace('{}', unit)} {WIDE}", PrintSize(width_mm=200))
    assert (artwork.width_mm, artwork.height_mm) == pytest.approx((200, 100))
    assert artwork.shapes[0].region.bounds == pytest.approx((10, 10, 30, 20))
    (note,) = [note for note in artwork.notes if f"20{unit}" in note]
    assert "viewBox count" in note
    assert not artwork.size_assumed


def test_rem_is_em_where_nothing_is_asked_for(read: Read) -> None:
    """On the root both are the font's size, 16 px at first (CSS Values 3, 5.1.1); the size is assumed."""
    artwork = read(SQUARE, f'width="20rem" height="10rem" {WIDE}')
    assert artwork.width_mm == pytest.approx(20 * 16 * 25.4 / 96)
    assert artwork.size_assumed


@pytest.mark.parametrize(
    ("unit", "font", "px"),
    [
        ("em", 'font-size="32"', 320),
        ("rem", 'font-size="32"', 320),
        ("ex", 'font-size="32"', 160),
        ("em", 'style="font-size:2em"', 320),
        ("em", 'font-size="9pt"', 120),
    ],
)
def test_em_of_the_page_follows_the_pages_own_font(
    read: Read, unit: str, font: str, px: float
) -> None:
    """10 em of a font of 32 px are 320 px, 84.67 mm; a note names the font's size."""
    artwork = read(SQUARE, f'width="10{unit}" height="10{unit}" {font} viewBox="0 0 48 48"')
    assert artwork.width_mm == artwork.height_mm == pytest.approx(px * 25.4 / 96)
    assert artwork.size_assumed
    px_of_font = px / (5 if unit == "ex" else 10)
    told = f"width and height (10{unit}, 10{unit}) by its font of {px_of_font:g} px"
    assert any(told in note for note in artwork.notes)


def test_em_of_a_font_that_can_not_be_told_is_refused(read: Read) -> None:
    """The word medium is another size in each viewer, and so is an em of it."""
    with pytest.raises(InputError, match="only a screen knows"):
        read(SQUARE, f'width="10em" height="10em" style="font-size:medium" {WIDE}')


def test_a_screens_unit_is_refused_with_a_way_out(read: Read) -> None:
    """Where no size is asked for, the line says that one would do."""
    with pytest.raises(InputError, match="or give the width of the print"):
        read(SQUARE, f'width="20vw" height="10vw" {WIDE}')


@pytest.mark.parametrize("asked", [0.0, -1.0, float("inf"), float("nan")])
def test_asked_size_must_be_above_zero(read: Read, asked: float) -> None:
    """A size asked for that is no size is refused."""
    with pytest.raises(InputError, match="drawing.svg"):
        read(SQUARE, WIDE, PrintSize(width_mm=asked))


def test_size_set_by_style_counts(read: Read) -> None:
    """A width in the root's style goes before its attribute, as in CSS."""
    artwork = read(SQUARE, f'width="1mm" style="width: 200mm; height: 100mm" {WIDE}')
    assert (artwork.width_mm, artwork.height_mm) == pytest.approx((200, 100))


@pytest.mark.parametrize(
    "side", ["300", "garbage", "300 mm", "30.mm", "-50%", "-3mm", "20furlongs", "9deg", "1mm 2mm"]
)
def test_a_size_that_is_none_in_css_leaves_the_attribute(read: Read, side: str) -> None:
    """In CSS a length has a unit and no sign below zero: else the attribute counts, and a note says so.

    So it does within a rule of a sheet, and an earlier declaration that is right stays.
    """
    attributes = 'width="30mm" height="15mm" viewBox="0 0 200 100"'
    style = f"width:{side};height:{side}"
    for body, size in (
        (SQUARE, f'style="{style}" {attributes}'),
        (f"<style>svg{{{style}}}</style>{SQUARE}", attributes),
        (SQUARE, f'style="width:30mm;height:15mm;{style}" {WIDE}'),
    ):
        artwork = read(body, size)
        assert (artwork.width_mm, artwork.height_mm) == pytest.approx((30, 15))
        assert not artwork.size_assumed
        assert any(f"counts, as the standard asks (width: {side})" in n for n in artwork.notes)
        assert not any("The file says" in note for note in artwork.notes)


@pytest.mark.parametrize(
    ("size", "says"),
    [
        (f'width="100mm" height="48px" {WIDE}', "only its width (100mm) in a physical unit"),
        (f'width="100" height="4cm" {WIDE}', "only its height (4cm) in a physical unit"),
        (f'width="100" height="40" {WIDE}', "the file gives no physical size"),
        (
            f'style="width:100%" width="30mm" {WIDE}',
            'width by its style (100%) outweighs its attribute width="30mm"',
        ),
        (
            f'style="width:40px;height:auto" width="30mm" height="15mm" {WIDE}',
            'height by its style (auto) outweighs its attribute height="15mm"',
        ),
    ],
)
def test_an_assumed_size_is_told_with_what_the_file_does_say(
    read: Read, size: str, says: str
) -> None:
    """One side in mm, or mm that a style outweighs, are named beside the assumption."""
    artwork = read(SQUARE, size)
    assert artwork.size_assumed
    assert any(says in note for note in artwork.notes)


@pytest.mark.parametrize(
    "size",
    [
        f'width="-50%" height="50mm" {WIDE}',
        f'width="0%" height="50mm" {WIDE}',
        f'width="50mm" height="-0.0%" {WIDE}',
        f'style="width:0%" height="50mm" {WIDE}',
    ],
)
def test_a_share_of_nothing_is_refused(read: Read, size: str) -> None:
    """No more can be printed of 0 % or less of a page than of 0 mm."""
    with pytest.raises(InputError, match="of nothing"):
        read(SQUARE, size)


@pytest.mark.parametrize("side", ["0", "0mm", "calc(1mm * 9)", "min-content", "initial", "9vw"])
def test_a_size_of_css_that_can_not_be_told_is_refused(read: Read, side: str) -> None:
    """What is right in CSS counts, not the attribute it outweighs: refused where it can't be used."""
    with pytest.raises(InputError, match=r"^drawing\.svg: .*width.*; "):
        read(SQUARE, f'style="width:{side}" width="30mm" height="15mm" {WIDE}')


@pytest.mark.parametrize(("width_mm", "flattening"), [(4000, 0.01), (400, 0.01), (100, 0.0025)])
def test_flattening_follows_the_size(read: Read, width_mm: float, flattening: float) -> None:
    """Curves are flattened within 0.01 mm, and within a 40,000th of a small artboard."""
    artwork = read('<circle r="5"/>', WIDE, PrintSize(width_mm=width_mm))
    assert artwork.flattening_mm == pytest.approx(flattening)


@pytest.mark.parametrize("x", ["Min", "Mid", "Max"])
@pytest.mark.parametrize("y", ["Min", "Mid", "Max"])
@pytest.mark.parametrize("slices", [False, True])
def test_every_alignment(read: Read, x: str, y: str, slices: bool) -> None:
    """A square drawing of 100 on pages of 200 x 100 and 100 x 200 mm: all of preserveAspectRatio.

    Fitted in, it keeps its scale and is moved by 0, 50 or 100 along the longer side; filling the page,
    it is twice as large and moved by 0, -50 or -100 along the shorter one.
    """
    box = '<rect x="45" y="45" width="10" height="10"/>'
    fitting = f"x{x}Y{y} {'slice' if slices else 'meet'}"
    share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
    for width, height in ((200, 100), (100, 200)):
        artwork = read(
            box,
            f'width="{width}mm" height="{height}mm" viewBox="0 0 100 100" '
            f'preserveAspectRatio="{fitting}"',
        )
        scale = 2 if slices else 1
        left = (width - 100 * scale) * share[x] + 45 * scale
        top = (height - 100 * scale) * share[y] + 45 * scale
        right, bottom = left + 10 * scale, top + 10 * scale
        bounds = (max(left, 0), max(top, 0), min(right, width), min(bottom, height))
        assert artwork.shapes[0].region.bounds == pytest.approx(bounds)
        assert any(("cut off" if slices else "margins") in note for note in artwork.notes)


@pytest.mark.parametrize(
    ("asked", "mm"),
    [
        (PrintSize(width_mm=300), (300, 150)),
        (PrintSize(height_mm=75), (150, 75)),
        (PrintSize(width_mm=300, height_mm=150), (300, 150)),
    ],
)
@pytest.mark.parametrize(
    ("size", "said"),
    [
        (f'width="100mm" height="50mm" {WIDE}', "100.0 x 50.0 mm"),
        (f'width="4in" height="2in" {WIDE}', "101.6 x 50.8 mm"),
        (f'width="100mm" {WIDE}', "100.0 x 50.0 mm"),
        (f'width="200px" height="100px" {WIDE}', ""),
        ('width="200" height="100"', ""),
        (WIDE, ""),
    ],
)
def test_the_orders_size_goes_before_the_files(
    read: Read, size: str, said: str, asked: PrintSize, mm: tuple[float, float]
) -> None:
    """Whatever the file says, the order's size counts; a physical one of the file's is told."""
    artwork = read(SQUARE, size, asked)
    assert (artwork.width_mm, artwork.height_mm) == pytest.approx(mm)
    assert artwork.shapes[0].region.area == pytest.approx(200 * (mm[0] / 200) ** 2)
    assert not artwork.size_assumed
    told = [note for note in artwork.notes if "as asked" in note]
    assert len(told) == (1 if said else 0)
    assert all(said in note for note in told)


@pytest.mark.parametrize("size", [f'width="200mm" height="100" {WIDE}', f'width="100" {WIDE}'])
def test_a_side_in_px_leaves_the_size_assumed(read: Read, size: str) -> None:
    """One side in mm beside one in px is no physical size; nor is one side in px alone."""
    artwork = read(SQUARE, size)
    assert artwork.size_assumed
    assert any("Size assumed" in note for note in artwork.notes)


def test_the_program_that_wrote_the_file_is_not_asked(read: Read) -> None:
    """72, 90 and 96 to the inch can't be told from who wrote the file: 96 is taken, and said."""
    body = (
        "<!-- Generator: Drawing Program 9.0, 72 dpi --><metadata>90 dpi</metadata>"
        '<x:view xmlns:x="urn:program" x:export-xdpi="90" x:document-units="mm"/>' + SQUARE
    )
    artwork = read(body, WIDE)
    assert artwork.width_mm == pytest.approx(200 * 25.4 / 96)
    assert artwork.size_assumed


def test_what_other_programs_would_have_taken_is_said_rightly(read: Read) -> None:
    """The factors of the note: 96/72 and 96/90, and the size it was read at."""
    (note,) = read(SQUARE, 'viewBox="0 0 960 480"').notes
    assert "254.0 x 127.0 mm" in note
    assert f"{96 / 72:.3f} times" in note
    assert f"{96 / 90:.3f} times" in note


@pytest.mark.parametrize(
    "size",
    [
        f'height="0" {WIDE}',
        f'width="0mm" {WIDE}',
        f'height="-3" {WIDE}',
        f'width="-100%" height="0" {WIDE}',
        'width="9mm" height="9mm" viewBox=""',
        'width="9mm" height="9mm" viewBox="none"',
        'width="9mm" height="9mm" viewBox="0 0 100 100 100"',
        'width="9mm" height="9mm" viewBox="0 0 100 0"',
        'width="9mm" height="9mm" viewBox="0 0 1e400 100"',
        'width="100%" height="9mm"',
        'width="4000mm" viewBox="0 0 100 200"',
        'viewBox="0 0 20000 100"',
    ],
)
def test_more_sizes_that_cannot_be(read: Read, size: str) -> None:
    """Nothing, less than nothing, torn view boxes, and sides that follow to more than 5 m."""
    with pytest.raises(InputError, match=r"^drawing\.svg: .*; "):
        read(SQUARE, size)


@pytest.mark.parametrize("asked", [PrintSize(width_mm=5001), PrintSize(height_mm=2501)])
def test_an_asked_size_beyond_the_limit_is_refused(read: Read, asked: PrintSize) -> None:
    """5 m is the most, also for the side that follows; 5 m itself is read."""
    with pytest.raises(InputError, match="5000 mm"):
        read(SQUARE, WIDE, asked)
    assert read(SQUARE, WIDE, PrintSize(width_mm=5000)).height_mm == pytest.approx(2500)


def test_a_giant_file_is_printed_at_the_size_asked_for(read: Read) -> None:
    """The limit is for the print: a file of 9 m is fine when the order says 280 mm."""
    artwork = read(SQUARE, f'width="9000mm" height="4500mm" {WIDE}', PrintSize(width_mm=280))
    assert (artwork.width_mm, artwork.height_mm) == pytest.approx((280, 140))
