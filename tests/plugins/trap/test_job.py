"""Traps of whole jobs: what is printed, what is refused, what is said."""

from __future__ import annotations

import dataclasses
import itertools
import math
import types
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from shapely import MultiPolygon, Point, Polygon, box

import prep_trap
from prep.artwork import Artwork
from prep.cli import run
from prep.cracks import CRACK_MM
from prep.errors import SettingsError
from prep.hookspecs import hookimpl
from prep.job import Job
from prep.make_ready import make_ready
from prep.measures import Measures, measure
from prep.phrases import percent
from prep.plugins import Plugin, Plugins
from prep.screens import AddScreen, Delta
from prep.separations import separate
from prep.shop import Press, Shop
from prep.testing import as_multipolygon, make_ask, make_job
from prep_trap.answers import GapChances
from prep_trap.forecast import RUNS_ON_MM, gap_chances, goes_under
from prep_trap.hairlines import hairlines_of
from prep_trap.planning import plan_of
from prep_trap.settings import Trap, TrapOrder
from prep_trap.trouble import findings_of
from prep_trap.wording import sections_of
from tests.strategies import artworks

RED, TEAL, NAVY = "#d94030", "#308090", "#101830"


def press(set_up: float, scatter: float) -> Press:
    """A press that states its error, in mm, and turns nothing."""
    return Press.model_validate(
        {
            "set_up_error": f"{set_up} mm",
            "scatter": f"{scatter} mm",
            "set_up_turn": "0 deg",
            "scatter_turn": "0 deg",
        }
    )


def measure_all(regions: Sequence[MultiPolygon]) -> list[Measures]:
    return [measure(region) for region in regions]


def ready(job: Job, *others: Plugin, name: str = "trap") -> Job:
    """Make a job's screens ready with traps."""
    plugins = Plugins([Plugin(name, prep_trap, "firstpull"), *others])
    return make_ready(job, plugins, measure_all)


def order(**values: object) -> TrapOrder:
    return TrapOrder.model_validate(values)


def pair(**values: object) -> TrapOrder:
    return order(pair=[values])


def two(**more: object) -> Job:
    """Two squares side by side on white, red first."""
    colours = {RED: box(0, 0, 20, 20), TEAL: box(20, 0, 40, 20)}
    return make_job(colours, **{"garment": "#ffffff", **more})  # type: ignore[arg-type]  # as given


@settings(max_examples=9, deadline=None)
@given(drawn=artworks(), width=st.sampled_from(["0.2 mm", "0.35 mm", "0.7 mm"]))
def test_printed_in_order_without_error_every_point_shows_the_design(
    drawn: Artwork, width: str
) -> None:
    """The visible colours are the design's to 1e-6 mm along their outlines; none lies on bare shirt."""
    regions = {s.colour: s.region for s in separate(drawn) if not s.region.is_empty}
    if not regions:
        return
    try:
        job = ready(make_job(regions, tables=[order(width=width)], size_mm=(40.0, 40.0)))
    except SettingsError:
        assume(False)  # so wide that it is whole nowhere
    above: shapely.Geometry = MultiPolygon()
    for screen in reversed(job.screens):
        shown = shapely.difference(screen.region, above)
        wrong = shapely.symmetric_difference(shown, regions[screen.colour])
        assert wrong.area < CRACK_MM * (1.0 + regions[screen.colour].length)
        above = shapely.union(above, screen.region)


@settings(max_examples=8, deadline=None)
@given(drawn=artworks())
def test_a_trap_stays_within_its_width_and_is_no_sliver(drawn: Artwork) -> None:
    """At most hypot(1.5, 1) of its width (a corner cut off), and half of an island that is opened."""
    regions = {s.colour: s.region for s in separate(drawn) if not s.region.is_empty}
    if not regions:
        return
    job = make_job(regions, tables=[order(width="0.4 mm")], size_mm=(40.0, 40.0))
    island_mm = job.settings(Trap).film_island_mm
    try:
        deltas = list(prep_trap.prep_deltas(job))
    except SettingsError:
        assume(False)  # so wide that it is whole nowhere
    for delta in deltas:
        own = regions[delta.screen]
        away = shapely.distance(shapely.points(shapely.get_coordinates(delta.add)), own)
        opened = delta.reason.startswith("opened")
        assert (
            away.max() <= math.hypot(1.5, 1.0) * 0.4 + (island_mm / 2.0 if opened else 0.0) + 1e-6
        )
        # a speck of a later colour under which it is printed right through is as small as drawn
        through = delta.reason.startswith("printed right through")
        assert opened or through or min(part.area for part in delta.add.geoms) > 0.04**2


def test_names_of_plugins_cannot_matter() -> None:
    """With a base from another plugin, all names give the same regions, XOR area 0."""

    def base(job: Job) -> list[AddScreen]:
        whole = shapely.union_all([d.region for d in job.design])
        under = as_multipolygon(whole.buffer(-0.35, join_style="mitre"))
        return [AddScreen("base", "white", "#ffffff", under, "base", "below")]

    module = types.ModuleType("b")
    module.prep_screens = hookimpl(base)  # type: ignore[attr-defined]  # a stand-in
    made = [
        {s.key: s.region for s in ready(two(), Plugin(b, module, "b"), name=a).screens}
        for a, b in itertools.permutations(("a", "z"))
    ]
    for key, region in made[0].items():
        assert shapely.symmetric_difference(region, made[1][key]).area == 0
    assert made[0][RED].area > 400


def test_a_base_gets_no_trap() -> None:
    """A white that is base and colour at once is left alone; its pair is still reckoned."""
    job = two()
    both = dataclasses.replace(job.screens[0], does="base and colour")
    job = dataclasses.replace(job, screens=(both, job.screens[1]))
    assert not list(prep_trap.prep_deltas(job))
    assert gap_chances(job).pairs[0].do == "base"


def test_a_base_drawn_in_from_the_outer_edge_leaves_no_gap() -> None:
    """White beside red on three sides of bare shirt: where the border ends, the shirt bites, no more.

    With red only 1 mm wide beside white, the base ends 0.3 mm under it: gaps show all along.
    """
    for wide, shows in ((20.0, False), (1.0, True)):
        white, red = box(0, 0, 20, 20), box(20, 0, 20 + wide, 20)
        job = make_job({"#ffffff": white, RED: red}, shop=Shop(press=press(0.3, 0.3)))
        base = shapely.union(white, box(19, 0.7, 20 + wide - 0.7, 19.3))
        both = dataclasses.replace(
            job.screens[0], does="base and colour", region=as_multipolygon(base)
        )
        job = dataclasses.replace(job, screens=(both, job.screens[1]))
        (found,) = gap_chances(job).pairs
        # sigma of the pair 0.6, a straight border: beyond 0.3 + 0.2 mm 1 - Phi(0.83); reach is looked
        # for in steps of 0.125 mm
        assert found.print_any == pytest.approx(0.202 if shows else 0.0, abs=0.03)


def test_where_a_border_ends_in_a_tip_no_more_shows_than_along_it() -> None:
    """Teal ends at the border in corners of 45° and 135°: as if it were a square."""
    slanted = Polygon([(20, 0), (40, 20), (40, 40), (20, 20)])
    shop = Shop(press=press(0.3, 0.2))
    square = ready(two(shop=shop))
    tip = ready(make_job({RED: box(0, 0, 20, 20), TEAL: slanted}, garment="#ffffff", shop=shop))
    (as_square,), (as_tip,) = gap_chances(square).pairs, gap_chances(tip).pairs
    assert as_square.width_mm == pytest.approx(as_tip.width_mm, abs=0.02)
    assert 0.0 < as_square.print_any < 0.06
    assert as_tip.print_any == pytest.approx(as_square.print_any, abs=0.01)


@pytest.mark.parametrize("wide", [0.32, 0.4])
def test_a_gap_beside_a_thin_strip_is_looked_at(wide: float) -> None:
    """It takes a trap of half its width; a straight border opens by more with a normal error's chance."""
    shop = Shop(press=press(0.3, 0.2))
    strip = box(20, 0, 20 + wide, 20)
    job = ready(make_job({RED: box(0, 0, 20, 20), TEAL: strip}, garment="#ffffff", shop=shop))
    (found,) = gap_chances(job).pairs
    sigma = math.hypot(0.3, 0.2) * math.sqrt(2)
    beyond = 0.5 * math.erfc((0.2 + wide / 2) / sigma / math.sqrt(2))
    assert found.print_any == pytest.approx(beyond, abs=0.04)


def test_a_narrow_neighbour_takes_half_of_its_width() -> None:
    """A strip 0.8 mm wide between red and bare shirt, trap 0.7: red goes under at most 0.4 mm of it."""
    job = make_job({RED: box(0, 0, 20, 20), TEAL: box(20, 0, 20.8, 20)})
    assert [pair.width_mm for pair in plan_of(job).pairs] == [0.7]
    (delta,) = prep_trap.prep_deltas(job)
    assert 20.3 < delta.add.bounds[2] <= 20.4 + 1e-9


def test_rules() -> None:
    """Spread by rule; dark over light overprints; near the shirt's colour, or a fine press, butts."""
    assert [p.do for p in plan_of(two()).pairs] == ["spread"]
    dark = make_job({"#f0d040": box(0, 0, 20, 20), NAVY: box(20, 0, 40, 20)}, garment="#c02020")
    assert [p.do for p in plan_of(dark).pairs] == ["overprint"]
    assert [p.do for p in plan_of(two(garment=RED)).pairs] == ["butt"]
    assert [p.do for p in plan_of(two(shop=Shop(press=press(0, 0.05)))).pairs] == ["butt"]
    asked = two(tables=[pair(under=RED, over=TEAL, do="overprint")])
    assert [p.do for p in plan_of(asked).pairs] == ["overprint"]


YELLOW = "#f0d040"
SQUARE = box(0, 0, 40, 40)
DISC = Point(20, 20).buffer(10)


def added(colours: dict[str, shapely.Geometry], **more: object) -> list[Delta]:
    """Give what traps add on a red shirt."""
    return list(prep_trap.prep_deltas(make_job(colours, garment="#c02020", **more)))  # type: ignore[arg-type]


def test_what_overprints_and_lies_within_is_printed_on_the_whole_colour() -> None:
    """Navy within yellow: yellow goes right through under it, and a miss shows nothing."""
    job = ready(make_job({YELLOW: SQUARE - DISC, NAVY: DISC}, garment="#c02020"))
    assert shapely.symmetric_difference(job.screens[0].region, SQUARE).area < 1e-3
    assert job.screens[0].changes == (f"printed right through under {NAVY}",)
    chances = gap_chances(job)
    assert chances.pairs[0].print_any < 0.05 < chances.pairs[0].needed_mm
    (section,) = sections_of(job, make_ask({GapChances: chances}))
    assert "right through" in str(section)
    assert "0.70 mm" not in str(section)


@pytest.mark.parametrize(
    "within",
    [
        {YELLOW: box(0, 0, 20, 40), NAVY: box(20, 0, 40, 40)},
        {YELLOW: SQUARE - box(10, 10, 40, 30), NAVY: box(10, 10, 40, 30)},
        {YELLOW: SQUARE - DISC, NAVY: DISC - box(17, 17, 23, 23)},
        {YELLOW: SQUARE - DISC, NAVY: DISC - box(17, 17, 23, 23), TEAL: box(17, 17, 23, 23)},
    ],
)
def test_what_touches_shirt_or_a_third_colour_is_only_spread_under(
    within: dict[str, shapely.Geometry],
) -> None:
    """Beside it, at an edge, around bare shirt, around a third colour: 0.7 mm and no more."""
    for delta in added(within):
        if delta.screen == YELLOW:
            assert delta.reason == f"spread 0.70 mm under {NAVY}"
            away = shapely.distance(
                shapely.points(shapely.get_coordinates(delta.add)), within[YELLOW]
            )
            assert 0.6 < away.max() < 1.3


def test_parts_within_and_parts_beside_are_told_apart() -> None:
    """A disc within, a square beside: the disc as a whole, 0.7 x 20 mm beside."""
    apart = {YELLOW: SQUARE - DISC, NAVY: shapely.union(DISC, box(40, 0, 60, 20))}
    (delta,) = added(apart)
    through = f"printed right through under {NAVY} where that lies within"
    assert delta.reason == f"{through}, else spread 0.70 mm"
    assert delta.add.area == pytest.approx(DISC.area + 0.7 * 20, abs=0.3)


def test_a_width_without_effect_is_refused() -> None:
    """All that is printed over lies within, so that no width says anything."""
    wish = pair(under=YELLOW, over=NAVY, do="overprint", width="0.5 mm")
    with pytest.raises(SettingsError, match=r"trap.pair\[1\]: a width has no effect .*; take the"):
        added({YELLOW: SQUARE - DISC, NAVY: DISC}, tables=[wish])


def test_a_width_that_is_whole_nowhere_is_refused() -> None:
    """4.9 mm beside a part of 6 mm would be halved all along; one place where it is whole will do."""
    drawn = {RED: box(0, 0, 6, 50), TEAL: box(6, 0, 12, 50)}
    for table, key in (
        (order(width="4.9 mm"), r"trap.width"),
        (pair(under=RED, over=TEAL, width="4.9 mm"), r"trap.pair\[1\]"),
    ):
        said = rf"order.toml: {key}: a trap of 4.90 mm is wider .* take, 3\.\d+ mm at most; give"
        with pytest.raises(SettingsError, match=said):
            added(drawn, tables=[table])
    added({**drawn, NAVY: box(12, 0, 150, 50)}, tables=[order(width="4.9 mm")])
    added({RED: box(0, 0, 6, 50), TEAL: box(6, 0, 150, 50)}, tables=[order(width="4.9 mm")])


@pytest.mark.parametrize(
    ("width", "told"), [("0.9 mm", ["trap wider than needed"]), ("0.7 mm", [])]
)
def test_a_trap_wider_than_any_need_is_told(width: str, told: list[str]) -> None:
    """0.7 mm is the widest by rule; 1.645 x 0.2 - 0.2 = 0.13 mm is needed. Wider than 5 mm is refused."""
    tables = [pair(under=RED, over=TEAL, width=width)]
    job = ready(two(shop=Shop(press=press(0.1, 0.1)), tables=tables))
    found = list(findings_of(job, make_ask({GapChances: gap_chances(job)})))
    assert [f.kind for f in found] == told
    assert all("0.70 mm is the widest made by rule" in f.what for f in found)
    assert all("error asks for 0.13 mm" in f.what for f in found)
    for wish in ({"width": "5.1 mm"}, {"pair": [{"under": RED, "over": TEAL, "width": "5.1 mm"}]}):
        with pytest.raises(ValidationError, match="less than or equal to 5"):
            order(**wish)


def over_base(colours: dict[str, shapely.Geometry], garment: str) -> Job:
    """A job with a white base under all of it."""

    def base(job: Job) -> list[AddScreen]:
        whole = as_multipolygon(shapely.union_all([d.region for d in job.design]).buffer(-0.3))
        return [AddScreen("base", "white", "#ffffff", whole, "base", "below")]

    module = types.ModuleType("b")
    module.prep_screens = hookimpl(base)  # type: ignore[attr-defined]  # a stand-in
    return ready(make_job(colours, garment=garment), Plugin("b", module, "b"))


def test_a_gap_over_a_base_shows_white_not_the_shirt() -> None:
    """A colour near white needs no trap there; one near the shirt's does, though bare it needed none."""
    for near, garment, bare, below in (
        ("#fbf8f0", "#202020", "spread", "butt"),
        ("#202428", "#202020", "butt", "spread"),
    ):
        drawn = {TEAL: box(0, 0, 20, 20), near: box(20, 0, 40, 20)}
        (found,) = plan_of(make_job(drawn, garment=garment)).pairs
        assert found.do == bare
        (found,) = plan_of(over_base(drawn, garment)).pairs
        assert found.do == below
        assert (found.like is not None) == (below == "butt")
        assert below == "spread" or "A gap shows the base" in found.why


def test_the_kind_of_an_ink_is_that_of_its_screen() -> None:
    """A dark ink that isn't listed overprints as an opaque one; one that says otherwise doesn't."""
    job = make_job({YELLOW: box(0, 0, 20, 20), NAVY: box(20, 0, 40, 20)}, garment="#c02020")
    clear = dataclasses.replace(job.screens[1], kind="transparent colour")
    for screen, do in ((job.screens[1], "overprint"), (clear, "spread")):
        (found,) = plan_of(dataclasses.replace(job, screens=(job.screens[0], screen))).pairs
        assert found.do == do


def test_the_width_follows_from_the_error_between_its_bounds() -> None:
    """A straight border: 1.645 sigma of the pair less 0.2 mm, at least 0.2 and at most 0.7 mm."""
    for each, width in ((0.2, 1.645 * 0.4 - 0.2), (0.1, 0.2), (0.5, 0.7)):
        (found,) = plan_of(two(shop=Shop(press=press(each, each)))).pairs
        assert found.width_mm == pytest.approx(width, abs=0.03)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"under": "#123456", "over": TEAL, "do": "butt"}, r"#123456 isn't printed; there are"),
        ({"under": TEAL, "over": RED, "do": "spread"}, "is printed after .*; swap under and over"),
        ({"under": RED, "over": TEAL, "width": "4.5 mm"}, "wider than any part .*; give a smaller"),
    ],
)
def test_pairs_that_cannot_be_are_refused(given: dict[str, str], said: str) -> None:
    """One line that names file, key and remedy."""
    job = make_job({RED: box(0, 0, 20, 20), TEAL: box(20, 0, 20.5, 20)}, tables=[pair(**given)])
    with pytest.raises(SettingsError, match=rf"order.toml: trap.pair\[1\]: .*{said}"):
        list(prep_trap.prep_deltas(job))


@pytest.mark.parametrize(
    "pairs",
    [
        [{"under": RED, "over": RED, "do": "butt"}],
        [{"under": RED, "over": TEAL}],
        [{"under": RED, "over": TEAL, "do": "butt", "width": "0.3 mm"}],
        [{"under": RED, "over": TEAL, "width": "-0.3 mm"}],
        [{"under": RED, "over": TEAL, "do": "butt"}, {"under": TEAL, "over": RED, "do": "spread"}],
    ],
)
def test_contradictions_are_refused(pairs: list[dict[str, str]]) -> None:
    """A pair of one colour, one that says nothing, a butt with a width, negative, twice."""
    with pytest.raises(ValidationError):
        order(pair=pairs)


def test_a_wide_gap_chance_is_found_and_the_table_says_the_same() -> None:
    """A disc in a ring. The error usual for a hinged frame shows it on nearly all prints, and it will fail;
    that of a simple press doesn't, and it is at risk. A measured error needs no more than half of them.
    """
    disc = Point(30, 30).buffer(10)
    colours = {RED: disc, TEAL: disc.buffer(15).difference(disc)}
    for own, severity, usual in (
        (Press(), "will fail", True),
        (Press(kind="simple press"), "at risk", True),
        (press(1, 1), "will fail", False),
    ):
        job = ready(make_job(colours, shop=Shop(press=own), garment="#202020"))
        ask = make_ask({GapChances: gap_chances(job)})
        (found,) = findings_of(job, ask)
        assert (found.severity, found.kind) == (severity, "gap between colours")
        assert found.on_prints == ask(GapChances).pairs[0].print_any
        assert "0.70 mm is the widest trap made by rule; a trap of " in found.do
        (section,) = sections_of(job, ask)
        assert ("What is usual" in str(section)) == usual


def test_a_trap_that_suffices_is_no_finding() -> None:
    """With a fine press the share is as wanted: no finding."""
    job = ready(two(shop=Shop(press=press(0.1, 0.1))))
    assert not list(findings_of(job, make_ask({GapChances: gap_chances(job)})))


def test_a_trap_as_wide_as_was_reckoned_is_no_finding() -> None:
    """A disc in a ring with the trap that the error asks for: edges taken in classes show 0.3 % more."""
    disc = Point(30, 30).buffer(18, quad_segs=64)
    colours = {RED: disc, TEAL: disc.buffer(10).difference(disc)}
    job = ready(make_job(colours, shop=Shop(press=press(0.15, 0.1)), garment="#202020"))
    chances = gap_chances(job)
    assert chances.pairs[0].print_any > chances.wanted
    assert not list(findings_of(job, make_ask({GapChances: chances})))


def test_colour_by_colour_traps_go_by_shirts_laid_again() -> None:
    """On a press whose scatter of shirts left in place is 0.1 mm: the usual 1.3 mm and more is taken."""
    told = {}
    for working in (None, "colour by colour"):
        own = press(0.1, 0.1).model_copy(update={"kind": "simple press", "working": working})
        job = ready(two(shop=Shop(press=own)))
        chances = gap_chances(job)
        (section,) = sections_of(job, make_ask({GapChances: chances}))
        told[working] = (
            chances.pairs[0],
            str(section),
            list(findings_of(job, make_ask({GapChances: chances}))),
        )
    (apart, left, none), (again, laid, found) = told.values()
    assert apart.width_mm < again.width_mm == 0.7
    assert again.needed_mm > 10 * apart.needed_mm
    assert again.print_any == pytest.approx(0.33, abs=0.02)  # 1 - Phi(0.9 / 2.05)
    assert apart.print_any < 0.05
    assert not none
    assert [one.kind for one in found] == ["gap between colours"]
    assert "with shirts laid again" not in left
    assert "with shirts laid again was taken" in laid
    assert "State scatter_laid_again and scatter_turn_laid_again under [press]" in laid


def test_no_gap_is_found_that_looks_like_more_of_a_colour() -> None:
    """White beside teal on cream butts by rule: the sheet says why, and no finding asks for a trap."""
    colours = {"#ffffff": box(0, 0, 20, 20), TEAL: box(20, 0, 40, 20)}
    for garment, found in (("#fbf8f0", []), ("#c02020", ["gap between colours"])):
        tables = [pair(under="#ffffff", over=TEAL, do="butt")]
        job = ready(make_job(colours, garment=garment, tables=tables))
        chances = gap_chances(job)
        assert chances.pairs[0].print_any > 0.3
        ask = make_ask({GapChances: chances})
        told = list(findings_of(job, ask))
        assert [f.kind for f in told] == found
        # on the border x = 20, and any y from 0 to 20
        assert all("most often at (20, " in f.what for f in told)
        (section,) = sections_of(job, ask)
        assert (" *: shirt or base shows there and is so near" in str(section)) == (not found)
        assert (f"{percent(chances.pairs[0].print_any)} *" in str(section)) == (not found)


def test_no_star_stands_without_its_word() -> None:
    """A press that hits within 0.01 mm shows no gap at all, whatever it would look like."""
    colours = {"#ffffff": box(0, 0, 20, 20), TEAL: box(20, 0, 40, 20)}
    job = ready(make_job(colours, garment="#fbf8f0", shop=Shop(press=press(0.005, 0.005))))
    chances = gap_chances(job)
    assert (chances.pairs[0].like, chances.pairs[0].print_any) == ("#ffffff", 0.0)
    (section,) = sections_of(job, make_ask({GapChances: chances}))
    assert "*" not in str(section)


def test_what_is_said_is_in_the_shops_units() -> None:
    """A hinged frame, shirts laid again, 1.5 mm in all: 0.64 and 1.357 mm are 0.025 and 0.053 in."""
    shop = Shop(units="inch", press=Press(kind="hinged frame"))
    job = ready(two(shop=shop))
    (section,) = sections_of(job, make_ask({GapChances: gap_chances(job)}))
    told = " ".join(str(block) for block in section.blocks)
    assert "usual for a hinged frame with shirts laid again" in told
    assert "off by 0.025 in each way for a whole run and by 0.053 in from print to print" in told
    assert " mm" not in told
    near = make_job({RED: box(0, 0, 20, 20), TEAL: box(20.3, 0, 40, 20)}, shop=shop)
    (found,) = findings_of(near, make_ask({GapChances: gap_chances(near)}))
    assert found.kind == "colours nearly meet"
    assert "0.012 in apart" in found.what
    assert "0.039 in or more apart" in found.do
    assert " mm" not in found.what + found.do


def test_the_sheet_says_where_a_trap_is_narrower_than_told() -> None:
    """Red beside a strip of 0.8 mm takes half of it; beside a square it has its whole 0.7 mm."""
    for wide_mm, said in ((0.8, True), (20.0, False)):
        colours = {RED: box(0, 0, 20, 20), TEAL: box(20, 0, 20 + wide_mm, 20)}
        job = ready(make_job(colours))
        (section,) = sections_of(job, make_ask({GapChances: gap_chances(job)}))
        text = f"narrower than told between {RED} and {TEAL} along 100 % of their border"
        assert (text in str(section)) == said


def test_a_trap_under_a_dark_outline_is_as_wide_as_told() -> None:
    """A disc with a black outline 1.5 mm wide: there is room for the whole trap, which suffices."""
    inner = Point(30, 30).buffer(19.25, quad_segs=64)
    outline = Point(30, 30).buffer(20.75, quad_segs=64).difference(inner)
    job = ready(
        make_job(
            {RED: inner, "#101010": outline}, garment="#ffffff", shop=Shop(press=press(0.15, 0.1))
        )
    )
    chances = gap_chances(job)
    (found,) = chances.pairs
    assert (found.do, found.full, found.stated) == ("overprint", 1.0, False)
    assert 0.2 < found.width_mm == found.needed_mm < 0.75
    assert found.print_any == pytest.approx(chances.wanted, abs=0.01)
    ask = make_ask({GapChances: chances})
    assert "narrower than told" not in str(list(sections_of(job, ask)))
    assert not [f for f in findings_of(job, ask) if f.kind == "gap between colours"]


@pytest.mark.parametrize("below_mm", [0.43, 2.17, 20.0])
def test_how_far_an_earlier_screen_goes_on_is_told_finely(below_mm: float) -> None:
    """A base that goes on by so much under its neighbour: a gap opens by that much later."""
    job = two()
    base = dataclasses.replace(
        job.screens[0],
        does="base and colour",
        region=as_multipolygon(box(0, 0, 20 + below_mm, 20)),
    )
    job = dataclasses.replace(job, screens=(base, job.screens[1]))
    (planned,) = plan_of(job).pairs
    middle = np.array([[20.0, 10.0]])
    reached = goes_under(planned, middle, np.array([[1.0, 0.0]]))
    assert reached == pytest.approx(min(below_mm, RUNS_ON_MM), abs=0.004)


def test_a_seam_as_fine_as_rounding_gets_no_trap_and_makes_no_pair() -> None:
    """Red peeks out 0.004 mm wide beside teal, and is a square elsewhere: only the square is spread."""
    seam = box(40, 0, 40.004, 20)
    colours = {
        RED: shapely.union(box(0, 0, 20, 20), seam),
        TEAL: box(40.004, 0, 60, 20),
        NAVY: box(20, 0, 40, 20),
    }
    job = ready(make_job(colours, garment="#ffffff", shop=Shop(press=press(0.15, 0.1))))
    told = [(pair.earlier.key, pair.later.key, pair.border.run_mm) for pair in plan_of(job).pairs]
    assert [(one, other) for one, other, _ in told] == [(RED, NAVY)]
    assert told[0][2].tolist() == pytest.approx([20])
    seams = shapely.intersection(job.screens[0].region, box(30, -5, 50, 25))
    assert seams.area == pytest.approx(seam.area)


def test_a_hairline_printed_later_makes_no_pair() -> None:
    """Teal is 0.2 mm along red's side; where it lies within red, red is printed on under it."""
    side = box(20, 0, 20.2, 20)
    job = ready(make_job({RED: box(0, 0, 20, 20), TEAL: side}, garment="#ffffff"))
    assert plan_of(job).pairs == gap_chances(job).pairs == ()
    assert job.screens[0].region.area == 400
    for tail in (box(8, 5, 8.2, 15), box(8, 5, 8.2, 15) | box(5, 15, 11, 18)):
        drawn = {RED: box(0, 0, 20, 20) - tail, TEAL: tail}
        bare = make_job(drawn, garment="#ffffff")
        job = ready(bare)
        assert job.screens[0].region.contains(box(7.9, 5.1, 8.3, 14.9))
        chances = gap_chances(job)
        assert all(pair.at_mm[1] >= 15 for pair in chances.pairs)
        told = list(findings_of(job, make_ask({GapChances: chances})))
        assert [f.kind for f in told if f.severity == "note"] == ["film opened under later inks"]
        wish = [pair(under=RED, over=TEAL, do="butt")]
        butting = ready(make_job(drawn, garment="#ffffff", tables=wish))
        assert butting.screens[0].region.equals(bare.screens[0].region)


def test_a_thin_ring_that_the_library_crosses_itself_at_is_looked_at() -> None:
    """Grown again, its core crosses itself: a plain difference fails. It has but one short thin neck."""
    outer = [(17.868483643436196, 2.6041881074425888), (16.893045973430546, 6.0523200109652455)]
    outer += [(19.420118290637387, 9.332714913278759), (22.172290374106865, 6.717092129481083)]
    hole = [(18.98033041429309, 6.670849802725666), (17.057821312095903, 5.628214466528144)]
    hole += [(18.026257802077886, 4.758825887102574), (20.809710997925386, 6)]
    ring = MultiPolygon([Polygon(outer, [[*hole, (19.48982625863439, 6.948818643200042)]])])
    crossed = ring.buffer(-0.15, join_style="mitre").buffer(1.01 * 0.15, join_style="mitre")
    assert not crossed.is_valid
    assert hairlines_of(ring, measure(ring)).is_empty


def test_what_overprints_and_lies_within_may_end_in_a_hairline() -> None:
    """A dark disc with a tail of 0.2 mm: yellow is printed right through under both."""
    tail = DISC | box(20, 0.5, 20.2, 12)
    job = ready(make_job({YELLOW: SQUARE - tail, NAVY: tail}, garment="#c02020"))
    (found,) = plan_of(job).pairs
    assert found.do == "overprint"
    assert job.screens[0].region.area == pytest.approx(SQUARE.area, abs=1e-3)


@pytest.mark.parametrize(("units", "gap"), [("metric", "0.01 mm"), ("inch", "0.001 in")])
def test_a_gap_of_rounding_is_told_with_its_true_length(units: str, gap: str) -> None:
    """Squares 0.004 mm apart along 20 mm."""
    colours = {RED: box(0, 0, 20, 20), TEAL: box(20.004, 0, 40, 20)}
    job = make_job(colours, garment="#ffffff", shop=Shop.model_validate({"units": units}))
    (found,) = findings_of(job, make_ask({GapChances: gap_chances(job)}))
    along = "20.00 mm" if units == "metric" else "0.787 in"
    assert f"stand under {gap} apart along {along}," in found.what
    assert found.size_mm == pytest.approx(0.004)


def test_a_sharp_tip_is_no_hairline() -> None:
    """A wedge of 11° that ends on its neighbour has its trap to the end."""
    wedge = Polygon([(0, 0), (20, 0), (20, 4)])
    job = make_job({RED: wedge, TEAL: box(0, -10, 20, 0)}, garment="#ffffff")
    (found,) = plan_of(job).pairs
    assert found.border.run_mm.tolist() == pytest.approx([20])


def test_a_wrong_pair_ends_the_command_with_2(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The whole command: one line on standard error, no traceback."""
    (tmp_path / "a.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20" width="40mm" height="20mm">'
        f'<rect width="20" height="20" fill="{RED}"/>'
        f'<rect x="20" width="20" height="20" fill="{TEAL}"/></svg>'
    )
    (tmp_path / "order.toml").write_text(
        '[[print]]\nplace = "front"\nartwork = "a.svg"\n'
        f'[[trap.pair]]\nunder = "{TEAL}"\nover = "{RED}"\ndo = "spread"\n'
    )
    assert run(["check", str(tmp_path / "order.toml")]) == 2
    lines = capsys.readouterr().err.strip().splitlines()
    assert "order.toml: trap.pair[1]: " in lines[-1]
    assert "swap under and over" in lines[-1]
    typed = f'trap.pair=[{{under="{TEAL}",over="{RED}",do="butt"}}]'
    assert run(["check", str(tmp_path / "order.toml"), "--set", typed]) == 2
    lines = capsys.readouterr().err.strip().splitlines()
    assert lines[-1].startswith(f"prep: --set {typed}: {TEAL} is printed after {RED}; swap")
