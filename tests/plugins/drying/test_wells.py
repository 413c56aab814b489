"""Ink in openings: open time, the rim's share, and where floods let it settle."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from prep_drying.wells import (
    LONGEST_S,
    lost_a_pull,
    open_time_s,
    refreshed,
    rim_index,
    still_layer_mm,
    water_kg_m2,
)

BASE = 0.0885 / 3600.0  # 25 °C, 50 %, 0.1 m/s


def minutes(layer_um: float, loss: float, flux: float = BASE) -> float:
    return float(open_time_s(loss, water_kg_m2(0.62, 1.05, layer_um), flux)) / 60.0


def test_by_hand() -> None:
    """0.6 of 100 g/m² is 60 g/m², half of it 30, at 200 g/(m² h): 9 minutes."""
    assert open_time_s(0.5, water_kg_m2(0.6, 1.0, 100.0), 0.2 / 3600) == pytest.approx(540.0)


@pytest.mark.parametrize(
    ("layer_um", "told"),
    [
        (26.5, (5.8, 7.6, 11.7)),  # 43-80 cleared
        (53.0, (11.7, 15.2, 23.4)),  # its mesh full
        (133.0, (29.0, 38.0, 59.0)),  # and a well of 80 um
        (233.0, (51.0, 67.0, 103.0)),  # and a flood of 100 um
        (8.0, (1.8, 2.3, 3.5)),  # 120-34 cleared
        (96.0, (21.0, 28.0, 42.0)),  # its mesh and well full
    ],
)
def test_minutes_stay_as_reckoned(layer_um: float, told: tuple[float, float, float]) -> None:
    """At losses of 0.5, 0.65 and all of the water: a regression."""
    for loss, time in zip((0.5, 0.65, 1.0), told, strict=True):
        assert minutes(layer_um, loss) == pytest.approx(time, abs=0.5 if time > 20 else 0.06)


def test_under_a_near_dryer_too() -> None:
    """500 W/m², 43-80: cleared, full, with its well, flooded; a regression."""
    flux = 0.4051 / 3600.0
    for layer_um, told in ((26.5, 1.3), (53.0, 2.6), (133.0, 6.4), (233.0, 11.0)):
        assert minutes(layer_um, 0.5, flux) == pytest.approx(told, abs=0.3)


@given(
    loss=st.floats(0.1, 0.9),
    layer=st.floats(5.0, 400.0),
    share=st.floats(0.2, 0.9),
    flux=st.floats(1e-7, 1e-4),
    more=st.floats(1.001, 2.0),
)
def test_time_rises_with_ink_and_water_and_falls_with_flux(
    loss: float, layer: float, share: float, flux: float, more: float
) -> None:
    def time(loss: float, layer: float, share: float, flux: float) -> float:
        return float(open_time_s(loss, water_kg_m2(share, 1.05, layer), flux))

    base = time(loss, layer, share, flux)
    assert time(loss, layer * more, share, flux) >= base
    assert time(loss, layer, min(share * more, 1.0), flux) >= base
    assert time(min(loss * more, 1.0), layer, share, flux) >= base
    assert time(loss, layer, share, flux * more) <= base


def test_never_longer_than_a_day_nor_nan() -> None:
    times = open_time_s(0.5, 0.06, np.array([0.0, 1e-12, 1e-3]))
    assert times[0] == times[1] == LONGEST_S
    assert times[2] == pytest.approx(30.0)
    assert float(open_time_s(0.0, 0.0, 0.0)) == LONGEST_S


@pytest.mark.parametrize(("loss", "exchange", "told"), [(0.1, 0.5, 0.9), (0.051, 0.3, 0.881)])
def test_it_settles_where_algebra_says(loss: float, exchange: float, told: float) -> None:
    left = 1.0
    for _ in range(300):
        left = float(refreshed(left, loss, exchange, 1.0))
    assert left == pytest.approx(1.0 - loss * (1.0 - exchange) / exchange)
    assert left == pytest.approx(told, abs=5e-4)


def test_three_floods_by_hand() -> None:
    """1 → .95 → .925 → .9125 at a loss of .1 and half of it exchanged."""
    left = [1.0]
    for _ in range(3):
        left.append(float(refreshed(left[-1], 0.1, 0.5, 1.0)))
    assert left == pytest.approx([1.0, 0.95, 0.925, 0.9125])


@pytest.mark.parametrize(
    ("flux", "layer", "lost", "settled"),
    [
        (0.0885, 133.0, 0.051, {0.5: 0.949, 0.3: 0.881}),
        (0.1925, 133.0, 0.111, {0.5: 0.889, 0.3: 0.741}),
        (0.4051, 133.0, 0.234, {0.5: 0.766, 0.3: 0.454}),
        (0.0885, 26.5, 0.256, {0.5: 0.744, 0.3: 0.403}),
    ],
)
def test_wells_stay_as_reckoned(
    flux: float, layer: float, lost: float, settled: dict[float, float]
) -> None:
    """43-80, 180 s a print: a regression."""
    delta = float(lost_a_pull(flux / 3600.0, 180.0, water_kg_m2(0.62, 1.05, layer)))
    assert delta == pytest.approx(lost, abs=6e-4)
    for exchange, told in settled.items():
        left = 1.0
        for _ in range(300):
            left = float(refreshed(left, delta, exchange, 1.0))
        assert left == pytest.approx(told, abs=2e-3)


def test_a_dry_well_holds_no_less_than_nothing() -> None:
    assert float(refreshed(0.3, 2.0, 0.4, 0.5)) == pytest.approx(0.2)


def test_rims_rank_openings() -> None:
    """A disc of 1 mm radius in air of 25 °C and 50 % loses 1.151 ug/s by 4 Dv R times the difference in
    vapour density, 1.32 kg/(m² h): that alone over the flat rate is what the index tends to."""
    told = {0.25: 26.0, 0.5: 14.0, 1.0: 7.3, 2.5: 3.5, 5.0: 2.3}
    for radius, index in told.items():
        assert float(rim_index(2 * radius, 5.0)) == pytest.approx(index, rel=0.04)
    flat_kg_m2_s = 2.5e-5 / 5e-3 * 0.0115  # Dv / delta times 11.5 g/m3
    disc = (float(rim_index(2.0, 5.0)) - 1.0) * flat_kg_m2_s
    assert 3600.0 * disc == pytest.approx(1.32, rel=0.01)
    widths = np.array([0.3, 1.0, 3.0, 10.0])
    assert (np.diff(rim_index(widths, 7.0, 0.05)) < 0).all()
    assert float(rim_index(0.5, 7.0, 0.0)) == 1.0


def test_air_that_moves_leaves_a_thinner_still_layer() -> None:
    """Some 5 mm in still air at the formula's full rate."""
    still, fan = (float(still_layer_mm(c)) for c in (0.097, 0.6 * 0.167))
    assert still == pytest.approx(4.7, abs=0.1)
    assert fan < float(still_layer_mm(0.6 * 0.097))
