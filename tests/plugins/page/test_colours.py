"""The page's colours tell marks apart with any colour vision, and text from its ground, light and dark."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from importlib import resources

import pytest
from coloraide import Color

CSS = resources.files("prep_page").joinpath("static", "page.css").read_text("utf-8")
DEFICIENCIES = ("protan", "deutan", "tritan")
MARKS = {
    "will fail": ".mark.will-fail rect",
    "at risk": ".mark.at-risk path",
    "note": ".mark.note circle",
}
TEXTS = {
    "ink": ("paper", "card", "warn", "tint"),
    "soft": ("paper", "card", "warn", "tint"),
    "link": ("paper", "card", "tint"),
    "bad": ("paper", "card"),
    "on-act": ("act",),
}
"""Variable of a text -> variables of the grounds it stands on."""


def schemes() -> Iterator[tuple[str, dict[str, str]]]:
    """Give the variables in light, and in dark."""
    light, dark = re.findall(r":root \{([^}]*)\}", CSS)[:2]
    values = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", light))
    yield "light", values
    yield "dark", values | dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", dark))


SCHEMES = dict(schemes())


def rule(selector: str) -> dict[str, str]:
    """Give the declarations of a rule."""
    (found,) = re.findall(rf"^{re.escape(selector)} \{{([^}}]*)\}}", CSS, re.MULTILINE)
    return dict(re.findall(r"([\w-]+): ([^;]+);", found))


def seen(colour: str, deficiency: str | None) -> Color:
    """Give a colour as it looks with a colour vision deficiency, a full one."""
    return Color(colour) if deficiency is None else Color(colour).filter(deficiency).clip()


def luminance(colour: str) -> float:
    """Give the relative luminance of WCAG 2.2."""
    linear = Color(colour).convert("srgb-linear").coords()
    return float(sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True)))


def contrast(one: str, other: str) -> float:
    """Give the contrast ratio of WCAG 2.2, 1 to 21."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_that_of_the_standard() -> None:
    """Black on white 21; #777777 on white 4.48, just too little."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("deficiency", [None, *DEFICIENCIES])
def test_fills_of_marks_are_told_apart(deficiency: str | None) -> None:
    """CIEDE2000 of at least 25 between any two, however colours are seen; shape and word tell it anyway."""
    fills = [rule(selector)["fill"] for selector in MARKS.values()]
    assert len(set(fills)) == 3
    for one, other in itertools.combinations(fills, 2):
        assert seen(one, deficiency).delta_e(seen(other, deficiency), method="2000") >= 25


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("severity", MARKS)
def test_marks_stand_out_from_their_ground(severity: str, scheme: str) -> None:
    """Fill or outline has 3:1 to what the mark stands on, and its letter 4.5:1 to the fill."""
    values, mark = SCHEMES[scheme], rule(MARKS[severity])
    stroke = re.sub(r"var\(--(\w+)\)", lambda found: values[found[1]], mark["stroke"])
    for ground in ("paper", "card"):
        assert max(contrast(one, values[ground]) for one in (mark["fill"], stroke)) >= 3
    own = {"will fail": ".mark.will-fail text"}.get(severity)
    letter = (
        rule(own)["fill"] if own else re.findall(r"^svg\.mark text \{.*fill: (#\w+);", CSS, re.M)[0]
    )
    assert contrast(letter, mark["fill"]) >= 4.5


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("text", TEXTS)
def test_text_stands_out_from_its_ground(text: str, scheme: str) -> None:
    """At least 4.5:1, and edges of fields and buttons 3:1."""
    values = SCHEMES[scheme]
    for ground in TEXTS[text]:
        assert contrast(values[text], values[ground]) >= 4.5, ground
    for ground in ("paper", "card"):
        assert contrast(values["edge"], values[ground]) >= 3


@pytest.mark.parametrize("deficiency", DEFICIENCIES)
@pytest.mark.parametrize("scheme", SCHEMES)
def test_text_stays_readable_with_any_colour_vision(scheme: str, deficiency: str) -> None:
    """No text loses so much contrast that it falls below 4.5:1."""
    values = {
        name: seen(value, deficiency).to_string(hex=True) for name, value in SCHEMES[scheme].items()
    }
    for text, grounds in TEXTS.items():
        for ground in grounds:
            assert contrast(values[text], values[ground]) >= 4.5, (text, ground)
