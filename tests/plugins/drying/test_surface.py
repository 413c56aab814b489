"""The wet film's balance of heat: it closes, and goes the right way with everything it depends on."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from prep_drying.air import vapour_pressure_pa
from prep_drying.humectant import water_activity
from prep_drying.surface import balance, flux_at, vapour_transfer_w_m2_pa

ROOMS = st.fixed_dictionaries(
    {
        "air_c": st.floats(0.0, 50.0),
        "humidity": st.floats(0.0, 0.98),
        "air_speed_m_s": st.floats(0.0, 5.0),
        "factor": st.floats(0.2, 1.3),
        "radiant_w_m2": st.floats(0.0, 600.0),
        "below_c": st.floats(20.0, 80.0),
        "below_w_m2_k": st.floats(0.0, 20.0),
        "activity": st.floats(0.5, 1.0),
    }
)


def flux(room: dict[str, Any]) -> float:
    return float(balance(**room).flux_kg_m2_s)


@given(room=ROOMS)
def test_heat_taken_up_is_what_evaporation_takes(room: dict[str, Any]) -> None:
    ts = float(balance(**room).temperature_c)
    c = float(vapour_transfer_w_m2_pa(room["factor"], room["air_speed_m_s"]))
    gained = (
        2 * (66.5 * c + 5.7) * (room["air_c"] - ts)
        + room["radiant_w_m2"]
        + room["below_w_m2_k"] * (room["below_c"] - ts)
    )
    there = room["humidity"] * float(vapour_pressure_pa(room["air_c"]))
    spent = c * (room["activity"] * float(vapour_pressure_pa(ts)) - there)
    assert gained == pytest.approx(spent, abs=1e-5)


@pytest.mark.parametrize(
    ("what", "more", "sense"),
    [
        ("air_c", 3.0, 1),
        ("radiant_w_m2", 50.0, 1),
        ("below_c", 5.0, 1),
        ("humidity", 0.02, -1),
        ("activity", -0.1, -1),
    ],
)
@given(room=ROOMS)
def test_flux_goes_the_right_way(what: str, more: float, sense: int, room: dict[str, Any]) -> None:
    changed = room | {what: room[what] + more}
    if what == "air_c":  # the same humidity, not the same vapour
        changed["below_c"] = room["below_c"] + more
    assert sense * (flux(changed) - flux(room)) >= -1e-12


@given(room=ROOMS, faster=st.floats(0.1, 3.0))
def test_faster_air_dries_faster_where_nothing_else_heats(
    room: dict[str, Any], faster: float
) -> None:
    """Under a radiant load faster air cools too, and may slow drying in moist air."""
    still = room | {"radiant_w_m2": 0.0, "below_w_m2_k": 0.0}
    assert flux(still | {"air_speed_m_s": still["air_speed_m_s"] + faster}) >= flux(still) - 1e-12


@given(room=ROOMS, warmer=st.floats(0.5, 10.0))
def test_air_warmed_with_its_vapour_dries_faster(room: dict[str, Any], warmer: float) -> None:
    to_c = room["air_c"] + warmer
    vapour = room["humidity"] * float(vapour_pressure_pa(room["air_c"]))
    warm = room | {"air_c": to_c, "humidity": vapour / float(vapour_pressure_pa(to_c))}
    assert flux(warm) >= flux(room) - 1e-12


@given(t=st.floats(0.0, 50.0), speed=st.floats(0.0, 5.0))
def test_nothing_leaves_in_saturated_air(t: float, speed: float) -> None:
    still = balance(t, 1.0, speed, 0.6)
    assert float(still.temperature_c) == pytest.approx(t, abs=1e-6)
    assert float(still.flux_kg_m2_s) == pytest.approx(0.0, abs=1e-12)
    assert float(flux_at(t, t, 1.0, speed)) == 0.0


def test_dew_is_no_negative_evaporation() -> None:
    """A cold platen under moist air draws dew."""
    cold = balance(25.0, 0.9, 0.1, 0.6, below_c=5.0, below_w_m2_k=20.0)
    assert float(cold.flux_kg_m2_s) == 0.0
    assert np.isfinite(cold.temperature_c)


def test_all_draws_at_once_are_as_one_by_one() -> None:
    air, humidity = np.linspace(0.0, 50.0, 513), np.linspace(1.0, 0.0, 513)
    together = balance(air, humidity, 0.4, 0.7, radiant_w_m2=150.0)
    for k in (0, 100, 512):
        alone = balance(air[k], humidity[k], 0.4, 0.7, radiant_w_m2=150.0)
        assert together.temperature_c[k] == pytest.approx(float(alone.temperature_c), abs=1e-8)
        assert together.flux_kg_m2_s[k] == pytest.approx(float(alone.flux_kg_m2_s), rel=1e-9)


@pytest.mark.parametrize(
    "wrong",
    [
        {"humidity": 1.2},
        {"humidity": -0.1},
        {"activity": 1.1},
        {"air_speed_m_s": -1.0},
        {"radiant_w_m2": -5.0},
        {"air_c": float("nan")},
        {"air_c": float("inf")},
    ],
)
def test_what_cannot_be_is_refused(wrong: dict[str, float]) -> None:
    room = {"air_c": 20.0, "humidity": 0.5, "air_speed_m_s": 0.1, "factor": 0.6}
    with pytest.raises(ValueError, match="finite|between|negative"):
        balance(**(room | wrong))


def test_a_few_per_cent_of_humectant_hardly_slow_drying() -> None:
    """What the few per cent of a retarder do to the flux is under a tenth."""
    with_it = balance(25.0, 0.5, 0.1, 0.6, activity=water_activity(0.08))
    without = balance(25.0, 0.5, 0.1, 0.6)
    assert 0.9 < float(with_it.flux_kg_m2_s / without.flux_kg_m2_s) < 1.0
