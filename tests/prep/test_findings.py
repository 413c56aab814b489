"""Findings that say the same of other places."""

from __future__ import annotations

import dataclasses

from prep.findings import Finding, alike, fits_all_up_to_mm, too_large, worst_first

NAMES = {"a": ("deep blue", "#1f3a5f"), "b": ("finch red", "#d9472f")}


def _finding(screen: str, what: str, at_mm: tuple[float, float] | None = None) -> Finding:
    return Finding("at risk", "thin", what, "w", "d", screen=screen, at_mm=at_mm, size_mm=0.4)


def test_places_and_names_of_screens_may_differ() -> None:
    """In mm or inches, in few words or many."""
    one = _finding("a", "deep blue is 0.40 mm wide at x 10.0, y 10.2 mm.", (10.0, 10.2))
    other = _finding("b", "finch red is 0.40 mm wide at x 30.0, y 50.2 mm.", (30.0, 50.2))
    assert alike([one, other], NAMES) == ((one, other),)
    inch = [
        _finding(
            "a", f"Thin {x:.2f} in from the left, {y:.2f} in from the top.", (x * 25.4, y * 25.4)
        )
        for x, y in ((1.0, 2.0), (3.5, 1.25))
    ]
    assert alike(inch, NAMES) == (tuple(inch),)


def test_other_figures_and_words_keep_them_apart() -> None:
    """10.2 mm are 0.40 in: a width that happens to be written like half a place is no place."""
    thin = _finding("a", "It is 0.40 mm wide at x 10.0, y 10.2 mm.", (10.0, 10.2))
    wider = _finding("b", "It is 0.41 mm wide at x 30.0, y 50.2 mm.", (30.0, 50.2))
    twin = _finding("b", "It is 0.40 mm wide at x 30.0, y 50.2 mm.", (30.0, 50.2))
    assert alike([thin, wider, twin], NAMES) == ((thin, twin), (wider,))
    assert len(alike([_finding("a", "This."), _finding("a", "That.")], NAMES)) == 2
    assert alike([], NAMES) == ()


def test_what_is_too_large_is_of_the_whole_print_with_a_size() -> None:
    """One at a place or of a screen is a detail; one without a size has another reason."""
    whole = Finding("will fail", "print off the platen", "w", "y", "d", size_mm=700.0)
    others = (
        dataclasses.replace(whole, screen="#000000"),
        dataclasses.replace(whole, at_mm=(1.0, 2.0)),
        dataclasses.replace(whole, size_mm=None),
        dataclasses.replace(whole, severity="at risk"),
    )
    assert too_large((others[0], whole, *others[1:])) == (whole,)


def test_of_several_largest_widths_the_smallest_holds() -> None:
    """A detail's width doesn't count; where one trouble stays at any width, none settles all."""
    whole = Finding("will fail", "print off the platen", "w", "y", "d", size_mm=700.0)
    wide, narrow = (dataclasses.replace(whole, fits_up_to_mm=width) for width in (371.5, 324.0))
    detail = dataclasses.replace(whole, screen="#000000", fits_up_to_mm=100.0)
    assert fits_all_up_to_mm((wide, detail, narrow)) == 324.0
    assert fits_all_up_to_mm((wide, whole, narrow)) is None
    assert fits_all_up_to_mm((wide, wide)) is None  # said already


def test_what_concerns_a_whole_screen_comes_before_its_details() -> None:
    """Of one severity: a run that dries before the smallest detail; a graver detail before both."""
    run = Finding("at risk", "run that dries shut", "w", "y", "d", screen="#000000")
    small, large = (
        dataclasses.replace(run, kind="opening", at_mm=(1.0, 1.0), size_mm=size)
        for size in (0.2, 0.9)
    )
    fails = dataclasses.replace(large, severity="will fail")
    assert worst_first((large, small, run, fails)) == (fails, run, small, large)
