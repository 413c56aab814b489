"""The ways to print: which there are, what they cost, how they rank, what becomes of them."""

from __future__ import annotations

import dataclasses
import itertools
import math
import sys
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm
from shapely import Point, box

import prep_base
import prep_sequence
from prep.cli import run
from prep.errors import SettingsError
from prep.job import Job
from prep.make_ready import make_ready
from prep.measures import measure
from prep.misses import Edges, Gap, Miss, chance_among, draws_among
from prep.order import Batch
from prep.plugins import Plugin, Plugins
from prep.screens import ink_kind
from prep.shop import Ink, Press, PressKind, Shop
from prep.testing import make_ask, make_job
from prep_base.answers import FellAway, WayName, WaysToPrint
from prep_base.forecast import ways_to_print as ways_to_print_of
from prep_base.screens import Choice, choice_of, screens_of
from prep_base.settings import Base
from prep_base.sharing import far_groups
from prep_base.trouble import findings_of
from prep_base.ways import takes_discharge
from prep_base.wording import sections_of
from prep_drying.settings import Drying
from prep_plan.settings import Plan
from prep_sequence.answers import PrintSteps, Step
from prep_sequence.settings import SequenceOrder
from prep_sequence.steps import steps_of
from tests.plugins.base.test_job import (
    BLACK,
    NAVY,
    RED,
    TEAL,
    WHITE,
    asked,
    dark,
    measure_all,
    order,
    press,
)

ANY = [RED, TEAL]


def ready(job: Job) -> Job:
    plugins = Plugins([Plugin("base", prep_base, "firstpull")])
    return make_ready(job, plugins, lambda regions: [measure(region) for region in regions])


def ways_to_print(job: Job) -> WaysToPrint:
    return asked(job)(WaysToPrint)


def names(job: Job) -> list[str]:
    return [way.name for way in ways_to_print(job).ways]


def test_a_light_shirt_has_one_way() -> None:
    """One screen for each colour, nothing to choose, and nothing said."""
    job = make_job({RED: box(0, 0, 20, 20), TEAL: box(20, 0, 40, 20)})
    assert names(job) == ["plain"]
    assert [s.key for s in ready(job).screens] == [RED, TEAL]
    assert not list(sections_of(job, asked(job)))


def test_ways_of_a_dark_shirt() -> None:
    """Those that show the drawing come first; two hits ask opaque inks, discharge asks cotton."""
    job = dark({WHITE: box(0, 0, 20, 20), RED: box(20, 0, 40, 20)})
    ways = {way.name: way for way in ways_to_print(job).ways}
    assert names(job)[0] == "base"
    assert set(ways) == {"base", "plain", "two hits", "discharge", "white outline"}
    assert [ways["base"].films, ways["base"].passes] == [2, 3]
    assert [ways["two hits"].films, ways["two hits"].passes] == [2, 4]
    clear = Shop(inks=(Ink(name="red", hex=RED, kind="transparent colour"),))
    blend = Batch("shirt", NAVY, "50 % cotton, 50 % polyester", (("M", 24),))
    other = dark({WHITE: box(0, 0, 20, 20), RED: box(20, 0, 40, 20)}, shop=clear)
    other = dataclasses.replace(other, setup=dataclasses.replace(other.setup, batches=(blend,)))
    assert set(names(other)) == {"base", "plain", "white outline"}


@pytest.mark.parametrize(
    ("fibre", "takes"),
    [
        ("100 % cotton", True),
        ("organic cotton", True),
        ("50 % cotton, 50 % viscose", True),
        ("80 % cotton, 20 % polyester", False),
        ("polyester", False),
        ("100 %", False),
    ],
)
def test_which_fibres_take_discharge(fibre: str, takes: bool) -> None:
    """Cellulose throughout; anything else, and what isn't named, doesn't."""
    assert takes_discharge(fibre) == takes


def test_hours_by_hand() -> None:
    """Two films of 23 min, lined up 15 and cleaned 12 min each, two inks of 10 min: 2 h.

    24 shirts, one spoilt, 4 test pulls: 3 passes of 20 s, laid in 60 s, base dried twice 45 s: 29 x 210 s.
    On a hinged frame the shirts come off for the second film, which dries them once: laid twice.
    """
    drawn = {WHITE: box(0, 0, 20, 20), RED: box(20, 0, 40, 20)}
    hinged = ways_to_print(dark(drawn)).ways[0]
    assert (hinged.passes, hinged.flashes, hinged.rounds) == (3, 1, 2)
    assert hinged.hours == pytest.approx(2 + 29 * (3 * 20 + 45 + 2 * 60) / 3600)
    base = ways_to_print(dark(drawn, shop=Shop(press=Press(kind="simple press")))).ways[0]
    assert (base.passes, base.flashes, base.rounds) == (3, 2, 1)
    assert base.hours == pytest.approx(2 + 29 * (3 * 20 + 2 * 45 + 60) / 3600)
    assert base.cost_hours == pytest.approx(base.hours + base.miss * 24 * 300 / 3600)


def test_colours_far_apart_share_a_film() -> None:
    """60 mm apart on a light shirt: one film for two inks, 50 min less, and so it is made."""
    job = make_job({RED: box(0, 0, 20, 20), TEAL: box(80, 0, 100, 20)})
    ways = ways_to_print(job)
    assert [(way.name, way.films) for way in ways.ways] == [("side by side", 1), ("plain", 2)]
    made = ready(job)
    assert [[s.key for s in film] for film in made.films] == [[RED, TEAL]]
    assert [s.region.area for s in made.screens] == pytest.approx([400, 400])
    (section,) = sections_of(job, asked(job))
    assert "Two short squeegees" in str(section)


def test_near_colours_and_other_meshes_share_none() -> None:
    """40 mm apart is too near; so are meshes that differ."""
    job = make_job({RED: box(0, 0, 20, 20), TEAL: box(60, 0, 80, 20)})
    assert names(job) == ["plain"]
    far = [box(0, 0, 1, 1), box(60, 0, 61, 1), box(120, 0, 121, 1)]
    assert far_groups(far, ["a", "a", "a"], 50) == ((0, 1, 2),)
    assert far_groups(far, ["a", "b", "a"], 50) == ((0, 2), (1,))
    near = [box(0, 0, 1, 1), box(10, 0, 11, 1), box(100, 0, 101, 1)]
    assert [len(g) for g in far_groups(near, ["a"] * 3, 50)] == [2, 1]


def test_one_film_for_base_and_top() -> None:
    """One colour on dark: both print through its film; no choke, the scatter alone shows white.

    A disc: |d| > 0.2 mm of two prints' scatter, exp(-0.2² / 2 sigma²).
    """
    drawn = {RED: Point(30, 30).buffer(25, quad_segs=64)}
    job = dark(drawn, shop=Shop(press=press(0.5, 0.1)), tables=[order(way="one film")])
    made = ready(job)
    assert [len(film) for film in made.films] == [2]
    assert made.screens[0].region.equals(made.screens[1].region)
    way = ways_to_print(job).way
    sigma = math.sqrt(2) * 0.1
    assert way.miss == pytest.approx(math.exp(-(0.2**2) / (2 * sigma**2)), abs=0.03)
    # 24 shirts one by one: washed twice each but for the last
    before = 50 * 60 + 2 * 600  # its film and two inks
    seconds = before + 29 * (3 * 20 + 2 * 45 + 60) + 47 * 600
    assert way.hours == pytest.approx(seconds / 3600)
    platens = Base.model_validate({"platens": 24})
    quick = ways_to_print(dark(drawn, tables=[platens]))
    assert next(w for w in quick.ways if w.name == "one film").hours == pytest.approx(
        (before + 29 * 210 + 600) / 3600
    )


def test_two_hits_discharge_and_outline_are_made_when_asked() -> None:
    """No base and two passes; no base and discharge ink; a base 1.5 mm beyond the colours."""
    drawn = {BLACK: box(0, 40, 10, 50), RED: box(0, 0, 20, 20)}
    hits = ready(dark(drawn, tables=[order(way="two hits")]))
    assert [(s.key, s.passes, s.does) for s in hits.screens] == [
        (BLACK, 1, "colour"),
        (RED, 2, "colour"),
    ]
    inks = (
        Ink(name="red", hex=RED, kind="opaque colour"),
        Ink(name="bleach red", hex=RED, kind="discharge"),
    )
    away = ready(dark(drawn, shop=Shop(inks=inks), tables=[order(way="discharge")]))
    assert [s.ink for s in away.screens] == [BLACK, "bleach red"]
    away = ready(dark(drawn, tables=[order(way="discharge")]))
    assert [s.ink for s in away.screens] == [BLACK, f"{RED} (discharge)"]
    wide = ready(dark(drawn, tables=[order(way="white outline")]))
    assert wide.screens[0].does == "base and colour"
    grown = box(0, 0, 20, 20).buffer(1.5)
    assert wide.screens[0].region.area == pytest.approx(grown.area, rel=1e-3)
    assert [s.key for s in ready(dark(drawn, tables=[order(way="plain")])).screens] == [BLACK, RED]


def test_a_white_outline_lies_around_colours_only() -> None:
    """The artwork's own white, 30 mm away, stays as large as it was drawn."""
    drawn = {RED: box(0, 0, 20, 20), "#ffffff": box(50, 0, 70, 20)}
    wide = ready(dark(drawn, tables=[order(way="white outline")]))
    grown = box(0, 0, 20, 20).buffer(1.5)
    (white,) = (s for s in wide.screens if s.colour == "#ffffff")
    assert white.region.area == pytest.approx(grown.area + 400, rel=1e-3)
    assert white.region.bounds[2] == pytest.approx(70)


@pytest.mark.parametrize(
    "way", ["base", "plain", "two hits", "discharge", "white outline", "side by side", "one film"]
)
@pytest.mark.parametrize("kind", ["simple press", "hinged frame"])
def test_the_ranking_counts_the_steps_that_are_made(way: WayName, kind: PressKind) -> None:
    """Passes, flashes and layings of every way, in the ranking, are those of the steps printed."""
    drawn = {WHITE: box(0, 0, 20, 20), RED: box(20, 0, 40, 20), TEAL: box(95, 0, 99, 20)}
    if way == "one film":
        drawn = {RED: box(0, 0, 20, 20)}
    tables = [order(way=way), SequenceOrder(no_flash_after=(RED,))]
    job = dark(drawn, shop=Shop(press=Press(kind=kind)), tables=tables)
    ranked = choice_of(job).made.way
    assert ranked.name == way
    plugins = Plugins(
        [Plugin("base", prep_base, "firstpull"), Plugin("sequence", prep_sequence, "firstpull")]
    )
    steps = steps_of(make_ready(job, plugins, measure_all))
    prints = sum(step.does == "print" for step in steps.steps)
    made = (prints, steps.flashes, steps.rounds)
    assert (ranked.passes, ranked.flashes, ranked.rounds) == made


def test_the_way_that_is_made_is_told_with_its_own_steps() -> None:
    """However the screens were changed in the end: 5 passes, 2 flashes and 1 laying are told."""
    job = dark({WHITE: box(0, 0, 20, 20), RED: box(20, 0, 40, 20)})
    done = ("print", "print", "flash", "print", "flash", "print", "print")
    steps = PrintSteps(tuple(Step(does, RED, 1, 0.0, "") for does in done), 1, None)
    ways = ways_to_print_of(job, make_ask({Choice: choice_of(job), PrintSteps: steps}))
    assert (ways.way.passes, ways.way.flashes, ways.way.rounds) == (5, 2, 1)
    assert ways.way.hours == pytest.approx(2 + 29 * (5 * 20 + 60) / 3600)  # flashes of 0 s


def test_without_rules_of_printing_order(monkeypatch: pytest.MonkeyPatch) -> None:
    """White twice and red: 3 passes; dried between and after the base, or by laying shirts again."""
    monkeypatch.setitem(sys.modules, "prep_sequence.steps", None)
    drawn = {WHITE: box(0, 0, 20, 20), RED: box(20, 0, 40, 20)}
    for kind, counts in (("simple press", (3, 2, 1)), ("hinged frame", (3, 1, 2))):
        job = dark(drawn, shop=Shop(press=Press.model_validate({"kind": kind})))
        way = choice_of(job).made.way
        assert (way.passes, way.flashes, way.rounds) == counts


def test_ways_speak_in_the_shops_units() -> None:
    """50 mm apart and 1.5 mm of outline are 1.969 and 0.059 in."""
    drawn = {RED: box(0, 0, 20, 20), TEAL: box(80, 0, 100, 20)}
    ways = {w.name: w for w in ways_to_print(dark(drawn, shop=Shop(units="inch"))).ways}
    assert "more than 1.969 in apart" in ways["side by side"].why
    assert "outline of 0.059 in around" in ways["white outline"].what
    assert not any(" mm" in f"{w.what} {w.why} {w.asks}" for w in ways.values())


def test_shirts_laid_again_miss_by_more() -> None:
    """A hinged frame holds one film: only where base and top share it do shirts stay in place."""
    drawn = {RED: box(0, 0, 20, 20)}
    stays, again = (
        {w.name: w.miss for w in ways_to_print(dark(drawn, shop=Shop(press=press))).ways}
        for press in (Press(kind="hinged frame", stations=2), Press(kind="hinged frame"))
    )
    assert again["base"] > stays["base"]
    assert again["one film"] == stays["one film"]


@pytest.mark.parametrize("rules", [True, False])
def test_colour_by_colour_every_film_lays_the_shirts_again(
    monkeypatch: pytest.MonkeyPatch, rules: bool
) -> None:
    """Base and colour miss by as much as on one frame at a time, and are laid twice; one film isn't."""
    if not rules:
        monkeypatch.setitem(sys.modules, "prep_sequence.steps", None)
    drawn = {RED: box(0, 0, 20, 20)}
    by_colour = {"kind": "hinged frame", "stations": 4, "working": "colour by colour"}
    jobs = [
        dark(drawn, shop=Shop(press=Press.model_validate(own)))
        for own in (by_colour, {"kind": "hinged frame"}, {"kind": "hinged frame", "stations": 4})
    ]
    worked, one_frame, stays = ({w.name: w for w in ways_to_print(job).ways} for job in jobs)
    for name in ("base", "one film"):
        assert worked[name].miss == one_frame[name].miss
        assert worked[name].rounds == one_frame[name].rounds
        assert worked[name].flashes == one_frame[name].flashes
    assert worked["base"].rounds == 2
    assert worked["base"].miss > stays["base"].miss
    assert (stays["base"].rounds, worked["one film"].rounds) == (1, 1)
    needed = [choice_of(job).plan.needed_mm for job in jobs]  # type: ignore[union-attr]  # it has a base
    assert needed[0] == needed[1] > needed[2]
    (section, *_) = sections_of(jobs[0], asked(jobs[0]))
    assert "The job is worked colour by colour: each shirt is laid again" in str(section)


def test_ways_the_press_can_never_take_are_left_out() -> None:
    """One frame that can't be changed: one film for base and colour, or no base at all."""
    never = Press.model_validate({"kind": "hinged frame", "set_up_again": False})
    job = dark({RED: box(0, 0, 20, 20)}, shop=Shop(press=never))
    ways = ways_to_print(job)
    assert {way.name for way in ways.ways} == {"one film", "plain", "two hits", "discharge"}
    assert ways.chosen == "one film"
    assert set(ways.fell_away) == {FellAway("base", 2), FellAway("white outline", 2)}
    (section, *_) = sections_of(job, asked(job))
    assert (
        "Not possible: base (2 films) and white outline (2 films), as the press holds 1 frame"
        in str(section)
    )


TWO = {RED: box(0, 0, 20, 20), TEAL: box(20, 0, 40, 20)}
"""With a base: three films."""


def of_two_frames(sizes: tuple[tuple[str, int], ...] = (("M", 24),), **tables: object) -> Job:
    """Red and teal on dark, on a press of two frames that can't be set up again."""
    held = Press(kind="simple press", stations=2, set_up_again=False)
    inks: tuple[Ink, ...] = tables.pop("inks", ())  # type: ignore[assignment]  # given as such
    job = dark(TWO, shop=Shop(press=held, inks=inks), tables=[order(**tables)])
    batch = dataclasses.replace(job.setup.batches[0], sizes=sizes)
    return dataclasses.replace(job, setup=dataclasses.replace(job.setup, batches=(batch,)))


LISTED = (Ink(name="red", hex=RED), Ink(name="teal", hex=TEAL))


@pytest.mark.parametrize(
    ("sizes", "inks", "discharge"),
    [
        ((("M", 24),), (), True),
        ((("M", 24), ("youth XS-S", 6)), (), False),
        ((("M", 24),), LISTED, False),
        (
            (("M", 24),),
            (*LISTED, *(Ink(name=f"d{c}", hex=c, kind="discharge") for c in (RED, TEAL))),
            True,
        ),
    ],
)
def test_what_changes_the_drawing_or_needs_a_trial_is_never_taken_unasked(
    sizes: tuple[tuple[str, int], ...], inks: tuple[Ink, ...], discharge: bool
) -> None:
    """Three films where two frames hang: refused; discharge is named only where it may be taken."""
    with pytest.raises(SettingsError) as caught:
        choice_of(of_two_frames(sizes, inks=inks))
    said = str(caught.value)
    assert said.startswith("shop.toml: press.set_up_again: ")
    assert "takes 3 films with a base, and the press holds 2 frames and can't be set up" in said
    assert 'way = "plain"' in said
    assert "set_up_again = true" in said
    assert ('way = "discharge"' in said) == discharge


def test_of_two_inks_of_a_colour_the_discharge_ink_is_not_taken_unasked() -> None:
    """However the shop lists them."""
    inks = (*LISTED, Ink(name="bleach red", hex=RED, kind="discharge"))
    for listed in (inks, inks[::-1]):
        made = ready(dark(TWO, shop=Shop(inks=listed)))
        assert [s.ink for s in made.screens] == ["white", "red", "teal"]


def test_discharge_is_made_when_asked_and_told_on_childrens_wear() -> None:
    """Where the press holds too few films for a base as well; at risk on the youth sizes alone."""
    for sizes, risks in (((("M", 24),), 0), ((("M", 1), ("youth XS-S", 6)), 1)):
        job = of_two_frames(sizes, way="discharge")
        assert ways_to_print(job).chosen == "discharge"
        made = ready(job)
        found = [f for f in findings_of(made, asked(made)) if "children" in f.kind]
        assert [f.severity for f in found] == ["at risk"] * risks
        assert all("youth XS-S" in f.what and "fumes" in f.why for f in found)


@pytest.mark.parametrize(
    ("way", "given", "why"),
    [
        ("base", {}, "it takes 3 films, and the press holds 2 frames and can't be set up again"),
        ("one film", {}, "it is for one colour alone, and 2 are printed"),
        ("side by side", {}, "no two colours of one mesh have a straight lane of 50.00 mm"),
        ("discharge", {"inks": LISTED}, f"no discharge ink for {RED} and {TEAL}"),
        (
            "two hits",
            {"inks": (Ink(name="clear", hex=RED, kind="transparent colour"),)},
            "it needs opaque inks, and clear is not",
        ),
    ],
)
def test_why_a_way_cannot_be(way: WayName, given: dict[str, object], why: str) -> None:
    """Each way's own reason, before those that can be."""
    with pytest.raises(SettingsError) as caught:
        choice_of(of_two_frames(way=way, **given))
    assert f'base.way: "{way}" is no way to print' in str(caught.value)
    assert f": {why}" in str(caught.value).replace("the shop lists its inks, and ", "")
    assert 'possible here: "plain"' in str(caught.value).replace('"discharge", ', "")


def test_an_invented_discharge_ink_is_treated_as_one() -> None:
    """The shop lists no such ink: still it goes before white, and nothing is flashed over it."""
    drawn = {WHITE: box(0, 0, 20, 20), RED: box(20, 0, 40, 20)}
    plugins = Plugins(
        [Plugin("base", prep_base, "firstpull"), Plugin("sequence", prep_sequence, "firstpull")]
    )
    shop = Shop(press=Press(kind="simple press"))
    job = dark(drawn, shop=shop, tables=[order(way="discharge")])
    job = make_ready(job, plugins, measure_all)
    assert [ink_kind(screen, job.shop) for screen in job.screens] == [
        ("discharge", False),
        ("opaque white", True),
    ]
    assert [screen.key for screen in job.screens] == [RED, WHITE]
    said = [(step.does, step.screen) for step in steps_of(job).steps]
    assert said == [("print", RED), ("print", WHITE), ("flash", WHITE), ("print", WHITE)]


def test_a_way_that_cannot_be_is_refused() -> None:
    """One line with what can be; where another set-up may use it, a note."""
    job = dark({WHITE: box(0, 0, 20, 20), RED: box(20, 0, 40, 20)}, tables=[order(way="one film")])
    with pytest.raises(
        SettingsError, match=r'base.way: "one film" is no way .*possible here: "base"'
    ):
        list(screens_of(job, choice_of(job)))
    prints = (*job.order.print, *job.order.print)
    several = dataclasses.replace(job, order=job.order.model_copy(update={"print": prints}))
    ways = ways_to_print(several)
    assert ways.chosen == "base"
    assert "one film" in ways.unused[0].says


def test_joint_draws_against_closed_forms() -> None:
    """Two straight borders of three screens: the shared screen ties them together.

    Screens 1 and 2 against 0 along x: shown unless both differences stay under L. By integration over
    the place of screen 0.
    """
    sigma, seen = 0.5, 0.4
    miss = Miss(0.4, 0.3, 0.0, 0.0)
    edges = Edges(np.array([[1.0, 0.0, 0.0]]), np.zeros(1), np.zeros(1, dtype=np.int64))
    draws = draws_among(miss, (0, 1, 2), 8192)
    found = chance_among([Gap(0, 1, edges), Gap(0, 2, edges)], draws, seen)
    x = np.linspace(-4, 4, 4001)
    free = np.trapezoid(norm.pdf(x, scale=sigma) * norm.cdf((seen + x) / sigma) ** 2, x)
    assert found == pytest.approx(1 - free, abs=0.015)
    # one film: the set-up is shared; one stroke: nothing differs
    shared = draws_among(miss, (0, 0), 8192)
    one = chance_among([Gap(0, 1, edges)], shared, seen)
    assert one == pytest.approx(norm.sf(seen / (math.sqrt(2) * 0.3)), abs=0.015)
    same = draws_among(miss, (0, 0), 1024, together=(0, 0))
    assert chance_among([Gap(0, 1, edges)], same, 1e-9) == 0.0


def test_the_order_of_colours_cannot_matter() -> None:
    """However the colours are painted, the ways cost and rank the same."""
    drawn = {WHITE: box(0, 0, 20, 20), RED: box(20, 0, 40, 20), TEAL: box(40, 0, 60, 20)}
    seen = []
    for keys in itertools.permutations(drawn):
        ways = ways_to_print(dark({key: drawn[key] for key in keys})).ways
        seen.append([(way.name, way.films, round(way.hours, 6)) for way in ways])
    assert all(one == seen[0] for one in seen)


@pytest.mark.parametrize(
    ("way", "screens"), [("one film", 1), ("two hits", 1), ("white outline", 2)]
)
def test_a_way_goes_through_the_whole_command(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], way: str, screens: int
) -> None:
    """Films, sheet and all: as many films lie in the folder as the way has."""
    (tmp_path / "a.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20" width="40mm" height="20mm">'
        f'<rect width="20" height="20" fill="{RED}"/></svg>'
    )
    (tmp_path / "order.toml").write_text(
        '[[print]]\nplace = "front"\nartwork = "a.svg"\n[[garment]]\ncolour = "#000000"\n'
        f'sizes = {{ M = 3 }}\n[base]\nway = "{way}"\n'
    )
    assert run(["sheet", str(tmp_path / "order.toml"), "--out", str(tmp_path / "job")]) == 0
    assert len(list((tmp_path / "job" / "stencils").glob("0[1-9]*-side.svg"))) == screens
    assert not capsys.readouterr().err.strip().startswith("Traceback")


def test_times_of_the_plan_count_in_the_hours_of_ways() -> None:
    """Lining up 25 min in place of 15, an ink 20 min in place of 10: two of each are 40 min more."""
    drawn = {WHITE: box(0, 0, 20, 20), RED: box(20, 0, 40, 20)}
    own = Plan.model_validate({"line_up": "25 min", "mix": "20 min"})
    usual, taken = (ways_to_print(dark(drawn, tables=tables)).ways[0] for tables in ([], [own]))
    assert taken.hours == pytest.approx(usual.hours + 40 / 60)
    timed = Drying.model_validate({"print_time": "30 s", "laying_time": "90 s"})
    slower = ways_to_print(dark(drawn, tables=[timed])).ways[0]
    assert slower.hours == pytest.approx(usual.hours + 29 * (3 * 10 + usual.rounds * 30) / 3600)
    stated = Base.model_validate({"flash_time": "145 s"})
    longer = ways_to_print(dark(drawn, tables=[stated])).ways[0]
    assert longer.hours == pytest.approx(usual.hours + usual.flashes * 29 * 100 / 3600)
