"""Drying against differential equations solved by scipy, which know nothing of prints and draws."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from prep_drying.humectant import water_activity
from prep_drying.run import Course, OnScreens, simulate
from prep_drying.surface import balance
from prep_drying.wells import open_time_s, water_kg_m2

HOUR_S = 3600.0


def half_dry_s(humectant: float, start_share: float = 0.62) -> float:
    """Solve a layer of 133 um that dries at 25 °C, 50 % and 0.1 m/s, its film always in balance.

    :param humectant: share of the ink, which lowers the vapour pressure the more the less water is left
    """
    mass = float(water_kg_m2(1.0, 1.05, 133.0))
    water, wet = start_share * mass, humectant * mass

    def rate(_t: float, state: np.ndarray) -> list[float]:
        activity = float(water_activity(wet / (wet + state[0])))
        return [-float(balance(25.0, 0.5, 0.1, 0.6, activity=activity).flux_kg_m2_s)]

    def half(_t: float, state: np.ndarray) -> float:
        return float(state[0] - water / 2.0)

    half.terminal = True  # type: ignore[attr-defined]  # as scipy asks
    solved = solve_ivp(rate, (0.0, 3 * HOUR_S), [water], events=half, rtol=1e-8)
    return float(solved.t_events[0][0])


@pytest.mark.parametrize(
    ("humectant", "minutes"),
    [(0.0, 29.4), (0.06, 30.7), (0.0835, 31.3), (0.107, 31.9), (0.15, 33.1)],
)
def test_half_dry_stays_as_reckoned(humectant: float, minutes: float) -> None:
    """With more humectant hardly slower: a regression."""
    assert half_dry_s(humectant) / 60.0 == pytest.approx(minutes, abs=0.1)


def test_a_constant_rate_is_as_good_as_the_layer_solved() -> None:
    """What open times take for constant, a rate by the fresh ink's activity, is under a tenth off."""
    water = water_kg_m2(0.62, 1.05, 133.0)
    for humectant in (0.0, 0.03, 0.06, 0.1):
        fresh = water_activity(humectant / (humectant + 0.62))
        flux = balance(25.0, 0.5, 0.1, 0.6, activity=fresh).flux_kg_m2_s
        simple = float(open_time_s(0.5, water, flux))
        assert simple == pytest.approx(half_dry_s(humectant), rel=0.1)
        assert simple <= half_dry_s(humectant) * 1.0001


def one_screen(step_s: float, **changed: float) -> OnScreens:
    figures = {
        "water_share": 0.62,
        "print_g": 0.0,
        "keep_g": 0.0,
        "load_g": 200.0,
        "evaporation_g_s": 0.0,
        "exchange": 0.45,
        "critical_loss": 0.999,
    } | changed
    return OnScreens(
        **{name: np.array([[value]]) for name, value in figures.items()},
        loss_per_s=np.zeros((1, 1, 1)),
        gaps_s=np.full((1, 1, 1), step_s),
        pulls=np.array([1]),
    )


@pytest.mark.parametrize(
    ("print_g_h", "evaporation_g_h"), [(17.0, 10.1), (17.0, 21.9), (40.0, 46.2), (5.0, 2.0)]
)
@pytest.mark.parametrize("hours", [0.25, 1.0, 3.0])
def test_ink_kept_at_its_amount_by_fresh_ink(
    print_g_h: float, evaporation_g_h: float, hours: float
) -> None:
    """M constant, S' = x0 (P + E) - P S/M, from x0 on; the steps of the simulation are small pulls, each
    replaced at once."""
    mass, fresh = 60.0, 0.38

    def rate(_t: float, state: np.ndarray) -> list[float]:
        return [fresh * (print_g_h + evaporation_g_h) - print_g_h * state[0] / mass]

    solved = solve_ivp(rate, (0.0, hours), [fresh * mass], rtol=1e-10, atol=1e-12)
    share = float(solved.y[0, -1]) / mass
    step_s = 4.0
    pull = print_g_h * step_s / HOUR_S
    on = one_screen(
        step_s,
        print_g=pull,
        keep_g=mass,
        load_g=mass + pull,
        evaporation_g_s=evaporation_g_h / HOUR_S,
    )
    run = simulate(on, Course(round(hours * HOUR_S / step_s)))
    if share < 1.0:
        assert 1.0 - float(run.water_g[0, 0] / run.mass_g[0, 0]) == pytest.approx(share, abs=2e-3)
    else:  # more is lost than fresh ink brings: it is dry, and no figure says nan
        assert run.water_g[0, 0] == pytest.approx(0.0, abs=1e-2)


@pytest.mark.parametrize("print_g_h", [0.001, 17.0, 60.0])
@pytest.mark.parametrize("evaporation_g_h", [5.0, 22.0, 46.0])
def test_ink_that_is_not_refilled(print_g_h: float, evaporation_g_h: float) -> None:
    """M' = -(P + E), S' = -P S/M, for an hour."""

    def rate(_t: float, state: np.ndarray) -> list[float]:
        return [-(print_g_h + evaporation_g_h), -print_g_h * state[1] / state[0]]

    solved = solve_ivp(rate, (0.0, 1.0), [200.0, 76.0], rtol=1e-10, atol=1e-12)
    step_s = 3.0
    on = one_screen(
        step_s,
        print_g=print_g_h * step_s / HOUR_S,
        evaporation_g_s=evaporation_g_h / HOUR_S,
    )
    run = simulate(on, Course(1200))
    mass, solids = float(run.mass_g[0, 0]), float(run.mass_g[0, 0] - run.water_g[0, 0])
    assert (mass, solids) == pytest.approx(tuple(solved.y[:, -1]), rel=1e-3)
