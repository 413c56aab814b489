"""From a job to its drying: climates, what was measured, ways of working, and what the trade knows."""

from __future__ import annotations

import functools
import itertools
import math
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from shapely import box, union_all

import prep_drying
import prep_ink
import prep_sequence
from prep.errors import InputError, SettingsError, Unanswered
from prep.job import Chosen, Job
from prep.order import ColourChoice, Print
from prep.plugins import Plugin, Plugins
from prep.session import Session
from prep.shop import Ink, Mesh, Press, PressKind, Room, Shop, Working
from prep.testing import make_ask, make_job
from prep_base.settings import Base
from prep_drying.answers import Climate, Drying, IdleScreen, Lost, ScreenRun
from prep_drying.settings import Drying as ShopDrying
from prep_drying.settings import DryingColour, DryingOrder
from prep_ink.settings import OrderInk, ShopInk
from prep_mix.settings import MixOrder, MixShop
from prep_plan.settings import Plan

WHITE, BLUE, RED = "#ffffff", "#1f3a5f", "#d9472f"
SOLID = union_all([box(0, 0, 100, 50), box(0, 55, 100, 56)])  # with a strip of 1 mm
TWO = {WHITE: SOLID, BLUE: union_all([box(0, 60, 100, 110), box(0, 115, 100, 116)])}
MAKERS = Mesh(
    name="43-80",
    count="43/cm",
    thread="80 um",
    open_area="41 %",
    thickness="130 um",
    volume="53 cm3/m2",
)
SHOP = Shop(
    mesh=(MAKERS,),
    room=Room(temperature="25 C", humidity="50 %"),
    press=Press(kind="press with fine adjustment", stations=4),
)
STILL: tuple[Climate, ...] = ("still room",)
FAN: tuple[Climate, ...] = ("fan on the screens",)
DRYER: tuple[Climate, ...] = ("flash dryer beside the press",)
PLATEN: tuple[Climate, ...] = ("warm platen under the screen",)


def ask_of(job: Job) -> Any:
    named = (("ink", prep_ink), ("sequence", prep_sequence), ("drying", prep_drying))
    return Session(Plugins([Plugin(name, of, "firstpull") for name, of in named])).ask_for(job)


def dry(
    own: ShopDrying | None = None,
    order: DryingOrder | None = None,
    *,
    colours: dict[str, Any] | None = None,
    tables: tuple[Any, ...] = (),
    **options: Any,
) -> Drying:
    shop = options.pop("shop", SHOP)
    measured = _measured(colours is not None, **options)
    chosen = Chosen(
        {type(t): t for t in (own or ShopDrying(climate=STILL), order or DryingOrder(), *tables)}
    )
    return ask_of(replace(measured, shop=shop, chosen=chosen))(Drying)


@functools.cache
def _measured(two: bool, *, ink: str = BLUE, **options: Any) -> Job:
    """Measuring the regions takes longer than all else."""
    return make_job(TWO if two else {BLUE: SOLID}, shop=SHOP, inks={BLUE: ink}, **options)


def only(drying: Drying) -> tuple[IdleScreen, ScreenRun]:
    (idle,), (run,) = drying.idle.values(), drying.run.by_screen.values()
    return idle, run


def every_figure(value: Any) -> list[float]:
    """All numbers in an answer, however deep."""
    if isinstance(value, bool | str) or value is None:
        return []
    if isinstance(value, int | float):
        return [float(value)]
    if isinstance(value, tuple | list):
        return [figure for one in value for figure in every_figure(one)]
    if isinstance(value, dict):
        return every_figure(tuple(value.values()))
    if isinstance(value, np.ndarray):
        return [float(one) for one in value.ravel()]
    return [f for name in type(value).__slots__ for f in every_figure(getattr(value, name))]


# what the trade knows; common practice, no source


def test_untreated_ink_in_a_cleared_screen_clogs_in_some_5_to_15_minutes() -> None:
    """Common practice, no source. Fixed beforehand: 43-80 by its maker's line, opaque colour, no retarder,
    25 °C, 50 %, still air, openings of 10 mm, all else as the table has it."""
    idle, _ = only(dry())
    (wide,) = (one for one in idle.by_width if one.width_mm == 10.0)
    assert wide.cleared_s.low < 10 * 60 < wide.cleared_s.high * 1.5
    assert 4.5 * 60 < wide.cleared_s.value < 15 * 60
    share = np.mean((wide.cleared_s.draws > 5 * 60) & (wide.cleared_s.draws < 15 * 60))
    assert share > 0.4


def test_retarder_flooding_and_fresh_ink_keep_a_run_of_45_minutes_open() -> None:
    """Common practice, no source. Fixed beforehand: as above with retarder, flooded, a flash dryer beside
    the press, no water added, 3 minutes a shirt, 11 shirts and 4 test pulls, a strip of 1 mm."""
    drying = dry(
        ShopDrying(climate=DRYER, retarder=True, print_time="20 s", laying_time="160 s"),
        DryingOrder(mist="never"),
        shirts=11,
        tables=(OrderInk(test_pulls=4, spoilage=0),),
    )
    assert drying.run.run_s.value == pytest.approx(45 * 60)
    _, run = only(drying)
    assert run.fits > 0.8
    assert run.well.middle[-1] > run.clogs_below.value
    # and it is these that do it
    bare = dry(
        ShopDrying(climate=DRYER, flooded=False, print_time="20 s", laying_time="160 s"),
        DryingOrder(mist="never"),
        shirts=11,
        tables=(OrderInk(test_pulls=4, spoilage=0),),
    )
    assert bare.run.fits < 0.25


def test_an_hour_idle_dries_it() -> None:
    """Common practice, no source. Fixed beforehand: as the first, flooded, a strip of 1 mm; and with
    retarder beside a flash dryer."""
    idle, _ = only(dry())
    assert idle.finest.flooded_s.value < 3600
    assert idle.finest.cleared_s.high < 3600
    beside, _ = only(dry(ShopDrying(climate=DRYER, retarder=True)))
    assert beside.finest.flooded_s.value < 3600


# climates


def flux(climate: tuple[Climate, ...]) -> float:
    return dry(ShopDrying(climate=climate)).air.flux_kg_m2_h.value


def test_each_climate_dries_faster_than_a_still_room_and_several_add_up() -> None:
    still = flux(STILL)
    alone = [flux(FAN), flux(DRYER), flux(PLATEN)]
    assert all(one > 1.2 * still for one in alone)
    assert flux((*FAN, *DRYER, *PLATEN)) > max(flux((*FAN, *DRYER)), flux((*DRYER, *PLATEN)))
    assert flux((*FAN, *DRYER)) > max(flux(FAN), flux(DRYER))


def test_a_dryer_warms_the_air_and_adds_no_vapour() -> None:
    still, beside = (dry(ShopDrying(climate=c)).air for c in (STILL, DRYER))
    assert beside.at_screen_c.value == pytest.approx(still.at_screen_c.value + 4.0)
    from prep_drying.air import vapour_pressure_pa

    for k in (0, 7, 300):
        vapour = [
            a.humidity.draws[k] * float(vapour_pressure_pa(a.at_screen_c.draws[k]))
            for a in (still, beside)
        ]
        assert vapour[0] == pytest.approx(vapour[1])


def test_the_still_room_is_the_room() -> None:
    """25 °C, 50 %, 0.1 m/s: 21.9 °C and .0885 kg/(m² h), but for the humectant, 2 % of vapour."""
    air = dry().air
    assert (air.room_c, air.room_humidity, air.air_speed_m_s.value) == (25.0, 0.5, 0.1)
    assert air.film_c.value == pytest.approx(21.9, abs=0.2)
    assert air.flux_kg_m2_h.value == pytest.approx(0.0885, rel=0.04)
    assert air.flux_kg_m2_h.value < 0.0885
    assert air.outside == ()
    assert air.assumed == ""


def test_a_fan_never_slows_the_air_down() -> None:
    windy = SHOP.model_copy(update={"room": Room(temperature="22 C", air_speed="3 m/s")})
    draughty, fan = (dry(ShopDrying(climate=c), shop=windy).air.air_speed_m_s for c in (STILL, FAN))
    assert (fan.draws >= draughty.draws).all()
    assert fan.value == 3.0


def test_a_fan_is_marked_as_outside_the_formula() -> None:
    (said,) = dry(ShopDrying(climate=FAN)).air.outside
    assert "outside the range the formula was made for" in said
    assert "0.15 m/s" in said


def test_hot_ink_is_marked_too() -> None:
    hot = ShopDrying(climate=(*DRYER, *PLATEN), radiant="1000 W/m2", platen_over="60 K")
    said = " ".join(
        dry(hot, shop=SHOP.model_copy(update={"room": Room(temperature="45 C")})).air.outside
    )
    assert "Ink of" in said
    assert "outside the range the formula was made for" in said


def test_without_a_word_flashed_shirts_mean_a_dryer_nearby() -> None:
    by_steps = dry(ShopDrying(), colours=TWO)  # opaque white, flashed before the blue
    assert by_steps.air.climate == (*DRYER, *PLATEN)
    assert "flashed" in by_steps.air.assumed
    nothing = dry(ShopDrying())
    assert nothing.air.climate == STILL
    assert "nothing is flashed" in nothing.air.assumed


def test_the_order_goes_before_the_shop() -> None:
    drying = dry(ShopDrying(climate=FAN), DryingOrder(climate=STILL, flooded=False))
    assert drying.air.climate == STILL
    assert not drying.flooded


def test_a_plain_table_is_not_flooded_unless_said() -> None:
    table = SHOP.model_copy(update={"press": Press(kind="plain table")})
    assert not dry(shop=table).flooded
    assert dry(ShopDrying(climate=STILL, flooded=True), shop=table).flooded


@pytest.mark.parametrize(
    ("room", "said"),
    [
        ({"temperature": "-5 C"}, "-5 C is outside what drying is reckoned for, 0 to 50 C"),
        ({"temperature": "55 C"}, "55 C is outside what drying is reckoned for, 0 to 50 C"),
        ({"air_speed": "8 m/s"}, "8 m/s is faster than drying is reckoned for, 0 to 5 m/s"),
    ],
)
def test_rooms_the_formulas_do_not_hold_in(room: dict[str, str], said: str) -> None:
    with pytest.raises(SettingsError, match=said) as refused:
        dry(shop=SHOP.model_copy(update={"room": Room(**room)}))
    assert refused.value.exit_status == 2
    assert len(refused.value.lines()) == 1


def test_saturated_air_dries_nothing_and_says_so() -> None:
    drying = dry(shop=SHOP.model_copy(update={"room": Room(temperature="20 C", humidity="100 %")}))
    assert drying.air.flux_kg_m2_h.value == pytest.approx(0.0, abs=2e-3)
    assert all(math.isfinite(figure) for figure in every_figure(drying))
    idle, run = only(drying)
    assert idle.finest.flooded_s.value > 8 * 3600
    assert run.fits == 1.0


def test_misting_is_spoken_of_where_it_comes_to_it() -> None:
    """One print in cool damp air needs none."""
    damp = SHOP.model_copy(update={"room": Room(temperature="18 C", humidity="75 %")})
    short = dry(shop=damp, shirts=1, tables=(OrderInk(test_pulls=0, spoilage=0),))
    assert only(short)[1].misted_g.draws.max() == 0.0
    assert not [said for said in short.says if "misted" in said]
    assert [said for said in dry(shirts=150).says if "misted" in said]


@pytest.mark.parametrize(
    "room",
    [
        {"temperature": "0 C", "humidity": "0 %", "air_speed": "0 m/s"},
        {"temperature": "50 C", "humidity": "0 %", "air_speed": "5 m/s"},
        {"temperature": "50 C", "humidity": "100 %", "air_speed": "0 m/s"},
    ],
)
def test_at_the_ends_of_what_holds_every_figure_is_a_number(room: dict[str, str]) -> None:
    for climate in (STILL, (*FAN, *DRYER, *PLATEN)):
        for flooded in (True, False):
            drying = dry(
                ShopDrying(climate=climate, flooded=flooded),
                shop=SHOP.model_copy(update={"room": Room(**room)}),
                shirts=30,
            )
            assert all(math.isfinite(figure) for figure in every_figure(drying))


def times(room: dict[str, str], **own: Any) -> Any:
    """Open times of every width, cleared and flooded, by every draw."""
    shop = SHOP.model_copy(update={"room": Room(**({"temperature": "22 C"} | room))})
    idle, _ = only(dry(ShopDrying(**({"climate": STILL} | own)), shop=shop))
    return np.array([[t.cleared_s.draws, t.flooded_s.draws] for t in (idle.finest, *idle.by_width)])


@pytest.mark.parametrize(
    ("key", "rising"),
    [
        ("temperature", ("5 C", "15 C", "25 C", "40 C")),
        ("air_speed", ("0 m/s", "0.1 m/s", "0.5 m/s", "2 m/s", "5 m/s")),
        ("humidity", ("80 %", "50 %", "20 %", "0 %")),
    ],
)
def test_openings_of_any_width_dry_faster_in_every_draw(key: str, rising: tuple[str, ...]) -> None:
    found = [times({key: value}) for value in rising]
    for slower, faster in itertools.pairwise(found):
        assert (faster <= slower + 1e-6).all()
        assert faster.mean() < slower.mean()


def test_and_so_they_do_under_more_heat() -> None:
    loads = ("10 W/m2", "100 W/m2", "300 W/m2")
    found = [times({}, climate=DRYER, radiant=load) for load in loads]
    for slower, faster in itertools.pairwise(found):
        assert faster.mean() < slower.mean()


# what the shop has measured


def test_a_screen_on_the_balance_sets_the_flux() -> None:
    """.74 g of 500 cm² in 10 minutes is .0888 kg/(m² h), whatever the model has for this room."""
    weighed = {"loss": "0.74 g", "area": "500 cm2", "after": "10 min"}
    for climate in (STILL, DRYER):
        air = dry(ShopDrying(climate=climate, weighed=weighed)).air
        assert air.flux_kg_m2_h.value == pytest.approx(0.0888)
        assert (air.flux_kg_m2_h.low, air.flux_kg_m2_h.high) == pytest.approx(
            (0.0799, 0.0977), rel=0.01
        )


def test_weighed_under_the_fan_the_still_room_is_reckoned_from_it() -> None:
    weighed = {"loss": "2 g", "area": "500 cm2", "after": "10 min"}
    shop = ShopDrying(climate=FAN, weighed=weighed)
    still = dry(shop, DryingOrder(climate=STILL)).air.flux_kg_m2_h.value
    model = flux(STILL) / flux(FAN)
    assert still == pytest.approx(0.24 * model, rel=1e-6)


def test_weighed_in_a_climate_of_its_own_it_counts_for_that_one() -> None:
    """Weighed in the still room at 20 °C and 60 %, printed beside a dryer at 25 °C and 50 %: the model's
    proportion of the two, whether the dryer is stated or follows from the flash."""
    weighed = {"loss": "0.5 g", "area": "500 cm2", "after": "10 min"}  # 0.06 kg/(m² h)
    there = {"climate": "still room", "temperature": "20 C", "humidity": "60 %"}
    room = SHOP.model_copy(update={"room": Room(temperature="20 C", humidity="60 %")})
    was = dry(ShopDrying(climate=STILL), shop=room).air.flux_kg_m2_h
    for climate in (None, (*DRYER, *PLATEN)):
        own = ShopDrying(climate=climate, measured_in=there, weighed=weighed)
        here = dry(own, colours=TWO).air.flux_kg_m2_h.value
        by_model = flux((*DRYER, *PLATEN)) / was.value
        assert here == pytest.approx(0.06 * by_model, rel=1e-6)
    assert dry(own, DryingOrder(climate=STILL), shop=room).air.flux_kg_m2_h.value == pytest.approx(
        0.06
    )


def test_a_climate_of_measuring_beyond_the_formulas_is_refused() -> None:
    there = {"climate": "still room", "temperature": "55 C"}
    with pytest.raises(SettingsError, match=r"drying\.measured_in\.temperature: air of 55 C"):
        dry(ShopDrying(measured_in=there, open_cleared="8 min"))


def test_a_time_tried_with_a_named_ink_carries_over_by_the_water_it_holds() -> None:
    """8 min of an ink with 40 % water; one with 60 % at the same weight stands half as long again."""
    inks = tuple(
        Ink(name=n, water_share=w, density="1.1 g/ml")
        for n, w in (("thick", "40 %"), ("thin", "60 %"))
    )
    shop = SHOP.model_copy(update={"inks": inks})
    named = ShopDrying(climate=STILL, open_cleared={"value": "8 min", "ink": "thick"})
    bare = ShopDrying(climate=STILL, open_cleared="8 min")

    def time(own: ShopDrying, ink: str) -> Any:
        return only(dry(own, shop=shop, ink=ink))[0].finest.cleared_s

    assert time(named, "thick").value == pytest.approx(480.0)
    assert time(named, "thin").value == pytest.approx(720.0)
    assert time(named, "thick").high == pytest.approx(528.0, rel=0.01)
    assert [time(bare, ink).value for ink in ("thick", "thin")] == pytest.approx([480.0, 480.0])


def test_a_time_tried_in_a_named_mesh_is_of_that_mesh() -> None:
    fine = Mesh(
        name="120-34", count="120/cm", thread="34 um", open_area="29.5 %", volume="16 cm3/m2"
    )
    shop = SHOP.model_copy(update={"mesh": (MAKERS, fine)})
    own = ShopDrying(climate=STILL, open_cleared={"value": "3 min", "mesh": "120-34"})
    told = [
        only(dry(own, shop=shop, mesh=m))[0].finest.cleared_s.value for m in ("120-34", "43-80")
    ]
    assert told == pytest.approx([180.0, 180.0 * 53 / 16])


def test_nothing_is_measured_in_air_that_dries_nothing() -> None:
    """Else what was measured would count for nothing, in silence."""
    damp = SHOP.model_copy(update={"room": Room(temperature="20 C", humidity="100 %")})
    own = ShopDrying(climate=STILL, open_cleared="8 min", weighed=WEIGHED)
    with pytest.raises(SettingsError, match="weighed and open_cleared can't have been") as refused:
        dry(own, shop=damp)
    assert len(refused.value.lines()) == 1
    there = {"climate": "still room", "humidity": "50 %"}
    elsewhere = ShopDrying(climate=STILL, measured_in=there, weighed=WEIGHED)
    assert dry(elsewhere, shop=damp).air.flux_kg_m2_h.value == pytest.approx(0.0)


WEIGHED = {"loss": "0.74 g", "area": "500 cm2", "after": "10 min"}


@pytest.mark.parametrize(
    ("own", "told"),
    [
        ({"open_cleared": "20 h"}, "open_cleared in shop.toml's [drying] is "),
        ({"open_flooded": "2 min"}, "of what the model gives"),
        ({"weighed": {"loss": "20 g", "area": "500 cm2", "after": "10 min"}}, " 28 times what"),
        ({"weighed": WEIGHED, "open_cleared": "8 min"}, ""),
    ],
)
def test_measured_figures_far_from_the_model_are_said(own: dict[str, Any], told: str) -> None:
    """20 g of 500 cm² in 10 minutes is 2.4 kg/(m² h), .087 by the model: 28 times."""
    said = [s for s in dry(ShopDrying(climate=STILL, **own)).says if "what the model gives" in s]
    assert len(said) == bool(told)
    assert all(told in one for one in said)


@pytest.mark.parametrize("part", ["ink", "mesh"])
def test_times_tried_with_what_is_not_listed_are_refused(part: str) -> None:
    shop = SHOP.model_copy(update={"inks": (Ink(name="navy"),)})
    own = ShopDrying(climate=STILL, open_cleared={"value": "8 min", part: "43-8O"})
    with pytest.raises(SettingsError, match=f"lists no such {part}; write one of") as refused:
        dry(own, shop=shop)
    assert refused.value.exit_status == 2


def test_times_may_be_tried_with_an_ink_that_only_another_set_up_prints() -> None:
    """As a weighed transfer may: the shop's figure holds for all set-ups of the order."""
    own = ShopDrying(climate=STILL, open_flooded={"value": "15 min", "ink": "fire"})
    with pytest.raises(SettingsError, match="lists no such ink"):
        dry(own)
    job = _measured(two=False)
    back = Print(artwork=Path("b.svg"), place="back", colour=(ColourChoice(hex=RED, ink="fire"),))
    order = job.order.model_copy(update={"print": (*job.order.print, back)})
    asked = [
        ask_of(replace(job, shop=SHOP, order=of, chosen=Chosen({ShopDrying: said})))(Drying)
        for of, said in (
            (order, own),
            (job.order, ShopDrying(climate=STILL, open_flooded="15 min")),
        )
    ]
    # both are opaque colours of which nobody says more, so that the ink's name makes no odds
    named, bare = (only(drying)[0].finest.flooded_s.value for drying in asked)
    assert named == pytest.approx(bare)


def test_retarder_that_is_mixed_in_and_left_out_of_the_reckoning_is_told() -> None:
    mixed = MixOrder(additives={"retarder": "3 %"})
    (said,) = (
        s for s in dry(order=DryingOrder(retarder=False), tables=(mixed,)).says if "retarder" in s
    )
    assert said.endswith(
        "retarder is mixed in, and reckoned without, as [drying] says retarder = false."
    )
    for order in (DryingOrder(), DryingOrder(retarder=True)):
        assert not [s for s in dry(order=order, tables=(mixed,)).says if "reckoned without" in s]


def test_figures_for_what_does_not_stand_there_are_told_to_be_unused() -> None:
    own = ShopDrying(climate=STILL, fan_speed="2 m/s", radiant="200 W/m2")
    assert [said.split(" in ")[0] for said in dry(own).says if "isn't used" in said] == [
        "fan_speed",
        "radiant",
    ]
    for used in (
        dry(own, DryingOrder(climate=(*FAN, *DRYER))),
        dry(ShopDrying(radiant="200 W/m2")),  # waits for shirts that are flashed
        dry(ShopDrying(climate=FAN, fan_speed="2 m/s"), DryingOrder(climate=STILL)),
    ):
        assert not [said for said in used.says if "isn't used" in said]


@pytest.mark.parametrize("flooded", [False, True])
def test_open_times_measured_by_lines_are_what_is_told(flooded: bool) -> None:
    """For a line of 1 mm in the usual mesh without retarder: as measured, 10 % each way."""
    key = "open_flooded" if flooded else "open_cleared"
    idle, _ = only(dry(ShopDrying(**{"climate": STILL, key: "8 min"})))
    time = idle.finest.flooded_s if flooded else idle.finest.cleared_s
    assert idle.finest_mm == pytest.approx(1.0)
    assert time.value == pytest.approx(480.0)
    assert (time.low, time.high) == pytest.approx((432.0, 528.0), rel=0.01)
    other = idle.finest.cleared_s if flooded else idle.finest.flooded_s
    before, _ = only(dry())
    was = before.finest.cleared_s if flooded else before.finest.flooded_s
    assert other.value == pytest.approx(was.value)


def test_measured_in_the_usual_mesh_it_carries_over_to_a_finer_one() -> None:
    """Cleared, time goes as the mesh's volume: 16 for 53."""
    fine = Mesh(
        name="120-34", count="120/cm", thread="34 um", open_area="29.5 %", volume="16 cm3/m2"
    )
    shop = SHOP.model_copy(update={"mesh": (MAKERS, fine)})
    own = ShopDrying(climate=STILL, open_cleared="8 min")
    idle, _ = only(dry(own, shop=shop, mesh="120-34"))
    assert idle.finest.cleared_s.value == pytest.approx(480.0 * 16 / 53, rel=1e-6)


def test_other_measured_figures_take_their_rows_place() -> None:
    """Print 10 and laying 20 s: a shirt in 30 s, ± 10 % each."""
    drying = dry(ShopDrying(climate=STILL, print_time="10 s", laying_time="20 s"))
    assert drying.run.shirt_s.value == pytest.approx(30.0)
    assert drying.run.shirt_s.high < 33.0
    base, _ = only(dry())
    tough, _ = only(dry(ShopDrying(climate=STILL, critical_loss="60 %")))
    ratio = tough.finest.flooded_s.value / base.finest.flooded_s.value
    assert ratio == pytest.approx(0.6 / 0.5)


def test_the_pace_of_weighing_ways_to_print_is_taken_over() -> None:
    base = Base(print_time="30 s", lay_time="90 s")
    assert dry(tables=(base,)).run.shirt_s.value == pytest.approx(120.0)
    own = ShopDrying(climate=STILL, print_time="10 s")
    assert dry(own, tables=(base,)).run.shirt_s.value == pytest.approx(100.0)


def test_retarder_is_a_factor_on_what_may_be_lost_and_nothing_else() -> None:
    plain, retarded = (dry(ShopDrying(climate=STILL, retarder=r)) for r in (False, True))
    assert plain.air.flux_kg_m2_h.value == retarded.air.flux_kg_m2_h.value
    a, b = only(plain)[0].finest, only(retarded)[0].finest
    assert b.flooded_s.value / a.flooded_s.value == pytest.approx(1.3)
    assert b.cleared_s.value / a.cleared_s.value == pytest.approx(1.3)
    assert (b.flooded_s.draws >= a.flooded_s.draws - 1e-9).all()


def test_retarder_that_is_mixed_in_counts_unless_it_is_said_otherwise() -> None:
    for mixed, said, holds in (
        ({"retarder": 0.025}, None, True),
        ({"Drying Retardant": 0.02}, None, True),
        ({"retarder": 0.0}, None, False),
        ({"thickener": 0.02}, None, False),
        ({"retarder": 0.025}, False, False),
        ({}, True, True),
    ):
        idle, _ = only(dry(ShopDrying(retarder=said), tables=(MixOrder(additives=mixed),)))
        assert idle.retarder is holds
    additive = {"name": "retarder", "of": "ink", "by": "mass", "most": "5 %"}
    recipe = {"ink": BLUE, "by": "mass", "parts": {"clear": 1}, "additives": {"retarder": 0.02}}
    shop = MixShop(additive=[additive], recipe=[recipe])
    assert only(dry(tables=(shop,)))[0].retarder
    other = MixShop(additive=[additive], recipe=[recipe | {"ink": "red"}])
    assert not only(dry(tables=(other,)))[0].retarder
    none = MixOrder(additives={"retarder": 0.0})
    assert not only(dry(tables=(shop, none)))[0].retarder


def test_retarder_in_one_ink_alone() -> None:
    job = make_job(TWO, shop=SHOP, tables=(ShopDrying(climate=STILL),))
    by_colour = {(DryingColour, BLUE): DryingColour(retarder=True)}
    job = replace(job, chosen=replace(job.chosen, by_colour=by_colour))
    idle = ask_of(job)(Drying).idle
    assert (idle[WHITE].retarder, idle[BLUE].retarder) == (False, True)


def test_what_the_range_comes_from_and_what_to_measure() -> None:
    """Shares of the variance of a product's logarithm sum to one."""
    for flooded in (True, False):
        idle, _ = only(dry(ShopDrying(climate=DRYER, flooded=flooded)))
        shares = [part.share for part in idle.uncertainty]
        assert shares == sorted(shares, reverse=True)
        assert sum(shares) == pytest.approx(1.0, abs=0.2)
        assert all(0.0 < share < 1.0 for share in shares)
        names = {part.parameter for part in idle.uncertainty}
        assert ("drying.flood_layer" in names) is flooded
        assert ("drying.cleared" in names) is not flooded
        assert {"drying.radiant", "drying.critical_loss", "ink.mesh_volume.43-80"} <= names
        assert not {"drying.fan_speed", "drying.retarder_gain"} & names
    cleared = idle.uncertainty
    best = next(part for part in cleared if part.remedy)
    assert "drying.open_cleared" in best.remedy or "drying.weighed" in best.remedy


def test_retarder_and_fan_are_doubted_where_there_are_any() -> None:
    idle, _ = only(dry(ShopDrying(climate=FAN, retarder=True)))
    doubted = {part.parameter: part.share for part in idle.uncertainty}
    assert doubted["drying.retarder_gain"] > 0.02
    assert doubted["drying.fan_speed"] > 0.02
    assert "drying.radiant" not in doubted


def test_what_is_measured_no_longer_spreads_the_range() -> None:
    """Times measured by lines: all that is left is the spread of these, and of retarder if there is any."""
    own = ShopDrying(climate=STILL, flooded=False, open_cleared="8 min")
    idle, _ = only(dry(own))
    first = idle.uncertainty[0]
    assert first.parameter == "drying.open_cleared"
    assert first.share > 0.99
    assert first.remedy == ""
    weighed = {"loss": "0.74 g", "area": "500 cm2", "after": "10 min"}
    names = {
        p.parameter: p.share
        for p in only(dry(ShopDrying(climate=STILL, weighed=weighed)))[0].uncertainty
    }
    assert names.get("drying.factor", 0.0) < 0.05  # by the rim's share alone
    assert "drying.air_off" not in names
    assert names["drying.weighed"] > 0.0


# the run


def test_idle_times_go_by_width_and_flood() -> None:
    idle, _ = only(dry())
    cleared = [one.cleared_s.value for one in idle.by_width]
    flooded = [one.flooded_s.value for one in idle.by_width]
    assert cleared == sorted(cleared)
    assert flooded == sorted(flooded)
    assert all(f > 3 * c for f, c in zip(flooded, cleared, strict=True))


def test_shirt_by_shirt_each_screen_waits_for_the_others() -> None:
    """Two screens, one flash of 45 s, print 20 s, laying 60 s: 145 s; alone 80 s each."""
    drying = dry(ShopDrying(climate=STILL), colours=TWO)
    by_shirt, by_colour = drying.runs
    assert (by_shirt.working, by_colour.working) == ("shirt by shirt", "colour by colour")
    assert [part.screens for part in by_shirt.parts] == [(WHITE, BLUE)]
    assert [part.screens for part in by_colour.parts] == [(WHITE,), (BLUE,)]
    assert by_shirt.parts[0].dried_s.value == pytest.approx(45.0)
    assert by_colour.parts[0].dried_s.value == 0.0
    assert by_shirt.shirt_s.value == pytest.approx(145.0)
    assert by_shirt[BLUE].between_s.value == pytest.approx(145.0)
    assert by_colour.shirt_s.value == pytest.approx(160.0)
    assert by_colour[BLUE].between_s.value == pytest.approx(80.0)
    assert by_colour.fits >= by_shirt.fits


def worked(
    working: Working, kind: PressKind = "press with fine adjustment", stations: int | None = None
) -> Shop:
    press = Press(kind=kind, stations=stations, working=working)
    return SHOP.model_copy(update={"press": press})


def test_one_frame_at_a_time_leaves_one_way() -> None:
    hinged = SHOP.model_copy(update={"press": Press(kind="hinged frame")})
    drying = dry(colours=TWO, shop=hinged)
    assert [run.working for run in drying.runs] == ["colour by colour"]
    with pytest.raises(SettingsError, match="holds one frame at a time; write .colour by colour"):
        dry(colours=TWO, shop=worked("shirt by shirt", "hinged frame"))


def test_the_way_asked_for_comes_first() -> None:
    drying = dry(colours=TWO, shop=worked("colour by colour"))
    assert [run.working for run in drying.runs] == ["colour by colour", "shirt by shirt"]
    assert drying.run is drying.runs[0]
    (alone,) = dry(shop=worked("colour by colour")).runs
    assert alone.working == "shirt by shirt"  # one film: the same work either way


def test_two_passes_wait_for_the_flash_and_for_the_next_shirt() -> None:
    """Print 20, flash 45, print 20, laying 60: 65 s between the passes, 80 to the next shirt."""
    drying = dry(passes=2)
    _, run = only(drying)
    assert drying.run.shirt_s.value == pytest.approx(145.0)
    assert run.between_s.value == pytest.approx(80.0)


def test_two_pulls_share_the_ink_of_a_shirt() -> None:
    from prep_drying.forecast import on_screens
    from prep_drying.scene import around, scene_of
    from prep_ink.answers import InkOnScreens

    job = make_job({BLUE: SOLID}, shop=SHOP, passes=2, tables=(ShopDrying(climate=STILL),))
    ask = ask_of(job)
    scene = scene_of(job, ask)
    on = on_screens(scene, around(scene), "shirt by shirt", by_width=False)
    assert on.pulls.tolist() == [2]
    assert 2 * on.print_g[0, 0] == pytest.approx(ask(InkOnScreens)[BLUE].per_print_g.value)
    assert (on.load_g >= on.keep_g + 2 * 5 * on.print_g - 1e-9).all()


def test_water_leaves_all_that_is_flooded_or_the_bead_alone() -> None:
    """150 mm of blade: its bead 20 mm across, 30 cm²; flooded, the stroke's 136 mm, 204 cm²."""
    for flooded, area_m2 in ((True, 0.150 * 0.136), (False, 0.150 * 0.020)):
        drying = dry(ShopDrying(climate=STILL, flooded=flooded))
        per_h = drying.air.flux_kg_m2_h.value * area_m2 * 1000.0
        assert only(drying)[1].mist_g_per_h.value == pytest.approx(per_h)


def test_shirts_are_counted_after_the_test_pulls() -> None:
    """28 prints either way: what is lost is lost four shirts earlier where four of them are test pulls."""
    slow = ShopDrying(climate=DRYER, laying_time="200 s")
    found = []
    for tests, shirts in ((0, 28), (4, 24)):
        drying = dry(
            slow,
            DryingOrder(mist="never"),
            shirts=shirts,
            tables=(OrderInk(test_pulls=tests, spoilage=0),),
        )
        _, run = only(drying)
        middle = [shirt[1] for shirt in run.lost.shirts if shirt is not None]
        assert run.dried_shirt is not None
        assert run.mist_from is not None
        assert drying.run.first_lost is not None
        found.append(np.array([*middle, run.dried_shirt[1], drying.run.first_lost[1]]))
        found[-1] = np.append(found[-1], run.mist_from[2])
        assert drying.test_pulls == tests
    np.testing.assert_allclose(found[0] - found[1], 4.0)


HARD = ShopDrying(climate=(*FAN, *DRYER), flooded=False, laying_time="240 s")


def test_a_run_that_does_not_fit_says_what_is_lost_and_when() -> None:
    drying = dry(HARD)
    _, run = only(drying)
    assert run.fits < 0.2
    assert drying.run.fits == run.fits
    lost = run.lost
    assert list(lost.widths_mm) == sorted(lost.widths_mm)
    assert list(lost.chances) == sorted(lost.chances, reverse=True)
    assert lost(0.01) == lost.chances[0]
    assert lost(1000.0) == lost.chances[-1]
    low, high = lost.chances[1], lost.chances[0]
    between = lost(math.sqrt(lost.widths_mm[0] * lost.widths_mm[1]))
    assert between == pytest.approx((low + high) / 2)
    assert drying.run.first_lost is not None
    assert run.wipe_before == 0
    assert run.pause_s.low == 0.0
    assert run.well.low[-1] < run.clogs_below.value


def test_chances_lie_between_those_reckoned_by_the_logarithm_of_the_width() -> None:
    lost = Lost((0.5, 2.0, 4.0), (0.8, 0.2, 0.1), (None, None, None))
    assert [lost(width) for width in (0.1, 0.5, 1.0, 2.0, 4.0, 9.0)] == pytest.approx(
        [0.8, 0.8, 0.5, 0.2, 0.1, 0.1]
    )


def test_a_run_that_fits_says_so() -> None:
    drying = dry(shirts=12)
    _, run = only(drying)
    assert run.fits > 0.97
    assert run.wipe_before is None
    assert run.pause_s.low > run.between_s.value
    assert run.lost(1.0) == pytest.approx(1.0 - run.fits, abs=0.01)


def test_curves_reach_over_the_run_and_fall() -> None:
    """24 shirts, 4 test pulls, one spoilt."""
    _, run = only(dry())
    assert run.prints == tuple(range(1, 30))
    for curve in (run.bead, run.well):
        assert len(curve.low) == len(curve.middle) == len(curve.high) == 29
        assert all(a < b < c for a, b, c in zip(curve.low, curve.middle, curve.high, strict=True))
    assert run.well.middle[-1] < run.bead.middle[-1] < 0.55


def test_top_ups_follow_each_other_and_feed_the_run() -> None:
    """In the middle, what is put on is what is printed and what evaporates, but for what was loaded."""
    drying = dry(shirts=120)
    _, run = only(drying)
    shirts = [one.shirt[1] for one in run.top_ups]
    assert shirts == sorted(shirts)
    assert len(shirts) >= 2
    assert all(0.3 <= one.chance <= 1.0 and one.grams[0] > 0 for one in run.top_ups)
    small, _ = dry(shirts=4).run.by_screen[BLUE], None
    assert small.top_ups == ()
    assert small.load_g.value < run.load_g.value


def test_pauses_and_wipes_of_the_order_are_heeded() -> None:
    usual = dry()
    paused = dry(order=DryingOrder(pause="45 min", pause_every=12))
    assert paused.run.fits < usual.run.fits
    assert paused.run.run_s.value == pytest.approx(usual.run.run_s.value + 2 * 2700.0)
    loses = dry(HARD)
    wiped = dry(HARD, DryingOrder(wipe_every=1))
    assert wiped.run.fits > loses.run.fits


def test_pauses_and_wipes_that_never_come_are_said() -> None:
    """24 shirts, 4 test pulls, one spoilt: 29 prints, before the last of which 28 have been made."""
    never = dry(order=DryingOrder(pause="5 min", pause_every=29, wipe_every=500)).says
    assert [
        s.split(" never comes")[0] for s in never if "never comes in a run of 29 prints" in s
    ] == [
        "pause_every = 29",
        "wipe_every = 500",
    ]
    comes = dry(order=DryingOrder(pause="5 min", pause_every=28, wipe_every=28)).says
    assert not [said for said in comes if "never comes" in said]


def test_ink_that_dries_out_before_the_blade_says_when() -> None:
    drying = dry(
        ShopDrying(climate=(*FAN, *DRYER), print_time="10 s", laying_time="6 min"),
        DryingOrder(mist="never"),
        shirts=40,
    )
    _, run = only(drying)
    assert run.dries_out > 0.9
    assert run.dried_shirt is not None
    assert 0 <= run.dried_shirt[0] <= run.dried_shirt[1] <= run.dried_shirt[2] < 40
    assert run.mist_from is not None
    assert run.mist_from[1] < run.dried_shirt[1]
    assert run.misted_g.value == 0.0
    assert all(math.isfinite(figure) for figure in every_figure(drying))


def _followed(drying: Drying) -> list[int]:
    return [part.followed for part in drying.run.parts]


def test_each_part_is_followed_by_its_own_pace() -> None:
    """Colour by colour 80 s a shirt, shirt by shirt 145 s; 8 h of either."""
    drying = dry(colours=TWO, shirts=1500, shop=worked("colour by colour"))
    assert [[part.followed for part in run.parts] for run in drying.runs] == [[360, 360], [198]]
    assert [len(run[BLUE].prints) for run in drying.runs] == [360, 198]
    assert any("to shirt 356:" in said for said in drying.says)


def test_a_run_of_less_than_a_day_is_followed_to_its_last_shirt() -> None:
    """24 shirts, a 25th for one spoilt: nothing is told beyond the 24th."""
    drying = dry(HARD)
    assert (_followed(drying), drying.last_shirt, drying.whole) == ([29], 24, True)
    assert drying.upto == "the last shirt"
    for told in (every_figure(dry(HARD, DryingOrder(mist="never")).run.first_lost), [24.0]):
        assert max(told) <= 24.0


@pytest.mark.parametrize("shirts", [24, 60, 150, 340, 3000])
def test_top_ups_rise_end_before_the_last_shirt_and_are_few_lines(shirts: int) -> None:
    """However many there are: in order at every point of their range, and a rule beyond eight."""
    own = ShopDrying(climate=DRYER, laying_time="30 s", flooded=False)
    drying = dry(own, shirts=shirts)
    _, run = only(drying)
    assert len(run.top_ups) <= 8
    for point in range(3):
        at = [one.shirt[point] for one in run.top_ups]
        assert at == sorted(at)
    done = [shirt for one in run.top_ups for shirt in one.shirts()]
    assert done == sorted(done)
    assert all(1 <= shirt <= drying.last_shirt for shirt in done)
    assert any(one.repeats for one in run.top_ups) is (shirts > 1000)


def test_a_top_up_that_three_draws_in_ten_come_to_is_told() -> None:
    """Ten draws: all at print 10, three once more at 20, two a third time at 30."""
    from prep_drying.summary import Summary

    summary, nothing = Summary(), np.zeros((1, 11))
    for number in range(1, 41):
        topped = nothing.copy()
        topped[0, 1 : 1 + {10: 10, 20: 3, 30: 2}.get(number, 0)] = 5.0
        summary(nothing, nothing, topped)
    first, second = summary.top_ups(0, 10, 4, 36)
    assert (first.chance, first.shirt) == (1.0, (6.0, 6.0, 6.0))
    assert (second.chance, second.shirt[1]) == (0.3, 36.0)


def test_the_rule_of_many_top_ups_puts_on_what_the_day_takes() -> None:
    """In sum as much as was put on, within 3 in 100."""
    from prep_drying.summary import Summary

    at = np.arange(10, 401, 10)  # 40 top-ups of 5 g in 400 prints, 4 of these test pulls
    summary, nothing = Summary(), np.zeros((1, 5))
    for number in range(1, 401):
        summary(nothing, nothing, np.full((1, 5), 5.0) if number in at else nothing)
    (rule,) = summary.top_ups(0, 4, 4, 390)  # 6 more shirts for spoilt ones
    assert (rule.chance, rule.shirt) == (1.0, (6.0, 6.0, 6.0))
    assert rule.repeats is not None
    assert (rule.repeats.every, rule.repeats.until) == (10, 386)
    # 200 g from print 10 on, 391 prints
    assert rule.grams == rule.repeats.last_g == pytest.approx((10 * 200 / 391,) * 3)
    assert rule.shirts() == tuple(range(6, 387, 10))
    assert not rule.repeats.last_is_less
    assert len(rule.shirts()) * rule.grams[1] == pytest.approx(200.0, rel=0.03)


def test_a_run_longer_than_a_day_is_told_for_its_first() -> None:
    """80 s a shirt: 360 in 8 h, 4 of them test pulls; with a day of 2 h a quarter of these."""
    drying = dry(shirts=1500)
    assert (_followed(drying), drying.last_shirt, drying.whole) == ([360], 356, False)
    assert drying.upto == "shirt 356 (then screens are washed out)"
    misted, said = drying.says
    assert misted.startswith("Water is taken to be misted")
    assert said.startswith("1549 prints take longer than a day's printing (8 h)")
    assert "to shirt 356: wash the screens out in the evening" in said
    short = dry(shirts=1500, tables=(Plan(day="2 h"),))
    assert (_followed(short), short.last_shirt) == ([90], 86)
    assert drying.run.run_s.value == pytest.approx(1549 * 80.0)
    assert all(math.isfinite(figure) for figure in every_figure(drying))


def test_white_that_shares_a_film_with_its_colour_is_washed_out_each_time() -> None:
    """The way to print says so; what it asks for is heeded."""
    from prep_base.answers import Way, WaysToPrint

    way = Way("one film", 1, 2, 1, 1, 47, 0.0, 1.0, 1.0, True, "", "", "")
    ways = WaysToPrint((way,), "one film", False, True, ())
    from prep_drying.forecast import drying_of

    job = make_job({BLUE: SOLID}, shop=SHOP, tables=(HARD,))
    ask = ask_of(job)

    def with_ways(question: Any) -> Any:
        return ways if question is WaysToPrint else ask(question)

    washed = drying_of(job, with_ways)
    assert any("washed between its inks" in said for said in washed.says)
    assert washed.run.fits > ask(Drying).run.fits


# without others


def test_without_ink_it_says_what_is_missing() -> None:
    job = make_job({BLUE: SOLID})
    with pytest.raises(Unanswered, match="without what the plugin ink says"):
        prep_drying.prep_answers()[Drying](job, make_ask({}))


def test_a_job_without_screens_is_not_answered_for() -> None:
    job = replace(make_job({BLUE: box(0, 0, 10, 10)}), screens=())
    with pytest.raises(Unanswered, match="nothing is printed"):
        prep_drying.prep_answers()[Drying](job, make_ask({}))


def test_without_the_packages_of_others(monkeypatch: pytest.MonkeyPatch) -> None:
    """No steps known: two passes with a flash between, in order; no pace of the base's either."""
    job = make_job({BLUE: SOLID}, shop=SHOP, passes=2, tables=(ShopDrying(climate=STILL),))
    from prep_drying.forecast import drying_of

    asked = ask_of(job)
    with_all = asked(Drying)
    for name in ("prep_sequence.answers", "prep_base.answers", "prep_base.settings"):
        monkeypatch.setitem(sys.modules, name, None)
    alone = drying_of(job, asked)
    assert "without the plugin sequence" in " ".join(alone.says)
    assert not [said for said in with_all.says if "sequence" in said]
    assert alone.run.shirt_s.value == pytest.approx(with_all.run.shirt_s.value)
    monkeypatch.setitem(sys.modules, "prep_ink.answers", None)
    with pytest.raises(Unanswered, match="without what the plugin ink says"):
        drying_of(job, asked)


def test_ink_without_water_is_refused() -> None:
    from prep.estimate import Estimate
    from prep_drying.forecast import drying_of
    from prep_ink.answers import InkOnScreens

    job = make_job({BLUE: SOLID}, shop=SHOP)
    ask = ask_of(job)
    inks = ask(InkOnScreens)
    dried = replace(inks[BLUE], water_share=Estimate(0.0, "", np.zeros(512)))

    def without_water(question: Any) -> Any:
        return replace(inks, by_screen={BLUE: dried}) if question is InkOnScreens else ask(question)

    with pytest.raises(InputError, match="holds no water"):
        drying_of(job, without_water)


def test_a_mesh_means_the_same_worlds_as_for_its_ink() -> None:
    """A mesh that holds more ink in a world does so for ink and drying alike."""
    from prep.cloth import figures
    from prep_drying.hand import Hand as DryingHand
    from prep_drying.layers import mesh_volume
    from prep_ink.hand import Hand, mesh_parameter

    for mesh in (figures("43-80", 43, 80), figures("77-55", 77, 55, volume_um=24.0)):
        theirs = Hand(ShopInk()).worlds(mesh_parameter(mesh))
        ours = DryingHand(ShopDrying()).worlds(mesh_volume(mesh))
        np.testing.assert_array_equal(ours, theirs)


def test_more_water_and_thicker_mesh_stay_open_longer() -> None:
    inks = tuple(Ink(name=n, water_share=w) for n, w in (("dry", "40 %"), ("wet", "70 %")))
    shop = SHOP.model_copy(update={"inks": inks})
    dry_one, wet = (
        only(dry(shop=shop, ink=name))[0].finest.flooded_s.value for name in ("dry", "wet")
    )
    assert wet / dry_one == pytest.approx(70 / 40)
