"""Where a print goes on garments, and what is unusual about it."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
import shapely
from pydantic import ValidationError

from prep.errors import Unanswered
from prep.findings import Finding
from prep.job import Job
from prep.sections import Caution, Drawing, Figures, Table
from prep.testing import make_ask
from prep_placing import prep_answers, prep_findings, prep_sections
from prep_placing.answers import Asides
from prep_placing.rules import BODY_MM, HOODIE_TALLEST_MM, USUAL
from prep_placing.settings import PlacingOrder, PlacingShop
from prep_placing.sketch import _print, _print_box, sketch_of
from prep_placing.spots import guide_of, laid_mm
from prep_squeegee.answers import Pull, Pulls

MakePlaced = Callable[..., Job]


def _rows(job: Job) -> list[tuple[str, ...]]:
    section, *_ = prep_sections(job=job, marks=(), ask=make_ask({}))
    return [row for block in section.blocks if isinstance(block, Table) for row in block.rows]


def _figures(job: Job, ask: Any = None) -> dict[str, tuple[str, str]]:
    section, *_ = prep_sections(job=job, marks=(), ask=ask or make_ask({}))
    return {
        name: (value, rests)
        for block in section.blocks
        if isinstance(block, Figures)
        for name, value, rests in block.rows
    }


def _cautions(job: Job) -> str:
    section, *_ = prep_sections(job=job, marks=(), ask=make_ask({}))
    return " ".join(block.text for block in section.blocks if isinstance(block, Caution))


def _found(job: Job) -> list[Finding]:
    return list(prep_findings(job=job, marks=()))


def _kinds(job: Job) -> list[str]:
    return [finding.kind for finding in _found(job)]


def _shop(**tables: Any) -> list[PlacingShop]:
    return [PlacingShop.model_validate(tables)]


def test_distances_by_build(make_placed: MakePlaced) -> None:
    """Adults 75, youth 58 and 55, toddlers 45 mm; sizes of one build in one row."""
    rows = _rows(make_placed(180.0, garments=(("tee", "S|M|youth M|youth S|2T"),)))
    assert [(row[1], row[2]) for row in rows] == [
        ("S, M", "75 mm"),
        ("youth M", "58 mm"),
        ("youth S", "55 mm"),
        ("2T", "45 mm"),
    ]
    assert rows[0][3] == "60 to 90 mm; common practice"
    assert rows[3][4] == "130 to 150 mm; guess"


def test_usual_distances_lie_within_their_ranges() -> None:
    for builds in USUAL.values():
        assert set(builds) == set(BODY_MM) == set(HOODIE_TALLEST_MM)
        for usual in builds.values():
            assert usual.least_mm <= usual.away_mm <= usual.most_mm
            assert 0.0 < usual.wide_mm[0] < usual.wide_mm[1]


def test_own_distances_come_first(make_placed: MakePlaced) -> None:
    """The shop's for a build, and before them those of one size, which keep what they don't state."""
    front = {
        "adult": {"away": "80 mm", "widest": "320 mm"},
        "by_size": {"3XL": {"away": "95 mm"}},
    }
    job = make_placed(310.0, garments=(("tee", "M|3XL"),), tables=_shop(front=front))
    rows = _rows(job)
    assert [(row[1], row[2], row[3]) for row in rows] == [
        ("M", "80 mm", "yours"),
        ("3XL", "95 mm", "yours"),
    ]
    assert all(row[4] == "320 mm at most; yours" for row in rows)
    assert _kinds(job) == []


def test_an_unknown_size_is_said_and_taken_as_an_adults(make_placed: MakePlaced) -> None:
    job = make_placed(garments=(("tee", "M|tent"),))
    assert [row[1] for row in _rows(job)] == ["M, tent"]
    (found,) = _found(job)
    assert (found.severity, found.kind) == ("note", "size not known")
    assert "Size tent is taken as adults'" in found.what
    assert 'placing.front.by_size."tent"' in found.do


def test_an_unknown_place_is_said_and_taken_as_the_front(make_placed: MakePlaced) -> None:
    job = make_placed(place="hem")
    assert _kinds(job) == ["place not known"]
    assert _rows(job)[0][2] == "75 mm"


def test_a_print_wider_than_usual_is_told_by_size(make_placed: MakePlaced) -> None:
    """280 mm are usual on adults, too wide for youth S; 190 mm is usual there."""
    (found,) = _found(make_placed(280.0, garments=(("tee", "M|youth S"),)))
    assert found.severity == "note"
    assert "usually 180 to 200 mm (common practice) on youth S" in found.what
    assert "M" not in found.what.replace("mm", "")
    assert _kinds(make_placed(190.0, garments=(("tee", "youth S"),))) == []


@pytest.mark.parametrize(
    ("height", "size", "kinds"),
    [
        (250.0, "M", []),
        (251.0, "M", ["reaches the pouch"]),
        (180.0, "youth M", []),
        (200.0, "youth M", ["reaches the pouch"]),
    ],
)
def test_hoodies_have_a_pouch(
    make_placed: MakePlaced, height: float, size: str, kinds: list[str]
) -> None:
    """250 mm on adults' hoodies, 180 on youths'; a tee has none, nor has a hoodie's back."""
    garments = (("black hoodie", size),)
    found = _found(make_placed(200.0, height, garments=garments))
    assert [finding.kind for finding in found] == kinds
    assert all(finding.severity == "at risk" for finding in found)
    assert _kinds(make_placed(200.0, height, garments=(("tee", size),))) == []
    assert _kinds(make_placed(200.0, height, garments=garments, place="back")) == []


def test_what_hoodies_ask_for(make_placed: MakePlaced) -> None:
    """Pouch, hood and cords on the front, the hood on the back; heat, and children's cords."""
    adult = (("black hoodie", "M"),)
    front = _figures(make_placed(200.0, 200.0, garments=adult))
    assert front["Pouch's seam"][0] == "25 to 40 mm clear"
    assert "Hood, cords" in front
    back = _figures(make_placed(200.0, 200.0, garments=adult, place="back"))
    assert "Pouch's seam" not in back
    assert "200 mm below the collar (guess)" in back["Hood"][1]
    assert "scorch" in _cautions(make_placed(garments=adult))
    assert "child" not in _cautions(make_placed(garments=adult))
    said = _cautions(make_placed(garments=(("black hoodie", "youth M"),)))
    assert "strangle" in said
    assert "Local rules decide" in said
    assert _cautions(make_placed()) == ""


@pytest.mark.parametrize(
    ("size", "asked", "reads", "laid"),
    [
        ((80.0, 90.0), None, "upright", (80.0, 90.0)),
        ((240.0, 60.0), None, "down the arm", (60.0, 240.0)),
        ((240.0, 60.0), "up the arm", "up the arm", (60.0, 240.0)),
        ((80.0, 90.0), "down the arm", "down the arm", (90.0, 80.0)),
    ],
)
def test_which_way_a_sleeve_reads(
    make_placed: MakePlaced,
    size: tuple[float, float],
    asked: str | None,
    reads: str,
    laid: tuple[float, float],
) -> None:
    tables = [PlacingOrder.model_validate({"sleeve_reads": asked})]
    job = make_placed(*size, place="left sleeve", tables=tables)
    guide = guide_of(job)
    assert guide is not None
    assert (guide.reads, laid_mm(guide)) == (reads, laid)
    assert _figures(job)["Reads"][0] == reads


@pytest.mark.parametrize(
    ("garment", "size", "height", "kinds"),
    [
        ("tee", "toddler", 70.0, []),  # 115 of sleeve, 20 at the hem, 25 at the shoulder
        ("tee", "toddler", 75.0, [("at risk", "reaches the shoulder")]),
        ("tee", "toddler", 265.0, [("will fail", "longer than the sleeve")]),
        ("tee", "M", 155.0, []),  # 210 - 30 - 25
        ("tee", "M", 199.0, [("at risk", "reaches the shoulder")]),
        ("tee", "M", 211.0, [("will fail", "longer than the sleeve")]),
        ("hoodie", "M", 265.0, []),
        ("sweatshirt", "M", 520.0, [("at risk", "reaches the shoulder")]),  # 570 - 30 - 25 = 515
    ],
)
def test_a_print_must_end_on_the_sleeve(
    make_placed: MakePlaced,
    garment: str,
    size: str,
    height: float,
    kinds: list[tuple[str, str]],
) -> None:
    found = _found(make_placed(30.0, height, place="sleeve", garments=((garment, size),)))
    assert [(one.severity, one.kind) for one in found] == kinds


def test_what_a_sleeve_has_room_for_is_told(make_placed: MakePlaced) -> None:
    """By build, marked as a guess; the shop's own comes first."""
    garments = (("tee", "M|toddler"),)
    job = make_placed(30.0, 265.0, place="sleeve", garments=garments)
    (found,) = _found(job)
    assert "goes 265 mm along the sleeve" in found.what
    assert "on M it is 210 mm long (guess), of which 155 mm can be printed," in found.what
    assert "on toddler it is 115 mm long (guess), of which 70 mm can be printed," in found.what
    assert "print at most 7 mm wide" in found.do  # 30 mm x 70/265 = 7.9, for toddlers
    assert _figures(job)["Along sleeve"][0] == "155 mm on M (guess); 70 mm on toddler (guess)"
    toddlers = (("tee", "toddler"),)
    (thin,) = _found(make_placed(10.0, 300.0, place="sleeve", garments=toddlers, screens=1))
    assert "print it elsewhere" in thin.do  # 10 mm x 70/300 = 2.3, less than a tenth of an inch
    two = make_placed(
        30.0,
        265.0,
        place="sleeve",
        garments=(("red tee", "M"), ("hoodie", "M"), ("tee", "toddler")),
    )
    assert _figures(two)["Along sleeve"][0] == (
        "155 mm on red tee M (guess); 515 mm on hoodie M (guess); 70 mm on tee toddler (guess)"
    )
    assert "on red tee M it is 210 mm" in _found(two)[0].what
    own = _shop(sleeve={"adult": {"tallest": "300 mm"}})
    assert _kinds(make_placed(30.0, 265.0, place="sleeve", tables=own)) == []
    over = make_placed(30.0, 305.0, place="sleeve", tables=own)
    assert _kinds(over) == ["taller than you want"]
    mixed = make_placed(30.0, 305.0, place="sleeve", garments=garments, tables=own)
    assert _kinds(mixed) == ["longer than the sleeve", "taller than you want"]


def test_a_turned_print_has_its_left_at_the_shoulder(make_placed: MakePlaced) -> None:
    """The opening at the artwork's left lies uppermost when it reads down the arm, else lowest."""
    for reads, at in (("down the arm", 0.0), ("up the arm", 235.0)):
        job = make_placed(
            240.0, 60.0, place="sleeve", screens=1, tables=[PlacingOrder(sleeve_reads=reads)]
        )
        guide = guide_of(job)
        assert guide is not None
        ((turned, _),) = _print(job, guide, (0.0, 0.0))
        assert turned.bounds == pytest.approx((0.0, 0.0, 60.0, 240.0), abs=0.02)
        # the artwork's upper left corner is at its upper right when turned clockwise
        corner = max(
            shapely.get_parts(turned),
            key=lambda part: part.centroid.x if at == 0.0 else -part.centroid.x,
        )
        assert corner.bounds[1] == pytest.approx(at, abs=0.02)


def test_distances_to_frame_and_platen(make_placed: MakePlaced) -> None:
    """280 × 300 in 460 × 560: 90 beside, 130 above and below. On 380 × 480, its end at the collar's
    line: 50 beside, 75 at that end, 480 − 75 − 300 = 105 at the other."""
    shop = {"press": {"platen_width": "380 mm", "platen_height": "480 mm"}}
    pull = Pull("#1", "large", (460.0, 560.0), (1.0, 1.0), 330.0, 75.0, (70, 70), 3.0, None)
    figures = _figures(make_placed(shop=shop), make_ask({Pulls: Pulls((pull,))}))
    assert figures["Frame's inside"][0] == "90 mm beside, 130 mm above and below"
    assert figures["Platen's edge"][0] == (
        "50 mm beside, 75 mm at the collar's end, 105 mm at the other"
    )
    assert "25 mm advised, 6 mm at least (a supplier)" in figures["Platen's edge"][1]


def _platen_rows(job: Job) -> list[tuple[str, str]]:
    section, *_ = prep_sections(job=job, marks=(), ask=make_ask({}))
    blocks = [block for block in section.blocks if isinstance(block, Figures)]
    return [(row[1], row[2]) for block in blocks for row in block.rows if row[0] == "Platen's edge"]


def test_the_platen_is_told_for_each_build(make_placed: MakePlaced) -> None:
    """Half of 380 is 190; a print of 90 whose middle lies 95 aside leaves 50, with 60 aside 85.

    The ends lie at the collar: 90 and 60 mm to the print; 510 - 90 - 90 = 330 and 360 beyond it.
    """
    shop = {"press": {"platen_width": "380 mm", "platen_height": "510 mm"}}
    garments = (("tee", "M|5XL|youth XS"),)
    job = make_placed(90.0, 90.0, place="chest", garments=garments, shop=shop)
    adult, youth = _platen_rows(job)
    assert adult[0] == "240 mm left, 50 mm right, 90 mm at the collar's end, 330 mm at the other"
    assert adult[1].startswith("on M, 5XL, to the print")
    assert youth[0] == "205 mm left, 85 mm right, 60 mm at the collar's end, 360 mm at the other"
    assert youth[1].startswith("on youth XS, to the print")
    (alone,) = _platen_rows(make_placed(90.0, 90.0, place="chest", shop=shop))
    assert alone[1].startswith("to the print")


def test_a_print_over_the_platens_edge_is_said_alike(make_placed: MakePlaced) -> None:
    """400 mm on 380: 10 over each side, in the finding and in the figures. 6 inside it is the least."""
    shop = {"press": {"platen_width": "380 mm", "platen_height": "510 mm"}}
    job = make_placed(400.0, 80.0, shop=shop)
    found = next(f for f in _found(job) if f.kind == "print off the platen")
    assert "reaches 10 mm over the edge of a platen of 380 mm × 510 mm" in found.what
    assert "a platen of 412 mm × 92 mm or more, or print at most 368 mm wide" in found.do
    ((value, _),) = _platen_rows(job)
    assert value.startswith("reaches 10 mm over beside, 75 mm at the collar's end")
    pull = Pull("#1", "small", (390.0, 560.0), (1.0, 1.0), None, 75.0, (70, 70), 3.0, None)
    figures = _figures(job, make_ask({Pulls: Pulls((pull,))}))
    assert figures["Frame's inside"][0] == "reaches 5 mm over beside, 240 mm above and below"


@pytest.mark.parametrize(
    ("width", "severity"),
    [("330 mm", None), ("329 mm", "at risk"), ("292 mm", "at risk"), ("291 mm", "will fail")],
)
def test_a_print_must_lie_on_the_platen(
    make_placed: MakePlaced, width: str, severity: str | None
) -> None:
    """280 mm and 25 each side are advised, 6 each side the least."""
    shop = {"press": {"platen_width": width, "platen_height": "600 mm"}}
    found = _found(make_placed(shop=shop))
    assert [finding.severity for finding in found] == ([severity] if severity else [])


@pytest.mark.parametrize(
    ("width", "severity"),
    [
        ("340 mm", None),  # 2·(95 + 50 + 25)
        ("339 mm", "at risk"),
        ("302 mm", "at risk"),  # 2·(95 + 50 + 6)
        ("301 mm", "will fail"),
        ("280 mm", "will fail"),
    ],
)
@pytest.mark.parametrize("place", ["left chest", "right chest"])
def test_a_chest_print_must_lie_on_the_platen(
    make_placed: MakePlaced, place: str, width: str, severity: str | None
) -> None:
    """100 mm wide, 95 mm beside the platen's middle; on youths 75 and not the worse ones."""
    shop = {"press": {"platen_width": width, "platen_height": "400 mm"}}
    front = {"adult": {"widest": "100 mm"}, "youth": {"widest": "100 mm"}}
    garments = (("tee", "youth M|M"),)
    tables = _shop(chest=front)
    found = _found(
        make_placed(100.0, 80.0, place=place, garments=garments, shop=shop, tables=tables)
    )
    assert [finding.severity for finding in found] == ([severity] if severity else [])
    if width == "280 mm":
        assert "95 mm beside the garment's centre line on M, reaches 5 mm over" in found[0].what
        assert "a platen of 302 × 92 mm" in found[0].do.replace(" mm ×", " ×")
        assert "or print at most 78 mm wide" in found[0].do
        assert "aside under [placing.chest]" in found[0].do


def test_the_asides_are_those_of_all_garments(make_placed: MakePlaced) -> None:
    """Adults 95, youths 75 mm; on the front none."""
    garments = (("tee", "M|youth M|L"),)
    for place, asides in (
        ("chest", (75.0, 95.0)),
        ("right chest", (-95.0, -75.0)),
        ("back", (0.0,)),
    ):
        job = make_placed(60.0, 60.0, place=place, garments=garments)
        assert prep_answers()[Asides](job, make_ask({})) == Asides(asides)
    with pytest.raises(Unanswered):
        prep_answers()[Asides](replace(job, screens=()), make_ask({}))


def test_a_short_platen_lies_in_the_middle_of_the_print(make_placed: MakePlaced) -> None:
    """300 on 380: with its end at the collar's line 5 mm would be left; 40 are where it is moved."""
    shop = {"press": {"platen_width": "380 mm", "platen_height": "380 mm"}}
    job = make_placed(shop=shop)
    assert _kinds(job) == []
    assert "40 mm at the collar's end, 40 mm at the other" in _figures(job)["Platen's edge"][0]
    near = make_placed(shop={"press": {"platen_width": "380 mm", "platen_height": "390 mm"}})
    assert _kinds(near) == []
    assert "45 mm at the collar's end, 45 mm at the other" in _figures(near)["Platen's edge"][0]


def test_a_sleeve_lies_on_a_board_of_its_own(make_placed: MakePlaced) -> None:
    shop = {"press": {"platen_width": "60 mm", "platen_height": "60 mm"}}
    job = make_placed(80.0, 90.0, place="sleeve", shop=shop)
    assert _kinds(job) == []
    assert _figures(job)["Platen"][0] == "a sleeve board"


def test_the_chest_is_the_wearers_left(make_placed: MakePlaced) -> None:
    figures = _figures(make_placed(90.0, 90.0, place="left chest"))
    assert figures["Centre"][0] == "95 mm (M) from the garment's centre line"
    assert "at your right when the front lies up" in figures["Centre"][1]


@pytest.mark.parametrize(
    ("place", "side", "at"),
    [
        ("chest", "left", "right"),
        ("left chest", "left", "right"),
        ("Right chest", "right", "left"),
        ("pocket, the wearer's right", "right", "left"),
    ],
)
def test_the_chests_side_is_the_orders(
    make_placed: MakePlaced, place: str, side: str, at: str
) -> None:
    """The words, and the sketch: 95 mm right of the garment's middle, seen from above, or left of it."""
    job = make_placed(90.0, 90.0, place=place)
    assert (
        _figures(job)["Centre"][1] == f"on the wearer's {side}, at your {at} when the front lies up"
    )
    guide = guide_of(job)
    assert guide is not None
    box = _print_box(guide, guide.spots[0])
    assert (box[0] + box[2]) / 2.0 == (95.0 if side == "left" else -95.0)
    assert _kinds(job) == []


def test_both_sides_are_no_place(make_placed: MakePlaced) -> None:
    (found,) = _found(make_placed(90.0, 90.0, place="left and right chest"))
    assert (found.severity, found.kind) == ("note", "side not known")
    assert "for the wearer's left" in found.why


def test_the_sketch_is_to_scale(make_placed: MakePlaced) -> None:
    """Print and distance have the size they have on the garment; the picture says its scale."""
    job = make_placed(garments=(("tee", "M|youth S"),))
    guide = guide_of(job)
    assert guide is not None
    picture, scale = sketch_of(job, guide)
    assert picture.svg.count('width="280" height="300"') == 2
    assert "75 mm" in picture.svg
    assert "55 mm" in picture.svg
    assert picture.width_mm * scale <= 170.0 + 1e-6
    assert picture.height_mm * scale <= 66.0 + 1e-6
    section, *_ = prep_sections(job=job, marks=(), ask=make_ask({}))
    (drawing,) = (block for block in section.blocks if isinstance(block, Drawing))
    assert drawing.scale == scale
    assert f"1 to {1 / scale:.0f}" in drawing.caption


def _sketch(job: Job) -> str:
    guide = guide_of(job)
    assert guide is not None
    return sketch_of(job, guide)[0].svg


def _written(svg: str) -> dict[str, shapely.Polygon]:
    """Give the room that each text takes, a letter 0.6 of its height wide."""
    found = {}
    pattern = r'<text x="(\S+)" y="(\S+)" text-anchor="(\w+)".*? font-size="(\S+)".*?>([^<]+)<'
    for x, y, anchor, size, text in re.findall(pattern, svg):
        high, wide = float(size), 0.6 * float(size) * len(text)
        left = float(x) - {"start": 0.0, "middle": wide / 2.0, "end": wide}[anchor]
        found[text] = shapely.box(left, float(y) - high, left + wide, float(y))
    return found


@pytest.mark.parametrize("garment", ["tee", "hoodie"])
@pytest.mark.parametrize("height", [60.0, 265.0])
def test_labels_of_a_sleeve_are_kept_apart(
    make_placed: MakePlaced, garment: str, height: float
) -> None:
    """Neither over each other nor over the print, though it goes beyond the shoulder."""
    job = make_placed(50.0, height, place="sleeve", garments=((garment, "toddler"),))
    svg = _sketch(job)
    written = _written(svg)
    assert set(written) == {"shoulder", "20 mm", "toddler", "hem" if garment == "tee" else "cuff"}
    (x, y, wide, high) = re.findall(r'<rect x="(\S+)" y="(\S+)" width="(\S+)" height="(\S+)"', svg)[
        0
    ]
    printed = shapely.box(float(x), float(y), float(x) + float(wide), float(y) + float(high))
    for one, other in itertools.combinations([*written.values(), printed], 2):
        assert not one.intersects(other)


@pytest.mark.parametrize(
    ("place", "middle"), [("left chest", 50.0), ("right chest", -50.0), ("front", 0.0)]
)
def test_a_distance_on_the_body_lies_towards_its_middle(
    make_placed: MakePlaced, place: str, middle: float
) -> None:
    """Away from the shoulder's slope; a toddler's chest print lies 50 mm aside."""
    svg = _sketch(make_placed(50.0, 50.0, place=place, garments=(("tee", "toddler"),)))
    x0, _, x1, _ = _written(svg)["45 mm"].bounds
    centre = _written(svg)["toddler"].centroid.x
    assert (x1 < centre + middle) if middle > 0.0 else (x0 > centre + middle)


def test_a_long_sleeve_is_drawn_long(make_placed: MakePlaced) -> None:
    """From the shoulder's label to the cuff's: 570 mm on an adult's hoodie, 210 on a tee."""
    for garment, end, long in (("hoodie", "cuff", 570.0), ("tee", "hem", 210.0)):
        job = make_placed(60.0, 60.0, place="sleeve", garments=((garment, "M"),))
        written = _written(_sketch(job))
        assert written[end].bounds[3] - written["shoulder"].bounds[3] == pytest.approx(long)


def test_the_sketch_has_the_colours_of_garment_and_inks(make_placed: MakePlaced) -> None:
    """The cloth's own with a lighter edge where it is dark; an ink like the cloth has an outline."""

    def drawn(colour: str) -> list[tuple[str, str]]:
        job = make_placed(60.0, 60.0, screens=1)
        batches = tuple(replace(batch, colour=colour) for batch in job.setup.batches)
        svg = _sketch(replace(job, setup=replace(job.setup, batches=batches)))
        return re.findall(r'<path .*?fill="(#\w+)"(?: stroke="(#\w+)")?', svg)

    assert drawn("#000000") == [("#000000", "#8a857f"), ("#111111", "#808080")]
    assert drawn("#ffffff") == [("#ffffff", "#1a1a1a"), ("#111111", "")]


@pytest.mark.parametrize("place", ["front", "back", "left chest", "sleeve"])
@pytest.mark.parametrize("garment", ["tee", "sweatshirt", "hoodie"])
def test_sketches_are_wholly_in_the_picture(
    make_placed: MakePlaced, place: str, garment: str
) -> None:
    """No outline reaches over the picture's edge, hood included."""
    job = make_placed(90.0, 90.0, place=place, garments=((garment, "M|youth M|2T"),))
    guide = guide_of(job)
    assert guide is not None
    picture, _ = sketch_of(job, guide)
    x0, y0, wide, high = (float(v) for v in re.search(r'viewBox="([^"]+)"', picture.svg)[1].split())  # type: ignore[index]  # there is one
    points = [
        tuple(map(float, pair.split(",")))
        for data in re.findall(r' (?:d|points)="([^"]+)"', picture.svg)
        for pair in re.findall(r"-?[\d.]+,-?[\d.]+", data)
    ]
    seen = shapely.box(x0, y0, x0 + wide, y0 + high)
    assert shapely.covers(seen, shapely.points(points)).all()


def test_inches(make_placed: MakePlaced) -> None:
    rows = _rows(make_placed(shop={"units": "inch"}))
    assert rows[0][2] == "3 in"
    assert rows[0][3] == "2.4 to 3.5 in; common practice"


@pytest.mark.parametrize(
    ("tables", "says"),
    [
        ({"front": {"adult": {"away": "-5 mm"}}}, "must be more than 0"),
        ({"front": {"grown": {"away": "5 mm"}}}, "Extra inputs"),
        ({"overlap": "2 mm"}, "greater than or equal to 5"),
        ({"least_platen_edge": "30 mm"}, "is more than platen_edge of 25 mm"),
        ({"back": {"by_size": {"M": {"away": 5}}}}, "needs a number with its unit"),
    ],
)
def test_settings_that_can_not_be(tables: dict[str, Any], says: str) -> None:
    with pytest.raises(ValidationError, match=says):
        PlacingShop.model_validate(tables)


def test_the_customer_sees_the_print_on_each_build(make_placed: MakePlaced) -> None:
    """A picture, and for each build where the print begins; none of the platen's and frame's distances."""
    job = make_placed(180.0, garments=(("tee", "S|M|youth M"),))
    _, section, *_ = prep_sections(job=job, marks=(), ask=make_ask({}))
    assert section.chapter == "customer"
    picture, figures = section.blocks
    assert isinstance(picture, Drawing)
    assert isinstance(figures, Figures)
    assert [row[1:] for row in figures.rows] == [
        ("75 mm below the collar", "S, M"),
        ("58 mm below the collar", "youth M"),
    ]
