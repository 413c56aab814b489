"""What a job is told of frames, squeegees and off-contact."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from pydantic import ValidationError
from shapely import MultiPolygon, box

from prep.errors import Unanswered
from prep.findings import Finding
from prep.job import Job
from prep.order import Batch
from prep.sections import Caution, Figures
from prep.shop import Shop
from prep.testing import make_ask, make_job
from prep_registration.answers import Target, Targets
from prep_squeegee import prep_answers, prep_findings, prep_sections
from prep_squeegee.answers import FrameRoom, Pulls
from prep_squeegee.settings import Squeegee
from prep_stencils.answers import FilmSheets


def _frame(name: str, width: float, height: float, **more: object) -> dict[str, object]:
    return {
        "name": name,
        "inside_width": f"{width} mm",
        "inside_height": f"{height} mm",
        **more,
    }


def _corners(left: float, right: float, height: float) -> MultiPolygon:
    """Reach from left to right and from 0 to ``height``, with little to measure."""
    return MultiPolygon([box(left, 0, left + 5, 5), box(right - 5, height - 5, right, height)])


def _job(
    width: float = 280.0,
    height: float = 300.0,
    *frames: dict[str, object],
    screens: int = 1,
    **more: Any,
) -> Job:
    shop: dict[str, Any] = {"frame": list(frames), **more.pop("shop", {})}
    part = width / screens
    colours = {
        f"#{6 * str(i + 1)}": _corners(part * i, part * (i + 1), height) for i in range(screens)
    }
    return make_job(colours, shop=Shop.model_validate(shop), **more)


def _found(job: Job, *answers: object) -> list[Finding]:
    return list(prep_findings(job=job, ask=make_ask({type(a): a for a in answers})))


def _figures(job: Job, *answers: object) -> list[dict[str, tuple[str, str]]]:
    sections = prep_sections(job=job, ask=make_ask({type(a): a for a in answers}))
    return [
        {name: (value, rests) for name, value, rests in block.rows}
        for section in sections
        for block in section.blocks
        if isinstance(block, Figures)
    ]


def _sheets(width: float, height: float) -> FilmSheets:
    return FilmSheets((), width, height, height)


def _pulls(job: Job, *answers: object) -> Pulls:
    found = prep_answers()[Pulls](job, make_ask({type(a): a for a in answers}))
    assert isinstance(found, Pulls)
    return found


@pytest.mark.parametrize(("inside", "fails"), [(387, False), (385, True)])
def test_a_frame_must_hold_print_and_squeegee(inside: int, fails: bool) -> None:
    """280 mm of print, 13 mm of squeegee and 40 mm to the frame each side: 386 mm inside."""
    kinds = [f.kind for f in _found(_job(280, 300, _frame("one", inside, 600)))]
    assert kinds == (["no frame holds the print"] if fails else [])


def test_what_is_missing_is_said_with_the_largest_print() -> None:
    """324 mm need 430; 400 leave 294 to the print; 380 of 400 to height, so the width decides."""
    (found,) = _found(_job(324, 300, _frame("wide", 400, 600), _frame("small", 240, 300)))
    assert found.severity == "will fail"
    assert "needs an inside width of 430 mm; your largest is 400 mm (wide)" in found.what
    assert 'print at most 294 mm wide (--width "294 mm")' in found.do


def test_a_height_and_both_are_said() -> None:
    (high,) = _found(_job(200, 500, _frame("one", 500, 560)))
    assert "inside height of 580 mm; your largest is 560 mm" in high.what
    (both,) = _found(_job(324, 500, _frame("one", 400, 560)))
    assert "a frame of 430 × 580 mm inside; your largest, one, has 400 × 560 mm" in both.what
    (apart,) = _found(_job(324, 500, _frame("wide", 500, 400), _frame("long", 300, 700)))
    assert "a frame of 430 × 580 mm inside" in apart.what


def test_all_that_is_too_small_is_said_at_once() -> None:
    """400 mm of print: 426 of squeegee and 506 of frame, where 350 and 460 are the largest.

    350 of squeegee print 324; so does a frame of 700, in which the squeegee alone is too short.
    """
    table = Squeegee.model_validate({"lengths": ["300 mm", "350 mm"]})
    (both,) = _found(_job(400, 80, _frame("one", 460, 560), tables=[table]))
    assert "squeegee must be 426 mm or more; your longest is 350 mm" in both.what
    assert "a frame of 506 × 160 mm inside or larger and a squeegee of 426 mm or more" in both.do
    assert "at most 324 mm wide" in both.do
    (blade,) = _found(_job(400, 80, _frame("one", 700, 560), tables=[table]))
    assert blade.kind == "no squeegee fits"
    assert "at most 324 mm wide" in blade.do
    (frame,) = _found(_job(400, 80, _frame("one", 460, 560)))
    assert "squeegee" not in frame.what + frame.do


def test_no_print_fits_a_frame_narrower_than_its_room() -> None:
    """100 mm inside leave less than nothing beside 2·53: no width is offered."""
    (found,) = _found(_job(280, 300, _frame("tiny", 100, 600)))
    assert "print at most" not in found.do


def test_targets_count_too() -> None:
    """Targets 40 mm above and below: 300 + 80 + 80 = 460 high."""
    targets = Targets(
        (
            Target("top target", (140, -32), (132, -40, 148, -24)),
            Target("bottom target", (140, 332), (132, 324, 148, 340)),
        )
    )
    job = _job(280, 300, _frame("one", 460, 459), screens=2)
    assert [f.kind for f in _found(job, targets)] == ["no frame holds the print"]
    assert _found(job) == []


def test_without_frames_the_need_is_said() -> None:
    job = _job(280, 300)
    assert _found(job) == []
    (figures,) = _figures(job)
    assert figures["Frame"][0] == "none stated"
    assert "386 × 380 mm" in figures["Frame"][1]
    paragraph = next(iter(prep_sections(job=job, ask=make_ask({})))).blocks[0]
    assert "386 × 380 mm or more" in paragraph.text  # type: ignore[union-attr]  # a paragraph


def test_film_larger_than_the_frame_names_margin_and_frame() -> None:
    """A film of 480 × 500 in a frame of 460 × 560: (460 − 280) / 2 = 90 mm of margin fit."""
    job = _job(280, 300, _frame("large", 460, 560), shop={"film": {"margin": "100 mm"}})
    (found,) = _found(job, _sheets(480, 500))
    assert (found.severity, found.kind) == ("will fail", "film larger than the frame")
    assert "480 × 500 mm; frame large has 460 × 560 mm" in found.what
    assert 'film.margin to "90 mm"' in found.do
    assert _found(job, _sheets(450, 500)) == []
    assert _found(job, _sheets(460, 560)) == []


def test_a_larger_frame_is_taken_for_the_film() -> None:
    """390 mm hold the squeegee, but a film of 400 needs the next larger frame."""
    job = _job(280, 300, _frame("first", 390, 560), _frame("second", 410, 560))
    assert _pulls(job).pulls[0].frame == "first"
    assert _pulls(job, _sheets(400, 420)).pulls[0].frame == "second"


def test_one_frame_for_each_film_that_hangs() -> None:
    """Three films on a press of four, two frames: one lacks. On a press of one they hang in turns.

    The middle film needs least, as those beside the middle need room there on both sides.
    """
    frame = _frame("one", 460, 560, count=2)
    four = {"press": {"kind": "simple press", "stations": 4}}
    (found,) = _found(_job(280, 300, frame, screens=3, shop=four))
    assert (found.severity, found.kind) == ("at risk", "too few frames")
    assert "3 films hang at the same time, and you have 2 of the frames" in found.what
    assert "screen 2" in found.why
    assert "press.stations to 2" in found.do
    alone = {"press": {"kind": "hinged frame"}}
    assert _found(_job(280, 300, frame, screens=3, shop=alone)) == []


def test_a_film_that_serves_two_screens_hangs_once() -> None:
    job = _job(280, 300, _frame("one", 460, 560, count=1), screens=2)
    one = job.screens[0].region
    shared = replace(job, screens=tuple(replace(s, film="shared", region=one) for s in job.screens))
    assert [
        f.kind for f in _found(replace(job, shop=shared.shop))
    ] == []  # a hinged frame holds one
    four = Shop.model_validate(
        {
            "frame": [_frame("one", 460, 560, count=1)],
            "press": {"kind": "simple press", "stations": 4},
        }
    )
    assert [f.kind for f in _found(replace(job, shop=four))] == ["too few frames"]
    assert _found(replace(shared, shop=four)) == []
    assert [pull.frame for pull in _pulls(replace(shared, shop=four)).pulls] == ["one", "one"]


def _shared(first: Any, second: Any, *frames: dict[str, object], **more: Any) -> Job:
    """Two inks through one film."""
    shop = Shop.model_validate({"frame": list(frames)})
    job = make_job({"#111111": first, "#222222": second}, shop=shop, **more)
    return replace(job, screens=tuple(replace(s, film="shared") for s in job.screens))


def test_inks_side_by_side_have_a_squeegee_each() -> None:
    """60 mm of openings: 60 + 2·25 = 110 of squeegee, 90 of the lane of 180 to each.

    120 mm in stock will do, 30 beyond. The frame holds 300 + 2·13 + 2·40 = 406 all the same.
    """
    frame = _frame("one", 460, 560)
    first, second = box(0, 0, 60, 100), box(240, 0, 300, 100)
    job = _shared(first, second, frame)
    assert [pull.squeegee_mm for pull in _pulls(job).pulls] == [110.0, 110.0]
    assert {pull.needs_mm[0] for pull in _pulls(job).pulls} == {406.0}
    stock = _shared(
        first, second, frame, tables=[Squeegee.model_validate({"lengths": ["120 mm", "350 mm"]})]
    )
    assert _found(stock) == []
    assert [pull.squeegee_mm for pull in _pulls(stock).pulls] == [120.0, 120.0]
    left, right = (figures["Squeegee"] for figures in _figures(stock))
    assert left == (
        "120 mm",
        "30 mm beyond its own openings, at most 90 mm on the right: half the lane to the other ink",
    )
    assert "at most 90 mm on the left" in right[1]
    near = _shared(
        box(0, 0, 60, 100),
        box(110, 0, 170, 100),
        frame,
        tables=[Squeegee.model_validate({"lengths": ["120 mm"]})],
    )
    said = _figures(near)[0]["Squeegee"][1]  # 25 mm of the lane, so 35 on the other side
    assert "60 mm longer than its own openings, not in their middle, at most 25 mm on" in said


def test_a_long_squeegee_would_reach_the_other_ink() -> None:
    """Each 100 mm with a lane of 60: 280 of stock would drag ink over the other.

    From 13 mm over each side to half the lane (30) and the film's margin (50); 25 each side are advised.
    """
    table = Squeegee.model_validate({"lengths": ["280 mm"]})
    job = _shared(
        box(0, 0, 100, 100), box(160, 0, 260, 100), _frame("one", 460, 560), tables=[table]
    )
    first, second = _found(job)
    assert (first.severity, first.kind, second.kind) == ("at risk", *(["no squeegee fits"] * 2))
    assert (
        "screen 1 (#111111) must be 126 mm to 180 mm long, 150 mm best; you have 280 mm"
        in first.what
    )
    assert "stay off the openings of the other ink" in first.why


def test_a_lane_too_narrow_for_two_squeegees() -> None:
    """Half of 20 mm is 10, and a squeegee wants 13."""
    job = _shared(box(0, 0, 100, 100), box(120, 0, 220, 100), _frame("one", 460, 560))
    found = _found(job)
    assert [f.kind for f in found] == ["lane too narrow for squeegees"] * 2
    assert "screen 1 (#111111) is 10 mm; its squeegee reaches 13 mm" in found[0].what


def test_inks_above_each_other_have_a_short_stroke() -> None:
    """A lane of 60 between them leaves 30 to the ink of each; the frame leaves 150 at the ends.

    Each squeegee is as long as its own openings ask: 200 + 50 and 40 + 50.
    """
    job = _shared(box(0, 0, 200, 100), box(80, 160, 120, 260), _frame("one", 460, 560))
    assert [pull.squeegee_mm for pull in _pulls(job).pulls] == [250.0, 90.0]
    upper, lower = (figures["Ink above, below"] for figures in _figures(job))
    assert (upper[0], lower[0]) == ("150 mm, 30 mm", "30 mm, 150 mm")
    assert "a short stroke" in upper[1]
    assert _found(job) == []


def test_squeegees_in_stock() -> None:
    """280 mm need 306 at least: 250 is too short even for the print, 300 for its edges, 330 will do.

    The film of 380 leaves room for no more.
    """
    for lengths, severity in (("250 mm", "will fail"), ("300 mm", "at risk"), ("330 mm", None)):
        table = Squeegee.model_validate({"lengths": [lengths, "200 mm"]})
        found = _found(_job(280, 300, _frame("one", 460, 560), tables=[table]))
        assert [f.severity for f in found] == ([severity] if severity else [])
        if found:
            assert "306 mm to 380 mm long, 330 mm best; you have 200 mm and" in found[0].what


def test_a_film_narrower_than_the_squeegee() -> None:
    """10 mm of margin make a film of 300, and the squeegee is 306 at least."""
    job = _job(280, 300, _frame("one", 460, 560), shop={"film": {"margin": "10 mm"}})
    (found,) = _found(job, _sheets(300, 320))
    assert found.kind == "squeegee wider than the film"
    assert 'film.margin to "25 mm"' in found.do


def test_a_film_whose_size_nobody_tells_is_as_wide_as_its_margins_make_it() -> None:
    """280 + 2·10 = 300 of film, 306 of squeegee; 13 mm of margin make 306 and will do."""
    narrow = _job(280, 300, _frame("one", 460, 560), shop={"film": {"margin": "10 mm"}})
    (found,) = _found(narrow)
    assert (found.severity, found.kind) == ("at risk", "squeegee wider than the film")
    assert "306 mm of film at least; the film is 300 mm wide" in found.what
    assert _found(_job(280, 300, _frame("one", 460, 560), shop={"film": {"margin": "13 mm"}})) == []


def test_hardness_by_ink_garment_and_detail() -> None:
    """White 60 to 65, plain colour 70, a stroke of 1.2 mm 75 and more, fleece as soft as white."""
    plain = _job(100, 100)
    white = make_job({"#ffffff": box(0, 0, 100, 100)})
    fine = make_job({"#1f3a5f": box(0, 0, 100, 1.2)})
    batch = Batch("black hoodie", "#000000", "cotton", (("M", 1),))
    fleece = replace(plain, setup=replace(plain.setup, batches=(batch,)))
    found = [_pulls(job).pulls[0].hardness_shore_a for job in (plain, white, fine, fleece)]
    assert found == [(70, 70), (60, 65), (75, 80), (60, 65)]


def test_off_contact_is_above_the_fabric() -> None:
    plain = _job(100, 100)
    tables = [
        ((), 3.0),
        ((Squeegee(hand_stretched=True),), 4.0),
        ((Squeegee.model_validate({"off_contact": "2 mm", "hand_stretched": True}),), 2.0),
    ]
    for given, height in tables:
        job = _job(100, 100, tables=list(given))
        pull = _pulls(job).pulls[0]
        assert (pull.off_contact_mm, pull.fleece_adds_mm) == (height, None)
        assert "above the fabric" in _figures(job)[0]["Off-contact"][1]
    batch = Batch("sweatshirt", "#000000", "cotton", (("M", 1),))
    fleece = replace(plain, setup=replace(plain.setup, batches=(batch,)))
    assert _pulls(fleece).pulls[0].fleece_adds_mm == (2.0, 3.0)
    assert "fleece is 2 to 3 mm thicker" in _figures(fleece)[0]["Off-contact"][1]


def test_figures_in_inches() -> None:
    """460 × 560 mm inside are 18.1 × 22 in, never rounded up; the need is never rounded down."""
    job = _job(280, 300, _frame("one", 460, 560), shop={"units": "inch"})
    frame = _figures(job)[0]["Frame"]
    assert frame == ("one, 18.1 × 22 in", "needs 15.2 × 15 in inside")


def test_a_frame_narrower_than_advised_is_said() -> None:
    """330 mm of squeegee: 1.5 times that are 495 mm; 460 hold it, though a wider one is advised."""

    def said(width: float) -> str:
        job = _job(280, 300, _frame("one", width, 560))
        paragraph = next(iter(prep_sections(job=job, ask=make_ask({})))).blocks[0]
        return paragraph.text  # type: ignore[union-attr]  # a paragraph

    assert "495 mm inside, 1.5 times the squeegee, is advised" in said(460)
    assert "advised" not in said(495)


def test_wells_are_what_the_frame_leaves() -> None:
    """560 − 300 = 260: 130 above and below; a frame of 400 leaves 50, less than advised."""
    roomy, tight = (_figures(_job(280, 300, _frame("one", 460, h)))[0] for h in (560, 400))
    assert roomy["Ink above, below"][0] == "130 mm, 130 mm"
    assert tight["Ink above, below"][0] == "50 mm, 50 mm"
    assert "little ink at a time" in tight["Ink above, below"][1]
    wells = [_pulls(_job(280, 300, *f)).pulls[0].well_mm for f in ((_frame("one", 460, 400),), ())]
    assert wells == [50, 40]


def test_dangers_stand_with_the_frames() -> None:
    section = next(iter(prep_sections(job=_job(), ask=make_ask({}))))
    assert any(isinstance(block, Caution) and "prop" in block.text for block in section.blocks)


def test_nothing_printed_needs_no_frame() -> None:
    job = replace(_job(), screens=())
    assert _found(job) == []
    assert list(prep_sections(job=job, ask=make_ask({}))) == []
    with pytest.raises(Unanswered):
        _pulls(job)


def test_frame_room_asks_nobody() -> None:
    """386 × 380 mm hold a print of 280 × 300 in their middle; without frames there is no telling."""

    def held(*frames: dict[str, object]) -> bool:
        room = prep_answers()[FrameRoom](_job(1, 1, *frames), make_ask({}))
        assert isinstance(room, FrameRoom)
        return room.held((0, 0, 280, 300), (140, 150))

    assert held()
    assert held(_frame("one", 386, 380))
    assert not held(_frame("one", 386, 379))


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ({"lengths": ["-200 mm"]}, "must be more than 0"),
        ({"lengths": [200]}, "needs a number with its unit"),
        ({"overhang": "30 mm"}, "overhang of 30 mm is more than good_overhang of 25 mm"),
        ({"well": "90 mm"}, "well of 90 mm is more than good_well of 75 mm"),
        ({"off_contact": "0 mm"}, "must be more than 0"),
        ({"blade": "soft"}, "Extra inputs"),
    ],
)
def test_settings_that_can_not_be(values: dict[str, object], says: str) -> None:
    with pytest.raises(ValidationError, match=says):
        Squeegee.model_validate(values)
