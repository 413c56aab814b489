"""Random texts, read and proofed by an independent renderer: what is read must look as it is drawn.

A longer run: ``python tests/outside/test_random_text.py SEED COUNT``.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterator
from random import Random

import pytest
from test_text_drawn import drawing, proofed, read

from prep.errors import InputError

WORDS = (
    *("AVA", "To", "office", "fi", "We ", "  x", "Ty.", "é", "e\u0301", "P,", "Y o", "12", "LT"),
    *("\n", "\u00a0q", "Ж", "f", " "),
)


class Writer:
    """Writes text elements by chance."""

    def __init__(self, chance: Random) -> None:
        self.chance = chance

    def number(self, low: float, high: float) -> str:
        return f"{self.chance.uniform(low, high):.1f}"

    def numbers(self, low: float, high: float) -> str:
        return " ".join(self.number(low, high) for _ in range(self.chance.choice((1, 1, 1, 2, 3))))

    def attributes(self, *, outer: bool) -> str:
        """Give attributes, each with a likelihood of its own; the outer element is placed mostly."""
        choice = self.chance.choice
        likely: tuple[tuple[str, float, Callable[[], str]], ...] = (
            ("x", 0.9 if outer else 0.15, lambda: self.numbers(10, 150)),
            ("y", 0.9 if outer else 0.15, lambda: self.numbers(20, 90)),
            ("dx", 0.2, lambda: self.numbers(-3, 6)),
            ("dy", 0.2, lambda: self.numbers(-6, 6)),
            ("font-size", 0.15, lambda: choice(("10", "14", "150%", "1.5em", "5mm", "12pt"))),
            ("font-weight", 0.15, lambda: choice(("bold", "400", "700"))),
            ("fill", 0.3, lambda: choice(("red", "blue", "green", "none"))),
            ("stroke", 0.15, lambda: choice(("red", "orange"))),
            ("stroke-width", 0.2, lambda: self.number(0.5, 3)),
            ("letter-spacing", 0.1, lambda: choice(("1", "2.5", "-1", ".1em"))),
            ("word-spacing", 0.1, lambda: self.number(-2, 8)),
            ("text-anchor", 0.2, lambda: choice(("start", "middle", "end"))),
            ("xml:space", 0.05, lambda: choice(("preserve", "default"))),
            ("visibility", 0.05, lambda: choice(("hidden", "visible"))),
            ("paint-order", 0.1, lambda: "stroke"),
            (
                "transform",
                0.3 if outer else 0.0,
                lambda: choice(("rotate(10)", "scale(1.2,.8)", "skewX(20)", "translate(5 5)")),
            ),
        )
        return "".join(
            f' {name}="{value()}"' for name, share, value in likely if self.chance.random() < share
        )

    def content(self, depth: int = 0) -> str:
        parts = []
        for _ in range(self.chance.randint(1, 4)):
            if depth < 3 and self.chance.random() < 0.3:
                inner = self.content(depth + 1)
                parts.append(f"<tspan{self.attributes(outer=False)}>{inner}</tspan>")
            else:
                parts.append(self.chance.choice(WORDS))
        return "".join(parts)

    def text(self) -> str:
        return f"<text{self.attributes(outer=True)}>{self.content()}</text>"


def outcomes(seed: int, count: int) -> Iterator[tuple[str, str]]:
    """Give texts and what became of each: ``refused``, ``alike`` or ``differs``."""
    writer = Writer(Random(seed))
    for _ in range(count):
        body = writer.text()
        data = drawing(body)
        try:
            artwork = read(data)
        except InputError:
            yield body, "refused"
            continue
        yield body, "differs" if proofed(data, artwork).differences else "alike"


@pytest.mark.parametrize("seed", range(2))
def test_random_texts_look_as_they_are_drawn(seed: int) -> None:
    """None of them is read otherwise than it is drawn, and a good part of them is read."""
    found = list(outcomes(seed, 12))
    assert [body for body, outcome in found if outcome == "differs"] == []
    assert sum(outcome == "alike" for _, outcome in found) >= 3


if __name__ == "__main__":
    results = list(outcomes(int(sys.argv[1]), int(sys.argv[2])))
    for drawn, result in results:
        if result == "differs":
            print(ascii(drawn))
    print(dict(Counter(result for _, result in results)))
    sys.exit(any(result == "differs" for _, result in results))
