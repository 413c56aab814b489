"""When each screen is pulled, by hand."""

from __future__ import annotations

import numpy as np
import pytest

from prep_drying.pace import Doing, Round, Times, colour_by_colour, shirt_by_shirt

TIMES = Times(np.array([20.0]), np.array([60.0]), np.array([1.0]))
STEPS = (
    Doing("print", "white"),
    Doing("flash", "white", 45.0),
    Doing("print", "white"),
    Doing("flash", "white", 45.0),
    Doing("print", "red"),
    Doing("print", "blue"),
)
FILMS = {"white": "white", "red": "red", "blue": "blue"}


def gaps(part: Round, screen: str) -> list[float]:
    return [float(gap[0]) for gap in part.gaps_s[screen]]


def test_shirt_by_shirt() -> None:
    """60 + 20 + 45 + 20 + 45 + 20 + 20 = 230 s. White is pulled at 60 and 125: 65 s apart, 165 to the next
    shirt's first."""
    (part,) = shirt_by_shirt(STEPS, TIMES)
    assert part.screens == ("white", "red", "blue")
    assert float(part.cycle_s[0]) == 230.0
    assert gaps(part, "white") == [165.0, 65.0]
    assert gaps(part, "red") == gaps(part, "blue") == [230.0]


def test_colour_by_colour() -> None:
    """White: 60 + 20 + 45 + 20 = 145 s, its last flash off the press; the others 80 s."""
    white, red, blue = colour_by_colour(STEPS, TIMES, FILMS)
    assert [part.screens for part in (white, red, blue)] == [("white",), ("red",), ("blue",)]
    assert [float(part.cycle_s[0]) for part in (white, red, blue)] == [145.0, 80.0, 80.0]
    assert gaps(white, "white") == [80.0, 65.0]


def test_shirts_taken_off_in_between() -> None:
    """Two frames at a time: white and red for all shirts, then blue."""
    steps = (*STEPS[:5], Doing("take off", "blue"), STEPS[5])
    first, second = shirt_by_shirt(steps, TIMES)
    assert (first.screens, second.screens) == (("white", "red"), ("blue",))
    assert [float(part.cycle_s[0]) for part in (first, second)] == [210.0, 80.0]
    assert [p.screens for p in colour_by_colour(steps, TIMES, FILMS)] == [
        ("white",),
        ("red",),
        ("blue",),
    ]


def test_screens_of_one_film_stay_together() -> None:
    one, other = colour_by_colour(STEPS, TIMES, FILMS | {"blue": "red"})
    assert (one.screens, other.screens) == (("white",), ("red", "blue"))
    assert gaps(other, "red") == gaps(other, "blue") == [100.0]


@pytest.mark.parametrize("flash", [0.8, 2.0])
def test_gaps_of_a_screen_make_its_cycle(flash: float) -> None:
    times = Times(np.array([14.0, 30.0]), np.array([35.0, 100.0]), np.array([flash, 1.0]))
    for part in (*shirt_by_shirt(STEPS, times), *colour_by_colour(STEPS, times, FILMS)):
        for screen in part.screens:
            np.testing.assert_allclose(sum(part.gaps_s[screen]), part.cycle_s)
