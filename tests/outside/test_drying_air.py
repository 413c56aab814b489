"""Moist air against two libraries that don't share our formulas, and against published tables.

psychrolib follows the ASHRAE Handbook, Fundamentals; iapws the industrial formulation IAPWS-IF97.
"""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest
from iapws import IAPWS97
from scipy.optimize import brentq

from prep_drying.air import (
    HOLDS_FROM_C,
    HOLDS_TO_C,
    latent_heat_j_per_kg,
    vapour_pressure_pa,
    warmed_humidity,
)
from prep_drying.humectant import water_activity
from prep_drying.surface import balance, flux_at

psychrolib.SetUnitSystem(psychrolib.SI)
TEMPERATURES = np.linspace(HOLDS_FROM_C + 0.01, HOLDS_TO_C, 41)
ATMOSPHERE_PA = 101_325.0


def wet_bulb_c(air_c: float, humidity: float) -> float:
    return psychrolib.GetTWetBulbFromRelHum(air_c, humidity, ATMOSPHERE_PA)


def per_hour(flux: np.ndarray) -> float:
    return 3600.0 * float(flux)


@pytest.mark.parametrize("t", TEMPERATURES)
def test_vapour_pressure_and_latent_heat_by_if97(t: float) -> None:
    water, steam = (IAPWS97(T=t + 273.15, x=x) for x in (0, 1))
    assert float(vapour_pressure_pa(t)) == pytest.approx(1e6 * water.P, rel=1e-3)
    assert float(latent_heat_j_per_kg(t)) == pytest.approx(1e3 * (steam.h - water.h), rel=1e-3)


@pytest.mark.parametrize("t", TEMPERATURES)
def test_vapour_pressure_by_ashrae(t: float) -> None:
    assert float(vapour_pressure_pa(t)) == pytest.approx(psychrolib.GetSatVapPres(t), rel=1e-3)


@pytest.mark.parametrize(
    ("t", "table_kpa", "iapws_kpa"),
    [(20, 2.3388, 2.3392), (25, 3.1690, 3.1698), (30, 4.2455, 4.2467), (40, 7.3814, 7.3844)],
)
def test_vapour_pressure_by_tables(t: float, table_kpa: float, iapws_kpa: float) -> None:
    """A table in an encyclopaedia, and the figures of IAPWS-97."""
    assert float(vapour_pressure_pa(t)) / 1000 == pytest.approx(table_kpa, rel=1e-3)
    assert float(vapour_pressure_pa(t)) / 1000 == pytest.approx(iapws_kpa, rel=1e-3)


def test_moist_air_by_psychrolib() -> None:
    """Vapour in air of 25 °C, saturated and at 50 %, and its dew point: .02008, .00988, 13.86 °C."""
    for humidity, told in ((1.0, 0.02008), (0.5, 0.00988)):
        vapour = humidity * float(vapour_pressure_pa(25.0))
        ratio = 0.621945 * vapour / (ATMOSPHERE_PA - vapour)
        theirs = psychrolib.GetHumRatioFromRelHum(25.0, humidity, ATMOSPHERE_PA)
        assert ratio == pytest.approx(theirs, rel=3e-3)
        assert ratio == pytest.approx(told, rel=3e-3)
    dew = brentq(lambda t: float(warmed_humidity(0.5, 25.0, t)) - 1.0, 0.0, 25.0)
    assert dew == pytest.approx(psychrolib.GetTDewPointFromRelHum(25.0, 0.5), abs=0.02)
    assert dew == pytest.approx(13.86, abs=0.02)


@pytest.mark.parametrize(("to_c", "percent"), [(30, 37.3), (35, 28.2), (40, 21.5)])
def test_warmed_air_keeps_its_vapour(to_c: float, percent: float) -> None:
    vapour_pa = psychrolib.GetVapPresFromRelHum(25.0, 0.5)
    theirs = psychrolib.GetRelHumFromVapPres(to_c, vapour_pa)
    assert 100 * float(warmed_humidity(0.5, 25.0, to_c)) == pytest.approx(percent, abs=0.2)
    assert 100 * float(warmed_humidity(0.5, 25.0, to_c)) == pytest.approx(100 * theirs, abs=0.2)


@pytest.mark.parametrize("air_c", [10.0, 20.0, 25.0, 35.0])
@pytest.mark.parametrize("humidity", [0.2, 0.5, 0.8])
def test_a_film_in_strong_wind_cools_to_the_wet_bulb(air_c: float, humidity: float) -> None:
    """One face in wind so strong that radiation doesn't count; as usual, with two faces that take up heat
    and one that gives off vapour, it stays above."""
    windy = balance(air_c, humidity, 5.0, 50.0, faces=1)
    wet = wet_bulb_c(air_c, humidity)
    assert float(windy.temperature_c) == pytest.approx(wet, abs=0.35)
    usual = float(balance(air_c, humidity, 0.1, 0.6).temperature_c)
    assert wet < usual < air_c


def test_published_formula_in_other_units() -> None:
    """(95 + 0.425 V)(pw - pa)/Y in lb/(h ft²), ft/min, inHg and Btu/lb, as the abstract of "Rates of
    evaporation from swimming pools in active use" (ASHRAE Trans. 104(1A), 1998) has it.

    Its coefficients come to 0.0885 and 0.0779 in the units of the other form, 0.6 % off at most.
    """
    inch_hg_pa, feet_per_min, btu_per_lb = 3386.389, 0.00508, 2326.0
    lb_per_h_ft2 = 0.45359237 / 3600.0 / 0.09290304
    for speed in (0.05, 0.15, 1.0):
        driving = 0.5 * float(vapour_pressure_pa(25.0)) / inch_hg_pa
        heat = float(latent_heat_j_per_kg(25.0)) / btu_per_lb
        theirs = (95.0 + 0.425 * speed / feet_per_min) * driving / heat * lb_per_h_ft2
        assert float(flux_at(25.0, 25.0, 0.5, speed)) == pytest.approx(theirs, rel=0.007)


@pytest.mark.parametrize(
    ("water_c", "air_c", "humidity", "speed", "told"),
    [(25, 25, 0.5, 0.0, 0.2079), (25, 25, 0.5, 0.1, 0.2261), (20, 20, 0.6, 0.5, 0.1758)],
)
def test_flux_stays_as_reckoned(
    water_c: float, air_c: float, humidity: float, speed: float, told: float
) -> None:
    """Reckoned once by hand from the same formula: a regression."""
    assert per_hour(flux_at(water_c, air_c, humidity, speed)) == pytest.approx(told, rel=5e-3)


@pytest.mark.parametrize(
    ("more", "film_c", "told"),
    [
        ({}, 21.85, 0.0885),
        ({"air_c": 20.0}, 17.5, 0.0704),
        ({"humidity": 0.3}, 20.5, 0.1251),
        ({"humidity": 0.7}, 23.1, 0.0525),
        ({"air_speed_m_s": 1.0}, 21.2, 0.1378),
        ({"air_speed_m_s": 3.0}, 20.6, 0.2402),
        ({"air_c": 35.0, "humidity": 0.282}, 28.2, 0.1925),
        ({"air_c": 35.0, "humidity": 0.282, "air_speed_m_s": 1.0}, 27.0, 0.2931),
        ({"radiant_w_m2": 200.0}, 28.5, 0.1977),
        ({"radiant_w_m2": 500.0}, 36.9, 0.4051),
    ],
)
def test_films_stay_as_reckoned(more: dict[str, float], film_c: float, told: float) -> None:
    """25 °C, 50 %, 0.1 m/s, f 0.6, both faces, and one thing changed: a regression."""
    base = {"air_c": 25.0, "humidity": 0.5, "air_speed_m_s": 0.1, "factor": 0.6}
    film = balance(**(base | more))
    assert float(film.temperature_c) == pytest.approx(film_c, abs=0.06)
    assert per_hour(film.flux_kg_m2_s) == pytest.approx(told, rel=0.01)


@pytest.mark.parametrize(("share", "told"), [(0.1, 0.978), (0.5, 0.811), (0.8, 0.449)])
def test_glycerol_stays_as_reckoned(share: float, told: float) -> None:
    """Norrish with K = 1.16: a regression."""
    assert float(water_activity(share)) == pytest.approx(told, abs=2e-3)
