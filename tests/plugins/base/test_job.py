"""Bases of whole jobs: what gets one, what is refused, what is said."""

from __future__ import annotations

import dataclasses
import itertools
import math
import types
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
import shapely
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from scipy.stats import norm
from shapely import MultiPolygon, Point, box

import prep_base
from prep.artwork import Artwork
from prep.cli import run
from prep.cracks import CRACK_MM
from prep.errors import SettingsError, Unanswered
from prep.hookspecs import hookimpl
from prep.job import Ask, Job
from prep.make_ready import make_ready
from prep.measures import Measures, measure
from prep.plugins import Plugin, Plugins
from prep.screens import Delta
from prep.separations import separate
from prep.session import Session
from prep.shop import Ink, Press, Shop
from prep.testing import as_multipolygon, make_ask, make_job
from prep_base.answers import UnderColours, WaysToPrint
from prep_base.forecast import under_colours, ways_to_print
from prep_base.planning import Plan, plan_of
from prep_base.screens import Choice, choice_of, screens_of
from prep_base.settings import Base, BaseOrder
from prep_base.trouble import findings_of
from prep_base.wording import sections_of
from tests.strategies import artworks

WHITE, RED, TEAL, BLACK, NAVY = "#ffffff", "#d94030", "#308090", "#101010", "#1d2b4f"


def press(set_up: float, scatter: float, **more: str) -> Press:
    """A press that states its error, in mm, and turns nothing."""
    return Press.model_validate(
        {
            "set_up_error": f"{set_up} mm",
            "scatter": f"{scatter} mm",
            "set_up_turn": "0 deg",
            "scatter_turn": "0 deg",
            **more,
        }
    )


def order(**values: object) -> BaseOrder:
    return BaseOrder.model_validate(values)


def shop(**values: object) -> Base:
    return Base.model_validate(values)


def dark(colours: dict[str, shapely.Geometry], **more: object) -> Job:
    """A job on navy."""
    return make_job(colours, **{"garment": NAVY, "shade": "dark", **more})  # type: ignore[arg-type]


def measure_all(regions: Sequence[MultiPolygon]) -> list[Measures]:
    return [measure(region) for region in regions]


def ready(job: Job, *others: Plugin, name: str = "base") -> Job:
    """Make a job's screens ready with its base."""
    return make_ready(job, Plugins([Plugin(name, prep_base, "firstpull"), *others]), measure_all)


def asked(job: Job) -> Ask:
    """Give an ask that answers what this plugin does."""
    answers: dict[type[Any], Any] = {Choice: choice_of(job)}
    answers[WaysToPrint] = ways_to_print(job, make_ask(answers))
    first = make_ask(answers)
    try:
        return make_ask({**answers, UnderColours: under_colours(job, first)})
    except Unanswered:
        return first


def test_the_base_is_planned_once_for_all_that_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """Screens, findings, sections and answers share one plan, also after a plugin changed the screens."""
    planned: list[object] = []

    def counted(job: Job, *known: Any) -> Plan | None:
        planned.append(job)
        return plan_of(job, *known)

    monkeypatch.setattr("prep_base.screens.plan_of", counted)
    plugins = Plugins([Plugin("base", prep_base, "firstpull")])
    session = Session(plugins)
    drawn = dark({WHITE: box(0, 0, 20, 20), RED: box(20, 0, 40, 20)})
    job = make_ready(drawn, plugins, measure_all, session.gather)
    assert [screen.does for screen in job.screens] == ["base and colour", "colour"]
    ask = session.ask_for(job)
    assert list(sections_of(job, ask))
    list(findings_of(job, ask))
    assert ask(UnderColours).choke_mm == ask(Choice).plan.choke_mm  # type: ignore[union-attr]  # there is one
    other = dataclasses.replace(job, screens=job.screens[::-1])
    assert session.ask_for(other)(WaysToPrint) == ask(WaysToPrint)
    assert len(planned) == 1


def test_white_and_red_on_black_are_two_screens() -> None:
    """White visible and white below share one screen, printed first, in two passes."""
    job = ready(dark({WHITE: box(0, 0, 20, 20), RED: box(20, 0, 40, 20)}, garment="#000000"))
    assert [(s.key, s.does, s.passes, s.number) for s in job.screens] == [
        (WHITE, "base and colour", 2, 1),
        (RED, "colour", 1, 2),
    ]
    assert shapely.difference(box(0, 0, 20, 20), job.screen(WHITE).region).area < 1e-6


def test_a_base_of_its_own_where_no_white_shows() -> None:
    """It is the shop's opaque white, printed first though drawn by nobody; black needs none."""
    inks = (Ink(name="snow", hex="#f8f8f8", kind="opaque white"),)
    drawn = {BLACK: box(0, 0, 10, 10), RED: box(20, 0, 40, 20)}
    job = ready(dark(drawn, shop=Shop(inks=inks)))
    assert [(s.key, s.ink, s.colour, s.does) for s in job.screens] == [
        ("base", "snow", "#f8f8f8", "base"),
        (BLACK, BLACK, BLACK, "colour"),
        (RED, RED, RED, "colour"),
    ]
    assert not job.screens[0].region.intersects(box(0, 0, 10, 10))
    assert "printed first" in job.screens[0].placed


@pytest.mark.parametrize(
    ("colour", "kind", "garment", "on_base"),
    [
        (RED, "opaque colour", NAVY, True),
        (RED, "transparent colour", "#000000", True),
        (RED, "discharge", "#000000", False),
        ("#f0f0e8", "opaque white", "#000000", False),
        ("#202020", "opaque colour", NAVY, False),
    ],
)
def test_which_colours_need_one(colour: str, kind: str, garment: str, on_base: bool) -> None:
    """By lightness and ink: what covers, discharges or is as dark as the shirt needs none."""
    inks = (Ink(name="ink", hex=colour, kind=kind),)  # type: ignore[arg-type]  # one of its kinds
    job = dark({colour: box(0, 0, 20, 20)}, shop=Shop(inks=inks), garment=garment)
    assert (plan_of(job) is not None) == on_base


def test_light_shirts_get_none_unless_asked() -> None:
    """The rule makes none on light shirts; ``under`` does, ``not_under`` takes it away on dark."""
    drawn = {RED: box(0, 0, 20, 20)}
    assert [s.key for s in ready(make_job(drawn)).screens] == [RED]
    assert plan_of(make_job(drawn, tables=[order(under=[RED])])) is not None
    assert plan_of(dark(drawn, tables=[order(not_under=[RED])])) is None


@settings(max_examples=6, deadline=None, phases=[Phase.explicit, Phase.generate])
@given(drawn=artworks(), choke=st.sampled_from(["0 mm", "0.35 mm", "0.7 mm"]))
def test_printed_without_error_every_point_shows_the_design(drawn: Artwork, choke: str) -> None:
    """White first, the colours over it: each point shows its colour, and bare shirt stays bare."""
    regions = {s.colour: s.region for s in separate(drawn) if not s.region.is_empty}
    if not regions:
        return
    job = ready(dark(regions, tables=[order(choke=choke)], size_mm=(40.0, 40.0)))
    above: shapely.Geometry = MultiPolygon()
    for screen in reversed(job.screens):
        shown = shapely.difference(screen.region, above)
        drawn_so = MultiPolygon() if screen.does == "base" else regions[screen.colour]
        wrong = shapely.symmetric_difference(shown, drawn_so)
        if screen.does != "colour":  # the base closes cracks of up to 0.02 mm between colours
            assert shapely.difference(drawn_so, shown).area < CRACK_MM * (1.0 + drawn_so.length)
            wrong = wrong.buffer(-0.0101)
        assert wrong.area < CRACK_MM * (1.0 + drawn_so.length)
        above = shapely.union(above, screen.region)


@pytest.mark.parametrize(
    ("each", "choke"),
    [(0.15, 0.3 * math.sqrt(-2 * math.log(0.05)) - 0.2), (0.02, 0.2), (0.5, 0.7)],
)
def test_the_choke_follows_from_the_error_between_its_bounds(each: float, choke: float) -> None:
    """A disc: sigma of the pair times sqrt(-2 ln 0.05), less 0.2 mm; between 0.2 and 0.7 mm."""
    job = dark({RED: Point(30, 30).buffer(25)}, shop=Shop(press=press(each, each)))
    plan = plan_of(job)
    assert plan is not None
    expected = choke if plan.needed_mm > 0 else 0.0
    assert plan.choke_mm == pytest.approx(expected, abs=0.04)


def test_how_often_035_mm_peeks_out() -> None:
    """A disc choked 0.35 mm, pair sigma 0.5 mm: exp(-(0.35 + 0.2)² / 2 sigma²) of the prints show white.

    Any sliver at all, on one straight edge: 1 - Phi(0.7), a quarter of the prints.
    """
    each = 0.5 / 2.0
    job = ready(
        dark(
            {RED: Point(30, 30).buffer(25, quad_segs=64)},
            shop=Shop(press=press(each, each)),
            tables=[order(choke="0.35 mm")],
        )
    )
    facts = asked(job)(UnderColours)
    (peek,) = facts.peeks
    assert peek.print_any == pytest.approx(math.exp(-(0.55**2) / (2 * 0.25)), abs=0.02)
    assert norm.sf(0.35 / 0.5) == pytest.approx(0.242, abs=0.001)
    # bad runs: the set-up alone, sqrt(2) x 0.25 each way
    assert peek.run_bad == pytest.approx(math.exp(-(0.55**2) / (2 * 2 * each**2)), abs=0.02)


def test_one_straight_edge_peeks_on_a_quarter_of_the_prints() -> None:
    """Red beside white on three sides: one edge of 0.35 mm choke, nothing tolerated: 1 - Phi(0.7)."""
    tight = press(0.25, 0.25, visible_gap="0.001 mm")
    red = box(0, 0, 40, 40)
    white = box(-9, -9, 49, 40).difference(red)
    job = ready(
        dark({WHITE: white, RED: red}, shop=Shop(press=tight), tables=[order(choke="0.35 mm")])
    )
    (peek,) = asked(job)(UnderColours).peeks
    plan = plan_of(job)
    assert plan is not None  # beside the white its edge counts as white
    assert plan.borders[peek.colour].length_mm.sum() == pytest.approx(36, abs=0.1)
    assert peek.print_any == pytest.approx(norm.sf(0.351 / 0.5), abs=0.015)


@pytest.mark.parametrize(("each", "ranked"), [(0.05, "ADBAL"), (0.1, "DABAL")])
def test_a_12_mm_stem_keeps_what_it_can_and_its_ways_out_are_ranked(
    each: float, ranked: str
) -> None:
    """Choked 0.35 a side 0.5 would stay; with the least choke of 0.2 it is 0.8, and so it is made.

    Less choke comes first where it shows on no more prints than wanted; else a thicker stroke does.
    """
    drawn = {RED: shapely.union(box(0, 0, 20, 20), box(30, 0, 31.2, 20))}
    own = Shop(press=press(each, each))
    job = ready(dark(drawn, shop=own, tables=[order(choke="0.35 mm")]))
    ask = asked(job)
    (detail,) = ask(UnderColours).details
    assert detail.width_mm == pytest.approx(1.2)
    assert detail.whole_mm == pytest.approx(0.5)
    assert detail.left_mm == pytest.approx(0.8, abs=0.01)
    assert "".join(way.what[0] for way in detail.ways) == ranked
    less, thicker = sorted(detail.ways[:2], key=lambda way: way.what)
    # four straight edges: |dx| or |dy| beyond choke and visible gap, sigma sqrt(2) x sqrt(2) x each
    for way, choke in ((less, 0.2), (thicker, 0.35)):
        inside = 1 - 2 * norm.sf((choke + 0.2) / (2 * each))
        assert way.peeks == pytest.approx(1 - inside**2, abs=0.012)
    assert "Draw it 1.70 mm wide" in thicker.what  # 1.0 + 2 x 0.35
    kinds = [finding.kind for finding in findings_of(job, ask)]
    assert "choke starves a narrow part" in kinds


@pytest.mark.parametrize(
    ("narrow", "left"), [("less choke", 0.8), ("whole choke", 0.5), ("no base", 0.0)]
)
def test_what_narrow_parts_get_is_the_orders_choice(narrow: str, left: float) -> None:
    """A stem 1.2 mm wide, choked 0.35."""
    drawn = {RED: shapely.union(box(0, 0, 20, 20), box(30, 0, 31.2, 20))}
    tables = [order(choke="0.35 mm", narrow=narrow)]
    plan = plan_of(dark(drawn, tables=tables))
    assert plan is not None
    there = shapely.intersection(plan.region, box(25, 8, 35, 9))
    assert there.area == pytest.approx(left, abs=0.01)
    assert len(plan.bare) == (left == 0.0)


@pytest.mark.parametrize("narrow", ["less choke", "no base"])
def test_a_letter_whose_strokes_lose_their_base_keeps_no_dots(narrow: str) -> None:
    """A letter O of strokes 0.8 mm wide: no base anywhere in it, and that is told once, with ways out."""
    ring = box(0, 0, 4.8, 6.8).difference(box(0.8, 0.8, 4, 6))
    job = ready(dark({RED: shapely.union(ring, box(10, 0, 30, 20))}, tables=[order(narrow=narrow)]))
    (base,) = (screen for screen in job.screens if screen.does == "base")
    assert len(base.region.geoms) == 1
    (told,) = asked(job)(UnderColours).details
    assert told.left_mm == 0.0
    starved = [f for f in findings_of(job, asked(job)) if f.what.startswith(f"{RED} is 0.80 mm")]
    assert [(f.severity, "no base lies there" in f.what) for f in starved] == [("at risk", True)]


def test_parts_that_starve_alike_are_told_once_with_their_places() -> None:
    """Three lines of 0.8 mm, one of 0.6 mm: one finding. One of 1.3 mm would keep some base: its own."""
    lines = [box(40, y, 60, y + 0.8) for y in (0, 10, 20)]
    others = box(40, 30, 60, 30.6), box(40, 40, 60, 41.3)
    region = shapely.union_all([box(0, 0, 20, 40), *lines, *others])
    tables = [order(narrow="no base", choke="0.45 mm")]
    job = ready(dark({RED: region}, tables=tables, shop=Shop(press=press(0.01, 0.01))))
    found = [f for f in findings_of(job, asked(job)) if f.kind == "choke starves a narrow part"]
    assert sorted((f.count, len(f.also_at_mm)) for f in found) == [(1, 0), (4, 3)]
    (alike,) = (f for f in found if f.count == 4)
    assert alike.what.startswith(f"{RED} is 0.60 to 0.80 mm wide in 4 parts: the whole choke")
    assert alike.size_mm == pytest.approx(0.6, abs=0.01)
    places = sorted((alike.at_mm or (0, 0), *alike.also_at_mm), key=lambda at: at[1])
    assert [y for _, y in places] == pytest.approx([0.4, 10.4, 20.4, 30.3], abs=0.05)


def test_where_no_part_is_wide_enough_for_a_base_no_choked_base_is_proposed() -> None:
    """Strokes 0.8 mm wide alone: base and colour through one film is the best of what is left."""
    ring = box(0, 0, 4.8, 6.8).difference(box(0.8, 0.8, 4, 6))
    job = dark({RED: ring})
    found = asked(ready(job))(WaysToPrint)
    assert found.chosen == "one film"
    assert "base" not in [way.name for way in found.ways]
    with pytest.raises(SettingsError, match='"base" is no way to print'):
        ready(dark({RED: ring}, tables=[order(way="base")]))


def test_a_part_the_choke_erases_is_left_out_and_told() -> None:
    """A dot of 0.8 mm: no base below it, and one finding says where."""
    drawn = {RED: shapely.union(box(0, 0, 20, 20), Point(30, 10).buffer(0.4))}
    job = ready(dark(drawn, tables=[order(choke="0.35 mm")], shop=Shop(press=press(0.01, 0.01))))
    (starved,) = findings_of(job, asked(job))
    assert starved.kind == "choke starves a narrow part"
    assert starved.at_mm == pytest.approx((30, 10), abs=0.1)
    assert "leave it without a base, as it is made: the colour looks duller there" in starved.do
    assert not job.screens[0].region.intersects(box(25, 0, 35, 20))


def test_a_part_too_wide_to_count_as_narrow_is_told_when_it_gets_no_base() -> None:
    """A square of 12 mm under a choke of 7 mm: no narrow place is measured in it, so it is told so."""
    drawn = {RED: shapely.union(box(0, 0, 40, 40), box(60, 0, 72, 12))}
    tables = [order(choke="7 mm", narrow="whole choke")]
    job = ready(dark(drawn, tables=tables, shop=Shop(press=press(0.01, 0.01))))
    (found,) = findings_of(job, asked(job))
    assert found.kind == "part without a base"
    assert found.at_mm == pytest.approx((66, 6), abs=0.1)


def test_a_base_that_goes_on_as_white_all_around_is_said_to_need_no_choke() -> None:
    """A red disc within a white square: no width of choke is told, for none is drawn in."""
    disc = Point(20, 20).buffer(8)
    job = ready(dark({WHITE: box(0, 0, 40, 40).difference(disc), RED: disc}))
    assert job.screens[0].region.area == pytest.approx(1600)
    section = next(s for s in sections_of(job, asked(job)) if s.title == "The base")
    assert "so it needs no choke" in str(section)
    assert "0.00 mm" not in str(section)


def test_names_of_plugins_cannot_matter() -> None:
    """With traps of another plugin, all names give the same regions, XOR area 0."""

    def spread(job: Job) -> list[Delta]:
        add = as_multipolygon(box(20, 0, 20.35, 20))
        return [Delta(RED, add, MultiPolygon(), "spread")]

    module = types.ModuleType("t")
    module.prep_deltas = hookimpl(spread)  # type: ignore[attr-defined]  # a stand-in
    drawn = {WHITE: box(0, 20, 40, 40), RED: box(0, 0, 20, 20), TEAL: box(20, 0, 40, 20)}
    made = [
        {s.key: s.region for s in ready(dark(drawn), Plugin(t, module, "t"), name=b).screens}
        for b, t in itertools.permutations(("a", "z"))
    ]
    for key, region in made[0].items():
        assert shapely.symmetric_difference(region, made[1][key]).area == 0
    assert made[0][RED].area > 400


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"under": ["#123456"]}, "base.under: #123456 isn't printed; there are"),
        ({"not_under": ["#123456"]}, "base.not_under: #123456 isn't printed"),
        (
            {"choke": "15 mm"},
            "base.choke: a choke of 15.00 mm is wider than any part .*give a smaller one",
        ),
    ],
)
def test_what_cannot_be_is_refused(given: dict[str, object], said: str) -> None:
    """One line that names file, key and remedy."""
    job = dark({RED: box(0, 0, 20, 20)}, tables=[order(**given)])
    with pytest.raises(SettingsError, match=rf"order.toml: {said}"):
        list(screens_of(job, choice_of(job)))


def test_an_ink_or_mesh_the_shop_lacks_is_refused() -> None:
    """Both are named by shop.toml, and must stand in its lists."""
    for values in ({"ink": "snow"}, {"mesh": "1-2"}):
        job = dark({RED: box(0, 0, 20, 20)}, tables=[shop(**values)])
        with pytest.raises(SettingsError, match=r"shop.toml: base.(ink|mesh): .*no (ink|mesh) in"):
            list(screens_of(job, choice_of(job)))


@pytest.mark.parametrize(
    "given",
    [
        {"choke": "-0.3 mm"},
        {"choke": "25 mm"},
        {"under": [RED], "not_under": [RED]},
        {"way": "plain", "choke": "0.3 mm"},
        {"way": "plain", "under": [RED]},
        {"way": "two hits", "choke": "0.3 mm"},
        {"way": "white outline", "choke": "0.3 mm"},
        {"way": "one film", "choke": "0.3 mm"},
        {"way": "two hits", "narrow": "no base"},
        {"way": "discharge", "under": [RED]},
        {"way": "upside down"},
        {"narrow": "perhaps"},
    ],
)
def test_contradictions_are_refused(given: dict[str, object]) -> None:
    """Negative, beyond any print, both under and not, a choke where no base is choked, no word known."""
    with pytest.raises(ValidationError):
        order(**given)


@pytest.mark.parametrize(
    "given",
    [
        {"least": "0.8 mm"},
        {"thinnest": "2 mm"},
        {"lighter_by": 101},
        {"passes": 0},
        {"platens": 0},
        {"apart": "0 mm"},
    ],
)
def test_limits_out_of_range_are_refused(given: dict[str, object]) -> None:
    """Crossed bounds, and figures that nothing can have."""
    with pytest.raises(ValidationError):
        shop(**given)


def test_a_base_that_shows_too_often_is_found() -> None:
    """A usual simple press: at risk; a measured bad one: will fail; a measured fine one: nothing."""
    drawn = {RED: Point(30, 30).buffer(25)}
    for own, severities in (
        (Press(kind="simple press"), ["at risk"]),
        (press(1, 1), ["will fail"]),
        (press(0.1, 0.1), []),
    ):
        job = ready(dark(drawn, shop=Shop(press=own)))
        ask = asked(job)
        found = [f.severity for f in findings_of(job, ask) if "shows" in f.kind]
        shares = [f.on_prints for f in findings_of(job, ask) if "shows" in f.kind]
        assert shares == [ask(UnderColours).peeks[0].print_any] * len(severities)
        assert found == severities
        assert "The base" in [section.title for section in sections_of(job, ask)]


def test_a_wrong_colour_ends_the_command_with_2(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The whole command: one line on standard error, no traceback."""
    (tmp_path / "a.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20" width="40mm" height="20mm">'
        f'<rect width="20" height="20" fill="{RED}"/></svg>'
    )
    (tmp_path / "order.toml").write_text(
        '[[print]]\nplace = "front"\nartwork = "a.svg"\n[[garment]]\ncolour = "#000000"\n'
        'sizes = { M = 3 }\n[base]\nunder = ["#00ff00"]\n'
    )
    assert run(["check", str(tmp_path / "order.toml")]) == 2
    lines = capsys.readouterr().err.strip().splitlines()
    assert "base.under: #00ff00 isn't printed" in lines[-1]
    assert "order.toml" in lines[-1]
