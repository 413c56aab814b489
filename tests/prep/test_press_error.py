"""The press's error: what the shop states, else what is usual for its kind."""

from __future__ import annotations

import math

import pytest

from prep.press_error import bound_to_show, press_error
from prep.shop import Press, PressKind


@pytest.mark.parametrize(
    ("kind", "sigma_mm"),
    [
        ("press with fine adjustment", 0.25),
        ("simple press", 0.5),
        ("hinged frame", 0.8),
        ("plain table", 1.5),
    ],
)
def test_the_usual_parts_make_up_the_usual_whole(kind: PressKind, sigma_mm: float) -> None:
    """Registration errors by kind of press: common practice, no source."""
    error = press_error(Press(kind=kind), 1)
    assert math.hypot(error.set_up_mm, error.scatter_mm) == pytest.approx(sigma_mm)
    assert error.pair_mm == pytest.approx(math.sqrt(2) * sigma_mm)
    assert not error.stated


def test_what_the_shop_states_holds_and_the_rest_is_usual() -> None:
    """A part that isn't stated is usual for the kind; its turn goes by the shift in force."""
    error = press_error(
        Press.model_validate({"set_up_error": "0 mm", "scatter_turn": "0.2 deg"}), 1
    )
    assert (error.set_up_mm, error.set_up_turn_deg, error.scatter_turn_deg) == (0.0, 0.0, 0.2)
    assert error.scatter_mm == pytest.approx(0.48)
    assert not error.stated


def test_all_parts_stated() -> None:
    """A press of one frame of which the shop knows everything: it was measured with shirts laid again."""
    error = press_error(
        Press.model_validate(
            {
                "set_up_error": "0.3 mm",
                "scatter": "0.01 in",
                "set_up_turn": "0.1 deg",
                "scatter_turn": "0 deg",
            }
        ),
        films=3,
    )
    assert not error.laid_again
    assert error.stated
    assert error.scatter_mm == pytest.approx(0.254)


@pytest.mark.parametrize(
    ("press", "films", "sigma_mm"),
    [
        (Press(kind="hinged frame"), 1, 0.8),
        (Press(kind="hinged frame"), 3, 1.5),
        (Press(kind="hinged frame", stations=3), 3, 0.8),
        (Press(kind="simple press"), 9, 0.5),
        (Press(kind="simple press", stations=2), 3, 1.5),
        (Press(kind="plain table"), 2, 1.5),
    ],
)
def test_shirts_laid_again_scatter_more(press: Press, films: int, sigma_mm: float) -> None:
    """1.5 mm in all where the press holds fewer frames than films; screens are set up as well as ever."""
    error, apart = press_error(press, films), press_error(press, 1)
    assert math.hypot(error.set_up_mm, error.scatter_mm) == pytest.approx(sigma_mm)
    assert error.set_up_mm == apart.set_up_mm
    assert error.laid_again == (films > (press.holds or films))


@pytest.mark.parametrize(("films", "sigma_mm"), [(1, 0.5), (2, 1.5)])
def test_colour_by_colour_shirts_are_laid_again(films: int, sigma_mm: float) -> None:
    """On a press that holds all frames, 1.5 mm in all; one film is never laid for another."""
    error = press_error(Press(kind="simple press", stations=4, working="colour by colour"), films)
    assert math.hypot(error.set_up_mm, error.scatter_mm) == pytest.approx(sigma_mm)
    assert error.laid_again == (films > 1)
    assert ("scatter_laid_again" in error.lacking) == (films > 1)


STATED = {
    "kind": "simple press",
    "stations": 4,
    "set_up_error": "0.15 mm",
    "scatter": "0.1 mm",
    "set_up_turn": "0.03 deg",
    "scatter_turn": "0.02 deg",
}
"""As measured with shirts left in place."""


def test_a_scatter_of_shirts_left_in_place_is_none_of_shirts_laid_again() -> None:
    """What is usual then is taken: sqrt(1.5² - 0.4²) = 1.4457 mm, and the turn that goes with it."""
    in_place = press_error(Press.model_validate(STATED), 4)
    assert (in_place.scatter_mm, in_place.scatter_turn_deg, in_place.lacking) == (0.1, 0.02, ())
    again = press_error(Press.model_validate(STATED | {"working": "colour by colour"}), 4)
    assert again.set_up_mm == 0.15
    assert again.scatter_mm == pytest.approx(1.4457, abs=1e-4)
    assert again.scatter_turn_deg == pytest.approx(math.degrees(1.4457 / 300), rel=1e-4)
    assert again.lacking == ("scatter_laid_again", "scatter_turn_laid_again")
    few = press_error(Press.model_validate(STATED | {"stations": 3}), 4)
    assert few == again


def test_what_is_stated_of_shirts_laid_again_holds_then_and_only_then() -> None:
    said = STATED | {"scatter_laid_again": "0.9 mm", "scatter_turn_laid_again": "0.1 deg"}
    again = press_error(Press.model_validate(said | {"working": "colour by colour"}), 2)
    assert (again.scatter_mm, again.scatter_turn_deg) == (0.9, 0.1)
    assert again.stated
    assert again.again
    assert not again.laid_again
    assert press_error(Press.model_validate(said), 2).scatter_mm == 0.1


def test_laid_again_shirts_scatter_by_no_less_than_left_in_place() -> None:
    said = STATED | {"scatter": "2 mm", "scatter_turn": "3 deg", "working": "colour by colour"}
    error = press_error(Press.model_validate(said), 2)
    assert (error.scatter_mm, error.scatter_turn_deg) == (2.0, 3.0)


def test_a_usual_error_condemns_only_what_shows_on_nearly_all_prints() -> None:
    shares = (0.5, 0.6, 0.9, 0.95)
    assert [bound_to_show(share, stated=True) for share in shares] == [False, True, True, True]
    assert [bound_to_show(share, stated=False) for share in shares] == [False, False, False, True]
