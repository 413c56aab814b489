"""The stages in which plugins change what is made: the order of plugins can't matter."""

from __future__ import annotations

import dataclasses
import itertools
import types
from collections.abc import Sequence

import pytest
import shapely
from pydantic import ValidationError
from shapely import MultiPolygon, Point, box

from prep.errors import PluginFailed, SettingsError
from prep.hookspecs import hookimpl
from prep.job import Job
from prep.make_ready import apply_deltas, design_of, make_ready
from prep.measures import Measures, measure
from prep.order import SetUp
from prep.plugins import Plugin, Plugins
from prep.screens import AddScreen, Delta, DesignEdit, PrintOrder
from prep.shop import Press, Shop
from prep.testing import as_multipolygon, make_job

NAVY, RED = "#1d2b4f", "#c0392b"
EMPTY = MultiPolygon()


def measure_all(regions: Sequence[MultiPolygon]) -> list[Measures]:
    """Measure here, without a worker."""
    return [measure(region) for region in regions]


def plugin(name: str, **hooks: object) -> Plugin:
    """Make a plugin from functions."""
    module = types.ModuleType(name)
    for hook, function in hooks.items():
        setattr(module, hook, hookimpl(function))
    return Plugin(name, module, f"{name} 1.0")


@pytest.fixture(scope="module")
def job() -> Job:
    """Two squares side by side, navy painted first."""
    return make_job({NAVY: box(0, 0, 10, 10), RED: box(10, 0, 20, 10)})


def base(job: Job) -> list[AddScreen]:
    """A white base under both, drawn in a little."""
    whole = shapely.union_all([d.region for d in job.design])
    under = as_multipolygon(shapely.buffer(whole, -0.35, join_style="mitre"))
    return [AddScreen("base", "white", "#ffffff", under, "base", "white under colours")]


def spread(job: Job) -> list[Delta]:
    """Navy spread 0.35 mm under red."""
    navy, red = (d.region for d in job.design)
    add = shapely.intersection(shapely.buffer(navy, 0.35, join_style="mitre"), red)
    return [Delta(NAVY, as_multipolygon(add), EMPTY, "spread under red")]


def notch(job: Job) -> list[Delta]:
    """A corner of navy taken away."""
    return [Delta(NAVY, EMPTY, as_multipolygon(box(0, 0, 1, 1)), "a corner cut off")]


def test_screens_are_added_ordered_changed_and_measured(job: Job) -> None:
    """A base goes first, a trap is 0.35 x 10 mm larger, a notch 1 mm2 smaller."""
    plugins = Plugins(
        [
            plugin("b", prep_screens=base),
            plugin("t", prep_deltas=spread),
            plugin("n", prep_deltas=notch),
        ]
    )
    made = make_ready(job, plugins, measure_all)
    assert [(s.key, s.number, s.does) for s in made.screens] == [
        ("base", 1, "base"),
        (NAVY, 2, "colour"),
        (RED, 3, "colour"),
    ]
    assert made.screen("base").measures.area_mm2 == pytest.approx(19.3 * 9.3)
    assert made.screen(NAVY).measures.area_mm2 == pytest.approx(100 + 3.5 - 1)
    assert made.screen(NAVY).changes == ("a corner cut off", "spread under red")
    assert job.screen(NAVY).measures.area_mm2 == pytest.approx(100)


def test_what_nobody_changes_is_not_measured_again(job: Job) -> None:
    """Beside a screen that is changed, the other hands the region measured before."""
    asked: list[MultiPolygon] = []

    def remembers(regions: Sequence[MultiPolygon]) -> list[Measures]:
        asked.extend(regions)
        return measure_all(regions)

    made = make_ready(job, Plugins([plugin("n", prep_deltas=notch)]), remembers)
    assert made.screen(RED).region is job.screen(RED).region
    assert [region is job.screen(RED).region for region in asked] == [False, True]


def test_names_and_order_of_plugins_cannot_matter(job: Job) -> None:
    """All permutations of plugins and of their names give the same regions, by XOR area."""
    hooks = ({"prep_screens": base}, {"prep_deltas": spread}, {"prep_deltas": notch})
    regions = []
    for names in itertools.permutations("abc"):
        plugins = Plugins([plugin(name, **hook) for name, hook in zip(names, hooks, strict=True)])
        regions.append({s.key: s.region for s in make_ready(job, plugins, measure_all).screens})
    for other in regions[1:]:
        assert {
            k: shapely.symmetric_difference(r, regions[0][k]).area for k, r in other.items()
        } == {
            "base": 0.0,
            NAVY: 0.0,
            RED: 0.0,
        }


def test_taking_away_what_another_adds_names_both_and_the_place() -> None:
    """Two plugins that add and remove the same place are an error, not a matter of who came last."""
    square = as_multipolygon(box(0, 0, 10, 10))
    adds = Delta("x", as_multipolygon(box(10, 0, 12, 2)), EMPTY, "more", by="trap")
    removes = Delta("x", EMPTY, as_multipolygon(box(11, 1, 13, 3)), "less", by="knock")
    for deltas in ((adds, removes), (removes, adds)):
        with pytest.raises(
            PluginFailed, match=r"plugin knock: takes away at \(11\.5, 1\.5\) mm .*trap"
        ):
            apply_deltas(square, deltas)


def test_the_order_may_be_given_by_one_plugin_only(job: Job) -> None:
    """One order of printing holds; two are an error that names both; a wrong one names its giver."""
    turned = plugin("o", prep_order=lambda: PrintOrder((RED, NAVY), "light last"))
    made = make_ready(job, Plugins([turned]), measure_all)
    assert [s.key for s in made.screens] == [RED, NAVY]
    assert "light last" in made.notes
    twin = plugin("p", prep_order=lambda: PrintOrder((RED, NAVY), "so"))
    with pytest.raises(PluginFailed, match="o and p both"):
        make_ready(job, Plugins([turned, twin]), measure_all)
    short = plugin("q", prep_order=lambda: PrintOrder((RED,), "so"))
    with pytest.raises(PluginFailed, match="plugin q: .*leaves out"):
        make_ready(job, Plugins([short]), measure_all)


def test_a_changed_screen_must_be_there(job: Job) -> None:
    """A change to a screen nobody makes is an error, not silence."""
    stray = plugin("s", prep_deltas=lambda: [Delta("#000000", EMPTY, EMPTY, "so")])
    with pytest.raises(PluginFailed, match="plugin s: .*isn't there"):
        make_ready(job, Plugins([stray]), measure_all)


def test_a_second_screen_of_one_key_is_an_error(job: Job) -> None:
    """Keys of screens are distinct."""
    twice = plugin("s", prep_screens=lambda: [AddScreen(RED, "white", RED, EMPTY, "base", "so")])
    with pytest.raises(PluginFailed, match="there already"):
        make_ready(job, Plugins([twice]), measure_all)


def test_the_design_can_be_edited(job: Job) -> None:
    """Red joined to navy: navy covers both, red is gone."""
    both = as_multipolygon(box(0, 0, 20, 10))

    def join() -> list[DesignEdit]:
        return [DesignEdit(NAVY, both, "red joined"), DesignEdit(RED, EMPTY, "joined to navy")]

    as_drawn, design, told = design_of(
        job.separations,
        Plugins([plugin("j", prep_design=join)]),
        job.chosen.get,
        measure_all,
        job.setup,
        job.shop,
    )
    assert [(d.colour, d.measures.area_mm2) for d in design] == [(NAVY, pytest.approx(200))]
    assert [d.region for d in as_drawn] == [s.region for s in job.separations]
    assert told == (f"{NAVY}: red joined", f"{RED}: joined to navy")


def test_edits_know_what_is_printed_on_what(job: Job) -> None:
    """Limits hang on shirts and film: set-up and shop are told."""
    told: list[object] = []

    def look(setup: SetUp, shop: Shop) -> list[DesignEdit]:
        told.extend((setup, shop))
        return []

    design_of(
        job.separations,
        Plugins([plugin("l", prep_design=look)]),
        job.chosen.get,
        measure_all,
        job.setup,
        job.shop,
    )
    assert told == [job.setup, job.shop]


def test_two_edits_of_one_colour_are_an_error(job: Job) -> None:
    """Names both plugins."""
    edit = {"prep_design": lambda: [DesignEdit(NAVY, EMPTY, "so")]}
    with pytest.raises(PluginFailed, match="plugin b: edits #1d2b4f, and so does a"):
        design_of(
            job.separations,
            Plugins([plugin("a", **edit), plugin("b", **edit)]),
            job.chosen.get,
            measure_all,
            job.setup,
            job.shop,
        )


def test_curved_deltas_commute_exactly() -> None:
    """All permutations of overlapping curved changes give bit-equal regions."""
    region = as_multipolygon(Point(0, 0).buffer(10))
    deltas = [
        Delta("x", as_multipolygon(Point(9, y).buffer(2)), EMPTY, "add", by=f"a{y}")
        for y in (0, 1, 2)
    ]
    deltas.append(Delta("x", EMPTY, as_multipolygon(Point(-9, 0).buffer(2)), "remove", by="r"))
    results = {
        shapely.to_wkb(apply_deltas(region, order)) for order in itertools.permutations(deltas)
    }
    assert len(results) == 1


def test_a_screen_may_print_what_others_would(job: Job) -> None:
    """The replaced screen is gone; its replacement may bear its key and share a film with another."""

    def shared(job: Job) -> list[AddScreen]:
        return [
            AddScreen(
                s.key,
                s.ink,
                s.colour,
                s.region,
                "colour",
                "side by side",
                replaces=(s.key,),
                film="f",
            )
            for s in job.screens
        ]

    made = make_ready(job, Plugins([plugin("b", prep_screens=shared)]), measure_all)
    assert sorted(s.key for s in made.screens) == sorted((NAVY, RED))
    assert [len(screens) for screens in made.films] == [2]
    assert [[s.key for s in film] for film in job.films] == [[NAVY], [RED]]


@pytest.mark.parametrize(
    ("replaces", "message"),
    [
        ((("#123456",),), "replaces a screen '#123456' that isn't there"),
        (((NAVY,), (NAVY,)), f"replaces the screen '{NAVY}', and so does b"),
    ],
)
def test_replacing_what_cannot_be_replaced_names_the_plugin(
    job: Job, replaces: tuple[tuple[str, ...], ...], message: str
) -> None:
    """A screen that isn't there, or one replaced twice."""

    def wrong(job: Job) -> list[AddScreen]:
        region = job.screens[0].region
        return [
            AddScreen(f"k{n}", "white", "#ffffff", region, "base", "because", replaces=keys)
            for n, keys in enumerate(replaces)
        ]

    with pytest.raises(PluginFailed, match=message):
        make_ready(job, Plugins([plugin("b", prep_screens=wrong)]), measure_all)


def test_the_order_says_why_and_how_often(job: Job) -> None:
    """Reasons and passes of the order of printing reach the screens."""
    given = plugin(
        "o",
        prep_order=lambda: PrintOrder((RED, NAVY), "so", {RED: "red is lighter"}, {NAVY: 2}),
    )
    red, navy = make_ready(job, Plugins([given]), measure_all).screens
    assert (red.placed, red.passes, navy.placed, navy.passes) == ("red is lighter", 1, "", 2)


def test_more_films_than_the_press_can_ever_take_are_refused(job: Job) -> None:
    """Two films: one frame will do where it can be set up again, two where it can't; else one line."""
    for stations, again in ((1, True), (2, False)):
        press = Press(stations=stations, set_up_again=again)
        shop = job.shop.model_copy(update={"press": press})
        assert (
            len(make_ready(dataclasses.replace(job, shop=shop), Plugins(), measure_all).films) == 2
        )
    shop = job.shop.model_copy(update={"press": Press(stations=1, set_up_again=False)})
    said = r"shop.toml: press.set_up_again: .* takes 2 films, and the press holds 1 frame .*; print"
    with pytest.raises(SettingsError, match=said):
        make_ready(dataclasses.replace(job, shop=shop), Plugins(), measure_all)
    with pytest.raises(ValidationError, match="needs stations to count; state stations"):
        Press(kind="simple press", set_up_again=False)
