"""Settings told in words on paper, and what isn't a setting left as it is."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from prep.findings import Finding
from prep.job import Report
from prep.sections import Paragraph, Section
from prep.shop import Shop
from prep_sheet.blocks import in_short, troubles
from prep_sheet.documents import composed
from prep_sheet.layout import Prose
from prep_sheet.plain_words import on_paper


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (
            "Measure set_up_error and scatter under [press] in shop.toml.",
            "Measure set-up error and scatter in the shop's settings.",
        ),
        (
            'Set film_strip under [trap] in shop.toml lower, or do = "butt" for the pair.',
            'Set film strip in the shop\'s settings lower, or "butt" for the pair.',
        ),
        ("Or list more: --set fill_in.most_listed=100.", "Or list more: see its settings."),
        (
            "A film of each: --set base.way=plain. Or none.",
            "A film of each: see its settings. Or none.",
        ),
        ("Less choke (choke under [base]), or none.", "Less choke, or none."),
        ("Some sizes (width_by_size in the order).", "Some sizes."),
        ("Assumed 24 garments (--shirts).", "Assumed 24 garments."),
        (
            "Say so with fibres under its [[inks]] in shop.toml.",
            "Say so with fibres in the shop's settings.",
        ),
        (
            "Weigh it and set ink.transfer in shop.toml.",
            "Weigh it and set transfer in the shop's settings.",
        ),
        (
            "Set drying.open_cleared and drying.climate in shop.toml by my.svg.",
            "Set open cleared and climate in the shop's settings by my.svg.",
        ),
        ("Write it into [drying] of shop.toml.", "Write it into the shop's settings."),
        (
            "Say confirm_width = true under [fill_in] in shop.toml.",
            "Say confirm width as yes in the shop's settings.",
        ),
        ("Take it out of order.toml.", "Take it out of the order's settings."),
    ],
)
def test_settings_are_told_in_words(typed: str, told: str) -> None:
    assert on_paper(typed) == told


@pytest.mark.parametrize(
    "said",
    [
        "Ink brick_red of my_drawing.svg (size 12) is thin.",
        "Draw it 1.50 mm wide (or more): that cures it.",
        "Nothing.",
    ],
)
def test_the_rest_is_left_as_it_is(said: str) -> None:
    assert on_paper(said) == said


def test_findings_on_paper_have_the_words() -> None:
    """In full and in short."""
    do = "Set sharpest_corner under [stencils] to it. Or wait."
    finding = Finding("at risk", "k", "What.", "Why.", do, "s", "s")
    (full,) = troubles([("A", finding)]).items
    (short,) = in_short([[("A", finding)]], {"s": 1}, "metric", lambda _: None).items
    assert full.do == "Set sharpest corner in the shop's settings to it. Or wait."
    assert short.do == "Set sharpest corner in the shop's settings to it."


def test_the_closing_page_has_the_words_too_but_where_a_line_is_to_be_written(
    make_report: Callable[..., Report],
) -> None:
    """Of several set-ups it names these in the shop's units."""
    blocks = tuple(
        map(Paragraph, ("Set ink.transfer in shop.toml.", "Write { a_b = 1 } into shop.toml."))
    )
    section = Section("closing", "Rests", blocks, 90, by="p")
    report = make_report(shop=Shop(units="inch"), report={"sections": (section,)})
    closing = composed((report, report)).pages[-1]
    said = [piece.text for piece in closing.pieces if isinstance(piece, Prose)]
    assert "Set transfer in the shop's settings." in said
    assert "Write { a_b = 1 } into shop.toml." in said
    (named,) = (text for text in said if text.startswith("1: "))
    assert " mm" not in named
