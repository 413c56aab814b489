"""The run against closed forms, scipy's solver of differential equations, and its own senses."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from prep_drying.run import Course, Due, OnScreens, Run, Wait, simulate
from prep_drying.wells import lost_a_pull, water_kg_m2

HOUR_S = 3600.0


def screens(s: int = 1, w: int = 1, d: int = 1, k: int = 1, **changed: Any) -> OnScreens:
    """200 g of ink with 60 % water, 3 g a print, 24 g/h of water lost, a print each 3 minutes."""
    figures = {
        "water_share": 0.6,
        "print_g": 3.0,
        "keep_g": 0.0,
        "load_g": 200.0,
        "evaporation_g_s": 24.0 / HOUR_S,
        "loss_per_s": 0.05 / 180.0,
        "exchange": 0.45,
        "critical_loss": 0.5,
        "gaps_s": 180.0,
    } | changed
    shapes = {"loss_per_s": (s, w, d), "gaps_s": (s, k, d)}
    arrays = {
        name: np.broadcast_to(np.asarray(value, dtype=np.float64), shapes.get(name, (s, d))).copy()
        for name, value in figures.items()
    }
    return OnScreens(**arrays, pulls=np.full(s, k))


class Kept:
    """What a run was watched to do: (P, S, D) water shares of bead and well, and grams put on."""

    def __init__(self, on: OnScreens, course: Course) -> None:
        self.seen: list[tuple[Any, ...]] = []
        self.run = simulate(on, course, lambda *print_: self.seen.append(print_))
        self.bead, self.well, self.topped_g = (
            np.array(part) for part in zip(*self.seen, strict=True)
        )


def non_water(run: Run) -> float:
    return 1.0 - float(run.water_g[0, 0] / run.mass_g[0, 0])


def test_sixteen_prints_by_hand() -> None:
    """Evaporate, then print: each takes 1.2 g of water, then 3 g of ink: 200 - 16 · 4.2 = 132.8 g. A CALC
    figure for the rest, .44916 that isn't water: a regression."""
    run = simulate(screens(), Course(16))
    assert run.mass_g[0, 0] == pytest.approx(132.8)
    assert non_water(run) == pytest.approx(0.44916, abs=1e-4)


def test_prints_until_the_bead_is_low_by_hand() -> None:
    """From 200 to 120 g at 3 + 1.2 g a print: 80 / 4.2 = 19.05, so that it is topped up before the 20th."""
    run = Kept(screens(keep_g=120.0), Course(40))
    assert int(np.flatnonzero(run.topped_g[:, 0, 0])[0]) + 1 == 20


def test_topped_up_without_end_it_settles_where_algebra_says() -> None:
    """x = x0 (1 + E/P): 0.4 (1 + 10/40) = 0.5. Small pulls, each replaced at once."""
    run = simulate(
        screens(
            print_g=0.04,
            gaps_s=3.6,
            keep_g=1.0,
            load_g=1.045,
            evaporation_g_s=10.0 / HOUR_S,
            critical_loss=0.9,
        ),
        Course(3000),
    )
    assert non_water(run) == pytest.approx(0.5, abs=4e-3)


def test_not_refilled_as_closed_form_and_as_a_differential_equation() -> None:
    """200 g, P 40 and E 20 g/h, from .4 to .5: M = 102.40 g left after 1.62667 h."""

    def rates(_t: float, state: np.ndarray) -> list[float]:
        mass, solids = state
        return [-60.0, -40.0 * solids / mass]

    def thick(_t: float, state: np.ndarray) -> float:
        return float(state[1] / state[0] - 0.5)

    thick.terminal = True  # type: ignore[attr-defined]  # as scipy asks
    solved = solve_ivp(rates, (0.0, 3.0), [200.0, 80.0], events=thick, rtol=1e-10, atol=1e-10)
    hours, mass = float(solved.t_events[0][0]), float(solved.y_events[0][0][0])
    assert mass == pytest.approx(200.0 * (0.4 / 0.5) ** (60.0 / 20.0), rel=1e-7)
    assert (mass, hours) == pytest.approx((102.40, 1.62667), rel=1e-4)
    step_s, loss = 0.5, 1.0 - (0.5 / 0.5) / (0.6 / 0.4)
    on = screens(
        print_g=40.0 / HOUR_S * step_s,
        gaps_s=step_s,
        evaporation_g_s=20.0 / HOUR_S,
        critical_loss=loss,
    )
    run = simulate(on, Course(12_000))
    assert run.dried_at[0, 0] * step_s / HOUR_S == pytest.approx(hours, rel=1e-3)
    upto = simulate(on, Course(round(hours * HOUR_S / step_s)))
    assert upto.mass_g[0, 0] == pytest.approx(mass, rel=1e-3)
    assert non_water(upto) == pytest.approx(0.5, abs=1e-3)


@pytest.mark.parametrize("evaporation", [5.0, 20.0, 60.0])
def test_with_hardly_any_ink_printed_only_water_goes(evaporation: float) -> None:
    """P → 0: what is left when it is thick is M0 x0/xc."""
    critical = 1.0 - (0.45 / 0.55) / (0.6 / 0.4)
    on = screens(
        print_g=1e-9,
        gaps_s=10.0,
        evaporation_g_s=evaporation / HOUR_S,
        critical_loss=critical,
    )
    at = int(simulate(on, Course(6000)).dried_at[0, 0])
    left = simulate(on, Course(at))
    assert left.mass_g[0, 0] / 200.0 == pytest.approx(0.4 / 0.55, rel=2e-3)


@given(
    exchange=st.floats(0.2, 0.8),
    loss=st.floats(0.01, 0.15),
    prints=st.integers(1, 80),
)
@hypothesis_settings(max_examples=30)
def test_wells_follow_their_closed_form(exchange: float, loss: float, prints: int) -> None:
    """u_n = u* + (1-r)^n (1-u*), u* = 1 - delta (1-r)/r, while the ink before the blade stays fresh."""
    on = screens(
        evaporation_g_s=0.0, exchange=exchange, loss_per_s=loss / 180.0, critical_loss=0.999
    )
    run = Kept(on, Course(prints))
    settles = 1.0 - loss * (1.0 - exchange) / exchange
    if settles - loss <= 0.0:
        return
    after = settles + (1.0 - exchange) ** (prints - 1) * (1.0 - settles)
    ratio = (after - loss) * 0.6 / 0.4
    assert run.well[-1, 0, 0] == pytest.approx(ratio / (1.0 + ratio))


def well_run(flux: float, layer_um: float, exchange: float, prints: int = 200) -> Run:
    water = water_kg_m2(0.62, 1.05, layer_um)
    per_s = float(lost_a_pull(flux / HOUR_S, 1.0, water))
    on = screens(
        water_share=0.62, evaporation_g_s=0.0, exchange=exchange, loss_per_s=per_s, keep_g=100.0
    )
    return simulate(on, Course(prints))


@pytest.mark.parametrize(
    ("flux", "layer_um", "exchange", "holds"),
    [
        (0.0885, 133.0, 0.3, True),
        (0.1925, 133.0, 0.3, True),
        (0.4051, 133.0, 0.5, True),  # only just
        (0.4051, 133.0, 0.3, False),
        (0.0885, 26.5, 0.5, False),  # not flooded: .488 left, just under half
        (0.0885, 26.5, 0.3, False),
    ],
)
def test_which_wells_hold_stays_as_reckoned(
    flux: float, layer_um: float, exchange: float, holds: bool
) -> None:
    """43-80, 180 s a print, half the water may go: a regression."""
    assert bool(well_run(flux, layer_um, exchange).open_to_the_end[0, 0]) is holds


@pytest.mark.parametrize(
    ("flux", "after_15", "between"),
    [(0.0885, 0.395, 59), (0.1925, 0.415, 41), (0.4051, 0.463, 25)],
)
def test_the_ink_before_the_blade_stays_as_reckoned(
    flux: float, after_15: float, between: int
) -> None:
    """200 g on .30 × .38 m, .84 g a print of 180 s: a regression."""
    on = screens(
        water_share=0.62,
        print_g=0.84,
        evaporation_g_s=flux / HOUR_S * 1000.0 * 0.30 * 0.38,
        keep_g=120.0,
    )
    assert non_water(simulate(on, Course(15))) == pytest.approx(after_15, abs=2e-3)
    topped = Kept(on, Course(80)).topped_g
    assert int(np.flatnonzero(topped[:, 0, 0])[0]) == pytest.approx(between, abs=1)


def test_what_dries_out_says_when_and_is_never_nan() -> None:
    """20 g lose 12 g of water in 10 prints at 1.2 g, and nothing is printed of it to speak of."""
    on = screens(load_g=20.0, print_g=1e-6)
    kept = Kept(on, Course(60))
    run = kept.run
    assert run.dried_at[0, 0] == 5  # half its water, 6 g, is gone with the fifth
    assert run.water_g[0, 0] == 0.0
    assert run.mass_g[0, 0] == pytest.approx(8.0, abs=1e-3)
    for curve in (kept.bead, kept.well, kept.topped_g, run.pause_s):
        assert np.isfinite(curve).all()
    assert kept.bead[-1, 0, 0] == 0.0


def test_misted_ink_keeps_its_water() -> None:
    """Only what is printed goes: 200 - 16 · 3 = 152 g, 60 % of it water as ever."""
    run = simulate(screens(), Course(16, mist="always"))
    assert run.misted_g[0, 0] == pytest.approx(16 * 1.2)
    assert run.mass_g[0, 0] == pytest.approx(152.0)
    assert non_water(run) == pytest.approx(0.4)
    assert simulate(screens(keep_g=150.0), Course(16, mist="always")).dried_at[0, 0] == 0


def test_ink_misted_as_needed_is_held_half_way_by_hand() -> None:
    """20 g hold 12 g of water; half of it may go, so 3 g do, in 2 1/2 prints of 1.2 g; from the third on as
    much is stirred in as brings it back to 9 g: .6 g, then 1.2 g each time."""
    on = screens(load_g=20.0, print_g=1e-9)
    run = simulate(on, Course(10, mist="as needed"))
    assert run.thick_at[0, 0] == 3
    assert run.misted_g[0, 0] == pytest.approx(0.6 + 7 * 1.2)
    assert run.water_g[0, 0] == pytest.approx(9.0)
    assert run.dried_at[0, 0] == 0
    never = simulate(on, Course(10))
    assert (never.thick_at[0, 0], never.misted_g[0, 0]) == (3, 0.0)


def test_an_opening_once_lost_stays_lost() -> None:
    """4 % of its water a second: dry in 25 s, lost before the first print."""
    run = simulate(screens(loss_per_s=0.04), Course(5))
    assert run.lost_at[0, 0, 0] == 1
    assert run.pause_s[0, 0] == 0.0
    assert not run.open_to_the_end[0, 0]


def test_no_pause_is_told_once_an_opening_was_lost() -> None:
    """Lost by an hour's pause, though the pulls after it bring fresh ink."""
    on = screens(evaporation_g_s=0.0, exchange=0.9, loss_per_s=1.0 / HOUR_S)
    run = simulate(on, Course(20, (Wait(Due(10), 3600.0),)))
    assert run.lost_at[0, 0, 0] == 11
    assert run.pause_s[0, 0] == 0.0


def test_longest_pause_by_hand() -> None:
    """Kept fresh, an opening that loses 1/3600 of its water a second stands half an hour at half."""
    on = screens(evaporation_g_s=0.0, exchange=1.0, loss_per_s=1.0 / HOUR_S)
    assert simulate(on, Course(10)).pause_s[0, 0] == pytest.approx(1800.0)


def test_a_pause_longer_than_that_loses_it_and_a_shorter_one_does_not() -> None:
    """What is told is the time from one print to the next, 180 s as usual among it."""
    on = screens(loss_per_s=1.0 / HOUR_S)
    spare = float(simulate(on, Course(19)).pause_s[0, 0])
    longer = simulate(on, Course(20, (Wait(Due(19), spare - 180.0 + 1.0),)))
    shorter = simulate(on, Course(20, (Wait(Due(19), spare - 180.0 - 1.0),)))
    assert longer.lost_at[0, 0, 0] == 20
    assert shorter.open_to_the_end[0, 0]


def test_wiping_the_openings_saves_them() -> None:
    """Little is exchanged, so that they are lost slowly; wiped in time, they hold."""
    on = screens(exchange=0.05, loss_per_s=0.04 / 180.0, evaporation_g_s=0.0)
    lost = int(simulate(on, Course(60)).lost_at[0, 0, 0])
    assert 5 < lost < 60
    assert simulate(on, Course(60, wipes=(Due(lost - 2),))).open_to_the_end[0, 0]


def test_fresh_ink_is_told_as_no_more_than_the_run_takes() -> None:
    """After the last print no more is left than must be kept there and one pull's worth."""
    on = screens(keep_g=50.0, load_g=80.0)
    for prints in (1, 7, 30, 53):
        told_g = Kept(on, Course(prints)).topped_g.sum()
        left_g = 80.0 + told_g - 4.2 * prints  # ink printed and water gone, nothing else
        assert left_g >= 50.0 - 1e-9
        if told_g:
            assert left_g <= 50.0 + 4.2 + 1e-9


def test_what_happens_at_a_print_does_not_depend_on_how_many_follow() -> None:
    """Also where a short run's last top-up is small."""
    on = screens(keep_g=50.0, load_g=80.0, exchange=0.2, loss_per_s=0.1 / 180.0)
    whole = Kept(on, Course(60))
    for prints in (1, 9, 17, 41):
        part = Kept(on, Course(prints))
        assert part.bead == pytest.approx(whole.bead[:prints])
        assert part.well == pytest.approx(whole.well[:prints])


def test_screens_pulled_twice_a_shirt_beside_one_pulled_once() -> None:
    """Each as alone; the second pull's gap counts."""
    both = screens(s=2, k=2, gaps_s=np.array([[[60.0], [120.0]], [[180.0], [0.0]]]))
    on = OnScreens(
        **{n: getattr(both, n) for n in OnScreens.__slots__ if n != "pulls"},
        pulls=np.array([2, 1]),
    )
    together = Kept(on, Course(12))
    once = Kept(screens(), Course(12))
    twice = Kept(screens(k=2, gaps_s=np.array([[[60.0], [120.0]]])), Course(12))
    for k, alone in enumerate((twice, once)):
        assert together.run.mass_g[k] == pytest.approx(alone.run.mass_g[0])
        assert together.run.pause_s[k] == pytest.approx(alone.run.pause_s[0])
        assert together.well[:, k] == pytest.approx(alone.well[:, 0])
    assert together.run.mass_g[0, 0] == pytest.approx(200.0 - 12 * (1.2 + 6.0))


def test_worlds_are_as_one_by_one() -> None:
    loss = np.linspace(0.02, 0.2, 7)[None, None] / 180.0
    many = simulate(screens(d=7, loss_per_s=loss), Course(30))
    for k in range(7):
        one = simulate(screens(loss_per_s=loss[..., k : k + 1]), Course(30))
        assert many.lost_at[0, 0, k] == one.lost_at[0, 0, 0]
        assert many.pause_s[0, k] == pytest.approx(one.pause_s[0, 0])


DAMAGE = st.sampled_from(["evaporation_g_s", "loss_per_s", "gaps_s"])


@given(what=DAMAGE, more=st.floats(1.01, 3.0), exchange=st.floats(0.2, 0.9))
@hypothesis_settings(max_examples=40)
def test_what_dries_more_is_lost_no_later(what: str, more: float, exchange: float) -> None:
    usual = screens(exchange=exchange, keep_g=40.0, load_g=60.0, loss_per_s=0.12 / 180.0)
    worse = OnScreens(
        **{
            n: getattr(usual, n) * (more if n == what else 1.0)
            for n in OnScreens.__slots__
            if n != "pulls"
        },
        pulls=usual.pulls,
    )
    a, b = (simulate(on, Course(40)) for on in (usual, worse))
    assert b.pause_s[0, 0] <= a.pause_s[0, 0] + 1e-9
    never = 10**6
    assert (b.lost_at[0, 0, 0] or never) <= (a.lost_at[0, 0, 0] or never)


@pytest.mark.parametrize(
    "wrong",
    [
        {"water_share": 0.0},
        {"water_share": 1.0},
        {"print_g": -1.0},
        {"exchange": 1.5},
        {"critical_loss": 0.0},
        {"gaps_s": float("nan")},
        {"load_g": 2.0},
        {"load_g": 0.0, "print_g": 0.0},
    ],
)
def test_what_cannot_be_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="must|nothing"):
        screens(**wrong)


@pytest.mark.parametrize("wrong", [{"prints": 0}, {"prints": 5, "waits": (Wait(Due(2), -1.0),)}])
def test_no_such_course(wrong: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="prints something"):
        Course(**wrong)


@pytest.mark.parametrize("wrong", [{"every": 0}, {"every": 5, "first": 0}])
def test_nothing_comes_before_the_first_print(wrong: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="one print or more"):
        Due(**wrong)


def test_what_comes_again_and_again() -> None:
    assert [made for made in range(30) if Due(10).comes(made)] == [10, 20]
    assert [made for made in range(30) if Due(10, 4).comes(made)] == [4, 14, 24]


def test_waits_that_come_together_add_up() -> None:
    on = screens(loss_per_s=1.0 / HOUR_S)
    both = simulate(on, Course(20, (Wait(Due(10), 300.0), Wait(Due(4, 6), 200.0))))
    at_once = simulate(
        on, Course(20, (Wait(Due(30, 10), 500.0), Wait(Due(8, 6), 200.0), Wait(Due(30, 18), 200.0)))
    )
    assert both.mass_g == pytest.approx(at_once.mass_g)
    assert both.pause_s == pytest.approx(at_once.pause_s)


def test_screens_taken_out_are_as_they_were() -> None:
    both = screens(s=2, print_g=np.array([[3.0], [5.0]]))
    run = simulate(both.only([1]), Course(12))
    assert run.mass_g[0] == pytest.approx(simulate(both, Course(12)).mass_g[1])
