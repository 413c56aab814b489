"""The proof: what it lets pass, and what it finds."""

from __future__ import annotations

import dataclasses
import io
from collections.abc import Sequence

import pytest
import shapely
from PIL import Image
from shapely import MultiPolygon

from prep.artwork import Artwork, PrintSize
from prep.separations import separate
from prep.svg import ReadingOptions, read_svg
from prep.svg.older_colours import restated
from prep.svg.proof import Proof, _pixels_across, proof

Visible = list[tuple[str, MultiPolygon]]
BODY = (
    '<rect x="10" y="10" width="60" height="40" fill="#1f3a5f"/>'
    '<circle cx="70" cy="60" r="25" fill="#d64550"/>'
    '<path d="M10 80C40 60 60 100 90 80" fill="none" stroke="#2e7d32" stroke-width="2"/>'
    '<path d="M20 20h30" stroke="#fff" stroke-width="0.4"/>'
)


def page(body: str, width: str = "200mm") -> bytes:
    """Give a square drawing of 100 units."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{width}" '
        f'viewBox="0 0 100 100">{body}</svg>'
    ).encode()


def proved(drawn: bytes, read: bytes | None = None, shift: Visible | None = None) -> Proof:
    """Read one drawing and prove it against another."""
    artwork = read_svg(read or drawn, name="x.svg", size=PrintSize())
    visible = shift or [(one.colour, one.region) for one in separate(artwork)]
    return proof(drawn, artwork, visible)


def test_faithful_reading_has_no_differences() -> None:
    """Nothing differs where the reading is right, at several sizes; both pictures come along."""
    for width in ("3mm", "60mm", "450mm"):
        made = proved(page(BODY, width))
        assert made.differences == ()
        for png in (made.drawn_png, made.read_png):
            assert Image.open(io.BytesIO(png)).format == "PNG"


@pytest.mark.parametrize(
    ("missing", "colour", "near"),
    [
        ('<rect x="80" y="20" width="1" height="1" fill="#123456"/>', "#123456", (161, 41)),
        # a hairline of 0.3 mm and 20 mm long, far less than half a percent of the page
        ('<path d="M75 5h10" stroke="#123456" stroke-width=".15"/>', "#123456", (160, 10)),
        # a line of another colour within a shape
        ('<path d="M20 40h30" stroke="#fff" stroke-width=".5"/>', "#ffffff", (70, 80)),
    ],
)
def test_lost_shape_is_found_with_its_place(
    missing: str, colour: str, near: tuple[float, float]
) -> None:
    """A small shape that wasn't read is named with colour and place."""
    found = proved(page(BODY + missing), page(BODY)).differences
    assert len(found) == 1
    assert found[0].colour == colour
    assert found[0].at_mm == pytest.approx(near, abs=15)
    assert found[0].area_mm2 > 1


def test_filled_in_counter_is_found() -> None:
    """A hole that was closed by mistake is found."""
    ring = '<path fill-rule="evenodd" d="M40 70h12v12h-12zM44 74h4v4h-4z"/>'
    full = '<path d="M40 70h12v12h-12z"/>'
    found = proved(page(BODY + ring), page(BODY + full)).differences[0]
    assert "should be bare, but was read as #000000" in found.what
    assert found.area_mm2 == pytest.approx(64, rel=0.2)


def test_wrong_colour_is_found() -> None:
    """A shape read in another colour is found, however alike."""
    right = '<rect x="80" y="5" width="9" height="9" fill="#204060"/>'
    wrong = right.replace("#204060", "#204068")
    found = proved(page(BODY + right, "40mm"), page(BODY + wrong, "40mm"))
    assert found.differences[0].what.endswith("should be #204060, but was read as #204068")


def test_everything_a_little_off_is_found_by_its_share() -> None:
    """Edges off by less than a pixel all over are found by the colour's share."""
    dots = "".join(
        f'<circle cx="{x}" cy="{y}" r="{{0}}"/>' for x in range(2, 99, 4) for y in range(2, 99, 4)
    )
    found = proved(page(dots.format(1)), page(dots.format(1.06))).differences
    assert len(found) == 1
    assert found[0].at_mm is None
    assert "more than it should" in found[0].what


def dots(across: int, radius: float, colour: str = "#c0392b") -> str:
    """Give rows of equal dots over the whole page."""
    step = 100 / across
    places = [(number + 0.5) * step for number in range(across)]
    return "".join(
        f'<circle cx="{x:.3f}" cy="{y:.3f}" r="{radius}" fill="{colour}"/>'
        for x in places
        for y in places
    )


@pytest.mark.parametrize("elsewhere", ["", '<path d="M90 90h8v8h-8z" fill="#c0392b"/>'])
def test_lost_stipple_is_found_though_each_dot_is_small(elsewhere: str) -> None:
    """2,500 dots of 0.8 mm2 on 300 mm square, 2 % of it; with the colour seen elsewhere, and not."""
    lost = dots(50, 1 / 6)
    found = proved(page(BODY + elsewhere + lost, "300mm"), page(BODY + elsewhere, "300mm"))
    (only,) = found.differences
    assert (only.colour, only.at_mm) == ("#c0392b", None)
    # 2500 x 0.785 mm2; the renderer draws circles of some pixels as polygons of few corners
    assert 0.7 * 1963 < only.area_mm2 < 1.1 * 1963
    assert "should be #c0392b" in only.what


def test_a_lost_ink_is_found_though_it_covers_little() -> None:
    """100 dots of 0.8 mm2 make 0.09 % of the page, but no other shape has their colour."""
    (only,) = proved(page(BODY + dots(10, 1 / 6), "300mm"), page(BODY, "300mm")).differences
    assert 0.7 * 78.5 < only.area_mm2 < 1.1 * 78.5


def test_an_ink_made_up_is_found_though_it_covers_little() -> None:
    """The other way about: the drawing has no such dots."""
    (only,) = proved(page(BODY, "300mm"), page(BODY + dots(10, 1 / 6), "300mm")).differences
    assert only.colour == "#c0392b"
    assert "were read as #c0392b" in only.what


def test_a_lost_outline_along_an_edge_is_found() -> None:
    """A line of two pixels lies where what was read has an edge too, and isn't one of its pixels."""
    body = '<path d="M20 20h60v60h-60z" fill="#d64550"{}/>'
    drawn = body.format(' stroke="#000" stroke-width=".25"')
    (only,) = proved(page(drawn, "300mm"), page(body.format(""), "300mm")).differences
    assert only.colour == "#000000"
    # 240 units of a quarter unit, a unit being 3 mm
    assert only.area_mm2 == pytest.approx(540, rel=0.25)


def test_dots_read_elsewhere_are_found_though_the_shares_agree() -> None:
    """Dots a little aside cover as much as before."""
    square = '<path d="M90 90h8v8h-8z" fill="#c0392b"/>'
    moved = f'<g transform="translate(1 1)">{dots(50, 1 / 6)}</g>'
    made = proved(page(square + dots(50, 1 / 6), "300mm"), page(square + moved, "300mm"))
    assert made.differences


def test_faithful_stipple_passes() -> None:
    """The renderer draws small circles as polygons of few corners, a tenth smaller."""
    assert proved(page(dots(50, 0.1), "300mm")).differences == ()


def test_faithful_hairlines_pass() -> None:
    """Lines of a seventh of a pixel, level and slanted, which are drawn in bits."""
    for slope in (0, 12):
        lines = "".join(f"M0 {y / 2 + 0.1}l100 {slope}" for y in range(200))
        body = f'<path d="{lines}" fill="none" stroke="#222" stroke-width=".02"/>'
        assert proved(page(body, "300mm")).differences == ()


@pytest.mark.parametrize(
    ("width_mm", "height_mm", "pixel_mm"),
    # 280 x 280 mm in 600,000 pixels: sqrt(0.1307 mm2); then the finest, the coarsest, 20 mm / 400
    [(280, 280, 0.3615), (100, 50, 0.1), (600, 400, 0.5), (20, 20, 0.05)],
)
def test_pixels_are_as_large_as_the_guides_say(
    width_mm: float, height_mm: float, pixel_mm: float
) -> None:
    """What the proof can see hangs on this."""
    artwork = Artwork("x.svg", width_mm, height_mm, (), 0.01)
    assert width_mm / _pixels_across(artwork) == pytest.approx(pixel_mm, rel=0.002)


def test_shifted_region_is_found() -> None:
    """A region half a millimetre off shows as differing edges."""
    drawn = page(BODY, "40mm")
    artwork = read_svg(drawn, name="x.svg", size=PrintSize())
    moved = [
        (one.colour, shapely.transform(one.region, lambda points: points + 0.5))
        for one in separate(artwork)
    ]
    assert proof(drawn, artwork, moved).differences


def test_smoothed_edges_are_no_difference() -> None:
    """Where the drawing asks for smooth edges, their mixed pixels pass as edges."""
    body = '<circle cx="50" cy="50" r="30" fill="#d64550" shape-rendering="geometricPrecision"/>'
    clip = (
        '<clipPath id="c"><rect width="50.3" height="50.3"/></clipPath>'
        '<g clip-path="url(#c)"><circle cx="50" cy="50" r="45" fill="#1f3a5f"/></g>'
    )
    assert proved(page(clip + body, "60mm")).differences == ()


def test_untouched_by_size_of_the_order() -> None:
    """The picture follows the asked size, not the file's; also without a view box."""
    data = page(BODY).replace(b'viewBox="0 0 100 100"', b"").replace(b"200mm", b"100")
    artwork = read_svg(data, name="x.svg", size=PrintSize(width_mm=77))
    visible = [(one.colour, one.region) for one in separate(artwork)]
    assert proof(data, artwork, visible).differences == ()


def test_tints_are_proved_on_their_ground() -> None:
    """Tints made solid are compared over the garment's colour."""
    tint = '<rect x="5" y="30" width="80" height="30" fill="#fc0" opacity=".4"/>'
    data = page(BODY + tint, "40mm")
    artwork = read_svg(
        data, name="x.svg", size=PrintSize(), options=ReadingOptions(solid_tints_on="#203040")
    )
    visible: Sequence[tuple[str, MultiPolygon]] = [
        (one.colour, one.region) for one in separate(artwork)
    ]
    assert proof(data, artwork, visible, ground="#203040").differences == ()
    off = [(colour, region) for colour, region in visible if colour != visible[-1][0]]
    assert proof(data, artwork, off, ground="#203040").differences


def test_nothing_outside_the_file_is_opened(tmp_path: object) -> None:
    """The renderer isn't shown where pictures lie, not even hidden ones."""
    from prep.svg.proof import _restated

    artwork = read_svg(page(BODY), name="x.svg", size=PrintSize())
    hidden = '<g display="none"><image href="secret.png" width="9" height="9"/></g>'
    assert "secret" not in _restated(page(BODY + hidden), dataclasses.replace(artwork))


@pytest.mark.parametrize(
    ("text", "older"),
    [
        ("rebeccapurple", "#663399"),
        ("rgb(31 58 95 / 100%)", "#1f3a5f"),
        ("hwb(240 0% 0%)", "#0000ff"),
        ("hsl(120deg 100% 25%)", "#008000"),
        ("lab(100% 0 0)", "#ffffff"),
        ("color(srgb 0.2 0.6 0)", "#339900"),
        ("rgb(31 58 95 / 50%)", "rgba(31, 58, 95, 0.500000)"),
        ("rgba(31, 58, 95, 50%)", "rgba(31, 58, 95, 0.500000)"),
        ("CURRENTCOLOR", "currentColor"),
    ],
)
def test_colours_the_renderer_does_not_know_are_restated(text: str, older: str) -> None:
    """Newer syntax becomes older, so that the proof doesn't take it for black."""
    assert restated(text) == older
    assert restated(f"fill: {text}; opacity:1") == f"fill: {older}; opacity:1"


@pytest.mark.parametrize(
    "text",
    [
        *("#abc", "#aabbccdd", "red", "none", "currentColor", "url(#a) red"),
        *("rgb(1, 2, 3)", "rgba(1, 2, 3, .5)", "rgb(10%, 20%, 30%)", "hsl(480, 100%, 25%)"),
        *(".rebeccapurple{fill:red}", "#currentcolor{fill:red}", "my-rebeccapurple"),
        *("color-mix(in srgb, red, blue)", "rgb(nonsense)", "device-cmyk(0 1 1 0)"),
    ],
)
def test_other_colours_stay_as_written(text: str) -> None:
    """What the renderer knows it reads for itself; what nobody can tell was refused before."""
    assert restated(text) == text


@pytest.mark.parametrize(
    "form",
    [
        '<rect width="50" height="50" fill="{}"/>',
        '<rect width="50" height="50" fill="red" style="fill:{}"/>',
        '<style>/* a > b */ g &gt; rect{{fill:{}}}</style><g><rect width="50" height="50"/></g>',
        '<g color="{}"><rect width="50" height="50" fill="currentcolor"/></g>',
    ],
)
@pytest.mark.parametrize("text", ["rebeccapurple", "hwb(120 20% 40%)", "oklch(60% 0.1 30)"])
def test_newer_colours_pass_the_proof(form: str, text: str) -> None:
    """Wherever a colour may stand."""
    assert proved(page(form.format(text), "40mm")).differences == ()


@pytest.mark.parametrize(
    "page",
    [
        'style="width:60mm;height:30mm"',
        'style="width:60mm;height:30mm" width="30mm" height="15mm"',
        'width="60mm" height="30mm"',
    ],
)
def test_pages_without_a_view_box_are_proved_at_the_size_that_counts(page: str) -> None:
    """Sizes in styles, which the renderer doesn't know, and sizes in attributes."""
    drawn = f'<svg xmlns="http://www.w3.org/2000/svg" {page}><rect width="90" height="60"/></svg>'
    assert proved(drawn.encode()).differences == ()
